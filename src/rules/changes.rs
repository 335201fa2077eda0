//! The permanent changes that a rule file allows: to which slot's part, what becomes of it, what is lost.
//!
//! Must not know any part, nor when a change is worth it.
//!
//! `[[change]]` names a slot of one part and either a `size` that is brought to one of the lengths `between` two ends, `step`
//! apart and exact to `within`, or what it `adds` (sizes of a group of fields, a slit for instance, each with its
//! deviations). Metal only comes off. `say` and `feel` word the step, `lost` names keys of `[lost]` in the book's words.

use super::lists::{length, two_lengths};
use super::names::Names;
use super::steps::{CHANGE_PLACES, check_places, minutes};
use super::{Change, Made, Slot, SlotIx};
use crate::base::{Entry, Problem, Problems, Span, Table, Text, suggest};
use crate::kinds::{self, FieldType, Need, misread_problem};
use crate::quantity::{Defaults, Dimension, Length, Nature, Origin, read_dimension};

/// More lengths than this would be a search without end; a tenth of a millimetre over 30 mm comes to it.
const MOST_LENGTHS: i64 = 300;

/// All changes of the headset and the system, in file order.
pub fn read(tables: &[Table<'_, '_>], names: &Names<'_>, problems: &mut Problems) -> Vec<Change> {
    let mut all: Vec<Change> = Vec::new();
    for table in tables.iter().flat_map(|t| t.tables("change", problems)).collect::<Vec<_>>() {
        let Some(change) = read_change(table, names, problems) else { continue };
        if let Some(first) = all.iter().find(|c| c.id == change.id) {
            problems.push(
                Problem::error("change-twice", format!("the change \"{}\" is there already", change.id))
                    .at(change.span, "again here")
                    .at(first.span, "first here")
                    .mend("give one of them another id"),
            );
        }
        all.push(change);
    }
    all
}

fn read_change(table: Table<'_, '_>, names: &Names<'_>, problems: &mut Problems) -> Option<Change> {
    let of = "a change";
    let id = table.needed_text("id", of, problems);
    let slot = table.needed_text("slot", of, problems).and_then(|t| changed_slot(&t, names, problems));
    let made = made(&table, slot.map(|s| &names.slots[s.0 as usize]), problems);
    let say = table.needed_text("say", of, problems);
    let feel = table.text("feel", problems);
    for text in say.iter().chain(&feel) {
        check_places(text, &CHANGE_PLACES, problems);
    }
    table.needed("lost", of, problems);
    let lost = table.texts("lost", problems).into_iter().map(|t| t.value).collect();
    let minutes = minutes(&table, "minutes", problems);
    let span = table.span;
    table.finish(of, &super::layouts::CHANGE, problems);
    Some(Change {
        id: id?.value,
        slot: slot?,
        made: made?,
        say: say?.value,
        feel: feel.map(|t| t.value),
        lost,
        minutes,
        span,
    })
}

/// A slot of exactly one part that is not the rider's deck: which of several is changed could not be said.
fn changed_slot(text: &Text, names: &Names<'_>, problems: &mut Problems) -> Option<SlotIx> {
    let slot = names.slot(text, problems)?;
    let it = &names.slots[slot.0 as usize];
    let fact = match (it.most > 1, it.brought) {
        (true, _) => format!("the slot \"{}\" may hold several parts", it.name),
        (_, true) => format!("what stands in the slot \"{}\" is the rider's own", it.name),
        _ => return Some(slot),
    };
    problems.push(
        Problem::error("change-slot", fact)
            .at(text.span, "")
            .note("a permanent change is made to the one part of a slot, and never to what is only brought along")
            .mend("name another slot, or take the change out"),
    );
    None
}

fn made(table: &Table<'_, '_>, slot: Option<&Slot>, problems: &mut Problems) -> Option<Made> {
    let (size, adds) = (table.text("size", problems), table.get("adds"));
    match (size, adds) {
        (Some(text), None) => made_to_size(table, &text, slot, problems),
        (None, Some(adds)) => feature(&adds, slot, problems).map(Made::Feature),
        _ => {
            problems.push(
                Problem::error("change-misread", "a change says either size or adds")
                    .at(table.span, "")
                    .note("size: the size that becomes another; adds: sizes of what was not there")
                    .mend("write size = \"length\" with between, step and within, or adds = { … }"),
            );
            None
        }
    }
}

