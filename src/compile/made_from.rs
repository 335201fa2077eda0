//! What the answer of a pairing is made from, piece by piece and as one number: two that are equal have the same answer.
//!
//! Knows only which of a book's files an answer reads, never how it is found. What only pages say (names, sentences, prose) is
//! left out; of parts those are in it for whose kind the system has a place. In an answer parts stand by their numbers, so the
//! list of all ids is in it, too. Of the stock list each row counts for its part alone, as the catalogue has read it.

use super::book::Book;
use crate::base::BookFiles;
use crate::catalogue::PartIx;
use blake3::{Hasher, hash};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, HashSet};
use toml::{Table, Value};

const PARTS: &str = "parts/";
const SYSTEMS: &str = "content/systems/";
const HEADSETS: &str = "content/headsets/";
const SHOP: &str = "content/shop.toml";
const STOCK: &str = "parts/stock.csv";

/// Said on pages alone.
const TEXTS_OF_PARTS: [&str; 7] = ["name", "about", "maker", "colours", "tell", "since", "by"];
const TEXTS_OF_RULES: [&str; 8] = ["short", "summary", "say", "feel", "undo", "why", "lost", "view"];

const TEXTS_OF_SHOP: [&str; 4] = ["name", "town", "edition", "default_theme"];

/// Equal where everything is that an answer is made from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MadeFrom([u8; 32]);

impl MadeFrom {
    pub fn of(pieces: &[&Piece]) -> MadeFrom {
        let mut from = Hasher::new();
        for piece in pieces {
            from.update(&piece.sum);
        }
        MadeFrom(*from.finalize().as_bytes())
    }

    pub fn bytes(&self) -> [u8; 32] {
        self.0
    }
}

/// One thing that answers are made from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// The file, as its author knows it; empty where it is no single file.
    pub path: String,
    /// What in it: the id of a part, else in words. Empty: all of the file.
    pub what: String,
    /// Of what an answer reads of it.
    pub sum: [u8; 32],
}

impl Piece {
    fn new(path: &str, what: &str, text: &str) -> Piece {
        Piece { path: path.to_owned(), what: what.to_owned(), sum: *hash(text.as_bytes()).as_bytes() }
    }

    /// No two pieces of a book have the same.
    pub fn name(&self) -> String {
        [self.path.as_str(), self.what.as_str()]
            .into_iter()
            .filter(|text| !text.is_empty())
            .collect::<Vec<_>>()
            .join(" ")
    }
}

/// The book's files, taken apart once for all its pairings.
pub struct Sorted {
    /// What every answer reads: shop, boxes, stock, trials, headsets, and the ids.
    all: Vec<Piece>,
    /// By system.
    rules: BTreeMap<String, Piece>,
    /// By part id: the kind as which it stands in a rule, and its text.
    parts: BTreeMap<String, (String, Piece)>,
    /// The same of parts in the stock list: price and stock.
    stock: BTreeMap<String, (String, Piece)>,
}

impl Sorted {
    pub fn of(book: &Book, files: &BookFiles) -> Sorted {
        let ids = Piece::new("", "which ids there are, in their order", &ids(book));
        let (rules, parts, stock) = Default::default();
        let mut sorted = Sorted { all: vec![ids], rules, parts, stock };
        for (path, bytes) in files {
            let text = String::from_utf8_lossy(bytes);
            let table = path.ends_with(".toml").then(|| text.parse::<Table>().ok()).flatten();
            match table {
                Some(table) if path.starts_with(PARTS) => sorted.parts_of(path, table),
                Some(table) if path.starts_with(SYSTEMS) => {
                    let id = path[SYSTEMS.len()..].trim_end_matches(".toml");
                    // A change that one system allows makes a part of its own for all.
                    if let Some(change) = table.get("change") {
                        sorted.all.push(Piece::new(path, "what it changes for good", &change.to_string()));
                    }
                    sorted.rules.insert(id.to_owned(), Piece::new(path, "", &rule(table)));
                }
                Some(table) if path.starts_with(HEADSETS) => {
                    sorted.all.push(Piece::new(path, "", &format!("{path}{}", rule(table))));
                }
                Some(mut table) if path == SHOP => {
                    TEXTS_OF_SHOP.iter().for_each(|key| drop(table.remove(*key)));
                    sorted.all.push(Piece::new(path, "", &table.to_string()));
                }
                _ if path == STOCK => sorted.stock_of(book, &text),
                // Parts in lists, and whatever could not be told from one.
                _ if path.starts_with(PARTS) && (path.ends_with(".csv") || path.ends_with(".toml")) => {
                    sorted.all.push(Piece::new(path, "", &format!("{path}{text}")));
                }
                _ => {}
            }
        }
        sorted
    }

