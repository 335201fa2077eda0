//! Must what comes in a slot rest on a part that stands still and may not carry it, whichever part comes?
//!
//! Only says so where no passing plan begins like this. Must not know search.

use super::Glance;
use super::figure::ROUNDING;
use super::floors::Floor;
use super::narrow::MayStand;
use super::reach::{FAR, Reach};
use crate::assembly::blame::{Slots, bit};
use crate::rules::SlotIx;

impl Glance<'_> {
    /// The slots that it rests on, where that is so for a slot to come.
    pub(super) fn rests_wrongly(&self, next: usize) -> Option<Slots> {
        let rule = self.setting.rule;
        let mut lower: Vec<MayStand> = vec![MayStand::default(); rule.slots.len()];
        for index in next..=rule.pulled.0 as usize {
            let slot = SlotIx(index as u16);
            // What rests on the ring is the last that reaches down to what stands still.
            if slot > self.lists.path.first()?.slot && !self.rests_on_ring(slot) {
                break;
            }
            if !self.comes_down(slot) {
                continue;
            }
            let stands = self.may_stand(index, &lower);
            if let Some(own) = self.stands_too_low(slot, &stands) {
                return self.settle(own).map(|all| all | self.seats(all) | bit(SlotIx(0)));
            }
            lower[index] = MayStand { stands, possible: Vec::new() };
        }
        None
    }

    /// Whatever must come in the slot, standing so, is lower than what stands still lets it: the slot and those of what is in its
    /// way.
    pub(super) fn stands_too_low(&self, slot: SlotIx, stands: &[Reach]) -> Option<Slots> {
        let its = self.setting.rule.slot(slot);
        let owes = its.least == 1 && its.most == 1 && self.lists.rests_on[slot.0 as usize] != Slots::MAX;
        let standing = self.last_standing().filter(|_| owes && !stands.is_empty())?;
        let floors = self.floors(slot, standing);
        let over = |floor: i64, high: i64| floor > -FAR && floor > high + ROUNDING;
        let each = |(stands, floor): (&Reach, &Floor)| {
            (0..self.views()).any(|view| over(floor.clear_in(view), stands.high[view]))
        };
        stands.iter().zip(&floors.least).all(each).then_some(floors.own)
    }
}
