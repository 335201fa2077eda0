//! Reads rule files: `content/systems/NAME.toml`, the headset they draw in, the prose beside them.
//!
//! Must not know any system by name.

use super::lists::{self, Gathered};
use super::names::Names;
use super::slots::read_slot;
use super::{Limits, Rule, Slot, SlotIx, absurd, changes, layouts, left_out, picturing, steps};
use crate::base::{
    BookFiles, Document, Entry, FileId, Problem, Problems, Sources, Span, Table, Text, add_text, refused_id,
    suggest,
};
use crate::quantity::Length;
use std::collections::BTreeMap;

const SYSTEMS: &str = "content/systems/";
const HEADSETS: &str = "content/headsets/";

/// All systems, sorted by id; `None` when any rule file has an error in it. Every error is among the problems.
pub fn read_rules(files: &BookFiles, sources: &mut Sources, problems: &mut Problems) -> Option<Vec<Rule>> {
    let before = problems.errors();
    let systems = add_folder(files, SYSTEMS, sources, problems);
    let headsets = add_folder(files, HEADSETS, sources, problems);
    let mut prose = BTreeMap::new();
    for id in systems.keys() {
        let path = format!("{SYSTEMS}{id}.md");
        let text = files.get(&path).and_then(|bytes| add_text(&path, bytes, sources, problems));
        prose.insert(id.clone(), text.map(|file| sources.get(file).text.clone()).unwrap_or_default());
    }
    if systems.is_empty() && problems.errors() == before {
        problems.push(
            Problem::error("systems-none", "the book has no clamp system")
                .in_file(SYSTEMS)
                .note(format!(
                    "a clamp system is a rule file content/systems/NAME.toml; built in: {}",
                    crate::built_in::system_names().join(", ")
                ))
                .mend("name one that comes with the program in content/shop.toml: [built_in] systems = [\"wide-shim\"]"),
        );
    }
    let sources = &*sources;
    let mut rules = Vec::new();
    let mut headings = Headings::default();
    for (id, &file) in &systems {
        let text = prose.remove(id).unwrap_or_default();
        rules.extend(read_rule(id, file, &headsets, text, &mut headings, sources, problems));
    }
    headings.report(&headsets, sources, problems);
    drop_repeats(problems);
    (problems.errors() == before).then_some(rules)
}

/// What is looked at over all systems: their names, and the headsets they draw in.
#[derive(Default)]
struct Headings {
    names: Vec<Text>,
    drawn_in: Vec<String>,
    /// Some system names a headset that is not there: which one it means is not known.
    unsure: bool,
}

impl Headings {
    /// Two systems of one name, and headsets that no system draws in: those are still read as TOML.
    fn report(&self, headsets: &BTreeMap<String, FileId>, sources: &Sources, problems: &mut Problems) {
        for (index, name) in self.names.iter().enumerate() {
            if let Some(first) = self.names[..index].iter().find(|n| n.value == name.value) {
                problems.push(
                    Problem::error(
                        "system-twice",
                        format!("two files are in conflict over the name \"{}\"", name.value),
                    )
                    .at(name.span, "again here")
                    .at(first.span, "first here")
                    .mend("give one of the systems another name"),
                );
            }
        }
        for (id, &file) in headsets.iter().filter(|(id, _)| !self.drawn_in.contains(id)) {
            if Document::parse(sources, file, problems).is_broken() || self.unsure {
                continue;
            }
            problems.push(
                Problem::warning("headset-unused", format!("no system draws in the headset \"{id}\""))
                    .at(Span::new(file, 0..0), "")
                    .mend(format!("write headset = \"{id}\" in a system, or take the file out")),
            );
        }
    }
}

/// A mistake in a headset is told once, however many systems draw it in.
fn drop_repeats(problems: &mut Problems) {
    let mut seen: Vec<Problem> = Vec::new();
    problems.0.retain(|problem| {
        let new = !seen.contains(problem);
        if new {
            seen.push(problem.clone());
        }
        new
    });
}

/// File name without ending, and the file. A name that could not name a page is refused.
fn add_folder(
    files: &BookFiles,
    folder: &str,
    sources: &mut Sources,
    problems: &mut Problems,
) -> BTreeMap<String, FileId> {
    let mut found = BTreeMap::new();
    for (path, bytes) in files {
        let Some(id) = path.strip_prefix(folder).and_then(|name| name.strip_suffix(".toml")) else {
            continue;
        };
        let Some(file) = add_text(path, bytes, sources, problems) else { continue };
        let Some(refused) = refused_id(id) else {
            found.insert(id.to_string(), file);
            continue;
        };
        let mend =
            refused.instead.map_or("rename the file".to_string(), |n| format!("rename it to {n}.toml"));
        problems.push(
            Problem::error("id-unsafe", format!("\"{id}\" cannot name a page"))
                .at(Span::new(file, 0..0), "")
                .note(refused.note)
                .mend(mend),
        );
    }
    found
}

