//! Bytes of a book's file as text with places. Knows no format.

use super::{FileId, Problem, Problems, Sources, Span};

/// Adds the file to the sources. A file that is not UTF-8 is one problem at its first wrong byte, and `None`.
pub fn add_text(path: &str, bytes: &[u8], sources: &mut Sources, problems: &mut Problems) -> Option<FileId> {
    let wrong = match std::str::from_utf8(bytes) {
        Ok(text) => return Some(sources.add(path, text)),
        Err(wrong) => wrong.valid_up_to(),
    };
    let file = sources.add(path, String::from_utf8_lossy(bytes));
    let byte = bytes.get(wrong).copied().unwrap_or_default();
    let mark = char::REPLACEMENT_CHARACTER.len_utf8();
    problems.push(
        Problem::error("not-utf8", "the file is not UTF-8 text")
            .at(Span::new(file, wrong..wrong + mark), format!("byte {byte:#04x}"))
            .note("every file of a book is UTF-8")
            .mend("save the file as UTF-8"),
    );
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wrong_byte_is_placed_on_its_line() {
        let (mut sources, mut problems) = (Sources::default(), Problems::default());
        assert_eq!(add_text("parts/a.toml", b"a = 1\nb = \"\xe9\"\n", &mut sources, &mut problems), None);
        assert_eq!(sources.line_column(problems.0[0].places[0].span), (2, 6));
        assert_eq!(problems.0[0].places[0].label, "byte 0xe9");
    }
}
