//! What a check rests on that is no size: a class or material taken for want of a datum, a trial by hand. Must not know
//! whether it holds.

use super::bench::Bench;
use super::numbers::{self, Naming};
use super::words::capital;
use crate::assembly::{Check, Supposed};

/// "Strength of Star nut 22 not known: …"
pub fn texts(bench: &Bench, check: &Check) -> Vec<String> {
    check.supposes.iter().map(|supposed| text(bench, supposed)).collect()
}

fn text(bench: &Bench, supposed: &Supposed) -> String {
    let say = |key: &str, of, taken: &str| {
        let part = bench.part_of(of).name.as_str();
        bench.words().say(key, &[("part", part), ("taken", taken)])
    };
    match supposed {
        Supposed::BoltClass { of, class } => say("assumed.class", *of, &class.to_string()),
        Supposed::NutMaterial { of, material } => say("assumed.material", *of, material),
    }
}

/// "tried by … on …: slides by hand without wobble"; `None` where sizes alone decide.
pub fn tried(bench: &Bench, check: &Check) -> Option<String> {
    let trial = bench.book.catalogue.trials.get(check.tried?)?;
    let mut values = vec![];
    values.extend(trial.by.as_deref().map(|by| ("by", by)));
    values.extend(trial.day.as_deref().map(|day| ("day", day)));
    let key = if trial.slides { "tried.slides" } else { "tried.does-not" };
    Some(bench.words().say(key, &values))
}

/// Every check of the stack that rests on one, each a whole sentence.
pub fn tried_all(bench: &Bench) -> Vec<String> {
    let one = |check: &Check| {
        let text = tried(bench, check)?;
        let what = capital(&numbers::what(bench, check, Naming::Parts));
        Some(bench.words().say("tried.row", &[("what", &what), ("text", &text)]))
    };
    bench.stack().checks.iter().filter_map(one).collect()
}
