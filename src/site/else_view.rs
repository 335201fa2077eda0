//! What else than the plan of a guide would do: other decks, bars and parts, row by row. Must not word anything.

use serde::Serialize;

use super::index_view::Named;
use super::links::for_bars_path;
use super::numbers::verdict_word;
use super::pages::Book;
use crate::guide::{AlternativeRow, BarsRow, DeckRow, Guide};

#[derive(Serialize)]
pub(super) struct DeckView<'a> {
    key: &'a str,
    part: Named<'a>,
    head_tube: &'a str,
    verdict: &'static str,
    words: &'a str,
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

impl<'b> DeckView<'b> {
    pub fn of(row: &'b DeckRow, part: Named<'b>) -> DeckView<'b> {
        let verdict = verdict_word(row.verdict);
        DeckView { key: &row.key, part, head_tube: &row.head_tube, verdict, words: &row.words }
    }
}

impl<'b> BarsView<'b> {
    pub fn of(book: &'b Book<'b>, guide: &'b Guide, row: &'b BarsRow) -> BarsView<'b> {
        let page = row.page.as_ref().map(|page| for_bars_path(&guide.fork_id, &guide.system_id, page));
        let part = Named { name: &row.name, href: book.links.article(&row.part_id) };
        BarsView { part, verdict: verdict_word(row.verdict), words: &row.words, href: page }
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