fn read_rule(
    id: &str,
    file: FileId,
    headsets: &BTreeMap<String, FileId>,
    prose: String,
    headings: &mut Headings,
    sources: &Sources,
    problems: &mut Problems,
) -> Option<Rule> {
    let document = Document::parse(sources, file, problems);
    if document.is_broken() {
        return None;
    }
    let root = document.root();
    let of = "a clamp system";
    let name = root.needed_text("name", of, problems);
    let short = root.texts("short", problems).into_iter().map(|t| t.value).collect();
    let summary = root.needed_text("summary", of, problems);
    headings.names.extend(name.clone());
    headings.drawn_in.extend(root.text("headset", &mut Problems::default()).map(|t| t.value));
    let headset = headset(&root, headsets, sources, problems);
    headings.unsure |= headset.is_none();
    let headset = headset?;
    let mut tables: Vec<Table<'_, '_>> = Vec::new();
    if let Some(headset) = &headset {
        if headset.is_broken() {
            return None;
        }
        tables.push(headset.root());
    }
    tables.push(root);
    let before = problems.errors();
    let slots = slots(&tables, problems);
    let names = Names { slots: &slots };
    let slots_sound = problems.errors() == before;
    let mut all = Gathered::default();
    for table in &tables {
        lists::gather(table, &names, &mut all, problems);
    }
    let lists_sound = problems.errors() == before;
    let written_steps = steps::read(&tables, &names, problems);
    let changes = changes::read(&tables, &names, problems);
    let limits = limits(&tables, problems);
    let said = left_out::read(&tables, &names, problems);
    let last = tables.last()?;
    let span = last.span;
    let pulled = last.needed_text("pulled", of, problems).and_then(|text| names.slot(&text, problems));
    if slots_sound {
        lists::check_slots(&slots, pulled, span, problems);
    }
    if lists_sound {
        lists::check_lists(&slots, &all, span, problems);
        absurd::check_lists(&all, span, problems);
        picturing::check_closes(&written_steps, &all.grips, &slots, problems);
        super::kept::check(&slots, &all, &written_steps, problems);
    }
    if let Some(pulled) = pulled.filter(|_| problems.errors() == before) {
        let (slots, steps) = (&slots, &written_steps);
        let whole = left_out::Whole { tables: &tables, slots, lists: &all, steps, pulled, said: &said };
        left_out::check(&whole, problems);
    }
    finish(tables, problems);
    if problems.errors() > before {
        return None;
    }
    let rule = Rule {
        id: id.to_string(),
        name: name?.value,
        short,
        summary: summary?.value,
        prose,
        sleeves: all.sleeves,
        presses: all.presses,
        threads: all.threads,
        grips: all.grips,
        slits: all.slits,
        stand_outs: all.stand_outs,
        sizes: all.sizes,
        path: all.path,
        before_riding: all.before_riding,
        pulled: pulled?,
        limits: limits?,
        changes,
        steps: written_steps,
        slots,
        span,
    };
    super::usual::ask(&rule, problems);
    Some(rule)
}

/// Tells every key that nothing reads.
fn finish(mut tables: Vec<Table<'_, '_>>, problems: &mut Problems) {
    if let Some(system) = tables.pop() {
        system.finish("a clamp system", &layouts::SYSTEM, problems);
    }
    for headset in tables {
        headset.finish("a headset", &layouts::HEADSET, problems);
    }
}

/// The headset's document; outer `None` after an error.
fn headset<'t>(
    root: &Table<'_, '_>,
    headsets: &BTreeMap<String, FileId>,
    sources: &'t Sources,
    problems: &mut Problems,
) -> Option<Option<Document<'t>>> {
    let Some(text) = root.text("headset", problems) else { return Some(None) };
    if let Some(&file) = headsets.get(&text.value) {
        return Some(Some(Document::parse(sources, file, problems)));
    }
    let near = suggest(&text.value, headsets.keys().map(String::as_str));
    let mend = near.map_or("write that headset's file".to_string(), |n| format!("write \"{n}\""));
    problems.push(
        Problem::error("headset-unknown", format!("there is no headset \"{}\"", text.value))
            .at(text.span, "")
            .note(format!("expected the name of a file in {HEADSETS}"))
            .mend(mend),
    );
    None
}

