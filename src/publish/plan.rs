//! What has to change in a site's folder, found by looking before anything is changed. Writes nothing.

use std::collections::BTreeSet;
use std::path::Path;

use rayon::prelude::*;

use super::ledger::Ledger;
use super::page_path::folders_of;
use super::site_folder::{Pages, Theirs};
use super::{Blocked, PublishTrouble};
use crate::disk::{self, Lies, lies_at};

pub(super) struct Plan<'a> {
    /// Pages whose bytes differ from what is there.
    pub fresh: Vec<&'a str>,
    /// Pages written earlier, still there, and not wanted any more.
    pub stale: Vec<&'a str>,
    /// Folders that pages lie in, outermost first.
    pub folders: BTreeSet<&'a str>,
}

impl<'a> Plan<'a> {
    /// Refused, all told at once: files of others where pages must be (unless they may be replaced), and whatever no
    /// page can replace.
    pub fn make(
        into: &Path,
        pages: &'a Pages,
        earlier: &'a Ledger,
        theirs: Theirs,
    ) -> Result<Plan<'a>, PublishTrouble> {
        let differs = |(page, bytes): (&'a String, &'a Vec<u8>)| {
            let same = disk::same_bytes(&into.join(page), bytes);
            same.map(|same| (!same).then_some(page.as_str()))
        };
        let fresh: Vec<Option<&str>> = pages.par_iter().map(differs).collect::<Result<_, _>>()?;
        let is_there = |page: &&str| {
            folders_of(page).all(|folder| disk::is_real_folder(&into.join(folder)))
                && matches!(lies_at(&into.join(page)), Lies::File)
        };
        let gone = earlier.pages.iter().filter(|page| !pages.contains_key(*page));
        let plan = Plan {
            fresh: fresh.into_iter().flatten().collect(),
            stale: gone.map(String::as_str).filter(is_there).collect(),
            folders: pages.keys().flat_map(|page| folders_of(page)).collect(),
        };
        plan.check(into, earlier, theirs).map(|()| plan)
    }

    fn check(&self, into: &Path, earlier: &Ledger, theirs: Theirs) -> Result<(), PublishTrouble> {
        let (mut others, mut blocked) = (vec![], vec![]);
        let mut block = |path: &str, why| blocked.push(Blocked { path: path.to_string(), why });
        for &folder in &self.folders {
            match lies_at(&into.join(folder)) {
                Lies::Nothing | Lies::Folder => {}
                Lies::File if self.stale.binary_search(&folder).is_ok() => {}
                Lies::File => block(folder, "a file is where a folder must be"),
                _ => block(folder, "a link or a pipe is where a folder must be"),
            }
        }
        for &page in &self.fresh {
            match lies_at(&into.join(page)) {
                Lies::Nothing => {}
                Lies::Folder if earlier.folders.contains(page) && self.empties(into, page) => {}
                Lies::Folder => block(page, "a folder is where a page must be"),
                Lies::Other => block(page, "a pipe or a device is where a page must be"),
                _ if earlier.pages.contains(page) || theirs == Theirs::Replace => {}
                _ => others.push(page.to_string()),
            }
        }
        if !blocked.is_empty() {
            return Err(PublishTrouble::Blocked(blocked));
        }
        if others.is_empty() { Ok(()) } else { Err(PublishTrouble::Theirs(others)) }
    }

    /// Whether nothing is left in a folder once the stale pages are gone.
    fn empties(&self, into: &Path, folder: &str) -> bool {
        let is_stale = |file: &String| self.stale.binary_search(&format!("{folder}/{file}").as_str()).is_ok();
        disk::files_below(&into.join(folder)).iter().all(is_stale)
    }

    /// True of a stale page where a folder must be, or in a folder where a page must be.
    pub fn is_in_the_way(&self, stale: &str) -> bool {
        self.folders.contains(stale)
            || folders_of(stale).any(|folder| self.fresh.binary_search(&folder).is_ok())
    }

    /// Folders made earlier that stand where a page must be.
    pub fn folders_in_the_way<'l>(&self, earlier: &'l Ledger) -> impl DoubleEndedIterator<Item = &'l str> {
        let is_page = |folder: &str| self.fresh.binary_search(&folder).is_ok();
        let in_the_way = earlier.folders.iter().map(String::as_str);
        let found: Vec<&str> = in_the_way.filter(|f| is_page(f) || folders_of(f).any(is_page)).collect();
        found.into_iter()
    }

    pub fn changes_nothing(&self) -> bool {
        self.fresh.is_empty() && self.stale.is_empty()
    }
}
