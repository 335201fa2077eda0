//! How to come from each other system of a fork to one: the plan of the guide, and what is cheaper on the rider's own deck.
//! Must not know what is said of it.

use super::book::Book;
use super::kept::Kept;
use super::set_ups;
use crate::assembly::{Outcome, Pick};
use crate::catalogue::VariantIx;
use crate::guide::{ComingBy, Guide, OwnDeckWay, coming_from};
use crate::solve::{Answer, OnOwnDeck, RouteMap, SetUp, ShopStrengths, picks_of};

/// From every other system of the fork that has a plan, revision by revision.
pub fn add_coming(book: &Book, kept: &Kept, guide: &mut Guide, answers: &[Answer], of_fork: &[&[Answer]]) {
    let found: Vec<Vec<ComingBy<'_>>> =
        answers.iter().map(|new| to_answer(book, kept, new, of_fork)).collect();
    coming_from(&book.telling(), guide, answers, &found);
}

/// Of several old answers each may be the rider's, as far as it can stand beside the new one.
fn to_answer<'a>(book: &Book, kept: &Kept, new: &Answer, of_fork: &[&'a [Answer]]) -> Vec<ComingBy<'a>> {
    let strengths = ShopStrengths(&book.shop);
    let bench = book.bench(&strengths);
    let others = of_fork.iter().copied().flatten().filter(|old| old.system != new.system);
    let brought = |system: usize, picks: &[Pick]| kept.brought(&bench, (new.fork, system), picks);
    let mut found: Vec<ComingBy<'a>> = others
        .filter_map(|old| {
            Some(ComingBy { coming: bench.coming_on(old, new, &brought)?, old, own_deck: vec![] })
        })
        .collect();
    if found.is_empty() {
        return found;
    }
    // The same stops as those of a route to this pairing, and the starts behind them.
    let goals = set_ups::of_answer(&bench, kept, new);
    let mut stops: Vec<SetUp> = goals.all;
    let places: Vec<usize> = (0..stops.len()).collect();
    let mut starts: Vec<(usize, usize)> = vec![];
    for (place, by) in found.iter().enumerate() {
        let Answer { fork, system, ref stack, ref boxed, .. } = *by.old;
        let start = kept.set_up(&bench, (fork, system), &picks_of(stack), boxed);
        if let Some(start) = start {
            starts.push((place, stops.len()));
            stops.push(start);
        }
    }
    let mut map = RouteMap::new(bench, &stops, goals.complete);
    for (place, start) in starts {
        let own_deck = map.on_own_deck(start, &places, &found[place].coming);
        let standing = |own: OnOwnDeck| {
            let plan = &goals.plans[own.to];
            let on = |deck: &Vec<VariantIx>| {
                let swap = |picks: Vec<Pick>, &part: &VariantIx| bench.with_brought(new.system, &picks, part);
                let picks = deck.iter().fold(plan.clone(), swap);
                bench.standing(new.fork, new.system, &picks, Outcome::Pass)
            };
            let stands = own.decks.iter().map(on).collect();
            OwnDeckWay { own, stands }
        };
        found[place].own_deck = own_deck.into_iter().map(standing).collect();
    }
    found
}
