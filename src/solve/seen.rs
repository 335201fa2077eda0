//! Piles with the same future: one that is reached again no cheaper need not be followed again.
//!
//! What is owned or may come in a box is part of the key, since boxes are shared: keeping only the single best
//! plan of a pile would be wrong. Must not know how an outlook is told.

use super::supply::{Cost, Counts, Supplies};
use crate::assembly::{Outcome, Pick};
use std::collections::HashMap;

/// An outlook, and what of the parts in boxes is used.
type Key = (Vec<i64>, Vec<(u32, u32)>);

#[derive(Default)]
pub struct Seen {
    known: HashMap<Key, Vec<Way>>,
}

/// A way that led to a pile.
#[derive(Clone, Debug)]
struct Way {
    outcome: Outcome,
    cost: Cost,
    picks: Vec<Pick>,
}

impl Seen {
    /// True when the pile was followed before from a way at least as good in every respect; else remembers this one.
    pub fn before(
        &mut self,
        outlook: Vec<i64>,
        needed: &Counts,
        supplies: &Supplies<'_>,
        (outcome, cost): (Outcome, Cost),
        picks: &[Pick],
    ) -> bool {
        let shared =
            needed.iter().filter(|(p, _)| supplies.part_in_a_box(**p)).map(|(p, c)| (p.0, *c)).collect();
        let ways = self.known.entry((outlook, shared)).or_default();
        let as_good = |w: &Way| {
            w.outcome <= outcome
                && w.cost <= cost
                && w.cost.unpriced <= cost.unpriced
                && w.cost.minor <= cost.minor
                && w.picks.len() <= picks.len()
                && w.picks.as_slice() <= picks
        };
        if ways.iter().any(as_good) {
            return true;
        }
        ways.push(Way { outcome, cost, picks: picks.to_vec() });
        false
    }
}
