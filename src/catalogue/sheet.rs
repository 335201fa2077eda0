//! A spreadsheet of parts as CSV: one kind a file, columns are fields, a row is a part. Gives the same tables as a TOML
//! file, so that one reader and one set of checks serves both. Must not know what a field means.

use super::layouts::{PART, REVISION};
use super::sheet_revisions::{self, REVISION_COLUMN};
use super::stock::{is_price, means_count, means_price, plain_name};
use super::stock_cells::{Cell, Cells, rows};
use crate::base::{CellValue, Document, FileId, Filled, Holds, Problem, Problems, Sources, Span, suggest};
use crate::kinds::{self, FieldType, Kind};
use crate::quantity::Currency;

/// What the messages call it.
const SHEET: &str = "this list of parts";

/// Read as prices, never as parts.
pub(super) const STOCK: &str = "parts/stock.csv";

/// Whether a file under `parts/` is a list of parts.
pub(super) fn is_sheet(path: &str) -> bool {
    path.starts_with("parts/") && path.ends_with(".csv") && path.to_lowercase() != STOCK
}

/// What a column's cells are turned into.
#[derive(Clone, Copy)]
enum Takes {
    Text,
    /// Decimal commas are points.
    Number,
    Flag,
    Texts,
    Numbers,
}

/// One column that is understood.
struct Column {
    key: &'static str,
    takes: Takes,
    /// A unit that stands in the header: `length (in)`.
    inches: bool,
}

/// `None`, and the reason told, where the list as a whole cannot be relied on.
pub(super) fn read_sheet<'t>(
    sources: &'t Sources,
    file: FileId,
    currency: Currency,
    problems: &mut Problems,
) -> Option<Document<'t>> {
    let source = sources.get(file);
    let all = rows(file, &source.text, SHEET, problems)?;
    let Some((header, rows)) = all.split_first() else {
        return Some(Document::of_rows(sources, file, "part", vec![]));
    };
    let kind_at = header.iter().position(|cell| plain_name(&cell.text) == "kind");
    let kinds = match kind_at {
        Some(at) => rows.iter().filter_map(|row| kind_of(&row.get(at)?.text)).collect(),
        None => vec![kind_of_file(&source.path).or_else(|| {
            problems.push(no_kind(header));
            None
        })?],
    };
    let columns = columns(header, &kinds, currency, problems)?;
    let named = kind_at.is_none().then(|| kinds.first().copied()).flatten();
    let tables: Vec<Vec<Filled>> =
        rows.iter().filter_map(|row| read_row(&columns, row, named, problems)).collect();
    Some(Document::of_rows(sources, file, "part", sheet_revisions::gathered(file, tables, problems)))
}

fn kind_of(text: &str) -> Option<&'static Kind> {
    kinds::all().iter().find(|kind| plain_name(kind.name) == plain_name(text))
}

/// `shims.csv`, `crown-race.csv`, `parts/bolts/2026.csv`.
fn kind_of_file(path: &str) -> Option<&'static Kind> {
    let path = path.strip_suffix(".csv")?;
    let one = |name: &str| kind_of(name).or_else(|| kind_of(name.strip_suffix('s')?));
    path.rsplit('/').find_map(one)
}

fn no_kind(header: &Cells) -> Problem {
    let first = header.first().map(|cell| cell.span);
    let names: Vec<&str> = kinds::all().iter().map(|kind| kind.name).collect();
    let problem = Problem::error("sheet-kind", "this list does not say of which kind its parts are");
    let problem = first.into_iter().fold(problem, |problem, span| problem.at(span, "its columns"));
    let named = |name: &str| header.iter().any(|cell| plain_name(&cell.text) == name);
    let counted = |cell: &Cell| means_price(&cell.text) || means_count(&cell.text);
    if named("id") && !named("name") && header.iter().any(counted) {
        let problem =
            problem.note("with an id and no name its rows are prices or counts of parts, not parts");
        return problem.mend("put its rows into parts/stock.csv, the one list of these");
    }
    problem
        .note(format!("kinds: {}", names.join(", ")))
        .note("a list of prices is parts/stock.csv, and there is one")
        .mend("call the file after its kind (shims.csv), or add a column kind")
}

