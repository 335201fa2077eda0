//! What to measure first, each reading with its three zones. Must not know why it is asked.

use super::bench::Bench;
use super::numbers::{self, Naming};
use super::page::MeasuringStep;
use crate::solve::{ReadWhat, Reading};

pub fn steps(bench: &Bench) -> Vec<MeasuringStep> {
    let mut readings: Vec<&Reading> = bench.answer.readings.iter().collect();
    readings.sort_by_key(|reading| reading.order);
    readings.into_iter().filter_map(|reading| step(bench, reading)).collect()
}

/// `None` only where the reading points at nothing in the stack.
pub fn step(bench: &Bench, reading: &Reading) -> Option<MeasuringStep> {
    let words = bench.words();
    let decides = words.word(if reading.decides { "measure.decides" } else { "measure.helps" });
    Some(MeasuringStep {
        text: format!("{} {decides}", what(bench, reading)?),
        go: go(bench, reading),
        no_go: no_go(bench, reading),
        undecided: undecided(bench, reading),
    })
}

fn what(bench: &Bench, reading: &Reading) -> Option<String> {
    let words = bench.words();
    let caliper = bench.lengths().exact(reading.caliper);
    match reading.what {
        ReadWhat::Dim(dim) => {
            let dim = bench.stack().dims.get(dim as usize)?;
            let (name, part) = (bench.dim_word(&dim.name), bench.part_of(dim.item).name.as_str());
            Some(words.say("measure.dim", &[("dim", &name), ("part", part), ("caliper", &caliper)]))
        }
        ReadWhat::DryBuild(check) => {
            let what = numbers::what(bench, bench.stack().checks.get(check)?, Naming::Places);
            Some(words.say("measure.dry", &[("what", &what), ("caliper", &caliper)]))
        }
    }
}

fn go(bench: &Bench, reading: &Reading) -> String {
    let words = bench.words();
    if reading.go_from.is_none() && reading.go_to.is_none() {
        let bounded = reading.no_below.is_some() || reading.no_above.is_some();
        return words.word(if bounded { "measure.go-never" } else { "measure.go-any" });
    }
    match bench.lengths().open_inward(reading.go_from, reading.go_to) {
        Some(range) => words.say("measure.go", &[("range", &range)]),
        None => words.word("measure.go-never"),
    }
}

fn no_go(bench: &Bench, reading: &Reading) -> Option<String> {
    let (words, lengths) = (bench.words(), bench.lengths());
    let below =
        reading.no_below.map(|v| words.say("measure.no-below", &[("value", &lengths.no_more_than(v))]));
    let above =
        reading.no_above.map(|v| words.say("measure.no-above", &[("value", &lengths.no_less_than(v))]));
    let zones: Vec<String> = below.into_iter().chain(above).collect();
    (!zones.is_empty()).then(|| words.say("measure.no-go", &[("list", &words.joined("comma", &zones))]))
}

/// What lies between go and no go.
fn undecided(bench: &Bench, reading: &Reading) -> Option<String> {
    let (words, lengths) = (bench.words(), bench.lengths());
    let zone = |from: Option<i64>, to: Option<i64>| match (from, to) {
        (Some(from), Some(to)) => (from < to).then(|| lengths.outward(from, to)),
        (Some(from), None) => Some(words.say("measure.above", &[("value", &lengths.one(from))])),
        (None, Some(to)) => Some(words.say("measure.below", &[("value", &lengths.one(to))])),
        (None, None) => None,
    };
    let never = match (reading.go_from, reading.go_to) {
        (None, None) => true,
        (Some(from), Some(to)) => from > to,
        _ => false,
    };
    let zones: Vec<String> = if never {
        zone(reading.no_below, reading.no_above).into_iter().collect()
    } else {
        let low = reading.go_from.and_then(|go| zone(reading.no_below, Some(go)));
        let high = reading.go_to.and_then(|go| zone(Some(go), reading.no_above));
        low.into_iter().chain(high).collect()
    };
    (!zones.is_empty()).then(|| words.say("measure.undecided", &[("list", &words.joined("comma", &zones))]))
}
