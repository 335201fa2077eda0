//! What a guide says beside its plan, of hand-made answers over really assembled stacks: decks, other parts, what spares a
//! reading. One fact a test.

use super::build::guide;
use super::decks::{OnDeck, tell_decks};
use super::page::{DeckRow, GuideAnswer};
use super::sample_for_tests::{NARROW, PLAN, Sample, reading, sample};
use crate::assembly::{Demand, ItemIx, Outcome, Pick, Stack};
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

fn standing(stack: Stack) -> Standing {
    Standing { stack, gaps: vec![], either_way: vec![], readings: vec![], tries: vec![] }
}

fn on(sample: &Sample, deck: &str, plan: HeldPlan) -> OnDeck {
    let deck = sample.variant(deck, 0);
    OnDeck { deck, plan, own: None, steps: None, standing: None, as_well: None }
}

/// The plan on that deck, with so many spacers and that way up of the shim.
fn picks(deck: &str, spacers: usize, turned: bool) -> Vec<(&str, &str, bool)> {
    let mut all = vec![("fork", "fork-heron", false), ("head-tube", deck, false)];
    all.extend((0..spacers).map(|_| ("spacer", "spacer-5", false)));
    all.extend([("shim", "shim-alder", turned), ("cap", "cap-plain", false), ("bolt", "bolt-m8", false)]);
    all
}

/// The row of a deck on which another plan stands.
fn row_of(sample: &Sample, other: &[(&str, &str, bool)]) -> DeckRow {
    let stack = sample.stack(other);
    let plan_there = HeldPlan::Goes(picks_of(&stack));
    let found = OnDeck { standing: Some(standing(stack)), ..on(sample, other[1].1, plan_there) };
    rows(sample, plan(sample), vec![found]).swap_remove(0)
}

#[test]
fn a_deck_is_told_by_the_best_plan_on_it() {
    let sample = sample();
    let answer = plan(&sample);
    let (same, other) =
        (sample.stack(&picks("deck-wren", 2, true)), sample.stack(&picks("deck-smew", 3, true)));
    let holds = |gap| Some(StepsHold { depths: true, heights: true, gap });
    let found = vec![
        on(&sample, "deck-smew", HeldPlan::Goes(picks_of(&other))),
        OnDeck { steps: holds(true), ..on(&sample, "deck-tern", HeldPlan::Goes(picks_of(&answer.stack))) },
        OnDeck {
            steps: holds(false),
            standing: Some(standing(same.clone())),
            ..on(&sample, "deck-wren", HeldPlan::Goes(picks_of(&same)))
        },
        on(&sample, "deck-wren", HeldPlan::No),
    ];
    let told = rows(&sample, answer, found);
    let rows: Vec<(&str, Verdict)> = told.iter().map(|d| (d.words.as_str(), d.verdict)).collect();
    assert_eq!(rows[0], ("goes with other parts. Put in: Quay spacer 5", Verdict::Goes));
    assert_eq!((rows[1], &told[1].steps), (("goes", Verdict::Goes), &vec![]));
    assert_eq!(rows[2], ("goes with the same parts, but not every step is the same", Verdict::Goes));
    assert!(told[2].steps[0].lines[0].contains(" of daylight."), "the gap: {:?}", told[2].steps);
    assert_eq!(rows[3].1, Verdict::No);
}

#[test]
fn a_deck_with_other_parts_tells_every_step_whose_figures_or_support_are_others() {
    let sample = sample();
    let told = row_of(&sample, &picks("deck-tern", 3, true)).steps;
    let lines: Vec<&str> = told[0].lines.iter().map(String::as_str).collect();
    assert_eq!(lines[0], "After step 3: Slide the third Quay spacer 5 onto the second Quay spacer 5.");
    assert!(lines[1].starts_with(
        "In place of step 4: Slide the Alder shim on, lipped end up, until it rests on the third"
    ));
    // The gap is five millimetres less there.
    assert!(lines[2].starts_with("In place of step 5: Turn the Bolt M8 into the steerer"), "{lines:?}");
    assert!(lines[2].contains(" of daylight."), "{lines:?}");
    assert_eq!(lines.len(), 3, "what reads the same is not said again: {lines:?}");
}

