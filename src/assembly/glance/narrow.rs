//! Which candidates of the slots to come can still stand there: by the room to close, by the length that must be
//! gripped or overlapped.
//!
//! Only rules out what no passing plan that begins like this has. Must not know search.

use super::Glance;
use super::outline::{FAR, Reach, Standings};
use super::ready::Ready;
use crate::assembly::blame::{Slots, bit};
use crate::assembly::report::Demand;
use crate::rules::{PutOn, SlotIx};
use std::rc::Rc;

/// What is still possible in the slots to come.
#[derive(Clone, Debug, Default)]
pub struct Narrowed {
    /// By slot: for each candidate as drawn, then turned, whether it is still possible; `None`: all are that the rule
    /// allows.
    slots: Vec<Option<Rc<[bool]>>>,
    /// What the ruling out rests on.
    pub blame: Slots,
    /// A slot that must be filled has none left.
    pub dead: bool,
}

impl Narrowed {
    /// `at`: which of the slot's candidates.
    pub fn allows(&self, slot: SlotIx, at: usize, turned: bool) -> bool {
        self.at_place(slot, at * 2 + usize::from(turned))
    }

    fn at_place(&self, slot: SlotIx, place: usize) -> bool {
        let of_slot = self.slots.get(slot.0 as usize).and_then(Option::as_ref);
        of_slot.is_none_or(|all| all.get(place).copied().unwrap_or(false))
    }

    /// Slots in which something is ruled out, with what is still possible there.
    pub fn slots(&self) -> impl Iterator<Item = (usize, &Rc<[bool]>)> {
        self.slots.iter().enumerate().filter_map(|(slot, all)| Some((slot, all.as_ref()?)))
    }
}

/// A length that must be held or overlapped, as the slot's own part decides it.
struct Held {
    demand: Demand,
    surface: super::ready::NameIx,
    least: i64,
    /// Nothing that it could be held against reaches higher.
    top: i64,
    /// Slots of that.
    with: Slots,
}

