//! Every set-up of the book that goes, from the answers that are there: the stops of routes.
//!
//! For each fork, revision and system: the plan of the answer, for every other set of bars that is possible there the
//! cheapest plan with those, and for every deck on which none of these goes the cheapest plan on it. Must not know routes.

use super::book::Book;
use super::kept::Kept;
use super::progress::Count;
use crate::assembly::{Outcome, Pick};
use crate::catalogue::VariantIx;
use crate::kinds::{self, Known};
use crate::solve::{Aim, Answer, Bench, Held, HeldPlan, SetUp, ShopStrengths, Supply, Verdict, picks_of};
use rayon::prelude::*;

/// What was found, and whether no search came to its limit: else more may go than is here.
pub struct SetUps {
    pub all: Vec<SetUp>,
    /// Of those of one answer the plan of each, in the same order.
    pub plans: Vec<Vec<Pick>>,
    pub complete: bool,
}

/// Sorted by fork, revision, system and bars: the order in which equal routes are told.
pub fn set_ups(book: &Book, kept: &Kept, answers: &[&Answer], count: &Count<'_>) -> SetUps {
    let strengths = ShopStrengths(&book.shop);
    let bench = book.bench(&strengths);
    let found: Vec<SetUps> =
        answers.par_iter().map(|answer| count.one(of_answer(&bench, kept, answer))).collect();
    let complete = found.iter().all(|f| f.complete);
    let mut all: Vec<SetUp> = found.into_iter().flat_map(|f| f.all).collect();
    all.sort_by_key(|s| (s.fork, s.system, s.bars));
    SetUps { all, plans: vec![], complete }
}

/// Those of one answer; its own first.
pub fn of_answer(bench: &Bench<'_>, kept: &Kept, answer: &Answer) -> SetUps {
    // Nobody is led over a stop, or to one, that takes a change for good.
    if answer.verdict == Verdict::No || answer.supply == Some(Supply::PermanentChange) {
        return SetUps { all: vec![], plans: vec![], complete: !answer.unfinished };
    }
    // What must be measured at best goes for certain with no bars at all.
    if answer.verdict == Verdict::Measure && !answer.unfinished {
        return SetUps { all: vec![], plans: vec![], complete: true };
    }
    let (fork, system) = (answer.fork, answer.system);
    let own = kept.set_up(bench, (fork, system), &picks_of(&answer.stack), &answer.boxed);
    let own = own.map(|own| SetUp { as_in_guide: true, ..own });
    let mut complete = own.is_some() || !answer.unfinished;
    let own_bars = own.as_ref().and_then(|s| s.bars);
    let mut all: Vec<SetUp> = own.into_iter().collect();
    let mut plans: Vec<Vec<Pick>> = all.iter().map(|_| picks_of(&answer.stack)).collect();
    let mut add = |all: &mut Vec<SetUp>, picks: Vec<Pick>| {
        if let Some(stop) = kept.set_up(bench, (fork, system), &picks, &answer.boxed) {
            all.push(stop);
            plans.push(picks);
        }
    };
    let others = |bars: &VariantIx| Some(bench.catalogue.variant(*bars).part) != own_bars;
    for bars in bench.possible(fork, system, &kinds::known_as(Known::Bars)).into_iter().filter(others) {
        // Nobody is led over a stop that may not go.
        let (boxed, aim) = (answer.boxed.as_slice(), Aim::Certain);
        let held = Held { owned: &[], boxed, fixed: &[bars], known: &[], at_best: Outcome::Pass, aim };
        match kept.plan(bench, fork, system, &held) {
            HeldPlan::Goes(picks) => add(&mut all, picks),
            HeldPlan::Unsettled => complete = false,
            HeldPlan::Measure(_) | HeldPlan::No => {}
        }
    }
    for deck in
        bench.catalogue.variants_known_as(Known::Deck).filter(|&deck| bench.places(system, &[deck]).is_some())
    {
        if all.iter().any(|stop| stop.brought.iter().any(|b| b.contains(&deck))) {
            continue;
        }
        // As the guide's table of decks asks, so that it is asked once.
        let (owned, boxed) = ([(deck, 1)], answer.boxed.as_slice());
        let held = Held {
            owned: &owned,
            boxed,
            fixed: &[deck],
            known: &[],
            at_best: Outcome::Pass,
            aim: Aim::Whole,
        };
        match kept.plan(bench, fork, system, &held) {
            HeldPlan::Goes(picks) => add(&mut all, picks),
            HeldPlan::Unsettled => complete = false,
            HeldPlan::Measure(_) | HeldPlan::No => {}
        }
    }
    SetUps { all, plans, complete }
}
