//! Reads `parts/stock.csv`, as tills export it: comma or semicolon, columns in any order. All rows or none.
//! Must not know what the ids stand for.

use std::collections::BTreeMap;

use super::Shop;
use crate::base::{FileId, Problem, Problems, Sources, Span, suggest};
use crate::quantity::{Count, Money, read_money_loose};

/// Rows by id. An empty cell says nothing.
pub(super) type Stock = BTreeMap<String, Row>;

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Row {
    pub price: Option<Money>,
    pub on_hand: Option<u32>,
}

/// One cell with its place.
struct Cell<'c> {
    text: &'c str,
    span: Span,
}

pub(super) fn read_stock<T>(
    sources: &Sources,
    file: FileId,
    shop: &Shop,
    ids: &BTreeMap<String, T>,
    problems: &mut Problems,
) -> Stock {
    let text = sources.get(file).text.as_str();
    let start = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let body = &text[start..];
    let header = body.lines().next().unwrap_or("");
    let delimiter = if header.contains(';') { b';' } else { b',' };
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .from_reader(body.as_bytes());
    let mut columns = None;
    let mut rows = BTreeMap::new();
    for record in reader.records() {
        let Ok(record) = record else { continue };
        let at = start + record.position().map_or(0, |p| p.byte() as usize);
        let cells = cells(file, text, at, &record);
        match &columns {
            None => match Columns::read(&cells, problems) {
                Some(found) => columns = Some(found),
                None => return BTreeMap::new(),
            },
            Some(columns) => {
                if let Some((id, span, row)) = read_row(columns, &cells, shop, ids, problems) {
                    add_row(&mut rows, id, span, row, problems);
                }
            }
        }
    }
    if columns.is_none() {
        let problem = Problem::error("stock-header", "the stock list has no header line");
        problems.push(problem.at(Span::new(file, 0..0), "").mend("write id,price,on_hand as its first line"));
    }
    rows.into_iter().map(|(id, (_, row))| (id, row)).collect()
}

/// The cells of a record that starts at byte `at`; blanks round them are no part of them.
fn cells<'c>(file: FileId, text: &str, at: usize, record: &'c csv::StringRecord) -> Vec<Cell<'c>> {
    let mut from = at;
    record
        .iter()
        .map(|cell| {
            let cell = cell.trim();
            let found = text.get(from..).and_then(|rest| rest.find(cell)).map(|i| from + i);
            let start = found.unwrap_or(from);
            let end = (start + cell.len()).min(text.len());
            from = end;
            Cell { text: cell, span: Span::new(file, start..end) }
        })
        .collect()
}

/// Where the columns stand.
struct Columns {
    id: usize,
    price: Option<usize>,
    on_hand: Option<usize>,
}

impl Columns {
    /// Columns of other names are left alone: tills export many.
    fn read(cells: &[Cell], problems: &mut Problems) -> Option<Columns> {
        let named = |name: &str| -> Vec<usize> {
            let same = |c: &Cell| c.text.eq_ignore_ascii_case(name);
            (0..cells.len()).filter(|&i| same(&cells[i])).collect()
        };
        let (ids, prices, counts) = (named("id"), named("price"), named("on_hand"));
        for several in [&ids, &prices, &counts] {
            if let [first, second, ..] = several.as_slice() {
                problems.push(
                    Problem::error("stock-header", format!("there are two columns {}", cells[*first].text))
                        .at(cells[*second].span, "again here")
                        .at(cells[*first].span, "first here")
                        .mend("keep one of them"),
                );
                return None;
            }
        }
        let Some(&id) = ids.first() else {
            let first = cells.first()?;
            let near = suggest("id", cells.iter().map(|c| c.text));
            problems.push(
                Problem::error("stock-header", "the stock list has no column id")
                    .at(first.span, near.map_or(String::new(), |n| format!("is it {n}?")))
                    .note("expected a header line with id and price or on_hand, or both, in any order")
                    .mend("name the column of part and box ids id"),
            );
            return None;
        };
        Some(Columns { id, price: prices.first().copied(), on_hand: counts.first().copied() })
    }
}

fn read_row<T>(
    columns: &Columns,
    cells: &[Cell],
    shop: &Shop,
    ids: &BTreeMap<String, T>,
    problems: &mut Problems,
) -> Option<(String, Span, Row)> {
    if cells.iter().all(|c| c.text.is_empty()) {
        return None;
    }
    let filled = |column: Option<usize>| column.and_then(|i| cells.get(i)).filter(|c| !c.text.is_empty());
    let Some(id) = filled(Some(columns.id)) else {
        let span = cells.iter().find(|c| !c.text.is_empty()).map(|c| c.span)?;
        let problem = Problem::error("stock-row", "this row of the stock list has no id");
        problems.push(problem.at(span, "").mend("fill in the id, or take the row out"));
        return None;
    };
    if !ids.contains_key(id.text) {
        problems.push(unknown_id(id, ids));
    }
    let price = filled(columns.price).map(|c| read_cell(c, problems, |t| read_money_loose(t, shop.currency)));
    let on_hand = filled(columns.on_hand).map(|c| read_cell(c, problems, Count::read));
    let (price, on_hand) = (flat(price)?, flat(on_hand)?.map(|count| count.0));
    Some((id.text.to_string(), id.span, Row { price, on_hand }))
}

/// An empty cell is nothing; a cell that could not be read spoils the row.
fn flat<T>(cell: Option<Option<T>>) -> Option<Option<T>> {
    match cell {
        Some(None) => None,
        Some(read) => Some(read),
        None => Some(None),
    }
}

fn unknown_id<T>(id: &Cell, ids: &BTreeMap<String, T>) -> Problem {
    let near = suggest(id.text, ids.keys().map(String::as_str));
    let mend = near.map_or("take the row out, or list the part".to_string(), |n| format!("write {n}"));
    Problem::error("stock-row", format!("the book has no part or box \"{}\"", id.text))
        .at(id.span, "")
        .note("nothing of a stock list with a wrong row is used")
        .mend(mend)
}

fn read_cell<T>(
    cell: &Cell,
    problems: &mut Problems,
    read: impl Fn(&str) -> Result<T, crate::quantity::Misread>,
) -> Option<T> {
    match read(cell.text) {
        Ok(value) => Some(value),
        Err(misread) => {
            problems.push(
                Problem::error("stock-row", misread.fact)
                    .at(cell.span.within(misread.at), "")
                    .note(format!("expected {}", misread.expected))
                    .mend(misread.mend),
            );
            None
        }
    }
}

fn add_row(
    rows: &mut BTreeMap<String, (Span, Row)>,
    id: String,
    span: Span,
    row: Row,
    problems: &mut Problems,
) {
    if let Some((first, _)) = rows.get(&id) {
        problems.push(
            Problem::error("stock-row", format!("the stock list has two rows for {id}"))
                .at(span, "again here")
                .at(*first, "first here")
                .mend("keep one of them"),
        );
        return;
    }
    rows.insert(id, (span, row));
}
