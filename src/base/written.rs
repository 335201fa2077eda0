//! TOML as its author wrote it: every value with its place, digits unrounded. Knows nothing of the trade.
//!
//! A [`Table`] remembers what it was asked for, so that [`Table::finish`] can tell what nobody knows.
//! One mistake makes one problem: a getter that reports returns `None`, and so does one that finds nothing;
//! only the `needed_` getters report absence.

use std::cell::RefCell;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::syntax::{is_lone_header, line_of, of_lone_header, shown, syntax_problem, without_lines};
use super::{FileId, Layout, Problem, Problems, Sources, Span, suggest};

#[path = "rows.rs"]
mod rows;

pub use rows::{CellValue, Filled};

/// A text, or a number as its digits, with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Text {
    pub value: String,
    /// The whole value, quotes included.
    pub span: Span,
    /// Where the first character stands in `span`; `None` where escapes make places inside unknowable.
    inner: Option<usize>,
}

impl Text {
    /// The place of a piece of the text, in bytes of `value`.
    pub fn part(&self, at: Range<usize>) -> Span {
        match self.inner {
            Some(from) if at.is_empty() && at.start >= self.value.len() => {
                self.span.within(from..from + self.value.len())
            }
            Some(from) if at.is_empty() => self.span.within(from + at.start..from + at.start + 1),
            Some(from) => self.span.within(from + at.start..from + at.end),
            None => self.span,
        }
    }
}

/// A parsed file. The tables in it that hold a syntax error are known, so that they cause no second message.
pub struct Document<'t> {
    file: FileId,
    text: &'t str,
    root: DeTable<'t>,
    broken: Vec<Range<usize>>,
}

impl<'t> Document<'t> {
    /// Reads the file; every line that is no TOML is one problem.
    pub fn parse(sources: &'t Sources, file: FileId, problems: &mut Problems) -> Document<'t> {
        let text = sources.get(file).text.as_str();
        let (root, errors) = DeTable::parse_recoverable(text);
        let mut root = root.into_inner();
        let broken: Vec<Range<usize>> = errors.iter().map(|e| e.span().unwrap_or(0..0)).collect();
        let mut lines = vec![];
        // Below a header that stands twice every key does, too.
        let mut below_header = false;
        for (error, at) in errors.iter().zip(&broken) {
            let line = line_of(text, at.start);
            let twice = error.message() == "duplicate key";
            let header = text.get(line.clone()).is_some_and(is_lone_header);
            let follows = twice && below_header && !header;
            below_header |= twice && header;
            if !lines.contains(&line) && !follows {
                lines.push(line.clone());
                let whole = text.get(line.clone()).unwrap_or("");
                let problem = syntax_problem(Span::new(file, shown(text, at, line)), error.message(), whole);
                problems.push(if header { of_lone_header(problem, text, at.start) } else { problem });
            }
        }
        if !broken.is_empty() {
            let readable = sources.get(file).readable(|| without_lines(text, &broken));
            root = DeTable::parse_recoverable(readable).0.into_inner();
        }
        Document { file, text, root, broken }
    }

    pub fn is_broken(&self) -> bool {
        !self.broken.is_empty()
    }

    pub fn root(&self) -> Table<'_, 't> {
        let span = Span::new(self.file, 0..0);
        Table { file: self.file, text: self.text, table: &self.root, span, asked: RefCell::default() }
    }

    /// Whether a syntax error lies between this table's header and the next of all the headers.
    pub fn holds_syntax_error(&self, header: Span, headers: &[Span]) -> bool {
        let start = header.range().start;
        let end = headers.iter().map(|h| h.range().start).filter(|&s| s > start).min();
        self.broken.iter().any(|b| start <= b.end && end.is_none_or(|end| b.start < end))
    }
}

const A_TEXT: &str = "a text in quotes";

/// One value with its place.
#[derive(Clone, Copy)]
pub struct Entry<'d, 't> {
    file: FileId,
    text: &'t str,
    value: &'d DeValue<'t>,
    /// The value.
    pub span: Span,
    /// Its key; the value itself inside a list.
    pub key: Span,
}

impl<'d, 't> Entry<'d, 't> {
    /// A text only.
    pub fn text(&self, problems: &mut Problems) -> Option<Text> {
        match self.value {
            DeValue::String(value) => Some(self.located(value)),
            _ => self.refuse(A_TEXT, problems),
        }
    }

