//! The loop: woken, look, compare, compile, publish, tell. Knows neither where waking comes from nor what compiling is.

use std::collections::BTreeMap;
use std::error::Error;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::{Duration, Instant};

use crate::base::{BookFiles, Problem, Problems, Sources};
use crate::compile::Compiled;
use crate::disk::{DiskTrouble, MachineTrouble, snapshot};
use crate::publish::{PublishTrouble, Published, Theirs, publish};

/// After a change the book is looked at once more: an editor may still have been writing, and files made in the
/// same moment as their folder come without notice.
const SECOND_LOOK: Duration = Duration::from_millis(700);
/// After the machine failed (a full disk, say) it is tried again without waiting for a change, first so soon and then
/// twice as long each time.
const FIRST_RETRY: Duration = Duration::from_secs(1);
const LAST_RETRY: Duration = Duration::from_secs(300);

/// Why the loop wakes.
#[derive(Debug, PartialEq, Eq)]
pub enum Wake {
    /// Something may have changed.
    Look,
    Stop,
}

pub struct Watched {
    pub book: PathBuf,
    pub into: PathBuf,
    /// Looks this often, woken or not.
    pub poll: Option<Duration>,
    /// What becomes of files that Benchleaf did not write.
    pub theirs: Theirs,
}

/// What there is to tell the user.
pub enum News<'a> {
    /// The pages are those of the book as it is now. `mended`: the look before found it broken.
    Renewed {
        published: &'a Published,
        pages: &'a BTreeMap<String, Vec<u8>>,
        problems: &'a Problems,
        sources: &'a Sources,
        mended: bool,
        /// The book of the pages that were in place before, if this watch put them there.
        before: Option<&'a BookFiles>,
        now: &'a BookFiles,
    },
    /// The book has errors; nothing was written.
    Broken { problems: &'a Problems, sources: &'a Sources },
    /// The book could not be read; it will be tried again. Told once while it stays the same.
    Unread(&'a MachineTrouble),
    /// The book can be read again, and is what it was.
    ReadAgain,
    /// The pages could not be put in place; it will be tried again. Told once while it stays the same.
    Unpublished(&'a PublishTrouble),
}

/// The machine failed before anything was ever compiled: there is no use in going on.
pub struct FirstRunFailed;

/// What a look found; two that are equal need no second compile.
#[derive(PartialEq)]
enum Found {
    Files(BookFiles),
    NoBook(Vec<Problem>),
}

#[derive(Clone, Copy, PartialEq)]
enum State {
    NeverCompiled,
    Good,
    Broken,
}

struct Keeper<'a> {
    watched: &'a Watched,
    compile: &'a dyn Fn(&BookFiles) -> Compiled,
    tell: &'a mut dyn FnMut(News<'_>),
    /// The last book that could be read. Never compiled twice.
    last: Option<Found>,
    /// Compiled, but not yet in place: the machine failed.
    waiting: Option<(BookFiles, Compiled)>,
    /// Of the pages in place.
    good: Option<BookFiles>,
    state: State,
    /// Nothing while all is well.
    failure: Option<Failure>,
}

struct Failure {
    told: String,
    again: Instant,
    patience: Duration,
}

