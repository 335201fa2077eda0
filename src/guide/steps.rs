//! Steps in bench order and the looks before the ride, filled in from the stack. Must not know the parts table.

use super::bench::Bench;
use super::gaps;
use super::page::GuideStep;
use super::template::Template;
use super::words::{Words, capital, check_sentence};
use crate::assembly::ItemIx;
use crate::base::{Problem, Problems, Span};
use crate::rules::{CHANGE_PLACES, PLACES, PutOn, Rule, Step};

/// What a sentence may have filled in that is about no part.
const WITHOUT_SLOT: [&str; 1] = ["gap"];

/// The sentences of a rule file as sentences: brackets and the names of places, and whether the book has words for
/// what a change loses. Whether each part has a value for
/// them shows only when a guide is built.
pub fn check_rule_sentences(rule: &Rule, words: &Words, problems: &mut Problems) {
    for step in &rule.steps {
        let allowed: &[&str] = if step.slot.is_some() { &PLACES } else { &WITHOUT_SLOT };
        for text in std::iter::once(&step.say).chain(&step.feel).chain(&step.held) {
            check_sentence(text, allowed, step.span, problems);
        }
    }
    for change in &rule.changes {
        for text in std::iter::once(&change.say).chain(&change.feel) {
            check_sentence(text, &CHANGE_PLACES, change.span, problems);
        }
        let told = |key: &&String| words.has(&format!("lost.{key}"));
        for key in change.lost.iter().filter(|key| !told(key)) {
            let known = words.keys_in("lost");
            let near = crate::base::suggest(key, known.iter().copied());
            let fact = format!("there are no words for \"{key}\", which is lost by this change");
            problems.push(
                Problem::error("lost-unknown", fact)
                    .at(change.span, "this change")
                    .note(format!("words under [lost]: {}", known.join(", ")))
                    .mend(match near {
                        Some(near) => format!("write \"{near}\""),
                        None => format!("add {key} = \"…\" to [lost] of the book's words"),
                    }),
            );
        }
    }
    for phrase in &rule.before_riding {
        check_sentence(&phrase.say, &WITHOUT_SLOT, rule.span, problems);
    }
}

/// Steps in the rule's order, one an item where the step has a slot, left out where its conditions do not hold.
/// A place that has no value is a mistake in the rule file and is told once.
pub fn steps(bench: &Bench, numbers: &[usize], problems: &mut Problems) -> Vec<GuideStep> {
    let planned = planned(bench);
    let mut done: Vec<ItemIx> = vec![];
    let mut steps = super::changing::steps(bench, numbers, problems);
    let mut told = super::glance::Told::default();
    for &(step, item) in &planned {
        let sentence = Sentence { bench, item, place: &step.id, span: step.span };
        let number = steps.len() + 1;
        steps.push(GuideStep {
            number,
            id: step.id.clone(),
            text: sentence.fill(&step.say, problems),
            also: also(bench, step, item),
            warning: None,
            feel: step.feel.as_ref().map(|feel| sentence.fill(feel, problems)),
            held: step.held.as_ref().map(|held| sentence.fill(held, problems)),
            item,
            part_number: item.map(|i| numbers[usize::from(i.0)]),
            way: item.and_then(|i| bench.way(i)),
            tool: item.filter(|_| uses(step, "tool")).and_then(|i| bench.tool(i)),
            torque: item.filter(|_| uses(step, "torque")).and_then(|i| bench.torque(i)),
            depth: item.filter(|_| uses(step, "depth")).and_then(|i| depth(bench, i)),
            reach: step.reach.clone(),
            cautions: told.of_step(bench, step, item),
            changed_size: None,
            already: on_the_bench(bench, &planned, &done, item),
        });
        done.extend(item);
    }
    steps
}

/// What is said beside the sentence itself.
fn also(bench: &Bench, step: &Step, item: Option<ItemIx>) -> Vec<String> {
    let drop = uses(step, "drop");
    let spigot = item.filter(|_| drop).and_then(|item| gaps::spigot(bench, item));
    let wide = gaps::wide(bench, item).filter(|_| drop || uses(step, "gap"));
    let told: Vec<String> = spigot.into_iter().chain(wide).collect();
    if told.is_empty() { on_already(bench, item).into_iter().collect() } else { told }
}

