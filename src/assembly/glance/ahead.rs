//! Can the gap still close within its window, whatever comes in the slots to come?
//!
//! Only bounds: whatever passing plan stands in those slots, its gap lies between them. Must not know search.

use super::Glance;
use super::outline::Standings;
use super::reach::{FAR, Reach, VIEWS, Views, fits, lower, views};
use crate::assembly::blame::bit;
use crate::assembly::report::{Demand, Outcome};
use crate::rules::{PutOn, SlotIx};

impl Glance<'_> {
    /// Whatever comes from slot `next` on, can the gap still lie in its window?
    pub(super) fn check_gap_ahead(&mut self, next: usize) {
        let rule = self.setting.rule;
        let Some((low, high)) = self.gap_window(next) else { return };
        let demand = if low == -FAR { Demand::GapMost } else { Demand::GapLeast };
        let mut nothing = vec![Standings::new(); rule.slots.len()];
        let so_far = (self.top_of_fixed(), self.least_of_items());
        let never = self.never_closes(next, &mut nothing, so_far, (low, high));
        let outcome = match never {
            _ if never[0] => Outcome::Fail,
            _ if never.contains(&true) => Outcome::Measure,
            _ => Outcome::Pass,
        };
        self.found(demand, bit(rule.pulled) | bit(SlotIx(0)), outcome);
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
        let low = Some(limits.gap_least.as_nm()).filter(|_| asked(Demand::GapLeast));
        let high = limits.gap_most.map(|m| m.as_nm()).filter(|_| asked(Demand::GapMost));
        let path_done = rule.path.iter().all(|s| (s.slot.0 as usize) < next);
        let relied_on = !self.outline.is_empty() && path_done && asked(Demand::Path);
        let something = (low.is_some() || high.is_some()) && next <= rule.pulled.0 as usize;
        (relied_on && something).then(|| (low.unwrap_or(-FAR), high.unwrap_or(FAR)))
    }

    /// What a candidate standing so leaves to what is fixed to the fork, least and most; nothing where it stands
    /// nowhere.
    pub(super) fn room(
        &self,
        index: usize,
        &(candidate, reach): &(usize, Reach),
        fixed_top: i64,
        view: usize,
    ) -> Option<(i64, i64)> {
        let room = || self.outline.room(index, candidate, reach, view);
        reach.is_in(view).then(room).map(|room| (room.0.min(reach.low[view] - fixed_top), room.1))
    }

    /// The least that all these leave, view by view, and `others`.
    pub(super) fn least_room(&self, index: usize, all: &Standings, fixed_top: i64, others: Views) -> Views {
        let mut least = others;
        for (view, least) in least.iter_mut().enumerate().take(self.views()) {
            let rooms = all.iter().filter_map(|s| self.room(index, s, fixed_top, view));
            *least = rooms.map(|r| r.0).fold(*least, i64::min);
        }
        least
    }

    /// Views in which none of these closes within the window.
    pub(super) fn none_fits(
        &self,
        index: usize,
        all: &Standings,
        (fixed_top, others): (i64, Views),
        window: (i64, i64),
    ) -> [bool; VIEWS] {
        let mut none = [false; VIEWS];
        for (view, none) in none.iter_mut().enumerate().take(self.views()) {
            let mut rooms = all.iter().filter_map(|s| self.room(index, s, fixed_top, view));
            *none = !rooms.any(|(least, most)| fits(view, (least.min(others[view]), most), window));
        }
        none
    }

    /// Views in which nothing that may come in slot `next` and those after it closes within the window, standing on
    /// these and on what is there. Writes where they stand over what `standings` has from `next` on.
    pub(super) fn never_closes(
        &self,
        next: usize,
        standings: &mut [Standings],
        (fixed_top, mut others): (i64, Views),
        window: (i64, i64),
    ) -> [bool; VIEWS] {
        let last = self.setting.rule.pulled.0 as usize;
        for index in next..=last {
            let slot = SlotIx(index as u16);
            if !self.comes_down(slot) {
                continue;
            }
            if self.lists.rests_on[index] == u64::MAX {
                break;
            }
            standings[index].clear();
            let all = self.standings(slot, standings);
            if index == last {
                return self.none_fits(index, &all, (fixed_top, others), window);
            }
            others = self.least_room(index, &all, fixed_top, others);
            standings[index] = all;
        }
        [false; VIEWS]
    }

    pub(super) fn comes_down(&self, slot: SlotIx) -> bool {
        matches!(self.setting.rule.slot(slot).put_on, PutOn::FromAbove | PutOn::Threaded | PutOn::Pressed)
    }

    /// Something drops with a pushed part: how far that can come down is not looked into ahead.
    fn anything_rides(&self) -> bool {
        let slots = &self.setting.rule.slots;
        slots
            .iter()
            .any(|s| s.put_on == PutOn::Flush && s.host.is_some_and(|h| h <= self.setting.rule.pulled))
    }

    /// Highest point of what is fixed to the fork.
    pub(super) fn top_of_fixed(&self) -> i64 {
        let of = |item: u8| Some(self.bottom(item)?.most + self.items[item as usize].ready.highest);
        (1..self.items.len() as u8).filter(|&i| self.is_fixed(i)).filter_map(of).max().unwrap_or(-FAR)
    }

    /// What the items that may be pushed leave already, at least.
    pub(super) fn least_of_items(&self) -> Views {
        let all = (0..self.items.len() as u8).filter(|&i| !self.below_ring(i) && !self.is_chosen(i));
        let start = if self.anything_rides() { -FAR } else { FAR };
        all.map(|i| self.down(i)).fold([start; VIEWS], |least, d| lower(least, views(d.least, d.at)))
    }
}
