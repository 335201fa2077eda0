//! Can there still be enough of a closing gap, whatever comes in the slots to come?
//!
//! Only bounds: whatever passing plan stands in those slots, its gap is no larger. Must not know search.

use super::Glance;
use super::above::Room;
use super::figure::{BUILDS, ROUNDING};
use super::reach::{Reach, VIEWS};
use crate::assembly::blame::bit;
use crate::assembly::report::{Demand, Outcome};
use crate::rules::{PutOn, SlotIx};

impl Glance<'_> {
    /// Whatever comes from slot `next` on, can the gap still lie in its window?
    pub(super) fn check_gap_ahead(&mut self, next: usize) {
        let rule = self.setting.rule;
        let Some(least) = self.gap_asked(next) else { return };
        let room = self.room_ahead(next);
        let never = |view: usize| never_closes(view, (&room, &Reach::NO_HIGHER), least);
        let outcome = if never(0) {
            Outcome::Fail
        } else if (1..self.views()).any(never) {
            Outcome::Measure
        } else {
            Outcome::Pass
        };
        self.found(Demand::GapLeast, bit(rule.pulled) | bit(SlotIx(0)), outcome);
    }

    /// What all that may come from slot `next` on leaves to the fork.
    fn room_ahead(&self, next: usize) -> Room {
        let rule = self.setting.rule;
        let mut room = Room::NONE;
        for index in next..=rule.pulled.0 as usize {
            let slot = SlotIx(index as u16);
            let left = usize::from(rule.slots[index].most).saturating_sub(self.in_slot(slot).count());
            if left == 0 || !self.comes_down(slot) {
                continue;
            }
            for item in 0..self.items.len() as u8 {
                if !self.may_rest(slot, self.items[item as usize].pick.slot) {
                    continue;
                }
                if let Some(base) = self.bottom(item) {
                    let stands = Reach::of(base, [true; BUILDS]);
                    room.or_standing(&self.room_on(slot, left - 1, item), &stands);
                }
            }
        }
        room
    }

    /// Views that a plan must hold in to be good enough.
    pub(super) fn views(&self) -> usize {
        if self.at_worst == Outcome::Pass { VIEWS } else { 1 }
    }

    /// How much gap there must be, where something can be said of it with the slots before `next` done.
    pub(super) fn gap_asked(&self, next: usize) -> Option<i64> {
        let rule = self.setting.rule;
        let asked = |demand| self.setting.asks(demand);
        let known = !self.outline.is_empty() && self.outline.above.is_known(next);
        let relied_on = known && asked(Demand::Path);
        let something = asked(Demand::GapLeast) && next <= rule.pulled.0 as usize;
        (relied_on && something).then(|| rule.limits.gap_least.as_nm())
    }

    pub(super) fn comes_down(&self, slot: SlotIx) -> bool {
        matches!(
            self.setting.rule.slot(slot).put_on,
            PutOn::FromAbove | PutOn::Loose | PutOn::Threaded | PutOn::Pressed
        )
    }
}

/// In this view nothing that has this room with its bottom standing so leaves that much.
pub(super) fn never_closes(view: usize, (room, stands): (&Room, &Reach), least: i64) -> bool {
    let rounding = if view == 0 { 0 } else { ROUNDING };
    !room.is_in(view) || !stands.is_in(view) || room.most[view] + stands.high[view] < least - rounding
}
