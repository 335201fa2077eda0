//! One `[[slot]]` of a rule file. Must not know the other slots: names it mentions are resolved later.

use super::layouts;
use super::left_out::says_none;
use super::lists::{length, two_lengths};
use super::{Choice, End, PutOn, Slot};
use crate::base::{Problem, Problems, Table, Text, suggest};
use crate::catalogue::kind_unknown;
use crate::kinds::{self, suggest_kind};
use crate::quantity::Length;

/// Names a slot mentions.
pub struct SlotRefs {
    pub rests_on: Vec<Text>,
    pub may_touch: Vec<Text>,
    pub host: Option<Text>,
}

pub const WAYS: [&str; 3] = ["as-drawn", "turned", "either"];
pub const INTO: [&str; 2] = ["top", "bottom"];
pub const PUT_ON: [&str; 7] = ["fixed", "from-above", "from-below", "threaded", "pressed", "loose", "chosen"];

/// `None` only where it has no name: what else is wrong is told, and the slot kept so that the names that the
/// rest of the file uses are still there. Kinds that could not be read leave it with none.
pub fn read_slot(table: Table<'_, '_>, problems: &mut Problems) -> Option<(Slot, SlotRefs)> {
    let of = "a slot";
    let name = table.needed_text("name", of, problems);
    let kinds = kinds_of(&table, problems);
    let (least, most) = counts(&table, problems);
    let put_on = put_on(&table, problems);
    let (as_drawn, turned) = way(&table, problems);
    let brought = table.flag("brought", problems).unwrap_or(false);
    let still = table.texts("still", problems).into_iter().map(|t| t.value).collect();
    let mut rests_on = table.texts("rests_on", problems);
    // `"*"` alone: any part may carry it, which is what an empty list means from here on.
    if rests_on.len() == 1 {
        rests_on.retain(|text| text.value != "*");
    }
    let refs = SlotRefs {
        rests_on,
        may_touch: table.texts("may_touch", problems),
        host: table.text("host", problems),
    };
    let span = table.span;
    table.finish(of, &layouts::SLOT, problems);
    let slot = Slot {
        name: name?.value,
        kinds: kinds.unwrap_or_default(),
        least,
        most,
        put_on: put_on.unwrap_or(PutOn::FromAbove),
        as_drawn,
        turned,
        brought,
        still,
        rests_on: Vec::new(),
        may_touch: Vec::new(),
        host: None,
        order: 0,
        span,
    };
    Some((slot, refs))
}

fn kinds_of(table: &Table<'_, '_>, problems: &mut Problems) -> Option<Vec<&'static str>> {
    table.needed("kinds", "a slot", problems)?;
    let texts = table.texts("kinds", problems);
    let mut found = Vec::new();
    for text in &texts {
        match kinds::find(&text.value) {
            Some(kind) => found.push(kind.name),
            None => problems.push(kind_unknown(text, suggest_kind(&text.value))),
        }
    }
    if texts.is_empty() {
        table.needed("kinds", "a slot", problems)?.refuse("a list of kinds", problems)?;
    }
    (found.len() == texts.len()).then_some(found)
}

fn counts(table: &Table<'_, '_>, problems: &mut Problems) -> (u8, u8) {
    let Some(entry) = table.get("count") else { return (1, 1) };
    let counts: Vec<u32> = entry.items().iter().filter_map(|i| i.count(9, problems)).collect();
    match counts[..] {
        [least, most] if least <= most && most > 0 => (least as u8, most as u8),
        _ => {
            problems.push(
                Problem::error("count-misread", "a count is two whole numbers, least and most")
                    .at(entry.span, "")
                    .note("expected [0, 3]: from none to three")
                    .mend("write count = [least, most]"),
            );
            (1, 1)
        }
    }
}

fn way(table: &Table<'_, '_>, problems: &mut Problems) -> (bool, bool) {
    match table.text("way", problems) {
        None => (true, false),
        Some(text) => match text.value.as_str() {
            "as-drawn" => (true, false),
            "turned" => (false, true),
            "either" => (true, true),
            _ => {
                unknown(&text, &WAYS, problems);
                (true, false)
            }
        },
    }
}

fn unknown(text: &Text, choices: &[&'static str], problems: &mut Problems) {
    let near = suggest(&text.value, choices.iter().copied());
    let mend = near.map_or("write one of these".to_string(), |n| format!("write \"{n}\""));
    problems.push(
        Problem::error("choice-unknown", format!("\"{}\" is no choice here", text.value))
            .at(text.span, "")
            .note(format!("expected one of: {}", choices.join(", ")))
            .mend(mend),
    );
}

fn put_on(table: &Table<'_, '_>, problems: &mut Problems) -> Option<PutOn> {
    let into = into(table, problems);
    let by_hand = table.get("by_hand").and_then(|entry| length(&entry, problems)).unwrap_or(Length::ZERO);
    let (depth_least, depth_most) = match table.get("depth") {
        Some(entry) if entry.items().len() == 2 && says_none(&entry.items()[1]) => {
            (length(&entry.items()[0], problems).unwrap_or(Length::ZERO), None)
        }
        Some(entry) if entry.items().len() == 1 => (length(&entry, problems).unwrap_or(Length::ZERO), None),
        Some(entry) => two_lengths(&entry, problems).map_or((Length::ZERO, None), |(l, m)| (l, Some(m))),
        None => (Length::ZERO, None),
    };
    let text = table.needed_text("put_on", "a slot", problems)?;
    match text.value.as_str() {
        "fixed" => Some(PutOn::Fixed),
        "from-above" => Some(PutOn::FromAbove),
        "from-below" => Some(PutOn::FromBelow),
        "threaded" => Some(PutOn::Threaded),
        "pressed" => Some(PutOn::Pressed),
        "loose" => Some(PutOn::Loose),
        "chosen" => Some(PutOn::Chosen(Choice { into, depth_least, depth_most, by_hand })),
        _ => {
            unknown(&text, &PUT_ON, problems);
            None
        }
    }
}

fn into(table: &Table<'_, '_>, problems: &mut Problems) -> Option<End> {
    let text = table.text("into", problems)?;
    match text.value.as_str() {
        "top" => Some(End::Top),
        "bottom" => Some(End::Bottom),
        _ => {
            unknown(&text, &INTO, problems);
            None
        }
    }
}
