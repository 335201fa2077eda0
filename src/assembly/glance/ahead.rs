//! Can the gap still close within its window, whatever comes in the slots to come?
//!
//! Only bounds: whatever passing plan stands in those slots, its gap lies between them. Must not know search.

use super::Glance;
use super::above::Room;
use super::figure::{BUILDS, ROUNDING};
use super::reach::{FAR, Reach, VIEWS, Views, lower, views};
use crate::assembly::blame::{Slots, bit};
use crate::assembly::report::{Demand, Outcome};
use crate::rules::{PutOn, SlotIx};

/// What bounds a gap beside the room above a part.
#[derive(Clone, Copy)]
pub(super) struct Beside {
    /// What others leave, at least.
    pub least: Views,
    /// Highest point of what is fixed to the fork.
    pub fixed_top: i64,
}

/// What all to come leaves, and what bounds the gap beside.
#[derive(Clone, Copy)]
pub(super) struct Ahead {
    /// The first slot to come.
    next: usize,
    pub room: Room,
    pub beside: Beside,
}

impl Glance<'_> {
    /// With the slots before `next` done; worked out once until other items are there.
    pub(super) fn what_is_ahead(&self, next: usize) -> Ahead {
        if let Some(known) = self.ahead.get().filter(|known| known.next == next) {
            return known;
        }
        let beside = Beside { least: self.least_of_items(), fixed_top: self.top_of_fixed(next) };
        let ahead = Ahead { next, room: self.room_ahead(next), beside };
        self.ahead.set(Some(ahead));
        ahead
    }

    /// Whatever comes from slot `next` on, can the gap still lie in its window?
    pub(super) fn check_gap_ahead(&mut self, next: usize) {
        let rule = self.setting.rule;
        let Some(window) = self.gap_window(next) else { return };
        let Ahead { room, beside, .. } = self.what_is_ahead(next);
        let never = |view: usize| self.never_closes(view, (&room, &Reach::NO_HIGHER), &beside, window);
        let outcome = if never(0) {
            Outcome::Fail
        } else if (1..self.views()).any(never) {
            Outcome::Measure
        } else {
            Outcome::Pass
        };
        self.found(Demand::GapLeast, bit(rule.pulled) | bit(SlotIx(0)), outcome);
    }

    /// What it rests on that no more closes within the window than what is there lets.
    pub(super) fn gap_blame(&self) -> Slots {
        self.blamed(Demand::GapLeast, bit(self.setting.rule.pulled) | bit(SlotIx(0)))
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

    /// In this view nothing that has this room with its bottom standing so closes within the window.
    pub(super) fn never_closes(
        &self,
        view: usize,
        (room, stands): (&Room, &Reach),
        beside: &Beside,
        (low, high): (i64, i64),
    ) -> bool {
        if !room.is_in(view) || !stands.is_in(view) {
            return true;
        }
        let rounding = if view == 0 { 0 } else { ROUNDING };
        let to_fixed = room.bottom[view] + stands.low[view] - beside.fixed_top;
        let least = (room.least[view] + stands.low[view]).min(to_fixed).min(beside.least[view]);
        room.most[view] + stands.high[view] < low - rounding || least > high + rounding
    }

    /// Views that a plan must hold in to be good enough.
    pub(super) fn views(&self) -> usize {
        if self.at_worst == Outcome::Pass { VIEWS } else { 1 }
    }

    /// What the gap must lie between, where something can be said with the slots before `next` done.
    pub(super) fn gap_window(&self, next: usize) -> Option<(i64, i64)> {
        let rule = self.setting.rule;
        let limits = &rule.limits;
        let asked = |demand| self.setting.asks(demand);
        let known = !self.outline.is_empty() && self.outline.above.is_known(next);
        let relied_on = known && asked(Demand::Path);
        let something = asked(Demand::GapLeast) && next <= rule.pulled.0 as usize;
        (relied_on && something).then(|| (limits.gap_least.as_nm(), FAR))
    }

    pub(super) fn comes_down(&self, slot: SlotIx) -> bool {
        matches!(
            self.setting.rule.slot(slot).put_on,
            PutOn::FromAbove | PutOn::Loose | PutOn::Threaded | PutOn::Pressed
        )
    }

    /// Highest point of what is fixed to the fork; nobody knows as long as something fixed may come from slot `next` on.
    fn top_of_fixed(&self, next: usize) -> i64 {
        let rule = self.setting.rule;
        let last = rule.pulled.0 as usize;
        if (next..=last).any(|slot| self.may_be_fixed(SlotIx(slot as u16))) {
            return FAR;
        }
        let of = |item: u8| Some(self.bottom(item)?.most + self.items[item as usize].ready.highest);
        (1..self.items.len() as u8).filter(|&i| self.is_fixed(i)).filter_map(of).max().unwrap_or(-FAR)
    }

    /// Pressed on the fork or set in it, at no chosen height.
    fn may_be_fixed(&self, slot: SlotIx) -> bool {
        let rule = self.setting.rule;
        let mut presses = rule.presses.iter().filter(|p| p.wall.slot == slot);
        let on_fork = presses.any(|p| p.seat.iter().any(|s| s.slot.0 == 0));
        let its = rule.slot(slot);
        (on_fork || its.host == Some(SlotIx(0))) && !matches!(its.put_on, PutOn::Chosen(_))
    }

    /// What the items that may be pushed leave already, at least.
    fn least_of_items(&self) -> Views {
        let all = (0..self.items.len() as u8).filter(|&i| !self.below_ring(i) && !self.is_chosen(i));
        all.map(|i| self.down(i)).fold([FAR; VIEWS], |least, d| lower(least, views(d.least, d.at)))
    }
}
