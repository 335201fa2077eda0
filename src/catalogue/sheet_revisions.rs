//! Revisions in a spreadsheet: rows of one id, each with a name in the column `revision`. The first of them says what the part
//! is, the others only what differs. Gives the tables that a TOML file has. Must not know what a field means.

use super::layouts::{PART, REVISION};
use crate::base::{CellValue, FileId, Filled, Problem, Problems, Span};

/// The column that says which revision a row is.
pub(super) const REVISION_COLUMN: &str = "revision";

/// Rows of one part made into one, in the order in which they begin.
pub(super) fn gathered(file: FileId, rows: Vec<Vec<Filled>>, problems: &mut Problems) -> Vec<Vec<Filled>> {
    let mut parts: Vec<Gathered> = vec![];
    for row in rows {
        let id = text(&row, "id").map(str::to_owned);
        let known = parts.iter_mut().find(|part| id.is_some() && part.id == id);
        match (known, cell(&row, REVISION_COLUMN).is_some()) {
            (Some(part), true) if part.first.is_some() => part.add(file, row, problems),
            // Told once, and nothing else of these rows.
            (Some(part), true) => {
                if !std::mem::replace(&mut part.told, true) {
                    problems.push(unsaid(file, &part.own));
                }
            }
            _ => parts.push(Gathered::of(id, row)),
        }
    }
    parts.into_iter().map(Gathered::row).collect()
}

/// A part with what its rows have said.
struct Gathered {
    id: Option<String>,
    /// The first row, without what its revision says of itself.
    own: Vec<Filled>,
    /// Of the first row only that; `None`: it says no revision.
    first: Option<Vec<Filled>>,
    others: Vec<Vec<Filled>>,
    /// That its first row says no revision is told.
    told: bool,
}

impl Gathered {
    fn of(id: Option<String>, row: Vec<Filled>) -> Gathered {
        let says_revision = cell(&row, REVISION_COLUMN).is_some();
        let (of_revision, own): (Vec<Filled>, Vec<Filled>) = row.into_iter().partition(is_of_revision);
        Gathered { id, own, first: says_revision.then(|| named(of_revision)), others: vec![], told: false }
    }

    fn add(&mut self, file: FileId, row: Vec<Filled>, problems: &mut Problems) {
        let (mut of_revision, rest): (Vec<Filled>, Vec<Filled>) = row.into_iter().partition(is_of_revision);
        let differs = |one: &Filled| cell(&self.own, one.key).is_none_or(|first| first.value != one.value);
        for one in rest.into_iter().filter(differs) {
            if PART.keys.iter().any(|key| key.name == one.key) {
                problems.push(of_the_part(file, &one, cell(&self.own, one.key)));
            } else {
                of_revision.push(one);
            }
        }
        self.others.push(named(of_revision));
    }

    fn row(self) -> Vec<Filled> {
        let Gathered { mut own, first, others, .. } = self;
        if let Some(first) = first {
            let at = first.first().map_or(0..0, |cell| cell.at.clone());
            let rows = std::iter::once(first).chain(others).collect();
            own.push(Filled { key: REVISION_COLUMN, value: CellValue::Rows(rows), at });
        }
        own
    }
}

fn is_of_revision(cell: &Filled) -> bool {
    cell.key == REVISION_COLUMN || (cell.key != "id" && REVISION.keys.iter().any(|key| key.name == cell.key))
}

/// With the name first, under the key that it has in a revision.
fn named(mut of_revision: Vec<Filled>) -> Vec<Filled> {
    for cell in &mut of_revision {
        if cell.key == REVISION_COLUMN {
            cell.key = "id";
        }
    }
    of_revision.sort_by_key(|cell| cell.key != "id");
    of_revision
}

fn cell<'r>(row: &'r [Filled], key: &str) -> Option<&'r Filled> {
    row.iter().find(|cell| cell.key == key)
}

fn text<'r>(row: &'r [Filled], key: &str) -> Option<&'r str> {
    match &cell(row, key)?.value {
        CellValue::Text(text) => Some(text),
        _ => None,
    }
}

fn unsaid(file: FileId, first: &[Filled]) -> Problem {
    let id = text(first, "id").unwrap_or_default();
    let problem = Problem::error(
        "sheet-revision",
        format!("{id} has several rows, and the first does not say which revision it is"),
    );
    let at = cell(first, "id").map(|cell| Span::new(file, cell.at.clone()));
    at.into_iter()
        .fold(problem, |problem, at| problem.at(at, "this row"))
        .mend(format!("fill its column {REVISION_COLUMN}"))
}

fn of_the_part(file: FileId, one: &Filled, first: Option<&Filled>) -> Problem {
    let problem =
        Problem::error("sheet-revision", format!("{} is the same for all revisions of a part", one.key))
            .at(Span::new(file, one.at.clone()), "it differs here");
    let problem = match first {
        Some(first) => problem.at(Span::new(file, first.at.clone()), "first said here"),
        None => problem,
    };
    problem
        .note("rows of one id are one part in several revisions")
        .mend("say it in the part's first row only, or give this row an id of its own")
}
