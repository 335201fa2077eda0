//! The demo book with some of its text written anew, and stacks of its parts put together by name. Knows no expected value.
#![allow(dead_code, reason = "each proof uses its own share of this")]

use std::path::Path;

use benchleaf::assembly::{Outcome, Pick, Stack, assemble};
use benchleaf::solve::ShopStrengths;

use super::book::{Book, files_in};

/// File, what stands there, what stands there instead.
pub type Change<'c> = (&'c str, &'c str, &'c str);

pub fn book(changes: &[Change<'_>]) -> Book {
    Book::read(&files(changes))
}

pub fn files(changes: &[Change<'_>]) -> benchleaf::base::BookFiles {
    let mut files = files_in(Path::new(env!("CARGO_MANIFEST_DIR")), &["content", "parts"]);
    for (path, from, to) in changes {
        let text = String::from_utf8(files[*path].clone()).unwrap();
        assert!(text.contains(from), "{path} has no {from}");
        files.insert((*path).to_string(), text.replacen(from, to, 1).into_bytes());
    }
    files
}

/// Of one part: the text after its id up to the next part, with this line written anew.
pub fn of_part(path: &str, part: &str, from: &str, to: &str) -> (String, String, String) {
    let text = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap();
    let at = text.find(&format!("id = \"{part}\"")).unwrap_or_else(|| panic!("no part {part}"));
    let end = text[at..].find("\n[[part]]").map_or(text.len(), |end| at + end);
    let whole = &text[at..end];
    assert!(whole.contains(from), "{part} has no {from}");
    (path.to_string(), whole.to_string(), whole.replacen(from, to, 1))
}

/// The same, ready for [`book`].
pub fn as_changes(changes: &[(String, String, String)]) -> Vec<Change<'_>> {
    changes.iter().map(|(path, from, to)| (path.as_str(), from.as_str(), to.as_str())).collect()
}

/// Slots and parts in any order; a `/` before a part turns it over.
pub fn stack(book: &Book, system: &str, parts: &[(&str, &str)]) -> Stack {
    let strengths = ShopStrengths(&book.shop);
    let system = book.system(system);
    let rule = &book.rules[system];
    let pick = |&(slot, part): &(&str, &str)| Pick {
        slot: rule.find(slot).unwrap_or_else(|| panic!("no slot {slot}")),
        variant: book.variant(part.trim_start_matches('/')),
        turned: part.starts_with('/'),
    };
    let mut picks: Vec<Pick> = parts.iter().map(pick).collect();
    picks.sort_by_key(|p| p.slot);
    assemble(book.setting(system, &strengths), &picks)
}

/// Word, outcome and figure in thousandths of a millimetre, least and most.
pub type NotPassed = (&'static str, Outcome, Option<(i64, i64)>);

pub fn not_passed(stack: &Stack) -> Vec<NotPassed> {
    let failed = stack.checks.iter().filter(|c| c.outcome != Outcome::Pass);
    let figure = |v: &benchleaf::assembly::Value| (v.least / 1_000, v.most / 1_000);
    failed.map(|c| (c.demand.word(), c.outcome, c.value.as_ref().map(figure))).collect()
}

/// The worst outcome of this check.
pub fn outcome(stack: &Stack, word: &str) -> Option<Outcome> {
    stack.checks.iter().filter(|c| c.demand.word() == word).map(|c| c.outcome).max()
}

/// As it comes in its box, on the deck that the guide takes.
pub const HERON: [(&str, &str); 13] = [
    ("fork", "fork-heron"),
    ("crown-race", "race-30"),
    ("lower-bearing", "/bearing-45"),
    ("head-tube", "deck-curlew"),
    ("upper-bearing", "bearing-45"),
    ("ring", "ring-standard"),
    ("top-cap", "top-cap-standard"),
    ("shim", "shim-alder"),
    ("star-nut", "star-nut-22"),
    ("cap", "cap-pan"),
    ("bolt", "bolt-m8-40"),
    ("bars", "bars-broad"),
    ("clamp", "clamp-hatch"),
];

pub const TERN: [(&str, &str); 12] = [
    ("fork", "fork-tern"),
    ("crown-race", "race-30"),
    ("lower-bearing", "/bearing-45"),
    ("head-tube", "deck-curlew"),
    ("upper-bearing", "bearing-45"),
    ("ring", "ring-standard"),
    ("top-cap", "top-cap-standard"),
    ("star-nut", "star-nut-22"),
    ("clamp", "clamp-sluice"),
    ("cap", "cap-pan"),
    ("bolt", "bolt-m8-40"),
    ("bars", "bars-fen"),
];

/// Egret in a clamp with a shelf, on bars that are slit and bridged by a sleeve.
pub const EGRET: [(&str, &str); 14] = [
    ("fork", "fork-egret"),
    ("crown-race", "race-30"),
    ("lower-bearing", "/bearing-45"),
    ("head-tube", "deck-plover"),
    ("upper-bearing", "bearing-45"),
    ("ring", "ring-slim"),
    ("top-cap", "top-cap-slim"),
    ("spacer", "spacer-25-2"),
    ("spacer", "spacer-25-5"),
    ("clamp", "clamp-penstock"),
    ("cap", "cap-dish"),
    ("bolt", "bolt-m8-35"),
    ("bars", "bars-mere"),
    ("bar-sleeve", "sleeve-28"),
];

pub const DIPPER_BELOW: [(&str, &str); 11] = [
    ("fork", "fork-dipper"),
    ("crown-race", "race-30"),
    ("lower-bearing", "/bearing-45"),
    ("head-tube", "deck-dunlin"),
    ("upper-bearing", "bearing-45-flat"),
    ("ring", "ring-standard"),
    ("top-cap", "top-cap-hub"),
    ("bars", "bars-mere"),
    ("star-nut", "star-nut-28"),
    ("bolt", "/bolt-m8-200"),
    ("clamp", "clamp-cotter-short"),
];
