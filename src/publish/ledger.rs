//! The list of what was written into a site's folder. Knows its own form; never believes a path that leads outside.

use std::collections::BTreeSet;
use std::path::Path;

use super::page_path::is_page_path;
use crate::disk::{self, MachineTrouble};

/// Lies in the site's folder, one path a line, folders with a `/` at the end.
pub const LEDGER_NAME: &str = ".benchleaf-written";

/// Longer than any real ledger; what lies beyond is not read, so it is never removed either.
const MOST_BYTES: u64 = 64 << 20;

/// Pages and folders that the publisher made. Anybody can edit the file, so every path is checked on reading.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Ledger {
    pub pages: BTreeSet<String>,
    pub folders: BTreeSet<String>,
}

impl Ledger {
    /// No ledger, or one that is no text, is an empty one: then nothing is removed.
    pub fn read(into: &Path) -> Result<Ledger, MachineTrouble> {
        let bytes = disk::read_if_there(&into.join(LEDGER_NAME), MOST_BYTES)?.unwrap_or_default();
        Ok(Ledger::parse(std::str::from_utf8(&bytes).unwrap_or("")))
    }

    fn parse(text: &str) -> Ledger {
        let mut ledger = Ledger::default();
        for line in text.lines() {
            match line.strip_suffix('/') {
                Some(folder) if is_page_path(folder) => drop(ledger.folders.insert(folder.to_string())),
                None if is_page_path(line) => drop(ledger.pages.insert(line.to_string())),
                _ => {}
            }
        }
        ledger
    }

    /// As it stands in the file.
    pub fn text(&self) -> String {
        let folders = self.folders.iter().map(|folder| format!("{folder}/\n"));
        self.pages.iter().map(|page| format!("{page}\n")).chain(folders).collect()
    }
}

/// Whether a site was ever published into this folder.
pub fn was_written_before(into: &Path) -> bool {
    into.join(LEDGER_NAME).is_file()
}

#[cfg(test)]
mod tests {
    use super::Ledger;

    #[test]
    fn a_ledger_forgets_every_path_that_leads_outside() {
        let ledger =
            Ledger::parse("index.html\n../../etc/passwd\n/etc/passwd\nguides/\n../up/\n//\n\na/./b\n");
        assert_eq!(ledger.pages.into_iter().collect::<Vec<_>>(), ["index.html"]);
        assert_eq!(ledger.folders.into_iter().collect::<Vec<_>>(), ["guides"]);
    }
}
