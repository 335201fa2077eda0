//! The text of a till's export as rows of cells with their places. Must not know what a column means.

use crate::base::{FileId, Problem, Problems, Span};

/// One cell; blanks round it are no part of it.
pub(super) struct Cell {
    pub text: String,
    pub span: Span,
}

/// Cells of one row, in the order of the file; at least one of them is filled.
pub(super) type Cells = Vec<Cell>;

/// Every row that is not blank; `what` the text is called in messages. `None`, and the reason told, where the text as a whole cannot be relied on.
pub(super) fn rows(file: FileId, text: &str, what: &str, problems: &mut Problems) -> Option<Vec<Cells>> {
    if let Some(at) = text.find('\0') {
        problems.push(
            Problem::error("stock-text", format!("{what} has zero bytes in it"))
                .at(Span::new(file, at..at + 1), "the first")
                .note("a till that saves \"Unicode text\" often means UTF-16")
                .mend("save the file as UTF-8"),
        );
        return None;
    }
    let start = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let (start, named) = separator_line(text, start);
    let separator = named.unwrap_or_else(|| separator(&text[start..]));
    if let Some(at) = open_quote(&text[start..], separator) {
        problems.push(
            Problem::error("stock-quote", format!("a quoted cell of {what} is never closed"))
                .at(Span::new(file, start + at..start + at + 1), "opened here")
                .note("everything behind this quote would be one cell; nothing of the list is used")
                .mend("close the quote, or write it twice where it stands for inches"),
        );
        return None;
    }
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator as u8)
        .has_headers(false)
        .flexible(true)
        .from_reader(&text.as_bytes()[start..]);
    let mut rows = vec![];
    for record in reader.records() {
        match record {
            Ok(record) => {
                let at = start + record.position().map_or(0, |p| p.byte() as usize);
                let cells = cells(file, text, at, &record);
                if !cells.iter().all(|c| is_blank(&c.text)) {
                    rows.push(cells);
                }
            }
            Err(error) => {
                let at = start + error.position().map_or(0, |p| p.byte() as usize);
                let problem = Problem::error("stock-row", format!("this row of {what} cannot be read"));
                problems.push(problem.at(Span::new(file, at..at), "").note(error.to_string()));
                return None;
            }
        }
    }
    Some(rows)
}

const SEPARATORS: [char; 3] = [',', ';', '\t'];

/// Where the rows begin, and the separator that some programs name in a line of its own before them: `sep=;`.
fn separator_line(text: &str, start: usize) -> (usize, Option<char>) {
    let rest = &text[start..];
    let line = rest.split(['\n', '\r']).next().unwrap_or("");
    let named = line.strip_prefix("sep=").and_then(|s| s.chars().next());
    match named.filter(|c| SEPARATORS.contains(c) && line.len() == "sep=,".len()) {
        Some(separator) => (start + line.len(), Some(separator)),
        None => (start, None),
    }
}

/// Nothing but blanks and separators, of whichever kind.
fn is_blank(text: &str) -> bool {
    text.chars().all(|c| c.is_whitespace() || SEPARATORS.contains(&c))
}

/// The mark that stands most often outside quotes in the first line that is not blank; a comma where none does.
fn separator(text: &str) -> char {
    let header = text.split(['\n', '\r']).find(|line| !is_blank(line)).unwrap_or("");
    let mut quoted = false;
    let mut counts = [0_usize; SEPARATORS.len()];
    for c in header.chars() {
        quoted ^= c == '"';
        if let Some(mark) = SEPARATORS.iter().position(|s| *s == c).filter(|_| !quoted) {
            counts[mark] += 1;
        }
    }
    let most = counts.iter().max().copied().unwrap_or(0);
    let first = counts.iter().position(|c| *c == most).unwrap_or(0);
    SEPARATORS[first]
}