    /// A text, or a number as the digits that were written.
    pub fn size(&self, problems: &mut Problems) -> Option<Text> {
        match self.value {
            DeValue::String(value) => Some(self.located(value)),
            DeValue::Integer(number) if number.radix() == 10 => Some(self.located(number.as_str())),
            DeValue::Float(number) if number.as_str().contains(|c: char| c.is_ascii_digit()) => {
                Some(self.located(number.as_str()))
            }
            _ => self.refuse("a size in quotes or a number", problems),
        }
    }

    pub fn flag(&self, problems: &mut Problems) -> Option<bool> {
        match self.value {
            DeValue::Boolean(value) => Some(*value),
            _ => self.refuse("true or false", problems),
        }
    }

    /// A whole number from 0 to `most`.
    pub fn count(&self, most: u32, problems: &mut Problems) -> Option<u32> {
        let number = match self.value {
            DeValue::Integer(number) => u32::from_str_radix(number.as_str(), number.radix()).ok(),
            _ => None,
        };
        match number.filter(|&n| n <= most) {
            Some(number) => Some(number),
            None => self.refuse(&format!("a whole number from 0 to {most}"), problems),
        }
    }

    /// The members of a list; one value alone is a list of one.
    pub fn items(&self) -> Vec<Entry<'d, 't>> {
        match self.value {
            DeValue::Array(array) => array.iter().map(|item| self.inside(item)).collect(),
            _ => vec![*self],
        }
    }

    pub fn is_table(&self) -> bool {
        self.value.is_table()
    }

    pub fn is_list(&self) -> bool {
        self.value.is_array()
    }

    pub fn table(&self, problems: &mut Problems) -> Option<Table<'d, 't>> {
        match self.value {
            DeValue::Table(table) => Some(Table {
                file: self.file,
                text: self.text,
                table,
                span: self.span,
                asked: RefCell::default(),
            }),
            _ => self.refuse("a table", problems),
        }
    }

    /// Reports the wrong type. Always `None`.
    pub fn refuse<T>(&self, expected: &str, problems: &mut Problems) -> Option<T> {
        let is = match self.value {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        let digits = match self.value {
            DeValue::Integer(number) => Some(number.as_str()),
            DeValue::Float(number) => Some(number.as_str()),
            _ => None,
        };
        let mend = match digits.filter(|_| expected == A_TEXT) {
            Some(digits) => format!("write \"{digits}\""),
            None => format!("write {expected}"),
        };
        problems.push(
            Problem::error("field-type", format!("this is {is}, where {expected} belongs"))
                .at(self.span, "")
                .mend(mend),
        );
        None
    }

    fn inside(&self, item: &'d Spanned<DeValue<'t>>) -> Entry<'d, 't> {
        let span = Span::new(self.file, item.span());
        Entry { file: self.file, text: self.text, value: item.get_ref(), span, key: span }
    }

    fn located(&self, value: &str) -> Text {
        let raw = self.text.get(self.span.range()).unwrap_or("");
        let inner = [0, 1, 3, 4].into_iter().find(|&from| {
            raw.get(from..).is_some_and(|r| r.starts_with(value))
                && raw.len() <= value.len() + from + from.min(3)
        });
        Text { value: value.to_string(), span: self.span, inner }
    }
}

/// A TOML table and what was asked of it so far.
pub struct Table<'d, 't> {
    file: FileId,
    text: &'t str,
    table: &'d DeTable<'t>,
    /// Its header, or the whole of an inline table.
    pub span: Span,
    asked: RefCell<Vec<&'static str>>,
}

impl<'d, 't> Table<'d, 't> {
    pub fn get(&self, key: &'static str) -> Option<Entry<'d, 't>> {
        let mut asked = self.asked.borrow_mut();
        if !asked.contains(&key) {
            asked.push(key);
        }
        self.table.get_key_value(key).map(|(key, value)| self.entry(key, value))
    }

    /// Every entry in the order of the file, for tables whose keys are names of the author's own.
    pub fn all(&self) -> Vec<(String, Entry<'d, 't>)> {
        let mut entries: Vec<_> = self
            .table
            .iter()
            .map(|(key, value)| (key.get_ref().to_string(), self.entry(key, value)))
            .collect();
        entries.sort_by_key(|(_, entry)| entry.key);
        entries
    }

