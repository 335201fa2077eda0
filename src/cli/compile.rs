//! `compile`: snapshot, compile, publish, tell. Knows the order of these and nothing of how each is done.

use std::path::Path;
use std::sync::OnceLock;

use super::args::{self, Folders};
use super::found::BetweenRuns;
use super::problem_text::{Told, count_line, render_all};
use super::progress::{OF_COMPILE, ProgressLine};
use super::template_guard::TemplateGuard;
use super::{Ending, broken_machine, built_in_news, say};
use crate::base::{BookFiles, Problems, Sources};
use crate::compile::{Compiled, Kept, Progress, compile_again};
use crate::disk::{DiskTrouble, snapshot};
use crate::publish::{PublishTrouble, Published, publish};

pub fn run(typed: &args::Compile) -> Ending {
    match typed.places.checked() {
        Ok(folders) => compile_once(&folders),
        Err(ending) => ending,
    }
}

fn compile_once(folders: &Folders) -> Ending {
    let files = match read_book(&folders.book) {
        Ok(files) => files,
        Err(Unread::Told(ending)) => return ending,
        Err(Unread::Book(problems)) => return tell_errors(&problems, &Sources::default(), "nothing written"),
    };
    let runs = BetweenRuns::read(&folders.into);
    let made = compile_with_progress(&files, &runs.kept);
    if made.problems.any_error() {
        return tell_errors(&made.problems, &made.sources, "nothing written");
    }
    tell_warnings(&made.problems, &made.sources);
    built_in_news::tell(&folders.into, &made.pages);
    match publish(&folders.into, &made.pages, folders.theirs) {
        Ok(published) => {
            runs.write(&folders.into);
            say::results([summary(&folders.into, published).as_str()].into_iter(), Ending::Done)
        }
        Err(trouble) => tell_unpublished(&trouble),
    }
}

/// Why there are no files to work on.
pub enum Unread {
    Book(Problems),
    /// The machine's failure, already told.
    Told(Ending),
}

pub fn read_book(book: &Path) -> Result<BookFiles, Unread> {
    snapshot(book).map_err(|trouble| match trouble {
        DiskTrouble::Book(problems) => Unread::Book(Problems(problems)),
        DiskTrouble::Machine(trouble) => {
            Unread::Told(broken_machine::tell("the book could not be read", &trouble))
        }
    })
}

pub fn compile_with_progress(files: &BookFiles, kept: &Kept) -> Compiled {
    let line = ProgressLine::new("compiling", OF_COMPILE);
    let guard = TemplateGuard::set();
    let told: OnceLock<Problems> = OnceLock::new();
    let mut made = compile_again(files, kept, &|progress: Progress<'_>| {
        if let Progress::Read { problems, sources } = progress {
            line.aside(|| tell_warnings(problems, sources));
            let _ = told.set(problems.clone());
        }
        line.hear(progress);
        guard.hear(progress);
    });
    // What was told before the work began is not told again after it.
    if let Some(told) = told.get().filter(|_| !made.problems.any_error()) {
        made.problems.0.retain(|problem| !told.0.contains(problem));
    }
    made
}

pub fn tell_errors(problems: &Problems, sources: &Sources, consequence: &str) -> Ending {
    say::message(&render_all(problems, sources, Told::Folded));
    say::message(&format!("{}; {consequence}", count_line(problems)));
    Ending::BookHasErrors
}

pub fn tell_warnings(problems: &Problems, sources: &Sources) {
    if !problems.0.is_empty() {
        say::message(&render_all(problems, sources, Told::Folded));
        say::message(&count_line(problems));
    }
}

pub fn tell_unpublished(trouble: &PublishTrouble) -> Ending {
    let ending = broken_machine::tell("the site could not be written", trouble);
    match trouble {
        PublishTrouble::PageOutside(_) => Ending::BookHasErrors,
        PublishTrouble::Theirs(_) => {
            say::message(
                "do this: name another folder with --into, or let them be replaced with --take-over",
            );
            Ending::CommandLineWrong
        }
        PublishTrouble::Blocked(_) => {
            say::message("do this: move it away, or name another folder with --into");
            ending
        }
        PublishTrouble::Torn { .. } => {
            say::message("do this: mend the cause, then compile again: that puts every page right");
            ending
        }
        PublishTrouble::Busy(_) | PublishTrouble::Machine(_) => ending,
    }
}

pub fn summary(into: &Path, published: Published) -> String {
    let Published { written, unchanged, removed } = published;
    let pages = written + unchanged;
    let into = into.display().to_string();
    let into = super::clean_text::clean(&into);
    format!("{into}: {pages} pages; {written} written, {unchanged} unchanged, {removed} removed")
}
