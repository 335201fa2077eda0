//! What a guide says of hand-made answers over really assembled stacks; one fact a test.

use super::bench::Bench;
use super::build::{guide, guide_with_problems};
use super::page::{Guide, GuideAnswer};
use super::sample_for_tests::{NARROW, PLAN, RULE, Sample, reading, sample, with_rule};
use super::text::{WIDTH, plain};
use super::{reason, supply};
use crate::assembly::{Check, Demand, ItemIx, Outcome, Value};
use crate::base::Problems;
use crate::solve::{
    Answer, Article, Buy, FunnelRow, FunnelStep, Leave, ReadWhat, Spend, Supply, Verdict, Wanted, WhyLeft,
};

const MM: i64 = 1_000_000;

fn told(sample: &Sample, answer: Answer) -> GuideAnswer {
    whole(sample, &[answer]).answers.swap_remove(0)
}

/// Nothing may be left unfilled anywhere.
fn whole(sample: &Sample, answers: &[Answer]) -> Guide {
    let mut problems = Problems::default();
    let guide = guide_with_problems(&sample.book(), answers, &mut problems);
    assert_eq!(problems.0, []);
    let text = plain(&guide, &sample.words);
    assert!(!text.contains(['{', '}']), "{text}");
    guide
}

fn plan(sample: &Sample) -> Answer {
    sample.answer(Verdict::Goes, sample.stack(&PLAN))
}

#[test]
fn steps_follow_the_rule_one_an_item_and_obey_conditions() {
    let sample = sample();
    let told = told(&sample, plan(&sample));
    let ids: Vec<&str> = told.steps.iter().map(|s| s.id.as_str()).collect();
    assert_eq!(
        ids,
        ["look", "spacer-on", "spacer-on", "shim-on", "bolt-in", "bolt-again", "deck-on", "cap-on"]
    );
    assert_eq!(told.steps.iter().map(|s| s.number).collect::<Vec<_>>(), [1, 2, 3, 4, 5, 6, 7, 8]);
    assert_eq!(told.steps[0].item, None);
    assert_eq!(told.steps[2].item, Some(ItemIx(3)));
}

#[test]
fn a_part_is_said_with_what_it_rests_on() {
    let sample = sample();
    let told = told(&sample, plan(&sample));
    assert_eq!(told.steps[1].text, "Slide the first Quay spacer 5 onto the bearing seat of the head tube.");
    assert_eq!(told.steps[2].text, "Slide the second Quay spacer 5 onto the first Quay spacer 5.");
}

/// Of a gap that may be too little, the step takes only what the reading calls good.
#[test]
fn a_step_never_lets_pass_a_gap_that_its_reading_does_not() {
    let sample = sample();
    let mut answer = plan(&sample);
    let gap = answer.stack.checks.iter().position(|c| c.demand == Demand::GapLeast).unwrap();
    let feel = |answer: &Answer| {
        let told = told(&sample, answer.clone());
        told.steps.iter().find_map(|step| step.feel.clone().filter(|f| f.contains("daylight"))).unwrap()
    };
    answer.gaps = vec![];
    answer.stack.checks[gap].value.as_mut().unwrap().least = 1_222_000;
    answer.stack.checks[gap].value.as_mut().unwrap().most = 2_716_000;
    answer.stack.checks[gap].least = Some(2 * MM);
    assert_eq!(feel(&answer), "Look: 2.00 to 2.71 mm of daylight.");
    answer.readings =
        vec![reading(ReadWhat::DryBuild(gap), (Some(2_040_000), None), (Some(1_960_000), None))];
    assert_eq!(feel(&answer), "Look: 2.04 to 2.71 mm of daylight.");
    answer.stack.checks[gap].value.as_mut().unwrap().least = 2_104_000;
    assert_eq!(feel(&answer), "Look: 2.10 to 2.72 mm of daylight.");
}

