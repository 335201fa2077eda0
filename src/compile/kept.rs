//! What the last run found, for the next one to take as it is where it is made from the same: answers, the plans for what a
//! rider holds, and what else is found of plans.
//!
//! Must not know how any of it is found, nor where it is kept between runs.

use super::Pages;
use super::made_from::{MadeFrom, Piece};
use super::told::Told;
use crate::base::Problems;
use crate::catalogue::VariantIx;
use crate::solve::{Answer, Bench, Held, HeldPlan, Question};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, HashMap};
use std::hash::Hash;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// A fork's id and a system's.
pub type Pair = (String, String);

struct OfPair {
    from: MadeFrom,
    /// Of both, answers and plans, only what this run asks is left for the next one.
    asked: bool,
    answers: Vec<Answer>,
    /// Asked of one of the fork's revisions.
    plans: Asked<(VariantIx, Question), HeldPlan>,
    /// As bytes, for it is of many sorts.
    found: Asked<Vec<u8>, Vec<u8>>,
}

/// What was found of each thing asked, and whether this run asked it.
struct Asked<Q, F>(HashMap<Q, (F, bool)>);

impl<Q: Hash + Ord, F: Clone> Asked<Q, F> {
    fn of(all: Vec<(Q, F)>) -> Asked<Q, F> {
        Asked(all.into_iter().map(|(question, found)| (question, (found, true))).collect())
    }

    fn known(&mut self, question: &Q) -> Option<F> {
        let (found, asked) = self.0.get_mut(question)?;
        *asked = true;
        Some(found.clone())
    }

    fn keep(&mut self, question: Q, found: F) {
        self.0.insert(question, (found, true));
    }

    /// `but_keep` them all; none counts as asked any more.
    fn forget_unasked(&mut self, but_keep: bool) {
        self.0.retain(|_, (_, asked)| std::mem::take(asked) || but_keep);
    }

    /// What this run asked, in order.
    fn asked(&self) -> Vec<(&Q, &F)> {
        let mut asked: Vec<(&Q, &F)> = self
            .0
            .iter()
            .filter(|(_, found)| found.1)
            .map(|(question, found)| (question, &found.0))
            .collect();
        asked.sort_by_key(|(question, _)| *question);
        asked
    }
}

#[derive(Default)]
pub struct Kept {
    pairs: Mutex<BTreeMap<Pair, OfPair>>,
    /// Of the pieces that the answers of the last run were made from, by their names.
    sums: Mutex<BTreeMap<String, [u8; 32]>>,
    /// Of this run.
    decided: Mutex<BTreeMap<Pair, Decision>>,
    /// The last run was not brought to its end.
    given_up: AtomicBool,
    /// What the last run made, of a program that goes on and remembers it: never written down.
    last: Option<Mutex<Last>>,
}

/// Each with what it was made from.
#[derive(Default)]
struct Last {
    told: Option<([u8; 32], Arc<Told>, Problems)>,
    pages: Option<([u8; 32], Pages)>,
}

/// Whether a pairing is answered anew, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Decision {
    /// It is made from the same.
    Kept,
    /// No run before left an answer of it.
    NothingKept,
    /// These pieces, by their names, are new or not as they were. None of them: some that there were are gone.
    Others(Vec<String>),
}

impl Kept {
    fn known(&self) -> MutexGuard<'_, BTreeMap<Pair, OfPair>> {
        self.pairs.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn sums(&self) -> MutexGuard<'_, BTreeMap<String, [u8; 32]>> {
        self.sums.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn decided(&self) -> MutexGuard<'_, BTreeMap<Pair, Decision>> {
        self.decided.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A run begins: what the last one did not ask is forgotten, unless that was given up before it had asked all.
    pub fn begin(&self) {
        self.decided().clear();
        let given_up = self.given_up.swap(false, Ordering::Relaxed);
        let mut known = self.known();
        known.retain(|_, of_pair| std::mem::take(&mut of_pair.asked) || given_up);
        for of_pair in known.values_mut() {
            of_pair.plans.forget_unasked(given_up);
            of_pair.found.forget_unasked(given_up);
        }
    }

