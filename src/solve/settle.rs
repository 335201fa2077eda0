//! What an answer rests on, alone: whether there is a plan, and what it costs. Must not know words.

use super::bench::Bench;
use super::search::Rank;
use super::supply::Cost;
use crate::assembly::{Outcome, Pick};
use crate::catalogue::VariantIx;

/// Whether there is a plan, without anything about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settled {
    /// Of the best plan; `None`: there is none.
    pub outcome: Option<Outcome>,
    /// That plan takes a permanent change.
    pub changed: bool,
    /// What it costs; `None` where that depends on what is in a box.
    pub cost: Option<Cost>,
    /// A search came to its limit: then nothing is proved.
    pub unfinished: bool,
}

impl Bench<'_> {
    /// What the answer rests on, alone: does anything go, or may it, and did a search come to its limit. Neither what a
    /// guide tells beside the plan nor the reasons of a "no" are looked for.
    pub fn settle(&self, fork: VariantIx, system: usize) -> Settled {
        let leaves = self.leaves(fork, system);
        let found = || leaves.iter().map(|leaf| &leaf.chosen.tried.found);
        let plans: Option<Vec<&Rank>> = found().map(|f| f.best.as_ref()).collect();
        let worst = plans.and_then(|all| all.into_iter().max_by_key(|plan| plan.outcome));
        let is_changed = |p: &Pick| self.catalogue.variant(p.variant).changed.is_some();
        Settled {
            outcome: worst.map(|plan| plan.outcome),
            changed: worst.is_some_and(|plan| plan.picks.iter().any(is_changed)),
            cost: worst.filter(|_| leaves.len() == 1).map(|plan| plan.cost),
            unfinished: found().any(|f| f.unfinished),
        }
    }
}