fn made_to_size(
    table: &Table<'_, '_>,
    text: &Text,
    slot: Option<&Slot>,
    problems: &mut Problems,
) -> Option<Made> {
    let of = "a change of size";
    let between = table.needed("between", of, problems).and_then(|e| two_lengths(&e, problems));
    let step = table.needed("step", of, problems).and_then(|e| Some((e.span, length(&e, problems)?)));
    let within = table.needed("within", of, problems).and_then(|e| length(&e, problems));
    let field = field_of(&text.value, text.span, slot?, problems);
    let ((least, most), (step_at, step)) = (between?, step?);
    let apart = most.as_nm() - least.as_nm();
    if step <= Length::ZERO || apart / step.as_nm().max(1) > MOST_LENGTHS {
        problems.push(
            Problem::error("change-step", "the lengths to choose from are too close together")
                .at(step_at, "")
                .note(format!("at most {MOST_LENGTHS} from the least to the most"))
                .mend("write a greater step"),
        );
        return None;
    }
    let (field, nature) = field?;
    Some(Made::Size { field, nature, least, most, step, within: within? })
}

/// A size that some kind of the slot has.
fn field_of(name: &str, at: Span, slot: &Slot, problems: &mut Problems) -> Option<(&'static str, Nature)> {
    let fields = || slot.kinds.iter().filter_map(|k| kinds::find(k)).flat_map(|k| k.fields);
    let sizes = || {
        fields().filter_map(|f| match f.what {
            FieldType::Dimension(nature) => Some((f.name, nature)),
            _ => None,
        })
    };
    let found = sizes().find(|(field, _)| *field == name);
    if found.is_none() && !slot.kinds.is_empty() {
        let near = suggest(name, sizes().map(|s| s.0));
        let known: Vec<&str> = sizes().map(|s| s.0).collect();
        problems.push(
            Problem::error("change-size-unknown", format!("nothing in {} has a size \"{name}\"", slot.name))
                .at(at, "")
                .note(format!("sizes there: {}", known.join(", ")))
                .mend(near.map_or("name one of these".to_string(), |n| format!("write \"{n}\""))),
        );
    }
    found
}

fn feature(
    adds: &Entry<'_, '_>,
    slot: Option<&Slot>,
    problems: &mut Problems,
) -> Option<Vec<(&'static str, Dimension)>> {
    let entries = adds.table(problems)?.all();
    let slot = slot?;
    let count = entries.len();
    let mut found = Vec::new();
    for (name, entry) in entries {
        let Some((field, nature)) = field_of(&name, entry.span, slot, problems) else { continue };
        found.extend(size(&entry, nature, problems).map(|dimension| (field, dimension)));
    }
    if count == 0 {
        return adds.refuse("at least one size", problems);
    }
    if found.len() < count {
        return None;
    }
    whole_group(adds.span, slot, &found, problems).then_some(found)
}

/// With its deviations: a book's own defaults are for makers' parts, not for what is done with a saw.
fn size(entry: &Entry<'_, '_>, nature: Nature, problems: &mut Problems) -> Option<Dimension> {
    let text = entry.size(problems)?;
    let defaults = Defaults::usual().ok()?;
    match read_dimension(&text.value, nature, &defaults) {
        Err(misread) => {
            problems.push(misread_problem(&text, misread, "size-misread"));
            None
        }
        Ok(dimension) if dimension.origin == Origin::Assumed => {
            problems.push(
                Problem::error("change-how-exact", "it is not said how exactly this can be made")
                    .at(text.span, "")
                    .mend(format!("write how far it may be off: \"{} ±0.5 mm\"", text.value)),
            );
            None
        }
        Ok(dimension) => Some(dimension),
    }
}

/// Fields that belong together are all added.
fn whole_group(at: Span, slot: &Slot, adds: &[(&'static str, Dimension)], problems: &mut Problems) -> bool {
    let there = |name: &str| adds.iter().any(|(added, _)| *added == name);
    for kind in slot.kinds.iter().filter_map(|k| kinds::find(k)) {
        let groups: Vec<&str> = kind
            .fields
            .iter()
            .filter(|f| there(f.name))
            .filter_map(|f| if let Need::Together(group) = f.need { Some(group) } else { None })
            .collect();
        let of_group = |f: &&kinds::Field| matches!(f.need, Need::Together(g) if groups.contains(&g));
        if let Some(lacks) = kind.fields.iter().filter(of_group).find(|f| !there(f.name)) {
            problems.push(
                Problem::error("change-incomplete", format!("{} is missing in what is added", lacks.name))
                    .at(at, "")
                    .note(format!("what belongs to {} is added as a whole", kind.name))
                    .mend(format!("add {} = …", lacks.name)),
            );
            return false;
        }
    }
    true
}
