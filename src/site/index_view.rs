//! What the overview pages show: the grid of forks and systems, all parts by kind. Must not know a template.

use serde::Serialize;

use super::links::{guide_path, part_path};
use super::numbers::{
    CHANGE, UNSETTLED, answer_shape_word, count_on_hand, head_supply, head_word, shape_word,
};
use super::pages::Book;
use crate::catalogue::{Catalogue, Part, PartBox, PartIx};
use crate::guide::{Guide, GuideAnswer};
use crate::solve::Verdict;

/// A link to a guide with its verdict.
#[derive(Clone, Serialize)]
pub(super) struct GuideLink<'a> {
    pub href: String,
    pub fork: &'a str,
    pub system: &'a str,
    pub system_short: String,
    pub verdict: &'static str,
    /// The verdict, or `unsettled`.
    pub shape: &'static str,
    pub supply: Option<&'static str>,
    pub words: &'a str,
    /// What is to be bought; empty: nothing, it does not go, or it is not the same for all answers.
    pub spend: &'a str,
    /// Where it depends: each answer in short. Empty elsewhere.
    pub halves: Vec<HalfView<'a>>,
}

/// One of the answers of a pairing where it depends.
#[derive(Clone, Serialize)]
pub(super) struct HalfView<'a> {
    pub label: &'a str,
    pub shape: &'static str,
    pub words: &'a str,
    /// What is to be bought; empty: nothing, or it does not go.
    pub spend: &'a str,
}

impl<'a> HalfView<'a> {
    fn of(told: &'a GuideAnswer) -> HalfView<'a> {
        let label = told.revision.as_ref().map_or("", |r| &r.short);
        let spend = if told.verdict == Verdict::No { "" } else { told.spend.as_str() };
        HalfView { label, shape: answer_shape_word(told), words: &told.verdict_words, spend }
    }
}

impl<'a> GuideLink<'a> {
    pub fn to(guide: &'a Guide) -> GuideLink<'a> {
        GuideLink {
            href: guide_path(&guide.fork_id, &guide.system_id),
            fork: &guide.fork_name,
            system: &guide.system_name,
            system_short: guide.system_short.join(", "),
            verdict: head_word(guide),
            shape: shape_word(guide),
            supply: head_supply(guide),
            words: &guide.verdict_words,
            spend: spend(guide),
            halves: guide.answers.iter().filter(|_| guide.depends).map(HalfView::of).collect(),
        }
    }
}

fn spend(guide: &Guide) -> &str {
    let mut spends = guide.answers.iter().map(|told| HalfView::of(told).spend);
    let first = spends.next().filter(|_| !guide.depends).unwrap_or_default();
    if spends.all(|other| other == first) { first } else { "" }
}

/// A named link; no `href` when the book has no page for it.
#[derive(Clone, Serialize)]
pub(super) struct Named<'a> {
    pub name: &'a str,
    pub href: Option<String>,
}

#[derive(Serialize)]
pub(super) struct FrontView<'a> {
    systems: Vec<SystemHead<'a>>,
    rows: Vec<ForkRow<'a>>,
    parts: usize,
    /// Some pairing is not settled.
    unsettled: bool,
    /// Some pairing goes only with a permanent change.
    changed: bool,
    /// Some pairing depends on a revision.
    depends: bool,
}

#[derive(Serialize)]
struct SystemHead<'a> {
    name: &'a str,
    short: String,
    href: Option<String>,
    summary: &'a str,
}

#[derive(Serialize)]
struct ForkRow<'a> {
    name: &'a str,
    maker: Option<&'a str>,
    href: Option<String>,
    /// As many as there are systems.
    cells: Vec<GuideLink<'a>>,
}

