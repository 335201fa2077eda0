//! Must what comes in a slot rest on a part that stands still and may not carry it, whichever part comes?
//!
//! Only says so where no passing plan begins like this. Must not know search.

use super::Glance;
use super::figure::{BUILDS, ROUNDING};
use super::narrow::{MayStand, raise};
use super::reach::{FAR, Reach, VIEWS, Views};
use crate::assembly::blame::{Slots, bit};
use crate::rules::SlotIx;

impl Glance<'_> {
    /// The slots that it rests on, where that is so for a slot to come.
    pub(super) fn rests_wrongly(&self, next: usize) -> Option<Slots> {
        let rule = self.setting.rule;
        let still = |item: &u8| !self.lists.still[self.items[*item as usize].pick.slot.0 as usize].none();
        let standing: Vec<u8> = (1..self.items.len() as u8).filter(still).collect();
        let ring = self.lists.path.first().filter(|_| !standing.is_empty())?.slot;
        let mut lower: Vec<MayStand> = vec![MayStand::default(); rule.slots.len()];
        for index in next..=rule.pulled.0 as usize {
            let slot = SlotIx(index as u16);
            // What rests on the ring is the last that reaches down to what stands still.
            if slot > ring && !self.may_rest(slot, ring) {
                break;
            }
            if !self.comes_down(slot) {
                continue;
            }
            let stands = self.may_stand(index, &lower);
            let its = &rule.slots[index];
            let owes = its.least == 1 && its.most == 1 && self.lists.rests_on[index] != Slots::MAX;
            if owes && !stands.is_empty() {
                let mut floors = vec![[-FAR; VIEWS]; stands.len()];
                let wrong = |item: &&u8| !self.may_rest(slot, self.items[**item as usize].pick.slot);
                // Those alone count that it surely meets higher than any before.
                let mut own = bit(slot);
                for &item in standing.iter().filter(wrong) {
                    let before = floors.clone();
                    self.floors(slot, item, &mut floors);
                    if floors != before {
                        own |= bit(self.items[item as usize].pick.slot);
                    }
                }
                let over = |view: usize, floor: &Views, stands: &Reach| {
                    floor[view] > -FAR && floor[view] > stands.high[view] + ROUNDING
                };
                let each =
                    |(stands, floor): (&Reach, &Views)| (0..self.views()).any(|v| over(v, floor, stands));
                if stands.iter().zip(&floors).all(each) {
                    return self.settle(own).map(|all| all | self.seats(all) | bit(SlotIx(0)));
                }
            }
            lower[index] = MayStand { stands, possible: Vec::new() };
        }
        None
    }

    /// How high each of the slot's kinds of bottoms is at least where it surely meets the item.
    fn floors(&self, slot: SlotIx, item: u8, floors: &mut [Views]) {
        let Some(base) = self.bottom(item) else { return };
        self.with_standings(slot, item, |on, lift| {
            let base = Reach::of(base, [true; BUILDS]);
            let base = lift.map_or(base, |lift| base.plus(lift).or_nowhere());
            raise(floors, base, on);
        });
    }
}
