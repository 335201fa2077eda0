//! What to try with the parts in hand where sizes leave a check open: a sliding fit, and whatever no reading is about. Must
//! not know what a caliper can read.
//!
//! So *measure first* always names something (`tests/by_hand.rs`). Where a plan has more cases than are followed, all of it
//! is tried on a dry build. A trial that was made and written down (`src/catalogue/tried.rs`) settles the sleeve's clearance
//! where the full judgement and the quick look find it: a good one what the sizes leave open, never what they rule out; a bad
//! one whatever the sizes say. `Check::tried` and `Check::supposes` carry what a check rests on besides sizes, in JSON
//! `tried` and `supposes`.

use super::answer::{Reading, TryOut, TryWhat};
use crate::assembly::{Check, Demand, Outcome, Stack};

/// A sliding fit is tried beside every reading, for hands tell it better than two readings do; so after these every open
/// check has something that settles or narrows it.
pub(super) fn tries(stack: &Stack, readings: &[Reading]) -> Vec<TryOut> {
    let is_open = |(_, check): &(usize, &Check)| check.outcome == Outcome::Measure;
    let open: Vec<(usize, &Check)> = stack.checks.iter().enumerate().filter(is_open).collect();
    if stack.merged {
        return vec![TryOut { what: TryWhat::DryBuild, checks: open.iter().map(|c| c.0).collect() }];
    }
    let slides = |check: &Check| matches!(check.demand, Demand::SleeveClearance(_));
    let read = |index: usize| readings.iter().any(|reading| reading.checks.contains(&index));
    let what = |&(index, check): &(usize, &Check)| match (slides(check), read(index)) {
        (true, _) => Some(TryWhat::Slides(index)),
        (false, false) => Some(TryWhat::Seen(index)),
        (false, true) => None,
    };
    let mut tries: Vec<TryOut> = Vec::new();
    for found in &open {
        let Some(what) = what(found) else { continue };
        // Where it is seen what a part rests on, it is seen whether it hands the push on.
        let on = |tried: &&mut TryOut| {
            let TryWhat::Seen(other) = tried.what else { return false };
            let (rests, path) = (&stack.checks[other], found.1);
            matches!((rests.demand, path.demand), (Demand::RestsOn(_), Demand::Path))
                && rests.about.first() == path.about.first()
        };
        match tries.iter_mut().find(on) {
            Some(seen) => seen.checks.push(found.0),
            None => tries.push(TryOut { what, checks: vec![found.0] }),
        }
    }
    tries
}
