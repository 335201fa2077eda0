//! Parts set into another at a chosen height: is there one, over what is in the way and past a slit?
//!
//! Only what is surely so. Must not know which parts to try.

use super::Glance;
use super::checks::within;
use crate::assembly::blame::{Slots, bit, met_by, thread};
use crate::assembly::report::Demand;
use crate::rules::{End, PutOn, SlotIx};

impl Glance<'_> {
    /// Of a part set into its host's foot by hand: is there room for it so low, over what is surely in its way?
    pub(super) fn check_set_in(&mut self, item: u8) {
        let PutOn::Chosen(choice) = self.slot_of(item).put_on else { return };
        let (Some(End::Bottom), Some(most)) = (choice.into, choice.depth_most) else { return };
        let Some((host, base)) = self.host(item).and_then(|host| Some((host, self.bottom(host)?))) else {
            return;
        };
        for other in (0..self.items.len() as u8).filter(|&other| other != item && other != host) {
            let Some(stops) = self.stops(item, other) else { continue };
            let room = base.plus_length(most).minus(stops);
            let outcome = within(room, Some(2 * choice.by_hand.as_nm()), None);
            let [own, its, in_way] = [item, host, other].map(|i| self.items[i as usize].pick.slot);
            let blame = self.against((own, its, in_way)) | met_by(self.setting.rule, own, in_way);
            self.found_on(Demand::Height(own), outcome, blame);
        }
    }

    /// Of what is pressed in past a slit and screwed on what comes from below: does that reach so far?
    pub(super) fn check_whole_wall(&mut self, item: u8) {
        let it = &self.items[item as usize];
        let PutOn::Chosen(_) = self.slot_of(item).put_on else { return };
        let Some(press) = self.setting.rule.presses.iter().find(|p| p.wall.slot == it.pick.slot) else {
            return;
        };
        let Some((host, base)) = self.host(item).and_then(|host| Some((host, self.bottom(host)?))) else {
            return;
        };
        let Some(top) = self.items[host as usize].ready.slit_top else { return };
        let fins = self.readies.names.of(press.wall.surface);
        let Some(fins) = it.ready.walls(fins, false).map(|w| w.span) else { return };
        let lowest = base.plus(top).minus(fins.bottom);
        for at in 0..self.screws.len() {
            let screw = self.screws[at];
            if !screw.matches || screw.female.0 != item {
                continue;
            }
            let own = self.items[item as usize].ready.walls(screw.female.1, true).map(|w| w.span);
            let (Some(own), Some(male)) = (own, self.span(screw.male, false)) else { continue };
            let Some(needed) = self.engagement_needed(&screw) else { continue };
            let highest = male.top.minus(own.bottom).plus_length(crate::quantity::Length::nm(-needed));
            let outcome = within(highest.minus(lowest), Some(0), None);
            let [slot, its, bolt] = [item, host, screw.male.0].map(|i| self.items[i as usize].pick.slot);
            let blame = self.against((slot, its, bolt)) | thread(self.setting.rule, screw.pair);
            self.found_on(Demand::Height(slot), outcome, blame);
        }
    }

    /// How high host and other stand against each other is what it rests on, and the part itself.
    fn against(&self, (own, host, other): (SlotIx, SlotIx, SlotIx)) -> Slots {
        bit(own) | self.blamed(Demand::Still, bit(host) | bit(other))
    }
}
