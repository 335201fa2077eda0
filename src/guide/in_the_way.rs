//! Where a part stops on the wrong thing on its way down: what is in the way, and by how much. Must not know words.

use super::bench::Bench;
use crate::assembly::{Check, Demand, ItemIx, Outcome, Placed, Support, rings, way_down};
use crate::kinds::Known;

/// A part that is pushed down stops on the steerer.
pub struct TooLong {
    pub item: ItemIx,
    /// What it should have come down to.
    pub onto: ItemIx,
    /// Nanometres that the steerer is too long, with the gap that has to be left over it.
    pub by: i64,
}

/// A part that should go round another stands on it.
pub struct TooWide {
    pub item: ItemIx,
    pub on: ItemIx,
    /// Diameters at nominal sizes: the hole of the one, the outside of the other.
    pub bore: i64,
    pub outside: i64,
}

/// What the push, or a part on its way down, ends on is the fork, far above what should have carried it. `check`: of those
/// that come of it.
pub fn too_long(bench: &Bench, check: &Check) -> Option<TooLong> {
    let comes_of_it = matches!(
        check.demand,
        Demand::RestsOn(_) | Demand::Path | Demand::GapLeast | Demand::Seat(_) | Demand::Lands(_)
    );
    if !comes_of_it || check.outcome != Outcome::Fail {
        return None;
    }
    let on_fork = |support: &Support| support.item == ItemIx(0) && support.certain;
    let (item, placed) = bench.items().find(|(_, placed)| {
        let rests_on = &bench.rule.slot(placed.slot).rests_on;
        let wrong = !rests_on.is_empty() && rests_on.iter().all(|slot| slot.0 != 0);
        wrong && placed.rests_on.iter().any(on_fork)
    })?;
    let may_carry = |other: &Placed| bench.rule.slot(placed.slot).rests_on.contains(&other.slot);
    let there = bench.items().filter(|(other, placed)| *other != item && may_carry(placed));
    let (onto, down) = there
        .filter_map(|(other, _)| Some((other, way_down(bench.stack(), item, other)?)))
        .min_by_key(|f| f.1)?;
    let gap = bench.stack().checks.iter().find(|c| c.demand == Demand::GapLeast).and_then(|c| c.least);
    (down > 0).then(|| TooLong { item, onto, by: down + gap.unwrap_or(0) })
}

/// The lowest ring of a part that some sleeve has go round things, standing on one that is wider.
pub fn too_wide(bench: &Bench, check: &Check) -> Option<TooWide> {
    let Demand::RestsOn(slot) = check.demand else { return None };
    let &item = check.about.first()?;
    let support = bench.item(item).rests_on.iter().find(|s| s.certain && s.item != ItemIx(0))?;
    let goes_round = bench.rule.sleeves.iter().any(|sleeve| sleeve.outer.slot == slot);
    let allowed = bench.rule.slot(slot).rests_on.contains(&bench.item(support.item).slot);
    if !goes_round || allowed || bench.part_of(item).is(Known::Whole) {
        return None;
    }
    let ends = bench.ends();
    let lowest = rings(bench.item(item), &ends).into_iter().min_by_key(|ring| ring.low)?;
    let highest = rings(bench.item(support.item), &ends).into_iter().max_by_key(|ring| ring.high)?;
    let (bore, outside) = (lowest.bore, highest.outside);
    (0 < bore && bore < outside).then_some(TooWide { item, on: support.item, bore, outside })
}