pub fn before_riding(bench: &Bench, problems: &mut Problems) -> Vec<String> {
    let sentence = Sentence { bench, item: None, place: "before_riding", span: bench.rule.span };
    let said = bench.rule.before_riding.iter().filter(|phrase| bench.holds(&phrase.when));
    said.map(|phrase| sentence.fill(&phrase.say, problems)).collect()
}

/// What a step has filled in, but for the name of what the rider brings: where it is the same, the sentence serves another plan
/// as well.
#[derive(PartialEq)]
pub(super) struct Figures {
    say: Vec<Option<String>>,
    pub feel: Vec<Option<String>>,
}

pub(super) fn figures(bench: &Bench, step: &Step, item: Option<ItemIx>) -> Figures {
    let sentence = Sentence { bench, item, place: &step.id, span: step.span };
    let brought = item.is_some_and(|item| bench.rule.slot(bench.item(item).slot).brought);
    let of = |text: &String| -> Vec<Option<String>> {
        let Ok(template) = Template::read(text) else { return vec![] };
        let places = template.places().into_iter().filter(|&place| place != "part" || !brought);
        places.map(|place| sentence.value(place)).collect()
    };
    Figures { say: of(&step.say), feel: step.feel.as_ref().map(of).unwrap_or_default() }
}

pub(super) fn planned<'a>(bench: &Bench<'a>) -> Vec<(&'a Step, Option<ItemIx>)> {
    let mut planned = vec![];
    for step in bench.rule.steps.iter().filter(|step| bench.holds(&step.when)) {
        match step.slot {
            Some(slot) => planned.extend(bench.in_slot(slot).map(|(item, _)| (step, Some(item)))),
            None => planned.push((step, None)),
        }
    }
    planned
}

/// The fork, what has had a step, and what never has one as soon as a part goes on that comes after it.
fn on_the_bench(
    bench: &Bench,
    planned: &[(&Step, Option<ItemIx>)],
    done: &[ItemIx],
    now: Option<ItemIx>,
) -> Vec<ItemIx> {
    let last = done.iter().copied().chain(now).max().unwrap_or(ItemIx(0));
    let has_step = |item: ItemIx| planned.iter().any(|(_, i)| *i == Some(item));
    let there = |item: ItemIx| item.0 == 0 || done.contains(&item) || (!has_step(item) && item < last);
    bench.items().map(|(item, _)| item).filter(|&item| there(item)).collect()
}

pub(super) fn uses(step: &Step, place: &str) -> bool {
    let named = |text: &String| Template::read(text).is_ok_and(|t| t.places().contains(&place));
    named(&step.say) || step.feel.as_ref().is_some_and(named)
}

struct Sentence<'b, 'a> {
    bench: &'b Bench<'a>,
    item: Option<ItemIx>,
    place: &'b str,
    span: Span,
}

impl Sentence<'_, '_> {
    fn fill(&self, text: &str, problems: &mut Problems) -> String {
        let Ok(template) = Template::read(text) else { return text.to_owned() };
        match template.fill(&|name| self.value(name)) {
            Ok(text) => capital(&text),
            Err(name) => {
                problems.push(self.without_value(&name));
                let missing = self.bench.words().word("step.missing");
                let value = |name: &str| Some(self.value(name).unwrap_or_else(|| missing.clone()));
                template.fill(&value).unwrap_or_default()
            }
        }
    }

    /// Names no part: the same slip for many parts is one slip.
    fn without_value(&self, name: &str) -> Problem {
        let fact = format!("`{}` says {{{name}}}, and a plan has nothing to put there", self.place);
        Problem::error("sentence-value-missing", fact)
            .at(self.span, "this step")
            .mend(format!("put the words around it in square brackets: [, {{{name}}}]"))
    }