    /// The run ends before it has asked all.
    pub fn give_up(&self) {
        self.given_up.store(true, Ordering::Relaxed);
    }

    /// The answers, if they are made from the same.
    pub fn answers(&self, pair: &Pair, from: &MadeFrom) -> Option<Vec<Answer>> {
        let mut known = self.known();
        let of_pair = known.get_mut(pair).filter(|of_pair| of_pair.from == *from)?;
        of_pair.asked = true;
        Some(of_pair.answers.clone())
    }

    /// The same, of what the pieces come to; what was decided, and why, is remembered. The one place where it is decided.
    pub fn decide(&self, pair: &Pair, pieces: &[&Piece]) -> Option<Vec<Answer>> {
        let from = MadeFrom::of(pieces);
        let found = self.answers(pair, &from);
        let decision = match &found {
            Some(_) => Decision::Kept,
            None if !self.known().contains_key(pair) => Decision::NothingKept,
            None => {
                let before = self.sums();
                let other = |piece: &&&Piece| before.get(&piece.name()) != Some(&piece.sum);
                Decision::Others(pieces.iter().filter(other).map(|piece| piece.name()).collect())
            }
        };
        self.decided().insert(pair.clone(), decision);
        found
    }

    /// What was decided of it in this run; nothing where it was not asked.
    pub fn decision(&self, pair: &Pair) -> Option<Decision> {
        self.decided().get(pair).cloned()
    }

    /// All pairings of this run are decided.
    pub fn decided_all(&self, sums: BTreeMap<String, [u8; 32]>) {
        *self.sums() = sums;
    }

    /// In place of what was kept before, plans and all: it was made from something else.
    pub fn keep(&self, pair: Pair, from: MadeFrom, answers: Vec<Answer>) {
        self.known().insert(
            pair,
            OfPair { plans: Asked::of(vec![]), found: Asked::of(vec![]), from, asked: true, answers },
        );
    }

    /// For whoever asks for so many pairings that all of them are too many to keep.
    pub fn forget(&self, pair: &Pair) {
        self.known().remove(pair);
    }

    /// The plan for what a rider holds, asked only once of what a pairing is made from.
    pub fn plan(&self, bench: &Bench<'_>, fork: VariantIx, system: usize, held: &Held<'_>) -> HeldPlan {
        let pair = pair_of(bench, fork, system);
        let question = (fork, held.question(bench.rider));
        let known = self.known().get_mut(&pair).and_then(|of_pair| of_pair.plans.known(&question));
        known.unwrap_or_else(|| {
            let plan = bench.held_plan(fork, system, held);
            if let Some(of_pair) = self.known().get_mut(&pair) {
                of_pair.plans.keep(question, plan.clone());
            }
            plan
        })
    }

    /// Whatever is found of a pairing's plans, asked only once of what the pairing is made from: nothing else may be read.
    ///
    /// `question`: with what tells its sort from others. What was asked must never rest on what was known: the next run is left
    /// what this one asked.
    pub fn found<Q: Serialize, F: Serialize + DeserializeOwned>(
        &self,
        bench: &Bench<'_>,
        (fork, system): (VariantIx, usize),
        question: &Q,
        find: impl FnOnce() -> F,
    ) -> F {
        let pair = pair_of(bench, fork, system);
        let Ok(question) = postcard::to_stdvec(question) else { return find() };
        let known = self.known().get_mut(&pair).and_then(|of_pair| of_pair.found.known(&question));
        let known = known.and_then(|bytes| postcard::from_bytes(&bytes).ok());
        known.unwrap_or_else(|| {
            let found = find();
            if let (Some(of_pair), Ok(bytes)) = (self.known().get_mut(&pair), postcard::to_stdvec(&found)) {
                of_pair.found.keep(question, bytes);
            }
            found
        })
    }

    /// For a program that goes on: what a run made is remembered until the next one.
    pub fn remembering(self) -> Kept {
        Kept { last: Some(Mutex::default()), ..self }
    }

