//! Each deck of the book for an answer: the best plan on it. Must not know what is said of it.

use super::book::Book;
use super::kept::Kept;
use crate::assembly::{Outcome, Pick};
use crate::catalogue::VariantIx;
use crate::guide::OnDeck;
use crate::kinds::Known;
use crate::solve::{Aim, Answer, Bench, Held, HeldPlan, StepsHold, Verdict, picks_of};

/// None where nothing goes on any deck, or where what goes is changed for good, and where the rider said which deck it is.
pub fn on_decks(book: &Book, kept: &Kept, bench: &Bench<'_>, answer: &Answer) -> Vec<OnDeck> {
    let said = bench.rider.uses.iter().any(|&v| book.catalogue.part_of(v).is(Known::Deck));
    if answer.verdict == Verdict::No || !answer.changes.is_empty() || said {
        return vec![];
    }
    let on_deck = |deck: VariantIx| {
        let (owned, fixed): ([(VariantIx, u32); 1], _) = ([(deck, 1)], [deck]);
        let boxed = answer.boxed.as_slice();
        let held =
            Held { owned: &owned, boxed, fixed: &fixed, known: &[], at_best: Outcome::Pass, aim: Aim::Whole };
        let own = answer.stack.items.iter().any(|placed| placed.variant == deck);
        let plan = match bench.places(answer.system, &fixed) {
            // The answer's own deck: the best plan on it is the answer's.
            Some(_) if own && answer.verdict == Verdict::Goes => HeldPlan::Goes(picks_of(&answer.stack)),
            Some(_) if own => HeldPlan::Measure(picks_of(&answer.stack)),
            Some(_) => kept.plan(bench, answer.fork, answer.system, &held),
            None => HeldPlan::No,
        };
        let own = plan
            .clone()
            .found()
            .and_then(|(_, picks)| kept.own_plan(bench, (answer.fork, answer.system), &picks, &owned, boxed));
        let stands = plan.clone().found().filter(|found| same_but_for_the_deck(book, answer, &found.1));
        let steps = stands.map(|found| kept.steps_hold(bench, answer, &found.1));
        // Told beside the answer's own plan, it tells itself how it stands.
        let other = plan.clone().found().filter(|_| !steps.is_some_and(StepsHold::all));
        let pair = (answer.fork, answer.system);
        let standing = other.map(|(outcome, picks)| kept.standing(bench, pair, &picks, outcome));
        let as_well = as_well(book, answer, deck).filter(|_| steps.is_none());
        let as_well = as_well.map(|picks| kept.standing(bench, pair, &picks, Outcome::Pass));
        OnDeck { deck, plan, own, steps, standing, as_well }
    };
    book.catalogue.variants_known_as(Known::Deck).map(on_deck).collect()
}

/// The plan of the answer on this deck, where it serves there for certain.
fn as_well(book: &Book, answer: &Answer, deck: VariantIx) -> Option<Vec<Pick>> {
    let serves = answer.alternatives.iter().find(|other| other.variant == deck)?;
    if serves.verdict != Verdict::Goes {
        return None;
    }
    let swapped = |pick: Pick| match book.catalogue.part_of(pick.variant).is(Known::Deck) {
        true => Pick { variant: deck, turned: serves.turned, ..pick },
        false => pick,
    };
    Some(picks_of(&answer.stack).into_iter().map(swapped).collect())
}

/// The same parts, each the same way up, on another deck.
fn same_but_for_the_deck(book: &Book, answer: &Answer, picks: &[Pick]) -> bool {
    let is_deck = |p: &&Pick| book.catalogue.part_of(p.variant).is(Known::Deck);
    let plan = picks_of(&answer.stack);
    plan.iter().filter(|p| !is_deck(p)).eq(picks.iter().filter(|p| !is_deck(p)))
}
