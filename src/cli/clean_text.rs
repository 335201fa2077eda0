//! Makes text that others wrote harmless to a terminal. Knows characters only.

use std::borrow::Cow;

/// What stands for a character of one, two or three bytes that must not reach a terminal. As long as what it
/// stands for, so that places in the text stay right.
fn stand_in(c: char) -> char {
    match c.len_utf8() {
        1 => '?',
        2 => '\u{bf}',
        _ => '\u{fffd}',
    }
}

/// Characters that move the cursor, change colours, or turn the reading direction around.
pub fn is_unsafe(c: char) -> bool {
    (c.is_control() && c != '\n' && c != '\t')
        || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}')
}

/// The same text, byte for byte as long, without unsafe characters. A carriage return becomes a space.
pub fn clean(text: &str) -> Cow<'_, str> {
    if !text.contains(is_unsafe) {
        return Cow::Borrowed(text);
    }
    let safe = |c| match c {
        '\r' => ' ',
        c if is_unsafe(c) => stand_in(c),
        c => c,
    };
    Cow::Owned(text.chars().map(safe).collect())
}

#[cfg(test)]
mod tests {
    use super::clean;

    #[test]
    fn cleaning_keeps_the_length_and_leaves_no_escape() {
        let wild = "a\u{1b}[31mb\u{9b}2Jc\u{202e}d\r\ne\tf\u{7f}";
        let clean = clean(wild);
        assert_eq!(clean.len(), wild.len());
        assert_eq!(clean, "a?[31mb\u{bf}2Jc\u{fffd}d \ne\tf?");
    }
}