impl Glance<'_> {
    /// Slots whose parts decide what is still possible from slot `next` on.
    pub fn narrowed_by(&self, next: usize) -> Slots {
        let last = self.setting.rule.pulled.0 as usize;
        let of = |slot: usize| {
            let inner = |s: &super::rule::Sleeve| s.inner.iter().fold(0, |all, i| all | bit(i.0));
            let sleeves = self.lists.sleeves.iter().filter(|s| s.outer.0.0 as usize == slot);
            let overlaps = sleeves.filter(|s| s.overlap_least.is_some()).map(inner);
            overlaps.fold(self.lists.rests_on[slot], |all, s| all | s)
        };
        (next..=last).map(of).fold(0, |all, slots| all | slots)
    }

    /// What is still possible with the slots before `next` done; `before`: what was found with fewer of them done.
    pub fn narrow(&self, next: usize, before: &Narrowed) -> Narrowed {
        let rule = self.setting.rule;
        let mut narrowed = before.clone();
        let last = rule.pulled.0 as usize;
        if self.outline.is_empty() || next > last {
            return narrowed;
        }
        narrowed.slots.resize(rule.slots.len(), None);
        let (window, fixed_top) = (self.gap_window(next), self.top_of_fixed());
        let mut standings: Vec<Standings> = vec![Standings::new(); rule.slots.len()];
        let mut others = self.least_of_items(if self.anything_rides() { -FAR } else { FAR });
        for index in next..=last {
            let slot = SlotIx(index as u16);
            if !self.comes_down(slot) {
                continue;
            }
            if self.lists.rests_on[index] == u64::MAX {
                break;
            }
            let mut all = self.standings(slot, &standings);
            all.retain(|s| narrowed.at_place(slot, self.outline.place(index, s.0)));
            let stood: Vec<usize> = all.iter().map(|s| s.0).collect();
            if rule.slot(slot).most == 1 {
                for held in self.held(slot, next) {
                    let before = all.len();
                    all.retain(|s| held.may_be(self.outline.ready(index, s.0), s.1));
                    if all.len() < before {
                        narrowed.blame |= self.blamed(held.demand, bit(slot) | held.with);
                    }
                }
            }
            let must = rule.slot(slot).least == 1 && rule.slot(slot).most == 1;
            if let Some(window) = window.filter(|_| must) {
                let mut known: Vec<(usize, bool)> = Vec::new();
                for &(candidate, _) in &all {
                    if !known.iter().any(|k| k.0 == candidate) {
                        known.push((
                            candidate,
                            self.closes_with((index, candidate), &all, &standings, others, window),
                        ));
                    }
                }
                all.retain(|s| known.contains(&(s.0, true)));
                narrowed.blame |= self.blamed(Demand::GapLeast, bit(rule.pulled) | bit(SlotIx(0)));
            }
            let out = |candidate: usize| {
                let lost = stood.contains(&candidate) || (must && window.is_some());
                lost && !all.iter().any(|s| s.0 == candidate)
            };
            self.rule_out(index, out, &mut narrowed);
            narrowed.dead |= must && window.is_some() && all.is_empty();
            others = all.iter().map(|s| self.room(index, s, fixed_top).0).fold(others, i64::min);
            standings[index] = all;
        }
        narrowed
    }

    fn rule_out(&self, index: usize, out: impl Fn(usize) -> bool, narrowed: &mut Narrowed) {
        let mut possible: Option<Vec<bool>> = None;
        for candidate in 0..self.outline.count(index) {
            let place = self.outline.place(index, candidate);
            if narrowed.at_place(SlotIx(index as u16), place) && out(candidate) {
                let all = possible.get_or_insert_with(|| match &narrowed.slots[index] {
                    Some(known) => known.to_vec(),
                    None => self.outline.all_places(index),
                });
                all[place] = false;
            }
        }
        if let Some(all) = possible {
            narrowed.slots[index] = Some(all.into());
        }
    }

    fn comes_down(&self, slot: SlotIx) -> bool {
        matches!(self.setting.rule.slot(slot).put_on, PutOn::FromAbove | PutOn::Threaded | PutOn::Pressed)
    }

    /// With this candidate in its slot something may come of it that closes within the window.
    fn closes_with(
        &self,
        (index, candidate): (usize, usize),
        here: &Standings,
        below: &[Standings],
        others: i64,
        (low, high): (i64, i64),
    ) -> bool {
        let last = self.setting.rule.pulled.0 as usize;
        let fixed_top = self.top_of_fixed();
        let only: Standings = here.iter().filter(|s| s.0 == candidate).copied().collect();
        let fits = |index: usize, all: &Standings, others: i64| {
            let mut rooms = all.iter().map(|s| self.room(index, s, fixed_top));
            rooms.any(|(least, most)| most >= low && least.min(others) <= high)
        };
        if index == last {
            return fits(index, &only, others);
        }
        let mut others = only.iter().map(|s| self.room(index, s, fixed_top).0).fold(others, i64::min);
        let mut standings = below.to_vec();
        standings[index] = only;
        for above in index + 1..=last {
            let slot = SlotIx(above as u16);
            if !self.comes_down(slot) {
                if above == last {
                    return true;
                }
                continue;
            }
            if self.lists.rests_on[above] == u64::MAX {
                return true;
            }
            let all = self.standings(slot, &standings);
            if above == last {
                return fits(above, &all, others);
            }
            others = all.iter().map(|s| self.room(above, s, fixed_top).0).fold(others, i64::min);
            standings[above] = all;
        }
        true
    }

    /// Lengths that the slot's part must hold or overlap on what stands already.
    fn held(&self, slot: SlotIx, next: usize) -> Vec<Held> {
        let rule = self.setting.rule;
        let mut found = Vec::new();
        let top = |items: &[u8]| -> Option<i64> {
            items.iter().try_fold(-FAR, |top, &i| {
                Some(top.max(self.bottom(i)?.most + self.items[i as usize].ready.highest))
            })
        };
        for (index, sleeve) in self.lists.sleeves.iter().enumerate() {
            let demand = Demand::SleeveOverlap(index as u16);
            let done = sleeve.inner.iter().all(|i| (i.0.0 as usize) < next);
            let Some(least) = sleeve.overlap_least.filter(|_| sleeve.outer.0 == slot && done) else {
                continue;
            };
            let inner = |i: &u8| {
                let it = &self.items[*i as usize];
                sleeve.inner.iter().any(|s| s.0 == it.pick.slot && it.ready.has_surface(s.1))
            };
            let items: Vec<u8> = (0..self.items.len() as u8).filter(inner).collect();
            if items.is_empty() || !self.setting.asks(demand) {
                continue;
            }
            let with = sleeve.inner.iter().fold(0, |all, s| all | bit(s.0));
            if let Some(top) = top(&items) {
                found.push(Held { demand, surface: sleeve.outer.1, least, top, with });
            }
        }
        for (index, &(by, surface)) in self.lists.grips.iter().enumerate() {
            let on_fork = rule.grips[index].layers.iter().find(|l| l.slot.0 == 0).and_then(|l| l.least);
            let Some(least) =
                on_fork.filter(|_| by == slot && self.setting.asks(Demand::GripLength(index as u16)))
            else {
                continue;
            };
            if let Some(top) = top(&[0]) {
                // Of the grip only the clamp and the fork are relied on.
                let demand = Demand::Lands(slot);
                found.push(Held { demand, surface, least: least.as_nm(), top, with: bit(SlotIx(0)) });
            }
        }
        found
    }
}

impl Held {
    fn may_be(&self, part: &Ready, stands: Reach) -> bool {
        let Some(wall) = part.walls(self.surface, true) else { return true };
        self.top - (stands.low + wall.span.bottom.least) >= self.least
    }
}
