//! The whole pipeline as one pure function: sources in, pages and problems out. No files, no clocks.

mod book;
mod pairings;

use crate::base::{BookFiles, Problem, Problems, Sources};
use book::read_book;
use pairings::{Pairing, pairings};
use std::collections::BTreeMap;

/// What a run came to.
pub struct Compiled {
    /// Path under the site's folder to bytes. Empty when there are errors.
    pub pages: BTreeMap<String, Vec<u8>>,
    pub problems: Problems,
    pub sources: Sources,
}

/// How far the run has come.
#[derive(Clone, Copy, Debug)]
pub struct Progress {
    pub done: usize,
    pub total: usize,
}

/// One pairing as data and as text.
pub struct Paired {
    /// One line of JSON.
    pub json: String,
    /// Readable plan, plain.
    pub text: String,
}

/// Which pairings are asked for.
pub enum Which {
    All,
    One { fork: String, system: String },
}

/// Compiles a book. `progress` is told of every pairing done, from any thread.
pub fn compile(files: &BookFiles, progress: &(dyn Fn(Progress) + Sync)) -> Compiled {
    let (mut problems, mut sources) = (Problems::default(), Sources::default());
    let book = read_book(files, &mut sources, &mut problems);
    let mut pages = BTreeMap::new();
    if let Some(book) = book {
        let all: Vec<(usize, usize)> = book.pairs();
        let pairings: Vec<Pairing> = pairings(&book, &all, progress, &mut problems);
        let _ = &pairings;
        let lines: Vec<&str> = pairings.iter().map(|p| p.json.as_str()).collect();
        pages.insert("data/pairings.json".to_string(), format!("[\n{}\n]\n", lines.join(",\n")).into_bytes());
    }
    problems.sort(&sources);
    if problems.any_error() {
        pages.clear();
    }
    Compiled { pages, problems, sources }
}

/// Everything wrong or doubtful in the data.
pub fn inspect(files: &BookFiles) -> (Problems, Sources) {
    let (mut problems, mut sources) = (Problems::default(), Sources::default());
    read_book(files, &mut sources, &mut problems);
    problems.sort(&sources);
    (problems, sources)
}

/// One pairing or all; `Err` holds the problems when the book has errors or the ids are not in it.
pub fn pair(files: &BookFiles, which: Which) -> Result<Vec<Paired>, Compiled> {
    let (mut problems, mut sources) = (Problems::default(), Sources::default());
    let book = read_book(files, &mut sources, &mut problems);
    let asked = book.as_ref().and_then(|book| match &which {
        Which::All => Some(book.pairs()),
        Which::One { fork, system } => book.pair(fork, system, &mut problems).map(|pair| vec![pair]),
    });
    let done = match (&book, asked) {
        (Some(book), Some(asked)) => pairings(book, &asked, &|_| (), &mut problems),
        _ => Vec::new(),
    };
    problems.sort(&sources);
    if problems.any_error() {
        return Err(Compiled { pages: BTreeMap::new(), problems, sources });
    }
    Ok(done.into_iter().map(|p| Paired { json: p.json, text: p.text }).collect())
}

/// An id that the command line named and the book does not have.
fn unknown(code: &'static str, what: &str, id: &str, near: Option<&str>) -> Problem {
    let problem = Problem::error(code, format!("the book has no {what} \"{id}\""));
    match near {
        Some(near) => problem.mend(format!("try {near}")),
        None => problem.mend(format!("name a {what} of the book")),
    }
}
