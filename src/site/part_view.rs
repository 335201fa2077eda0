//! What the pages of parts, forks and boxes show. Must not know a template.

use std::collections::BTreeSet;

use serde::Serialize;

use super::deck_view::{OnDeckView, on_deck};
use super::glance_view::{InsteadView, going, may_go};
use super::index_view::{GuideLink, Named, boxes_with};
use super::key_view::ClassLink;
use super::links::{fork_path, part_path, upgrades_path};
use super::numbers::{count_on_hand, millimetres};
use super::pages::Book;
use super::uses::PartUses;
use super::wording::Wording;
use crate::catalogue::{BoxIx, PartIx, VariantIx};
use crate::kinds::{Features, Known, NamedDim, Shape};

#[derive(Serialize)]
pub(super) struct PartView<'a> {
    id: &'a str,
    kind: &'static str,
    kind_names: String,
    name: &'a str,
    maker: Option<&'a str>,
    about: Option<&'a str>,
    price: Option<String>,
    on_hand: Option<u32>,
    loose: bool,
    colours: &'a [String],
    variants: Vec<VariantView<'a>>,
    boxes: Vec<Named<'a>>,
    /// The page of its own that a fork has.
    fork_href: Option<String>,
    uses: UsesView<'a>,
    is_deck: bool,
    /// For a deck, in place of its uses: what goes on it.
    on_deck: Vec<OnDeckView<'a>>,
}

#[derive(Serialize)]
struct VariantView<'a> {
    revision: Option<RevisionView<'a>>,
    dims: Vec<DimView<'a>>,
    drawing: Option<&'a str>,
    facts: Vec<Fact>,
}

#[derive(Serialize)]
struct RevisionView<'a> {
    id: &'a str,
    since: Option<&'a str>,
    tell: Option<&'a str>,
    sold: bool,
}

/// A dimension as written, and what it is taken as.
#[derive(Serialize)]
struct DimView<'a> {
    name: String,
    nature: &'static str,
    written: &'a str,
    origin: &'static str,
    least: String,
    most: String,
}

/// Something about a part that is no dimension; the theme has the word for `about`.
#[derive(Serialize)]
struct Fact {
    about: &'static str,
    value: String,
}

/// Guides by how they name the part.
#[derive(Serialize)]
struct UsesView<'a> {
    stands: Vec<ForkGuides<'a>>,
    could: Vec<ForkGuides<'a>>,
    left: Vec<ForkGuides<'a>>,
    bought: Vec<ForkGuides<'a>>,
}

#[derive(Serialize)]
struct ForkGuides<'a> {
    fork: &'a str,
    guides: Vec<GuideLink<'a>>,
}

