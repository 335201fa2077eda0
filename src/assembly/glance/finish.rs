//! What can be said of a stack once every slot has had its turn: threads without a mate, sizes, grips.
//!
//! Must not know which parts to try.

use super::Glance;
use super::checks::{common, within};
use super::figure::{Figure, ROUNDING};
use super::links::{Sliding, clearance};
use super::ready::{Ready, Span};
use crate::assembly::blame::{Slots, bit, grip};
use crate::assembly::report::{Demand, Outcome};
use crate::quantity::Length;
use crate::rules::SlotIx;

const EVERY_SLOT: SlotIx = SlotIx(u16::MAX);

/// Its sleeve to the next one out, and the length of it that must be held.
pub(super) type Layer = (Sliding, Option<i64>);

impl Glance<'_> {
    pub(super) fn check_finished(&mut self) {
        self.check_slits(EVERY_SLOT);
        for at in 0..self.sleeves.len() {
            self.check_sleeve(at);
        }
        for at in 0..self.screws.len() {
            let screw = self.screws[at];
            self.check_screw(&screw);
        }
        self.check_mates();
        self.check_sizes();
        for index in 0..self.setting.rule.grips.len() {
            self.check_grip(index);
        }
    }

    /// A fastener with nothing to screw into; a fork's own outside thread may stay bare.
    fn check_mates(&mut self) {
        for pair in 0..self.lists.threads.len() {
            if self.screws.iter().any(|s| usize::from(s.pair) == pair) {
                continue;
            }
            let lists = &self.lists.threads[pair];
            let male = self.first_there(&lists.male, EVERY_SLOT);
            if let (Some((slot, _)), None) = (male, self.first_there(&lists.female, EVERY_SLOT))
                && slot.0 != 0
            {
                self.found(Demand::ThreadMatch(pair as u16), bit(slot), Outcome::Fail);
            }
        }
    }

    fn check_sizes(&mut self) {
        for index in 0..self.lists.sizes.len() {
            let rule = &self.setting.rule.sizes[index];
            let demand = Demand::Size(index as u16);
            let Some((slot, surface)) = self.first_there(&self.lists.sizes[index], EVERY_SLOT) else {
                let own = rule.surface.first().map_or(0, |s| bit(s.slot));
                self.found(demand, own, Outcome::Fail);
                continue;
            };
            let (least, most) = (Some(rule.least.as_nm()), Some(rule.most.as_nm()));
            let outcome = |item: u8| {
                let walls = &self.items[item as usize].ready.walls;
                let narrowest = walls.iter().filter(|w| w.surface == surface).map(|w| w.narrowest);
                narrowest.reduce(Figure::lower).map_or(Outcome::Pass, |n| within(n, least, most))
            };
            let worst = self.in_slot(slot).map(outcome).max().unwrap_or(Outcome::Pass);
            self.found(demand, bit(slot), worst);
        }
    }

    fn check_grip(&mut self, index: usize) {
        let (slot, surface) = self.lists.grips[index];
        let clamps: Vec<u8> = self.in_slot(slot).collect();
        for by in clamps {
            let Some(own) = self.items[by as usize].ready.walls(surface, true).map(|w| w.span) else {
                continue;
            };
            let Some(layers) = self.layers(index, by) else {
                self.found(Demand::GripLength(index as u16), bit(slot), Outcome::Fail);
                continue;
            };
            self.check_closes(index, by, &layers);
            // A half without a bolt holds nothing.
            let clamp = &self.items[by as usize].ready;
            if !clamp.pinches.iter().any(|&pinch| beside(pinch, own, -ROUNDING)) {
                let blame = bit(slot) | grip(self.setting.rule, index as u16);
                self.found_on(Demand::GripPinch(index as u16), Outcome::Fail, blame);
            }
            self.check_held(index, by, own, &layers);
        }
    }

    /// From the outside in, each with its sleeve to the next one out and the length that must be held.
    pub(super) fn layers(&self, index: usize, by: u8) -> Option<Vec<Layer>> {
        let grip = &self.setting.rule.grips[index];
        let surface = self.lists.grips[index].1;
        let mut found: Vec<Layer> = Vec::new();
        let mut outer = by;
        for layer in &grip.layers {
            let Some(item) = self.in_slot(layer.slot).next() else { continue };
            let first = found.is_empty();
            let between =
                |s: &&Sliding| s.outer.0 == outer && s.inner.0 == item && (!first || s.outer.1 == surface);
            let sleeve = *self.sleeves.iter().find(between)?;
            found.push((sleeve, layer.least.map(|l| l.as_nm())));
            outer = item;
        }
        (!found.is_empty()).then_some(found)
    }

    fn check_closes(&mut self, index: usize, by: u8, layers: &[Layer]) {
        for at in 0..layers.len() {
            let outer = layers[at].0.outer.0;
            // It closes where it is split, or its wall gives: whichever is more.
            let split = self.items[outer as usize].ready.closes_by;
            let (gives, inside) = self.closing(&layers[at..]);
            let own = self.slots_of(&[outer, by]);
            let room = split.higher(gives).minus(inside);
            self.found(Demand::GripCloses(index as u16), own, within(room, Some(0), None));
            if self.never_gives(&layers[at..]) {
                self.check_reach(index, (by, outer), own);
            }
        }
    }

    /// By how much the wall of the first of these layers gives, and what it has to close.
    fn closing(&self, layers: &[Layer]) -> (Figure, Figure) {
        let springs =
            layers.first().map_or(0, |first| self.lists.sleeves[usize::from(first.0.sleeve)].springs);
        let mut inside = Figure::ZERO;
        for (sliding, _) in layers {
            let of = |i: u8| &self.items[i as usize].ready;
            if let Some((narrow, _)) = clearance(of(sliding.outer.0), of(sliding.inner.0), sliding) {
                inside = inside.plus(narrow);
            }
        }
        (Figure::ZERO.plus_length(Length::nm(springs)), inside)
    }

    /// The first of these layers closes nowhere but where it is split.
    pub(super) fn never_gives(&self, layers: &[Layer]) -> bool {
        let (gives, inside) = self.closing(layers);
        within(gives.minus(inside), Some(0), None) == Outcome::Fail
    }

    /// No slit closes at bolts that are further apart than it is long, wherever it is.
    fn check_reach(&mut self, index: usize, (by, outer): (u8, u8), own: Slots) {
        let surface = self.lists.grips[index].1;
        let Some(long) = self.items[outer as usize].ready.slit_length else { return };
        let clamp = &self.items[by as usize].ready;
        let Some(wall) = clamp.walls(surface, true).map(|w| w.span) else { return };
        let highest = squeezing(clamp, wall).reduce(Figure::higher);
        let lowest = squeezing(clamp, wall).reduce(Figure::lower);
        let Some((highest, lowest)) = highest.zip(lowest) else { return };
        // Of a bolt that is not beside the part at all another check speaks.
        if self.setting.asks(Demand::GripPinch(index as u16)) {
            let reach = long.minus(highest.minus(lowest));
            let past = Some(self.setting.rule.grips[index].past.as_nm());
            self.found(Demand::SlitReach(index as u16), own, within(reach, past, None));
        }
    }

    fn check_held(&mut self, index: usize, by: u8, own: Span, layers: &[Layer]) {
        let base = self.bottom(by);
        let mut spans: Vec<Span> = Vec::new();
        if let Some(base) = base {
            spans.push(Span { bottom: own.bottom.plus(base), top: own.top.plus(base) });
        }
        let whole = own.top.minus(own.bottom);
        for (sliding, least) in layers {
            spans.extend(self.span(sliding.inner, false));
            let Some(least) = *least else { continue };
            let held = common(&spans).map_or(whole, |held| held.lower(whole));
            let own = self.slots_of(&[by, sliding.inner.0]);
            self.found(Demand::GripLength(index as u16), own, within(held, Some(least), None));
        }
        let Some(base) = base else { return };
        let mut inside: Option<Figure> = None;
        for pinch in squeezing(&self.items[by as usize].ready, own) {
            let pinch = pinch.plus(base);
            for span in &spans {
                let room = pinch.minus(span.bottom).lower(span.top.minus(pinch));
                inside = Some(inside.map_or(room, |i| i.lower(room)));
            }
        }
        if let Some(inside) = inside {
            self.found(
                Demand::GripPinch(index as u16),
                bit(self.items[by as usize].pick.slot),
                within(inside, Some(0), None),
            );
        }
    }
}

/// Pinch bolts beside the wall, from the clamp's bottom.
pub(super) fn squeezing(clamp: &Ready, wall: Span) -> impl Iterator<Item = Figure> + '_ {
    clamp.pinches.iter().copied().filter(move |&pinch| beside(pinch, wall, ROUNDING))
}

/// At nominal sizes it is so far inside the wall's ends.
fn beside(pinch: Figure, wall: Span, by: i64) -> bool {
    pinch.minus(wall.bottom).at[0] > by && wall.top.minus(pinch).at[0] > by
}
