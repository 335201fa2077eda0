//! Which built-in rules and pieces a site was compiled with, so that a newer program that brings others says so. Must not
//! know what they decide.

use super::{HEADSET_FOLDER, SYSTEM_FOLDER, Taken, is_piece};
use std::collections::BTreeMap;

/// Stands among the pages of a site whose book takes any.
pub const RECORD: &str = "data/built-in.json";

/// A built-in file by its path in the book, and a mark that is another where its text is.
type Marks = BTreeMap<String, String>;

impl Taken<'_> {
    /// The record for the site; nothing where the book takes no rules and no pieces.
    pub fn record(&self) -> Option<Vec<u8>> {
        let decides = |path: &&str| {
            path.ends_with(".toml")
                && (path.starts_with(SYSTEM_FOLDER) || path.starts_with(HEADSET_FOLDER) || is_piece(path))
        };
        let mark = |path: &str| self.files.get(path).map_or(0, |bytes| mark(bytes));
        let marks: Marks = self
            .paths()
            .filter(decides)
            .map(|path| (path.to_string(), format!("{:016x}", mark(path))))
            .collect();
        let text = serde_json::to_string_pretty(&marks).ok().filter(|_| !marks.is_empty())?;
        Some((text + "\n").into_bytes())
    }
}

/// Paths that were taken before and are now, of which the text is another. A record that cannot be read says nothing.
pub fn changed(before: &[u8], now: &[u8]) -> Vec<String> {
    let read = |bytes: &[u8]| serde_json::from_slice::<Marks>(bytes).unwrap_or_default();
    let (before, now) = (read(before), read(now));
    now.into_iter()
        .filter(|(path, mark)| before.get(path).is_some_and(|old| old != mark))
        .map(|(path, _)| path)
        .collect()
}

/// FNV-1a of 64 bits: the same on every machine and in every version.
fn mark(bytes: &[u8]) -> u64 {
    bytes
        .iter()
        .fold(0xcbf2_9ce4_8422_2325, |mark, byte| (mark ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::BookFiles;

    fn record(shop: &str) -> Option<Vec<u8>> {
        let files = BookFiles::from([("content/shop.toml".to_string(), shop.as_bytes().to_vec())]);
        Taken::of(&files).record()
    }

    #[test]
    fn only_what_decides_is_recorded_and_only_what_became_another_is_told() {
        assert_eq!(record("name = \"A\"\n"), None);
        let now = record("[built_in]\nsystems = [\"wide-shim\"]\npieces = [\"spacers\"]\n").unwrap();
        let text = String::from_utf8(now.clone()).unwrap();
        assert!(
            text.contains("wide-shim.toml") && text.contains("spacers") && !text.contains("safety"),
            "{text}"
        );
        assert_eq!(changed(&now, &now), Vec::<String>::new());
        let before = text.replace("wide-shim.toml\": \"", "wide-shim.toml\": \"0");
        assert_eq!(changed(before.as_bytes(), &now), ["content/systems/wide-shim.toml"]);
        assert_eq!(changed(b"nonsense", &now), Vec::<String>::new());
    }

    /// The published test value of the hash for "a" (FNV, Noll).
    #[test]
    fn the_mark_is_the_published_one() {
        assert_eq!(mark(b"a"), 0xaf63_dc4c_8601_ec8c);
    }
}
