//! Why a page is as it is: which pairings stand on it, which files it is made from, and what was decided of its answers in the
//! run. Told from the walk that decides (`Kept::decide`), never from another. Must not know what was written.

use super::book::{Book, read_book};
use super::kept::{Decision, Kept, Pair};
use super::made_from::{Piece, Sorted};
use super::pairings;
use crate::base::{BookFiles, Problem, Problems, Sources, suggest};
use crate::built_in::Taken;
use std::collections::{BTreeMap, BTreeSet};

/// Of one page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Why {
    /// Each pairing whose answer is on the page, its own first.
    pub answers: Vec<(Pair, Decision)>,
    /// What those answers are made from: files of the book, with what is read of them. Empty: all of it.
    pub made_from: BTreeMap<String, BTreeSet<String>>,
    /// Of the files above and below those that come with the program.
    pub built_in: BTreeSet<String>,
    /// What else the page shows: names, sentences, prose, the theme.
    pub shown_with: Vec<String>,
}

/// Which pairings are on a page.
enum On {
    None,
    /// A guide's own; then its fork's others, which it tells the ways from.
    Guide {
        fork: String,
        system: String,
    },
    Fork(String),
    System(String),
    All,
}

/// So many pages are named where several are meant or near.
const MOST_TOLD: usize = 8;

/// After a run with what it kept; where the run had nothing to do, `kept` is what the run before left, and the same is decided
/// here. Nothing where the book has errors.
pub fn why(files: &BookFiles, kept: &Kept, page: &str) -> Option<Why> {
    let taken = Taken::of(files);
    let all = &*taken.files;
    let book = read_book(all, &mut Sources::default(), &mut Problems::default())?;
    let sorted = Sorted::of(&book, all);
    let pairs = book.pairs();
    let decided = |pair: &(usize, usize)| kept.decision(&pairings::name(&book, *pair)).is_some();
    if !pairs.iter().all(decided) {
        pairings::decide(&book, &pairs, (&sorted, kept));
    }
    let on = on(page);
    let mut wanted: Vec<(usize, usize)> =
        pairs.iter().copied().filter(|pair| on.has(&pairings::name(&book, *pair))).collect();
    wanted.sort_by_key(|pair| !on.is_own(&pairings::name(&book, *pair)));
    let pieces = wanted.iter().flat_map(|&(fork, system)| sorted.pieces(&book, book.forks[fork], system));
    let mut made_from = by_file(pieces);
    // Of ids, which are of no one file, nothing need be said: each of their files is there.
    made_from.remove("");
    let answer = |pair: &(usize, usize)| {
        let name = pairings::name(&book, *pair);
        let decision = kept.decision(&name)?;
        Some((name, decision))
    };
    let answers = wanted.iter().filter_map(answer).collect();
    let shown_with = shown_with(page, &book, all);
    let built_in = made_from.keys().chain(&shown_with).filter(|path| !files.contains_key(*path));
    let built_in = built_in.cloned().collect();
    Some(Why { answers, made_from, built_in, shown_with })
}

/// Of a file that is read as a whole its pieces need not be named.
fn by_file<'p>(pieces: impl Iterator<Item = &'p Piece>) -> BTreeMap<String, BTreeSet<String>> {
    let mut files: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for Piece { path, what, .. } in pieces {
        files.entry(path.clone()).or_default().insert(what.clone());
    }
    files.values_mut().filter(|whats| whats.contains("")).for_each(BTreeSet::clear);
    files
}

fn on(page: &str) -> On {
    let names: Vec<&str> = page.trim_end_matches(".html").split('/').collect();
    match names.as_slice() {
        ["guides", fork, system, ..] => {
            On::Guide { fork: (*fork).to_string(), system: (*system).to_string() }
        }
        ["forks" | "upgrades", fork] if *fork != "index" => On::Fork((*fork).to_string()),
        ["systems", system] if *system != "index" => On::System((*system).to_string()),
        ["pages" | "theme", ..] | ["reference"] => On::None,
        _ => On::All,
    }
}

impl On {
    fn has(&self, (fork, system): &Pair) -> bool {
        match self {
            On::None => false,
            On::Guide { fork: own, .. } | On::Fork(own) => own == fork,
            On::System(own) => own == system,
            On::All => true,
        }
    }

    fn is_own(&self, pair: &Pair) -> bool {
        matches!(self, On::Guide { fork, system } if (fork, system) == (&pair.0, &pair.1))
    }
}

/// Texts are read by every page, and so is the list of the book's own pages; prose by those that show it.
fn shown_with(page: &str, book: &Book, files: &BookFiles) -> Vec<String> {
    let theme = format!("themes/{}/", book.shop.default_theme);
    if let Some(asset) = page.strip_prefix("theme/") {
        return vec![format!("{theme}{asset}")];
    }
    let is_guide = page.starts_with("guides/");
    let shows = |path: &str| {
        path == "content/shop.toml"
            || path.starts_with("content/words/")
            || path.starts_with("content/pages/")
            || path.starts_with(&theme)
            || (path.starts_with("content/safety/") && is_guide)
            || (path.starts_with("content/systems/") && path.ends_with(".md") && page.starts_with("systems/"))
            || (path.starts_with("content/systems/") && path.ends_with(".toml"))
            || (path.starts_with("parts/") && !page.starts_with("pages/"))
    };
    files.keys().filter(|path| shows(path)).cloned().collect()
}

/// The page that is meant, of all there are: by its path, with or without its ending, or by a piece of it that no other has.
pub fn find_page<'p>(
    typed: &str,
    pages: impl Iterator<Item = &'p String> + Clone,
) -> Result<&'p str, Box<Problem>> {
    let wanted = typed.trim_start_matches("./").trim_start_matches('/');
    let exact = pages.clone().find(|page| *page == wanted || page.strip_suffix(".html") == Some(wanted));
    if let Some(page) = exact {
        return Ok(page);
    }
    let begins: Vec<&str> =
        pages.clone().map(String::as_str).filter(|page| page.starts_with(wanted)).collect();
    let holds: Vec<&str> = pages.clone().map(String::as_str).filter(|page| page.contains(wanted)).collect();
    let found = if begins.is_empty() { holds } else { begins };
    match found.as_slice() {
        _ if wanted.is_empty() => {}
        [] => {}
        [one] => return Ok(one),
        several => {
            let problem =
                Problem::error("why-page-several", format!("\"{typed}\" may be more than one page"));
            return Err(Box::new(named(problem, several).mend("write more of its path")));
        }
    }
    let problem = Problem::error("why-page-unknown", format!("the site has no page \"{typed}\""));
    let near = suggest(wanted, pages.map(String::as_str));
    Err(Box::new(match near {
        Some(near) => problem.mend(format!("try {near}")),
        None => problem.mend("write its path in the site, such as index.html"),
    }))
}

fn named(problem: Problem, pages: &[&str]) -> Problem {
    let problem = pages.iter().take(MOST_TOLD).fold(problem, |problem, page| problem.note(*page));
    match pages.len().saturating_sub(MOST_TOLD) {
        0 => problem,
        more => problem.note(format!("and {more} more")),
    }
}
