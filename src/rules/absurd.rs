//! What no rule file means: a slot inside itself, two slots each on the other, more slots or items than can be told
//! apart further on. Must not know any kind of part.

use super::Slot;
use super::lists::Gathered;
use super::slots::SlotRefs;
use crate::base::{Problem, Problems, Span, Text};

/// Sets of slots are kept in one machine word further on.
pub const MOST_SLOTS: usize = 64;
/// Items of all slots together: they are numbered by one byte further on.
pub const MOST_ITEMS: usize = 250;
/// Entries of one list: they are numbered by two bytes further on, and nobody reads so many.
const MOST_ENTRIES: usize = 1_000;

/// Each slot with the names it mentions, in any order.
pub fn check_slots(written: &[(Slot, SlotRefs)], problems: &mut Problems) {
    too_many(written, problems);
    for (index, (slot, refs)) in written.iter().enumerate() {
        if let Some(host) = refs.host.as_ref().filter(|host| host.value == slot.name) {
            problems.push(
                Problem::error("host-itself", format!("the slot \"{}\" is its own host", slot.name))
                    .at(host.span, "")
                    .note("a host is the part that this one is set in, or drops with: bars for a sleeve in them")
                    .mend("write the slot of that part, or take the line out"),
            );
        }
        for (other, others) in &written[index + 1..] {
            let rest = (names(&refs.rests_on, other), names(&others.rests_on, slot));
            each_on_the_other((slot, other), rest, "rests on", "rest on", problems);
            let host = (names(refs.host.as_slice(), other), names(others.host.as_slice(), slot));
            each_on_the_other((slot, other), host, "stands in", "stand in", problems);
        }
    }
}

/// Where the slot is named among these.
fn names(texts: &[Text], slot: &Slot) -> Option<Span> {
    texts.iter().find(|text| text.value == slot.name).map(|text| text.span)
}

fn each_on_the_other(
    (one, other): (&Slot, &Slot),
    there: (Option<Span>, Option<Span>),
    label: &str,
    verb: &str,
    problems: &mut Problems,
) {
    let (Some(first), Some(second)) = there else { return };
    let (a, b) = (&one.name, &other.name);
    let (earlier, later) = if one.order < other.order { (a, b) } else { (b, a) };
    problems.push(
        Problem::error("slots-in-circle", format!("the slots \"{a}\" and \"{b}\" {verb} each other"))
            .at(first, format!("{a} {label} {b}"))
            .at(second, format!("{b} {label} {a}"))
            .note(format!("{earlier} goes on before {later}, so that {later} is not there yet"))
            .mend(format!("take \"{later}\" out of the entry of {earlier}, or list {later} first")),
    );
}

fn too_many(written: &[(Slot, SlotRefs)], problems: &mut Problems) {
    let mut slots: Vec<&Slot> = written.iter().map(|(slot, _)| slot).collect();
    slots.sort_by_key(|slot| slot.order);
    if let Some(slot) = slots.get(MOST_SLOTS) {
        problems.push(
            Problem::error("slots-many", format!("there are {} slots", slots.len()))
                .at(slot.span, format!("number {}", MOST_SLOTS + 1))
                .note(format!("a system has at most {MOST_SLOTS}, those of its headset among them"))
                .mend("give slots of like parts one entry with a count"),
        );
        return;
    }
    let mut items = 0;
    for slot in slots {
        items += usize::from(slot.most);
        if items > MOST_ITEMS {
            problems.push(
                Problem::error("slots-many", format!("the slots up to here may hold {items} parts"))
                    .at(slot.span, "")
                    .note(format!("a system has at most {MOST_ITEMS} parts in all its slots together"))
                    .mend("write smaller counts"),
            );
            return;
        }
    }
}

/// No list is so long that its entries cannot be numbered.
pub fn check_lists(all: &Gathered, span: Span, problems: &mut Problems) {
    let lists = [
        ("sleeve", all.sleeves.len(), all.sleeves.get(MOST_ENTRIES).map(|e| e.span)),
        ("press", all.presses.len(), all.presses.get(MOST_ENTRIES).map(|e| e.span)),
        ("thread", all.threads.len(), all.threads.get(MOST_ENTRIES).map(|e| e.span)),
        ("grip", all.grips.len(), all.grips.get(MOST_ENTRIES).map(|e| e.span)),
        ("slit", all.slits.len(), all.slits.get(MOST_ENTRIES).map(|e| e.span)),
        ("stand_out", all.stand_outs.len(), all.stand_outs.get(MOST_ENTRIES).map(|e| e.span)),
        ("size", all.sizes.len(), all.sizes.get(MOST_ENTRIES).map(|e| e.span)),
        ("path", all.path.len(), None),
    ];
    for (name, count, at) in lists.into_iter().filter(|(_, count, _)| *count > MOST_ENTRIES) {
        problems.push(
            Problem::error("entries-many", format!("there are {count} entries [[{name}]]"))
                .at(at.unwrap_or(span), "")
                .note(format!("a list has at most {MOST_ENTRIES}"))
                .mend("take out what is there twice"),
        );
    }
}
