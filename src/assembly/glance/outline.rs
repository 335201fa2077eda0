//! Where parts of the slots still to come may stand: on what is there, and on each other.
//!
//! Only bounds: whatever passing plan stands in those slots, they lie between them. Must not know search.

use super::above::{Above, Room};
use super::floors::Floor;
use super::reach::Reach;
use super::ready::Ready;
use super::sorted::{Candidate, Kept, OnKinds, Sorted};
use super::standing::{Stand, Standings};
use super::{Glance, Seated};
use crate::assembly::blame::bit;
use crate::assembly::build::Pick;
use crate::catalogue::VariantIx;
use crate::rules::SlotIx;
use rustc_hash::FxHashMap as HashMap;
use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

/// A part as it is there: on another seat it is another shape. Without a seat as it may come.
pub type Made = (Pick, Option<Pick>);

/// By slot and part below: for each kind of the slot's bottoms.
type Over = HashMap<(SlotIx, Made), Rc<Vec<Floor>>>;

/// Candidates of the slots, both ways up, and what is known of them.
#[derive(Default)]
pub struct Outline {
    pub(super) slots: Vec<Arc<Sorted>>,
    /// By slot, what each candidate leaves to the fork standing at height 0.
    pub(super) rooms: Vec<Vec<Room>>,
    /// How high above the bottom of a part those of a slot may stand on it.
    on_part: RefCell<HashMap<(SlotIx, Made), Rc<Standings>>>,
    /// How high above a part those of a slot are at least that may not rest on it.
    pub(super) over: RefCell<Over>,
    /// By upper slot, lower slot and kind of tops there: how high above where these are reckoned from.
    on_tops: Vec<Vec<Option<Arc<OnKinds>>>>,
    pub(super) above: Above,
}

impl Outline {
    pub fn is_empty(&self) -> bool {
        self.slots.is_empty()
    }

    pub fn count(&self, slot: usize) -> usize {
        self.slots[slot].all.len()
    }

    pub fn place(&self, slot: usize, candidate: usize) -> usize {
        self.slots[slot].all[candidate].place
    }

    /// Whether there is a candidate, place by place.
    pub fn all_places(&self, slot: usize) -> Vec<bool> {
        let mut all = Vec::new();
        for candidate in &self.slots[slot].all {
            all.resize(all.len().max(candidate.place + 1), false);
            all[candidate.place] = true;
        }
        all
    }

    fn number(&self, pick: Pick) -> Option<usize> {
        self.slots.get(pick.slot.0 as usize)?.number(pick.variant, pick.turned)
    }

    pub fn kinds_of_bottoms(&self, slot: usize) -> usize {
        self.slots[slot].kinds.bottoms.len()
    }

    /// For each kind of tops of `lower`, how high each kind of bottoms of `upper` may stand on it.
    pub fn on_tops(&self, upper: usize, lower: usize) -> Option<&[Standings]> {
        Some(&self.on_tops.get(upper)?.get(lower)?.as_ref()?.on)
    }

    /// The same on tops of whatever kind.
    pub fn on_any_tops(&self, upper: usize, lower: usize) -> Option<&[Option<Stand>]> {
        Some(&self.on_tops.get(upper)?.get(lower)?.as_ref()?.on_any)
    }
}

