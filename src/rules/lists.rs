//! The lists of a rule file: sleeves, presses, threads, grips, slits, stand-outs, path. Must not know steps.

use super::layouts;
use super::left_out;
use super::names::{Names, Wanted};
use super::{
    Grip, GripLayer, PathStep, Phrase, Press, PutOn, SizeRule, Sleeve, SlitRule, Slot, SlotIx, StandOut,
    SurfaceRef, ThreadPair,
};
use crate::base::{Entry, Problem, Problems, Span, Table, suggest};
use crate::kinds::{self, misread_problem};
use crate::quantity::{Length, read_length};

#[derive(Default)]
pub struct Gathered {
    pub sleeves: Vec<Sleeve>,
    pub presses: Vec<Press>,
    pub threads: Vec<ThreadPair>,
    pub grips: Vec<Grip>,
    pub slits: Vec<SlitRule>,
    pub stand_outs: Vec<StandOut>,
    pub sizes: Vec<SizeRule>,
    pub path: Vec<PathStep>,
    pub before_riding: Vec<Phrase>,
}

/// A plain length, told at the character where it goes wrong.
pub fn length(entry: &Entry<'_, '_>, problems: &mut Problems) -> Option<Length> {
    let text = entry.size(problems)?;
    read_length(&text.value).map_err(|m| problems.push(misread_problem(&text, m, "length-misread"))).ok()
}

/// Adds what one file lists.
pub fn gather(root: &Table<'_, '_>, names: &Names<'_>, all: &mut Gathered, problems: &mut Problems) {
    for table in root.tables("sleeve", problems) {
        all.sleeves.extend(sleeve(table, names, problems));
    }
    for table in root.tables("press", problems) {
        all.presses.extend(press(table, names, problems));
    }
    for table in root.tables("thread", problems) {
        all.threads.extend(thread(table, names, problems));
    }
    for table in root.tables("grip", problems) {
        all.grips.extend(grip(table, names, problems));
    }
    for table in root.tables("slit", problems) {
        all.slits.extend(slit(table, names, problems));
    }
    for table in root.tables("stand_out", problems) {
        all.stand_outs.extend(stand_out(table, names, problems));
    }
    for table in root.tables("size", problems) {
        all.sizes.extend(size(table, names, problems));
    }
    for table in root.tables("path", problems) {
        all.path.extend(path(table, names, problems));
    }
    for table in root.tables("before_riding", problems) {
        let when =
            table.texts("when", problems).iter().filter_map(|t| names.condition(t, problems)).collect();
        let say = table.needed_text("say", "a look before riding", problems);
        table.finish("a look before riding", &layouts::BEFORE_RIDING, problems);
        all.before_riding.extend(say.map(|say| Phrase { when, say: say.value }));
    }
}

fn one_surface(
    table: &Table<'_, '_>,
    key: &'static str,
    of: &str,
    wanted: Wanted,
    names: &Names<'_>,
    problems: &mut Problems,
) -> Option<SurfaceRef> {
    let text = table.needed_text(key, of, problems)?;
    names.surface(&text, wanted, problems)
}

fn surfaces(
    table: &Table<'_, '_>,
    key: &'static str,
    of: &str,
    wanted: Wanted,
    names: &Names<'_>,
    problems: &mut Problems,
) -> Option<Vec<SurfaceRef>> {
    let entry = table.needed(key, of, problems)?;
    if entry.items().is_empty() {
        return entry.refuse("at least one SLOT.SURFACE", problems);
    }
    let texts = table.texts(key, problems);
    let found: Vec<SurfaceRef> = texts.iter().filter_map(|t| names.surface(t, wanted, problems)).collect();
    (found.len() == texts.len() && !found.is_empty()).then_some(found)
}

/// A least and a most.
pub fn two_lengths(entry: &Entry<'_, '_>, problems: &mut Problems) -> Option<(Length, Length)> {
    let before = problems.errors();
    let ends: Vec<Length> = entry.items().iter().filter_map(|i| length(i, problems)).collect();
    match ends[..] {
        [least, most] if least <= most => Some((least, most)),
        _ => {
            if problems.errors() == before {
                problems.push(
                    Problem::error("limit-misread", "a least and a most belong here, the smaller first")
                        .at(entry.span, "")
                        .mend("write [\"least\", \"most\"]"),
                );
            }
            None
        }
    }
}

fn optional(table: &Table<'_, '_>, key: &'static str, problems: &mut Problems) -> Option<Length> {
    table.get(key).filter(|e| !left_out::says_none(e)).and_then(|e| length(&e, problems))
}

