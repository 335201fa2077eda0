//! The bench order of a rule file: phrases, conditions, what comes after what. Must not know parts.

use super::Step;
use super::names::Names;
use crate::base::{Problem, Problems, Table, Text, suggest};

/// Places that a phrase may have filled in.
pub const PLACES: [&str; 12] = [
    "part", "way", "under", "into", "tool", "torque", "depth", "gap", "leastgap", "drop", "window",
    "revision",
];

/// Places that the sentence of a permanent change may have filled in.
pub const CHANGE_PLACES: [&str; 5] = ["part", "size", "window", "within", "off"];

/// Places that the sentence of how a step is undone may have filled in.
const UNDO_PLACES: [&str; 2] = ["part", "tool"];

/// Where a part or fastener is reached from.
pub const REACHES: [&str; 3] = ["above", "below", "side"];

struct Written {
    step: Step,
    after: Vec<Text>,
}

/// All steps of the headset and the system, in bench order.
pub fn read(tables: &[Table<'_, '_>], names: &Names<'_>, problems: &mut Problems) -> Vec<Step> {
    let mut written: Vec<Written> = Vec::new();
    for table in tables {
        for step in table.tables("step", problems) {
            written.extend(read_step(step, names, problems));
        }
    }
    for (index, one) in written.iter().enumerate() {
        if let Some(first) = written[..index].iter().find(|w| w.step.id == one.step.id) {
            problems.push(
                Problem::error("step-twice", format!("the step \"{}\" is there already", one.step.id))
                    .at(one.step.span, "again here")
                    .at(first.step.span, "first here")
                    .mend("give one of them another id"),
            );
        }
    }
    let ids: Vec<String> = written.iter().map(|w| w.step.id.clone()).collect();
    for text in written.iter().flat_map(|w| &w.after).filter(|t| !ids.contains(&t.value)) {
        let near = suggest(&text.value, ids.iter().map(String::as_str));
        problems.push(
            Problem::error("step-unknown", format!("there is no step \"{}\"", text.value))
                .at(text.span, "")
                .mend(near.map_or("name a step of this system".to_string(), |n| format!("write \"{n}\""))),
        );
    }
    in_order(written, problems)
}

fn read_step(table: Table<'_, '_>, names: &Names<'_>, problems: &mut Problems) -> Option<Written> {
    let of = "a step";
    let id = table.needed_text("id", of, problems);
    let slot = table.text("slot", problems).and_then(|t| names.slot(&t, problems));
    let when = table.texts("when", problems).iter().filter_map(|t| names.condition(t, problems)).collect();
    let after = table.texts("after", problems);
    let say = table.needed_text("say", of, problems);
    let feel = table.text("feel", problems);
    let held = table.text("held", problems);
    let undo = table.text("undo", problems);
    let reach = table.text("reach", problems);
    for text in say.iter().chain(&feel).chain(&held) {
        check_places(text, &PLACES, problems);
    }
    if let Some(undo) = &undo {
        check_places(undo, &UNDO_PLACES, problems);
    }
    if let Some(reach) = &reach
        && !REACHES.contains(&reach.value.as_str())
    {
        problems.push(
            Problem::error("choice-unknown", format!("\"{}\" is no choice here", reach.value))
                .at(reach.span, "")
                .note(format!("expected one of: {}", REACHES.join(", ")))
                .mend("write one of these"),
        );
    }
    let picturing = super::picturing::read(&table, slot, names, problems);
    let takes = minutes(&table, "minutes", problems);
    let undone = minutes(&table, "minutes_undone", problems);
    let span = table.span;
    table.finish(of, &super::layouts::STEP, problems);
    let step = Step {
        id: id?.value,
        slot,
        when,
        say: say?.value,
        feel: feel.map(|t| t.value),
        reach: reach.map(|t| t.value),
        closes: picturing.closes,
        held: held.map(|t| t.value),
        undo: undo.map(|t| t.value),
        away_from: picturing.away_from,
        view: picturing.view,
        upside_down: picturing.upside_down,
        minutes: takes,
        minutes_undone: undone,
        span,
    };
    Some(Written { step, after })
}

/// Whole minutes, up to a working day.
pub fn minutes(table: &Table<'_, '_>, name: &'static str, problems: &mut Problems) -> Option<u32> {
    table.get(name).and_then(|entry| entry.count(480, problems))
}

/// `{…}` must name a place that can be filled.
pub fn check_places(text: &Text, places: &[&'static str], problems: &mut Problems) {
    let mut from = 0;
    while let Some(open) = text.value[from..].find('{').map(|i| i + from) {
        let close = text.value[open..].find('}').map(|i| i + open);
        let (end, name) = match close {
            Some(close) => (close + 1, &text.value[open + 1..close]),
            None => (text.value.len(), &text.value[open + 1..]),
        };
        if close.is_none() || !places.contains(&name) {
            let near = suggest(name, places.iter().copied());
            problems.push(
                Problem::error("place-unknown", format!("nothing can be filled in for {{{name}}}"))
                    .at(text.part(open..end), "")
                    .note(format!("places: {}", places.join(", ")))
                    .mend(near.map_or("take it out".to_string(), |n| format!("write {{{n}}}"))),
            );
        }
        from = end;
    }
}

/// File order, each step moved behind those it comes after; a circle is an error.
fn in_order(written: Vec<Written>, problems: &mut Problems) -> Vec<Step> {
    let ids: Vec<String> = written.iter().map(|w| w.step.id.clone()).collect();
    let mut left: Vec<Option<Written>> = written.into_iter().map(Some).collect();
    let mut done: Vec<String> = Vec::new();
    let mut ordered = Vec::new();
    while ordered.len() < left.len() {
        let ready = |w: &Written| w.after.iter().all(|a| done.contains(&a.value) || !ids.contains(&a.value));
        let Some(next) = left.iter().position(|w| w.as_ref().is_some_and(ready)) else {
            problems.push(circle_problem(&left));
            ordered.extend(left.iter_mut().filter_map(|w| w.take()).map(|w| w.step));
            return ordered;
        };
        if let Some(written) = left[next].take() {
            done.push(written.step.id.clone());
            ordered.push(written.step);
        }
    }
    ordered
}

/// The steps of one circle among those that are left: from any of them, what it waits for, until one comes again.
fn circle_problem(left: &[Option<Written>]) -> Problem {
    let mut walked: Vec<&Written> = vec![];
    let mut here = left.iter().flatten().next();
    while let Some(written) = here {
        if let Some(start) = walked.iter().position(|w| w.step.id == written.step.id) {
            walked.drain(..start);
            break;
        }
        walked.push(written);
        let waits_for = |w: &&Written| written.after.iter().any(|a| a.value == w.step.id);
        here = left.iter().flatten().find(waits_for);
    }
    let names: Vec<&str> = walked.iter().map(|w| w.step.id.as_str()).collect();
    let mut problem =
        Problem::error("steps-circle", format!("steps wait for each other: {}", names.join(", ")));
    for written in &walked {
        if let Some(after) = written.after.iter().find(|a| names.contains(&a.value.as_str())) {
            problem = problem.at(after.span, format!("{} waits for {}", written.step.id, after.value));
        }
    }
    problem.mend("take one of these out of its after")
}
