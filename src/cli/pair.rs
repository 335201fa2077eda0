//! `pair`: one pairing, or all, as JSON or as text. Knows nothing of how a pairing is judged.

use super::args::{self, checked_book};
use super::clean_text::{clean, escaped_json};
use super::colour::coloured;
use super::compile::{Unread, read_book, tell_errors};
use super::found::of_last_compile;
use super::progress::ProgressLine;
use super::{Ending, say};
use crate::base::{Problem, Sources};
use crate::compile::{OwnTyped, Paired, Progress, Which, pair_watched};

/// Problems with these codes are slips of the command line, not of the book.
const ASKED_FOR_NOTHING: [&str; 3] = ["pair-", "route-", "own-"];

/// What is not told in a screen.
const REST: &str =
    "--whole tells the rest: what each part is for, head tubes and decks, every number, other parts";

pub fn run(typed: &args::Pair) -> Ending {
    let book = match checked_book(&typed.book) {
        Ok(book) => book,
        Err(ending) => return ending,
    };
    let files = match read_book(&book) {
        Ok(files) => files,
        Err(Unread::Book(problems)) => return tell_errors(&problems, &Sources::default(), "nothing paired"),
        Err(Unread::Told(ending)) => return ending,
    };
    let line = ProgressLine::new("answering");
    let found = pair_watched(&files, &of_last_compile(&book), which(typed), &|progress: Progress<'_>| {
        line.hear(progress)
    });
    drop(line);
    match found {
        Ok(pairs) => print(&pairs, typed),
        Err(failed) => {
            let ending = tell_errors(&failed.problems, &failed.sources, "nothing paired");
            if failed.problems.0.iter().any(is_slip) { Ending::CommandLineWrong } else { ending }
        }
    }
}

fn which(typed: &args::Pair) -> Which {
    match (&typed.fork, &typed.system) {
        (Some(fork), Some(system)) => {
            let own =
                OwnTyped { deck: typed.deck.clone(), bars: typed.bars.clone(), have: typed.have.clone() };
            Which::One { fork: fork.clone(), system: system.clone(), own }
        }
        _ => Which::All,
    }
}

pub fn is_slip(problem: &Problem) -> bool {
    problem.places.is_empty() && ASKED_FOR_NOTHING.iter().any(|code| problem.code.starts_with(code))
}

fn print(pairs: &[Paired], typed: &args::Pair) -> Ending {
    if typed.json {
        let lines: Vec<_> = pairs.iter().map(|pair| escaped_json(&pair.json)).collect();
        return say::results(lines.iter().map(AsRef::as_ref), Ending::Done);
    }
    let whole = |pair: &Paired| typed.whole || pair.brief.is_empty();
    let text = |pair: &Paired| if whole(pair) { pair.text.clone() } else { pair.brief.clone() };
    let mut texts: Vec<String> =
        pairs.iter().map(|pair| coloured(&clean(&text(pair)), &pair.tones)).collect();
    if !pairs.iter().all(whole) {
        texts.push(format!("\n{REST}"));
    }
    say::results(texts.iter().map(String::as_str), Ending::Done)
}
