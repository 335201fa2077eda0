//! Where parts of the slots still to come may stand: on what is there, and on each other.
//!
//! Only bounds: whatever passing plan stands in those slots, they lie between them. Must not know search.

use super::Glance;
use super::above::{Above, Room};
use super::figure::{BUILDS, Figure};
use super::reach::Reach;
use super::ready::{Face, Ready};
use super::standing::{Stand, Standings};
use crate::assembly::blame::bit;
use crate::assembly::build::Pick;
use crate::catalogue::VariantIx;
use crate::rules::{PutOn, SlotIx};
use rustc_hash::FxHashMap as HashMap;
use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

/// Candidates of the slots, both ways up, and what is known of them.
#[derive(Default)]
pub struct Outline {
    pub(super) slots: Vec<Vec<Candidate>>,
    /// Which of its slot's candidates a pick is.
    numbers: HashMap<Pick, usize>,
    /// By slot, the first candidate of each kind of bottoms, and what goes together in its candidates.
    pub(super) kinds: Vec<Kinds>,
    /// How high above the bottom of a part those of a slot may stand on it.
    on_part: RefCell<HashMap<(SlotIx, Pick), Rc<Standings>>>,
    /// By upper slot, lower slot and kind of tops there: how high above where these are reckoned from.
    on_tops: Vec<Vec<Option<OnKinds>>>,
    pub(super) above: Above,
}

/// How high kinds of bottoms may stand on kinds of tops.
struct OnKinds {
    on: Vec<Standings>,
    /// On any of them.
    on_any: Standings,
}

/// Parts of a slot sorted by what of them meets others.
#[derive(Default)]
pub struct Kinds {
    /// The first candidate with each kind of bottoms.
    bottoms: Vec<usize>,
    /// Kind of bottoms, kind of tops, and how high the one may be above the other.
    pub pairs: Vec<(usize, usize, Reach)>,
}

pub struct Candidate {
    /// Twice its number among the slot's parts, one more when turned.
    place: usize,
    pub ready: Arc<Ready>,
    /// What it leaves to the fork standing at height 0.
    pub room: Room,
    /// Which of the slot's kinds of bottoms it has.
    pub bottoms: usize,
    /// Which of the slot's kinds of tops it has, and from where these are reckoned above its bottom.
    pub tops: usize,
    pub lift: Reach,
}

impl Candidate {
    /// Its number among the slot's parts.
    pub fn part(&self) -> usize {
        self.place / 2
    }
}

impl Outline {
    pub fn is_empty(&self) -> bool {
        self.slots.is_empty()
    }

    pub fn count(&self, slot: usize) -> usize {
        self.slots[slot].len()
    }

    pub fn place(&self, slot: usize, candidate: usize) -> usize {
        self.slots[slot][candidate].place
    }

    /// Whether there is a candidate, place by place.
    pub fn all_places(&self, slot: usize) -> Vec<bool> {
        let mut all = Vec::new();
        for candidate in &self.slots[slot] {
            all.resize(all.len().max(candidate.place + 1), false);
            all[candidate.place] = true;
        }
        all
    }

    /// One part with each kind of bottoms.
    fn bottoms(&self, slot: usize) -> Vec<&Ready> {
        self.kinds[slot].bottoms.iter().map(|&first| &*self.slots[slot][first].ready).collect()
    }

