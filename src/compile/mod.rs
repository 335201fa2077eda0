//! The whole pipeline as one pure function: sources in, pages and problems out. No files, no clocks.

mod book;
mod drawings;
mod pairings;

use crate::base::{BookFiles, Problem, Problems, Sources};
use crate::guide::Guide;
use crate::site::{BookProse, Drawing, SiteInput, Theme, read_prose, read_theme, site};
use book::{Book, read_book};
use pairings::{Pairing, pairings};
use rayon::prelude::*;
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
    let look = read_look(files, book.as_ref(), &mut sources, &mut problems);
    let mut pages = BTreeMap::new();
    if let (Some(book), Some(look)) = (&book, &look) {
        let pairings = pairings(book, &book.pairs(), progress, &mut problems);
        match site_of(book, look, &pairings) {
            Ok(files) => pages = files,
            Err(found) => problems.0.extend(found.0),
        }
    }
    problems.sort(&sources);
    if problems.any_error() {
        pages.clear();
    }
    Compiled { pages, problems, sources }
}

/// Theme and prose.
struct Look {
    theme: Theme,
    prose: BookProse,
}

fn read_look(
    files: &BookFiles,
    book: Option<&Book>,
    sources: &mut Sources,
    problems: &mut Problems,
) -> Option<Look> {
    let prose = read_prose(files, sources, problems);
    let theme = read_theme(files, &book?.shop.default_theme, sources, problems);
    if problems.any_error() { None } else { Some(Look { theme: theme?, prose }) }
}

fn site_of(book: &Book, look: &Look, pairings: &[Pairing]) -> Result<BTreeMap<String, Vec<u8>>, Problems> {
    let guides: Vec<Guide> = pairings.iter().map(|p| p.guide.clone()).collect();
    let json: Vec<String> = pairings.iter().map(|p| p.json.clone()).collect();
    let drawings: Vec<Vec<Drawing>> = pairings
        .par_iter()
        .map(|p| drawings::drawings(book, &book.rules[p.system], &p.guide, &p.answers))
        .collect();
    let part_drawings = drawings::part_drawings(book);
    site(&SiteInput {
        shop: &book.shop,
        catalogue: &book.catalogue,
        rules: &book.rules,
        words: &book.words,
        guides: &guides,
        drawings: &drawings,
        part_drawings: &part_drawings,
        pairings: &json,
        prose: &look.prose,
        theme: &look.theme,
    })
}

/// Everything wrong or doubtful in the data.
pub fn inspect(files: &BookFiles) -> (Problems, Sources) {
    let (mut problems, mut sources) = (Problems::default(), Sources::default());
    let book = read_book(files, &mut sources, &mut problems);
    read_look(files, book.as_ref(), &mut sources, &mut problems);
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