fn sleeve(table: Table<'_, '_>, names: &Names<'_>, problems: &mut Problems) -> Option<Sleeve> {
    let of = "a sleeve";
    let outer = one_surface(&table, "outer", of, Wanted::Bore, names, problems);
    let inner = surfaces(&table, "inner", of, Wanted::Outside, names, problems);
    let clearance = table.needed("clearance", of, problems).and_then(|e| two_lengths(&e, problems));
    let overlap_least = optional(&table, "overlap", problems);
    let springs = optional(&table, "springs", problems).unwrap_or(Length::ZERO);
    // Why nothing of inner need be there: asked for by `left_out`.
    table.text("or_none", problems);
    let span = table.span;
    table.finish(of, &layouts::SLEEVE, problems);
    let (clearance_least, clearance_most) = clearance?;
    Some(Sleeve {
        outer: outer?,
        inner: inner?,
        clearance_least,
        clearance_most,
        overlap_least,
        springs,
        span,
    })
}

fn press(table: Table<'_, '_>, names: &Names<'_>, problems: &mut Problems) -> Option<Press> {
    let of = "a press";
    let wall = one_surface(&table, "wall", of, Wanted::Either, names, problems);
    let seat = surfaces(&table, "seat", of, Wanted::Either, names, problems);
    let tightness = table.get("tight");
    let span = table.span;
    if let (Some(wall), None) = (&wall, &tightness) {
        names.fits_needed(wall, span, problems);
    }
    let tightness = tightness.and_then(|e| two_lengths(&e, problems));
    table.finish(of, &layouts::PRESS, problems);
    Some(Press { wall: wall?, seat: seat?, tightness, span })
}

fn thread(table: Table<'_, '_>, names: &Names<'_>, problems: &mut Problems) -> Option<ThreadPair> {
    let of = "a thread";
    let male = surfaces(&table, "male", of, Wanted::MaleThread, names, problems);
    let female = surfaces(&table, "female", of, Wanted::FemaleThread, names, problems);
    let engaged = table.needed("engaged", of, problems);
    let computed =
        engaged.is_some_and(|e| e.size(&mut Problems::default()).is_some_and(|t| t.value == "computed"));
    let engagement_least = engaged.filter(|_| !computed).and_then(|e| length(&e, problems));
    let spare_least = optional(&table, "spare", problems);
    let span = table.span;
    table.finish(of, &layouts::THREAD, problems);
    engaged?;
    Some(ThreadPair { male: male?, female: female?, engagement_least, spare_least, span })
}

fn grip(table: Table<'_, '_>, names: &Names<'_>, problems: &mut Problems) -> Option<Grip> {
    let of = "a grip";
    let by = one_surface(&table, "by", of, Wanted::Bore, names, problems);
    table.needed("layers", of, problems);
    let mut layers = Vec::new();
    for layer in table.tables("layers", problems) {
        let slot = layer.needed_text("slot", "a layer", problems).and_then(|t| names.slot(&t, problems));
        let least = optional(&layer, "least", problems);
        layer.finish("a layer", &layouts::LAYER, problems);
        layers.extend(slot.map(|slot| GripLayer { slot, least }));
    }
    let past = table.needed("past", of, problems).and_then(|e| length(&e, problems));
    let span = table.span;
    table.finish(of, &layouts::GRIP, problems);
    Some(Grip { by: by?, layers, past: past?, span })
}

fn slit(table: Table<'_, '_>, names: &Names<'_>, problems: &mut Problems) -> Option<SlitRule> {
    let of = "a slit rule";
    let slot = table.needed_text("slot", of, problems).and_then(|t| names.slot(&t, problems));
    let wanted = table.needed("wanted", of, problems).and_then(|e| e.flag(problems));
    let bridged_by = table.text("bridged_by", problems).and_then(|t| names.slot(&t, problems));
    let unbridged = optional(&table, "unbridged", problems).unwrap_or(Length::ZERO);
    let bare = optional(&table, "bare", problems);
    let span = table.span;
    table.finish(of, &layouts::SLIT, problems);
    Some(SlitRule { slot: slot?, wanted: wanted?, bridged_by, unbridged, bare, span })
}

fn stand_out(table: Table<'_, '_>, names: &Names<'_>, problems: &mut Problems) -> Option<StandOut> {
    let of = "a stand-out";
    let surface = surfaces(&table, "surface", of, Wanted::Outside, names, problems);
    table.needed("above", of, problems);
    let above = table.texts("above", problems).iter().filter_map(|t| names.slot(t, problems)).collect();
    let least = table.needed("least", of, problems).and_then(|e| length(&e, problems));
    let span = table.span;
    table.finish(of, &layouts::STAND_OUT, problems);
    Some(StandOut { surface: surface?, above, least: least?, span })
}

fn size(table: Table<'_, '_>, names: &Names<'_>, problems: &mut Problems) -> Option<SizeRule> {
    let of = "a size";
    let surface = surfaces(&table, "of", of, Wanted::Either, names, problems);
    let between = table.needed("between", of, problems).and_then(|e| two_lengths(&e, problems));
    let span = table.span;
    table.finish(of, &layouts::SIZE, problems);
    let (least, most) = between?;
    Some(SizeRule { surface: surface?, least, most, span })
}

