//! Pages, links and prose: finished guides and drawings in, the files of the site out.
//!
//! Uses `base`, `quantity`, `catalogue`, `rules`, `guide`. Must not know how anything was assembled or chosen.
//!
//! Invariants: all links are relative and lead to a page of the same site; every page works with scripts off and
//! opened from a file; text from the book is always escaped; the same input gives the same bytes; no sentence
//! that a rider reads stands here: those are in the theme, the book's words and the book's prose.
//!
//! Held by `tests/site.rs` and `tests/site_book.rs`: every link leads to a page or a place on one, ids are unique, pages
//! parse without an error, markup in a book's texts is shown, never obeyed. No two pages are one file on any machine
//! (`src/base/name.rs`, `prose_names.rs`, `site_files.rs`).

mod deck_view;
mod else_view;
mod glance_view;
mod guide_view;
mod index_view;
mod key_view;
mod links;
mod links_in_prose;
mod measuring_view;
mod number_view;
mod numbers;
mod pages;
mod part_view;
mod prose;
mod prose_names;
mod reference_view;
mod shelf_view;
mod site_files;
mod step_view;
mod system_view;
mod theme;
mod typeset;
mod upgrades_view;
mod uses;
mod wording;

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::base::{Problem, Problems};
use crate::catalogue::{Catalogue, Shop};
use crate::guide::{Guide, MeasureRow, Words};
use crate::rules::Rule;

use pages::WHAT_I_HAVE;
use site_files::SiteFiles;

pub use links::{for_bars_path, fork_path, guide_path, part_path, prose_path, system_path, upgrades_path};
pub use prose::{BookProse, Prose, ProseLink, parse_prose, read_prose};
pub use reference_view::Reference;
pub use shelf_view::{OnADeck, Shelf, ShelfArticle, ShelfFork, ShelfGoal, ShelfPage, ShelfSystem, Way};
pub use theme::{BUILT_IN, Theme, built_in_theme, read_theme};
pub use upgrades_view::{Edge, ForkUpgrades, RouteRow, RoutesFrom, coming_anchor, route_anchor};

pub struct SiteInput<'a> {
    pub shop: &'a Shop,
    pub catalogue: &'a Catalogue,
    pub rules: &'a [Rule],
    /// For the names of kinds, dimensions and places; all other words of a page are the theme's.
    pub words: &'a Words,
    /// Fork by fork, and within a fork system by system.
    pub guides: &'a [Guide],
    /// For each guide.
    pub drawings: &'a [Vec<Drawing>],
    /// For other bars than those of the guides: each a page of its own.
    pub for_bars: &'a [GuideForBars],
    /// For each fork of the guides.
    pub upgrades: &'a [ForkUpgrades],
    /// What a rider has, and what goes with it. `None`: it is still being worked out, and its page alone is left out.
    pub shelf: Option<&'a Shelf>,
    /// For each variant of the catalogue its own drawing, a whole `<svg>` element; ids in it must be its own.
    pub part_drawings: &'a [Option<String>],
    /// For each guide its pairing as finished JSON.
    pub pairings: &'a [String],
    /// Sizes that are only assumed, the most useful to measure first.
    pub measuring: &'a [MeasureRow],
    /// What may be written in the book's files, where the site has a page of it.
    pub reference: Option<&'a Reference>,
    pub prose: &'a BookProse,
    pub theme: &'a Theme,
}

/// The guide of a pairing with bars that come to another plan.
#[derive(Clone, Debug, PartialEq)]
pub struct GuideForBars {
    /// Index into the guides.
    pub of: usize,
    pub guide: Guide,
    pub drawings: Vec<Drawing>,
}

/// A finished drawing of one answer of a guide.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Drawing {
    /// As in [`crate::guide::GuideAnswer::answer`].
    pub answer: usize,
    pub what: DrawingWhat,
    /// A whole `<svg>` element, printed as it is. Ids in it must be its own within the guide.
    pub svg: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DrawingWhat {
    Assembled,
    Exploded,
    /// The nearest attempt, with what fails marked.
    WhyNot,
    /// For the step with this number (from 1).
    Step(usize),
    /// Where on the scooter that step is done; with none, what the assembled section shows.
    Where(Option<usize>),
}

/// Every file of the site by its path. Linear in the pages; rendered on all cores, in the same order always.
///
/// Refused: a template that fails on a page (told once for each place in the theme), and a link in the prose
/// that leads to no page.
pub fn site(input: &SiteInput) -> Result<BTreeMap<String, Vec<u8>>, Problems> {
    site_watched(input, &|_| ())
}

/// What a thread is at while pages are rendered: a template may take too long, and nothing in it can say so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rendering<'a> {
    /// So many pages are to come.
    All(usize),
    /// The page of this path.
    Begun(&'a str),
    Ended,
}

/// As [`site`]; `tell` is told on its own thread before and after each page.
pub fn site_watched(
    input: &SiteInput,
    tell: &(dyn Fn(Rendering<'_>) + Sync),
) -> Result<BTreeMap<String, Vec<u8>>, Problems> {
    let book = pages::Book::new(input);
    let all = book.pages();
    tell(Rendering::All(all.len()));
    let render = |page: &pages::Page| {
        let path = page.path(&book);
        tell(Rendering::Begun(&path));
        let rendered = page.render(&book);
        tell(Rendering::Ended);
        (path, rendered)
    };
    let rendered: Vec<_> = all.par_iter().map(render).collect();
    let (mut files, mut problems) = (SiteFiles::default(), Problems::default());
    for (page, (path, rendered)) in all.iter().zip(rendered) {
        match rendered {
            Ok(bytes) => files.add(path, bytes, page.source(&book), &mut problems),
            Err(problem) => problems.push_new(*problem),
        }
    }
    if problems.any_error() {
        return Err(problems);
    }
    for (path, bytes) in input.theme.laid() {
        let source = format!("the theme's file {}", path.trim_start_matches("theme/"));
        files.add(path, bytes, source, &mut problems);
    }
    let data = pairings(input.pairings);
    files.add("data/pairings.json".into(), data, "the data of all pairings".into(), &mut problems);
    let files = files.pages();
    dead_links(input, &files, &mut problems);
    if problems.any_error() { Err(problems) } else { Ok(files) }
}

/// One array, one pairing a line.
fn pairings(all: &[String]) -> Vec<u8> {
    let lines: Vec<&str> = all.iter().map(|line| line.trim()).collect();
    format!("[\n{}\n]\n", lines.join(",\n")).into_bytes()
}

fn dead_links(input: &SiteInput, files: &BTreeMap<String, Vec<u8>>, problems: &mut Problems) {
    let BookProse { safety, pages, systems } = input.prose;
    for link in [safety, pages, systems].into_iter().flatten().flat_map(|p| &p.links) {
        let to_come = input.shelf.is_none() && link.path == WHAT_I_HAVE;
        if files.contains_key(&link.path) || to_come {
            continue;
        }
        let problem = Problem::error("prose-link-dead", format!("the site has no page `{}`", link.path))
            .at(link.span, "this link leads nowhere")
            .note("links inside the site are written from its front page: `parts/index.html`");
        let near = format!("pages/{}", link.path);
        problems.push(match files.contains_key(&near) {
            true => problem.mend(format!("write `{near}`")),
            false => problem,
        });
    }
}
