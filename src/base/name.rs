//! Names of ids, files and pages: which of them work as files everywhere. Knows no folder and touches no disk.

use unicode_normalization::UnicodeNormalization;

use super::invisible::is_unsafe;

/// A name is part of a path: of Windows' 260 characters much must be left for the folders.
pub const MOST_LETTERS: usize = 60;

/// File systems end a name after 255 bytes; `.html` and the publisher's own endings go with it.
const MOST_BYTES: usize = 200;

/// Names of devices: Windows refuses files of these names, whatever their ending.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

/// Each folder of pages has a list page of this name.
const LIST_PAGE: &str = "index";

/// Why a name cannot be used, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NameRefused {
    pub note: String,
    /// A name that would do, where one can be told.
    pub instead: Option<String>,
}

/// What keeps a name from being an id: ids are file names and parts of addresses on every kind of machine.
pub fn refused_id(name: &str) -> Option<NameRefused> {
    let refuse = |note: String| Some(NameRefused { note, instead: safe_name(name).filter(|n| n != name) });
    if !has_safe_letters(name) {
        return refuse("expected small letters a-z, digits and hyphens inside".into());
    }
    if name.len() > MOST_LETTERS {
        return refuse(format!("it has {} letters; expected {MOST_LETTERS} at most", name.len()));
    }
    if name == LIST_PAGE {
        return refuse("the list pages have this name".into());
    }
    is_device(name).then(|| refuse(DEVICE.into())).flatten()
}

const DEVICE: &str = "Windows keeps this name for a device and refuses files of it";

/// Whether a name can be an id.
pub fn is_safe_name(name: &str) -> bool {
    refused_id(name).is_none()
}

fn has_safe_letters(name: &str) -> bool {
    let inside = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    !name.is_empty() && name.chars().all(inside) && !name.starts_with('-') && !name.ends_with('-')
}

/// Superscript digits count as digits there.
fn is_device(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or("").trim_end().to_lowercase();
    let port = stem.strip_prefix("com").or(stem.strip_prefix("lpt"));
    DEVICES.contains(&stem.as_str())
        || port.is_some_and(|nth| {
            nth.chars().count() == 1
                && nth.chars().all(|c| c.is_ascii_digit() || matches!(c, '\u{b9}' | '\u{b2}' | '\u{b3}'))
        })
}

/// The nearest safe name, for the mend; `None` where nothing is left of it.
pub fn safe_name(name: &str) -> Option<String> {
    let mut safe = String::new();
    for c in plain_letters(name) {
        if c.is_ascii_lowercase() || c.is_ascii_digit() {
            safe.push(c);
        } else if !safe.ends_with('-') && !safe.is_empty() {
            safe.push('-');
        }
    }
    safe.truncate(MOST_LETTERS);
    let safe = safe.trim_end_matches('-').to_string();
    match safe.as_str() {
        "" => None,
        LIST_PAGE => Some("index-1".into()),
        device if is_device(device) => Some(format!("{device}-1")),
        _ => Some(safe),
    }
}

/// Small letters without their marks: `ü` as `ue`, `é` as `e`.
fn plain_letters(name: &str) -> Vec<char> {
    let spelt = |c: char| match c {
        'ä' | 'æ' => vec!['a', 'e'],
        'ö' | 'ø' => vec!['o', 'e'],
        'ü' => vec!['u', 'e'],
        'ß' => vec!['s', 's'],
        c => c.nfd().filter(|c| !('\u{300}'..='\u{36f}').contains(c)).collect(),
    };
    name.nfc().flat_map(char::to_lowercase).flat_map(spelt).collect()
}

