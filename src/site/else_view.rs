//! What else than the plan of a guide would do: other decks, bars and parts, row by row. Must not word anything.

use serde::Serialize;

use super::index_view::Named;
use super::links::{for_bars_path, guide_path};
use super::numbers::{DEPENDS, verdict_word};
use super::pages::Book;
use crate::guide::{AlternativeRow, BarsRow, DeckRow, Guide, OtherSteps};
use crate::solve::Verdict;

#[derive(Serialize)]
pub(super) struct DeckView<'a> {
    key: &'a str,
    part: Named<'a>,
    head_tube: &'a str,
    verdict: &'static str,
    words: &'a str,
    steps: Vec<OtherStepsView<'a>>,
    /// Where nothing goes on it: guides of forks that go on it with the same system.
    goes_on: Vec<Named<'a>>,
}

#[derive(Serialize)]
pub(super) struct OtherStepsView<'a> {
    with: Option<&'a str>,
    lines: &'a [String],
}

impl<'b> OtherStepsView<'b> {
    pub fn of(steps: &'b OtherSteps) -> OtherStepsView<'b> {
        OtherStepsView { with: steps.with.as_deref(), lines: &steps.lines }
    }
}

#[derive(Serialize)]
pub(super) struct BarsView<'a> {
    part: Named<'a>,
    verdict: &'static str,
    words: &'a str,
    /// Their own page.
    href: Option<String>,
}

#[derive(Serialize)]
pub(super) struct AlternativeView<'a> {
    slot: &'a str,
    part: Named<'a>,
    verdict: &'static str,
    text: &'a str,
}

/// More forks for a deck are not listed: the reader wants one.
const MOST_FORKS: usize = 3;

impl<'b> DeckView<'b> {
    pub fn of(book: &'b Book<'b>, guide: &'b Guide, row: &'b DeckRow, part: Named<'b>) -> DeckView<'b> {
        let (verdict, key) = (verdict_word(row.verdict), row.key.as_str());
        let goes_on = if row.verdict == Verdict::No { forks_on(book, guide, key) } else { vec![] };
        let steps = row.steps.iter().map(OtherStepsView::of).collect();
        DeckView { key, part, head_tube: &row.head_tube, verdict, words: &row.words, steps, goes_on }
    }
}

fn forks_on<'b>(book: &'b Book<'b>, guide: &'b Guide, deck: &str) -> Vec<Named<'b>> {
    let goes = |row: &DeckRow| row.key == deck && row.verdict == Verdict::Goes;
    let goes = |other: &&Guide| other.answers.iter().all(|answer| answer.decks.iter().any(goes));
    let same = book.input.guides.iter().filter(|other| other.system_id == guide.system_id);
    let named = |other: &'b Guide| Named {
        name: &other.fork_name,
        href: Some(guide_path(&other.fork_id, &other.system_id)),
    };
    same.filter(goes).take(MOST_FORKS).map(named).collect()
}

impl<'b> BarsView<'b> {
    pub fn of(book: &'b Book<'b>, guide: &'b Guide, row: &'b BarsRow) -> BarsView<'b> {
        let page = row.page.as_ref().map(|page| for_bars_path(&guide.fork_id, &guide.system_id, page));
        let part = Named { name: &row.name, href: book.links.article(&row.part_id) };
        let verdict = if row.depends { DEPENDS } else { verdict_word(row.verdict) };
        BarsView { part, verdict, words: &row.words, href: page }
    }
}

impl<'b> AlternativeView<'b> {
    pub fn of(row: &'b AlternativeRow, named: impl Fn(&str, &'b str) -> Named<'b>) -> AlternativeView<'b> {
        AlternativeView {
            slot: &row.slot,
            part: named(&row.part_id, &row.name),
            verdict: verdict_word(row.verdict),
            text: &row.text,
        }
    }
}
