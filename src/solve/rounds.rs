//! The best plan, first by quick looks alone.
//!
//! Must not know words.

use super::search::{Found, Ground, Near, Rank, Want};
use crate::assembly::Outcome;

/// Items looked at before a search is called unfinished.
#[derive(Clone, Copy)]
pub(super) struct Limits {
    pub most: u64,
    /// First with heights of the pile left aside: for what only asks whether there is a plan.
    pub aside: bool,
}

impl Limits {
    pub const USUAL: Limits = Limits { most: 2_000_000, aside: false };
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
    let (limit, aside) = (limits.most, limits.aside);
    let want = Want { at_worst, at_best, limit, quick: true, aside, first: false };
    let quick = ground.search_in_parts(want, known.clone());
    let as_it_looked = |plan: &Rank| known.as_ref() == Some(plan) || ground.is_as_told(plan);
    if quick.unfinished || quick.judged || quick.best.as_ref().is_none_or(as_it_looked) {
        return quick;
    }
    ground.search_in_parts(Want { quick: false, ..want }, known)
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
