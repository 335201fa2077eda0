//! On which head tubes, and so on which decks, an answer holds. A deck is never promised more than was computed.

use super::bench::Bench;
use super::page::{DeckRow, HeadTubeRange};
use super::set_in;
use crate::catalogue::{PartIx, Variant};
use crate::kinds::NamedDim;
use crate::quantity::Length;
use crate::solve::{Alternative, HeadTube, Verdict, shortest_head_tube};

const KIND: &str = "deck";
const LENGTH: &str = "head_tube_length";

/// "92.0 to 95.7 mm", "98.0 to 101.7 mm (9 mm riser)"
pub fn ranges(bench: &Bench) -> Vec<String> {
    let ranges = bench.answer.head_tube.iter().filter_map(|tube| range(bench, tube));
    let mut told: Vec<String> = ranges.collect();
    if !told.is_empty() {
        told.extend(set_in::only_as_planned(bench));
    }
    told
}

/// The same in millimetres, for drawing.
pub fn drawn(bench: &Bench) -> Vec<HeadTubeRange> {
    let told = bench.answer.head_tube.iter().filter(|tube| range(bench, tube).is_some());
    let mm = |nanometres: i64| nanometres as f64 / 1e6;
    told.map(|t| HeadTubeRange { least_mm: mm(t.least), most_mm: mm(t.most), as_planned: t.as_planned })
        .collect()
}

/// For which lengths of head tube the plan holds just as it is.
pub fn here(bench: &Bench) -> Option<String> {
    told(bench, bench.answer.head_tube.iter().find(|tube| tube.as_planned)?)
}

/// A range that begins where a head tube has no metal left between its seats has, on the bench, no least.
fn told(bench: &Bench, tube: &HeadTube) -> Option<String> {
    let planned = bench.items().find(|&(item, _)| bench.part_of(item).kind == KIND);
    let shortest = planned.map_or(0, |(item, _)| shortest_head_tube(&bench.variant_of(item).shape));
    if tube.least > shortest + NO_METAL {
        return bench.lengths().inward(tube.least, tube.most, 1);
    }
    bench.lengths().open_inward(None, Some(tube.most))
}

/// What is left of the bore between the seats of a head tube that nobody makes. Nanometres.
const NO_METAL: i64 = 1_000_000;

fn range(bench: &Bench, tube: &HeadTube) -> Option<String> {
    let range = told(bench, tube)?;
    match with(bench, tube) {
        None => Some(range),
        Some(with) => Some(bench.words().say("head-tube.with", &[("range", &range), ("with", &with)])),
    }
}

fn with(bench: &Bench, tube: &HeadTube) -> Option<String> {
    let names: Vec<String> =
        tube.with.iter().map(|&ix| bench.book.catalogue.part_of(ix).name.clone()).collect();
    (!names.is_empty()).then(|| bench.words().joined("plus", &names))
}

/// Every deck of the book; none where no range is known. A deck that differs from the plan's in more than
/// the length of its head tube was not computed, and says so.
pub fn decks(bench: &Bench) -> Vec<DeckRow> {
    if bench.answer.head_tube.is_empty() {
        return vec![];
    }
    let catalogue = bench.book.catalogue;
    let variants = |part: PartIx| catalogue.part(part).variants.iter().map(|&ix| (ix, catalogue.variant(ix)));
    catalogue.of_kind(KIND).flat_map(variants).filter_map(|(_, variant)| row(bench, variant)).collect()
}

fn row(bench: &Bench, deck: &Variant) -> Option<DeckRow> {
    let part = bench.part(deck.part);
    let length = deck.shape.dims.iter().find(|d| d.name == LENGTH)?;
    let (verdict, words) = verdict(bench, deck, length);
    Some(DeckRow {
        part_id: part.id.clone(),
        name: part.name.clone(),
        head_tube: length.dimension.written.clone(),
        verdict,
        words,
    })
}

fn verdict(bench: &Bench, deck: &Variant, length: &NamedDim) -> (Verdict, String) {
    let words = bench.words();
    let planned = bench.items().find(|&(item, _)| bench.part_of(item).kind == KIND);
    let same = planned.is_some_and(|(item, _)| same_but_for_length(bench.variant_of(item), deck));
    if !same {
        return as_alternative(bench, deck);
    }
    let (least, most) = (length.dimension.least(), length.dimension.most());
    let inside = |tube: &&HeadTube| Length::nm(tube.least) <= least && most <= Length::nm(tube.most);
    let slack = Length::nm(widest_range(bench));
    let near =
        |tube: &HeadTube| Length::nm(tube.least) - slack <= most && least <= Length::nm(tube.most) + slack;
    // As the plan stands, before anything is changed for another length.
    let all = &bench.answer.head_tube;
    let as_planned = all.iter().filter(|tube| tube.as_planned).find(inside);
    if let Some(tube) = as_planned.or_else(|| all.iter().find(inside)) {
        let with = with(bench, tube).filter(|_| !tube.as_planned);
        let depth = depths(bench, deck, with.is_some());
        let mut values: Vec<(&str, &str)> = with.iter().map(|with| ("with", with.as_str())).collect();
        values.extend(depth.iter().map(|depth| ("depth", depth.as_str())));
        return match bench.answer.verdict {
            Verdict::Goes => (Verdict::Goes, words.say("deck.goes", &values)),
            _ => (Verdict::Measure, words.say("deck.after-measuring", &values)),
        };
    }
    if bench.answer.head_tube.iter().any(near) {
        return (Verdict::Measure, words.word("deck.measure"));
    }
    (Verdict::No, words.word("deck.no"))
}

/// How deep what is set in may sit on this deck, where not as in the plan. `refilled`: with other parts than the plan's.
fn depths(bench: &Bench, deck: &Variant, refilled: bool) -> Option<String> {
    if refilled {
        return set_in::only_as_planned(bench);
    }
    let is_deck = |other: &&Alternative| std::ptr::eq(bench.variant(other.variant), deck);
    let other = bench.answer.alternatives.iter().find(is_deck)?;
    let told: Vec<String> =
        other.depths.iter().map(|&(item, depth)| set_in::with_other(bench, item, depth)).collect();
    (!told.is_empty()).then(|| bench.words().joined("comma", &told))
}

/// A deck of another shape: as computed in the plan's place, if it was.
fn as_alternative(bench: &Bench, deck: &Variant) -> (Verdict, String) {
    let is_deck = |other: &&Alternative| std::ptr::eq(bench.variant(other.variant), deck);
    let found = bench.answer.alternatives.iter().find(is_deck).map(|other| other.verdict);
    let key = match found {
        Some(Verdict::Goes) => "deck.alternative-goes",
        Some(Verdict::Measure) => "deck.alternative-measure",
        Some(Verdict::No) => "deck.alternative-no",
        None => "deck.other-shape",
    };
    (found.unwrap_or(Verdict::Measure), bench.words().word(key))
}

/// The ranges of head tubes hold for all parts within tolerance. Outside them, some parts may still go: no further
/// than the widest of the computed values is wide.
fn widest_range(bench: &Bench) -> i64 {
    let values = bench.stack().checks.iter().filter_map(|check| check.value.as_ref());
    values.map(|value| value.most - value.least).max().unwrap_or(0)
}

fn same_but_for_length(planned: &Variant, deck: &Variant) -> bool {
    let others = |variant: &Variant| -> Vec<(String, Length, Length)> {
        let dims = variant.shape.dims.iter().filter(|d| d.name != LENGTH);
        dims.map(|d| (d.name.clone(), d.dimension.least(), d.dimension.most())).collect()
    };
    others(planned) == others(deck)
}