    fn last(&self) -> Option<MutexGuard<'_, Last>> {
        Some(self.last.as_ref()?.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// What the last run told and what was wrong with it, where that was made from the same; then nothing has to be decided.
    pub fn last_told(&self, from: &[u8; 32]) -> Option<(Arc<Told>, Problems)> {
        let last = self.last()?;
        let (_, told, problems) = last.told.as_ref().filter(|told| told.0 == *from)?;
        self.decided().values_mut().for_each(|decision| *decision = Decision::Kept);
        Some((Arc::clone(told), problems.clone()))
    }

    /// The same, whatever it was made from.
    pub fn last_of_all(&self) -> Option<Arc<Told>> {
        Some(Arc::clone(&self.last()?.told.as_ref()?.1))
    }

    pub fn remember_told(&self, from: [u8; 32], told: &Arc<Told>, problems: &Problems) {
        if let Some(mut last) = self.last() {
            last.told = Some((from, Arc::clone(told), problems.clone()));
        }
    }

    /// The pages of the last run, where they were made from the same.
    pub fn last_pages(&self, from: &[u8; 32]) -> Option<Pages> {
        Some(self.last()?.pages.as_ref().filter(|pages| pages.0 == *from)?.1.clone())
    }

    /// One of these is not as the last run made it, or there was none.
    pub fn differ_from_last(&self, pages: &Pages) -> bool {
        let last = self.last();
        let last = last.as_ref().and_then(|last| Some(&last.pages.as_ref()?.1));
        last.is_none_or(|last| pages.iter().any(|(path, page)| last.get(path) != Some(page)))
    }

    pub fn remember_pages(&self, from: [u8; 32], pages: &Pages) {
        if let Some(mut last) = self.last() {
            last.pages = Some((from, pages.clone()));
        }
    }
}

fn pair_of(bench: &Bench<'_>, fork: VariantIx, system: usize) -> Pair {
    (bench.catalogue.part_of(fork).id.clone(), bench.rules[system].id.clone())
}

/// As it is written: by the program that found it, for another one may find something else.
#[derive(Serialize)]
struct Writing<'k> {
    program: [u8; 32],
    sums: BTreeMap<String, [u8; 32]>,
    pairs: Vec<WritingPair<'k>>,
}

#[derive(Serialize)]
struct WritingPair<'k> {
    pair: &'k Pair,
    from: MadeFrom,
    answers: &'k [Answer],
    plans: Vec<(&'k (VariantIx, Question), &'k HeldPlan)>,
    found: Vec<(&'k Vec<u8>, &'k Vec<u8>)>,
}

/// As it is read: the same, field by field.
#[derive(Deserialize)]
struct Written {
    program: [u8; 32],
    sums: BTreeMap<String, [u8; 32]>,
    pairs: Vec<WrittenPair>,
}

#[derive(Deserialize)]
struct WrittenPair {
    pair: Pair,
    from: MadeFrom,
    answers: Vec<Answer>,
    plans: Vec<((VariantIx, Question), HeldPlan)>,
    found: Vec<(Vec<u8>, Vec<u8>)>,
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
        let pairs = asked.map(|(pair, of_pair)| WritingPair {
            pair,
            from: of_pair.from,
            answers: &of_pair.answers,
            plans: of_pair.plans.asked(),
            found: of_pair.found.asked(),
        });
        let writing = Writing { program, sums: self.sums().clone(), pairs: pairs.collect() };
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
        let Some(written) = written.filter(|written| written.program == program) else {
            return Kept::default();
        };
        let of_pair = |written: WrittenPair| {
            let WrittenPair { pair, from, answers, plans, found } = written;
            let (plans, found) = (Asked::of(plans), Asked::of(found));
            (pair, OfPair { from, asked: true, answers, plans, found })
        };
        Kept {
            pairs: Mutex::new(written.pairs.into_iter().map(of_pair).collect()),
            sums: Mutex::new(written.sums),
            decided: Mutex::default(),
            given_up: AtomicBool::default(),
            last: None,
        }
    }
}