#[test]
fn turning_a_part_turns_its_way_words() {
    let sample = sample();
    let turned = told(&sample, plan(&sample));
    assert_eq!(
        turned.steps[3].text,
        "Slide the Alder shim on, lipped end up, until it rests on the second Quay spacer 5."
    );
    assert_eq!(turned.steps[3].way.as_deref(), Some("lipped end up"));
    let mut drawn = PLAN;
    drawn[4].2 = false;
    let drawn = told(&sample, sample.answer(Verdict::Goes, sample.stack(&drawn)));
    assert_eq!(drawn.steps[3].way.as_deref(), Some("lipped end down"));
}

#[test]
fn a_part_with_equal_ends_has_no_way_of_its_own() {
    let sample = sample();
    let mut plan = PLAN;
    plan[4].1 = "shim-narrow";
    let told = told(&sample, sample.answer(Verdict::Goes, sample.stack(&plan)));
    assert_eq!(told.steps[3].way, None);
    assert!(told.steps[3].text.contains("either way up"), "{}", told.steps[3].text);
}

#[test]
fn torque_is_the_makers_or_said_to_be_missing() {
    let sample = sample();
    let step = told(&sample, plan(&sample)).steps.swap_remove(4);
    assert_eq!(
        step.text,
        "Turn the Bolt M8 into the steerer with a 6 mm hex key to 8 N m (the bolt maker's)."
    );
    assert_eq!((step.tool.as_deref(), step.torque.as_deref()), (Some("6 mm hex key"), Some("8 N m")));
    assert_eq!(step.reach.as_deref(), Some("above"));
    let mut bare = PLAN;
    bare[6].1 = "bolt-bare";
    let step = told(&sample, sample.answer(Verdict::Goes, sample.stack(&bare))).steps.swap_remove(4);
    assert!(step.text.contains("the torque its maker asks for (this book has none"), "{}", step.text);
}

#[test]
fn the_gap_in_a_sentence_is_that_of_the_checks() {
    let sample = sample();
    let answer = plan(&sample);
    let bench = Bench::new(sample.book(), &answer);
    let check = answer.stack.checks.iter().find(|c| c.demand == Demand::GapLeast).unwrap();
    let gap = check.value.clone().unwrap();
    assert!(gap.least > 2 * MM && gap.most < 4 * MM, "{gap:?}");
    let shown = format!("Look: {} of daylight.", bench.lengths().outward(gap.least, gap.most));
    let told = told(&sample, answer.clone());
    assert_eq!(told.steps[4].feel.as_deref(), Some(shown.as_str()));
}

#[test]
fn the_bench_before_a_step_holds_what_had_its_step_and_what_never_has_one() {
    let sample = sample();
    let told = told(&sample, plan(&sample));
    let already: Vec<Vec<u16>> = told.steps.iter().map(|s| s.already.iter().map(|i| i.0).collect()).collect();
    assert_eq!(already[0], [0]);
    assert_eq!(already[1], [0]);
    assert_eq!(already[2], [0, 2]);
    assert_eq!(already[4], [0, 2, 3, 4]);
    assert_eq!(already[5], [0, 2, 3, 4, 6]);
    assert_eq!(already[7], [0, 1, 2, 3, 4, 6]);
}

#[test]
fn a_place_without_a_value_is_told_once_at_its_step() {
    let rule = RULE.replace("[, {depth} deep]", ", {depth} deep");
    let sample = with_rule(&rule);
    let mut problems = Problems::default();
    guide_with_problems(&sample.book(), &[plan(&sample)], &mut problems);
    assert_eq!(problems.0.len(), 1);
    assert_eq!(problems.0[0].code, "sentence-value-missing");
    assert!(problems.0[0].fact.contains("`bolt-in` says {depth}"), "{}", problems.0[0].fact);
}

#[test]
fn looks_before_the_ride_obey_their_conditions() {
    let sample = sample();
    assert_eq!(whole(&sample, &[plan(&sample)]).before_riding, ["Check the play."]);
}

