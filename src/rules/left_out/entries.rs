//! Entries that carry a check: each is there, or says "none". Must not know what stands in the other lists.

use super::super::{PutOn, Slot};
use super::Whole;
use crate::base::{Entry, Problem, Problems, Span, Table};

/// `"none"`: said in so many words that nothing is checked.
pub fn says_none(entry: &Entry<'_, '_>) -> bool {
    entry.size(&mut Problems::default()).is_some_and(|text| text.value == "none")
}

pub fn check(whole: &Whole<'_, '_, '_>, problems: &mut Problems) {
    for table in whole.tables {
        for sleeve in table.tables("sleeve", problems) {
            let of = format!("the sleeve of {}", word(&sleeve, "outer"));
            let lost = "how far the two must reach over each other";
            needs(&sleeve, "overlap", &of, (lost, "\"28\""), problems);
        }
        for thread in table.tables("thread", problems) {
            let of = format!("the thread of {}", word(&thread, "male"));
            let lost = "how far the end must stay from what it would run into";
            needs(&thread, "spare", &of, (lost, "\"1\""), problems);
        }
        for step in table.tables("step", problems) {
            if step.get("slot").is_some() {
                let of = format!("the step {}", word(&step, "id"));
                reach(&step, &of, problems);
            }
        }
        for slit in table.tables("slit", problems) {
            let of = format!("the slit rule of {}", word(&slit, "slot"));
            let lost = "how far a slit may show above the clamp";
            needs(&slit, "bare", &of, (lost, "\"25\""), problems);
        }
        for slot in table.tables("slot", problems) {
            let name = word(&slot, "name");
            if let Some(its) = whole.slots.iter().find(|s| s.name == name) {
                slot_entries(&slot, its, problems);
            }
        }
    }
}

/// The text of a key, or the first of its list.
fn word(table: &Table<'_, '_>, key: &'static str) -> String {
    table.texts(key, &mut Problems::default()).into_iter().next().map(|t| t.value).unwrap_or_default()
}

/// `lost` says what is not checked without the key; then an example of its value.
fn needs(
    table: &Table<'_, '_>,
    key: &'static str,
    of: &str,
    (lost, like): (&str, &str),
    problems: &mut Problems,
) {
    if table.get(key).is_some() {
        return;
    }
    let mend = format!("add {key} = {like}, a length in mm, or {key} = \"none\" to leave it unchecked");
    problems.push(silent(key, of, lost, table.span).mend(mend));
}

fn silent(key: &str, of: &str, lost: &str, at: Span) -> Problem {
    Problem::error("entry-left-out", format!("{of} leaves {key} out"))
        .at(at, format!("{key} is missing"))
        .note(format!("{key}: {lost}; what a rule leaves out nobody would check"))
}

fn reach(step: &Table<'_, '_>, of: &str, problems: &mut Problems) {
    if step.get("reach").is_none() {
        let lost = "from where hand and key come";
        problems
            .push(silent("reach", of, lost, step.span).mend("add reach = \"above\", \"below\" or \"side\""));
    }
}

/// One value alone does not say whether a most was forgotten.
fn ends(entry: &Entry<'_, '_>, of: &str, problems: &mut Problems) {
    if entry.items().len() == 2 {
        return;
    }
    problems.push(
        Problem::error("entry-left-out", format!("{of} has a least and says no most"))
            .at(entry.span, "the most is missing")
            .note("what a rule leaves out nobody would check")
            .mend("write depth = [\"least\", \"most\"], or [\"least\", \"none\"] for no most"),
    );
}

fn slot_entries(table: &Table<'_, '_>, slot: &Slot, problems: &mut Problems) {
    let of = format!("the slot {}", slot.name);
    let hosted = slot.host.is_some() && matches!(slot.put_on, PutOn::Chosen(_));
    if hosted {
        if table.get("into").is_none() {
            let lost = "by which end it goes into its host";
            problems.push(silent("into", &of, lost, table.span).mend("add into = \"top\" or \"bottom\""));
        }
        match table.get("depth") {
            Some(depth) => ends(&depth, &format!("the depth of {}", slot.name), problems),
            None => {
                let lost = "how deep inside its host's end it may be set";
                let mend = "add depth = [least, most], or [\"0\", \"none\"] for any depth";
                problems.push(silent("depth", &of, lost, table.span).mend(mend));
            }
        }
        if table.get("by_hand").is_none() {
            let lost = "how far off the hand may be that sets it";
            let mend = "add by_hand = \"0.5\", a length in mm, or by_hand = \"0\" where a stop sets it";
            problems.push(silent("by_hand", &of, lost, table.span).mend(mend));
        }
    }
    let lands = !hosted && !matches!(slot.put_on, PutOn::Fixed | PutOn::Loose);
    if lands && table.get("rests_on").is_none_or(|e| e.items().is_empty()) {
        let lost = "the slots whose parts may carry it";
        let mend = "add rests_on = [\"SLOT\", …], or [\"*\"] where any part may carry it";
        problems.push(silent("rests_on", &of, lost, table.span).mend(mend));
    }
}
