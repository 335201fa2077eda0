//! Small books made up by number, answered twice: by the search, and by trying every combination without a thought.
//! Shares with the search only the judgement of one finished stack.

use crate::trying;

use benchleaf::solve::{Bench, IN_ONE, ShopStrengths, Verdict};
use rayon::prelude::*;
use trying::{book, by_trying_all, first_by_stock, texts, told, with_trials};

/// Verdict of each fork of the book, or where the two ways differ.
fn compare(seed: u64) -> Result<Vec<Verdict>, String> {
    let book = book(seed);
    let strengths = ShopStrengths(&book.shop);
    let mut verdicts = vec![];
    // The second fork, which no box holds, in every fourth book.
    for fork in
        ["fork-a", "fork-b"].iter().take(1 + usize::from(seed.is_multiple_of(4))).map(|id| book.variant(id))
    {
        // In parts from the start in every other book: small books would never come to that.
        let in_one = if seed.is_multiple_of(2) { IN_ONE } else { 1 };
        let answer = Bench { in_one, ..book.bench(&strengths) }.answer(fork, 0);
        // What is on hand comes first, but for what must be measured where something goes for certain.
        let [stocked, all] = by_trying_all(&book, fork);
        let best = first_by_stock(stocked, all);
        if answer.unfinished || told(&book, &answer) != best {
            let (parts, stock) = texts(seed);
            let found = told(&book, &answer);
            return Err(format!("book {seed}: search {found:?}\nall {best:?}\n{parts}\n{stock}"));
        }
        verdicts.push(answer.verdict);
    }
    Ok(verdicts)
}

fn run(books: u64) {
    let compared: Vec<_> = (0..books).into_par_iter().map(compare).collect();
    let wrong: Vec<&String> = compared.iter().filter_map(|c| c.as_ref().err()).collect();
    assert!(wrong.is_empty(), "{} of {books} books differ, the first:\n{}", wrong.len(), wrong[0]);
    let verdicts: Vec<Verdict> = compared.into_iter().flatten().flatten().collect();
    for verdict in [Verdict::Goes, Verdict::Measure, Verdict::No] {
        let count = verdicts.iter().filter(|&&v| v == verdict).count();
        assert!(count * 20 >= verdicts.len(), "only {count} of {} are {verdict:?}", verdicts.len());
    }
}

#[test]
fn the_search_finds_what_trying_everything_finds() {
    run(40);
}

/// Parts of the same sizes that differ only in having been tried: neither may stand for the other.
#[test]
fn the_search_finds_the_best_where_fits_were_tried() {
    let compared = (0..40_u64).into_par_iter().map(|seed| {
        let book = with_trials(seed);
        let strengths = ShopStrengths(&book.shop);
        let fork = book.variant("fork-a");
        let answer = book.bench(&strengths).answer(fork, 0);
        let [stocked, all] = by_trying_all(&book, fork);
        let (best, found) = (stocked.or(all), told(&book, &answer));
        assert!(!answer.unfinished && found == best, "book {seed}: search {found:?}\nall {best:?}");
        usize::from(answer.stack.checks.iter().any(|check| check.tried.is_some()))
    });
    let rest_on_one: usize = compared.sum();
    assert!(rest_on_one > 3, "only {rest_on_one} answers rest on a trial");
}

/// The long run: `cargo test --test library brute_force:: -- --ignored`.
#[test]
#[ignore = "500 books take the better part of a minute"]
fn the_search_finds_what_trying_everything_finds_in_500_books() {
    run(500);
}
