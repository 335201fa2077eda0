//! Characters that nobody sees as what they are: controls, turners of the reading direction, what has no width.
//! Knows characters only, not where a text goes.

/// Characters that move the cursor, change colours, turn the reading direction, break a line or stand invisibly
/// between letters (the general categories Cc, Zl, Zp, and Cf but for the visible marks over numbers), without the
/// line end and the tab.
pub fn is_unsafe(c: char) -> bool {
    (c.is_control() && c != '\n' && c != '\t') || is_invisible(c)
}

fn is_invisible(c: char) -> bool {
    matches!(c,
        '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}'
        | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
        | '\u{3164}' | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}'
        | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}')
}

#[cfg(test)]
mod tests {
    use super::is_unsafe;

    #[test]
    fn controls_turners_and_what_has_no_width_are_unsafe_and_letters_of_any_script_are_not() {
        for c in "\u{1b}\u{9b}\r\u{7f}\u{ad}\u{61c}\u{180e}\u{200b}\u{200f}\u{2028}\u{2029}\u{202e}\u{2060}\u{2069}\u{feff}\u{e0041}".chars() {
            assert!(is_unsafe(c), "{c:?}");
        }
        for c in "a ä\n\tлע字नमस्ते🛴€…\u{308}".chars() {
            assert!(!is_unsafe(c), "{c:?}");
        }
    }
}
