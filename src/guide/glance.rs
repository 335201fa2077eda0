//! What is asked first of an answer: for which deck and bars, with which tools, how long, what it costs; and the
//! cautions that stand at a step. Must not know how a step is worded.

use super::bench::Bench;
use super::page::{Caution, Glance, PartLine};
use super::steps::{planned, uses};
use super::{head_tube, reason};
use crate::assembly::ItemIx;
use crate::kinds::Known;
use crate::rules::{PutOn, SlotIx, Step};
use crate::solve::Verdict;

pub fn of(bench: &Bench) -> Glance {
    let goes = bench.answer.verdict != Verdict::No;
    let mut glance = Glance { lead: reason::lead_check(bench), ..Glance::default() };
    if !goes {
        return glance;
    }
    let spend = &bench.answer.spend;
    glance.built_on = built_on(bench);
    glance.tools = tools(bench);
    glance.minutes = minutes(bench);
    glance.skill = bench.words().word(&format!("glance.skill-{}", skill(bench)));
    glance.cost = (spend.unpriced == 0 || bench.answer.buy.is_empty()).then(|| spend.known.as_minor());
    glance.cutting = Some(caution(bench, "warning", cutting(bench)));
    glance.head_tube = head_tube::drawn(bench);
    glance
}

/// What the rider brings, with the head tubes that go; then the bars.
fn built_on(bench: &Bench) -> Vec<PartLine> {
    let brought = |slot: SlotIx| bench.rule.slot(slot).brought;
    let line = |item: ItemIx, text: String| {
        let part = bench.part_of(item);
        PartLine { part_id: part.id.clone(), name: part.name.clone(), text }
    };
    let mut lines: Vec<PartLine> = vec![];
    for (item, placed) in bench.items() {
        if brought(placed.slot) {
            let range = head_tube::here(bench);
            let text = range.map(|range| bench.words().say("glance.head-tube", &[("range", &range)]));
            lines.push(line(item, text.unwrap_or_default()));
        }
    }
    // Bars a rider knows by name, too.
    lines.extend(
        bench.items().filter(|(i, _)| bench.part_of(*i).is(Known::Bars)).map(|(i, _)| line(i, String::new())),
    );
    lines
}

/// Presses and drivers by what they are for, keys by their size; a torque wrench once, where first needed.
fn tools(bench: &Bench) -> Vec<String> {
    let words = bench.words();
    let mut tools: Vec<String> = vec![];
    let mut add = |tool: String| {
        if !tools.contains(&tool) {
            tools.push(tool);
        }
    };
    if !bench.answer.changes.is_empty() {
        add(words.word("glance.tool-cut"));
    }
    if bench.answer.verdict == Verdict::Measure {
        add(words.word("glance.tool-measure"));
    }
    if super::measuring::needs_feelers(bench) {
        add(words.word("glance.tool-feeler"));
    }
    for (step, item) in planned(bench) {
        item.into_iter().flat_map(|item| tools_of(bench, step, item)).for_each(&mut add);
    }
    tools
}

/// Of one step with the item that it is about.
pub(super) fn tools_of(bench: &Bench, step: &Step, item: ItemIx) -> Vec<String> {
    let words = bench.words();
    let kind = bench.kind_word(bench.part_of(item).kind, 1);
    let by_work = match work(bench, step) {
        Work::Press => Some(words.say("glance.tool-press", &[("kind", &kind)])),
        Work::Drive => Some(words.say("glance.tool-drive", &[("kind", &kind)])),
        Work::Tighten | Work::Other => None,
    };
    let own = uses(step, "tool").then(|| bench.tool(item)).flatten();
    let torque = uses(step, "torque").then(|| words.word("glance.tool-torque"));
    let sizes = ["depth", "gap", "leastgap", "drop", "window"].iter().any(|place| uses(step, place));
    let caliper = sizes.then(|| words.word("glance.tool-measure"));
    [by_work, own, torque, caliper].into_iter().flatten().collect()
}

/// Changes and steps together; `None` as soon as the book does not give the time of one of them.
fn minutes(bench: &Bench) -> Option<String> {
    let changes = bench.answer.changes.iter().map(|c| bench.rule.changes[c.change].minutes);
    let steps = planned(bench).into_iter().map(|(step, _)| step.minutes);
    let all: Option<u32> = changes.chain(steps).sum();
    all.filter(|m| *m > 0).map(|m| bench.words().counted("coming.minutes", m, &[]))
}

fn skill(bench: &Bench) -> &'static str {
    let of_step =
        |(step, _): &(&Step, Option<ItemIx>)| matches!(work(bench, step), Work::Press | Work::Drive);
    match () {
        () if !bench.answer.changes.is_empty() => "cut",
        () if planned(bench).iter().any(of_step) => "press",
        () => "hand",
    }
}

/// A plan with a change says which cut; beside an offered change nothing says that there is none.
fn cutting(bench: &Bench) -> &'static str {
    match () {
        () if !bench.answer.changes.is_empty() => "cut-one",
        () if bench.answer.last_resort.is_some() => "cut-plan",
        () => "cut-none",
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Work {
    Press,
    /// Pressed into a tube: a star nut.
    Drive,
    /// Closes a clamp.
    Tighten,
    Other,
}

fn work(bench: &Bench, step: &Step) -> Work {
    let Some(slot) = step.slot else { return Work::Other };
    if step.closes.is_some() {
        return Work::Tighten;
    }
    match (bench.rule.driven_into(slot), bench.rule.slot(slot).put_on) {
        (Some(_), _) => Work::Drive,
        (None, PutOn::Pressed) => Work::Press,
        _ => Work::Other,
    }
}

/// Cautions that were told already in this guide.
#[derive(Default)]
pub(super) struct Told(Vec<&'static str>);

impl Told {
    /// What has to be known at this step; each sentence once in a guide.
    pub fn of_step(&mut self, bench: &Bench, step: &Step, item: Option<ItemIx>) -> Vec<Caution> {
        let (signal, key) = match work(bench, step) {
            _ if item.is_none() => return vec![],
            Work::Press => ("caution", "press"),
            Work::Drive => ("caution", "drive"),
            Work::Tighten => ("warning", "tighten"),
            Work::Other => return vec![],
        };
        if self.0.contains(&key) {
            return vec![];
        }
        self.0.push(key);
        vec![caution(bench, signal, key)]
    }
}

/// At the step that changes a part for good.
pub(super) fn of_change(bench: &Bench) -> Vec<Caution> {
    vec![caution(bench, "warning", "cut")]
}

fn caution(bench: &Bench, signal: &'static str, key: &str) -> Caution {
    let words = bench.words();
    Caution {
        signal,
        word: words.word(&format!("signal.{signal}")),
        text: words.word(&format!("caution.{key}")),
    }
}
