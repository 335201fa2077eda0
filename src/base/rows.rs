//! Rows of a spreadsheet as the tables that a TOML file would give, each value with its place. Knows no column by name.

use std::borrow::Cow;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

use super::Document;
use crate::base::{FileId, Sources};

/// One cell as a value of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Filled {
    pub key: &'static str,
    pub value: CellValue,
    /// The cell, in bytes of the file.
    pub at: Range<usize>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CellValue {
    Text(String),
    Flag(bool),
    List(Vec<String>),
    /// Of several rows that belong together, what each has of its own.
    Rows(Vec<Vec<Filled>>),
}

impl<'t> Document<'t> {
    /// A document of the tables `[[entry]]`, one for each row; a row's place is that of its first cell.
    pub fn of_rows(
        sources: &'t Sources,
        file: FileId,
        entry: &'static str,
        rows: Vec<Vec<Filled>>,
    ) -> Document<'t> {
        let mut root = DeTable::new();
        let tables = DeValue::Array(tables(rows));
        root.insert(Spanned::new(0..0, Cow::Borrowed(entry)), Spanned::new(0..0, tables));
        Document { file, text: sources.get(file).text.as_str(), root, broken: vec![] }
    }
}

fn tables<'t>(rows: Vec<Vec<Filled>>) -> DeArray<'t> {
    let mut tables = DeArray::new();
    for row in rows {
        let at = row.first().map_or(0..0, |cell| cell.at.clone());
        let mut table = DeTable::new();
        for cell in row {
            let key = Spanned::new(cell.at.clone(), Cow::Borrowed(cell.key));
            table.insert(key, value(cell.value, &cell.at));
        }
        tables.push(Spanned::new(at, DeValue::Table(table)));
    }
    tables
}

fn value<'t>(value: CellValue, at: &Range<usize>) -> Spanned<DeValue<'t>> {
    let text = |text: String| Spanned::new(at.clone(), DeValue::String(Cow::Owned(text)));
    match value {
        CellValue::Text(one) => text(one),
        CellValue::Flag(flag) => Spanned::new(at.clone(), DeValue::Boolean(flag)),
        CellValue::Rows(rows) => Spanned::new(at.clone(), DeValue::Array(tables(rows))),
        CellValue::List(items) => {
            let mut list = DeArray::new();
            items.into_iter().for_each(|item| list.push(text(item)));
            Spanned::new(at.clone(), DeValue::Array(list))
        }
    }
}
