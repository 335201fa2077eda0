//! Heights that are chosen: does every real build leave one, over what is in the way and as far as thread, grip and slit reach?
//!
//! Each condition bounds the height from below or from above, as in the full judgement (`assembly/choose.rs`); here only those
//! that surely count. They only grow in number, so what leaves no height now never does. Must not know which parts to try.

use super::Glance;
use super::checks::within;
use super::figure::Figure;
use super::land::meeting;
use super::links::{Screwed, Sliding};
use super::ready::{NameIx, Span};
use crate::assembly::blame::{Slots, bit, grip, met_by, sleeve, thread};
use crate::assembly::report::{Demand, Outcome};
use crate::quantity::Length;
use crate::rules::{Choice, End, PutOn};

/// A bound on the height of an item's bottom.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bound {
    item: u8,
    lower: bool,
    at: Figure,
    /// Slots of what it comes from, beside the item's own.
    with: Slots,
}

impl Glance<'_> {
    /// With this item on: what it bounds, and what bounds it.
    pub(super) fn check_heights(&mut self, index: u8) {
        let known = self.bounds.len();
        let it = &self.items[index as usize];
        let (sleeves, screws) = (it.sleeves, it.screws);
        for item in 0..=index {
            let Some(choice) = self.choice(item) else { continue };
            if item == index {
                self.bound_by_depth(item, choice);
                self.bound_by_slit(item);
                (0..index).for_each(|other| self.bound_by_metal(item, choice, other));
            } else {
                self.bound_by_metal(item, choice, index);
            }
        }
        self.bound_by_links(sleeves, screws);
        self.weigh_heights(known);
    }

    /// With every slot done; `sleeves` and `screws`: how many were known before.
    pub(super) fn check_finished_heights(&mut self, sleeves: usize, screws: usize) {
        let known = self.bounds.len();
        self.bound_by_links(sleeves, screws);
        for index in 0..self.setting.rule.grips.len() {
            self.bound_by_grip(index);
        }
        self.weigh_heights(known);
        self.bounds.truncate(known);
    }

    /// Is there a height between each two of which one is not among the first `known`?
    fn weigh_heights(&mut self, known: usize) {
        for at in known..self.bounds.len() {
            let new = self.bounds[at];
            let Some(choice) = self.choice(new.item) else { continue };
            let slot = self.items[new.item as usize].pick.slot;
            for other in 0..at {
                let other = self.bounds[other];
                if other.item != new.item || other.lower == new.lower {
                    continue;
                }
                let (low, high) = if new.lower { (new, other) } else { (other, new) };
                let outcome = within(high.at.minus(low.at), Some(2 * choice.by_hand.as_nm()), None);
                if outcome != Outcome::Pass {
                    let blame = self.height_blame(bit(slot), low.with | high.with);
                    self.found_on(Demand::Height(slot), outcome, blame);
                }
            }
        }
    }

    /// How high those stand against each other is what it rests on, and the part itself.
    fn height_blame(&self, own: Slots, with: Slots) -> Slots {
        own | self.blamed(Demand::Still, with & !own)
    }

    fn choice(&self, item: u8) -> Option<Choice> {
        match self.slot_of(item).put_on {
            PutOn::Chosen(choice) => Some(choice),
            _ => None,
        }
    }

    fn bound(&mut self, item: u8, lower: bool, at: Figure, with: Slots) {
        self.bounds.push(Bound { item, lower, at, with });
    }

    /// The item's own wall beside another: at these heights so much of the two overlaps.
    fn bound_by_overlap(&mut self, item: u8, (own, other): (Span, Span), least: i64, with: Slots) {
        let least = Length::nm(least);
        self.bound(item, true, other.bottom.minus(own.top).plus_length(least), with);
        self.bound(item, false, other.top.minus(own.bottom).plus_length(-least), with);
    }

    fn bound_by_depth(&mut self, item: u8, choice: Choice) {
        let Some((into, host)) = choice.into.zip(self.host(item)) else { return };
        let Some(base) = self.bottom(host) else { return };
        let with = bit(self.items[host as usize].pick.slot);
        let of = |item: u8| &self.items[item as usize].ready;
        let level = match into {
            End::Top => base.plus(of(host).height).minus(of(item).height),
            End::Bottom => base,
        };
        let from_top = into == End::Top;
        let depth = |depth: Length| level.plus_length(if from_top { -depth } else { depth });
        let (least, most) = (depth(choice.depth_least), choice.depth_most.map(depth));
        self.bound(item, !from_top, least, with);
        if let Some(most) = most {
            self.bound(item, from_top, most, with);
        }
    }

    /// Fins hold in a whole wall only: above a slit that ends below them.
    fn bound_by_slit(&mut self, item: u8) {
        let it = &self.items[item as usize];
        let Some(seated) = it.seated else { return };
        let host = &self.items[seated.on as usize];
        let Some(own) = it.ready.walls(seated.own, false).map(|w| w.span) else { return };
        let Some((base, top)) = self.bottom(seated.on).zip(host.ready.slit_top) else { return };
        let with = bit(host.pick.slot);
        self.bound(item, true, base.plus(top).minus(own.bottom), with);
    }

    /// Metal of the other that is surely in its way.
    fn bound_by_metal(&mut self, item: u8, choice: Choice, other: u8) {
        let Some(base) = self.bottom(other) else { return };
        let is_host = self.host(item) == Some(other);
        let below = match choice.into {
            Some(End::Top) => is_host,
            Some(End::Bottom) => !is_host,
            None => self.slot_of(other).order < self.slot_of(item).order,
        };
        let (lower, upper) = if below { (other, item) } else { (item, other) };
        let mut stops: Option<Figure> = None;
        for over in &self.items[lower as usize].ready.tops {
            for under in &self.items[upper as usize].ready.bottoms {
                let met = meeting(self, (lower, over), (upper, under)).filter(|met| met.common.sure);
                let at = met.map(|met| if below { base.plus(met.height) } else { base.minus(met.height) });
                let nearer = |s: Figure, at| if below { s.higher(at) } else { s.lower(at) };
                stops = at.map(|at| stops.map_or(at, |s| nearer(s, at))).or(stops);
            }
        }
        if let Some(at) = stops {
            let [own, its] = [item, other].map(|i| self.items[i as usize].pick.slot);
            self.bound(item, below, at, met_by(self.setting.rule, own, its));
        }
    }

    /// Threads that must engage and sleeves that must overlap, after the first so many.
    fn bound_by_links(&mut self, sleeves: usize, screws: usize) {
        for at in screws..self.screws.len() {
            self.bound_by_screw(self.screws[at]);
        }
        for at in sleeves..self.sleeves.len() {
            self.bound_by_sleeve(self.sleeves[at]);
        }
    }

    fn bound_by_screw(&mut self, screw: Screwed) {
        let Some(needed) = self.engagement_needed(&screw).filter(|_| screw.matches) else { return };
        let with = thread(self.setting.rule, screw.pair);
        self.bound_by_pair((screw.female, screw.male), needed, with);
    }

    fn bound_by_sleeve(&mut self, sliding: Sliding) {
        let Some(least) = self.lists.sleeves[usize::from(sliding.sleeve)].overlap_least else { return };
        let with = sleeve(self.setting.rule, sliding.sleeve);
        self.bound_by_pair((sliding.outer, sliding.inner), least, with);
    }

    /// A bore over an outside, of one of which the height is chosen.
    fn bound_by_pair(&mut self, (outer, inner): ((u8, NameIx), (u8, NameIx)), least: i64, with: Slots) {
        for (own, bore, other) in [(outer, true, inner), (inner, false, outer)] {
            let span = self.items[own.0 as usize].ready.walls(own.1, bore).map(|w| w.span);
            if let Some(both) = span.zip(self.span(other, !bore)).filter(|_| self.choice(own.0).is_some()) {
                self.bound_by_overlap(own.0, both, least, with);
            }
        }
    }

    /// A clamp that is lifted holds each layer long enough, every pinch bolt beside all of them and beside their slits.
    fn bound_by_grip(&mut self, index: usize) {
        let (slot, surface) = self.lists.grips[index];
        let with = grip(self.setting.rule, index as u16);
        for by in self.in_slot(slot).collect::<Vec<u8>>() {
            let own = self.items[by as usize].ready.walls(surface, true).map(|w| w.span);
            let Some((own, layers)) = own.zip(self.layers(index, by)) else { continue };
            if !matches!(self.choice(by), Some(Choice { into: None, .. })) {
                continue;
            }
            let pinches: Vec<Figure> =
                super::finish::squeezing(&self.items[by as usize].ready, own).collect();
            let mut spans: Vec<Span> = Vec::new();
            for (at, (sliding, least)) in layers.iter().enumerate() {
                if self.never_gives(&layers[at..]) {
                    self.bound_by_reach(index, (by, sliding.outer.0), &pinches, with);
                }
                let Some(span) = self.span(sliding.inner, false) else { continue };
                spans.push(span);
                for &pinch in &pinches {
                    self.bound_by_overlap(by, (Span { bottom: pinch, top: pinch }, span), 0, with);
                }
                for span in spans.iter().copied().filter(|_| least.is_some()) {
                    self.bound_by_overlap(by, (own, span), least.unwrap_or(0), with);
                }
            }
        }
    }

    /// A layer closes only where it is split: its slit reaches past each bolt.
    fn bound_by_reach(&mut self, index: usize, (by, layer): (u8, u8), pinches: &[Figure], with: Slots) {
        let slit = self.items[layer as usize].ready.longest_slit;
        let Some((base, (from, to))) = self.bottom(layer).zip(slit).filter(|_| layer != by) else { return };
        let past = self.setting.rule.grips[index].past;
        for &pinch in pinches {
            if let Some(to) = to {
                self.bound(by, false, base.plus(to).minus(pinch).plus_length(-past), with);
            }
            if let Some(from) = from {
                self.bound(by, true, base.plus(from).minus(pinch).plus_length(past), with);
            }
        }
    }
}
