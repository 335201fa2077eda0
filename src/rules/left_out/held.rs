//! What has to be held, closed and kept still: grips with all their layers, slits, what stands still. Must not know
//! which kinds are bars.

use super::super::{Grip, Slot, SlotIx, SurfaceRef};
use super::said::What;
use super::{Whole, kinds_of};
use crate::base::{Problem, Problems, Table};

pub fn check(whole: &Whole<'_, '_, '_>, problems: &mut Problems) {
    for (slot, its) in whole.all() {
        if its.put_on == super::super::PutOn::Fixed {
            continue;
        }
        if wants_grip(its) && !in_grip(whole, slot) && !whole.said.frees(&What::Grip(slot)) {
            loose(its, problems);
        }
        if may_have_slit(its) && !slit_told(whole, slot) && !whole.said.frees(&What::Slit(slot)) {
            no_slit(its, problems);
        }
        still(its, problems);
    }
    let written = whole.tables.iter().flat_map(|t| t.tables("grip", problems)).collect::<Vec<_>>();
    for (grip, table) in whole.lists.grips.iter().zip(&written) {
        layers(whole, grip, problems);
        lengths(whole, grip, table, problems);
        closed_by_step(whole, grip, problems);
    }
}

/// Whether a `[[free]]` for this says anything.
pub fn needs_free(whole: &Whole<'_, '_, '_>, what: &What) -> bool {
    match what {
        What::Wall(_) => false,
        What::Slit(slot) => may_have_slit(whole.slot(*slot)) && !slit_told(whole, *slot),
        What::Grip(slot) => wants_grip(whole.slot(*slot)) && !in_grip(whole, *slot),
    }
}

fn wants_grip(slot: &Slot) -> bool {
    kinds_of(slot).any(|kind| kind.asked.held)
}

fn may_have_slit(slot: &Slot) -> bool {
    kinds_of(slot).any(|kind| kind.asked.slit)
}

fn in_grip(whole: &Whole<'_, '_, '_>, slot: SlotIx) -> bool {
    whole.lists.grips.iter().any(|grip| grip.layers.iter().any(|layer| layer.slot == slot))
}

fn slit_told(whole: &Whole<'_, '_, '_>, slot: SlotIx) -> bool {
    whole.lists.slits.iter().any(|slit| slit.slot == slot)
}

fn loose(slot: &Slot, problems: &mut Problems) {
    let name = &slot.name;
    problems.push(
        Problem::error("grip-left-out", format!("nothing holds what stands in the slot {name}"))
            .at(slot.span, "")
            .note("what the rider steers by must not turn by itself, and no grip has it among its layers")
            .mend(format!(
                "add [[grip]] with layers = [{{ slot = \"{name}\", least = \"30\" }}, …]; or [[free]] with grip = \
                 \"{name}\" and why = \"…\""
            )),
    );
}

fn no_slit(slot: &Slot, problems: &mut Problems) {
    let name = &slot.name;
    problems.push(
        Problem::error("slit-left-out", format!("the rule does not say whether {name} may have a slit"))
            .at(slot.span, "parts of this slot may have one")
            .note("a slit lets a clamp close bars onto what is in them; where nothing is, the clamp folds them")
            .mend(format!(
                "add [[slit]] with slot = \"{name}\" and wanted = true or false; or, where either will do, [[free]] with \
                 slit = \"{name}\" and why = \"…\""
            )),
    );
}

/// What always stands still is said to.
fn still(slot: &Slot, problems: &mut Problems) {
    let said = |column: &str| slot.still.iter().any(|s| s == "*" || s == column);
    let mut asked: Vec<&str> = kinds_of(slot).flat_map(|kind| kind.asked.still).copied().collect();
    asked.dedup();
    asked.retain(|column| !said(column));
    if asked.is_empty() {
        return;
    }
    let columns: Vec<String> = asked.iter().map(|column| format!("\"{column}\"")).collect();
    problems.push(
        Problem::error("still-left-out", format!("the slot {} does not say what of it stands still", slot.name))
            .at(slot.span, "")
            .note("the fork turns in it: what turns has to clear what stands still, and only what is said to is looked at")
            .mend(format!("add still = [{}]", columns.join(", "))),
    );
}

