//! The author's own files as text, and places in them. Never touches a disk.

use std::ops::Range;
use std::sync::OnceLock;

/// Index of a file in [`Sources`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct FileId(pub u32);

/// A place in a file: byte offsets into its text, `start <= end`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Span {
    pub file: FileId,
    pub start: u32,
    pub end: u32,
}

impl Span {
    pub fn new(file: FileId, range: Range<usize>) -> Span {
        let start = u32::try_from(range.start).unwrap_or(u32::MAX);
        let end = u32::try_from(range.end).unwrap_or(u32::MAX).max(start);
        Span { file, start, end }
    }

    pub fn range(self) -> Range<usize> {
        self.start as usize..self.end as usize
    }

    /// The part of this span that starts `from` bytes in and is `len` long, kept inside it.
    pub fn within(self, part: Range<usize>) -> Span {
        let start = (self.start as usize + part.start).min(self.end as usize);
        let end = (self.start as usize + part.end).clamp(start, self.end as usize);
        Span::new(self.file, start..end)
    }
}

/// One file of a book: its path inside the book, always with `/`, and its text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    pub path: String,
    pub text: String,
    /// The text with the lines that no parser could read made blank, filled in when first needed.
    readable: OnceLock<String>,
    lines: LineStarts,
}

/// Where each line of a text begins, found when first needed. Says nothing of its own: all are equal.
#[derive(Clone, Debug, Default)]
struct LineStarts(OnceLock<Vec<usize>>);

impl PartialEq for LineStarts {
    fn eq(&self, _: &LineStarts) -> bool {
        true
    }
}

impl Eq for LineStarts {}

impl LineStarts {
    fn of(&self, text: &str) -> &[usize] {
        self.0.get_or_init(|| {
            std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect()
        })
    }
}

impl Source {
    /// The text, as long and with the same places, without what stopped its parser. `blank` makes it.
    pub fn readable(&self, blank: impl FnOnce() -> String) -> &str {
        self.readable.get_or_init(blank)
    }
}

/// All text files of a book that were read, in path order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sources {
    files: Vec<Source>,
}

impl Sources {
    pub fn add(&mut self, path: impl Into<String>, text: impl Into<String>) -> FileId {
        self.files.push(Source {
            path: path.into(),
            text: text.into(),
            readable: OnceLock::new(),
            lines: LineStarts::default(),
        });
        FileId((self.files.len() - 1) as u32)
    }

    pub fn get(&self, id: FileId) -> &Source {
        &self.files[id.0 as usize]
    }

    pub fn iter(&self) -> impl Iterator<Item = (FileId, &Source)> {
        self.files.iter().enumerate().map(|(i, s)| (FileId(i as u32), s))
    }

    /// The offending text itself.
    pub fn text_at(&self, span: Span) -> &str {
        self.get(span.file).text.get(span.range()).unwrap_or("")
    }

    /// One-based line and column (in characters) of the start of a span.
    pub fn line_column(&self, span: Span) -> (usize, usize) {
        let source = self.get(span.file);
        let at = source.text.floor_char_boundary(span.start as usize);
        let starts = source.lines.of(&source.text);
        let line = starts.partition_point(|&start| start <= at);
        let start = starts.get(line.wrapping_sub(1)).copied().unwrap_or(0);
        let column = source.text.get(start..at).map_or(0, |before| before.chars().count()) + 1;
        (line, column)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_told_by_line_and_column_in_characters() {
        let mut sources = Sources::default();
        let file = sources.add("a.toml", "é = 1\nbore = 2\n");
        let at = sources.get(file).text.find("bore").unwrap_or(0);
        assert_eq!(sources.line_column(Span::new(file, at..at + 4)), (2, 1));
        assert_eq!(sources.line_column(Span::new(file, 3..4)), (1, 3));
    }
}
