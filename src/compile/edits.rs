//! What differs between two states of a book's files, in the words of its author: which file, which part, which field, and from
//! what to what. Must not know what a field means.

use crate::base::BookFiles;
use std::collections::{BTreeMap, BTreeSet};
use toml::{Table, Value};

/// One thing that was edited.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// The file, by its path in the book.
    pub path: String,
    pub what: What,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum What {
    NewFile,
    FileGone,
    /// Of a part, a box or whatever else has an id or a name; empty where the file itself is meant.
    New {
        of: String,
    },
    Gone {
        of: String,
    },
    /// `None`: the field was not there, or is not any more.
    Field {
        of: String,
        field: String,
        from: Option<String>,
        to: Option<String>,
    },
    /// A text, or what is not told field by field.
    Text,
}

/// In the order of the files, and in a file by what was edited. Linear in the files that differ.
pub fn edits(before: &BookFiles, now: &BookFiles) -> Vec<Edit> {
    let paths: BTreeSet<&String> = before.keys().chain(now.keys()).collect();
    let mut all = vec![];
    for path in paths {
        let found = match (before.get(path), now.get(path)) {
            (Some(before), Some(now)) if before == now => vec![],
            (Some(before), Some(now)) => in_file(path, before, now),
            (None, _) => vec![What::NewFile],
            (_, None) => vec![What::FileGone],
        };
        all.extend(found.into_iter().map(|what| Edit { path: path.clone(), what }));
    }
    all
}

/// Never empty: a comment or the order of lines is an edit, too.
fn in_file(path: &str, before: &[u8], now: &[u8]) -> Vec<What> {
    let read = |bytes: &[u8]| -> Option<Table> {
        let text = std::str::from_utf8(bytes).ok()?;
        if path.ends_with(".csv") { rows(text) } else { text.parse().ok() }
    };
    let told = path.ends_with(".toml") || path.ends_with(".csv");
    let tables = if told { read(before).zip(read(now)) } else { None };
    let mut found = vec![];
    if let Some((before, now)) = tables {
        Walk { of: String::new(), found: &mut found }.tables("", &before, &now);
    }
    if found.is_empty() { vec![What::Text] } else { found }
}

/// The rows of a list by their `id`, with the revision where there is one; nothing where two rows have the same.
fn rows(text: &str) -> Option<Table> {
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(text.as_bytes());
    let heads: Vec<String> = reader.headers().ok()?.iter().map(|head| head.trim().to_string()).collect();
    let mut all = Table::new();
    for row in reader.records() {
        let row = row.ok()?;
        let cells = heads.iter().zip(row.iter()).filter(|(_, cell)| !cell.trim().is_empty());
        let mut cells: Table =
            cells.map(|(head, cell)| (head.clone(), Value::String(cell.trim().to_string()))).collect();
        let text = |cells: &Table, key: &str| cells.get(key).and_then(Value::as_str).map(str::to_string);
        let id = text(&cells, "id")?;
        let key = text(&cells, "revision").map_or(id.clone(), |revision| format!("{id} {revision}"));
        cells.entry("name").or_insert(Value::String(key.clone()));
        if all.insert(key, Value::Table(cells)).is_some() {
            return None;
        }
    }
    let list: Vec<Value> = all.into_iter().map(|(_, row)| row).collect();
    Some([("row".to_string(), Value::Array(list))].into_iter().collect())
}

/// Through two tables at once; `of` is the nearest thing around that has a name.
struct Walk<'f> {
    of: String,
    found: &'f mut Vec<What>,
}

impl Walk<'_> {
    fn tables(&mut self, path: &str, before: &Table, now: &Table) {
        let keys: BTreeSet<&String> = before.keys().chain(now.keys()).collect();
        for key in keys {
            let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
            self.values(&path, before.get(key), now.get(key));
        }
    }

    fn values(&mut self, path: &str, before: Option<&Value>, now: Option<&Value>) {
        if before == now {
            return;
        }
        match (before, now) {
            (Some(Value::Table(before)), Some(Value::Table(now))) => self.tables(path, before, now),
            (Some(Value::Array(before)), Some(Value::Array(now))) => match (named(before), named(now)) {
                (Some(before), Some(now)) => self.lists(path, &before, &now),
                _ => self.field(path, Some(whole(before)), Some(whole(now))),
            },
            (None, Some(Value::Array(now))) if named(now).is_some() => {
                self.lists(path, &BTreeMap::new(), &named(now).unwrap_or_default());
            }
            (Some(Value::Array(before)), None) if named(before).is_some() => {
                self.lists(path, &named(before).unwrap_or_default(), &BTreeMap::new());
            }
            _ => self.field(path, before.map(shown), now.map(shown)),
        }
    }

    fn lists(&mut self, path: &str, before: &BTreeMap<&str, &Table>, now: &BTreeMap<&str, &Table>) {
        let keys: BTreeSet<&&str> = before.keys().chain(now.keys()).collect();
        for key in keys {
            let of = |table: &Table| {
                let name = table.get("name").and_then(Value::as_str).unwrap_or(key);
                if self.of.is_empty() { name.to_string() } else { format!("{}, {path} {name}", self.of) }
            };
            match (before.get(*key), now.get(*key)) {
                (Some(before), Some(now)) => {
                    let of = of(before);
                    Walk { of, found: self.found }.tables("", before, now);
                }
                (Some(before), None) => {
                    let of = of(before);
                    self.found.push(What::Gone { of });
                }
                (None, Some(now)) => {
                    let of = of(now);
                    self.found.push(What::New { of });
                }
                (None, None) => {}
            }
        }
    }

    fn field(&mut self, path: &str, from: Option<String>, to: Option<String>) {
        self.found.push(What::Field { of: self.of.clone(), field: path.to_string(), from, to });
    }
}

/// By id, else by name; nothing where one has neither or two have the same.
fn named(list: &[Value]) -> Option<BTreeMap<&str, &Table>> {
    let mut all = BTreeMap::new();
    for value in list {
        let table = value.as_table()?;
        let key = ["id", "name"].into_iter().find_map(|key| table.get(key)?.as_str())?;
        if all.insert(key, table).is_some() {
            return None;
        }
    }
    Some(all)
}

fn whole(list: &[Value]) -> String {
    shown(&Value::Array(list.to_vec()))
}

/// On one line, as written but for the quotation marks.
fn shown(value: &Value) -> String {
    match value {
        Value::String(text) => text.split_whitespace().collect::<Vec<_>>().join(" "),
        other => other.to_string(),
    }
}
