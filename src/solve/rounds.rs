//! Searches one after the other, each allowed more than the one before.
//!
//! Must not know words.

use super::search::{Found, Ground, Near, Rank, Want};
use crate::assembly::{Build, Outcome, judge};

/// Items looked at before a search is called unfinished: in a round that allows only so many extra items, and in the
/// last one.
#[derive(Clone, Copy)]
pub(super) struct Limits {
    pub round: u64,
    pub last: u64,
    /// First with heights left aside: for what only asks whether there is a plan.
    pub aside: bool,
}

/// Items looked at by quick looks alone.
const QUICK: u64 = 100_000;

impl Limits {
    pub const USUAL: Limits = Limits { round: 2_000, last: 2_000_000, aside: false };
}

/// The best plan, as good as `at_worst` or better.
///
/// First by quick looks alone, and only the plan that is best by these is judged in full: quick looks find nothing worse than
/// there is, so when it is as good as it looked, it is the best. Only else every plan is judged that is found.
///
/// `at_best`: no plan is better, as a finished search has shown.
pub(super) fn rounds(
    ground: &Ground<'_>,
    (at_best, at_worst): (Outcome, Outcome),
    known: Option<Rank>,
    limits: Limits,
) -> Found {
    let limit = limits.last.min(QUICK);
    let want = Want { at_worst, at_best, limit, extras: usize::MAX, quick: true, aside: limits.aside };
    let quick = ground.search(want, known.clone());
    let as_it_looked = |plan: &Rank| known.as_ref() == Some(plan) || judged(ground, plan) == plan.outcome;
    if quick.unfinished {
        return in_rounds(ground, want, known, limits);
    }
    if quick.judged || quick.best.as_ref().is_none_or(as_it_looked) {
        return quick;
    }
    ground.search(Want { limit: limits.last, quick: false, ..want }, known)
}

/// With no extra items, then with ever more: a plan is found early, and bounds what follows. The last round has no
/// bound on items, so what it finishes is complete.
fn in_rounds(ground: &Ground<'_>, quick: Want, known: Option<Rank>, limits: Limits) -> Found {
    let mut found = Found { best: known, ..Found::default() };
    for extras in [0, 1, 2, usize::MAX] {
        // One plan is bound enough for the last round.
        if extras != usize::MAX && found.best.as_ref().is_some_and(|b| b.outcome <= quick.at_worst) {
            continue;
        }
        let limit = if extras == usize::MAX { limits.last } else { limits.round };
        let want = Want { limit, extras, quick: false, ..quick };
        let before = found.nearest.take();
        found = nearer(ground.search(want, found.best.take()), before);
        if !found.unfinished && !found.held_back {
            break;
        }
    }
    found
}

fn judged(ground: &Ground<'_>, plan: &Rank) -> Outcome {
    judge(&Build::of(ground.setting, &plan.picks)).worst()
}

/// With the nearer of two attempts.
pub(super) fn nearer(found: Found, before: Option<Near>) -> Found {
    let keep = match (&found.nearest, &before) {
        (Some(now), Some(before)) => before.reached >= now.reached,
        (None, _) => true,
        (_, None) => false,
    };
    if keep { Found { nearest: before, ..found } } else { found }
}
