//! What can be said of an item as it goes on: what it rests on, how it seats, its sleeves, slits and threads.
//!
//! Must not know how parts are chosen.

use super::figure::{BUILDS, Figure, ROUNDING};
use super::land::is_column;
use super::links::{Screwed, Sliding, clearance};
use super::ready::{NameIx, Span};
use super::{Glance, Touch};
use crate::assembly::blame::{Slots, bit};
use crate::assembly::report::{Contact, Demand, Outcome};
use crate::rules::{Grip, PutOn, SlotIx, SurfaceRef};
use smallvec::SmallVec;

/// At best: passes unless a real build fails it, and may be measured unless it fails between all ends.
pub fn within(value: Figure, least: Option<i64>, most: Option<i64>) -> Outcome {
    let (low, high) = (least.unwrap_or(i64::MIN / 2), most.unwrap_or(i64::MAX / 2));
    if value.most < low || value.least > high {
        Outcome::Fail
    } else if value.at.iter().any(|&v| v < low - ROUNDING || v > high + ROUNDING) {
        Outcome::Measure
    } else {
        Outcome::Pass
    }
}

/// Length common to zones: the lowest top over the highest bottom.
pub fn common(spans: &[Span]) -> Option<Figure> {
    let top = spans.iter().map(|s| s.top).reduce(Figure::lower)?;
    let bottom = spans.iter().map(|s| s.bottom).reduce(Figure::higher)?;
    Some(top.minus(bottom))
}

/// As a set, bit by bit.
const ALL_BUILDS: u8 = u8::MAX;