/// Compiles at once, then whenever the content of the book differs from what was compiled last, until told to stop
/// or all senders of wakes are gone. `before_look` runs before each look: the place to watch new folders.
pub fn keep_compiled(
    watched: &Watched,
    wakes: &Receiver<Wake>,
    before_look: &mut dyn FnMut(),
    compile: &dyn Fn(&BookFiles) -> Compiled,
    tell: &mut dyn FnMut(News<'_>),
) -> Result<(), FirstRunFailed> {
    let state = State::NeverCompiled;
    let mut keeper =
        Keeper { watched, compile, tell, last: None, waiting: None, good: None, state, failure: None };
    loop {
        before_look();
        let changed = keeper.look();
        if keeper.failure.is_some() && keeper.state == State::NeverCompiled {
            return Err(FirstRunFailed);
        }
        if !wait(wakes, keeper.patience(changed)) {
            return Ok(());
        }
    }
}

/// Waits for a wake or as long as `patience` says, then takes in all wakes that have piled up. False: stop.
fn wait(wakes: &Receiver<Wake>, patience: Option<Duration>) -> bool {
    let first = match patience {
        Some(patience) => wakes.recv_timeout(patience),
        None => wakes.recv().map_err(RecvTimeoutError::from),
    };
    match first {
        Ok(Wake::Stop) | Err(RecvTimeoutError::Disconnected) => false,
        Ok(Wake::Look) | Err(RecvTimeoutError::Timeout) => wakes.try_iter().all(|wake| wake == Wake::Look),
    }
}

impl Keeper<'_> {
    /// How long to wait at most; nothing means until woken.
    fn patience(&self, changed: bool) -> Option<Duration> {
        let given_up = changed && self.last.is_none();
        let second = changed.then_some(if given_up { Duration::ZERO } else { SECOND_LOOK });
        let retry =
            self.failure.as_ref().map(|failure| failure.again.saturating_duration_since(Instant::now()));
        [self.watched.poll, second, retry].into_iter().flatten().min()
    }

    /// True if the book was not as at the last look.
    fn look(&mut self) -> bool {
        let found = match snapshot(&self.watched.book) {
            Ok(files) => Found::Files(files),
            Err(DiskTrouble::Book(problems)) => Found::NoBook(problems),
            Err(DiskTrouble::Machine(trouble)) => {
                if self.fails(&trouble) {
                    (self.tell)(News::Unread(&trouble));
                }
                return false;
            }
        };
        let changed = self.last.as_ref() != Some(&found);
        if changed {
            match &found {
                Found::NoBook(problems) => self.broken(&Problems(problems.clone()), &Sources::default()),
                Found::Files(files) => {
                    let compiled = (self.compile)(files);
                    if compiled.given_up {
                        // Whatever the book is by now, it is compiled: pages of this one may be shown.
                        self.last = None;
                        return true;
                    }
                    self.renew(files.clone(), compiled);
                }
            }
            self.last = Some(found);
        } else if self.failure.is_some() && self.waiting.is_none() {
            self.failure = None;
            (self.tell)(News::ReadAgain);
        } else if self.is_due()
            && let Some((files, compiled)) = self.waiting.take()
        {
            self.renew(files, compiled);
        }
        changed
    }

    fn is_due(&self) -> bool {
        self.failure.as_ref().is_some_and(|failure| failure.again <= Instant::now())
    }

    fn renew(&mut self, files: BookFiles, compiled: Compiled) {
        let Compiled { pages, problems, sources, .. } = &compiled;
        if problems.any_error() {
            return self.broken(problems, sources);
        }
        match publish(&self.watched.into, pages, self.watched.theirs) {
            Ok(published) => {
                let mended = self.state == State::Broken || self.failure.is_some();
                let (before, now) = (self.good.as_ref(), &files);
                let published = &published;
                let news = News::Renewed { published, pages, problems, sources, mended, before, now };
                (self.tell)(news);
                (self.state, self.failure, self.waiting) = (State::Good, None, None);
                self.good = Some(files);
            }
            Err(PublishTrouble::PageOutside(page)) => {
                let fact = format!("the page path `{page}` leads out of the site's folder");
                self.broken(&Problems(vec![Problem::error("page-outside", fact)]), sources);
            }
            Err(trouble) => {
                if self.fails(&trouble) {
                    (self.tell)(News::Unpublished(&trouble));
                }
                self.waiting = Some((files, compiled));
            }
        }
    }

    fn broken(&mut self, problems: &Problems, sources: &Sources) {
        (self.state, self.failure, self.waiting) = (State::Broken, None, None);
        (self.tell)(News::Broken { problems, sources });
    }

    /// True if it has to be told: it is not what failed the last time.
    fn fails(&mut self, error: &dyn Error) -> bool {
        let told = format!("{error}: {:?}", error.source().map(ToString::to_string));
        if !self.is_due() && self.failure.as_ref().is_some_and(|failure| failure.told == told) {
            return false;
        }
        let before = self.failure.take();
        let patience = before.as_ref().map_or(FIRST_RETRY, |f| (f.patience * 2).min(LAST_RETRY));
        let new = before.is_none_or(|failure| failure.told != told);
        self.failure = Some(Failure { told, again: Instant::now() + patience, patience });
        new
    }
}

impl Watched {
    pub fn new(book: &Path, into: &Path, poll: Option<Duration>, theirs: Theirs) -> Watched {
        Watched { book: book.to_path_buf(), into: into.to_path_buf(), poll, theirs }
    }
}
