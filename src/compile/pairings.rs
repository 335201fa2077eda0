//! Every pairing solved and told, in parallel; the order of the result never depends on threads.

use super::Progress;
use super::book::Book;
use crate::base::Problems;
use crate::guide::{self, Guide, guide_with_problems, pairing_json, plain};
use crate::solve::{Answer, ShopStrengths};
use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering};

pub struct Pairing {
    /// Index into the rules.
    pub system: usize,
    pub answers: Vec<Answer>,
    pub guide: Guide,
    pub json: String,
    pub text: String,
}

pub fn pairings(
    book: &Book,
    pairs: &[(usize, usize)],
    progress: &(dyn Fn(Progress) + Sync),
    problems: &mut Problems,
) -> Vec<Pairing> {
    let done = AtomicUsize::new(0);
    let told: Vec<(Pairing, Problems)> = pairs
        .par_iter()
        .map(|&(fork, system)| {
            let pairing = pairing(book, fork, system);
            let done = done.fetch_add(1, Ordering::Relaxed) + 1;
            progress(Progress { done, total: pairs.len() });
            pairing
        })
        .collect();
    let mut pairings = Vec::with_capacity(told.len());
    for (pairing, found) in told {
        for problem in found.0 {
            if !problems.0.contains(&problem) {
                problems.push(problem);
            }
        }
        pairings.push(pairing);
    }
    pairings
}

fn pairing(book: &Book, fork: usize, system: usize) -> (Pairing, Problems) {
    let strengths = ShopStrengths(&book.shop);
    let answers = book.bench(&strengths).answers(book.forks[fork], system);
    let mut problems = Problems::default();
    let telling = guide::Book { catalogue: &book.catalogue, rules: &book.rules, words: &book.words };
    let guide = guide_with_problems(&telling, &answers, &mut problems);
    let json = pairing_json(&telling, &answers, &guide).to_string();
    let text = plain(&guide, &book.words);
    (Pairing { system, answers, guide, json, text }, problems)
}
