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

/// Whether a name can be a file name and part of an address everywhere: `a-z`, `0-9` and `-` inside.
pub fn is_safe_name(name: &str) -> bool {
    let inside = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    !name.is_empty() && name.chars().all(inside) && !name.starts_with('-') && !name.ends_with('-')
}

/// The nearest safe name, for the mend; `None` where nothing is left of it.
pub fn safe_name(name: &str) -> Option<String> {
    let mut safe = String::new();
    for c in name.chars().flat_map(char::to_lowercase) {
        if c.is_ascii_lowercase() || c.is_ascii_digit() {
            safe.push(c);
        } else if !safe.ends_with('-') && !safe.is_empty() {
            safe.push('-');
        }
    }
    let safe = safe.trim_end_matches('-').to_string();
    (!safe.is_empty()).then_some(safe)
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

    #[test]
    fn safe_names_are_small_letters_digits_and_inner_hyphens() {
        assert!(is_safe_name("wide-shim-28"));
        for name in ["", "-a", "a-", "A", "a b", "a/b", "..", "é", "a_b"] {
            assert!(!is_safe_name(name), "{name}");
        }
        assert_eq!(safe_name("Wide Shim/28 ").as_deref(), Some("wide-shim-28"));
        assert_eq!(safe_name("…"), None);
    }
}