impl Glance<'_> {
    /// Learns what may come. The fork must have been put on.
    pub fn expect(&mut self, candidates: &[Vec<VariantIx>]) {
        let outline = self.outline_of(candidates);
        self.outline = Rc::new(outline);
    }

    /// What was learned of what may come, to be told to another look at the same fork with the same candidates.
    pub fn expected(&self) -> Rc<Outline> {
        Rc::clone(&self.outline)
    }

    /// The same as was learned before.
    pub fn expect_again(&mut self, outline: Rc<Outline>) {
        self.outline = outline;
    }

    fn outline_of(&mut self, candidates: &[Vec<VariantIx>]) -> Outline {
        let rule = self.setting.rule;
        let last = rule.pulled.0 as usize;
        let mut outline = Outline::default();
        for (index, variants) in candidates.iter().enumerate() {
            let slot = SlotIx(index as u16);
            let (sorted, seats) = self.sorted(slot, variants);
            // Above the pulled part nothing is pushed.
            outline.rooms.push(if index > last { Vec::new() } else { self.rooms(slot, &sorted, &seats) });
            outline.slots.push(sorted);
        }
        self.leave_out_short(&mut outline);
        for upper in 0..rule.slots.len() {
            let on_lower = (0..=upper).map(|lower| {
                let of = |slot: usize| (SlotIx(slot as u16), &*outline.slots[slot]);
                let (up, low) = (of(upper), of(lower));
                // What comes above the pulled part is looked at for few parts only.
                let may = self.may_stand_on(up.0, low.0) && (upper <= last || Kept::keeps(up.1, low.1));
                may.then(|| self.kept.on(up, low, || self.on_kinds(up, low)))
            });
            let on_lower = on_lower.collect();
            outline.on_tops.push(on_lower);
        }
        outline.above = self.what_may_come_above(&outline);
        outline
    }

    /// The slot's candidates, and of each whose diameter it takes; none where none takes any.
    fn sorted(&mut self, slot: SlotIx, variants: &[VariantIx]) -> (Arc<Sorted>, Vec<Option<Seated>>) {
        let its = self.setting.rule.slot(slot);
        let ways = [(false, its.as_drawn), (true, its.turned)];
        let all = || {
            let places = variants.iter().enumerate();
            places.flat_map(|(at, &v)| {
                ways.iter().filter(|w| w.1).map(move |w| (at * 2 + usize::from(w.0), v, w.0))
            })
        };
        let ring = |v: &VariantIx| self.setting.catalogue.variant(*v).shape.features.split_ring;
        let presses = self.setting.rule.presses.iter().any(|p| p.wall.slot == slot);
        // As it stands on the fork, where it takes its diameter from that.
        if self.comes_down(slot) && (presses || variants.iter().any(ring)) {
            let made = all().filter_map(|(place, variant, turned)| {
                let (ready, seated, _) = self.made_ready(Pick { slot, variant, turned })?;
                Some((Candidate::new(place, ready), seated))
            });
            let (all, seats) = made.unzip();
            return (Arc::new(Sorted::new(all, variants)), seats);
        }
        let plain = |(place, variant, turned)| {
            let ready = self.readies.part(variant, turned, slot.0 == 0)?;
            Some(Candidate::new(place, ready))
        };
        let sort = || Sorted::new(all().filter_map(plain).collect(), variants);
        (self.kept.sorted(slot, variants, sort), Vec::new())
    }

    /// What each candidate leaves to the fork standing at height 0.
    fn rooms(&self, slot: SlotIx, sorted: &Sorted, seats: &[Option<Seated>]) -> Vec<Room> {
        // Below the ring nothing is pushed.
        if self.slot_below_ring(slot) {
            return vec![Room::FREE; sorted.all.len()];
        }
        let room = |at: usize, seated: Option<Seated>| {
            Room::of(&self.downs_at_zero(&sorted.all[at].ready, slot, seated))
        };
        if !seats.is_empty() {
            return seats.iter().enumerate().map(|(at, seated)| room(at, *seated)).collect();
        }
        let by_kind: Vec<Room> = sorted.kinds.bottoms.iter().map(|&first| room(first, None)).collect();
        sorted.all.iter().map(|candidate| by_kind[candidate.bottoms]).collect()
    }

    fn may_stand_on(&self, up: SlotIx, low: SlotIx) -> bool {
        let twice = low == up && self.setting.rule.slot(up).most < 2;
        low.0 > 0 && !twice && self.may_rest(up, low) && self.comes_down(up)
    }

    /// How high those of the one slot may stand on each kind of tops of the other.
    pub(super) fn on_kinds(
        &self,
        (up, upper): (SlotIx, &Sorted),
        (low, lower): (SlotIx, &Sorted),
    ) -> OnKinds {
        let firsts = || lower.kinds.tops.iter().map(|&first| &lower.all[first]);
        let parts: Vec<&Ready> = firsts().map(|first| &*first.ready).collect();
        let mut kinds = OnKinds { on: Vec::new(), on_any: vec![None; upper.kinds.bottoms.len()] };
        let all = self.standings((low, &parts), (up, &upper.bottoms()));
        for (on, lift) in all.into_iter().zip(firsts().map(|first| first.lift)) {
            let on: Standings = on.into_iter().map(|on| Some(on?.minus_shift(lift))).collect();
            for (any, on) in kinds.on_any.iter_mut().zip(&on) {
                *any = on.map(|on| any.map_or(on, |any| any.or(on))).or(*any);
            }
            kinds.on.push(on);
        }
        kinds
    }

    pub(super) fn may_rest(&self, upper: SlotIx, lower: SlotIx) -> bool {
        self.lists.rests_on[upper.0 as usize] & bit(lower) != 0
    }

    /// A sleeve whose inner part is surely this one when it is there.
    pub(super) fn slides(&self, outer: super::rule::At, inner: super::rule::At) -> bool {
        self.lists.sleeves.iter().any(|s| s.outer == outer && s.inner.first() == Some(&inner))
    }

    /// How high each of the slot's kinds of bottoms may stand on the item, and from where that is reckoned above the
    /// item's bottom.
    pub(super) fn with_standings<T>(
        &self,
        slot: SlotIx,
        item: u8,
        of: impl FnOnce(&[Option<Stand>], Option<Reach>) -> T,
    ) -> T {
        let on_tops = self.kind_of_tops(item).and_then(|(lower, kind, lift)| {
            Some((self.outline.on_tops(slot.0 as usize, lower)?.get(kind)?, lift))
        });
        match on_tops {
            Some((on, lift)) => of(on, Some(lift)),
            None => {
                let it = &self.items[item as usize];
                of(&self.on_part(slot, self.made(item), &it.ready), None)
            }
        }
    }

    /// Slot, kind of tops and from where they are reckoned.
    pub(super) fn kind_of_tops(&self, item: u8) -> Option<(usize, usize, Reach)> {
        let it = &self.items[item as usize];
        let number = self.outline.number(it.pick).filter(|_| item > 0)?;
        let lower = it.pick.slot.0 as usize;
        let candidate = &self.outline.slots[lower].all[number];
        // On another seat it is another shape.
        let same = it.seated.is_none() || Arc::ptr_eq(&it.ready, &candidate.ready);
        same.then_some((lower, candidate.tops, candidate.lift))
    }

    pub(super) fn made(&self, item: u8) -> Made {
        let it = &self.items[item as usize];
        (it.pick, it.seated.map(|seated| self.items[seated.on as usize].pick))
    }

    /// The same on a part as it is there, from its bottom.
    pub(super) fn on_part(&self, slot: SlotIx, made: Made, part: &Ready) -> Rc<Standings> {
        let key = (slot, made);
        if let Some(known) = self.outline.on_part.borrow().get(&key) {
            return Rc::clone(known);
        }
        let bottoms = self.outline.slots[slot.0 as usize].bottoms();
        let found = self.standings((made.0.slot, &[part]), (slot, &bottoms)).pop();
        let found = Rc::new(found.unwrap_or_default());
        self.outline.on_part.borrow_mut().insert(key, Rc::clone(&found));
        found
    }
}
