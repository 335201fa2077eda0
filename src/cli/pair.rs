//! `pair`: one pairing, or all, as JSON or as text. Knows nothing of how a pairing is judged.

use super::args::{self, checked_book};
use super::clean_text::{clean, escaped_json};
use super::colour::coloured;
use super::compile::{Unread, read_book, tell_errors};
use super::found::of_last_compile;
use super::progress::ProgressLine;
use super::{Ending, say};
use crate::base::{Problem, Sources};
use crate::compile::{OneTyped, OwnTyped, Paired, Progress, pair_all, pair_one};

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
    let kept = of_last_compile(&book);
    let line = ProgressLine::new("answering", &[]);
    let progress = |progress: Progress<'_>| line.hear(progress);
    let mut told = Told { results: say::Results::new(), typed, any: false, cut: false };
    let found = match one(typed) {
        Some(one) => pair_one(&files, &kept, &one, &progress)
            .map(|pair| pair.iter().for_each(|pair| line.aside(|| told.tell(pair)))),
        None => pair_all(&files, &kept, &progress, &mut |pair| line.aside(|| told.tell(&pair))),
    };
    drop(line);
    match found {
        Ok(()) => told.end(),
        Err(failed) => {
            let consequence =
                if told.any { "the pairings after these are not told" } else { "nothing paired" };
            let ending = tell_errors(&failed.problems, &failed.sources, consequence);
            if failed.problems.0.iter().any(is_slip) { Ending::CommandLineWrong } else { ending }
        }
    }
}

/// `None`: all are asked for.
fn one(typed: &args::Pair) -> Option<OneTyped> {
    let (fork, system) = (typed.fork.clone()?, typed.system.clone()?);
    let own = OwnTyped { deck: typed.deck.clone(), bars: typed.bars.clone(), have: typed.have.clone() };
    Some(OneTyped { fork, system, own })
}

pub fn is_slip(problem: &Problem) -> bool {
    problem.places.is_empty() && ASKED_FOR_NOTHING.iter().any(|code| problem.code.starts_with(code))
}

/// What is printed, pairing by pairing.
struct Told<'t> {
    results: say::Results,
    typed: &'t args::Pair,
    any: bool,
    /// Of some pairing there is more to tell.
    cut: bool,
}

impl Told<'_> {
    fn tell(&mut self, pair: &Paired) {
        self.any = true;
        if self.typed.json {
            self.results.add(&escaped_json(&pair.json));
            return;
        }
        let whole = self.typed.whole || pair.brief.is_empty();
        self.cut |= !whole;
        let text = if whole { &pair.text } else { &pair.brief };
        self.results.add(&coloured(&clean(text), &pair.tones));
    }

    fn end(mut self) -> Ending {
        if self.cut {
            self.results.add(&format!("\n{REST}"));
        }
        self.results.end(Ending::Done)
    }
}