    fn value(&self, name: &str) -> Option<String> {
        if name == "gap" {
            return gaps::gap(self.bench, self.item);
        }
        let (bench, item) = (self.bench, self.item?);
        match name {
            "part" => Some(bench.own_name(item)),
            "way" => Some(bench.way_in_a_sentence(item)),
            "under" => bench.under(item),
            "into" => bench.host_word(item),
            "tool" => bench.tool(item),
            "torque" => bench.torque_said(item),
            "depth" => depth_said(bench, item),
            "leastgap" => gaps::least_gap(bench, item),
            "drop" => gaps::drop(bench, item),
            "window" => window(bench, item),
            "revision" => bench.revision(bench.item(item).variant).map(|r| r.label),
            _ => None,
        }
    }
}

/// Said of what was pressed on for a reading: the press is not asked for twice.
fn on_already(bench: &Bench, item: Option<ItemIx>) -> Option<String> {
    let pressed = bench.rule.slot(bench.item(item?).slot).put_on == PutOn::Pressed;
    let before = pressed && super::measuring::pressed_before(bench);
    before.then(|| bench.words().word("step.pressed-before"))
}

/// A promised window is rounded inward.
fn depth(bench: &Bench, item: ItemIx) -> Option<String> {
    let window = bench.stack().windows.iter().find(|w| w.item == item)?;
    let told = super::set_in::told(bench, item, window.depth?);
    Some(told.unwrap_or_else(|| bench.words().word("step.window-in-hand")))
}

/// The same with what to aim at: as far from the one end as from the other.
fn depth_said(bench: &Bench, item: ItemIx) -> Option<String> {
    let range = depth(bench, item)?;
    let window = bench.stack().windows.iter().find(|w| w.item == item)?;
    let Some(middle) = super::set_in::middle(window.depth?) else { return Some(range) };
    let lengths = bench.lengths();
    let aim = if middle % 1_000_000 == 0 { lengths.exact(middle) } else { lengths.aim(middle) };
    Some(bench.words().say("step.depth-aim", &[("range", &range), ("aim", &aim)]))
}

/// Above what it would rest on, where that is what bounds it below: a rule on the bench reaches there. Else above the
/// seat of the crown race.
pub(super) fn window(bench: &Bench, item: ItemIx) -> Option<String> {
    let window = bench.stack().windows.iter().find(|w| w.item == item)?;
    if let Some((on, least, most)) = window.over
        && let Some(under) = bench.carrying_word(item, on)
        && let Some(said) = over(bench, (least, most), &under)
    {
        return Some(said);
    }
    let said = |range: String| bench.words().say("step.window", &[("range", &range)]);
    let range = bench.lengths().inward(window.lowest, window.highest, 1);
    Some(range.map_or_else(|| bench.words().word("step.window-in-hand"), said))
}

/// No place can be told for it that is right for all parts within tolerance.
pub(super) fn hangs_on_hand(bench: &Bench, item: ItemIx) -> bool {
    let in_hand = bench.words().word("step.window-in-hand");
    depth(bench, item).or_else(|| window(bench, item)).is_some_and(|told| told == in_hand)
}

/// Decimals of a height that is set with a rule.
const BY_RULE: u32 = 1;
/// Less than this is not told apart from resting there. Nanometres.
const RESTS: i64 = 50_000;
/// Nobody sets a height to less: what may not touch by less than this is set where light shows under it. Nanometres.
const SEEN: i64 = 200_000;

fn over(bench: &Bench, (least, most): (i64, i64), under: &str) -> Option<String> {
    let (words, lengths) = (bench.words(), bench.lengths());
    if least > 0 {
        let range = lengths.inward(least, most, BY_RULE)?;
        if least < SEEN && most > 2 * SEEN {
            let most = lengths.up_to(most, BY_RULE);
            return Some(words.say("step.window-clear", &[("most", &most), ("under", under)]));
        }
        return Some(words.say("step.window-over", &[("range", &range), ("under", under)]));
    }
    if most < RESTS {
        return (most >= 0).then(|| words.say("step.window-rests", &[("under", under)]));
    }
    let most = lengths.up_to(most, BY_RULE);
    Some(words.say("step.window-from", &[("most", &most), ("under", under)]))
}
