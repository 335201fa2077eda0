//! What a pairing comes to with each set of bars of the book. A set is never promised more than was computed.

use super::bench::Book;
use super::page::{BarsRow, Guide};
use crate::assembly::Outcome;
use crate::catalogue::VariantIx;
use crate::solve::Verdict;

/// One set of bars, and what comes of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WithBars {
    pub bars: VariantIx,
    pub comes_to: ComesTo,
    /// Revisions differ in how sure it is, or in whether anything goes.
    pub depends: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ComesTo {
    /// The plan of the guide, with these in place of its bars.
    TheSame(Outcome),
    /// The same parts, but steps with figures of their own; told for this set of bars, the first that comes to it.
    OtherFigures(Outcome, VariantIx),
    /// Another plan; it is told for this set of bars, the first that comes to it.
    Another(Outcome, VariantIx),
    /// The search for one came to its limit.
    Unsettled,
    Nothing,
}

/// Adds to the guide what it comes to with these.
pub fn tell_bars(book: &Book, guide: &mut Guide, all: &[WithBars]) {
    guide.bars = all.iter().map(|of| row(book, of)).collect();
}

fn row(book: &Book, of: &WithBars) -> BarsRow {
    let (verdict, key, page) = match of.comes_to {
        ComesTo::TheSame(Outcome::Pass) => (Verdict::Goes, "bars.goes", None),
        ComesTo::TheSame(_) => (Verdict::Measure, "bars.measure-as-said", None),
        ComesTo::OtherFigures(Outcome::Pass, first) => (Verdict::Goes, "bars.figures-goes", Some(first)),
        ComesTo::OtherFigures(_, first) => (Verdict::Measure, "bars.figures-measure", Some(first)),
        ComesTo::Another(Outcome::Pass, first) => (Verdict::Goes, "bars.other-goes", Some(first)),
        ComesTo::Another(_, first) => (Verdict::Measure, "bars.other-measure", Some(first)),
        ComesTo::Unsettled => (Verdict::Measure, "bars.unsettled", None),
        ComesTo::Nothing => (Verdict::No, "bars.no", None),
    };
    let key = match of.comes_to {
        ComesTo::TheSame(_) if of.depends => "bars.depends",
        ComesTo::OtherFigures(..) if of.depends => "bars.figures-depends",
        ComesTo::Another(..) if of.depends => "bars.other-depends",
        _ => key,
    };
    BarsRow {
        part_id: book.catalogue.part_of(of.bars).id.clone(),
        name: book.variant_name(of.bars),
        verdict,
        words: book.words.word(key),
        page: page.map(|first| variant_id(book, first)),
        unsettled: of.comes_to == ComesTo::Unsettled,
        depends: of.depends,
    }
}

/// A part's id with its revision, where it has one, as a name of a page or of a place on one.
pub fn variant_id(book: &Book, variant: VariantIx) -> String {
    let id = &book.catalogue.part_of(variant).id;
    match &book.catalogue.variant(variant).revision {
        Some(revision) => format!("{id}-{}", revision.id),
        None => id.clone(),
    }
}
