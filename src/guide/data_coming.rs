//! Rows of decks, and of coming from another system, as data. Must not word anything: the words are the guide's.

use serde_json::{Value as Json, json};

use super::data_words::of_verdict;
use super::page::{ComingRow, DeckRow, OtherSteps, OwnDeckRow, PartLine};

pub fn decks(rows: &[DeckRow]) -> Json {
    let row = |d: &DeckRow| {
        let steps: Vec<Json> = d.steps.iter().map(other_steps).collect();
        json!({ "deck": d.part_id, "verdict": of_verdict(d.verdict), "text": d.words, "steps": steps })
    };
    Json::Array(rows.iter().map(row).collect())
}

fn other_steps(steps: &OtherSteps) -> Json {
    json!({ "with": steps.with, "lines": steps.lines })
}

pub fn coming(rows: &[ComingRow]) -> Json {
    let lines = |lines: &[PartLine]| -> Vec<Json> {
        lines.iter().map(|l| json!({ "id": l.part_id, "text": l.text })).collect()
    };
    let own_deck = |own: &OwnDeckRow| {
        let buy: Vec<Json> = own.buy.iter().map(|(id, count)| json!({ "id": id, "count": count })).collect();
        let steps: Vec<Json> = own.steps.iter().map(other_steps).collect();
        json!({ "decks": own.decks, "spend": own.spend, "buy": buy, "text": own.text, "steps": steps })
    };
    let row = |row: &ComingRow| {
        let buy: Vec<Json> = row.need.iter().map(|n| json!({ "id": n.id, "count": n.count })).collect();
        json!({
            "system": row.system_id, "fork_revision": row.revision,
            "take_off": lines(&row.take_off), "keep": lines(&row.keep), "add": lines(&row.add),
            "buy": buy, "spend": row.spend, "new_deck": row.new_deck, "tools": row.tools, "time": row.minutes,
            "undo": row.undo, "steps": row.build, "on": row.brought,
            "own_deck": row.own_deck.iter().map(own_deck).collect::<Vec<_>>(),
            "other_decks": row.other_decks.iter().map(own_deck).collect::<Vec<_>>(),
        })
    };
    Json::Array(rows.iter().map(row).collect())
}
