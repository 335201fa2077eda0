//! What may be written in a book and what it means, gathered from the tables that the readers use: kinds and their fields,
//! entries of rule files, settings of the shop, ways of writing a size. Must not know how it is shown, nor any book.
//!
//! `benchleaf reference`, the page `reference.html` (a book's `reference = true`) and the JSON Schemas are made of it.
//! Examples of kinds are parts of the demo book; the page draws them with the calipers of a part's own page.

mod examples;
mod forms;
mod schema;
mod topics;

pub use examples::bare_part;
pub use forms::{FORMS, Form};
pub use schema::{SCHEMAS, schema};
pub use topics::topics;

/// One table or kind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Topic {
    /// As it is asked for: `shim`, `slot`, `shop`, `size`.
    pub name: String,
    pub about: String,
    /// Topics of one sort stand together.
    pub sort: Sort,
    /// As it stands in a file, and where: `[[slot]]`, `a rule file`.
    pub header: String,
    pub place: String,
    pub rows: Vec<Row>,
    /// What else is worth knowing, a sentence each.
    pub notes: Vec<String>,
    /// As it stands in a file of the demo book; empty where there is none.
    pub example: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sort {
    /// What every file may hold.
    Writing,
    Kind,
    Parts,
    Shop,
    Rules,
}

/// One key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    pub name: String,
    pub about: String,
    /// What belongs there: `a size, outside`.
    pub holds: String,
    /// `needed`, `may be left out`, `left out: 1`, `where …`.
    pub need: String,
    /// `steerer_length = "148.5 ±0.1"`.
    pub example: String,
}

impl Sort {
    pub const ALL: [Sort; 5] = [Sort::Writing, Sort::Kind, Sort::Parts, Sort::Shop, Sort::Rules];

    pub fn title(self) -> &'static str {
        match self {
            Sort::Writing => "How things are written",
            Sort::Kind => "Kinds of parts",
            Sort::Parts => "Parts, boxes, stock",
            Sort::Shop => "The shop's file",
            Sort::Rules => "Rule files",
        }
    }
}

#[cfg(test)]
mod tests;
