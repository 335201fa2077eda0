//! Small books whose boxes do not say which revision of a part they hold: each answer is held against trying every
//! combination wherever that answer may be the rider's. Shares with the search only the judgement of one finished stack.

use crate::book;
use crate::trying;

use benchleaf::assembly::{Outcome, Pick, assemble};
use benchleaf::solve::{Answer, InBox, ShopStrengths, Verdict, picks_of};
use book::Book;
use rayon::prelude::*;
use trying::{
    RULE, Revisions, all_that_may_go, best_of, book_of, first_by_stock, price, texts_with, told, worlds,
};

/// It takes nothing to be in the boxes that is otherwise there.
fn may_be(answer: &Answer, world: &[InBox]) -> bool {
    answer.boxed.iter().all(|a| world.contains(a))
}

fn book_with(seed: u64, revisions: Revisions) -> Book {
    let (parts, stock) = texts_with(seed, revisions);
    book_of(RULE, &parts, &stock)
}

/// How many answers the book has, and whether they differ in what they promise.
#[derive(Clone, Copy, Default)]
struct Told {
    answers: usize,
    depends: bool,
    goes_with_all: bool,
}

fn said(answers: &[Answer]) -> Told {
    let depends = answers.iter().any(|a| (a.verdict, a.supply) != (answers[0].verdict, answers[0].supply));
    let goes = answers.iter().all(|a| a.verdict == Verdict::Goes);
    Told { answers: answers.len(), depends, goes_with_all: goes && answers.len() > 1 }
}

/// Whatever is in the fork's own box, the one answer for it is what trying everything finds there.
fn own_box(seed: u64) -> Result<Told, String> {
    let book = book_with(seed, Revisions::OwnBox);
    let strengths = ShopStrengths(&book.shop);
    let fork = book.variant("fork-a");
    let answers = book.bench(&strengths).answers_of(fork, 0);
    let may_go = all_that_may_go(&book, fork);
    for world in worlds(&book, fork) {
        let mut here = answers.iter().filter(|a| may_be(a, &world));
        let (Some(answer), None) = (here.next(), here.next()) else {
            return Err(format!("book {seed}: not one answer for {world:?}"));
        };
        let [stocked, all] = best_of(&book, fork, &may_go, &world);
        let best = first_by_stock(stocked, all);
        if answer.unfinished || told(&book, answer) != best {
            let (parts, stock) = texts_with(seed, Revisions::OwnBox);
            let found = told(&book, answer);
            return Err(format!("book {seed}, {world:?}: {found:?}\nall {best:?}\n{parts}\n{stock}"));
        }
    }
    Ok(said(&answers))
}

/// Whatever is in any box, what an answer says of it is so: its plan can be had at that price and comes to that; and where
/// it says that nothing goes nothing does.
fn any_box(seed: u64) -> Result<Told, String> {
    let book = book_with(seed, Revisions::AnyBox);
    let strengths = ShopStrengths(&book.shop);
    let fork = book.variant("fork-a");
    let answers = book.bench(&strengths).answers_of(fork, 0);
    let may_go = all_that_may_go(&book, fork);
    for world in worlds(&book, fork).iter().take(81) {
        let wrong = |what: &str, answer: &Answer| {
            let parts = texts_with(seed, Revisions::AnyBox).0;
            Err(format!("book {seed}, {world:?}: {what}: {:?}\n{parts}", told(&book, answer)))
        };
        let here: Vec<&Answer> = answers.iter().filter(|a| may_be(a, world)).collect();
        if here.is_empty() {
            return Err(format!("book {seed}: no answer for {world:?}"));
        }
        for answer in here {
            let picks: Vec<Pick> = picks_of(&answer.stack);
            let stack = assemble(book.setting(0, &strengths), &picks);
            let worst = stack.checks.iter().map(|c| c.outcome).max().unwrap_or(Outcome::Pass);
            let cost = price(&book, fork, &picks, world);
            let spend = (answer.spend.unpriced, answer.spend.known.as_minor());
            match answer.verdict {
                Verdict::Goes if worst != Outcome::Pass => return wrong("does not go for certain", answer),
                Verdict::Measure if worst == Outcome::Fail => return wrong("does not go", answer),
                Verdict::No if best_of(&book, fork, &may_go, world)[1].is_some() => {
                    return wrong("something goes", answer);
                }
                Verdict::No => {}
                _ if cost.is_none_or(|cost| cost > spend) => return wrong("cannot be had so", answer),
                _ => {}
            }
        }
    }
    Ok(said(&answers))
}

fn run(books: u64, one: fn(u64) -> Result<Told, String>) {
    let all: Vec<Result<Told, String>> = (0..books).into_par_iter().map(one).collect();
    let wrong: Vec<&String> = all.iter().filter_map(|c| c.as_ref().err()).collect();
    assert!(wrong.is_empty(), "{} of {books} books, the first:\n{}", wrong.len(), wrong[0]);
    let told: Vec<Told> = all.into_iter().flatten().collect();
    let count = |of: fn(&Told) -> bool| told.iter().filter(|t| of(t)).count();
    let (several, depend, go) = (count(|t| t.answers > 1), count(|t| t.depends), count(|t| t.goes_with_all));
    println!("{several} of {books} with several answers, {depend} depend, {go} go with all");
    assert!(several * 10 >= told.len(), "only {several} with several answers");
    assert!(depend * 40 >= told.len(), "only {depend} depend");
    assert!(go > 0, "none goes with every revision");
}

#[test]
fn whatever_is_in_the_forks_own_box_its_answer_is_that_of_trying_everything() {
    run(60, own_box);
}

#[test]
fn a_box_with_revisions_never_goes_where_one_of_its_revisions_does_not() {
    run(60, any_box);
}

/// The long run: `cargo test --test library boxed_revisions:: -- --ignored`.
#[test]
#[ignore = "400 books each take some minutes"]
fn both_hold_in_400_books() {
    run(400, own_box);
    run(400, any_box);
}
