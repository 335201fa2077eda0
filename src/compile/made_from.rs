//! What the answer of a pairing is made from, as one number: two that are equal have the same answer.
//!
//! Knows only which of a book's files an answer reads, never how it is found. What only pages say (names, sentences, prose) is
//! left out; of parts those are in it for whose kind the system has a place. In an answer parts stand by their numbers, so the
//! list of all ids is in it, too.

use super::book::Book;
use crate::base::BookFiles;
use crate::catalogue::PartIx;
use blake3::{Hash, Hasher, hash};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use toml::{Table, Value};

const PARTS: &str = "parts/";
const SYSTEMS: &str = "content/systems/";
const HEADSETS: &str = "content/headsets/";
const SHOP: &str = "content/shop.toml";

/// Said on pages alone.
const TEXTS_OF_PARTS: [&str; 7] = ["name", "about", "maker", "colours", "tell", "since", "by"];
const TEXTS_OF_RULES: [&str; 8] = ["short", "summary", "say", "feel", "undo", "why", "lost", "view"];

/// Equal where everything is that an answer is made from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MadeFrom([u8; 32]);

/// The book's files, taken apart once for all its pairings.
pub struct Sorted {
    /// What every answer reads: shop, boxes, stock, trials, headsets, and the ids.
    all: Hash,
    /// By system.
    rules: BTreeMap<String, Hash>,
    /// By part id: the kind as which it stands in a rule, and its text.
    parts: BTreeMap<String, (String, Hash)>,
}

impl Sorted {
    pub fn of(book: &Book, files: &BookFiles) -> Sorted {
        let mut sorted = Sorted { all: hash(b""), rules: BTreeMap::new(), parts: BTreeMap::new() };
        let mut all = ids(book);
        for (path, bytes) in files {
            let text = String::from_utf8_lossy(bytes);
            let table = path.ends_with(".toml").then(|| text.parse::<Table>().ok()).flatten();
            match table {
                Some(table) if path.starts_with(PARTS) => all.push_str(&sorted.parts_of(table)),
                Some(table) if path.starts_with(SYSTEMS) => {
                    let id = path[SYSTEMS.len()..].trim_end_matches(".toml");
                    // A change that one system allows makes a part of its own for all.
                    let changes = table.get("change").map(ToString::to_string);
                    all.push_str(&changes.unwrap_or_default());
                    sorted.rules.insert(id.to_owned(), hash(rule(table).as_bytes()));
                }
                Some(table) if path.starts_with(HEADSETS) => {
                    all.push_str(path);
                    all.push_str(&rule(table));
                }
                Some(table) if path == SHOP => all.push_str(&table.to_string()),
                // Stock lists, and whatever could not be told from one.
                _ if path.starts_with(PARTS) && (path.ends_with(".csv") || path.ends_with(".toml")) => {
                    all.push_str(path);
                    all.push_str(&text);
                }
                _ => {}
            }
        }
        sorted.all = hash(all.as_bytes());
        sorted
    }

    /// Takes the parts in; what else stands in the file.
    fn parts_of(&mut self, mut table: Table) -> String {
        let parts = match table.remove("part") {
            Some(Value::Array(parts)) => parts,
            _ => vec![],
        };
        for mut part in parts {
            blank(&mut part, &TEXTS_OF_PARTS);
            let Value::Table(part) = part else { continue };
            let text = |key: &str| part.get(key).and_then(Value::as_str).unwrap_or_default();
            let kind = part.get("stands_as").and_then(Value::as_str).unwrap_or(text("kind"));
            self.parts.insert(text("id").to_owned(), (kind.to_owned(), hash(part.to_string().as_bytes())));
        }
        let mut rest = Value::Table(table);
        blank(&mut rest, &TEXTS_OF_PARTS);
        rest.to_string()
    }

    pub fn pairing(&self, book: &Book, fork: PartIx, system: usize) -> MadeFrom {
        let rule = &book.rules[system];
        let fork = &book.catalogue.part(fork);
        let has_place = |kind: &str| rule.slots.iter().any(|slot| slot.kinds.contains(&kind));
        let parts = self.parts.iter().filter(|(id, (kind, _))| {
            // Of all forks its own alone.
            if **kind == *fork.kind { **id == fork.id } else { has_place(kind) }
        });
        let mut from = Hasher::new();
        let texts = [&self.all].into_iter().chain(self.rules.get(&rule.id));
        for text in texts.chain(parts.map(|(_, (_, text))| text)) {
            from.update(text.as_bytes());
        }
        MadeFrom(*from.finalize().as_bytes())
    }
}

/// Parts, revisions and boxes in the order of their numbers.
fn ids(book: &Book) -> String {
    let catalogue = &book.catalogue;
    let revision = |part: &crate::catalogue::Part| -> String {
        let ids = part.variants.iter().map(|&v| catalogue.variant(v).revision.as_ref().map_or("", |r| &r.id));
        ids.map(|id| format!(":{id}")).collect()
    };
    let parts = catalogue.parts.iter().map(|p| format!("{}{}\n", p.id, revision(p)));
    let boxes = catalogue.boxes.iter().map(|b| format!("{}\n", b.id));
    let rules = book.rules.iter().map(|r| format!("{}\n", r.id));
    parts.chain(boxes).chain(rules).collect()
}

/// A rule without its sentences. The name of a slot is no sentence.
fn rule(mut table: Table) -> String {
    table.remove("name");
    let mut rule = Value::Table(table);
    blank(&mut rule, &TEXTS_OF_RULES);
    rule.to_string()
}

/// Leaves out what stands under these keys, however deep; that it is there stays.
fn blank(value: &mut Value, keys: &[&str]) {
    match value {
        Value::Table(table) => {
            for (key, value) in table.iter_mut() {
                if keys.contains(&key.as_str()) { *value = Value::Boolean(true) } else { blank(value, keys) }
            }
        }
        Value::Array(values) => values.iter_mut().for_each(|value| blank(value, keys)),
        _ => {}
    }
}