    pub fn kinds_of_bottoms(&self, slot: usize) -> usize {
        self.kinds[slot].bottoms.len()
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

/// Sorts parts by their bottoms, and by their tops: alike are tops that differ in nothing but how high up all are.
fn sorted(candidates: &mut [Candidate]) -> Kinds {
    let mut kinds = Kinds::default();
    let (mut bottoms, mut tops) = (HashMap::default(), HashMap::default());
    let mut pairs: HashMap<(usize, usize), usize> = HashMap::default();
    for (at, candidate) in candidates.iter_mut().enumerate() {
        let next = bottoms.len();
        candidate.bottoms = *bottoms.entry(candidate.ready.bottoms.clone()).or_insert(next);
        if candidate.bottoms == next {
            kinds.bottoms.push(at);
        }
        let next = tops.len();
        candidate.tops = *tops.entry(from_highest(&candidate.ready.tops)).or_insert(next);
        let (pair, next) = ((candidate.bottoms, candidate.tops), kinds.pairs.len());
        let pair = *pairs.entry(pair).or_insert(next);
        match kinds.pairs.get_mut(pair) {
            Some(known) => known.2 = known.2.with(candidate.lift),
            None => kinds.pairs.push((candidate.bottoms, candidate.tops, candidate.lift)),
        }
    }
    kinds
}

/// Faces with their heights from the first of the highest.
fn from_highest(faces: &[Face]) -> Vec<Face> {
    let Some(first) = highest(faces).map(|face| face.height) else { return Vec::new() };
    let up = |height: Figure| Figure {
        at: [0, 1, 2].map(|build: usize| height.at[build] - first.at[build]),
        least: height.least - first.least,
        most: height.most - first.most,
    };
    faces.iter().map(|face| Face { height: up(face.height), lowest: 0, highest: 0, ..*face }).collect()
}

/// The first of the highest faces.
fn highest(faces: &[Face]) -> Option<&Face> {
    faces.iter().rev().max_by_key(|face| face.height.at[0])
}

/// From where a part's tops are reckoned: its highest face.
fn lift(part: &Ready) -> Reach {
    highest(&part.tops).map_or(Reach::NOWHERE, |first| Reach::of(first.height, [true; BUILDS]))
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
        let mut outline = Outline::default();
        for (index, variants) in candidates.iter().enumerate() {
            let slot = SlotIx(index as u16);
            let its = rule.slot(slot);
            let ways = [(false, its.as_drawn), (true, its.turned)];
            let all = variants
                .iter()
                .enumerate()
                .flat_map(|(at, &v)| ways.iter().filter(|w| w.1).map(move |w| (at, v, w.0)));
            let mut candidates: Vec<Candidate> = Vec::new();
            for (at, variant, turned) in all {
                let pick = Pick { slot, variant, turned };
                // As it stands on the fork, where it takes its diameter from that.
                let made = if self.comes_down(slot) {
                    self.made_ready(pick).map(|made| (made.0, made.1))
                } else {
                    self.readies.part(variant, turned, index == 0).map(|ready| (ready, None))
                };
                let Some((ready, seated)) = made else { continue };
                outline.numbers.insert(pick, candidates.len());
                // Below the ring nothing is pushed.
                let room = match self.slot_below_ring(slot) {
                    true => Room::FREE,
                    false => Room::of(&self.downs_at_zero(&ready, slot, seated)),
                };
                let place = at * 2 + usize::from(turned);
                candidates.push(Candidate { place, room, bottoms: 0, tops: 0, lift: lift(&ready), ready });
            }
            outline.kinds.push(sorted(&mut candidates));
            outline.slots.push(candidates);
        }
        let last = rule.pulled.0 as usize;
        for upper in 0..=last {
            let on_lower = (0..=upper).map(|lower| self.on_kinds(&outline, upper, lower)).collect();
            outline.on_tops.push(on_lower);
        }
        outline.above = self.what_may_come_above(&outline);
        outline
    }

    /// How high those of the one slot may stand on each kind of tops of the other; `None`: none may rest there.
    fn on_kinds(&self, outline: &Outline, upper: usize, lower: usize) -> Option<OnKinds> {
        let (up, low) = (SlotIx(upper as u16), SlotIx(lower as u16));
        let twice = lower == upper && self.setting.rule.slot(up).most < 2;
        if lower == 0 || twice || !self.may_rest(up, low) || !self.comes_down(up) {
            return None;
        }
        let (mut parts, mut lifts): (Vec<&Ready>, Vec<Reach>) = (Vec::new(), Vec::new());
        for part in &outline.slots[lower] {
            if part.tops == parts.len() {
                parts.push(&part.ready);
                lifts.push(part.lift);
            }
        }
        let mut kinds = OnKinds { on: Vec::new(), on_any: vec![None; outline.kinds_of_bottoms(upper)] };
        for (on, lift) in self.standings((low, &parts), (up, &outline.bottoms(upper))).into_iter().zip(lifts)
        {
            let on: Standings = on.into_iter().map(|on| Some(on?.minus_shift(lift))).collect();
            for (any, on) in kinds.on_any.iter_mut().zip(&on) {
                *any = on.map(|on| any.map_or(on, |any| any.or(on))).or(*any);
            }
            kinds.on.push(on);
        }
        Some(kinds)
    }

    pub(super) fn may_rest(&self, upper: SlotIx, lower: SlotIx) -> bool {
        self.lists.rests_on[upper.0 as usize] & bit(lower) != 0
    }

    /// A sleeve whose inner part is surely this one when it is there.
    pub(super) fn slides(&self, outer: super::rule::At, inner: super::rule::At) -> bool {
        self.lists.sleeves.iter().any(|s| s.outer == outer && s.inner.first() == Some(&inner))
    }

    /// There is something in the pile that the item just put on can rest on at all, at whatever height.
    pub(super) fn can_stand(&self, index: u8) -> bool {
        let pick = self.items[index as usize].pick;
        let (slot, rests_on) = (pick.slot, self.lists.rests_on[pick.slot.0 as usize]);
        let carries =
            self.setting.rule.slots.iter().any(|s| s.put_on == PutOn::Flush && s.host == Some(slot));
        let seated = |item: u8| self.items[item as usize].seated.is_some();
        if self.outline.is_empty() || !self.comes_down(slot) || carries || seated(index) {
            return true;
        }
        if rests_on == u64::MAX {
            return true;
        }
        let Some(&at) = self.outline.numbers.get(&pick) else { return true };
        let kind = self.outline.slots[slot.0 as usize][at].bottoms;
        let stands = |item: u8| self.with_standings(slot, item, |on, _| on[kind].is_some());
        (0..index).any(|item| {
            let may = self.may_rest(slot, self.items[item as usize].pick.slot);
            may && (seated(item) || stands(item))
        })
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
            None => of(&self.on_item(slot, item), None),
        }
    }

    /// Slot, kind of tops and from where they are reckoned.
    pub(super) fn kind_of_tops(&self, item: u8) -> Option<(usize, usize, Reach)> {
        let it = &self.items[item as usize];
        let number = self.outline.numbers.get(&it.pick).filter(|_| item > 0 && it.seated.is_none())?;
        let lower = it.pick.slot.0 as usize;
        let candidate = &self.outline.slots[lower][*number];
        Some((lower, candidate.tops, candidate.lift))
    }

    /// The same on a part that stands there other than it came.
    fn on_item(&self, slot: SlotIx, item: u8) -> Rc<Standings> {
        let it = &self.items[item as usize];
        let key = (slot, it.pick);
        if let Some(known) = self.outline.on_part.borrow().get(&key) {
            return Rc::clone(known);
        }
        let bottoms = self.outline.bottoms(slot.0 as usize);
        let found = self.standings((it.pick.slot, &[&it.ready]), (slot, &bottoms)).pop();
        let found = Rc::new(found.unwrap_or_default());
        self.outline.on_part.borrow_mut().insert(key, Rc::clone(&found));
        found
    }
}
