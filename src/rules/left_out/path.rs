//! The path of the push, from the pulled part to the fork: it has a beginning, an end and no hole. Must not know where
//! any part comes to stand.

use super::super::{PathStep, PutOn, SlotIx};
use super::Whole;
use crate::base::{Problem, Problems, Span};

pub fn check(whole: &Whole<'_, '_, '_>, problems: &mut Problems) {
    let path = &whole.lists.path;
    let at = spans(whole);
    let span = |index: usize| at.get(index).copied().unwrap_or(whole.slot(whole.pulled).span);
    let (Some(first), Some(last)) = (path.first(), path.last()) else { return };
    begins(whole, first, span(0), problems);
    if whole.slot(last.slot).put_on != PutOn::Fixed {
        let name = whole.name(last.slot);
        problems.push(
            Problem::error("path-open", format!("the path ends in {name} and not in the fork"))
                .at(span(path.len() - 1), "its last step")
                .note("the push has to come down to what everything stands on")
                .mend(format!("add what carries {name} as [[path]] entries, the fork's slot last")),
        );
    }
    for (index, step) in path.iter().enumerate() {
        on_to_the_next(whole, index, span(index), problems);
        columns(whole, step, span(index), problems);
        if whole.slot(step.slot).least == 0 && !step.optional {
            let name = whole.name(step.slot);
            problems.push(
                Problem::error("path-optional", format!("the path goes through {name}, which can be empty"))
                    .at(span(index), "")
                    .mend("add optional = true"),
            );
        }
    }
}

fn spans(whole: &Whole<'_, '_, '_>) -> Vec<Span> {
    let quiet = &mut Problems::default();
    whole.tables.iter().flat_map(|t| t.tables("path", quiet)).map(|t| t.span).collect()
}

/// The push comes to the path from above: over what turns with the fork, down from the pulled part.
fn begins(whole: &Whole<'_, '_, '_>, first: &PathStep, at: Span, problems: &mut Problems) {
    let (name, pulled) = (whole.name(first.slot), whole.name(whole.pulled));
    if !whole.slot(first.slot).still.is_empty() {
        problems.push(
            Problem::error("path-open", format!("the path begins with {name}, part of which stands still"))
                .at(at, "its first step")
                .note("the push comes to it through something that turns with the fork: that is left out")
                .mend(format!("add what stands on {name} as the first [[path]] entry")),
        );
    } else if !reached(whole, first.slot) {
        problems.push(
            Problem::error(
                "path-open",
                format!("no path leads from {pulled}, which is pulled, down to {name}"),
            )
            .at(whole.slot(whole.pulled).span, format!("{pulled} is pulled"))
            .at(at, "the path begins here")
            .note("going from slot to slot by what rests on what, the one never comes to the other")
            .mend(format!("name in rests_on of {pulled}, and of what carries it, the slots down to {name}")),
        );
    }
}

/// Whether the pulled part comes to rest on the slot in the end.
fn reached(whole: &Whole<'_, '_, '_>, wanted: SlotIx) -> bool {
    let mut seen: Vec<SlotIx> = vec![];
    let mut next = vec![whole.pulled];
    while let Some(slot) = next.pop() {
        if slot == wanted {
            return true;
        }
        if seen.contains(&slot) {
            continue;
        }
        seen.push(slot);
        let its = whole.slot(slot);
        // It may rest on anything.
        if its.rests_on.is_empty() && its.host.is_none() && its.put_on != PutOn::Fixed {
            return true;
        }
        next.extend(its.rests_on.iter().copied());
    }
    false
}

/// A step hands the push on to the next one, over those that may be empty.
fn on_to_the_next(whole: &Whole<'_, '_, '_>, index: usize, at: Span, problems: &mut Problems) {
    let path = &whole.lists.path;
    let here = path[index].slot;
    let mut below: Vec<SlotIx> = vec![];
    for step in &path[index + 1..] {
        below.push(step.slot);
        if whole.slot(step.slot).least > 0 {
            break;
        }
    }
    for rests in whole.slot(here).rests_on.iter().filter(|&&s| s != here && !below.contains(&s)) {
        let (name, on) = (whole.name(here), whole.name(*rests));
        problems.push(
            Problem::error(
                "path-open",
                format!("{name} may rest on {on}, which does not come next in the path"),
            )
            .at(at, "")
            .note("a push that goes that way would leave the path")
            .mend(format!("add [[path]] with slot = \"{on}\" after this one, or take {on} out of rests_on")),
        );
    }
}

/// Where only some columns stand still, the push comes in by one and goes out by another.
fn columns(whole: &Whole<'_, '_, '_>, step: &PathStep, at: Span, problems: &mut Problems) {
    let slot = whole.slot(step.slot);
    if slot.still.is_empty() || slot.still.iter().any(|column| column == "*") {
        return;
    }
    for (key, told, way) in [("enters", &step.enters, "comes in"), ("leaves", &step.leaves, "goes out")] {
        if told.is_some() {
            continue;
        }
        problems.push(
            Problem::error("entry-left-out", format!("the path through {} does not say {key}", slot.name))
                .at(at, format!("{key} is missing"))
                .note(format!("{key}: the column by which the push {way}; part of it stands still, and a push that goes by the wrong one presses nothing together"))
                .mend(format!("add {key} = \"{}\", or the other column", slot.still.join("\" or \""))),
        );
    }
}
