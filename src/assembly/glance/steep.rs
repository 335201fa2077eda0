//! What the rest of a pile comes to at least on what is there, as a climb knows it.
//!
//! Only bounds: whatever passing plan goes on from here comes to no less. Must not know what a toll is of.

use super::Glance;
use super::ahead::Ahead;
use super::climb::{Climb, Of};
use super::figure::{BUILDS, ROUNDING};
use super::reach::Reach;
use super::stair::NEVER;
use super::standing::Stand;
use crate::assembly::blame::Slots;
use crate::rules::SlotIx;

impl Glance<'_> {
    /// What all that must come from slot `next` on comes to at least, beyond the least of each slot (`NEVER`: nothing that may
    /// come closes within the window), and the slot of what has to be that high above what stands still.
    pub fn least_toll(&self, climb: &Climb, next: usize) -> (u64, Option<SlotIx>) {
        let nothing = (0, None);
        let Some(window) = self.gap_window(next) else { return nothing };
        if let Some(clamped) = climb.clamped.filter(|_| climb.of == Of::Clamp) {
            let there = self.in_slot(clamped.below).next();
            let least =
                there.map_or_else(|| self.least_above(climb, next), |item| self.clamp_over(climb, item));
            return (least, None);
        }
        if self.closed_already(climb.view, next, window.1) {
            return nothing;
        }
        let least = self.least_above(climb, next);
        match self.least_over_still(climb, next) {
            Some((over, slot)) if over > least => (over, Some(slot)),
            _ => (least, None),
        }
    }

    /// What it rests on that so much comes, some slot's part being lifted.
    pub fn blame_of(&self, climb: &Climb, lifted: Option<SlotIx>) -> Slots {
        let lifted = lifted.map_or(0, |slot| self.lifted_by(slot, 0));
        self.gap_blame() | lifted | climb.clamped.map_or(0, |clamped| self.clamp_blame(clamped))
    }

    /// What a clamp over that item comes to.
    fn clamp_over(&self, climb: &Climb, item: u8) -> u64 {
        let it = &self.items[item as usize];
        let at = self.outline.slots[it.pick.slot.0 as usize].number(it.pick.variant, it.pick.turned);
        let ceilings = at.and_then(|at| climb.ceilings.get(at));
        let Some((ceilings, bottom)) = ceilings.zip(self.bottom(item)) else { return 0 };
        ceilings.iter().find(|ceiling| ceiling.0 >= bottom.least).map_or(NEVER, |ceiling| ceiling.1)
    }

    /// The same of any chain of parts on what is there.
    fn least_above(&self, climb: &Climb, next: usize) -> u64 {
        let rule = self.setting.rule;
        let mut least = NEVER;
        for item in 0..self.items.len() as u8 {
            let Some(base) = self.bottom(item) else { continue };
            let base = Reach::of(base, [true; BUILDS]);
            let slot = self.items[item as usize].pick.slot.0 as usize;
            for upper in next..=rule.pulled.0 as usize {
                let its = SlotIx(upper as u16);
                let left = usize::from(rule.slots[upper].most).saturating_sub(self.in_slot(its).count());
                if left == 0 || !self.may_rest(its, SlotIx(slot as u16)) || !self.comes_down(its) {
                    continue;
                }
                least = least.min(match self.kind_of_tops(item) {
                    Some((_, tops, lift)) => climb.on_tops((upper, left - 1), (slot, tops), base.plus(lift)),
                    None => self.with_standings(its, item, |on, _| climb.on_row((upper, left - 1), on, base)),
                });
            }
        }
        least
    }

    /// Something there may leave so little that the gap is not too large, whatever comes.
    fn closed_already(&self, view: usize, next: usize, most: i64) -> bool {
        let Ahead { room, beside, .. } = self.what_is_ahead(next);
        let to_fixed = room.bottom[view].saturating_sub(beside.fixed_top);
        !room.is_in(view) || to_fixed.min(beside.least[view]) <= most + ROUNDING
    }
}

impl Climb {
    /// Over what of the upper slot may stand on tops of this kind that are so high, with so many more of that slot.
    fn on_tops(&self, (upper, more): (usize, usize), (lower, tops): (usize, usize), at: Reach) -> u64 {
        let (low, high) = (at.low[self.view], at.high[self.view]);
        let on = self.on[lower].iter().find(|on| on.upper == upper);
        let level = if upper == lower { more } else { 0 };
        let least = on.and_then(|on| {
            let sort = on.sorts.get(tops)?;
            let (low, high) = (low + sort.above.0, high + sort.above.1);
            Some(on.least.get(level)?.get(sort.number)?.least((self.step.of(low), self.step.of(high) + 1)))
        });
        least.unwrap_or(NEVER)
    }

    /// The same on what stands there other than it came.
    fn on_row(&self, (upper, more): (usize, usize), row: &[Option<Stand>], base: Reach) -> u64 {
        let Some(begun) = self.begun[upper].get(more) else { return NEVER };
        let mut least = NEVER;
        for (stair, stand) in begun.iter().zip(row) {
            let Some(at) = stand.map(|stand| base.plus(stand.reach).or_nowhere()) else { continue };
            if at.is_in(self.view) {
                let steps = (self.step.of(at.low[self.view]), self.step.of(at.high[self.view]) + 1);
                least = least.min(stair.least(steps));
            }
        }
        least
    }
}
