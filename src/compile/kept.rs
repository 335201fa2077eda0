//! What the last run found, for the next one to take as it is where it is made from the same: answers, and the plans for what a
//! rider holds.
//!
//! Must not know how either is found, nor where it is kept between runs.

use super::made_from::MadeFrom;
use crate::catalogue::VariantIx;
use crate::solve::{Answer, Bench, Held, HeldPlan, Question};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, HashMap};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// A fork's id and a system's.
pub type Pair = (String, String);

struct OfPair {
    from: MadeFrom,
    /// Of both, answers and plans, only what this run asks is left for the next one.
    asked: bool,
    answers: Vec<Answer>,
    /// Asked of one of the fork's revisions.
    plans: HashMap<Asked, KeptPlan>,
}

type Asked = (VariantIx, Question);

struct KeptPlan {
    plan: HeldPlan,
    /// By this run.
    asked: bool,
}

#[derive(Default)]
pub struct Kept(Mutex<BTreeMap<Pair, OfPair>>);

impl Kept {
    fn known(&self) -> MutexGuard<'_, BTreeMap<Pair, OfPair>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A run begins: what the last one did not ask is forgotten.
    pub fn begin(&self) {
        let mut known = self.known();
        known.retain(|_, of_pair| std::mem::take(&mut of_pair.asked));
        for of_pair in known.values_mut() {
            of_pair.plans.retain(|_, plan| std::mem::take(&mut plan.asked));
        }
    }

    /// The answers, if they are made from the same.
    pub fn answers(&self, pair: &Pair, from: &MadeFrom) -> Option<Vec<Answer>> {
        let mut known = self.known();
        let of_pair = known.get_mut(pair).filter(|of_pair| of_pair.from == *from)?;
        of_pair.asked = true;
        Some(of_pair.answers.clone())
    }

    /// In place of what was kept before, plans and all: it was made from something else.
    pub fn keep(&self, pair: Pair, from: MadeFrom, answers: Vec<Answer>) {
        self.known().insert(pair, OfPair { from, asked: true, answers, plans: HashMap::new() });
    }

    /// For whoever asks for so many pairings that all of them are too many to keep.
    pub fn forget(&self, pair: &Pair) {
        self.known().remove(pair);
    }

    /// The plan for what a rider holds, asked only once of what a pairing is made from.
    pub fn plan(&self, bench: &Bench<'_>, fork: VariantIx, system: usize, held: &Held<'_>) -> HeldPlan {
        let pair = (bench.catalogue.part_of(fork).id.clone(), bench.rules[system].id.clone());
        let question = (fork, held.question(bench.rider));
        let known = self.known().get_mut(&pair).and_then(|of_pair| {
            let kept = of_pair.plans.get_mut(&question)?;
            kept.asked = true;
            Some(kept.plan.clone())
        });
        known.unwrap_or_else(|| {
            let plan = bench.held_plan(fork, system, held);
            if let Some(of_pair) = self.known().get_mut(&pair) {
                of_pair.plans.insert(question, KeptPlan { plan: plan.clone(), asked: true });
            }
            plan
        })
    }
}

/// As it is written: by the program that found it, for another one may find something else.
#[derive(Serialize)]
struct Writing<'k> {
    program: [u8; 32],
    pairs: Vec<WritingPair<'k>>,
}

#[derive(Serialize)]
struct WritingPair<'k> {
    pair: &'k Pair,
    from: MadeFrom,
    answers: &'k [Answer],
    plans: Vec<(&'k Asked, &'k HeldPlan)>,
}

/// As it is read: the same, field by field.
#[derive(Deserialize)]
struct Written {
    program: [u8; 32],
    pairs: Vec<WrittenPair>,
}

#[derive(Deserialize)]
struct WrittenPair {
    pair: Pair,
    from: MadeFrom,
    answers: Vec<Answer>,
    plans: Vec<(Asked, HeldPlan)>,
}

/// Bytes of the sum that stands before all the rest.
const SUM: usize = blake3::OUT_LEN;

impl Kept {
    /// For another run of the same program: what the last run asked. The same bytes for the same book.
    ///
    /// `program`: equal for programs that find the same.
    pub fn to_bytes(&self, program: [u8; 32]) -> Vec<u8> {
        let known = self.known();
        let asked = known.iter().filter(|(_, of_pair)| of_pair.asked);
        let pairs = asked.map(|(pair, of_pair)| {
            let asked = of_pair.plans.iter().filter(|(_, kept)| kept.asked);
            let mut plans: Vec<_> = asked.map(|(asked, kept)| (asked, &kept.plan)).collect();
            plans.sort_by_key(|plan| plan.0);
            WritingPair { pair, from: of_pair.from, answers: &of_pair.answers, plans }
        });
        let writing = Writing { program, pairs: pairs.collect() };
        let mut bytes = postcard::to_extend(&writing, vec![0; SUM]).unwrap_or_default();
        if let Some((sum, rest)) = bytes.split_at_mut_checked(SUM) {
            sum.copy_from_slice(blake3::hash(rest).as_bytes());
        }
        bytes
    }

    /// Nothing where the bytes are another program's, or not as they were written.
    pub fn from_bytes(bytes: &[u8], program: [u8; 32]) -> Kept {
        let whole = bytes.split_at_checked(SUM).filter(|(sum, rest)| *blake3::hash(rest).as_bytes() == **sum);
        let written = whole.and_then(|(_, rest)| postcard::from_bytes::<Written>(rest).ok());
        let pairs = written.filter(|written| written.program == program).map(|written| written.pairs);
        let kept = |(question, plan): (Asked, HeldPlan)| (question, KeptPlan { plan, asked: true });
        let of_pair = |written: WrittenPair| {
            let WrittenPair { pair, from, answers, plans } = written;
            (pair, OfPair { from, asked: true, answers, plans: plans.into_iter().map(kept).collect() })
        };
        Kept(Mutex::new(pairs.unwrap_or_default().into_iter().map(of_pair).collect()))
    }
}
