//! Every slot has a step that puts its part on, whatever else is there. Must not know sentences.

use super::super::{Condition, PutOn, SlotIx, Step};
use super::Whole;
use crate::base::{Problem, Problems};

/// So many slots in the conditions of one slot's steps are tried each way; with more, one step has to be without.
const MOST_CONDITIONS: usize = 10;

pub fn check(whole: &Whole<'_, '_, '_>, problems: &mut Problems) {
    for (slot, its) in whole.all() {
        if its.put_on == PutOn::Fixed {
            continue;
        }
        let name = &its.name;
        let steps: Vec<&Step> =
            whole.steps.iter().filter(|s| s.slot == Some(slot) && s.closes.is_none()).collect();
        if steps.is_empty() {
            problems.push(
                Problem::error("step-left-out", format!("no step puts on what stands in the slot {name}"))
                    .at(its.span, "")
                    .note("a guide would leave it lying on the bench; a step that closes a grip puts nothing on")
                    .mend(format!(
                        "add [[step]] with slot = \"{name}\", an id, reach and say = \"Slide the {{part}} on, {{way}}.\""
                    )),
            );
        } else if let Some(lacking) = uncovered(whole, slot, &steps) {
            problems.push(
                Problem::error(
                    "step-left-out",
                    format!("with {lacking} no step puts on what stands in the slot {name}"),
                )
                .at(steps[0].span, "only under its when")
                .note("a guide would leave it lying on the bench")
                .mend("take the when out, or add a step for the other cases"),
            );
        }
    }
}

/// Slots filled and empty with which none of the steps is said.
fn uncovered(whole: &Whole<'_, '_, '_>, slot: SlotIx, steps: &[&Step]) -> Option<String> {
    if steps.iter().any(|step| step.when.is_empty()) {
        return None;
    }
    let mut named: Vec<SlotIx> = steps.iter().flat_map(|s| &s.when).map(of).collect();
    named.sort();
    named.dedup();
    named.truncate(MOST_CONDITIONS);
    let filled = |picked: usize, wanted: SlotIx| match named.iter().position(|n| *n == wanted) {
        Some(at) => picked >> at & 1 == 1,
        None => false,
    };
    let possible =
        |picked: usize| named.iter().all(|&n| filled(picked, n) || whole.slot(n).least == 0 && n != slot);
    let said = |picked: usize| {
        steps.iter().any(|step| {
            step.when.iter().all(|condition| match condition {
                Condition::Filled(wanted) => filled(picked, *wanted),
                Condition::Empty(wanted) => named.contains(wanted) && !filled(picked, *wanted),
            })
        })
    };
    let lacking = (0..1usize << named.len()).find(|&picked| possible(picked) && !said(picked))?;
    let words = named.iter().map(|&n| match filled(lacking, n) {
        true => whole.name(n).to_string(),
        false => format!("no {}", whole.name(n)),
    });
    Some(words.collect::<Vec<_>>().join(", "))
}

fn of(condition: &Condition) -> SlotIx {
    match condition {
        Condition::Filled(slot) | Condition::Empty(slot) => *slot,
    }
}
