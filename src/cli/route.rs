//! `route`: the best ways from one set-up to another, as JSON or as text. Knows nothing of how they are found.

use super::args::{self, checked_book};
use super::clean_text::{clean, escaped_json};
use super::colour::coloured;
use super::compile::{Unread, read_book, tell_errors};
use super::found::of_last_compile;
use super::pair::is_slip;
use super::progress::ProgressLine;
use super::{Ending, say};
use crate::base::Sources;
use crate::compile::{Progress, RouteAsked, route};

pub fn run(typed: &args::Route) -> Ending {
    let book = match checked_book(&typed.book) {
        Ok(book) => book,
        Err(ending) => return ending,
    };
    let files = match read_book(&book) {
        Ok(files) => files,
        Err(Unread::Book(problems)) => return tell_errors(&problems, &Sources::default(), "no route told"),
        Err(Unread::Told(ending)) => return ending,
    };
    let have = typed.have.iter().chain(&typed.deck).cloned().collect();
    let asked = RouteAsked { from: start(typed), to: typed.to.clone(), have };
    let line = ProgressLine::new("answering", &[]);
    let found = route(&files, &of_last_compile(&book), &asked, &|progress: Progress<'_>| line.hear(progress));
    drop(line);
    match found {
        Ok(found) if typed.json => {
            say::results([escaped_json(&found.json).as_ref()].into_iter(), Ending::Done)
        }
        Ok(found) => {
            let text = coloured(&clean(&found.text), &found.tones);
            say::results([text.as_str()].into_iter(), Ending::Done)
        }
        Err(failed) => {
            let ending = tell_errors(&failed.problems, &failed.sources, "no route told");
            if failed.problems.0.iter().any(is_slip) { Ending::CommandLineWrong } else { ending }
        }
    }
}

/// With the bars that were named by themselves.
fn start(typed: &args::Route) -> String {
    match &typed.bars {
        Some(bars) if typed.from.matches('/').count() == 1 => format!("{}/{bars}", typed.from),
        _ => typed.from.clone(),
    }
}