    /// Takes the parts in, and what else stands in the file.
    fn parts_of(&mut self, path: &str, mut table: Table) {
        let parts = match table.remove("part") {
            Some(Value::Array(parts)) => parts,
            _ => vec![],
        };
        for mut part in parts {
            blank(&mut part, &TEXTS_OF_PARTS);
            let Value::Table(part) = part else { continue };
            let text = |key: &str| part.get(key).and_then(Value::as_str).unwrap_or_default();
            let kind = part.get("stands_as").and_then(Value::as_str).unwrap_or(text("kind"));
            let piece = Piece::new(path, text("id"), &part.to_string());
            self.parts.insert(text("id").to_owned(), (kind.to_owned(), piece));
        }
        if !table.is_empty() {
            let mut rest = Value::Table(table);
            blank(&mut rest, &TEXTS_OF_PARTS);
            self.all.push(Piece::new(path, "what is no part in it", &rest.to_string()));
        }
    }

    /// A word of the list that is the id of a part or a box stands for its row: no row has its id otherwise.
    fn stock_of(&mut self, book: &Book, text: &str) {
        let apart = |c: char| c.is_whitespace() || c.is_control() || ",;|\"'\u{feff}".contains(c);
        let words: HashSet<&str> = text.split(apart).collect();
        for part in book.catalogue.parts.iter().filter(|part| words.contains(part.id.as_str())) {
            let row = format!("{:?} {:?} {}", part.price, part.on_hand, part.loose);
            let piece = Piece::new(STOCK, &part.id, &row);
            self.stock.insert(part.id.clone(), (part.kind.to_owned(), piece));
        }
        for the_box in book.catalogue.boxes.iter().filter(|the_box| words.contains(the_box.id.as_str())) {
            let row = format!("{:?} {:?} {}", the_box.price, the_box.on_hand, the_box.sold);
            self.all.push(Piece::new(STOCK, &the_box.id, &row));
        }
    }

    /// What this one's answer is made from, always in the same order.
    pub fn pieces(&self, book: &Book, fork: PartIx, system: usize) -> Vec<&Piece> {
        let rule = &book.rules[system];
        let fork = &book.catalogue.part(fork);
        let has_place = |kind: &str| rule.slots.iter().any(|slot| slot.kinds.contains(&kind));
        let parts = self.parts.iter().chain(&self.stock).filter(|(id, (kind, _))| {
            // Of all forks its own alone.
            if **kind == *fork.kind { **id == fork.id } else { has_place(kind) }
        });
        let of_all = self.all.iter().chain(self.rules.get(&rule.id));
        of_all.chain(parts.map(|(_, (_, piece))| piece)).collect()
    }

    pub fn pairing(&self, book: &Book, fork: PartIx, system: usize) -> MadeFrom {
        MadeFrom::of(&self.pieces(book, fork, system))
    }

    /// The sum of each piece by its name.
    pub fn sums(&self) -> BTreeMap<String, [u8; 32]> {
        let parts = self.parts.values().chain(self.stock.values()).map(|(_, piece)| piece);
        let all = self.all.iter().chain(self.rules.values()).chain(parts);
        all.map(|piece| (piece.name(), piece.sum)).collect()
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
