//! How high what lies below a clamp may be, with room for some clamp above it.
//!
//! A clamp whose height is chosen must hold so much of the fork: what is surely in its way may be no higher than that leaves.
//! Only bounds: in whatever plan that passes it is no higher. Must not know search.

use super::Glance;
use super::climb::Tolls;
use super::figure::{Figure, ROUNDING};
use super::finish::squeezing;
use super::reach::{FAR, Views, views};
use super::ready::Ready;
use crate::assembly::blame::{Slots, bit, met_by};
use crate::assembly::report::Demand;
use crate::quantity::Length;
use crate::rules::{Choice, PutOn, SlotIx};
use smallvec::SmallVec;

/// More pairs of kinds are not looked at.
const MOST_PAIRS: usize = 1 << 16;

/// The clamp of a grip keeps those of a slot low.
#[derive(Clone, Copy)]
pub(super) struct Clamped {
    grip: usize,
    pub below: SlotIx,
}

/// How high something may be at most, and what that comes to beside: each higher than the one before, and more.
pub(super) type Ceilings = SmallVec<[(i64, u64); 2]>;

/// Further ones are taken for as little as the last of these.
const MOST_CEILINGS: usize = 8;

impl Glance<'_> {
    /// How high each candidate of the slot may be in this view with the clamp of a grip above it, and what that clamp comes to.
    /// `None`: there is no such grip, or none of them is any higher (`highest`: how high their bottoms may be).
    pub(super) fn under_clamp(
        &self,
        (below, highest): (SlotIx, i64),
        view: usize,
        tolls: &Tolls,
    ) -> Option<(Clamped, Vec<Ceilings>)> {
        let of_grip = |grip| {
            let under = self.under_clamp_of(grip, (below, highest), view, tolls)?;
            Some((Clamped { grip, below }, under))
        };
        (0..self.lists.grips.len()).find_map(of_grip)
    }

    fn under_clamp_of(
        &self,
        grip: usize,
        (slot, highest): (SlotIx, i64),
        view: usize,
        tolls: &Tolls,
    ) -> Option<Vec<Ceilings>> {
        let (clamp, rule) = (self.lists.grips[grip].0, self.setting.rule);
        let its = rule.slot(clamp);
        let is_chosen = matches!(its.put_on, PutOn::Chosen(Choice { into: None, .. }));
        let over = its.least > 0 && clamp > rule.pulled && rule.slot(slot).order < its.order;
        let asked = [Demand::GripLength(grip as u16), Demand::Height(clamp)];
        if !is_chosen || !over || !asked.iter().all(|&demand| self.setting.asks(demand)) {
            return None;
        }
        let (up, low) = (self.outline.slots.get(clamp.0 as usize)?, &self.outline.slots[slot.0 as usize]);
        let mut of_kinds: Vec<Ceilings> = vec![Ceilings::new(); up.kinds.bottoms.len()];
        for candidate in &up.all {
            let toll = tolls.get(clamp.0 as usize).and_then(|of| of.get(candidate.part())).copied();
            let top = self.highest_clamp(grip, &candidate.ready)?[view] + ROUNDING;
            of_kinds[candidate.bottoms].push((top, toll.unwrap_or(0)));
        }
        let lowest = of_kinds.iter().flatten().map(|ceiling| ceiling.0).min()?;
        let no_lower =
            low.all.iter().map(|c| c.ready.highest).max().is_none_or(|top| highest + top <= lowest);
        if no_lower || of_kinds.len() * low.kinds.tops.len() > MOST_PAIRS {
            return None;
        }
        of_kinds.iter_mut().for_each(in_order);
        let (up, low) = ((clamp, &**up), (slot, &**low));
        let on = self.kept.on(up, low, || self.on_kinds(up, low));
        let each = low.1.all.iter().map(|candidate| {
            let mut ceilings = Ceilings::new();
            let lift = candidate.lift.low[view];
            for (of_kind, on) in of_kinds.iter().zip(on.on.get(candidate.tops).into_iter().flatten()) {
                let met = on.filter(|on| on.surely[view] && candidate.lift.is_in(view));
                let over = met.map_or(-FAR, |met| lift + met.reach.low[view]);
                ceilings.extend(of_kind.iter().map(|&(top, toll)| (top - over, toll)));
            }
            in_order(&mut ceilings);
            ceilings
        });
        Some(each.collect())
    }

    /// How high the clamp's bottom is at most that holds as much of the fork as it must, all pinch bolts beside the fork: view by
    /// view. `None`: nobody knows.
    fn highest_clamp(&self, grip: usize, clamp: &Ready) -> Option<Views> {
        let least = self.held_of_fork(grip)?;
        let inner = self.lists.sleeves.iter().flat_map(|sleeve| &sleeve.inner).filter(|inner| inner.0.0 == 0);
        let tops = inner.filter_map(|inner| Some(self.span((0, inner.1), false)?.top));
        let top = tops.reduce(Figure::higher)?;
        let own = clamp.walls(self.lists.grips[grip].1, true)?.span;
        let held = top.minus(own.bottom).plus_length(Length::nm(-least));
        let highest = squeezing(clamp, own).fold(held, |all, pinch| all.lower(top.minus(pinch)));
        Some(views(highest.most, highest.at))
    }

    /// What it rests on that a clamp leaves no more room.
    pub(super) fn clamp_blame(&self, Clamped { grip, below }: Clamped) -> Slots {
        let clamp = self.lists.grips[grip].0;
        self.blamed(Demand::GripPinch(grip as u16), bit(clamp))
            | self.rests(Demand::Still, bit(clamp) | bit(below))
            | met_by(self.setting.rule, clamp, below)
    }
}

/// What is neither higher nor less than another is left out.
fn in_order(ceilings: &mut Ceilings) {
    ceilings.sort_unstable_by_key(|&(top, toll)| (toll, -top));
    let mut highest = i64::MIN;
    ceilings.retain(|(top, _)| {
        *top > highest && {
            highest = *top;
            true
        }
    });
    while ceilings.len() > MOST_CEILINGS {
        ceilings.pop();
        if let Some(last) = ceilings.last_mut() {
            last.0 = highest;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_higher_may_come_to_more_and_of_too_many_the_last_are_taken_for_one() {
        let mut ceilings: Ceilings =
            [(5, 20), (9, 30), (7, 30), (3, 10), (4, 25), (5, 20)].into_iter().collect();
        in_order(&mut ceilings);
        assert_eq!(ceilings[..], [(3, 10), (5, 20), (9, 30)]);
        let mut many: Ceilings = (0..20).map(|n| (n, n as u64)).collect();
        in_order(&mut many);
        assert_eq!((many.len(), many[MOST_CEILINGS - 1]), (MOST_CEILINGS, (19, 7)));
    }
}
