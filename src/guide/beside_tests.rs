//! What a guide says beside its plan, of hand-made answers over really assembled stacks: decks, other parts, what spares a
//! reading. One fact a test.

use super::build::guide;
use super::decks::{OnDeck, tell_decks};
use super::page::{DeckRow, GuideAnswer};
use super::sample_for_tests::{NARROW, PLAN, Sample, reading, sample};
use crate::assembly::{Demand, ItemIx, Outcome, Pick};
use crate::quantity::Currency;
use crate::solve::{
    Alternative, Answer, HeldPlan, Longer, ReadWhat, Reading, Standing, StepsHold, Unfit, Verdict, picks_of,
};

const MM: i64 = 1_000_000;

fn told(sample: &Sample, answer: Answer) -> GuideAnswer {
    guide(&sample.book(), &[answer]).answers.swap_remove(0)
}

fn plan(sample: &Sample) -> Answer {
    sample.answer(Verdict::Goes, sample.stack(&PLAN))
}

fn rows(sample: &Sample, answer: Answer, found: Vec<OnDeck>) -> Vec<DeckRow> {
    let answers = [answer];
    let mut guide = guide(&sample.book(), &answers);
    let currency = Currency::from_code("EUR").expect("a currency");
    tell_decks(&sample.book(), &mut guide, &answers, currency, &[found]);
    guide.answers.swap_remove(0).decks
}

#[test]
fn a_deck_is_told_by_the_best_plan_on_it() {
    let sample = sample();
    let answer = plan(&sample);
    let deck = |id: &str| sample.variant(id, 0);
    let on =
        |id: &str, plan: HeldPlan| OnDeck { deck: deck(id), plan, own: None, steps: None, standing: None };
    let steps = |gap| Some(StepsHold { depths: true, heights: true, gap });
    let mut as_it_stands = picks_of(&answer.stack);
    let is_deck = |p: &Pick| sample.catalogue.part_of(p.variant).kind == "deck";
    let place = as_it_stands.iter().position(is_deck).expect("a deck in the plan");
    as_it_stands[place].variant = deck("deck-tern");
    let mut other = as_it_stands.clone();
    other[place].variant = deck("deck-smew");
    other.push(Pick { variant: sample.variant("spacer-5", 0), ..other[place] });
    let standing = Some(Standing { stack: answer.stack.clone(), readings: vec![], tries: vec![] });
    let found = vec![
        on("deck-smew", HeldPlan::Goes(other)),
        OnDeck { steps: steps(true), ..on("deck-tern", HeldPlan::Goes(as_it_stands.clone())) },
        OnDeck { steps: steps(false), standing, ..on("deck-tern", HeldPlan::Goes(as_it_stands)) },
        on("deck-wren", HeldPlan::No),
    ];
    let told = rows(&sample, answer, found);
    let rows: Vec<(&str, Verdict)> = told.iter().map(|d| (d.words.as_str(), d.verdict)).collect();
    assert_eq!(rows[0], ("goes with other parts: Quay spacer 5", Verdict::Goes));
    assert_eq!(rows[1], ("goes", Verdict::Goes));
    assert!(rows[2].0.starts_with("goes; closing gap ") && rows[2].1 == Verdict::Goes, "{:?}", rows[2]);
    assert_eq!(rows[3].1, Verdict::No);
}

#[test]
fn an_alternative_tells_verdict_gap_price_and_stock() {
    let sample = sample();
    let mut answer = plan(&sample);
    answer.alternatives = vec![Alternative {
        verdict: Verdict::Measure,
        price: Some(sample.money(650)),
        in_stock: false,
        gap: Some((2_104_000, 4_296_000)),
        depths: vec![],
        heights_hold: true,
        ..sample.alternative("shim", "shim-narrow")
    }];
    let told = told(&sample, answer);
    let text = "measure first; either way up; closing gap 2.10 to 4.30 mm; €6.50; none on hand";
    assert_eq!(told.alternatives[0].text, text);
}

#[test]
fn a_deck_to_be_measured_with_other_parts_tells_the_first_reading_and_what_of_it_is_good() {
    let sample = sample();
    let stack = sample.stack(&PLAN);
    let inside = stack.dims.iter().position(|d| d.item == ItemIx(4) && d.name == "inside").unwrap();
    let first = reading(ReadWhat::Dim(inside as u32), (Some(28_620_000), Some(28_700_000)), (None, None));
    let later = Reading { order: 2, what: ReadWhat::Dim(0), ..first.clone() };
    let mut picks = picks_of(&stack);
    picks.push(Pick { variant: sample.variant("spacer-5", 0), ..picks[2] });
    let standing = Standing { stack, readings: vec![later, first], tries: vec![] };
    let found = OnDeck {
        deck: sample.variant("deck-wren", 0),
        plan: HeldPlan::Measure(picks),
        own: None,
        steps: None,
        standing: Some(standing),
    };
    let told = rows(&sample, plan(&sample), vec![found]);
    assert_eq!(
        told[0].words,
        "measure first, and with other parts: Quay spacer 5. Measure the inside diameter of Alder shim (the \
         caliper is good to 0.02 mm). Goes: 28.62 to 28.70 mm. This one reading decides."
    );
}

#[test]
fn a_part_that_would_not_do_says_what_it_fails() {
    let sample = sample();
    let mut checks = sample.stack(&NARROW).checks.into_iter();
    let check = checks.find(|c| c.outcome == Outcome::Fail).expect("the narrow shim fails");
    let variant = sample.variant("shim-narrow", 0);
    let mut answer = plan(&sample);
    answer.alternatives = vec![sample.alternative("shim", "shim-alder")];
    answer.unfit = vec![Unfit { slot: sample.slot("shim"), variant, check: Box::new(check) }];
    let told = told(&sample, answer).alternatives;
    let verdicts: Vec<Verdict> = told.iter().map(|row| row.verdict).collect();
    assert_eq!(verdicts, [Verdict::Goes, Verdict::No], "what would do comes first");
    assert_eq!((told[1].name.as_str(), told[1].slot.as_str()), ("Narrow shim", "Shim"));
    assert_eq!(told[1].text, "Its bore is 0.40 mm too small for the steerer.");
}

#[test]
fn a_longer_bolt_that_spares_the_reading_is_named_with_its_price_where_the_book_has_it() {
    let sample = sample();
    let measured = |to: i64| {
        let mut answer = sample.answer(Verdict::Measure, sample.stack(&PLAN));
        let gap = answer.stack.checks.iter().position(|c| c.demand == Demand::GapLeast).unwrap();
        let longer = Some(Longer { item: ItemIx(6), to });
        let read = reading(ReadWhat::DryBuild(gap), (Some(2 * MM), None), (Some(1_900_000), None));
        answer.readings = vec![Reading { longer, ..read }];
        told(&sample, answer).measuring.swap_remove(0).text
    };
    let said =
        "Or spare the reading: one like Bolt M8 that is 35 mm long goes for certain: Bolt M8 long, €1.20.";
    assert!(measured(35 * MM).ends_with(said), "{}", measured(35 * MM));
    // Nobody sells it so long: no name, no price.
    let said = "Or spare the reading: one like Bolt M8 that is 40 mm long goes for certain.";
    assert!(measured(40 * MM).ends_with(said), "{}", measured(40 * MM));
}