fn report_twins(slots: &[Slot], problems: &mut Problems) {
    for slot in slots {
        if let Some(first) = slots.iter().find(|s| s.name == slot.name && s.order < slot.order) {
            problems.push(
                Problem::error("slot-twice", format!("the slot \"{}\" is there already", slot.name))
                    .at(slot.span, "again here")
                    .at(first.span, "first here")
                    .mend("give one of them another name, or take one out"),
            );
        }
    }
}

fn slots(tables: &[Table<'_, '_>], problems: &mut Problems) -> Vec<Slot> {
    let mut written = Vec::new();
    for table in tables {
        for slot in table.tables("slot", problems) {
            written.extend(read_slot(slot, problems));
        }
    }
    for (index, (slot, _)) in written.iter_mut().enumerate() {
        slot.order = index as u16;
    }
    // Lifted parts come last, since nothing rests on them; so do parts set in a host that the file lists later.
    let file_order: Vec<String> = written.iter().map(|(slot, _)| slot.name.clone()).collect();
    written.sort_by_key(|(slot, refs)| {
        let super::PutOn::Chosen(choice) = slot.put_on else { return false };
        let host = refs.host.as_ref().and_then(|h| file_order.iter().position(|name| *name == h.value));
        choice.into.is_none() || host.is_some_and(|at| at > slot.order as usize)
    });
    let mut slots: Vec<Slot> = written.iter().map(|(slot, _)| slot.clone()).collect();
    report_twins(&slots, problems);
    for (index, (_, refs)) in written.iter().enumerate() {
        let names = Names { slots: &slots };
        let mut rests_on: Vec<SlotIx> =
            refs.rests_on.iter().filter_map(|t| names.slot(t, problems)).collect();
        let may_touch: Vec<SlotIx> = refs.may_touch.iter().filter_map(|t| names.slot(t, problems)).collect();
        if !rests_on.is_empty() {
            rests_on.extend(may_touch.iter().filter(|s| !rests_on.contains(s)).copied().collect::<Vec<_>>());
        }
        let host = refs.host.as_ref().and_then(|t| names.slot(t, problems));
        slots[index].rests_on = rests_on;
        slots[index].may_touch = may_touch;
        slots[index].host = host;
    }
    absurd::check_slots(&written, problems);
    slots
}

/// Limits of the system; what it leaves out comes from the headset.
fn limits(tables: &[Table<'_, '_>], problems: &mut Problems) -> Option<Limits> {
    let (mut gap, mut seat, mut still) = (None, None, None);
    let mut at = tables.last()?.span;
    for table in tables {
        let Some(limits) = table.get("limits").and_then(|e| e.table(problems)) else { continue };
        if let Some(entry) = limits.get("gap") {
            gap = Some(read_gap(&entry, problems));
        }
        if let Some(entry) = limits.get("seat") {
            seat = Some(lists::length(&entry, problems));
        }
        if let Some(entry) = limits.get("still") {
            still = Some(lists::length(&entry, problems));
        }
        at = limits.span;
        limits.finish("the limits", &layouts::LIMITS, problems);
    }
    for (there, key) in [(gap.is_some(), "gap"), (seat.is_some(), "seat"), (still.is_some(), "still")] {
        if !there {
            problems.push(crate::base::missing(key, "[limits]", at));
        }
    }
    let (gap_least, gap_wish) = gap??;
    Some(Limits { gap_least, gap_wish, seat_least: seat??, still_least: still?? })
}

/// Least, and the most that one likes to see; one value alone has no such wish.
fn read_gap(entry: &Entry<'_, '_>, problems: &mut Problems) -> Option<(Length, Option<Length>)> {
    let items = entry.items();
    let ends: Vec<Length> = items.iter().filter_map(|i| lists::length(i, problems)).collect();
    if ends.len() < items.len() {
        return None;
    }
    match ends[..] {
        [least] => Some((least, None)),
        [least, most] if least <= most => Some((least, Some(most))),
        [least, most] => {
            let fact = format!("the gap's least, {least} mm, is over its most, {most} mm");
            problems.push(Problem::error("limit-crossed", fact).at(entry.span, "").mend("swap the two"));
            None
        }
        _ => entry.refuse("a list of a least and a most", problems),
    }
}
