//! How to come from each other system of a fork to one: the plan of the guide, and what is cheaper on the rider's own deck.
//! Must not know what is said of it.

use super::book::Book;
use super::kept::Kept;
use super::set_ups;
use crate::assembly::{Outcome, Pick};
use crate::catalogue::VariantIx;
use crate::guide::{ComingBy, Guide, OwnDeckWay, coming_from};
use crate::kinds::Known;
use crate::solve::{Aim, Answer, Bench, Held, HeldPlan, OnOwnDeck, RouteMap, SetUp, ShopStrengths, picks_of};

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
    let mut found: Vec<ComingBy<'a>> =
        others.filter_map(|old| Some(ComingBy::from(bench.coming_on(old, new, &brought)?, old))).collect();
    if found.is_empty() {
        return found;
    }
    // The same stops as those of a route to this pairing, and the starts behind them.
    let goals = set_ups::of_answer(&bench, kept, new);
    let mut stops: Vec<SetUp> = goals.all;
    let places: Vec<usize> = (0..stops.len()).collect();
    let mut starts: Vec<Start> = vec![];
    for (place, by) in found.iter().enumerate() {
        let Answer { fork, system, ref stack, ref boxed, .. } = *by.old;
        let Some(start) = kept.set_up(&bench, (fork, system), &picks_of(stack), boxed) else { continue };
        for (deck, picks) in on_rows(&bench, kept, by.old, &start) {
            if let Some(row) = kept.set_up(&bench, (fork, system), &picks, boxed) {
                starts.push(Start { of: place, stop: stops.len(), row: Some(deck) });
                stops.push(row);
            }
        }
        starts.push(Start { of: place, stop: stops.len(), row: None });
        stops.push(start);
    }
    let mut map = RouteMap::new(bench, &stops, goals.complete);
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
    for Start { of, stop, row } in starts {
        let Some(deck) = row else {
            let own_deck = map.on_own_deck(stop, &places, &found[of].coming);
            found[of].own_deck = own_deck.into_iter().map(standing).collect();
            continue;
        };
        match map.staying_on(stop, &places, &[deck]) {
            Some(own) => found[of].other_decks.push(standing(own)),
            None => found[of].no_way_on.push(deck),
        }
    }
    found
}

struct Start {
    /// Which of the changes.
    of: usize,
    stop: usize,
    /// The other guide's row of this deck; `None`: its own plan.
    row: Option<VariantIx>,
}

/// Decks on which the plan of the answer does not go, each with the plan that its row tells.
fn on_rows(bench: &Bench<'_>, kept: &Kept, old: &Answer, start: &SetUp) -> Vec<(VariantIx, Vec<Pick>)> {
    let decks = bench.catalogue.variants_known_as(Known::Deck);
    let others = decks.filter(|deck| !start.brought.iter().any(|brought| brought.contains(deck)));
    let plan = |deck: VariantIx| {
        bench.places(old.system, &[deck])?;
        // As the guide's table of decks asks, so that it is asked once.
        let (owned, fixed) = ([(deck, 1)], [deck]);
        let held = Held {
            owned: &owned,
            boxed: &old.boxed,
            fixed: &fixed,
            known: &[],
            at_best: Outcome::Pass,
            aim: Aim::Whole,
        };
        match kept.plan(bench, old.fork, old.system, &held) {
            HeldPlan::Goes(picks) => Some((deck, picks)),
            _ => None,
        }
    };
    others.filter_map(plan).collect()
}