#[test]
fn a_deck_whose_pile_is_another_tells_the_way_up_and_what_is_left_out() {
    let sample = sample();
    let told = row_of(&sample, &picks("deck-tern", 0, false)).steps;
    let lines = told[0].lines.join(" | ");
    assert!(lines.contains("Leave out step 2. | Leave out step 3."), "{lines}");
    assert!(lines.contains("Slide the Alder shim on, lipped end down,"), "{lines}");
    assert!(lines.contains("Never said with spacers: Plain cap."), "a step that the guide has not: {lines}");
}

#[test]
fn a_deck_on_which_the_plan_serves_as_well_tells_the_steps_of_both() {
    let sample = sample();
    let (own, other) =
        (sample.stack(&picks("deck-wren", 2, true)), sample.stack(&picks("deck-wren", 1, true)));
    let found = OnDeck {
        standing: Some(standing(other.clone())),
        as_well: Some(standing(own)),
        ..on(&sample, "deck-wren", HeldPlan::Goes(picks_of(&other)))
    };
    let row = rows(&sample, plan(&sample), vec![found]).swap_remove(0);
    assert_eq!(row.words, "goes; or with other parts. Take out: Quay spacer 5");
    let with: Vec<Option<&str>> = row.steps.iter().map(|steps| steps.with.as_deref()).collect();
    assert_eq!(with, [Some("With the parts of this guide:"), Some("With the other parts:")]);
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

/// Words of a deck's row whose plan has these readings, none of which decides. `settled`: they are about all that is open.
fn row_with_readings(settled: bool) -> String {
    let sample = sample();
    let mut stack = sample.stack(&PLAN);
    stack.checks[0].outcome = Outcome::Measure;
    let inside = stack.dims.iter().position(|d| d.item == ItemIx(4) && d.name == "inside").unwrap();
    let alone = reading(ReadWhat::Dim(inside as u32), (Some(28_620_000), Some(28_700_000)), (None, None));
    let first = Reading { decides: false, ..alone };
    let other = reading(ReadWhat::Dim(0), (Some(MM), Some(2 * MM)), (None, None));
    let open =
        |(at, check): (usize, &crate::assembly::Check)| (check.outcome == Outcome::Measure).then_some(at);
    let checks = if settled { stack.checks.iter().enumerate().filter_map(open).collect() } else { vec![] };
    let second = Reading { order: 2, decides: false, checks, ..other };
    let picks = picks_of(&stack);
    let standing = Standing { readings: vec![second, first], ..standing(stack) };
    let found = OnDeck { standing: Some(standing), ..on(&sample, "deck-wren", HeldPlan::Measure(picks)) };
    rows(&sample, plan(&sample), vec![found])[0].words.clone()
}

#[test]
fn a_deck_on_which_no_reading_decides_tells_them_all_and_what_they_come_to() {
    let told = row_with_readings(true);
    let (first, second) =
        (told.find("Reading 1: Measure the inside diameter").unwrap(), told.find("Reading 2:").unwrap());
    assert!(first < second && told.contains("Goes: 28.62 to 28.70 mm. Reading 2:"), "{told}");
    assert!(told.ends_with("Goes: 1.00 to 2.00 mm. All good: it goes. One not: stop."), "{told}");
}

#[test]
fn readings_that_leave_something_open_do_not_say_that_it_goes() {
    let told = row_with_readings(false);
    assert!(
        told.ends_with("These readings cannot settle all of it: ask the makers before you build it."),
        "{told}"
    );
    assert!(!told.contains("it goes"), "{told}");
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
    let standing = Standing { readings: vec![later, first], ..standing(stack) };
    let found = OnDeck { standing: Some(standing), ..on(&sample, "deck-wren", HeldPlan::Measure(picks)) };
    let told = rows(&sample, plan(&sample), vec![found]);
    assert_eq!(
        told[0].words,
        "measure first, and with other parts. Put in: Quay spacer 5. Measure the inside diameter of Alder shim (the \
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
    answer.unfit =
        vec![Unfit { slot: sample.slot("shim"), variant, check: Box::new(check), carried_by: None }];
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
