//! The checks of an answer as a page shows them, by what they protect. Must not know a template, nor how a check is made.

use serde::Serialize;

use super::numbers::outcome_word;
use crate::guide::{GuideAnswer, NumberRow};

/// Checks that protect the same; the theme has the words for `group`.
#[derive(Serialize)]
pub(super) struct NumberGroup<'a> {
    group: &'static str,
    rows: Vec<NumberView<'a>>,
}

#[derive(Serialize)]
struct NumberView<'a> {
    check: &'static str,
    what: &'a str,
    value: &'a str,
    limit: &'a str,
    outcome: &'static str,
    outcome_words: &'a str,
    assumes: &'a [String],
    tried: Option<&'a str>,
}

/// In the order in which they are asked about; what is not known here stands last.
const GROUPS: [(&str, &[&str]); 5] = [
    (
        "preload",
        &["closing-gap", "load-path", "ring-closing", "thread-", "bottoming", "insertion", "key-way"],
    ),
    (
        "hold",
        &["grip-length", "pinch-support", "clamp-closing", "slit", "kept-in-place", "size", "stand-out"],
    ),
    ("play", &["sleeve-", "press-", "chosen-height"]),
    ("stand", &["lands", "rests-on", "seat-width"]),
    ("turn", &["still-clearance"]),
];

pub(super) fn number_groups(answer: &GuideAnswer) -> Vec<NumberGroup<'_>> {
    let of = |check: &str| {
        let begins = |(_, begins): &&(&str, &[&str])| begins.iter().any(|b| check.starts_with(b));
        GROUPS.iter().find(begins).map_or("other", |(group, _)| group)
    };
    let groups = GROUPS.iter().map(|(group, _)| *group).chain(["other"]);
    let rows = |group| answer.numbers.iter().filter(move |row| of(row.check) == group).map(NumberView::of);
    let all = groups.map(|group| NumberGroup { group, rows: rows(group).collect() });
    all.filter(|group| !group.rows.is_empty()).collect()
}

impl<'b> NumberView<'b> {
    fn of(row: &'b NumberRow) -> NumberView<'b> {
        NumberView {
            check: row.check,
            what: &row.what,
            value: &row.value,
            limit: &row.limit,
            outcome: outcome_word(row.outcome),
            outcome_words: &row.outcome_words,
            assumes: &row.assumes,
            tried: row.tried.as_deref(),
        }
    }
}