impl<'a> FrontView<'a> {
    pub fn of(book: &Book<'a>) -> FrontView<'a> {
        let guides = book.input.guides;
        let rows: Vec<&[Guide]> = guides.chunk_by(|a, b| a.fork_id == b.fork_id).collect();
        let first = rows.first().copied().unwrap_or_default();
        FrontView {
            systems: first.iter().map(|g| SystemHead::of(book, g)).collect(),
            rows: rows.iter().map(|row| ForkRow::of(book, row)).collect(),
            parts: book.input.catalogue.parts.len(),
            unsettled: guides.iter().any(|g| shape_word(g) == UNSETTLED),
            changed: has(guides, CHANGE),
            depends: guides.iter().any(|g| g.depends),
        }
    }
}

/// Some pairing, or one of the answers it depends on, looks like this.
fn has(guides: &[Guide], shape: &str) -> bool {
    let one = |g: &Guide| g.depends && g.answers.iter().any(|a| answer_shape_word(a) == shape);
    guides.iter().any(|g| shape_word(g) == shape || one(g))
}

impl<'a> SystemHead<'a> {
    fn of(book: &Book<'a>, guide: &'a Guide) -> SystemHead<'a> {
        let rule = book.input.rules.iter().find(|r| r.id == guide.system_id);
        SystemHead {
            name: &guide.system_name,
            short: guide.system_short.join(", "),
            href: book.links.system(&guide.system_id),
            summary: rule.map_or("", |r| &r.summary),
        }
    }
}

impl<'a> ForkRow<'a> {
    /// `row` is never empty: it comes from a grouping.
    fn of(book: &Book<'a>, row: &'a [Guide]) -> ForkRow<'a> {
        let catalogue = book.input.catalogue;
        let fork = catalogue.find(&row[0].fork_id).map(|ix| catalogue.part(ix));
        ForkRow {
            name: &row[0].fork_name,
            maker: fork.and_then(|f| f.maker.as_deref()),
            href: book.links.fork(&row[0].fork_id),
            cells: row.iter().map(GuideLink::to).collect(),
        }
    }
}

/// All parts by kind, kinds in the order of their words, then all boxes.
#[derive(Serialize)]
pub(super) struct PartsView<'a> {
    kinds: Vec<KindView<'a>>,
    boxes: Vec<ArticleView<'a>>,
}

#[derive(Serialize)]
struct KindView<'a> {
    kind: &'static str,
    name: String,
    parts: Vec<ArticleView<'a>>,
}

/// One line of a list of parts or boxes.
#[derive(Serialize)]
pub(super) struct ArticleView<'a> {
    name: &'a str,
    maker: Option<&'a str>,
    href: String,
    price: Option<String>,
    on_hand: Option<u32>,
    /// Can be bought as it is.
    sold: bool,
    boxes: Vec<Named<'a>>,
}

impl<'a> PartsView<'a> {
    pub fn of(book: &Book<'a>) -> PartsView<'a> {
        let catalogue = book.input.catalogue;
        let language = &book.input.shop.language;
        let mut kinds: Vec<&'static str> = catalogue.parts.iter().map(|p| p.kind).collect();
        kinds.sort_unstable();
        kinds.dedup();
        let of_kind = |kind| KindView {
            kind,
            name: book.wording().kinds(kind),
            parts: catalogue.of_kind(kind).map(|ix| ArticleView::part(book, ix)).collect(),
        };
        PartsView {
            kinds: kinds.into_iter().map(of_kind).collect(),
            boxes: catalogue.boxes.iter().map(|b| ArticleView::the_box(b, language)).collect(),
        }
    }
}

impl<'a> ArticleView<'a> {
    fn part(book: &Book<'a>, ix: PartIx) -> ArticleView<'a> {
        let catalogue: &'a Catalogue = book.input.catalogue;
        let part: &'a Part = catalogue.part(ix);
        ArticleView {
            name: &part.name,
            maker: part.maker.as_deref(),
            href: book.links.article(&part.id).unwrap_or_else(|| part_path(&part.id)),
            price: part.price.map(|p| p.shown(&book.input.shop.language)),
            on_hand: count_on_hand(part.on_hand),
            sold: part.loose,
            boxes: boxes_with(catalogue, ix),
        }
    }

    pub fn the_box(the_box: &'a PartBox, language: &str) -> ArticleView<'a> {
        ArticleView {
            name: &the_box.name,
            maker: the_box.maker.as_deref(),
            href: part_path(&the_box.id),
            price: the_box.price.map(|p| p.shown(language)),
            on_hand: count_on_hand(the_box.on_hand),
            sold: the_box.sold,
            boxes: vec![],
        }
    }
}

pub(super) fn boxes_with(catalogue: &Catalogue, ix: PartIx) -> Vec<Named<'_>> {
    let named = |b: crate::catalogue::BoxIx| {
        let the_box = catalogue.the_box(b);
        Named { name: the_box.name.as_str(), href: Some(part_path(&the_box.id)) }
    };
    catalogue.boxes_with(ix).map(named).collect()
}
