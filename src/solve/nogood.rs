//! Contents of slots that are known to lead nowhere, whatever stands in the other slots.
//!
//! Found by a hash, but kept and compared exactly as picked: a mistaken match would be a wrong "no". Must not know why.

use super::grounds::Grounds;
use crate::assembly::{Pick, Slots, bit};
use rustc_hash::FxHashMap as HashMap;

/// Sets of slots remembered for one place of the search; more would cost more to look through than they save.
const MOST_SETS: usize = 24;

/// Picks in all that is remembered; what is found further is not.
const MOST_PICKS: usize = 3_000_000;

/// What remembering anything takes, in picks.
const OWN_WEIGHT: usize = 12;

/// By the slot that was next to be filled.
#[derive(Clone, Default)]
pub struct Nogoods {
    /// Picks in what is remembered, a contents' own weight among them.
    kept: usize,
    places: Vec<Place>,
    /// Of the contents of each slot now; 0 for an empty one.
    hashes: Vec<u64>,
    before: Vec<(usize, u64)>,
}

/// Contents by their hash.
type Contents = HashMap<u64, Vec<Known>>;

/// Contents, and the slots of them of which it rests on no more than what they cost.
type Known = (Vec<Pick>, Slots);

#[derive(Clone, Default)]
struct Place {
    /// Those first that let a search go back furthest.
    sets: Vec<(Slots, Contents)>,
}

impl Nogoods {
    /// The pick goes on.
    pub fn push(&mut self, pick: Pick) {
        let slot = pick.slot.0 as usize;
        if self.hashes.len() <= slot {
            self.hashes.resize(slot + 1, 0);
        }
        let before = self.hashes[slot];
        self.before.push((slot, before));
        let told = u64::from(pick.variant.0) << 1 | u64::from(pick.turned);
        self.hashes[slot] = mixed(before ^ mixed(told + 1).rotate_left(u32::from(pick.slot.0)));
    }

    /// The last one comes off.
    pub fn pop(&mut self) {
        if let Some((slot, before)) = self.before.pop() {
            self.hashes[slot] = before;
        }
    }

    /// The slots to blame when these contents are known to lead nowhere from slot `next` on.
    pub fn known(&self, next: usize, picks: &[Pick]) -> Option<Grounds> {
        let grounds = |(slots, known): &(Slots, Contents)| {
            let alike = known.get(&self.hash(*slots))?;
            let one = alike.iter().find(|one| one.0.iter().copied().eq(contents(picks, *slots)))?;
            Some(Grounds { held: slots & !one.1, paid: one.1 })
        };
        self.places.get(next)?.sets.iter().find_map(grounds)
    }

    pub fn learn(&mut self, next: usize, picks: &[Pick], grounds: Grounds) {
        let slots = grounds.all();
        if self.kept >= MOST_PICKS {
            return;
        }
        if self.places.len() <= next {
            self.places.resize_with(next + 1, Place::default);
        }
        let hash = self.hash(slots);
        let sets = &mut self.places[next].sets;
        let at = match sets.binary_search_by_key(&slots, |(s, _)| *s) {
            Ok(at) => at,
            Err(_) if sets.len() >= MOST_SETS => return,
            Err(at) => {
                sets.insert(at, (slots, Contents::default()));
                at
            }
        };
        let held: Vec<Pick> = contents(picks, slots).collect();
        self.kept += OWN_WEIGHT + held.len();
        sets[at].1.entry(hash).or_default().push((held, grounds.paid & !grounds.held));
    }

    fn hash(&self, slots: Slots) -> u64 {
        let of = |(slot, hash): (usize, &u64)| if slots >> slot & 1 == 1 { *hash } else { 0 };
        self.hashes.iter().enumerate().map(of).fold(0, |all, hash| all ^ hash)
    }
}

/// Spreads a number over all bits (the finisher of a 64-bit multiplicative hash, constants from memory).
fn mixed(number: u64) -> u64 {
    let spread = number.wrapping_mul(0x9E37_79B9_7F4A_7C15);
    (spread ^ spread >> 29).wrapping_mul(0xBF58_476D_1CE4_E5B9) ^ spread >> 32
}

/// What stands in these slots; a slot that is not there stands empty.
fn contents(picks: &[Pick], slots: Slots) -> impl Iterator<Item = Pick> + '_ {
    picks.iter().filter(move |p| slots & bit(p.slot) != 0).copied()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::VariantIx;
    use crate::rules::SlotIx;

    #[test]
    fn what_is_known_to_lead_nowhere_tells_by_what_and_only_for_the_same_contents() {
        let pick = |slot: u16, v: u32| Pick { slot: SlotIx(slot), variant: VariantIx(v), turned: false };
        let with = |picks: &[Pick]| {
            let mut nogoods = Nogoods::default();
            [pick(0, 1), pick(1, 2), pick(2, 3)].into_iter().for_each(|p| nogoods.push(p));
            // It rests on what slot 0 holds and on what slot 2 costs.
            let grounds = Grounds { held: 1, paid: 4 };
            nogoods.learn(3, &[pick(0, 1), pick(1, 2), pick(2, 3)], grounds);
            (0..3).for_each(|_| nogoods.pop());
            picks.iter().for_each(|&p| nogoods.push(p));
            (nogoods.known(3, picks), grounds)
        };
        let (known, grounds) = with(&[pick(0, 1), pick(1, 7), pick(2, 3)]);
        assert_eq!(known, Some(grounds));
        for other in [[pick(0, 1), pick(1, 2), pick(2, 4)], [pick(0, 5), pick(1, 2), pick(2, 3)]] {
            assert_eq!(with(&other).0, None);
        }
    }

    #[test]
    fn of_two_reasons_that_are_known_the_one_that_lets_a_search_go_back_furthest_is_told() {
        let picks = [0u16, 1, 2].map(|slot| Pick {
            slot: SlotIx(slot),
            variant: VariantIx(u32::from(slot)),
            turned: false,
        });
        let mut nogoods = Nogoods::default();
        picks.iter().for_each(|&p| nogoods.push(p));
        let (near, far) = (Grounds { held: 6, paid: 0 }, Grounds { held: 4, paid: 0 });
        nogoods.learn(3, &picks, near);
        assert_eq!(nogoods.known(3, &picks), Some(near));
        nogoods.learn(3, &picks, far);
        assert_eq!(nogoods.known(3, &picks), Some(far));
    }
}
