//! The candidates of a slot, sorted by what of them meets others.
//!
//! Where no candidate takes its diameter from another part, the same list is sorted once for all forks and searches. Must
//! not know where anything stands.

use super::figure::{BUILDS, Figure};
use super::reach::Reach;
use super::ready::{Face, Ready};
use super::standing::{Stand, Standings};
use crate::catalogue::VariantIx;
use crate::rules::SlotIx;
use rustc_hash::FxHashMap as HashMap;
use std::sync::{Arc, Mutex, MutexGuard};

/// So many lists of a slot are kept, and so many pairs of kinds of two of them.
const MOST_LISTS: usize = 16;
const MOST_PAIRS: usize = 20_000;

#[derive(Debug, Default)]
pub struct Sorted {
    pub all: Vec<Candidate>,
    pub kinds: Kinds,
    /// Which of them a part is, one way up.
    numbers: HashMap<(VariantIx, bool), usize>,
    /// Which of the lists that are kept for its slot.
    kept: Option<usize>,
}

#[derive(Debug)]
pub struct Candidate {
    /// Twice its number among the slot's parts, one more when turned.
    pub place: usize,
    pub ready: Arc<Ready>,
    /// Which of the slot's kinds of bottoms it has.
    pub bottoms: usize,
    /// Which of the slot's kinds of tops it has, and from where these are reckoned above its bottom.
    pub tops: usize,
    pub lift: Reach,
}

/// Parts of a slot sorted by what of them meets others.
#[derive(Debug, Default)]
pub struct Kinds {
    /// The first candidate with each kind of bottoms.
    pub bottoms: Vec<usize>,
    /// The first candidate with each kind of tops.
    pub tops: Vec<usize>,
    /// Kind of bottoms, kind of tops, and how high the one may be above the other.
    pub pairs: Vec<(usize, usize, Reach)>,
}

/// How high kinds of bottoms may stand on kinds of tops.
#[derive(Debug)]
pub struct OnKinds {
    pub on: Vec<Standings>,
    /// On any of them.
    pub on_any: Vec<Option<Stand>>,
}

/// What is kept of lists of candidates, by the rule they are for.
#[derive(Debug, Default)]
pub struct Kept(Mutex<Lists>);

/// A list of parts, and as it was sorted.
type Known = (Vec<VariantIx>, Arc<Sorted>);

#[derive(Debug, Default)]
struct Lists {
    sorted: HashMap<SlotIx, Vec<Known>>,
    /// By upper slot and its list, lower slot and its list.
    on: HashMap<[(SlotIx, usize); 2], Arc<OnKinds>>,
}

impl Candidate {
    pub fn new(place: usize, ready: Arc<Ready>) -> Candidate {
        Candidate { place, bottoms: 0, tops: 0, lift: lift(&ready), ready }
    }

    /// Its number among the slot's parts.
    pub fn part(&self) -> usize {
        self.place / 2
    }
}

impl Sorted {
    /// `variants`: the slot's parts, by their numbers.
    pub fn new(mut all: Vec<Candidate>, variants: &[VariantIx]) -> Sorted {
        let kinds = sort(&mut all);
        let pick = |c: &Candidate| Some((*variants.get(c.part())?, c.place % 2 == 1));
        let numbers = all.iter().enumerate().filter_map(|(at, c)| Some((pick(c)?, at))).collect();
        Sorted { all, kinds, numbers, kept: None }
    }

    pub fn number(&self, variant: VariantIx, turned: bool) -> Option<usize> {
        self.numbers.get(&(variant, turned)).copied()
    }

    /// One part with each kind of bottoms.
    pub fn bottoms(&self) -> Vec<&Ready> {
        self.kinds.bottoms.iter().map(|&first| &*self.all[first].ready).collect()
    }
}

impl Kept {
    fn lists(&self) -> MutexGuard<'_, Lists> {
        self.0.lock().unwrap_or_else(|broken| broken.into_inner())
    }

    /// The list as it was sorted before, or sorted now.
    pub fn sorted(&self, slot: SlotIx, variants: &[VariantIx], sort: impl FnOnce() -> Sorted) -> Arc<Sorted> {
        let known = |lists: &Lists| {
            let of_slot = lists.sorted.get(&slot)?;
            of_slot.iter().find(|known| known.0 == variants).map(|known| Arc::clone(&known.1))
        };
        if let Some(known) = known(&self.lists()) {
            return known;
        }
        let mut sorted = sort();
        let mut lists = self.lists();
        let of_slot = lists.sorted.entry(slot).or_default();
        if of_slot.len() >= MOST_LISTS {
            return Arc::new(sorted);
        }
        sorted.kept = Some(of_slot.len());
        let sorted = Arc::new(sorted);
        of_slot.push((variants.to_vec(), Arc::clone(&sorted)));
        sorted
    }

    /// What is found of how high those of the one list stand on those of the other is kept.
    pub fn keeps(up: &Sorted, low: &Sorted) -> bool {
        let small = up.kinds.bottoms.len() * low.kinds.tops.len() <= MOST_PAIRS;
        small && up.kept.is_some() && low.kept.is_some()
    }

    /// How high those of the one list may stand on those of the other, as found before or found now.
    pub fn on(
        &self,
        (upper, up): (SlotIx, &Sorted),
        (lower, low): (SlotIx, &Sorted),
        find: impl FnOnce() -> OnKinds,
    ) -> Arc<OnKinds> {
        let (Some(of_upper), Some(of_lower), true) = (up.kept, low.kept, Kept::keeps(up, low)) else {
            return Arc::new(find());
        };
        let key = [(upper, of_upper), (lower, of_lower)];
        if let Some(known) = self.lists().on.get(&key) {
            return Arc::clone(known);
        }
        let found = Arc::new(find());
        self.lists().on.insert(key, Arc::clone(&found));
        found
    }
}

/// Sorts parts by their bottoms, and by their tops: alike are tops that differ in nothing but how high up all are.
fn sort(candidates: &mut [Candidate]) -> Kinds {
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
        if candidate.tops == next {
            kinds.tops.push(at);
        }
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
    let Some(first) = highest(faces).map(|face| face.line) else { return Vec::new() };
    let up = |line: Figure| Figure {
        at: [0, 1, 2].map(|build: usize| line.at[build] - first.at[build]),
        least: line.least - first.least,
        most: line.most - first.most,
    };
    faces.iter().map(|face| Face { line: up(face.line), lowest: 0, highest: 0, ..*face }).collect()
}

/// The first of the highest faces.
fn highest(faces: &[Face]) -> Option<&Face> {
    faces.iter().rev().max_by_key(|face| face.highest)
}

/// From where a part's tops are reckoned: its highest face.
fn lift(part: &Ready) -> Reach {
    highest(&part.tops).map_or(Reach::NOWHERE, |first| Reach::of(first.line, [true; BUILDS]))
}
