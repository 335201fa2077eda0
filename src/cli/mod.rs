//! The command line: what was typed, what is done about it, what is said. Knows no geometry and no pages.
//!
//! Results go to standard output, messages to standard error. Last in the one direction: uses everything above.

mod args;
mod broken_machine;
mod clean_text;
mod colour;
mod compile;
mod inspect;
mod pair;
mod problem_json;
mod problem_text;
mod progress;
mod route;
mod say;
mod watch;

use std::process::ExitCode;

use clap::Parser;

use args::{Asked, Command};

/// How a run ends; the numbers are a promise to scripts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// A verdict of "does not go" is a result, too.
    Done,
    BookHasErrors,
    CommandLineWrong,
    MachineFailed,
}

impl From<Ending> for ExitCode {
    fn from(ending: Ending) -> ExitCode {
        ExitCode::from(match ending {
            Ending::Done => 0,
            Ending::BookHasErrors => 1,
            Ending::CommandLineWrong => 2,
            Ending::MachineFailed => 3,
        })
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

fn run(asked: Asked) -> Ending {
    if let Some(threads) = asked.threads {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(usize::from(threads.get()));
        if let Err(error) = pool.build_global() {
            return broken_machine::tell("starting the worker threads", &error);
        }
    }
    match asked.command {
        Command::Compile(typed) => compile::run(&typed),
        Command::Watch(typed) => watch::run(&typed),
        Command::Inspect(typed) => inspect::run(&typed),
        Command::Pair(typed) => pair::run(&typed),
        Command::Route(typed) => route::run(&typed),
    }
}