#[test]
fn parts_are_numbered_bottom_to_top() {
    let sample = sample();
    let told = told(&sample, plan(&sample));
    let slots: Vec<&str> = told.parts.iter().map(|p| p.slot.as_str()).collect();
    assert_eq!(slots[..5], ["fork", "head tube", "spacer 1", "spacer 2", "shim"]);
    assert_eq!(told.parts.iter().map(|p| p.number).collect::<Vec<_>>(), [1, 2, 3, 4, 5, 6, 7]);
    assert_eq!(told.steps[3].part_number, Some(5));
}

#[test]
fn every_part_says_where_it_comes_from() {
    let sample = sample();
    let mut answer = plan(&sample);
    let (heron, part) = (crate::catalogue::BoxIx(0), |id: &str| sample.part(id));
    answer.supply = Some(Supply::ExtraParts);
    let made = |id: &str| sample.book().catalogue.part(part(id)).variants[0];
    let fork = answer.fork;
    answer.take = vec![(fork, heron), (made("spacer-5"), heron)];
    let shim = Article::Part(made("shim-alder"));
    let buy = |article, count, cents, for_parts| Buy {
        article,
        count,
        price: Some(sample.money(cents)),
        for_parts,
    };
    answer.buy = vec![
        buy(shim, 1, 650, vec![made("shim-alder")]),
        buy(Article::Part(made("spacer-5")), 2, 250, vec![made("spacer-5")]),
    ];
    answer.spend = Spend { known: sample.money(1150), unpriced: 0 };
    answer.leave = vec![Leave {
        part: part("shim-narrow"),
        revision: None,
        of: heron,
        count: 2,
        why: WhyLeft::NotNeeded(sample.slot("shim")),
    }];
    let told = told(&sample, answer);
    let from: Vec<&str> = told.parts.iter().take(5).map(|p| p.from.as_str()).collect();
    assert_eq!(from, ["Heron fork box", "rider's own", "Heron fork box", "to buy", "to buy"]);
    assert_eq!(told.verdict_words, "Goes with extra parts");
    assert_eq!(told.summary, "Yes. Buy 3 things for €11.50.");
    assert_eq!(told.need[1].price.as_deref(), Some("€2.50 each"));
    assert_eq!(
        (told.leave[0].name.as_str(), told.leave[0].box_id.as_str()),
        ("2 × Narrow shim", "box-heron")
    );
    assert_eq!(told.leave[0].why, "Would do as the shim, but is not needed.");
    let used: Vec<(&str, &str)> = told.use_from.iter().map(|u| (u.name.as_str(), u.text.as_str())).collect();
    assert_eq!(used[0], ("Heron fork", "Take it from Heron fork box."));
    assert_eq!(used[1], ("Tern deck", "The rider has it."));
}

#[test]
fn an_early_landing_is_the_plain_sentence() {
    let sample = sample();
    let mut answer = sample.answer(Verdict::No, sample.stack(&NARROW));
    answer.reason = vec![clearance(&answer)];
    let told = told(&sample, answer);
    assert_eq!(
        told.reason[0],
        "The shim cannot slide over the top of the steerer: the bore is 0.40 mm too small."
    );
    assert_eq!(
        told.reason[1],
        "Play of the shim (Narrow shim) over the steerer (Heron fork): -0.42 to -0.33 mm. \
         It must be 0 to 0.30 mm: 0.40 mm too little."
    );
    assert_eq!(
        told.summary,
        "No: the shim cannot slide over the top of the steerer: the bore is 0.40 mm too small."
    );
    assert!(told.steps.is_empty() && told.parts.iter().all(|p| p.from.is_empty()));
}

fn clearance(answer: &Answer) -> Check {
    let is_clearance = |c: &&Check| matches!(c.demand, Demand::SleeveClearance(_));
    answer.stack.checks.iter().find(is_clearance).unwrap().clone()
}

#[test]
fn a_reason_from_another_stack_names_none_of_the_parts_shown() {
    let sample = sample();
    let mut answer = sample.answer(Verdict::No, sample.stack(&NARROW));
    let value = Some(Value { nominal: -MM, least: -MM, most: -MM, form: None });
    answer.reason = vec![Check { value, ..clearance(&answer) }];
    let text = told(&sample, answer).reason.join(" ");
    assert!(text.contains("The shim cannot slide over the steerer"), "{text}");
    assert!(!text.contains("Narrow shim"), "{text}");
}

