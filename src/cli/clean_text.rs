//! Makes text that others wrote harmless to a terminal. Knows characters only.

use std::borrow::Cow;

use crate::base::is_unsafe;

/// What stands for a character of one, two, three or four bytes that must not reach a terminal. As long as what it
/// stands for, so that places in the text stay right.
fn stand_in(c: char) -> &'static str {
    match (c, c.len_utf8()) {
        ('\r', _) => " ",
        (_, 1) => "?",
        (_, 2) => "\u{bf}",
        (_, 3) => "\u{fffd}",
        _ => "\u{fffd}?",
    }
}

/// The same text, byte for byte as long, without unsafe characters. A carriage return becomes a space.
pub fn clean(text: &str) -> Cow<'_, str> {
    if !text.contains(is_unsafe) {
        return Cow::Borrowed(text);
    }
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        if is_unsafe(c) { safe.push_str(stand_in(c)) } else { safe.push(c) }
    }
    Cow::Owned(safe)
}

/// JSON allows some characters raw that a terminal does not bear; as escapes they mean the same.
pub fn escaped_json(json: &str) -> Cow<'_, str> {
    if !json.contains(is_unsafe) {
        return Cow::Borrowed(json);
    }
    let mut safe = String::with_capacity(json.len());
    for c in json.chars() {
        if is_unsafe(c) {
            let units =
                c.encode_utf16(&mut [0; 2]).iter().map(|unit| format!("\\u{unit:04x}")).collect::<String>();
            safe.push_str(&units);
        } else {
            safe.push(c);
        }
    }
    Cow::Owned(safe)
}

#[cfg(test)]
mod tests {
    use super::{clean, escaped_json};

    #[test]
    fn cleaning_keeps_the_length_and_leaves_no_escape() {
        let wild = "a\u{1b}[31mb\u{9b}2Jc\u{202e}d\r\ne\tf\u{7f}\u{61c}\u{2028}\u{200b}\u{e0041}";
        let clean = clean(wild);
        assert_eq!(clean.len(), wild.len());
        assert_eq!(clean, "a?[31mb\u{bf}2Jc\u{fffd}d \ne\tf?\u{bf}\u{fffd}\u{fffd}\u{fffd}?");
    }

    #[test]
    fn json_escapes_mean_the_same() -> Result<(), serde_json::Error> {
        let wild = "a\u{9b}b\u{202e}c\u{61c}d\u{2028}e\u{200b}f\u{e0041}";
        let json = format!("\"{wild}\"");
        let escaped = escaped_json(&json);
        assert!(!escaped.contains(crate::base::is_unsafe), "{escaped}");
        assert_eq!(serde_json::from_str::<String>(&escaped)?, wild);
        Ok(())
    }
}
