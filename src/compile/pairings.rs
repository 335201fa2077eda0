//! Every pairing solved and told, in parallel; the order of the result never depends on threads.

use super::Progress;
use super::book::Book;
use super::coming::add_coming;
use super::decks;
use super::families::{self, Families};
use super::kept::{Kept, Pair};
use super::made_from::Sorted;
use super::progress::{Count, Work};
use crate::base::Problems;
use crate::catalogue::VariantIx;
use crate::guide::{
    ForBars, Guide, OnDeck, guide_with_problems, pairing_json, plain, tell_bars, tell_decks, variant_id,
};
use crate::solve::{Answer, Bench, Rider, ShopStrengths};
use rayon::prelude::*;

pub struct Pairing {
    /// Index into the rules.
    pub system: usize,
    pub answers: Vec<Answer>,
    pub guide: Guide,
    pub json: String,
    pub text: String,
    /// The first set of each family of bars with a plan of its own.
    pub bars: Vec<VariantIx>,
}

/// The same, but for those that are kept and made from the same; keeps all.
pub fn answers_again(
    book: &Book,
    pairs: &[(usize, usize)],
    (sorted, kept): (&Sorted, &Kept),
    progress: &(dyn Fn(Progress<'_>) + Sync),
) -> Vec<Vec<Answer>> {
    let mut found: Vec<Option<Vec<Answer>>> = decide(book, pairs, (sorted, kept));
    let open: Vec<(usize, usize)> =
        pairs.iter().zip(&found).filter(|(_, found)| found.is_none()).map(|(pair, _)| *pair).collect();
    let mut new = answers(book, &open, Rider::default(), progress).into_iter();
    for (&(fork, system), found) in pairs.iter().zip(&mut found).filter(|(_, found)| found.is_none()) {
        let answers = new.next().unwrap_or_default();
        let from = sorted.pairing(book, book.forks[fork], system);
        kept.keep(name(book, (fork, system)), from, answers.clone());
        *found = Some(answers);
    }
    kept.decided_all(sorted.sums());
    found.into_iter().flatten().collect()
}

/// What is kept of each, where it is made from the same.
pub fn decide(
    book: &Book,
    pairs: &[(usize, usize)],
    (sorted, kept): (&Sorted, &Kept),
) -> Vec<Option<Vec<Answer>>> {
    kept.begin();
    let one = |&(fork, system): &(usize, usize)| {
        kept.decide(&name(book, (fork, system)), &sorted.pieces(book, book.forks[fork], system))
    };
    pairs.iter().map(one).collect()
}

/// As its fork and its system are called between runs.
pub fn name(book: &Book, (fork, system): (usize, usize)) -> Pair {
    (book.catalogue.part(book.forks[fork]).id.clone(), book.rules[system].id.clone())
}

/// Solved for each pair; `progress` is told of each.
pub fn answers(
    book: &Book,
    pairs: &[(usize, usize)],
    rider: Rider<'_>,
    progress: &(dyn Fn(Progress<'_>) + Sync),
) -> Vec<Vec<Answer>> {
    let count = Count::of(Work::Answers, pairs.len(), progress);
    let solve = |&(fork, system): &(usize, usize)| {
        let strengths = ShopStrengths(&book.shop);
        let bench = Bench { rider, ..book.bench(&strengths) };
        count.one(bench.answers(book.forks[fork], system))
    };
    pairs.par_iter().map(solve).collect()
}

/// What is said of these answers, one list for each pair. All pairs of a fork must be there: a guide tells how to come from the
/// others.
pub fn told(
    book: &Book,
    (kept, rider): (&Kept, Rider<'_>),
    pairs: &[(usize, usize)],
    answers: Vec<Vec<Answer>>,
    count: Option<&Count<'_>>,
    problems: &mut Problems,
) -> Vec<Pairing> {
    let of_fork = |fork: usize| -> Vec<&[Answer]> {
        let all = pairs.iter().zip(&answers).filter(|(pair, _)| pair.0 == fork);
        all.map(|(_, answers)| answers.as_slice()).collect()
    };
    let siblings: Vec<Vec<&[Answer]>> = (0..book.forks.len()).map(of_fork).collect();
    let told: Vec<(Pairing, Problems)> = pairs
        .par_iter()
        .zip(&answers)
        .map(|(&(fork, system), answers)| {
            let told = pairing(book, (kept, rider), system, answers, &siblings[fork]);
            if let Some(count) = count { count.one(told) } else { told }
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

/// Of each pairing, told for the first set of each family of bars with a plan of its own; with the place of the pairing.
pub fn for_bars(
    book: &Book,
    (kept, sorted): (&Kept, &Sorted),
    pairs: &[(usize, usize)],
    pairings: &[Pairing],
    progress: &(dyn Fn(Progress<'_>) + Sync),
    problems: &mut Problems,
) -> Vec<(usize, Pairing)> {
    let asked: Vec<(usize, VariantIx)> =
        pairings.iter().enumerate().flat_map(|(of, p)| p.bars.iter().map(move |&bars| (of, bars))).collect();
    let count = Count::of(Work::Bars, asked.len(), progress);
    let tell = |&(of, bars): &(usize, VariantIx)| {
        let (fork, system) = pairs[of];
        let from = sorted.pairing(book, book.forks[fork], system);
        let answers = families::answers_with(book, kept, from, pairs[of], bars);
        let rider = Rider { owns: &[(bars, 1)], uses: &[bars] };
        let (mut told, problems) = pairing(book, (kept, rider), system, &answers, &[]);
        let telling = book.telling();
        told.guide.with_bars =
            Some(ForBars { page: variant_id(&telling, bars), name: telling.variant_name(bars) });
        count.one((of, told, problems))
    };
    let told: Vec<(usize, Pairing, Problems)> = asked.par_iter().map(tell).collect();
    let mut all = Vec::with_capacity(told.len());
    for (of, pairing, found) in told {
        problems
            .0
            .extend(found.0.into_iter().filter(|problem| !problems.0.contains(problem)).collect::<Vec<_>>());
        all.push((of, pairing));
    }
    all
}

fn pairing(
    book: &Book,
    (kept, rider): (&Kept, Rider<'_>),
    system: usize,
    answers: &[Answer],
    of_fork: &[&[Answer]],
) -> (Pairing, Problems) {
    let mut problems = Problems::default();
    let telling = book.telling();
    let mut guide = guide_with_problems(&telling, answers, &mut problems);
    add_coming(book, kept, &mut guide, answers, of_fork);
    let strengths = ShopStrengths(&book.shop);
    let bench = Bench { rider, ..book.bench(&strengths) };
    let on_decks: Vec<Vec<OnDeck>> =
        answers.iter().map(|answer| decks::on_decks(book, kept, &bench, answer)).collect();
    tell_decks(&telling, &mut guide, answers, book.shop.currency, &on_decks);
    let families =
        if rider.uses.is_empty() { Families::of(book, kept, answers) } else { Families::default() };
    tell_bars(&telling, &mut guide, &families.rows);
    let json = pairing_json(&telling, answers, &guide).to_string();
    let text = plain(&guide, &book.words);
    (Pairing { system, answers: answers.to_vec(), guide, json, text, bars: families.own }, problems)
}
