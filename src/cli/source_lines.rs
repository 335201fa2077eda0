//! One file's text cleaned for a terminal, with its lines found once. Must not know problems.

use std::ops::Range;

use super::clean_text::clean;

pub struct SourceLines {
    text: String,
    /// Where each line begins.
    starts: Vec<usize>,
}

impl SourceLines {
    pub fn of(text: &str) -> SourceLines {
        let text = clean(text).into_owned();
        let starts = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        SourceLines { text, starts }
    }

    /// The lines that a range of the text lies in, counted from 0.
    pub fn around(&self, range: Range<usize>) -> Range<usize> {
        let line = |at: usize| self.starts.partition_point(|&start| start <= at).max(1) - 1;
        let last = if range.end > range.start { range.end - 1 } else { range.start };
        line(range.start)..line(last) + 1
    }

    pub fn text(&self, lines: &Range<usize>) -> &str {
        self.text.get(self.bytes(lines)).unwrap_or("")
    }

    /// A range of the text as one of the text of `lines`. Kept within it and on whole characters, so that a wrong place
    /// can never stop a message.
    pub fn inside(&self, range: Range<usize>, lines: &Range<usize>) -> Range<usize> {
        let shown = self.bytes(lines);
        let start = self.text.floor_char_boundary(range.start.clamp(shown.start, shown.end));
        let end = self.text.ceil_char_boundary(range.end.clamp(start, shown.end.max(start)));
        start - shown.start..end - shown.start
    }

    fn bytes(&self, lines: &Range<usize>) -> Range<usize> {
        let at = |line: usize| self.starts.get(line).copied().unwrap_or(self.text.len());
        at(lines.start)..at(lines.end)
    }
}

#[cfg(test)]
mod tests {
    use super::SourceLines;

    #[test]
    fn a_range_is_found_again_in_the_lines_that_it_lies_in() {
        let lines = SourceLines::of("a = 1\nbore = \"é\"\nc\n");
        assert_eq!(lines.around(6..10), 1..2);
        assert_eq!(lines.around(3..8), 0..2);
        assert_eq!(lines.text(&(1..2)), "bore = \"é\"\n");
        assert_eq!(lines.inside(6..10, &(1..2)), 0..4);
        assert_eq!((lines.around(900..901), lines.inside(900..901, &(3..4))), (3..4, 0..0));
    }
}
