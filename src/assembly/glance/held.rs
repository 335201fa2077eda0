//! Lengths that parts to come must hold or overlap on what stands already.
//!
//! Only rules out what no passing plan has. Must not know search.

use super::Glance;
use super::figure::{BUILDS, Figure, ROUNDING};
use super::narrow::Narrowed;
use super::reach::{Reach, VIEWS, Views, views};
use super::ready::Ready;
use super::sorted::Candidate;
use crate::assembly::blame::{Slots, bit};
use crate::assembly::report::Demand;
use crate::rules::SlotIx;
use smallvec::SmallVec;

/// A length that must be held or overlapped, as the slot's own part decides it.
pub(super) struct Held {
    pub demand: Demand,
    surface: super::ready::NameIx,
    least: i64,
    /// Nothing that it could be held against reaches higher.
    top: Views,
    /// Slots of that.
    pub with: Slots,
}

impl Glance<'_> {
    /// Lengths that the slot's part must hold or overlap on what stands already.
    pub(super) fn held(&self, slot: SlotIx, next: usize) -> Vec<Held> {
        let mut found = Vec::new();
        for (index, sleeve) in self.lists.sleeves.iter().enumerate() {
            let demand = Demand::SleeveOverlap(index as u16);
            let done = sleeve.inner.iter().all(|i| (i.0.0 as usize) < next);
            let Some(least) = sleeve.overlap_least.filter(|_| sleeve.outer.0 == slot && done) else {
                continue;
            };
            let walls = sleeve
                .inner
                .iter()
                .flat_map(|&(slot, surface)| self.in_slot(slot).map(move |item| (item, surface)))
                .filter(|(item, surface)| self.items[*item as usize].ready.has_surface(*surface));
            let tops: Option<Vec<Figure>> = walls.map(|wall| Some(self.span(wall, false)?.top)).collect();
            let top = tops.unwrap_or_default().into_iter().reduce(Figure::higher);
            if let Some(top) = top.filter(|_| self.setting.asks(demand)) {
                let with = sleeve.inner.iter().fold(0, |all, s| all | bit(s.0));
                let top = views(top.most, top.at);
                found.push(Held { demand, surface: sleeve.outer.1, least, top, with });
            }
        }
        for (index, &(by, surface)) in self.lists.grips.iter().enumerate() {
            let asked = by == slot && self.setting.asks(Demand::GripLength(index as u16));
            let Some(least) = self.held_of_fork(index).filter(|_| asked) else { continue };
            if let Some(base) = self.bottom(0) {
                let top = [base.most + self.items[0].ready.highest; VIEWS];
                // Of the grip only the clamp and the fork are relied on.
                let demand = Demand::Lands(slot);
                found.push(Held { demand, surface, least, top, with: bit(SlotIx(0)) });
            }
        }
        found
    }

    /// How much of the fork the clamp of a grip must hold.
    pub(super) fn held_of_fork(&self, grip: usize) -> Option<i64> {
        let layers = &self.setting.rule.grips[grip].layers;
        Some(layers.iter().find(|layer| layer.slot.0 == 0)?.least?.as_nm())
    }

    /// Of what comes after the pulled part: once all that it may rest on is there, does any hold as much as it must?
    pub(super) fn narrow_above(&self, slot: SlotIx, next: usize, narrowed: &mut Narrowed) {
        let its = self.setting.rule.slot(slot);
        let to_come = (self.lists.rests_on[slot.0 as usize] & !bit(slot)) >> next != 0;
        if its.least != 1 || its.most != 1 || to_come || !self.comes_down(slot) {
            return;
        }
        let (held, views) = (self.held(slot, next), self.views());
        let stands = if held.is_empty() { return } else { self.may_stand(slot.0 as usize, &[]) };
        let all = &self.outline.slots[slot.0 as usize].all;
        let is_in = |reach: &Reach| (0..views).all(|view| reach.is_in(view));
        let holds = |candidate: &Candidate| {
            let mut reach = stands[candidate.bottoms];
            // What has nothing to stand on is told when it comes.
            !is_in(&reach) || held.iter().all(|held| !held.leave_out(&candidate.ready, &mut reach, views))
        };
        if !all.iter().any(holds) {
            narrowed.dead = true;
            narrowed.blame |= held.iter().fold(0, |all, h| all | self.blamed(h.demand, bit(slot) | h.with));
        }
    }
}

impl Held {
    /// Leaves out the views in which the part, standing so, holds too little; whether there was any.
    pub fn leave_out(&self, part: &Ready, stands: &mut Reach, views: usize) -> bool {
        let Some(wall) = part.walls(self.surface, true) else { return false };
        let bottom = Reach::of(wall.span.bottom, [true; BUILDS]);
        let mut any = false;
        for view in (0..views).filter(|&v| stands.is_in(v)).collect::<SmallVec<[usize; VIEWS]>>() {
            let rounding = if view == 0 { 0 } else { ROUNDING };
            if self.top[view] - (stands.low[view] + bottom.low[view]) < self.least - rounding {
                any = true;
                stands.leave_out(view);
                if view == 0 {
                    *stands = Reach::NOWHERE;
                    break;
                }
            }
        }
        any
    }
}
