//! Small matters of print in a finished page: a number and its unit stay on one line, a minus is a minus. Must not know
//! what a page says.

/// Units that stand after a number, longest first.
const UNITS: [&str; 4] = ["N m", "mm", "kN", "%"];
const NO_BREAK: char = '\u{a0}';
const MINUS: char = '\u{2212}';

/// The same page with no-break spaces before units and true minus signs before digits, in text alone: tags, scripts and
/// styles stay as they are.
pub fn typeset(html: &str) -> String {
    let mut out = String::with_capacity(html.len() + html.len() / 64);
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        text(&rest[..at], &mut out);
        rest = &rest[at..];
        let end = end_of_tag(rest);
        out.push_str(&rest[..end]);
        rest = &rest[end..];
    }
    text(rest, &mut out);
    out
}

/// Past the tag that begins here, past its whole content where that is no text to read.
fn end_of_tag(html: &str) -> usize {
    for (opens, closes) in [("<script", "</script>"), ("<style", "</style>"), ("<!--", "-->")] {
        if html.starts_with(opens) {
            return html.find(closes).map_or(html.len(), |at| at + closes.len());
        }
    }
    let mut quoted = None;
    for (at, c) in html.char_indices() {
        match (quoted, c) {
            (None, '>') => return at + 1,
            (None, '"' | '\'') => quoted = Some(c),
            (Some(q), c) if q == c => quoted = None,
            _ => {}
        }
    }
    html.len()
}

fn text(text: &str, out: &mut String) {
    let mut before = ' ';
    for (at, c) in text.char_indices() {
        let rest = &text[at + c.len_utf8()..];
        let digit_next = rest.starts_with(|n: char| n.is_ascii_digit());
        out.push(match c {
            ' ' if before.is_ascii_digit() && begins_with_unit(rest) => NO_BREAK,
            ' ' if before == 'N' && rest.starts_with('m') && ends_word(&rest[1..]) => NO_BREAK,
            '-' if digit_next && (before.is_whitespace() || before == '(') => MINUS,
            other => other,
        });
        before = c;
    }
}

fn begins_with_unit(text: &str) -> bool {
    UNITS.iter().any(|unit| text.strip_prefix(unit).is_some_and(ends_word))
}

fn ends_word(text: &str) -> bool {
    !text.starts_with(|c: char| c.is_alphanumeric())
}

#[cfg(test)]
mod tests {
    use super::typeset;

    #[test]
    fn a_number_keeps_its_unit_on_the_line() {
        assert_eq!(typeset("<p>8 N m, 2.5 mm</p>"), "<p>8\u{a0}N\u{a0}m, 2.5\u{a0}mm</p>");
        assert_eq!(typeset("<p>2 mmm and 3 more</p>"), "<p>2 mmm and 3 more</p>");
    }

    #[test]
    fn a_minus_before_a_digit_is_a_minus_and_a_hyphen_stays() {
        assert_eq!(typeset("<td>-0.42 to -0.33</td>"), "<td>\u{2212}0.42 to \u{2212}0.33</td>");
        assert_eq!(typeset("<p>A2-70, +0/-0.05</p>"), "<p>A2-70, +0/-0.05</p>");
    }

    #[test]
    fn tags_scripts_and_styles_stay_as_they_are() {
        for kept in
            ["<a title=\"8 mm > -1\">", "<script>1 -1; \"8 mm\"</script>", "<style>a{b:8 mm -1}</style>"]
        {
            assert_eq!(typeset(kept), kept);
        }
    }
}
