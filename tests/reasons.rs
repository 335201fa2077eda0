//! Why something does not go, held to trying every combination of small books made up by number: what is told cannot
//! hold together, and from what is told nothing can be taken away. Shares with the search only the judgement of one
//! finished stack.

use crate::book;
use crate::trying;

use benchleaf::assembly::{Demand, Outcome, Pick, Setting, assemble};
use benchleaf::solve::{ShopStrengths, Verdict, demands};
use rayon::prelude::*;
use trying::{RULE, book_of, can_be_had, every_stack, texts};

/// Something goes, or may go, of all that can be had, where nothing but this is asked.
fn goes(book: &book::Book, ways: &[Vec<Pick>], asked: &[Demand]) -> bool {
    let strengths = ShopStrengths(&book.shop);
    let setting = book.setting(0, &strengths);
    let waived: Vec<Demand> = demands(setting.rule).into_iter().filter(|d| !asked.contains(d)).collect();
    let fails = |picks: &Vec<Pick>| {
        let stack = assemble(Setting { waived: &waived, ..setting }, picks);
        stack.checks.iter().any(|c| c.outcome == Outcome::Fail && asked.contains(&c.demand))
    };
    ways.iter().any(|picks| !fails(picks))
}

/// How many facts the reason has and whether it is called smallest; `None` where something goes.
fn told(seed: u64) -> Option<(usize, bool)> {
    // So much gap and so much held that many piles have one of them and none both.
    let narrow = RULE.replace("gap = [\"1\", \"5\"]", "gap = [\"3\", \"8\"]");
    let narrow = narrow.replace("{ slot = \"fork\", least = \"20\" }", "{ slot = \"fork\", least = \"38\" }");
    let long = RULE.replace("{ slot = \"fork\", least = \"20\" }", "{ slot = \"fork\", least = \"36\" }");
    let long = long.replace("gap = [\"1\", \"5\"]", "gap = [\"4\", \"8\"]");
    let rule = [RULE, &narrow, &long][(seed % 3) as usize];
    let (parts, stock) = texts(seed);
    let book = book_of(rule, &parts, &stock);
    let strengths = ShopStrengths(&book.shop);
    let fork = book.variant("fork-b");
    let answer = book.bench(&strengths).answer(fork, 0);
    if answer.verdict != Verdict::No {
        return None;
    }
    assert!(!answer.unfinished, "book {seed}");
    let reason: Vec<Demand> = answer.reason.iter().map(|c| c.demand).collect();
    let mut ways = every_stack(&book, fork);
    ways.retain(|picks| can_be_had(&book, fork, picks));
    let goes = |asked: &[Demand]| goes(&book, &ways, asked);
    let contradicts = !goes(&reason);
    assert!(
        contradicts || !answer.reason_smallest,
        "book {seed}: something goes though all this is asked: {reason:?}"
    );
    for out in &reason {
        let rest: Vec<Demand> = reason.iter().filter(|d| *d != out).copied().collect();
        assert!(goes(&rest) || !answer.reason_smallest, "book {seed}: {out:?} is not needed: {reason:?}");
    }
    Some((reason.len(), answer.reason_smallest))
}

/// `proved_of_100`: how many at least are proved smallest.
fn run(books: u64, proved_of_100: usize) {
    let told: Vec<(usize, bool)> = (0..books).into_par_iter().filter_map(told).collect();
    let several = told.iter().filter(|t| t.0 > 1).count();
    let proved = told.iter().filter(|t| t.1).count();
    println!(
        "{} of {books} do not go, {several} for several facts at once, {proved} proved smallest",
        told.len()
    );
    assert!(told.len() as u64 * 10 >= books, "only {} do not go", told.len());
    assert!(several * 20 >= told.len(), "only {several} of {} have several facts", told.len());
    assert!(
        proved * 100 >= told.len() * proved_of_100,
        "only {proved} of {} are proved smallest",
        told.len()
    );
}

#[test]
fn a_reason_cannot_hold_together_and_nothing_can_be_taken_from_it() {
    run(240, 100);
}

/// The long run: `cargo test --test library reasons:: -- --ignored`.
#[test]
#[ignore = "2,000 books take some minutes"]
fn reasons_are_smallest_in_2000_books() {
    run(2_000, 98);
}