/// What a file of any name is called as a page: letters, digits and marks of every script stay as they are, composed
/// (an ä is one letter, however the file's name spells it); what an address, a terminal or a file system could
/// misread becomes `-`. Never empty.
pub fn page_name(name: &str) -> String {
    let keep = |c: char| match c {
        '-' | '_' => true,
        c if c.is_ascii() => c.is_ascii_alphanumeric(),
        c => !c.is_whitespace() && !is_unsafe(c) && c != char::REPLACEMENT_CHARACTER,
    };
    let kept: String = name.nfc().map(|c| if keep(c) { c } else { '-' }).collect();
    if kept.is_empty() { "-".into() } else { kept }
}

/// Two paths that are one file on some machines have one folded form: letters composed, large ones small.
pub fn folded(path: &str) -> String {
    path.nfc().flat_map(char::to_lowercase).nfc().collect()
}

/// What keeps a file of this name from being laid into a site as it is.
pub fn refused_file_name(name: &str) -> Option<NameRefused> {
    let refuse = |note: String| Some(NameRefused { note, instead: None });
    let marks = ['\\', '/', ':', '*', '?', '"', '<', '>', '|', '#', '%'];
    if name.contains(marks) || name.contains(is_unsafe) {
        return refuse("a mark in its name means something else in addresses or on other machines".into());
    }
    if name.starts_with('.') || name.ends_with(['.', ' ']) {
        return refuse(
            "names that begin with a point, or end with one or a blank, get lost on some machines".into(),
        );
    }
    if name.len() > MOST_BYTES {
        return refuse(format!("its name takes {} bytes; expected {MOST_BYTES} at most", name.len()));
    }
    is_device(name).then(|| refuse(DEVICE.into())).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn safe_names_are_small_letters_digits_and_inner_hyphens() {
        assert!(is_safe_name("wide-shim-28") && is_safe_name(&"a".repeat(60)) && is_safe_name("com10"));
        for name in ["", "-a", "a-", "A", "a b", "a/b", "..", "é", "a_b"] {
            assert!(!is_safe_name(name), "{name}");
        }
        assert_eq!(safe_name("Wide Shim/28 ").as_deref(), Some("wide-shim-28"));
        assert_eq!(safe_name("Hülse é").as_deref(), Some("huelse-e"));
        assert_eq!(safe_name("…"), None);
    }

    #[test]
    fn no_id_is_a_list_page_a_device_or_longer_than_a_path_bears() {
        for name in ["index", "con", "nul", "aux", "prn", "com1", "lpt9", "com0"] {
            let refused = refused_id(name).unwrap_or_else(|| panic!("{name}"));
            assert_eq!(refused.instead, Some(format!("{name}-1")));
        }
        let long = refused_id(&"a".repeat(61));
        assert_eq!(long.map(|r| r.instead), Some(Some("a".repeat(60))));
    }

    #[test]
    fn a_page_keeps_the_letters_of_every_script_and_marks_become_hyphens() {
        for name in ["ä", "ö", "лом", "字", "नमस्ते", "a_b-c", "ÅNGSTRÖM"] {
            assert_eq!(page_name(name), name.nfc().collect::<String>());
        }
        assert_eq!(page_name("a\u{308}"), "ä");
        for name in ["a b", "a-b", "a.b", "a%b", "a\u{202e}b", "a\u{a0}b"] {
            assert_eq!(page_name(name), "a-b", "{name:?}");
        }
        assert_eq!((page_name("").as_str(), page_name("../..").as_str()), ("-", "-----"));
    }

    #[test]
    fn what_is_one_file_on_some_machine_folds_to_one() {
        assert_eq!(folded("pages/ÄB.html"), folded("pages/a\u{308}b.html"));
        assert_ne!(folded("ä"), folded("ö"));
    }

    #[test]
    fn a_themes_file_has_a_name_that_works_everywhere() {
        for name in ["style.css", "bild ä.png", "a(1).svg"] {
            assert_eq!(refused_file_name(name), None, "{name}");
        }
        for name in ["a:b", "con.css", "COM1", "a\u{202e}.js", ".hidden", "end.", "a?b", &"ä".repeat(101)] {
            assert!(refused_file_name(name).is_some(), "{name}");
        }
    }
}
