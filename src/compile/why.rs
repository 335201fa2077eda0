//! Why a page is as it is: which pairings stand on it, which files it is made from, and what was decided of its answers in the
//! run. Told from the walk that decides (`Kept::decide`), never from another. Must not know what was written.

use super::book::{Book, read_book};
use super::kept::{Decision, Kept, Pair};
use super::made_from::{Piece, Sorted};
use super::pairings;
use crate::base::{BookFiles, Problem, Problems, Sources, suggest};
use crate::built_in::Taken;
use crate::guide::GuideAnswer;
use crate::site::{Prose, part_path, prose_path, read_prose};
use crate::solve::{Rider, Verdict};
use std::collections::{BTreeMap, BTreeSet};

/// Of one page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Why {
    /// Each pairing whose answer is on the page, its own first.
    pub answers: Vec<(Pair, Decision)>,
    /// On a guide, pairings of other forks with its system: they decide which of these forks it names, beside a deck on which
    /// nothing goes or where it says no itself.
    pub others: Vec<(Pair, Decision)>,
    /// It is a guide of a book without an edition of its own: it closes with a sum of all answers.
    pub closes_with_sum: bool,
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
        for_bars: bool,
    },
    /// First its own, then all, among which are those that it is bought for, and the goals of its routes.
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
    let mut sources = Sources::default();
    let book = read_book(all, &mut sources, &mut Problems::default())?;
    let sorted = Sorted::of(&book, all);
    let pairs = book.pairs();
    let decided = |pair: &(usize, usize)| kept.decision(&pairings::name(&book, *pair)).is_some();
    if !pairs.iter().all(decided) {
        pairings::decide(&book, &pairs, (&sorted, kept));
    }
    let on = on(page);
    let names = |pair: &(usize, usize)| pairings::name(&book, *pair);
    let mut wanted: Vec<(usize, usize)> = pairs.iter().copied().filter(|pair| on.has(&names(pair))).collect();
    wanted.sort_by_key(|pair| !on.is_own(&names(pair)));
    let names_others = on.names_others(&book, (kept, &sorted), &wanted);
    let others = |pair: &(usize, usize)| names_others && on.is_other(&names(pair));
    let others: Vec<(usize, usize)> = pairs.iter().copied().filter(others).collect();
    let all_of = wanted.iter().chain(&others);
    let pieces = all_of.flat_map(|&(fork, system)| sorted.pieces(&book, book.forks[fork], system));
    let mut made_from = by_file(pieces);
    // Of ids, which are of no one file, nothing need be said: each of their files is there.
    made_from.remove("");
    let answer = |pair: &(usize, usize)| Some((names(pair), kept.decision(&names(pair))?));
    let shown_with = shown_with(page, (&book, &sources), all);
    let built_in = made_from.keys().chain(&shown_with).filter(|path| !files.contains_key(*path));
    let built_in = built_in.cloned().collect();
    Some(Why {
        answers: wanted.iter().filter_map(answer).collect(),
        others: others.iter().filter_map(answer).collect(),
        closes_with_sum: book.shop.edition.is_none() && matches!(on, On::Guide { .. }),
        made_from,
        built_in,
        shown_with,
    })
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
        ["guides", fork, system, bars @ ..] => {
            On::Guide { fork: (*fork).to_string(), system: (*system).to_string(), for_bars: !bars.is_empty() }
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
            On::Guide { fork: own, .. } => own == fork,
            On::System(own) => own == system,
            On::Fork(_) | On::All => true,
        }
    }

    fn is_own(&self, pair: &Pair) -> bool {
        match self {
            On::Guide { fork, system, .. } => (fork, system) == (&pair.0, &pair.1),
            On::Fork(fork) => *fork == pair.0,
            _ => false,
        }
    }

    /// Another fork with the system of the guide.
    fn is_other(&self, pair: &Pair) -> bool {
        matches!(self, On::Guide { fork, system, .. } if *fork != pair.0 && *system == pair.1)
    }

    /// Whether there are forks among its rows that an answer of another fork brings there: beside a deck on which nothing goes, or
    /// where it says no itself. `of_fork`: all pairings of the fork, the page's own first.
    fn names_others(
        &self,
        book: &Book,
        (kept, sorted): (&Kept, &Sorted),
        of_fork: &[(usize, usize)],
    ) -> bool {
        let On::Guide { for_bars, .. } = self else { return false };
        let kept_of = |&(fork, system): &(usize, usize)| {
            kept.answers(
                &pairings::name(book, (fork, system)),
                &sorted.pairing(book, book.forks[fork], system),
            )
        };
        let Some(answers) = of_fork.iter().map(kept_of).collect::<Option<Vec<_>>>() else { return true };
        let rider = Rider::default();
        let told = pairings::told(book, (kept, rider), of_fork, answers, None, &mut Problems::default());
        let no = |verdict| verdict == Verdict::No;
        let says_no =
            |answer: &GuideAnswer| no(answer.verdict) || answer.decks.iter().any(|row| no(row.verdict));
        // Which rows a page for other bars has is not looked up: it may have any.
        *for_bars || told.first().is_none_or(|pairing| pairing.guide.answers.iter().any(says_no))
    }
}

/// Texts are read by every page, and so is the list of the book's own pages; prose by those that show it; parts by all pages but
/// the book's own, which show those that are drawn on them.
fn shown_with(page: &str, (book, sources): (&Book, &Sources), files: &BookFiles) -> Vec<String> {
    let theme = format!("themes/{}/", book.shop.default_theme);
    if let Some(asset) = page.strip_prefix("theme/") {
        return vec![format!("{theme}{asset}")];
    }
    let is_guide = page.starts_with("guides/");
    let drawn = drawn_on(page, (book, sources), files);
    let shows = |path: &str| {
        path == "content/shop.toml"
            || path.starts_with("content/words/")
            || path.starts_with("content/pages/")
            || path.starts_with(&theme)
            || (path.starts_with("content/safety/") && is_guide)
            || (path.starts_with("content/systems/") && path.ends_with(".md") && page.starts_with("systems/"))
            || (path.starts_with("content/systems/") && path.ends_with(".toml"))
            || (path.starts_with("parts/") && (!page.starts_with("pages/") || drawn.contains(path)))
    };
    files.keys().filter(|path| shows(path)).cloned().collect()
}

/// The files of the parts that a page of the book's own draws.
fn drawn_on(page: &str, (book, sources): (&Book, &Sources), files: &BookFiles) -> BTreeSet<String> {
    let prose = read_prose(files, &mut Sources::default(), &mut Problems::default());
    let own = prose.pages.iter().filter(|prose| prose_path(&prose.slug) == page);
    let parts: Vec<String> = own.flat_map(Prose::drawn).collect();
    let drawn = book.catalogue.parts.iter().filter(|part| parts.contains(&part_path(&part.id)));
    drawn.map(|part| sources.get(part.span.file).path.clone()).collect()
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
