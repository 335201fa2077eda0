//! One run of publishing: compare, stage everything, then rename everything. Knows no compiler and no book.

use std::collections::{BTreeMap, BTreeSet};
use std::error::Error;
use std::fmt;
use std::io;
use std::path::Path;

use rayon::prelude::*;

use super::ledger::Ledger;
use super::page_path::{folders_of, is_page_path};
use crate::disk::{self, MachineTrouble, Staged};

/// What a run did, in pages.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Published {
    pub written: usize,
    /// Same bytes as before: not touched, time stamp kept.
    pub unchanged: usize,
    pub removed: usize,
}

#[derive(Debug)]
pub enum PublishTrouble {
    /// A page's path would lead out of the folder; nothing was written.
    PageOutside(String),
    Machine(MachineTrouble),
}

impl From<MachineTrouble> for PublishTrouble {
    fn from(trouble: MachineTrouble) -> PublishTrouble {
        PublishTrouble::Machine(trouble)
    }
}

impl fmt::Display for PublishTrouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PublishTrouble::PageOutside(page) => {
                write!(f, "the page path `{}` leads out of the site's folder", page.escape_debug())
            }
            PublishTrouble::Machine(trouble) => trouble.fmt(f),
        }
    }
}

impl Error for PublishTrouble {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        match self {
            PublishTrouble::PageOutside(_) => None,
            PublishTrouble::Machine(trouble) => trouble.source(),
        }
    }
}

type Pages = BTreeMap<String, Vec<u8>>;

/// Makes `into` hold exactly these pages, beside whatever else lies there. If the disk fills or refuses while the
/// new pages are being put beside the old, the old stay as they were; only a failure in the final renaming, which
/// needs no room, can leave a mixture. Running it again always mends that.
pub fn publish(into: &Path, pages: &Pages) -> Result<Published, PublishTrouble> {
    if let Some(page) = pages.keys().find(|page| !is_page_path(page)) {
        return Err(PublishTrouble::PageOutside(page.clone()));
    }
    disk::make_folder_path(into)?;
    let earlier = Ledger::read(into)?;
    let mut removed = remove_stale(into, earlier.pages.iter().filter(|page| stands_in_the_way(page, pages)))?;
    remove_folders(into, earlier.folders.iter().filter(|folder| is_or_lies_in_a_page(folder, pages)));

    let mut ledger = Ledger { pages: pages.keys().cloned().collect(), folders: earlier.folders.clone() };
    make_folders(into, pages, &mut ledger.folders)?;
    let staged: Vec<Option<Staged>> = pages
        .par_iter()
        .map(|(page, bytes)| stage_if_new(&into.join(page), bytes))
        .collect::<Result<_, _>>()?;
    let written = staged.iter().flatten().count();

    // Listed before they are in place: a run cut short here still knows, next time, what is its own.
    let both = Ledger { pages: &ledger.pages | &earlier.pages, folders: ledger.folders.clone() };
    both.write(into)?;
    staged.into_iter().flatten().try_for_each(Staged::put)?;
    removed += remove_stale(into, earlier.pages.difference(&ledger.pages))?;
    let needed: BTreeSet<&str> = pages.keys().flat_map(|page| folders_of(page)).collect();
    let idle: Vec<String> = ledger.folders.iter().filter(|f| !needed.contains(f.as_str())).cloned().collect();
    remove_folders(into, idle.iter());
    ledger.folders.retain(|folder| needed.contains(folder.as_str()) || into.join(folder).is_dir());
    ledger.write(into)?;
    Ok(Published { written, unchanged: pages.len() - written, removed })
}

/// True of an earlier page where a folder must be now, or in a folder where a page must be now.
fn stands_in_the_way(earlier: &str, pages: &Pages) -> bool {
    let beneath = format!("{earlier}/");
    let next = pages.range(beneath.clone()..).next();
    next.is_some_and(|(page, _)| page.starts_with(&beneath))
        || folders_of(earlier).any(|f| pages.contains_key(f))
}

fn is_or_lies_in_a_page(folder: &str, pages: &Pages) -> bool {
    pages.contains_key(folder) || folders_of(folder).any(|outer| pages.contains_key(outer))
}

fn stage_if_new(target: &Path, bytes: &[u8]) -> Result<Option<Staged>, MachineTrouble> {
    if disk::same_bytes(target, bytes)? { Ok(None) } else { disk::stage(target, bytes).map(Some) }
}

/// Makes the folders that pages need, and notes those that were not there. A link where a folder should be is
/// refused: what is written through it would land outside.
fn make_folders(into: &Path, pages: &Pages, made: &mut BTreeSet<String>) -> Result<(), MachineTrouble> {
    let needed: BTreeSet<&str> = pages.keys().flat_map(|page| folders_of(page)).collect();
    for folder in needed {
        let path = into.join(folder);
        if disk::make_folder(&path)? {
            made.insert(folder.to_string());
        }
        if !disk::is_real_folder(&path) {
            let cause =
                io::Error::new(io::ErrorKind::NotADirectory, "a link or a file is where a folder must be");
            return Err(MachineTrouble::new("making the folder", &path, cause));
        }
    }
    Ok(())
}

fn remove_stale<'a>(into: &Path, pages: impl Iterator<Item = &'a String>) -> Result<usize, MachineTrouble> {
    let mut removed = 0;
    for page in pages {
        if lies_in_real_folders(into, page) && disk::remove_file(&into.join(page))? {
            removed += 1;
        }
    }
    Ok(removed)
}

/// Deepest first; a folder that holds anything else stays.
fn remove_folders<'a>(into: &Path, folders: impl DoubleEndedIterator<Item = &'a String>) {
    for folder in folders.rev() {
        if lies_in_real_folders(into, folder) {
            disk::remove_empty_folder(&into.join(folder));
        }
    }
}

fn lies_in_real_folders(into: &Path, path: &str) -> bool {
    folders_of(path).all(|folder| disk::is_real_folder(&into.join(folder)))
}