impl<'a> PartView<'a> {
    pub fn of(book: &Book<'a>, ix: PartIx) -> PartView<'a> {
        let catalogue = book.input.catalogue;
        let part = catalogue.part(ix);
        let variants = part.variants.iter().map(|&v| VariantView::of(book, v));
        PartView {
            id: &part.id,
            kind: part.kind,
            kind_names: book.wording().kinds(part.kind),
            name: &part.name,
            maker: part.maker.as_deref(),
            about: part.about.as_deref(),
            price: part.price.map(|p| p.shown(&book.input.shop.language)),
            on_hand: count_on_hand(part.on_hand),
            loose: part.loose,
            colours: &part.colours,
            variants: variants.collect(),
            boxes: boxes_with(catalogue, ix),
            fork_href: (part.is(Known::Fork)).then(|| fork_path(&part.id)),
            uses: UsesView::of(book, &book.uses.part(&part.id)),
            is_deck: part.is(Known::Deck),
            on_deck: if part.is(Known::Deck) { on_deck(book, &part.id) } else { vec![] },
        }
    }
}

impl<'a> VariantView<'a> {
    fn of(book: &Book<'a>, ix: VariantIx) -> VariantView<'a> {
        let (wording, variant) = (book.wording(), book.input.catalogue.variant(ix));
        let drawing = book.input.part_drawings.get(ix.0 as usize).and_then(Option::as_deref);
        let revision = variant.revision.as_ref().map(|r| RevisionView {
            id: &r.id,
            since: r.since.as_deref(),
            tell: r.tell.as_deref(),
            sold: r.sold,
        });
        let Shape { dims, features, .. } = &variant.shape;
        let dims = dims.iter().map(|d| DimView::of(wording, d)).collect();
        VariantView { revision, dims, drawing, facts: facts(wording, features) }
    }
}

impl<'a> DimView<'a> {
    fn of(wording: Wording, dim: &'a NamedDim) -> DimView<'a> {
        DimView {
            name: wording.dim(&dim.name),
            nature: dim.nature.word(),
            written: &dim.dimension.written,
            origin: dim.dimension.origin.word(),
            least: millimetres(dim.dimension.least()),
            most: millimetres(dim.dimension.most()),
        }
    }
}

fn facts(wording: Wording, features: &Features) -> Vec<Fact> {
    let mut facts: Vec<Fact> = vec![];
    let mut tell = |about, value: String| facts.push(Fact { about, value });
    for thread in &features.threads {
        tell(if thread.male { "thread-outside" } else { "thread-inside" }, thread.thread.to_string());
    }
    if let Some(thread) = features.pinch_thread {
        tell("pinch-thread", thread.to_string());
    }
    if let Some(drive) = &features.drive {
        tell("tool", wording.tool(drive));
        let torque = drive.torque_written.clone().or_else(|| drive.torque.map(|t| t.to_string()));
        torque.into_iter().for_each(|t| tell("torque", t));
    }
    if let Some(knurled) = features.knurled {
        tell("knurl", wording.knurl(knurled.pattern));
    }
    features.property_class.iter().for_each(|c| tell("property-class", c.clone()));
    features.material.iter().for_each(|m| tell("material", m.clone()));
    facts
}

impl<'a> UsesView<'a> {
    fn of(book: &Book<'a>, uses: &PartUses) -> UsesView<'a> {
        let by_fork = |guides: &[usize]| by_fork(book, guides);
        UsesView {
            stands: by_fork(&uses.stands),
            could: by_fork(&uses.could),
            left: by_fork(&uses.left),
            bought: by_fork(&uses.bought),
        }
    }
}

fn by_fork<'a>(book: &Book<'a>, guides: &[usize]) -> Vec<ForkGuides<'a>> {
    let links: Vec<GuideLink> = guides.iter().map(|&g| book.guide_link(g)).collect();
    let rows = links.chunk_by(|a, b| a.fork == b.fork);
    rows.map(|row| ForkGuides { fork: row[0].fork, guides: row.to_vec() }).collect()
}

/// A fork's own page: its data, and how it goes with each system.
#[derive(Serialize)]
pub(super) struct ForkView<'a> {
    part: PartView<'a>,
    part_href: String,
    /// The page with its upgrade map, where there is one.
    upgrades: Option<String>,
    /// What goes or may go, cheapest first; then what does not.
    goes: Vec<InsteadView<'a>>,
    guides: Vec<GuideLink<'a>>,
    /// Guides of other forks that name this one: it lies in a box that they need.
    elsewhere: Vec<ForkGuides<'a>>,
    /// Where the key to an unknown fork ends with this one.
    classes: Vec<ClassLink<'a>>,
}

impl<'a> ForkView<'a> {
    pub fn of(book: &'a Book<'a>, ix: PartIx) -> ForkView<'a> {
        let id = &book.input.catalogue.part(ix).id;
        let uses = book.uses.part(id);
        let named = [uses.stands, uses.could, uses.left, uses.bought].concat();
        let others: BTreeSet<usize> =
            named.into_iter().filter(|&g| book.input.guides[g].fork_id != *id).collect();
        ForkView {
            elsewhere: by_fork(book, &others.into_iter().collect::<Vec<_>>()),
            classes: ClassLink::of_fork(&book.key, id),
            part: PartView::of(book, ix),
            part_href: part_path(id),
            upgrades: book.input.upgrades.iter().any(|u| u.fork_id == *id).then(|| upgrades_path(id)),
            goes: going(book, |g| g.fork_id == *id),
            guides: book.guides_where(|g| g.fork_id == *id && !may_go(g)),
        }
    }
}

#[derive(Serialize)]
pub(super) struct BoxView<'a> {
    id: &'a str,
    name: &'a str,
    maker: Option<&'a str>,
    about: Option<&'a str>,
    price: Option<String>,
    on_hand: Option<u32>,
    sold: bool,
    holds: Vec<Held<'a>>,
    uses: UsesView<'a>,
}

#[derive(Serialize)]
struct Held<'a> {
    name: &'a str,
    kind: String,
    href: Option<String>,
    count: u32,
    /// The one that the box says it holds.
    revision: Option<&'a str>,
    /// The part has several, and the box does not say which.
    any_revision: bool,
}

impl<'a> BoxView<'a> {
    pub fn of(book: &Book<'a>, ix: BoxIx) -> BoxView<'a> {
        let catalogue = book.input.catalogue;
        let the_box = catalogue.the_box(ix);
        let held = |held: &crate::catalogue::Held| {
            let part = catalogue.part(held.part);
            let kind = book.wording().kind(part.kind);
            let said = held.revision.and_then(|v| catalogue.variant(v).revision.as_ref());
            Held {
                name: &part.name,
                kind,
                href: book.links.article(&part.id),
                count: held.count,
                revision: said.map(|r| r.id.as_str()),
                any_revision: catalogue.may_be(held).len() > 1,
            }
        };
        BoxView {
            id: &the_box.id,
            name: &the_box.name,
            maker: the_box.maker.as_deref(),
            about: the_box.about.as_deref(),
            price: the_box.price.map(|p| p.shown(&book.input.shop.language)),
            on_hand: count_on_hand(the_box.on_hand),
            sold: the_box.sold,
            holds: the_box.holds.iter().map(held).collect(),
            uses: UsesView::of(book, &book.uses.part(&the_box.id)),
        }
    }
}