/// Each column, in the order of the file; `None` where it is not understood, which is told.
fn columns(
    header: &Cells,
    kinds: &[&'static Kind],
    currency: Currency,
    problems: &mut Problems,
) -> Option<Vec<Option<Column>>> {
    let revisions = header.iter().any(|cell| plain_name(&cell.text) == REVISION_COLUMN);
    let known = known(kinds, revisions);
    let columns: Vec<Option<Column>> =
        header.iter().map(|cell| column(&cell.text, &known, currency)).collect();
    for (at, one) in columns.iter().enumerate() {
        let first = columns[..at]
            .iter()
            .position(|c| c.as_ref().zip(one.as_ref()).is_some_and(|(a, b)| a.key == b.key));
        if let (Some(first), Some(one)) = (first, one) {
            problems.push(
                Problem::error("sheet-column", format!("there are two columns {}", one.key))
                    .at(header[at].span, "again here")
                    .at(header[first].span, "first here")
                    .mend("keep one of them"),
            );
            return None;
        }
    }
    tell_unread(header, &columns, &known, problems);
    Some(columns)
}

fn tell_unread(
    header: &Cells,
    columns: &[Option<Column>],
    known: &[(&'static str, Takes)],
    problems: &mut Problems,
) {
    let unread =
        header.iter().zip(columns).filter(|(cell, column)| column.is_none() && !cell.text.is_empty());
    let absent: Vec<&str> = known
        .iter()
        .map(|(name, _)| *name)
        .filter(|name| columns.iter().flatten().all(|c| c.key != *name))
        .collect();
    for (cell, _) in unread {
        if means_count(&cell.text) {
            problems.push(
                Problem::warning("sheet-column", format!("the column {} is not read", cell.text))
                    .at(cell.span, "counts have a list of their own")
                    .mend("put what is on hand into parts/stock.csv: id,on_hand"),
            );
            continue;
        }
        let price = absent.contains(&"price") && means_price(&cell.text);
        let near = if price { Some("price") } else { suggest(&cell.text, absent.iter().copied()) };
        problems.push(
            Problem::warning("sheet-column", format!("the column {} is not read", cell.text))
                .at(cell.span, near.map_or(String::new(), |near| format!("{near} is meant?")))
                .note(format!("columns that would be: {}", absent.join(", ")))
                .mend(match near {
                    Some(near) => format!("name it {near}"),
                    None => "name it as one of these, or take it out".into(),
                }),
        );
    }
}

/// A column of what a row may say; with revisions also what only a revision says.
fn known(kinds: &[&'static Kind], revisions: bool) -> Vec<(&'static str, Takes)> {
    let of_revision = REVISION.keys.iter().filter(|key| revisions && key.name != "id");
    let own = PART.keys.iter().chain(of_revision).filter_map(|key| {
        let takes = match key.holds {
            Holds::Flag => Takes::Flag,
            Holds::Price => Takes::Number,
            Holds::Texts => Takes::Texts,
            // The one that is read row by row.
            Holds::Tables(_) if key.name == REVISION_COLUMN => Takes::Text,
            Holds::Tables(_) => return None,
            _ => Takes::Text,
        };
        Some((key.name, takes))
    });
    let fields = kinds.iter().flat_map(|kind| kind.fields).filter_map(|field| {
        let takes = match field.what {
            FieldType::Flag => Takes::Flag,
            FieldType::Text | FieldType::Choice(_) | FieldType::Thread => Takes::Text,
            FieldType::Dimensions(_) => Takes::Numbers,
            FieldType::Columns => return None,
            _ => Takes::Number,
        };
        Some((field.name, takes))
    });
    let mut all: Vec<_> = own.chain(fields).collect();
    let mut seen: Vec<&str> = vec![];
    all.retain(|(name, _)| {
        let new = !seen.contains(name);
        seen.push(name);
        new
    });
    all
}

/// `Steerer outside (mm)` is `steerer_outside`.
fn column(header: &str, known: &[(&'static str, Takes)], currency: Currency) -> Option<Column> {
    if is_price(header, currency) {
        return Some(Column { key: "price", takes: Takes::Number, inches: false });
    }
    let (name, unit) =
        match header.trim_end().strip_suffix([')', ']']).and_then(|h| h.rsplit_once(['(', '['])) {
            Some((name, unit)) => (name, unit.trim()),
            None => (header, ""),
        };
    let inches = match unit {
        "" | "mm" => false,
        "in" | "inch" | "inches" => true,
        _ => return None,
    };
    let found = known.iter().find(|(known, _)| plain_name(known) == plain_name(name));
    found.map(|&(key, takes)| Column { key, takes, inches })
}

fn read_row(
    columns: &[Option<Column>],
    row: &Cells,
    kind: Option<&'static Kind>,
    problems: &mut Problems,
) -> Option<Vec<Filled>> {
    if let Some(extra) = row.iter().skip(columns.len()).find(|cell| !cell.text.is_empty()) {
        problems.push(
            Problem::error(
                "sheet-row",
                format!("this row has {} cells, the header {}", row.len(), columns.len()),
            )
            .at(extra.span, "too many from here")
            .note("a comma inside a size makes two cells of it")
            .mend("put such a size in quotes: \"28,6\""),
        );
        return None;
    }
    let cells = row.iter().zip(columns).filter(|(cell, _)| !cell.text.is_empty());
    let mut filled: Vec<Filled> =
        cells.filter_map(|(cell, column)| Some(fill(cell, column.as_ref()?))).collect();
    let at = filled.first().map(|first| first.at.clone())?;
    if let Some(kind) = kind {
        filled.push(Filled { key: "kind", value: CellValue::Text(kind.name.into()), at });
    }
    Some(filled)
}

fn fill(cell: &Cell, column: &Column) -> Filled {
    let unit = |text: String| match column.inches && text.ends_with(|c: char| c.is_ascii_digit()) {
        true => format!("{text} in"),
        false => text,
    };
    let number = |text: &str| unit(with_points(text.trim()));
    let pieces = || cell.text.split([';', '|']).map(str::trim).filter(|piece| !piece.is_empty());
    let value = match column.takes {
        Takes::Text => match kind_of(&cell.text).filter(|_| column.key == "kind") {
            Some(kind) => CellValue::Text(kind.name.into()),
            None => CellValue::Text(cell.text.clone()),
        },
        Takes::Number => CellValue::Text(number(&cell.text)),
        Takes::Texts => CellValue::List(pieces().map(str::to_string).collect()),
        Takes::Numbers => CellValue::List(pieces().map(number).collect()),
        Takes::Flag => match cell.text.to_lowercase().as_str() {
            "true" | "yes" | "1" | "x" => CellValue::Flag(true),
            "false" | "no" | "0" => CellValue::Flag(false),
            _ => CellValue::Text(cell.text.clone()),
        },
    };
    Filled { key: column.key, value, at: span_range(cell.span) }
}

fn span_range(span: Span) -> std::ops::Range<usize> {
    span.range()
}

/// A comma between two digits is a decimal point, unless points stand between digits as well: then neither is sure.
fn with_points(text: &str) -> String {
    let letters: Vec<char> = text.chars().collect();
    let between = |at: usize, mark: char| {
        let digit = |c: Option<&char>| c.is_some_and(char::is_ascii_digit);
        letters[at] == mark && at > 0 && digit(letters.get(at - 1)) && digit(letters.get(at + 1))
    };
    if (0..letters.len()).any(|at| between(at, '.')) {
        return text.to_string();
    }
    (0..letters.len()).map(|at| if between(at, ',') { '.' } else { letters[at] }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decimal_comma_is_a_point_and_a_comma_beside_a_point_is_left_to_be_refused() {
        assert_eq!(with_points("28,6 ±0,05"), "28.6 ±0.05");
        assert_eq!(with_points("1,234.5"), "1,234.5");
        assert_eq!(with_points("a, b"), "a, b");
    }

    #[test]
    fn a_file_is_of_the_kind_that_its_name_or_its_folder_says() {
        let kind = |path| kind_of_file(path).map(|kind| kind.name);
        assert_eq!(kind("parts/shims.csv"), Some("shim"));
        assert_eq!(kind("parts/crown-races.csv"), Some("crown-race"));
        assert_eq!(kind("parts/bars/2026.csv"), Some("bars"));
        assert_eq!(kind("parts/prices.csv"), None);
    }
}