#[test]
fn several_facts_are_said_to_contradict_together() {
    let sample = sample();
    let mut answer = sample.answer(Verdict::No, sample.stack(&NARROW));
    let one = |demand, value: i64| Check {
        demand,
        value: Some(Value { nominal: value, least: value, most: value, form: None }),
        least: Some(2 * MM),
        most: Some(5 * MM),
        outcome: Outcome::Fail,
        about: vec![],
        surfaces: vec![],
        assumes: vec![],
        supposes: vec![],
        tried: None,
    };
    answer.reason = vec![one(Demand::GapLeast, MM / 2), one(Demand::SleeveOverlap(0), 6 * MM)];
    let perhaps = told(&sample, Answer { reason_smallest: false, ..answer.clone() });
    assert!(perhaps.reason[1].contains("perhaps fewer are enough"));
    let told = told(&sample, answer);
    assert_eq!(
        told.reason,
        [
            "The bolt stops before the headset is tight: the closing gap is 1.5 mm too small.",
            "Each of these alone could be met. Together they cannot:",
            "Closing gap: 0.5 mm. It must be 2 to 5 mm: 1.5 mm too little.",
            "Length of the shim over the steerer: 6.0 mm. It must be 2 to 5 mm: 1.0 mm too much.",
        ]
    );
}

#[test]
fn a_search_that_came_to_its_limit_never_reads_as_no() {
    let sample = sample();
    let mut answer = sample.answer(Verdict::No, sample.stack(&NARROW));
    answer.unfinished = true;
    let guide = whole(&sample, &[answer]);
    assert_eq!(guide.verdict_words, "Not settled");
    assert!(guide.summary.starts_with("Not known"), "{}", guide.summary);
    assert!(guide.answers[0].unfinished.is_some());
    assert!(guide.answers[0].reason[0].contains("no proof"));
    assert!(guide.answers[0].reason[1].starts_with("In the nearest attempt the shim"));
}

#[test]
fn the_funnel_tells_counts_and_the_nearest_and_no_figure_of_its_own() {
    let sample = sample();
    let mut answer = sample.answer(Verdict::No, sample.stack(&NARROW));
    let shim = sample.slot("shim");
    let step = |left, nearest| FunnelStep { demand: Demand::SleeveClearance(0), left, nearest };
    let row = |left| FunnelRow { slot: shim, in_book: 9, can_be_had: 9, left };
    let narrow = Some((sample.variant("shim-narrow", 0), 700_000));
    answer.funnel = vec![row(vec![step(3, narrow), step(0, narrow)]), row(vec![])];
    let told = told(&sample, answer);
    assert_eq!(
        told.funnel,
        ["Shim: 9 shims in the book; 3 slide over the steerer; none slides over the steerer, the nearest \
          is Narrow shim."]
    );
}

#[test]
fn the_wanted_part_is_said_in_ranges_rounded_inward() {
    let sample = sample();
    let mut answer = sample.answer(Verdict::No, sample.stack(&NARROW));
    let ranges = vec![
        ("inside".to_owned(), Some(25_446_000), Some(25_604_000)),
        ("length".to_owned(), Some(44 * MM), None),
    ];
    let like = Some(sample.variant("shim-narrow", 0));
    answer.wanted = vec![Wanted { slot: sample.slot("shim"), kind: "shim", ranges, like }];
    assert_eq!(
        told(&sample, answer).wanted,
        ["One part that this book does not have: shim like Narrow shim, but inside diameter 25.5 to \
             25.6 mm, length at least 44.0 mm."]
    );
}