    pub fn text(&self, key: &'static str, problems: &mut Problems) -> Option<Text> {
        self.get(key)?.text(problems)
    }

    pub fn size(&self, key: &'static str, problems: &mut Problems) -> Option<Text> {
        self.get(key)?.size(problems)
    }

    pub fn flag(&self, key: &'static str, problems: &mut Problems) -> Option<bool> {
        self.get(key)?.flag(problems)
    }

    pub fn needed(&self, key: &'static str, of: &str, problems: &mut Problems) -> Option<Entry<'d, 't>> {
        let found = self.get(key);
        if found.is_none() {
            problems.push(missing(key, of, self.span));
        }
        found
    }

    pub fn needed_text(&self, key: &'static str, of: &str, problems: &mut Problems) -> Option<Text> {
        self.needed(key, of, problems)?.text(problems)
    }

    /// Texts of a list, or one text; empty when absent.
    pub fn texts(&self, key: &'static str, problems: &mut Problems) -> Vec<Text> {
        let items = self.get(key).map(|e| e.items()).unwrap_or_default();
        items.iter().filter_map(|item| item.text(problems)).collect()
    }

    /// The tables of `[[key]]`; empty when absent.
    pub fn tables(&self, key: &'static str, problems: &mut Problems) -> Vec<Table<'d, 't>> {
        let items = self.get(key).map(|e| e.items()).unwrap_or_default();
        items.iter().filter_map(|item| item.table(problems)).collect()
    }

    /// Reports every key that the layout does not list, and gives the fields they were most likely meant to be: such a
    /// field is not also reported as missing.
    pub fn finish(self, of: &str, layout: &Layout, problems: &mut Problems) -> Vec<(&'static str, Span)> {
        self.finish_with(of, layout, &[], problems)
    }

    /// The same of a table that takes more keys than its layout lists: the fields of a kind of part.
    pub fn finish_with(
        self,
        of: &str,
        layout: &Layout,
        more: &[&'static str],
        problems: &mut Problems,
    ) -> Vec<(&'static str, Span)> {
        let known: Vec<&'static str> =
            layout.all_keys().map(|key| key.name).chain(more.iter().copied()).collect();
        debug_assert!(
            self.asked.borrow().iter().all(|key| known.contains(key)),
            "the layout `{}` does not list all of {:?}",
            layout.name,
            self.asked.borrow()
        );
        let mut meant = vec![];
        for (key, entry) in self.all() {
            if known.contains(&key.as_str()) {
                continue;
            }
            let problem =
                Problem::error("field-unknown", format!("{of} has no field {key}")).at(entry.key, "");
            let absent = known.iter().copied().filter(|k| !self.table.contains_key(*k));
            let near = suggest(&key, absent).and_then(|near| known.iter().find(|k| **k == near));
            let problem = problem.note(format!("the fields of {of}: {}", known.join(", ")));
            problems.push(match (near, layout.inner_of(&key)) {
                (Some(near), _) => problem.mend(format!("write {near}")),
                (None, Some(header)) => {
                    problem.mend(format!("write {header}, below the entry that it belongs to"))
                }
                (None, None) => problem.mend("take the line out, or use one of these"),
            });
            if let Some(near) = near {
                let told = missing(near, of, self.span);
                problems.0.retain(|p| p.code != told.code || p.places != told.places);
                meant.push((*near, entry.span));
            }
        }
        meant
    }

    fn entry(
        &self,
        key: &Spanned<std::borrow::Cow<'t, str>>,
        value: &'d Spanned<DeValue<'t>>,
    ) -> Entry<'d, 't> {
        Entry {
            file: self.file,
            text: self.text,
            value: value.get_ref(),
            span: Span::new(self.file, value.span()),
            key: Span::new(self.file, key.span()),
        }
    }
}

/// A field that must be there is not.
pub fn missing(key: &str, of: &str, span: Span) -> Problem {
    Problem::error("field-missing", format!("{of} needs {key}"))
        .at(span, format!("{key} is missing"))
        .mend(if key.starts_with('[') { format!("add {key}") } else { format!("add {key} = …") })
}

#[cfg(test)]
#[path = "written_tests.rs"]
mod tests;
