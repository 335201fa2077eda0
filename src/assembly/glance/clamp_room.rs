//! Is there still room for the clamp of a grip, over what has just come below it?
//!
//! A clamp whose height is chosen must hold so much of the fork, all its pinch bolts beside it: what is surely in its way
//! may be no higher than that leaves. Only rules out what no passing plan has. Must not know search.

use super::Glance;
use super::figure::{BUILDS, Figure, ROUNDING};
use super::finish::squeezing;
use super::reach::{Reach, Views, views};
use super::ready::Ready;
use super::standing::Stand;
use crate::assembly::blame::{Slots, bit, met_by};
use crate::assembly::report::{Demand, Outcome};
use crate::quantity::Length;
use crate::rules::{Choice, PutOn, SlotIx};

impl Glance<'_> {
    /// Of each grip whose clamp has not come: does every one that may come hold too little of the fork over this item?
    pub(super) fn check_clamp_room(&mut self, item: u8) {
        for grip in 0..self.lists.grips.len() {
            let clamp = self.lists.grips[grip].0;
            if !self.clamp_is_to_come(grip, item) {
                continue;
            }
            let (hopeless, some_view) = self.no_clamp_holds(grip, item);
            let outcome = match (hopeless, some_view) {
                (true, _) => Outcome::Fail,
                (_, true) => Outcome::Measure,
                _ => Outcome::Pass,
            };
            self.found_on(Demand::Height(clamp), outcome, self.clamp_blame(grip, item));
        }
    }

    fn clamp_is_to_come(&self, grip: usize, item: u8) -> bool {
        let (clamp, below) = (self.lists.grips[grip].0, self.items[item as usize].pick.slot);
        let its = self.setting.rule.slot(clamp);
        let is_chosen = matches!(its.put_on, PutOn::Chosen(Choice { into: None, .. }));
        let asked = [Demand::GripLength(grip as u16), Demand::Height(clamp)];
        !self.outline.is_empty()
            && is_chosen
            && its.least > 0
            && below.0 > 0
            && below < clamp
            && self.setting.rule.slot(below).order < its.order
            && asked.iter().all(|&demand| self.setting.asks(demand))
    }

    /// Between all ends; in one of the builds at least.
    fn no_clamp_holds(&self, grip: usize, item: u8) -> (bool, bool) {
        let clamp = self.lists.grips[grip].0;
        let Some(base) = self.bottom(item) else { return (false, false) };
        let base = Reach::of(base, [true; BUILDS]);
        let candidates = &self.outline.slots[clamp.0 as usize].all;
        let mut none = [!candidates.is_empty(); BUILDS + 1];
        self.with_standings(clamp, item, |on: &[Option<Stand>], lift| {
            let base = lift.map_or(base, |lift| base.plus(lift));
            for candidate in candidates {
                let stand = on.get(candidate.bottoms).copied().flatten();
                let highest = self.highest_clamp(grip, &candidate.ready);
                for (view, none) in none.iter_mut().enumerate() {
                    let too_low = stand.zip(highest).is_some_and(|(stand, highest)| {
                        let rounding = if view == 0 { 0 } else { ROUNDING };
                        stand.surely[view]
                            && highest[view] + rounding < base.low[view] + stand.reach.low[view]
                    });
                    *none &= too_low;
                }
            }
        });
        (none[0], none.contains(&true))
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

    /// What it rests on that the item leaves no clamp room.
    fn clamp_blame(&self, grip: usize, item: u8) -> Slots {
        let (clamp, below): (SlotIx, SlotIx) =
            (self.lists.grips[grip].0, self.items[item as usize].pick.slot);
        self.blamed(Demand::GripPinch(grip as u16), bit(clamp))
            | self.rests(Demand::Still, bit(clamp) | bit(below))
            | met_by(self.setting.rule, clamp, below)
    }
}
