//! `inspect`: everything wrong or doubtful in a book, as the result. Writes nothing anywhere.

use super::args::{self, checked_book};
use super::compile::{Unread, read_book};
use super::found::of_last_compile;
use super::problem_json;
use super::problem_text::{Told, count_line, render_all};
use super::progress::{OF_INSPECT, ProgressLine};
use super::template_guard::TemplateGuard;
use super::{Ending, say};
use crate::base::Sources;
use crate::compile::{Progress, inspect, inspect_thoroughly};

pub fn run(typed: &args::Inspect) -> Ending {
    let book = match checked_book(&typed.book) {
        Ok(book) => book,
        Err(ending) => return ending,
    };
    let (problems, sources) = match read_book(&book) {
        Ok(files) if typed.quick => inspect(&files),
        Ok(files) => {
            let line = ProgressLine::new("inspecting", OF_INSPECT);
            let guard = TemplateGuard::set();
            inspect_thoroughly(&files, &of_last_compile(&book), &|progress: Progress<'_>| {
                line.hear(progress);
                guard.hear(progress);
            })
        }
        Err(Unread::Book(problems)) => (problems, Sources::default()),
        Err(Unread::Told(ending)) => return ending,
    };
    let ending = if problems.any_error() { Ending::BookHasErrors } else { Ending::Done };
    if typed.json {
        let lines: Vec<String> =
            problems.0.iter().map(|problem| problem_json::line(problem, &sources)).collect();
        return say::results(lines.iter().map(String::as_str), ending);
    }
    let text = render_all(&problems, &sources, if typed.all { Told::Each } else { Told::Folded });
    let count = count_line(&problems);
    say::results([text.as_str(), count.as_str()].into_iter().filter(|part| !part.is_empty()), ending)
}
