//! Every set-up of the book that goes, from the answers that are there: the stops of routes.
//!
//! For each fork, revision and system: the plan of the answer, and for every other set of bars that is possible
//! there the cheapest plan with those. Must not know routes.

use super::book::Book;
use crate::catalogue::PartIx;
use crate::solve::{Answer, Bench, Held, HeldPlan, SetUp, ShopStrengths, Verdict, picks_of};
use rayon::prelude::*;

const BARS: [&str; 1] = ["bars"];

/// Sorted by fork, revision, system and bars: the order in which equal routes are told.
pub fn set_ups(book: &Book, answers: &[&Answer]) -> Vec<SetUp> {
    let strengths = ShopStrengths(&book.shop);
    let bench = book.bench(&strengths);
    let found: Vec<Vec<SetUp>> = answers.par_iter().map(|answer| of_answer(&bench, answer)).collect();
    let mut all = found.concat();
    all.sort_by_key(|s| (s.fork, s.system, s.bars));
    all
}

fn of_answer(bench: &Bench<'_>, answer: &Answer) -> Vec<SetUp> {
    if answer.verdict == Verdict::No {
        return Vec::new();
    }
    let (fork, system) = (answer.fork, answer.system);
    let own = bench.set_up(fork, system, &picks_of(&answer.stack));
    let own = own.map(|own| SetUp { as_in_guide: true, ..own });
    let own_bars = own.as_ref().and_then(|s| s.bars);
    let with = |bars: PartIx| match bench.held_plan(fork, system, &Held { owned: &[], fixed: &[bars] }) {
        HeldPlan::Goes(picks) => bench.set_up(fork, system, &picks),
        _ => None,
    };
    let others = bench.possible(fork, system, &BARS).into_iter().filter(|&bars| Some(bars) != own_bars);
    own.into_iter().chain(others.filter_map(with)).collect()
}
