//! Which link targets an author may write, and where those inside the site lead. Must not know Markdown.

use unicode_normalization::UnicodeNormalization;

use crate::base::Problem;

/// Schemes that a link may name. Everything else that has a scheme is refused.
const SCHEMES: [&str; 4] = ["http", "https", "mailto", "tel"];

/// Leads to another page of this site.
pub fn is_inside(target: &str) -> bool {
    !target.starts_with('#') && !target.is_empty() && scheme(target).is_none()
}

/// Why the target is refused, still without its place.
pub fn refusal(target: &str) -> Option<Problem> {
    let fact = match scheme(target) {
        Some(scheme) if SCHEMES.contains(&scheme.as_str()) => return None,
        Some(scheme) => format!("links may not use `{scheme}:`"),
        None if target.trim_start().starts_with("//") || target.contains('\\') => {
            "this link names a host without a scheme".into()
        }
        None => return None,
    };
    let allowed = SCHEMES.map(|s| format!("`{s}:`")).join(", ");
    let problem = Problem::error("prose-link-refused", fact)
        .note(format!("allowed are {allowed} and paths inside the site"))
        .mend("write a path from the site's front page, such as `parts/index.html`");
    Some(problem)
}

/// The scheme of a target as a browser would read it: it drops tabs and line ends first, and ignores case.
fn scheme(target: &str) -> Option<String> {
    let bare: String = target.chars().filter(|c| !c.is_control()).collect();
    let (head, _) = bare.trim().split_once(':')?;
    (!head.contains(['/', '?', '#'])).then(|| head.to_ascii_lowercase())
}

/// A target inside the site, counted from its root: leading `/`, `./` and `../` fall away, as a browser drops
/// them at the top.
pub fn from_root(target: &str) -> String {
    let (path, rest) = target.split_at(target.find(['#', '?']).unwrap_or(target.len()));
    let mut kept: Vec<&str> = vec![];
    for piece in path.split('/') {
        match piece {
            "" | "." => {}
            ".." => drop(kept.pop()),
            other => kept.push(other),
        }
    }
    let path: String = kept.join("/").nfc().collect();
    format!("{path}{rest}")
}

/// The page that a target counted from the root leads to: without fragment, its escapes read as a browser reads them,
/// letters composed as they are in the names of pages.
pub fn page_of(target: &str) -> String {
    let path = target.split(['#', '?']).next().unwrap_or("");
    let mut bytes = vec![];
    let mut rest = path.as_bytes();
    while let [first, others @ ..] = rest {
        let escaped = path_byte(rest);
        bytes.push(escaped.unwrap_or(*first));
        rest = if escaped.is_some() { &others[2..] } else { others };
    }
    String::from_utf8(bytes).map_or_else(|_| path.to_string(), |path| path.nfc().collect())
}

/// The byte that `%41` stands for.
fn path_byte(text: &[u8]) -> Option<u8> {
    let [b'%', high, low, ..] = text else { return None };
    let digit = |byte: &u8| char::from(*byte).to_digit(16);
    u8::try_from(digit(high)? * 16 + digit(low)?).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_browser_drops_line_ends_inside_a_scheme_and_so_do_we() {
        assert!(refusal("java\nscript:alert(1)").is_some());
        assert!(refusal("\tjavascript:alert(1)").is_some());
        assert!(refusal("mailto:bench@example.org").is_none());
    }

    #[test]
    fn a_page_is_found_however_its_letters_are_spelt() {
        for target in
            ["pages/\u{e4}.html#x", "pages/a\u{308}.html", "pages/%C3%A4.html?y", "pages/a%CC%88.html"]
        {
            assert_eq!(page_of(&from_root(target)), "pages/\u{e4}.html", "{target}");
        }
        assert_eq!(page_of("a%zz%4"), "a%zz%4");
    }

    #[test]
    fn a_colon_after_a_slash_is_no_scheme() {
        assert!(is_inside("parts/a:b.html"));
        assert_eq!(from_root("./a/../b/c.html?x=1"), "b/c.html?x=1");
    }
}
