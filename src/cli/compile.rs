//! `compile`: snapshot, compile, publish, tell. Knows the order of these and nothing of how each is done.

use std::path::Path;
use std::sync::OnceLock;

use super::args::{self, Folders};
use super::found::{BetweenRuns, Made};
use super::problem_text::{Told, count_line, render_all};
use super::progress::{OF_COMPILE, ProgressLine};
use super::template_guard::TemplateGuard;
use super::why_text::{self, Asked, Run};
use super::{Ending, broken_machine, built_in_news, say};
use crate::base::{BookFiles, Problems, Sources};
use crate::compile::{Compiled, Kept, Onlooker, Progress, compile_showing};
use crate::disk::{DiskTrouble, snapshot};
use crate::publish::{PublishTrouble, Published, Untouched, publish};

pub fn run(typed: &args::Compile) -> Ending {
    match typed.places.checked() {
        Ok(folders) => {
            compile_once(&folders, typed.why.as_deref().map(|page| Asked { page, json: typed.json }))
        }
        Err(ending) => ending,
    }
}

fn compile_once(folders: &Folders, asked: Option<Asked<'_>>) -> Ending {
    let files = match read_book(&folders.book) {
        Ok(files) => files,
        Err(Unread::Told(ending)) => return ending,
        Err(Unread::Book(problems)) => return tell_errors(&problems, &Sources::default(), "nothing written"),
    };
    let runs = match BetweenRuns::read_for(&folders.into, &files) {
        Ok(runs) => runs,
        Err(untouched) => return nothing_to_do(folders, &files, &untouched, asked),
    };
    let (made, told) = compile_with_progress(&files, &runs.kept, None);
    if made.problems.any_error() {
        return tell_errors(&made.problems, &made.sources, "nothing written");
    }
    let told = told + &tell_warnings(&made.problems, &made.sources);
    built_in_news::tell(&folders.into, &made.pages);
    match publish(&folders.into, &made.pages, folders.theirs) {
        Ok(published) => {
            runs.write(&folders.into, &Made { files: &files, pages: &made.pages, told: &told });
            let summary = summary(&folders.into, &published);
            let Some(asked) = asked else {
                return say::results([summary.as_str()].into_iter(), Ending::Done);
            };
            say::message(&summary);
            let run = Run {
                files: &files,
                kept: &runs.kept,
                pages: &made.pages.keys().cloned().collect::<Vec<_>>(),
            };
            why_text::tell(&run, Some(&published), &asked)
        }
        Err(trouble) => tell_unpublished(&trouble),
    }
}

/// The book, the program and every page in place are as a run left them: what it said is said again.
fn nothing_to_do(
    folders: &Folders,
    files: &BookFiles,
    untouched: &Untouched,
    asked: Option<Asked<'_>>,
) -> Ending {
    if !untouched.told.is_empty() {
        say::message(&untouched.told);
    }
    say::message(
        "nothing to do: the book, the program and every page in place are as the last compile left them",
    );
    let published = Published { unchanged: untouched.pages.len(), ..Published::default() };
    let summary = summary(&folders.into, &published);
    let Some(asked) = asked else { return say::results([summary.as_str()].into_iter(), Ending::Done) };
    say::message(&summary);
    let kept = BetweenRuns::read(&folders.into).kept;
    why_text::tell(&Run { files, kept: &kept, pages: &untouched.pages }, None, &asked)
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

/// With what was said before the work began: that stands in the problems no more.
pub fn compile_with_progress(
    files: &BookFiles,
    kept: &Kept,
    onlooker: Option<&Onlooker<'_>>,
) -> (Compiled, String) {
    let line = ProgressLine::new("compiling", OF_COMPILE);
    let guard = TemplateGuard::set();
    let told: OnceLock<(Problems, String)> = OnceLock::new();
    let mut made = compile_showing(
        files,
        kept,
        &|progress: Progress<'_>| {
            if let Progress::Read { problems, sources } = progress {
                let text = line.aside(|| tell_warnings(problems, sources));
                let _ = told.set((problems.clone(), text));
            }
            line.hear(progress);
            guard.hear(progress);
        },
        onlooker,
    );
    match told.into_inner().filter(|_| !made.problems.any_error()) {
        Some((told, text)) => {
            made.problems.0.retain(|problem| !told.0.contains(problem));
            (made, text)
        }
        None => (made, String::new()),
    }
}

pub fn tell_errors(problems: &Problems, sources: &Sources, consequence: &str) -> Ending {
    say::message(&render_all(problems, sources, Told::Folded));
    say::message(&format!("{}; {consequence}", count_line(problems)));
    Ending::BookHasErrors
}

/// Gives what it says.
pub fn tell_warnings(problems: &Problems, sources: &Sources) -> String {
    let text = warnings(problems, sources);
    if !text.is_empty() {
        say::message(&text);
    }
    text
}

/// Empty where there are none.
pub fn warnings(problems: &Problems, sources: &Sources) -> String {
    if problems.0.is_empty() {
        return String::new();
    }
    format!("{}{}\n", render_all(problems, sources, Told::Folded), count_line(problems))
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

pub fn summary(into: &Path, published: &Published) -> String {
    let (written, unchanged, removed) =
        (published.written.len(), published.unchanged, published.removed.len());
    let pages = written + unchanged;
    let into = into.display().to_string();
    let into = super::clean_text::clean(&into);
    format!("{into}: {pages} pages; {written} written, {unchanged} unchanged, {removed} removed")
}