impl Glance<'_> {
    pub(super) fn check_item(&mut self, index: u8) {
        let item = &self.items[index as usize];
        let slot = item.pick.slot;
        if matches!(self.slot_of(index).put_on, PutOn::Fixed | PutOn::Chosen(_)) {
            return;
        }
        let own = bit(slot);
        if item.bottom.is_none() {
            return self.found(Demand::Lands(slot), own, Outcome::Fail);
        }
        let rests_on = self.lists.rests_on[slot.0 as usize];
        let rests = self.holds(index, |t| match rests_on & bit(self.items[t.item as usize].pick.slot) {
            0 => None,
            _ => Some(ALL_BUILDS),
        });
        let seats = self.holds(index, |t| self.seated_wide(t));
        let passes_on = self.path_step(index);
        self.found(Demand::RestsOn(slot), own, rests);
        self.found(Demand::Seat(slot), own, seats);
        self.found(Demand::Path, own, passes_on);
    }

    /// What touches of an item come to at best, when each must be of a sort: in which builds it may be; `None`: never.
    fn holds(&self, index: u8, good: impl Fn(&Touch) -> Option<u8>) -> Outcome {
        let (mut any, mut fine, mut never) = (0_u8, 0_u8, true);
        for touch in &self.items[index as usize].touches {
            let good = good(touch);
            never &= good.is_none();
            any |= touch.builds;
            fine |= touch.builds & good.unwrap_or(0);
        }
        match (never, any & !fine != 0) {
            (true, _) => Outcome::Fail,
            (_, true) => Outcome::Measure,
            _ => Outcome::Pass,
        }
    }

    /// In which builds it is a seat as wide as it must be.
    fn seated_wide(&self, touch: &Touch) -> Option<u8> {
        let least = 2 * self.setting.rule.limits.seat_least.as_nm();
        let wide = |builds, at: usize| builds | u8::from(touch.width.at[at] >= least - ROUNDING) << at;
        (touch.contact != Contact::Edge && touch.width.most >= least).then(|| (0..BUILDS).fold(0, wide))
    }

    fn path_step(&self, index: u8) -> Outcome {
        let path = &self.lists.path;
        let slot = self.items[index as usize].pick.slot;
        let Some(at) = path.iter().position(|s| s.slot == slot) else { return Outcome::Pass };
        let filled = |slot: SlotIx| self.in_slot(slot).next().is_some();
        let Some(next) = path[at + 1..].iter().find(|s| filled(s.slot)) else { return Outcome::Pass };
        self.holds(index, |t| {
            let on = self.items[t.item as usize].pick.slot == next.slot
                && is_column(path[at].leaves, t.own_column)
                && is_column(next.enters, t.column);
            on.then_some(ALL_BUILDS)
        })
    }

    pub(super) fn check_sleeve(&mut self, at: usize) {
        let sliding = self.sleeves[at];
        let (outer, inner) = (sliding.outer.0 as usize, sliding.inner.0 as usize);
        let own = bit(self.items[outer].pick.slot) | bit(self.items[inner].pick.slot);
        let clears = self.clears(&sliding);
        self.found(Demand::SleeveClearance(sliding.sleeve), own, clears);
        let Some(least) = self.lists.sleeves[usize::from(sliding.sleeve)].overlap_least else { return };
        let Some(spans) = self.spans((sliding.outer, true), (sliding.inner, false)) else { return };
        let overlap = common(&spans).map_or(Outcome::Pass, |o| within(o, Some(least), None));
        self.found(Demand::SleeveOverlap(sliding.sleeve), own, overlap);
    }

    fn clears(&self, sliding: &Sliding) -> Outcome {
        let items = [sliding.outer.0, sliding.inner.0].map(|i| &self.items[i as usize]);
        let Some((narrow, wide)) = clearance(&items[0].ready, &items[1].ready, sliding) else {
            return Outcome::Pass;
        };
        let sleeve = &self.lists.sleeves[usize::from(sliding.sleeve)];
        let (least, most) = (sleeve.clearance_least, sleeve.clearance_most);
        if wide.most < least || narrow.least > most {
            return Outcome::Fail;
        }
        if let Some(slides) = self.tried(sliding) {
            return if slides { Outcome::Pass } else { Outcome::Fail };
        }
        // With no diameter taken from elsewhere both ends are those of real parts.
        let ends_real = items.iter().all(|i| i.seated.is_none());
        let outside = |narrow: i64, wide: i64| narrow < least - ROUNDING || wide > most + ROUNDING;
        let fails = (0..BUILDS).any(|b| outside(narrow.at[b], wide.at[b]))
            || ends_real && outside(narrow.least, wide.most);
        if fails { Outcome::Measure } else { Outcome::Pass }
    }

    /// What a recorded trial of these very parts says.
    fn tried(&self, sliding: &Sliding) -> Option<bool> {
        let catalogue = self.setting.catalogue;
        if catalogue.trials.is_empty() {
            return None;
        }
        let sleeve = &self.setting.rule.sleeves[usize::from(sliding.sleeve)];
        let pick = |item: u8| self.items[item as usize].pick;
        let inner = pick(sliding.inner.0);
        let named =
            |s: &&SurfaceRef| s.slot == inner.slot && self.readies.names.of(s.surface) == sliding.inner.1;
        let surface = sleeve.inner.iter().find(named)?.surface;
        let outer = (pick(sliding.outer.0).variant, sleeve.outer.surface);
        catalogue.trial(outer, (inner.variant, surface)).map(|trial| catalogue.trials[trial].slides)
    }

    /// Where two walls run, above the bottom of the second one's item.
    fn spans(&self, one: ((u8, NameIx), bool), other: ((u8, NameIx), bool)) -> Option<[Span; 2]> {
        let over = self.between(one.0.0, other.0.0)?;
        let own = |(wall, bore): ((u8, NameIx), bool)| {
            Some(self.items[wall.0 as usize].ready.walls(wall.1, bore)?.span)
        };
        let one = own(one)?;
        Some([Span { bottom: one.bottom.plus(over), top: one.top.plus(over) }, own(other)?])
    }

    /// Where a wall runs in the stack.
    pub(super) fn span(&self, wall: (u8, NameIx), bore: bool) -> Option<Span> {
        let base = self.bottom(wall.0)?;
        let span = self.items[wall.0 as usize].ready.walls(wall.1, bore)?.span;
        Some(Span { bottom: span.bottom.plus(base), top: span.top.plus(base) })
    }

    /// With the slots up to `decided` done: what may still come may bridge a slit.
    pub(super) fn check_slits(&mut self, decided: SlotIx) {
        for index in 0..self.setting.rule.slits.len() {
            let rule = &self.setting.rule.slits[index];
            let slot = rule.slot;
            if slot > decided || rule.bridged_by.is_some_and(|bridge| bridge > decided) {
                continue;
            }
            let bridged = rule.bridged_by.is_some_and(|s| self.in_slot(s).next().is_some());
            let wrong = |i: u8| {
                let slit = self.items[i as usize].ready.slit;
                if rule.wanted { !slit } else { slit && !bridged }
            };
            if self.in_slot(slot).any(wrong) {
                self.found(Demand::Slit(index as u16), bit(slot), Outcome::Fail);
            }
        }
    }

    /// Of a slit and the clamp over it, the item being one of the two: how much of the slit shows above the clamp.
    pub(super) fn check_bare(&mut self, item: u8) {
        let own = self.items[item as usize].pick.slot;
        for index in 0..self.setting.rule.slits.len() {
            let rule = &self.setting.rule.slits[index];
            let Some(most) = rule.bare else { continue };
            let holds = |grip: &&Grip| grip.layers.iter().any(|layer| layer.slot == rule.slot);
            for grip in self.setting.rule.grips.iter().filter(holds) {
                let with = match own {
                    own if own == rule.slot => grip.by.slot,
                    own if own == grip.by.slot => rule.slot,
                    _ => continue,
                };
                for other in self.in_slot(with).collect::<SmallVec<[u8; 2]>>() {
                    let (slit, clamp) = if own == rule.slot { (item, other) } else { (other, item) };
                    let Some(over) = self.between(slit, clamp) else { continue };
                    let Some(top) = self.items[slit as usize].ready.slit_top else { continue };
                    let shows = over.plus(top).minus(self.items[clamp as usize].ready.height);
                    let blame = self.blamed(Demand::Still, bit(own) | bit(with));
                    let outcome = within(shows, None, Some(most.as_nm()));
                    self.found_on(Demand::SlitBare(index as u16), outcome, blame);
                }
            }
        }
    }

    /// Threads of the item just put on.
    pub(super) fn check_screws(&mut self, index: u8) {
        for at in 0..self.screws.len() {
            let screw = self.screws[at];
            if screw.male.0 == index || screw.female.0 == index {
                self.check_screw(&screw);
            }
        }
    }

    pub(super) fn check_screw(&mut self, screw: &Screwed) {
        let own = bit(self.items[screw.male.0 as usize].pick.slot)
            | bit(self.items[screw.female.0 as usize].pick.slot);
        if !screw.matches {
            return self.found(Demand::ThreadMatch(screw.pair), own, Outcome::Fail);
        }
        let demand = Demand::Engagement(screw.pair);
        match self.engagement_needed(screw) {
            None => self.found(demand, own, Outcome::Fail),
            Some(needed) => {
                let engaged = self.engaged(screw).map_or(Outcome::Pass, |e| within(e, Some(needed), None));
                self.found(demand, own, engaged);
            }
        }
    }

    fn engaged(&self, screw: &Screwed) -> Option<Figure> {
        if let Some(spans) = self.spans((screw.male, false), (screw.female, true)) {
            return common(&spans);
        }
        let own = |wall: (u8, NameIx), bore| {
            self.items[wall.0 as usize].ready.walls(wall.1, bore).map(|w| w.span.top.minus(w.span.bottom))
        };
        [own(screw.male, false), own(screw.female, true)].into_iter().flatten().reduce(Figure::lower)
    }

    pub(super) fn engagement_needed(&mut self, screw: &Screwed) -> Option<i64> {
        if let Some(least) = self.lists.threads[usize::from(screw.pair)].engagement_least {
            return Some(least);
        }
        let variant = |item: u8| self.items[item as usize].pick.variant;
        let (male, female) = (variant(screw.male.0), variant(screw.female.0));
        let (catalogue, bolts) = (self.setting.catalogue, self.setting.bolts);
        *self.learned.needed.borrow_mut().entry((male.0, female.0)).or_insert_with(|| {
            let shape = |v| &catalogue.variant(v).shape;
            bolts.engagement_needed(shape(male), shape(female)).map(|l| l.as_nm())
        })
    }

    pub(super) fn slots_of(&self, items: &[u8]) -> Slots {
        items.iter().fold(0, |all, &i| all | bit(self.items[i as usize].pick.slot))
    }
}
