//! How high what rests on the ring must stand at least, for what stands still is in its way.
//!
//! Only bounds: in whatever passing plan begins like this it stands no lower. Must not know search.

use super::Glance;
use super::figure::BUILDS;
use super::outline::Made;
use super::reach::{FAR, Reach, VIEWS, Views};
use super::ready::Ready;
use super::standing::Stand;
use crate::assembly::blame::{Slots, bit, met_anyhow};
use crate::assembly::report::Demand;
use crate::rules::SlotIx;
use std::rc::Rc;

/// How high something is at least.
#[derive(Clone, Copy)]
pub struct Floor {
    /// In a real build so that it is clear of what stands still; between all ends by what it surely meets alone, for whether it is
    /// clear is judged for itself, whatever else is asked.
    pub least: Views,
    /// Between all ends, to be clear.
    pub clear: i64,
}

impl Floor {
    const NONE: Floor = Floor { least: [-FAR; VIEWS], clear: -FAR };

    /// Also over something that is so high; whether it is any higher for it.
    fn raise(&mut self, base: &Reach, over: &Floor) -> bool {
        let before = (self.least, self.clear);
        for (view, least) in self.least.iter_mut().enumerate() {
            *least = (*least).max(base.low[view] + over.least[view]);
        }
        self.clear = self.clear.max(base.low[0] + over.clear);
        (self.least, self.clear) != before
    }
}

/// How high each of a slot's kinds of bottoms is at least.
#[derive(Clone)]
pub struct Floors {
    pub least: Vec<Floor>,
    /// The slot, and those of what is in its way.
    pub own: Slots,
}

/// A slot and its floors.
pub type OfSlot = (SlotIx, Rc<Floors>);

impl Glance<'_> {
    /// It rests on the ring: what reaches down to what stands still.
    pub(super) fn rests_on_ring(&self, slot: SlotIx) -> bool {
        self.lists.path.first().is_some_and(|ring| slot > ring.slot && self.may_rest(slot, ring.slot))
    }

    /// The last item that stands still, or has something that does.
    pub(super) fn last_standing(&self) -> Option<u8> {
        self.standing_before(self.items.len() as u8)
    }

    fn standing_before(&self, end: u8) -> Option<u8> {
        let still = |item: &u8| !self.lists.still[self.items[*item as usize].pick.slot.0 as usize].none();
        (1..end).rev().find(still)
    }

    pub(super) fn no_floors(&self, slot: SlotIx) -> Floors {
        let kinds = self.outline.kinds_of_bottoms(slot.0 as usize);
        Floors { least: vec![Floor::NONE; kinds], own: bit(slot) }
    }

    /// What stands still up to this item, and the slot's part may not rest on, lifts that.
    pub(super) fn floors(&self, slot: SlotIx, last: u8) -> Rc<Floors> {
        let item = &self.items[last as usize];
        if let Some((_, known)) = item.floors.borrow().iter().find(|floors| floors.0 == slot) {
            return Rc::clone(known);
        }
        let mut floors = match self.standing_before(last) {
            Some(before) => Floors::clone(&self.floors(slot, before)),
            None => self.no_floors(slot),
        };
        let base = self.bottom(last).filter(|_| !self.may_rest(slot, item.pick.slot));
        if let Some(base) = base {
            let base = Reach::of(base, [true; BUILDS]);
            let over = self.over(slot, self.made(last), &item.ready);
            let mut raised = false;
            for (floor, over) in floors.least.iter_mut().zip(&*over) {
                raised |= floor.raise(&base, over);
            }
            // Those alone count that it is higher for than for any before.
            floors.own |= if raised { bit(item.pick.slot) } else { 0 };
        }
        let floors = Rc::new(floors);
        item.floors.borrow_mut().push((slot, Rc::clone(&floors)));
        floors
    }

    /// How high above a part of a lower slot, which the slot's may not rest on, each kind of the slot's bottoms is at least: it
    /// surely meets it there, or must be clear of what stands still of it.
    pub(super) fn over(&self, slot: SlotIx, made: Made, below: &Ready) -> Rc<Vec<Floor>> {
        let key = (slot, made);
        if let Some(known) = self.outline.over.borrow().get(&key) {
            return Rc::clone(known);
        }
        let on = self.on_part(slot, made, below);
        let kinds = self.outline.slots[slot.0 as usize].bottoms().into_iter().zip(&*on);
        let over = |(part, on): (&Ready, &Option<Stand>)| {
            let mut least = self.clear((slot, part), (made.0.slot, below));
            let clear = std::mem::replace(&mut least[0], -FAR);
            for (view, least) in least.iter_mut().enumerate() {
                let met = on.filter(|on| on.surely[view]).map_or(-FAR, |on| on.reach.low[view]);
                *least = (*least).max(met);
            }
            Floor { least, clear: clear.max(least[0]) }
        };
        let found: Rc<Vec<Floor>> = Rc::new(kinds.map(over).collect());
        self.outline.over.borrow_mut().insert(key, Rc::clone(&found));
        found
    }

    /// Leaves out where what stands still is in the way of the slot's kinds of bottoms; what that rests on.
    pub(super) fn lift(&self, slot: SlotIx, stands: &mut [Reach]) -> Slots {
        let Some(last) = self.last_standing().filter(|_| self.rests_on_ring(slot)) else { return 0 };
        let floors = self.floors(slot, last);
        let mut lifted = false;
        for (stands, floor) in stands.iter_mut().zip(&floors.least) {
            for (low, floor) in stands.low.iter_mut().zip(&floor.least) {
                lifted |= *floor > *low;
                *low = (*low).max(*floor);
            }
            if stands.is_in(0) && floor.clear > stands.high[0] {
                lifted = true;
                stands.leave_out(0);
            }
            *stands = stands.or_nowhere();
        }
        if lifted { self.lifted_by(slot) } else { 0 }
    }

    /// What it rests on how high what stands still lifts the slot's part.
    fn lifted_by(&self, slot: SlotIx) -> Slots {
        let own = self.last_standing().map_or(bit(slot), |last| self.floors(slot, last).own);
        self.rests(Demand::Still, own) | met_anyhow(self.setting.rule, own)
    }
}
