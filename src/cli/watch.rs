//! `watch`: joins the notices, the keys and the loop, and tells the news. Knows nothing of how changes are noticed.

use std::cell::RefCell;
use std::path::Path;
use std::sync::Mutex;
use std::sync::mpsc::{Sender, channel};
use std::time::{Duration, Instant};

use super::args::{self, Folders};
use super::clean_text::clean;
use super::compile::{
    compile_with_progress, summary, tell_errors, tell_unpublished, tell_warnings, warnings,
};
use super::found::{BetweenRuns, Made};
use super::problem_text::{Told, count_line, render_all};
use super::{Ending, broken_machine, built_in_news, edit_text, say};
use crate::base::BookFiles;
use crate::compile::{Onlooker, edits};
use crate::disk::snapshot;
use crate::publish::was_written_before;
use crate::watch::{Live, News, NoPreview, Notices, Pages, Preview, Wake, Watched, keep_compiled};

/// While *what I have* is worked out the book is looked at no more often.
const LOOK_AGAIN: Duration = Duration::from_millis(300);

pub fn run(typed: &args::Watch) -> Ending {
    typed.places.checked().and_then(|folders| watch(typed, &folders)).unwrap_or_else(|ending| ending)
}

fn watch(typed: &args::Watch, folders: &Folders) -> Result<Ending, Ending> {
    let (wakes, woken) = channel();
    let listened = typed.preview.is_some();
    let live = match &typed.preview {
        Some(address) => start_preview(address, &folders.into)?,
        // Nobody listens.
        None => Live::new(),
    };
    // Held to the end: with the last sender gone the loop would stop, though it may only be polling.
    let polling = wakes.clone();
    let mut notices = start_notices(typed, folders, wakes)?;
    say::message(&clean(&format!("watching {}; Ctrl-C ends it", folders.book.display())));

    let watched = Watched::new(&folders.book, &folders.into, typed.poll, folders.theirs);
    let mut before_look = || {
        // What cannot be watched is found by the next look all the same.
        let _ = notices.as_mut().map(Notices::watch_folders);
    };
    let runs = BetweenRuns::read(&folders.into).going_on();
    // What the compile under way has said.
    let told = RefCell::new(String::new());
    let compile = |files: &BookFiles| {
        let seen = Mutex::new(Instant::now());
        let is_outdated = || is_outdated(&folders.book, files, &seen);
        let onlooker = Onlooker { show: &|pages| live.early(pages), is_outdated: &is_outdated };
        let (made, text) = compile_with_progress(files, &runs.kept, listened.then_some(&onlooker));
        if made.given_up {
            say::message("the book was changed meanwhile: begun again");
        } else {
            told.replace(text);
            built_in_news::tell(&folders.into, &made.pages);
        }
        made
    };
    let mut last = Ending::Done;
    let mut tell = |news: News<'_>| {
        // Before it is told: whoever hears of it finds the folder at rest.
        if let News::Renewed { now, pages, problems, sources, .. } = news {
            let told = told.take() + &warnings(problems, sources);
            runs.write(&folders.into, &Made { files: now, pages, told: &told });
        }
        last = tell_news(&news, &folders.into);
        show_news(&news, &live);
    };
    let ended = keep_compiled(&watched, &woken, &mut before_look, &compile, &mut tell);
    drop(polling);
    Ok(if ended.is_ok() { Ending::Done } else { last })
}

/// Looked at once in a while.
fn is_outdated(book: &Path, files: &BookFiles, seen: &Mutex<Instant>) -> bool {
    let Ok(mut seen) = seen.try_lock() else { return false };
    if seen.elapsed() < LOOK_AGAIN {
        return false;
    }
    let outdated = snapshot(book).is_ok_and(|now| now != *files);
    *seen = Instant::now();
    outdated
}

fn start_preview(address: &str, site: &Path) -> Result<Live, Ending> {
    match Preview::start(address, site) {
        Ok(preview) => {
            say::message(&format!("preview at http://{}/ for this machine only", preview.address));
            Ok(preview.live)
        }
        Err(no @ NoPreview::BadAddress(_)) => Err(say::wrong_command(&no.to_string())),
        Err(NoPreview::Machine(error)) => {
            Err(broken_machine::tell(&format!("the preview cannot listen at {address}"), &error))
        }
    }
}

/// Without notices there is still polling, if it was asked for.
fn start_notices(
    typed: &args::Watch,
    folders: &Folders,
    wakes: Sender<Wake>,
) -> Result<Option<Notices>, Ending> {
    match Notices::start(&folders.book, wakes) {
        Ok(notices) => Ok(Some(notices)),
        Err(_) if typed.poll.is_some() => {
            say::message("warning: the machine gives no notices of changes; polling only");
            Ok(None)
        }
        Err(error) => {
            let ending = broken_machine::tell("the machine gives no notices of changes", &error);
            say::message("do this: add --poll 2");
            Err(ending)
        }
    }
}

/// How a run would end that ended with this.
fn tell_news(news: &News<'_>, into: &Path) -> Ending {
    match news {
        News::Renewed { published, problems, sources, mended, before, now, .. } => {
            tell_warnings(problems, sources);
            if *mended {
                say::message("mended: the pages are up to date again");
            }
            let edits = before.map_or(vec![], |before| edits(before, now));
            if !edits.is_empty() {
                say::message(&edit_text::told(&edits, published));
            }
            let summary = summary(into, published);
            say::results([summary.as_str()].into_iter(), Ending::Done)
        }
        News::Broken { problems, sources } => {
            let kept =
                if was_written_before(into) { "the last good pages are kept" } else { "nothing written" };
            tell_errors(problems, sources, kept)
        }
        News::Unread(trouble) => broken_machine::tell("the book could not be read", *trouble),
        News::ReadAgain => {
            say::message("mended: the book can be read again");
            Ending::Done
        }
        News::Unpublished(trouble) => tell_unpublished(trouble),
    }
}

/// What the pages that are open in a browser have to know.
fn show_news(news: &News<'_>, live: &Live) {
    match news {
        News::Renewed { published, pages, .. } => {
            live.good(if published.anything() { Pages::Others } else { Pages::Same }, pages);
        }
        News::Broken { problems, sources } => {
            let text = format!("{}{}", render_all(problems, sources, Told::Folded), count_line(problems));
            live.wrong(anstream::adapter::strip_str(&text).to_string());
        }
        News::Unread(trouble) => {
            live.trouble(Some(broken_machine::chain("the book could not be read", *trouble)));
        }
        News::ReadAgain => live.trouble(None),
        News::Unpublished(trouble) => {
            live.trouble(Some(broken_machine::chain("the site could not be written", *trouble)));
        }
    }
}
