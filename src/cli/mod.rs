//! The command line: what was typed, what is done about it, what is said. Knows no geometry and no pages.
//!
//! Results go to standard output, messages to standard error. Last in the one direction: uses everything above.
//!
//! What was typed and what is used are two types (`args.rs`). Text from a book is cleaned before a terminal sees it
//! (`clean_text.rs`). `tests/shell_cli.rs` holds exit codes, streams, no escape codes where there is no terminal, and that
//! messages take time by the length of the book, however many there are. `begin/` is the book that `benchleaf begin` writes;
//! `tests/begin.rs` holds that it compiles without a warning and that its guide goes.

mod args;
mod begin;
mod broken_machine;
mod built_in_news;
mod clean_text;
mod colour;
mod compile;
mod edit_text;
mod examples;
mod found;
mod help;
mod ids;
mod inspect;
mod pair;
mod problem_json;
mod problem_text;
mod progress;
mod reference;
mod route;
mod say;
mod source_lines;
mod stopping;
mod template_guard;
mod unpack;
mod watch;
mod why_text;

use std::process::ExitCode;

use clap::Parser;

use args::{Asked, Command};
use stopping::{Stopped, stop_on_signals};

/// How a run ends; the numbers are a promise to scripts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// A verdict of "does not go" is a result, too.
    Done,
    BookHasErrors,
    CommandLineWrong,
    MachineFailed,
}

impl Ending {
    fn code(self) -> u8 {
        match self {
            Ending::Done => 0,
            Ending::BookHasErrors => 1,
            Ending::CommandLineWrong => 2,
            Ending::MachineFailed => 3,
        }
    }
}

impl From<Ending> for ExitCode {
    fn from(ending: Ending) -> ExitCode {
        ExitCode::from(ending.code())
    }
}

/// Reads the program's own arguments and does what they ask.
pub fn main() -> ExitCode {
    match Asked::try_parse() {
        Ok(asked) => run(asked).into(),
        Err(refusal) => {
            // Help and version are no mistakes: clap prints those to standard output and counts them as done.
            let ending = if refusal.use_stderr() { Ending::CommandLineWrong } else { Ending::Done };
            let _ = refusal.print();
            ending.into()
        }
    }
}

/// Enough for a template that includes others two hundred deep.
const STACK: usize = 16 << 20;

fn run(asked: Asked) -> Ending {
    let stopped = match asked.command {
        Command::Watch(_) => Stopped::AsMeant,
        _ => Stopped::Early,
    };
    if let Err(error) = stop_on_signals(stopped) {
        return broken_machine::tell("listening for Ctrl-C", &error);
    }
    let threads = asked.threads.map_or(0, usize::from);
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).stack_size(STACK);
    if let Err(error) = pool.build_global() {
        return broken_machine::tell("starting the worker threads", &error);
    }
    match asked.command {
        Command::Compile(typed) => compile::run(&typed),
        Command::Watch(typed) => watch::run(&typed),
        Command::Inspect(typed) => inspect::run(&typed),
        Command::Pair(typed) => pair::run(&typed),
        Command::Route(typed) => route::run(&typed),
        Command::Begin(typed) => begin::run(&typed),
        Command::Reference(typed) => reference::run(&typed),
        Command::Ids(typed) => ids::run(&typed),
        Command::Completions(typed) => help::completions(&typed),
        Command::Manual => help::manual(),
        Command::Unpack(typed) => unpack::run(&typed),
    }
}