#[test]
fn a_reading_has_three_zones() {
    let sample = sample();
    let mut answer = sample.answer(Verdict::Measure, sample.stack(&PLAN));
    let inside = answer.stack.dims.iter().position(|d| d.item == ItemIx(4) && d.name == "inside").unwrap();
    let gap = answer.stack.checks.iter().position(|c| c.demand == Demand::GapLeast).unwrap();
    answer.readings = vec![
        reading(ReadWhat::Dim(inside as u32), (Some(28_620_000), Some(28_700_000)), (Some(28_580_000), None)),
        reading(ReadWhat::DryBuild(gap), (Some(2 * MM), None), (Some(1_900_000), None)),
    ];
    let told = told(&sample, answer);
    assert_eq!(told.verdict_words, "Measure first");
    let first = &told.measuring[0];
    assert_eq!(
        first.text,
        "Measure the inside diameter of Alder shim (the caliper is good to 0.02 mm). This one reading decides. \
         Not sure: take reading 2. 5 in 100: not sure."
    );
    assert_eq!(first.go, "Goes: 28.62 to 28.70 mm.");
    assert_eq!(first.no_go.as_deref(), Some("Does not go: 28.58 mm or less. Then do not go on."));
    assert_eq!(first.undecided.as_deref(), Some("Not sure: 28.58 to 28.62 mm, over 28.70 mm."));
    assert!(told.measuring[1].text.contains("Closing gap") || told.measuring[1].text.contains("closing gap"));
    assert_eq!(told.measuring[1].go, "Goes: at least 2.00 mm.");
}

#[test]
fn only_what_was_assumed_and_matters_is_listed() {
    let sample = sample();
    let told = told(&sample, plan(&sample));
    assert!(
        told.assumed.iter().all(|text| text.contains("Quay spacer 5") || text.contains("Bolt M8")),
        "{:?}",
        told.assumed
    );
    assert!(told.assumed.iter().any(|text| text.starts_with("Length of Quay spacer 5: written 5, taken as")));
}

#[test]
fn where_revisions_differ_it_depends_and_each_is_told_with_its_sign() {
    let sample = sample();
    let one = sample.answer(Verdict::Goes, sample.stack_of_revision(&PLAN, 0));
    let two = sample.answer(Verdict::Measure, sample.stack_of_revision(&PLAN, 1));
    let guide = whole(&sample, &[one, two]);
    assert_eq!((guide.depends, guide.answers.len()), (true, 2));
    assert_eq!(guide.verdict_words, "Depends on the revision");
    assert_eq!(
        guide.summary,
        "It depends on the revision: with revision 1: Goes as boxed; with revision 2 (spring 2026): Measure first."
    );
    let tell = guide.answers[0].revision.as_ref().unwrap().tell.as_deref();
    assert_eq!(tell, Some("two grooves round the crown"));
}

#[test]
fn revisions_that_say_the_same_are_told_once() {
    let sample = sample();
    let one = || sample.answer(Verdict::Goes, sample.stack(&PLAN));
    let guide = guide(&sample.book(), &[one(), one()]);
    assert_eq!(guide.answers.len(), 1);
    assert_eq!(guide.answers[0].revision, None);
}

#[test]
fn the_terminal_gets_whole_lines_of_at_most_a_hundred_columns() {
    let sample = sample();
    let guide = whole(&sample, &[plan(&sample)]);
    let text = plain(&guide, &sample.words);
    assert!(text.starts_with("Heron fork with TS (trial shim)\nGoes as boxed\n"), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= WIDTH && !line.ends_with(' ')));
    assert!(text.contains("\nSteps\n 1. Wipe every face.\n"), "{text}");
}

#[test]
fn numbers_agree_between_drawing_order_and_rows() {
    let sample = sample();
    let answer = plan(&sample);
    let bench = Bench::new(sample.book(), &answer);
    let mut numbers = supply::part_numbers(&bench);
    numbers.sort_unstable();
    assert_eq!(numbers, [1, 2, 3, 4, 5, 6, 7]);
    assert_eq!(
        reason::lead(&bench).is_some(),
        answer.stack.checks.iter().any(|c| c.outcome == Outcome::Fail)
    );
}