/// Place of a quote that opens a cell and is never closed.
fn open_quote(text: &str, separator: char) -> Option<usize> {
    let mut opened = None;
    let mut at_start = true;
    let mut letters = text.char_indices().peekable();
    while let Some((at, c)) = letters.next() {
        match opened {
            Some(_) if c == '"' => match letters.peek() {
                Some((_, '"')) => drop(letters.next()),
                _ => opened = None,
            },
            Some(_) => {}
            None if c == '"' && at_start => opened = Some(at),
            None => {}
        }
        at_start = opened.is_none() && (c == separator || c == '\n' || c == '\r');
    }
    opened
}

/// More blanks than anyone puts round a cell.
const BLANKS: usize = 256;

/// The cells of a record that starts at byte `at`.
fn cells(file: FileId, text: &str, at: usize, record: &csv::StringRecord) -> Cells {
    let mut from = at;
    record
        .iter()
        .map(|cell| {
            let cell = cell.trim();
            // With doubled quotes in it a cell is not found as it reads: then its place is where the search began.
            let reach = text.floor_char_boundary((from + 2 * cell.len() + BLANKS).min(text.len()));
            let found = text.get(from..reach).and_then(|rest| rest.find(cell)).map(|i| from + i);
            let start = found.unwrap_or(from);
            let end = (start + cell.len()).min(text.len());
            from = end;
            Cell { text: cell.to_string(), span: Span::new(file, start..end) }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Sources;

    fn read(text: &str) -> Result<Vec<Vec<String>>, Vec<&'static str>> {
        let (mut sources, mut problems) = (Sources::default(), Problems::default());
        let file = sources.add("parts/stock.csv", text);
        let rows = rows(file, text, "the stock list", &mut problems);
        let texts = |cells: Cells| cells.into_iter().map(|c| c.text).collect();
        match rows {
            Some(rows) if problems.0.is_empty() => Ok(rows.into_iter().map(texts).collect()),
            _ => Err(problems.0.iter().map(|p| p.code).collect()),
        }
    }

    fn two(first: [&str; 2], second: [&str; 2]) -> Result<Vec<Vec<String>>, Vec<&'static str>> {
        Ok([first, second].map(|row| row.map(str::to_string).to_vec()).to_vec())
    }

    #[test]
    fn each_separator_is_known_by_the_first_line_that_says_something() {
        let expected = || two(["id", "price"], ["a", "6,50"]);
        assert_eq!(read("id;price\na;6,50\n"), expected());
        assert_eq!(read("\u{feff}id\tprice\r\na\t6,50\r\n"), expected());
        assert_eq!(read("\n;;\n\nid;price\n;\n a ; 6,50 \n\n"), expected());
        assert_eq!(read("sep=;\r\nid;price\r\na;6,50"), expected());
        assert_eq!(read("\"id\",\"price\"\n\"a\",\"6,50\"\n"), expected());
        assert_eq!(read("id;price\ra;6,50\r"), expected());
        assert_eq!(read("\"id\";\"price\"\n\"a\";\"6,50\"\n"), expected());
    }

    #[test]
    fn a_separator_inside_quotes_is_not_counted() {
        assert_eq!(read("\"a,b,c,d\";id\nx;y\n"), two(["a,b,c,d", "id"], ["x", "y"]));
    }

    #[test]
    fn quotes_are_closed_or_the_list_is_refused() {
        assert_eq!(read("id,name\na,\"5\"\" bar\"\n"), two(["id", "name"], ["a", "5\" bar"]));
        assert_eq!(read("id,name\na,5\" bar\n"), two(["id", "name"], ["a", "5\" bar"]));
        assert_eq!(read("id,name\na,\"two\nlines\"\n"), two(["id", "name"], ["a", "two\nlines"]));
        assert_eq!(read("id,name\na,\"5\nb,6\n"), Err(vec!["stock-quote"]));
    }

    #[test]
    fn text_saved_as_utf16_is_refused_as_such() {
        assert_eq!(read("i\0d\0,\0"), Err(vec!["stock-text"]));
    }

    #[test]
    fn a_list_without_rows_has_none() {
        for text in ["", "\u{feff}", "\n\n", ",,,\n;;\n"] {
            assert_eq!(read(text), Ok(vec![]), "{text:?}");
        }
    }
}
