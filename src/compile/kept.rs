//! What the last run found, for the next one to take as it is where it is made from the same: answers, and the plans for what a
//! rider holds.
//!
//! Must not know how either is found.

use super::made_from::MadeFrom;
use crate::catalogue::VariantIx;
use crate::solve::{Answer, Bench, Held, HeldPlan, Question};
use std::collections::HashMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// A fork's id and a system's.
pub type Pair = (String, String);

struct OfPair {
    from: MadeFrom,
    answers: Vec<Answer>,
    /// Asked of one of the fork's revisions.
    plans: HashMap<(VariantIx, Question), HeldPlan>,
}

#[derive(Default)]
pub struct Kept(Mutex<HashMap<Pair, OfPair>>);

impl Kept {
    fn known(&self) -> MutexGuard<'_, HashMap<Pair, OfPair>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The answers, if they are made from the same.
    pub fn answers(&self, pair: &Pair, from: &MadeFrom) -> Option<Vec<Answer>> {
        self.known().get(pair).filter(|of_pair| of_pair.from == *from).map(|of_pair| of_pair.answers.clone())
    }

    /// In place of all that was kept before. Plans stay with answers that are made from the same.
    pub fn keep(&self, all: impl Iterator<Item = (Pair, MadeFrom, Vec<Answer>)>) {
        let mut known = self.known();
        let mut before = std::mem::take(&mut *known);
        for (pair, from, answers) in all {
            let same = before.remove(&pair).filter(|before| before.from == from);
            let plans = same.map(|before| before.plans).unwrap_or_default();
            known.insert(pair, OfPair { from, answers, plans });
        }
    }

    /// The plan for what a rider holds, asked only once of what a pairing is made from.
    pub fn plan(&self, bench: &Bench<'_>, fork: VariantIx, system: usize, held: &Held<'_>) -> HeldPlan {
        let pair = (bench.catalogue.part_of(fork).id.clone(), bench.rules[system].id.clone());
        let question = (fork, held.question());
        let known = self.known().get(&pair).and_then(|of_pair| of_pair.plans.get(&question).cloned());
        known.unwrap_or_else(|| {
            let plan = bench.held_plan(fork, system, held);
            if let Some(of_pair) = self.known().get_mut(&pair) {
                of_pair.plans.insert(question, plan.clone());
            }
            plan
        })
    }
}
