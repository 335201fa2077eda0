//! On which lengths of head tube an answer holds. Must not know the decks of the book.

use super::bench::Bench;
use super::page::HeadTubeRange;
use super::set_in;
use crate::kinds::Known;
use crate::solve::{HeadTube, shortest_head_tube};

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
    let planned = bench.items().find(|&(item, _)| bench.part_of(item).is(Known::Deck));
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