fn path(table: Table<'_, '_>, names: &Names<'_>, problems: &mut Problems) -> Option<PathStep> {
    let of = "a step of the path";
    let slot = table.needed_text("slot", of, problems).and_then(|t| names.slot(&t, problems));
    let mut column = |key| {
        let text = table.text(key, problems)?;
        names.column(&text, slot?, problems)
    };
    let (enters, leaves) = (column("enters"), column("leaves"));
    let optional = table.flag("optional", problems).unwrap_or(false);
    table.finish(of, &layouts::PATH, problems);
    Some(PathStep { slot: slot?, enters, leaves, optional })
}

/// What only all slots together can show.
pub fn check_slots(slots: &[Slot], pulled: Option<SlotIx>, span: Span, problems: &mut Problems) {
    match slots.first() {
        Some(first) if first.put_on == PutOn::Fixed && first.least == 1 && first.most == 1 => {}
        Some(first) => problems.push(
            Problem::error("fork-not-first", "the first slot must be the fork, put on as \"fixed\"")
                .at(first.span, "")
                .mend("list the fork's slot first"),
        ),
        None => problems
            .push(Problem::error("slots-none", "no slots").at(span, "").mend("list the slots in drop order")),
    }
    for other in slots.iter().skip(1).filter(|s| s.put_on == PutOn::Fixed) {
        problems.push(
            Problem::error("fixed-twice", format!("the slot \"{}\" is fixed too", other.name))
                .at(other.span, "")
                .note("everything but the fork is placed on something")
                .mend("write put_on = \"from-above\""),
        );
    }
    if let Some(slot) = pulled.map(|p| &slots[p.0 as usize]).filter(|s| s.least == 0) {
        problems.push(
            Problem::error("pulled-optional", format!("the pulled slot \"{}\" can be empty", slot.name))
                .at(slot.span, "")
                .note("the push starts at the pulled part: it must be there")
                .mend("give it a count of [1, 1]"),
        );
    }
    hosts(slots, problems);
    still(slots, problems);
}

/// What only all lists together can show.
pub fn check_lists(slots: &[Slot], all: &Gathered, span: Span, problems: &mut Problems) {
    if all.path.is_empty() {
        problems.push(crate::base::missing("[[path]]", "a clamp system", span));
    }
    layers(slots, all, problems);
}

/// What stands still is a column of some kind of the slot, or all of it.
fn still(slots: &[Slot], problems: &mut Problems) {
    for slot in slots {
        let kinds = || slot.kinds.iter().filter_map(|k| kinds::find(k));
        let known: Vec<&str> = kinds().flat_map(|k| k.columns).copied().collect();
        for column in slot.still.iter().filter(|c| *c != "*" && !known.contains(&c.as_str())) {
            if known.is_empty() {
                continue;
            }
            let near = suggest(column, known.iter().copied());
            problems.push(
                Problem::error(
                    "column-unknown",
                    format!("nothing in {} has a column \"{column}\"", slot.name),
                )
                .at(slot.span, "its still")
                .note(format!("expected \"*\" for all of it, or: {}", known.join(", ")))
                .mend(near.map_or("write \"*\"".to_string(), |n| format!("write \"{n}\""))),
            );
        }
    }
}

fn hosts(slots: &[Slot], problems: &mut Problems) {
    for slot in slots {
        let wants = match slot.put_on {
            PutOn::Loose => true,
            PutOn::Chosen(choice) => choice.into.is_some(),
            _ => false,
        };
        if wants && slot.host.is_none() {
            problems.push(crate::base::missing("host", &format!("the slot {}", slot.name), slot.span));
        }
        let before = slot.host.is_some_and(|h| slots[h.0 as usize].order < slot.order);
        if slot.put_on == PutOn::Loose && slot.host.is_some() && before {
            problems.push(
                Problem::error("loose-late", format!("the slot \"{}\" stands after its host", slot.name))
                    .at(slot.span, "")
                    .note("what lies loose is there before its host goes over it, and is listed before it")
                    .mend("move it before its host"),
            );
        }
    }
}

/// Neighbouring layers of a grip, with any optional ones between left out, must be a sleeve.
fn layers(slots: &[Slot], all: &Gathered, problems: &mut Problems) {
    for grip in &all.grips {
        let chain: Vec<SlotIx> =
            std::iter::once(grip.by.slot).chain(grip.layers.iter().map(|l| l.slot)).collect();
        for (at, &outer) in chain.iter().enumerate() {
            for &inner in &chain[at + 1..] {
                let sleeve = |s: &&Sleeve| s.outer.slot == outer && s.inner.iter().any(|i| i.slot == inner);
                if all.sleeves.iter().find(sleeve).is_none() {
                    let (o, i) = (&slots[outer.0 as usize].name, &slots[inner.0 as usize].name);
                    problems.push(
                        Problem::error(
                            "grip-no-sleeve",
                            format!("the grip has {o} round {i}, which no sleeve names"),
                        )
                        .at(grip.span, "")
                        .note("each layer of a grip and what it lies on are a [[sleeve]]")
                        .mend(format!("add a sleeve with outer = \"{o}.…\" and \"{i}.…\" among its inner")),
                    );
                }
                if slots[inner.0 as usize].least > 0 {
                    break;
                }
            }
        }
    }
}
