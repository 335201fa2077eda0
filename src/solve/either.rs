//! Which items of a plan go on either way up: turned over, each alone and all of them together, nothing changes that a
//! guide tells. Must not know how a way up is told.
//!
//! A part is told so where it is the same turned over, or where its slot may be taken both ways (or its ends are alike at
//! nominal sizes) and, turned over in the plan found, everything stands and rests where it did, each check comes out as it
//! did, and the closing gap and the head tubes are the same, in every combination with the others of which this is said.
//! Everything else is told by one of its ends (`src/kinds/telling.rs`): words in `[way]`, in a rule's step at `{way}`, and a
//! way-up triangle in drawings at that same end. A part that would do instead tells its way up where the step's own words are
//! not true of it.
//!
//! `tests/way_up.rs` turns over, in all combinations, what is told to go either way, and looks for each end that is named;
//! with `-- --ignored` all pairings and a thousand made-up books.

use super::alternatives::worst;
use super::bench::Plan;
use super::head_tube;
use crate::assembly::{Check, Demand, ItemIx, Outcome, Pick, Placed, Stack, alike_at_nominal, alike_turned};
use crate::rules::{PutOn, SlotIx};

/// So many items whose ends differ are tried in every combination; the way up of any more is told.
const MOST: usize = 4;

/// Items that are the same turned over, and those for which it makes no difference in this plan, in drop order. Of the
/// latter there are none in a plan that is to be measured (a reading is told for one way up), nor among what the rider
/// brings. What is driven into a bore has fins, which no half-section shows: it never goes either way.
pub(super) fn either_way(plan: &Plan<'_>, goes: bool) -> Vec<ItemIx> {
    let shape = |pick: &Pick| &plan.setting.catalogue.variant(pick.variant).shape;
    let slot = |pick: &Pick| plan.setting.rule.slot(pick.slot);
    let (mut alike, mut may) = (vec![], vec![]);
    for (item, pick) in plan.picks.iter().enumerate() {
        if slot(pick).put_on == PutOn::Fixed || shape(pick).features.fits_bore.is_some() {
            continue;
        }
        if alike_turned(shape(pick)) {
            alike.push(item);
        } else if !slot(pick).brought
            && ((slot(pick).as_drawn && slot(pick).turned) || alike_at_nominal(shape(pick)))
        {
            may.push(item);
        }
    }
    let mut indifferent: Vec<usize> = vec![];
    for item in may.into_iter().filter(|_| goes) {
        if indifferent.len() < MOST && plan.turns_with(&indifferent, item) {
            indifferent.push(item);
        }
    }
    let mut all: Vec<ItemIx> = alike.into_iter().chain(indifferent).map(|i| ItemIx(i as u16)).collect();
    all.sort();
    all
}

/// The picks with every choice of these items turned over, as they are first.
pub(super) fn every_way(picks: &[Pick], items: &[usize]) -> Vec<Vec<Pick>> {
    let mut all = vec![picks.to_vec()];
    for &item in items {
        let over: Vec<Vec<Pick>> = all.iter().map(|picks| turned(picks, item)).collect();
        all.extend(over);
    }
    all
}

fn turned(picks: &[Pick], item: usize) -> Vec<Pick> {
    let mut picks = picks.to_vec();
    if let Some(pick) = picks.get_mut(item) {
        pick.turned = !pick.turned;
    }
    picks
}

impl Plan<'_> {
    /// The worst that other picks in one slot come to, whichever way up the items stand that are told to go on either
    /// way up. `stack` is what they come to with those as planned. `None`: that was not looked at.
    pub fn worst_either_way(&self, picks: &[Pick], but: SlotIx, stack: &Stack) -> Option<Outcome> {
        let alike = |pick: &Pick| alike_turned(&self.setting.catalogue.variant(pick.variant).shape);
        let items = self.either_way.iter().map(|item| usize::from(item.0));
        let items: Vec<usize> = items.filter(|&i| picks[i].slot != but && !alike(&picks[i])).collect();
        let others = every_way(picks, &items).into_iter().skip(1);
        let mut all = others.map(|picks| self.assembled(&picks).map(|stack| worst(&stack)));
        all.try_fold(worst(stack), |most, next| Some(most.max(next?)))
    }

    /// Whichever way up those before stand, turning this one over changes nothing.
    fn turns_with(&self, before: &[usize], item: usize) -> bool {
        let ways = every_way(&turned(self.picks, item), before);
        let assembled =
            ways.iter().all(|picks| self.assembled(picks).is_some_and(|s| comes_to_the_same(self.stack, &s)));
        assembled && {
            let as_planned = head_tube::ranges(self);
            // What was not looked at to the end is no proof.
            ways.iter().all(|picks| head_tube::ranges(&Plan { picks, ..*self }) == as_planned)
                && self.may_go_on(&[])
        }
    }
}

/// Everything stands where it stood and every check comes out as it did, with the same closing gap.
pub(super) fn comes_to_the_same(one: &Stack, other: &Stack) -> bool {
    let stands = |a: &Placed, b: &Placed| {
        let rests = |p: &Placed| -> Vec<_> {
            p.rests_on.iter().map(|s| (s.item, s.column, s.surface, s.certain)).collect()
        };
        let landing = |p: &Placed| p.landing.as_ref().map(|v| (v.nominal, v.least, v.most));
        (a.still, a.rides_with, landing(a), rests(a)) == (b.still, b.rides_with, landing(b), rests(b))
    };
    one.merged == other.merged
        && one.pushed == other.pushed
        && one.windows == other.windows
        && one.items.len() == other.items.len()
        && one.items.iter().zip(&other.items).all(|(a, b)| stands(a, b))
        && one.checks.len() == other.checks.len()
        && one.checks.iter().zip(&other.checks).all(|(a, b)| comes_out_alike(a, b))
}

fn comes_out_alike(a: &Check, b: &Check) -> bool {
    let value = |c: &Check| c.value.as_ref().map(|v| (v.nominal, v.least, v.most));
    let told = a.demand == Demand::GapLeast || a.outcome == Outcome::Measure;
    (a.demand, &a.about, a.outcome) == (b.demand, &b.about, b.outcome) && (!told || value(a) == value(b))
}
