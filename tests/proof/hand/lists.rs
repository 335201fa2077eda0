//! Plans written down, one a line: the system, then each slot with its part in drop order, `^` where it stands turned. Must not know
//! whether they go.

use crate::book::Book;
use benchleaf::assembly::Pick;

pub const PLANS: &str = include_str!("plans.txt");

pub struct Plan {
    pub name: String,
    pub system: usize,
    pub picks: Vec<Pick>,
}

pub fn plans(book: &Book) -> Vec<Plan> {
    plans_of(book, PLANS)
}

pub fn plans_of(book: &Book, lines: &str) -> Vec<Plan> {
    lines.lines().map(|line| plan(book, line)).collect()
}

fn plan(book: &Book, line: &str) -> Plan {
    let mut words = line.split_whitespace();
    let system = book.system(words.next().expect("a system"));
    let rule = &book.rules[system];
    let mut picks: Vec<Pick> = words
        .map(|word| {
            let (slot, part) = word.split_once('=').expect("slot=part");
            let (slot, turned) = slot.strip_suffix('^').map_or((slot, false), |slot| (slot, true));
            let slot = rule.find(slot).unwrap_or_else(|| panic!("no slot {slot}"));
            let (part, revision) = part.split_once('/').unwrap_or((part, "0"));
            let part = book.catalogue.find(part).unwrap_or_else(|| panic!("no part {part}"));
            let variant = book.catalogue.part(part).variants[revision.parse::<usize>().expect("a number")];
            Pick { slot, variant, turned }
        })
        .collect();
    picks.sort_by_key(|p| p.slot);
    Plan { name: line.to_string(), system, picks }
}
