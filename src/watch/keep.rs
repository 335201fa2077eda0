//! The loop: woken, look, compare, compile, publish, tell. Knows neither where waking comes from nor what compiling is.

use std::error::Error;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::Duration;

use crate::base::{BookFiles, Problem, Problems, Sources};
use crate::compile::Compiled;
use crate::disk::{DiskTrouble, snapshot};
use crate::publish::{PublishTrouble, Published, publish};

/// After a change the book is looked at once more: an editor may still have been writing, and files made in the
/// same moment as their folder come without notice.
const SECOND_LOOK: Duration = Duration::from_millis(700);
/// After the machine failed (a full disk, say) it is tried again without waiting for a change.
const RETRY: Duration = Duration::from_secs(5);

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
}

/// What there is to tell the user.
pub enum News<'a> {
    /// The pages are those of the book as it is now. `mended`: the look before found it broken.
    Renewed { published: Published, problems: &'a Problems, sources: &'a Sources, mended: bool },
    /// The book has errors; nothing was written.
    Broken { problems: &'a Problems, sources: &'a Sources },
    /// The machine failed at this; it will be tried again. Told once while it stays the same.
    Failed { step: &'static str, error: &'a dyn Error },
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
    /// Nothing while the last look did not end in pages or in problems told.
    last: Option<Found>,
    state: State,
    last_failure: String,
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
    let (last, state) = (None, State::NeverCompiled);
    let mut keeper = Keeper { watched, compile, tell, last, state, last_failure: String::new() };
    loop {
        before_look();
        let changed = keeper.look();
        if keeper.last.is_none() && keeper.state == State::NeverCompiled {
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
        let second = changed.then_some(SECOND_LOOK);
        let retry = self.last.is_none().then_some(RETRY);
        [self.watched.poll, second, retry].into_iter().flatten().min()
    }

    /// True if the book was not as at the last look.
    fn look(&mut self) -> bool {
        let found = match snapshot(&self.watched.book) {
            Ok(files) => Found::Files(files),
            Err(DiskTrouble::Book(problems)) => Found::NoBook(problems),
            Err(DiskTrouble::Machine(trouble)) => {
                self.fail("the book could not be read", &trouble);
                return false;
            }
        };
        if self.last.as_ref() == Some(&found) {
            return false;
        }
        let settled = match &found {
            Found::NoBook(problems) => {
                self.broken(&Problems(problems.clone()), &Sources::default());
                true
            }
            Found::Files(files) => self.renew(files),
        };
        self.last = settled.then_some(found);
        settled
    }

    /// False if the machine failed, so that the same content has to be tried again.
    fn renew(&mut self, files: &BookFiles) -> bool {
        let Compiled { pages, problems, sources } = (self.compile)(files);
        if problems.any_error() {
            self.broken(&problems, &sources);
            return true;
        }
        match publish(&self.watched.into, &pages) {
            Ok(published) => {
                let mended = self.state == State::Broken || !self.last_failure.is_empty();
                (self.tell)(News::Renewed { published, problems: &problems, sources: &sources, mended });
                self.state = State::Good;
                self.last_failure.clear();
                true
            }
            Err(PublishTrouble::PageOutside(page)) => {
                let fact = format!("the page path `{page}` leads out of the site's folder");
                self.broken(&Problems(vec![Problem::error("page-outside", fact)]), &sources);
                true
            }
            Err(PublishTrouble::Machine(trouble)) => {
                self.fail("the site could not be written", &trouble);
                false
            }
        }
    }

    fn broken(&mut self, problems: &Problems, sources: &Sources) {
        self.state = State::Broken;
        self.last_failure.clear();
        (self.tell)(News::Broken { problems, sources });
    }

    fn fail(&mut self, step: &'static str, error: &dyn Error) {
        self.last = None;
        let failure = format!("{step}: {error}: {:?}", error.source().map(ToString::to_string));
        if failure != self.last_failure {
            (self.tell)(News::Failed { step, error });
            self.last_failure = failure;
        }
    }
}

impl Watched {
    pub fn new(book: &Path, into: &Path, poll: Option<Duration>) -> Watched {
        Watched { book: book.to_path_buf(), into: into.to_path_buf(), poll }
    }
}
