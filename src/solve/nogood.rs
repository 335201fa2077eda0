//! Contents of slots that are known to lead nowhere, whatever stands in the other slots.
//!
//! Kept exactly as picked, never as a hash alone: a mistaken match would be a wrong "no". Must not know why.

use crate::assembly::{Pick, Slots, bit};
use std::collections::HashSet;

/// Sets of slots remembered for one place of the search; more would cost more to look through than they save.
const MOST_SETS: usize = 24;

/// By the slot that was next to be filled.
#[derive(Default)]
pub struct Nogoods {
    places: Vec<Place>,
}

#[derive(Default)]
struct Place {
    sets: Vec<(Slots, HashSet<Vec<Pick>>)>,
}

impl Nogoods {
    /// The slots to blame when these contents are known to lead nowhere from slot `next` on.
    pub fn known(&self, next: usize, picks: &[Pick]) -> Option<Slots> {
        let place = self.places.get(next)?;
        place
            .sets
            .iter()
            .find(|(slots, known)| known.contains(&contents(picks, *slots)))
            .map(|(slots, _)| *slots)
    }

    pub fn learn(&mut self, next: usize, picks: &[Pick], slots: Slots) {
        if self.places.len() <= next {
            self.places.resize_with(next + 1, Place::default);
        }
        let sets = &mut self.places[next].sets;
        let known = match sets.iter().position(|(s, _)| *s == slots) {
            Some(at) => &mut sets[at].1,
            None if sets.len() >= MOST_SETS => return,
            None => {
                sets.push((slots, HashSet::new()));
                let last = sets.len() - 1;
                &mut sets[last].1
            }
        };
        known.insert(contents(picks, slots));
    }
}

/// What stands in these slots; a slot that is not there stands empty.
fn contents(picks: &[Pick], slots: Slots) -> Vec<Pick> {
    picks.iter().filter(|p| slots & bit(p.slot) != 0).copied().collect()
}
