//! What the steps of a guide say otherwise for another plan of its pairing: told by the guide's own steps, so that nobody works by
//! a figure that is another plan's. Must not know why there is another plan.

use super::bench::Bench;
use super::page::GuideStep;
use super::steps::{Figures, before_riding, figures, hangs_on_hand, planned, steps};
use super::supply::part_numbers;
use crate::base::Problems;
use crate::solve::{Answer, Standing};

/// One step of a plan.
struct Read {
    id: String,
    /// Which of the steps of this id, from 0.
    nth: usize,
    number: usize,
    figures: Figures,
    step: GuideStep,
    /// The part of which nobody knows before a reading where it goes.
    waits: Option<String>,
}

/// What that plan comes to, as an answer of which the steps can be told. `same`: it has the answer's own parts.
pub fn standing(answer: &Answer, standing: &Standing, same: bool) -> Answer {
    let Standing { stack, gaps, either_way, readings, tries } = standing.clone();
    let either_way = if same { answer.either_way.clone() } else { either_way };
    Answer { stack, gaps, either_way, readings, tries, ..answer.clone() }
}

/// Every step of `other` that reads otherwise than for another deck, and every one that is not done there, as lines in bench order; then
/// what is to be looked at before the ride as well.
pub fn lines(own: &Bench<'_>, other: &Bench<'_>) -> Vec<String> {
    let words = own.words();
    let (planned, there) = (read(own), read(other));
    let known = |step: &Read| planned.iter().position(|one| (&one.id, one.nth) == (&step.id, step.nth));
    let mut lines = vec![];
    // Of the guide's own steps so many are passed; the line before is of a step that the guide has not.
    let (mut passed, mut added) = (0, false);
    for step in &there {
        let text = match &step.waits {
            Some(part) => words.say("other-steps.waits", &[("part", part)]),
            None => text(step, known(step).map(|at| &planned[at])),
        };
        let Some(at) = known(step) else {
            let number = passed.to_string();
            let values = [("number", number.as_str()), ("text", text.as_str())];
            let key = match (added, passed) {
                (true, _) => "other-steps.then",
                (false, 0) => "other-steps.first",
                (false, _) => "other-steps.after",
            };
            lines.push(words.say(key, &values));
            added = true;
            continue;
        };
        lines.extend(left_out(own, &planned, &there, passed, at));
        (passed, added) = (planned[at].number, false);
        if planned[at].figures != step.figures {
            let number = passed.to_string();
            lines.push(words.say("other-steps.instead", &[("number", &number), ("text", &text)]));
        }
    }
    lines.extend(left_out(own, &planned, &there, passed, planned.len()));
    let looks = before_riding(own, &mut Problems::default());
    let more = before_riding(other, &mut Problems::default()).into_iter().filter(|one| !looks.contains(one));
    lines.extend(more.map(|text| words.say("other-steps.before-riding", &[("text", &text)])));
    lines
}

/// Steps of the guide after the one of number `passed` and before its `until`th that are not done there.
fn left_out(own: &Bench<'_>, planned: &[Read], there: &[Read], passed: usize, until: usize) -> Vec<String> {
    let done = |step: &&Read| there.iter().any(|one| (&one.id, one.nth) == (&step.id, step.nth));
    let skipped = planned[..until].iter().filter(|step| step.number > passed && !done(step));
    skipped
        .map(|step| own.words().say("other-steps.without", &[("number", &step.number.to_string())]))
        .collect()
}

/// The step's sentence; where it says more or looks for other figures than the guide's own, that as well.
fn text(step: &Read, own: Option<&Read>) -> String {
    let mut all = vec![step.step.text.as_str()];
    all.extend(step.step.also.iter().map(String::as_str));
    let feel = step.step.feel.as_deref();
    all.extend(feel.filter(|_| own.is_none_or(|own| own.figures.feel != step.figures.feel)));
    all.join(" ")
}

fn read(bench: &Bench<'_>) -> Vec<Read> {
    let steps = steps(bench, &part_numbers(bench), &mut Problems::default());
    let planned = planned(bench);
    let own = steps.len() - planned.len();
    let mut all: Vec<Read> = vec![];
    for (step, &(of, item)) in steps.into_iter().skip(own).zip(&planned) {
        let nth = all.iter().filter(|one| one.id == step.id).count();
        let figures = figures(bench, of, item);
        let waits = item.filter(|&item| hangs_on_hand(bench, item)).map(|item| bench.item_word(item));
        all.push(Read { id: step.id.clone(), nth, number: step.number, figures, step, waits });
    }
    all
}
