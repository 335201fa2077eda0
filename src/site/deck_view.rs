//! What goes on a deck, on the deck's own page: each guide's row for it. Must not know how that was found out.

use serde::Serialize;

use super::links::guide_path;
use super::numbers::verdict_word;
use super::pages::Book;
use crate::guide::DeckRow;
use crate::solve::Verdict;

/// The guides of one fork that go on the deck, or may.
#[derive(Serialize)]
pub(super) struct OnDeckView<'a> {
    fork: &'a str,
    rows: Vec<RowView<'a>>,
}

#[derive(Serialize)]
struct RowView<'a> {
    system: &'a str,
    href: String,
    verdict: &'static str,
    words: &'a str,
}

/// Where an answer hangs on a revision, the worst of its rows.
pub(super) fn on_deck<'a>(book: &Book<'a>, part_id: &str) -> Vec<OnDeckView<'a>> {
    let forks = book.input.guides.chunk_by(|a, b| a.fork_id == b.fork_id);
    let of_fork = |guides: &'a [crate::guide::Guide]| {
        let rows = guides.iter().filter_map(|guide| {
            let rows = guide.answers.iter().flat_map(|answer| &answer.decks);
            let here = rows.filter(|row: &&DeckRow| row.part_id == part_id);
            let worst = here.max_by_key(|row| row.verdict).filter(|row| row.verdict != Verdict::No)?;
            Some(RowView {
                system: &guide.system_name,
                href: guide_path(&guide.fork_id, &guide.system_id),
                verdict: verdict_word(worst.verdict),
                words: &worst.words,
            })
        });
        let rows: Vec<RowView> = rows.collect();
        (!rows.is_empty()).then(|| OnDeckView { fork: &guides[0].fork_name, rows })
    };
    forks.filter_map(of_fork).collect()
}
