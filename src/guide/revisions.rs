//! Revisions of a fork that come to the same plan: told once, with what differs. Must not know how an answer is found.

use super::bench::{Bench, Book};
use super::page::{GuideAnswer, GuideStep};
use crate::solve::Answer;

/// One entry when all revisions come to the same plan; else one for each revision of the fork for which all that may be in
/// its boxes does; else one each. Where numbers differ they are listed, and every answer is returned besides by itself.
pub fn told_once(
    book: &Book,
    answers: &[Answer],
    told: Vec<GuideAnswer>,
) -> (Vec<GuideAnswer>, Vec<GuideAnswer>) {
    if let Some(one) = as_one(book, &told) {
        let apart = if one.same.is_empty() { vec![] } else { told };
        return (vec![one], apart);
    }
    let mut shorter = vec![];
    for of_fork in told.chunk_by(|a, b| answers[a.answer].fork == answers[b.answer].fork) {
        match as_one(book, of_fork) {
            Some(one) => {
                // For whatever is in the boxes: the fork's revision alone tells it.
                let revisions = Bench::new(*book, &answers[one.answer]).fork_revision();
                let revision = revisions.first().cloned();
                shorter.push(GuideAnswer { revision, revisions, ..one });
            }
            None => shorter.extend_from_slice(of_fork),
        }
    }
    let apart = if shorter.len() < told.len() { told } else { vec![] };
    (shorter, apart)
}

/// `None` where there is but one, or they come to different plans.
fn as_one(book: &Book, told: &[GuideAnswer]) -> Option<GuideAnswer> {
    let first = told.first().map(plan);
    if told.len() < 2 || told.iter().any(|answer| Some(plan(answer)) != first) {
        return None;
    }
    let mut told = told.to_vec();
    let differs = differences(book, &told);
    let also = also(book, &told);
    let labels: Vec<String> = told.iter().map(label).collect();
    let mut one = told.swap_remove(0);
    if !differs.is_empty() {
        let list = book.words.joined("comma", &labels);
        one.same.push(book.words.say("same.plan", &[("list", &list), ("first", &labels[0])]));
        one.same.extend(differs);
        for (step, others) in one.steps.iter_mut().zip(also) {
            step.also = others;
        }
    }
    // A part that is another revision in another of the answers is told for all of them.
    for (at, row) in one.parts.iter_mut().enumerate() {
        if told.iter().any(|other| other.parts.get(at).is_none_or(|there| there.revision != row.revision)) {
            row.revision = None;
        }
    }
    (one.revision, one.revisions) = (None, vec![]);
    Some(one)
}

/// What must be the same: everything but the numbers that a build comes to.
fn plan(answer: &GuideAnswer) -> GuideAnswer {
    let mut plan = answer.clone();
    (plan.answer, plan.revision, plan.revisions) = (0, None, vec![]);
    plan.parts.iter_mut().for_each(|row| row.revision = None);
    plan.steps = plan.steps.into_iter().map(bare).collect();
    for row in &mut plan.numbers {
        (row.value, row.assumes) = (String::new(), vec![]);
    }
    (plan.head_tube, plan.head_tube_here, plan.assumed) = (vec![], None, vec![]);
    plan.glance.head_tube = vec![];
    plan.glance.built_on.iter_mut().for_each(|line| line.text = String::new());
    plan.alternatives.iter_mut().for_each(|row| row.text = String::new());
    plan
}

fn bare(step: GuideStep) -> GuideStep {
    GuideStep { text: String::new(), feel: None, ..step }
}

fn label(answer: &GuideAnswer) -> String {
    answer.revision.as_ref().map_or_else(String::new, |r| r.label.clone())
}

/// Of each later revision, what is otherwise than with the first.
fn differences(book: &Book, told: &[GuideAnswer]) -> Vec<String> {
    let mut lines = vec![];
    let first = &told[0];
    for answer in &told[1..] {
        let label = label(answer);
        let mut say = |what: &str, value: &str| {
            let values = [("label", label.as_str()), ("what", what), ("value", value)];
            lines.push(book.words.say("same.differs", &values));
        };
        for (one, other) in first.numbers.iter().zip(&answer.numbers) {
            if one.value != other.value {
                say(&other.what, &other.value);
            }
        }
        if first.head_tube != answer.head_tube {
            let list = book.words.joined("semicolon", &answer.head_tube);
            say(&book.words.word("heading.head-tube"), &list);
        }
        for (one, other) in first.alternatives.iter().zip(&answer.alternatives) {
            if one.text != other.text {
                say(&other.name, &other.text);
            }
        }
        if first.assumed != answer.assumed {
            let list = book.words.joined("semicolon", &answer.assumed);
            say(&book.words.word("heading.assumed"), &list);
        }
        if lines.is_empty() && bare_texts(first) != bare_texts(answer) {
            lines.push(book.words.say("same.steps", &[("label", &label)]));
        }
    }
    lines
}

fn bare_texts(answer: &GuideAnswer) -> Vec<(&String, &Option<String>)> {
    answer.steps.iter().map(|step| (&step.text, &step.feel)).collect()
}

/// For each step, how it reads for the other revisions where it reads otherwise.
fn also(book: &Book, told: &[GuideAnswer]) -> Vec<Vec<String>> {
    let first = &told[0];
    let of_step = |(index, step): (usize, &GuideStep)| {
        let other = |answer: &GuideAnswer| {
            let there = answer.steps.get(index)?;
            let changed = (&there.text, &there.feel) != (&step.text, &step.feel);
            let text: Vec<&str> = std::iter::once(there.text.as_str()).chain(there.feel.as_deref()).collect();
            let values = [("label", label(answer)), ("text", text.join(" "))];
            let values: Vec<(&str, &str)> = values.iter().map(|(k, v)| (*k, v.as_str())).collect();
            changed.then(|| book.words.say("same.step", &values))
        };
        told[1..].iter().filter_map(other).collect()
    };
    first.steps.iter().enumerate().map(of_step).collect()
}