/// What the sleeves have between two layers, or inside a layer, is a layer, too.
fn layers(whole: &Whole<'_, '_, '_>, grip: &Grip, problems: &mut Problems) {
    let has = |slot: SlotIx| grip.layers.iter().any(|layer| layer.slot == slot);
    let goes_over = |outer: SlotIx| whole.lists.sleeves.iter().filter(move |s| s.outer.slot == outer);
    let mut left_out: Vec<(SlotIx, SlotIx)> = Vec::new();
    for sleeve in &whole.lists.sleeves {
        let from_clamp = sleeve.outer == grip.by;
        let from_layer =
            has(sleeve.outer.slot) && whole.slot(sleeve.outer.slot).put_on != super::super::PutOn::Fixed;
        for SurfaceRef { slot, .. } in &sleeve.inner {
            let between = goes_over(*slot).any(|s| s.inner.iter().any(|i| has(i.slot)));
            let belongs = from_layer || from_clamp && between;
            if belongs && !has(*slot) && !left_out.iter().any(|(there, _)| there == slot) {
                left_out.push((*slot, sleeve.outer.slot));
            }
        }
    }
    for (slot, outer) in left_out {
        let (name, outer) = (whole.name(slot), whole.name(outer));
        problems.push(
            Problem::error(
                "layer-left-out",
                format!("the grip by {} leaves {name} out", whole.told(&grip.by)),
            )
            .at(grip.span, "")
            .note(format!(
                "a sleeve has {outer} round {name}: whether the grip reaches through it is not looked at"
            ))
            .mend(format!("add {{ slot = \"{name}\" }} to layers, from the outside in")),
        );
    }
}

/// The outermost and the innermost of the layers that are always there say how long they must be held.
fn lengths(whole: &Whole<'_, '_, '_>, grip: &Grip, table: &Table<'_, '_>, problems: &mut Problems) {
    let by = whole.told(&grip.by);
    let sure: Vec<SlotIx> = grip.layers.iter().map(|l| l.slot).filter(|s| whole.slot(*s).least > 0).collect();
    let (Some(&first), Some(&last)) = (sure.first(), sure.last()) else {
        problems.push(
            Problem::error(
                "grip-holds-nothing",
                format!("the grip by {by} has no layer that is always there"),
            )
            .at(grip.span, "")
            .note("every slot among its layers can be empty, and then nothing is checked")
            .mend("add to layers what it holds in the end, with the length that must be held as its least"),
        );
        return;
    };
    let written = table.tables("layers", problems);
    let mut ends = vec![first, last];
    ends.dedup();
    for slot in ends {
        let name = whole.name(slot);
        let its = |t: &&Table<'_, '_>| {
            t.text("slot", &mut Problems::default()).is_some_and(|text| text.value == name)
        };
        if written.iter().find(its).is_some_and(|layer| layer.get("least").is_none()) {
            problems.push(
                Problem::error(
                    "entry-left-out",
                    format!("the grip by {by} does not say how much of {name} it must hold"),
                )
                .at(grip.span, format!("least of {name} is missing"))
                .note("least: the length that must be held; what a rule leaves out nobody would check")
                .mend(format!(
                    "write {{ slot = \"{name}\", least = \"30\" }}, a length in mm, or least = \"none\""
                )),
            );
        }
    }
}

fn closed_by_step(whole: &Whole<'_, '_, '_>, grip: &Grip, problems: &mut Problems) {
    if whole.steps.iter().any(|step| step.closes.as_ref() == Some(&grip.by)) {
        return;
    }
    let (by, clamp) = (whole.told(&grip.by), whole.name(grip.by.slot));
    problems.push(
        Problem::error("step-left-out", format!("no step tightens the grip by {by}"))
            .at(grip.span, "")
            .note("what no step tightens stays loose")
            .mend(format!("write slot = \"{clamp}\" and closes = \"{by}\" in the [[step]] that tightens it")),
    );
}
