//! One run of publishing: look, stage everything, then rename everything, or take all of it back. Knows no compiler and
//! no book.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::PublishTrouble;
use super::commit::Commit;
use super::ledger::{LEDGER_NAME, Ledger};
use super::page_path::{folders_of, is_page_path};
use super::plan::Plan;
use super::workplace::{Workplace, step};
use crate::disk::{self, Lies, MachineTrouble, lies_at};

/// What a run did, in pages: by their paths, in order, or by how many there are.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Published {
    pub written: Vec<String>,
    /// Same bytes as before: not touched, time stamp kept.
    pub unchanged: usize,
    pub removed: Vec<String>,
}

impl Published {
    /// Whether there is any page that is not as it was before.
    pub fn anything(&self) -> bool {
        !self.written.is_empty() || !self.removed.is_empty()
    }
}

/// What becomes of files that Benchleaf did not write where its pages must be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Theirs {
    /// They stay, and nothing is written at all.
    Stay,
    Replace,
}

pub(super) type Pages = BTreeMap<String, Vec<u8>>;

/// Makes `into` hold exactly these pages, beside whatever else lies there. Everything is looked at and laid ready first;
/// what fails then has changed nothing. The rest is renames, as fast as they go: one that fails takes those before it
/// back. Another process that publishes here is waited for.
///
/// A process killed outright during the renames leaves some pages new and some old, each of them whole: the next run
/// puts that right.
pub fn publish(into: &Path, pages: &Pages, theirs: Theirs) -> Result<Published, PublishTrouble> {
    if let Some(page) = pages.keys().find(|page| !is_page_path(page)) {
        return Err(PublishTrouble::PageOutside(page.clone()));
    }
    let place = Workplace::take(into)?;
    let earlier = Ledger::read(into)?;
    let plan = Plan::make(into, pages, &earlier, theirs)?;
    let staged = Staged::lay_ready(into, &place, pages, &plan)?;
    let published = Published {
        written: plan.fresh.iter().map(ToString::to_string).collect(),
        unchanged: pages.len() - plan.fresh.len(),
        removed: plan.stale.iter().map(ToString::to_string).collect(),
    };
    let mut run = Run { into, pages, earlier: &earlier, plan, staged, place: &place, ledgers: 0 };
    step(|| run.commit())?;
    Ok(published)
}

/// New pages and the old ones that they replace, by the order of the plan's lists.
struct Staged {
    new: Vec<PathBuf>,
    old: Vec<Option<PathBuf>>,
    stale: Vec<PathBuf>,
}

impl Staged {
    fn lay_ready(
        into: &Path,
        place: &Workplace,
        pages: &Pages,
        plan: &Plan,
    ) -> Result<Staged, MachineTrouble> {
        let lay = |(nth, page): (usize, &&str)| {
            let (new, old) = (place.place(&format!("new-{nth}")), place.place(&format!("old-{nth}")));
            let bytes = pages.get(*page).map(Vec::as_slice).unwrap_or_default();
            // Told of the page that it is for: its place on the shelf says nobody anything.
            let of_page = |trouble| MachineTrouble { path: into.join(page), ..trouble };
            step(|| disk::write_new(&new, bytes)).map_err(of_page)?;
            let kept = match lies_at(&into.join(page)) {
                Lies::Nothing | Lies::Folder => None,
                _ => step(|| disk::keep_beside(&into.join(page), &old)).map(|()| Some(old))?,
            };
            Ok((new, kept))
        };
        let keep = |(nth, page): (usize, &&str)| {
            let kept = place.place(&format!("stale-{nth}"));
            step(|| disk::keep_beside(&into.join(page), &kept)).map(|()| kept)
        };
        let laid: Vec<(PathBuf, Option<PathBuf>)> =
            plan.fresh.par_iter().enumerate().map(lay).collect::<Result<_, MachineTrouble>>()?;
        let (new, old) = laid.into_iter().unzip();
        let stale = plan.stale.iter().enumerate().map(keep).collect::<Result<_, _>>()?;
        Ok(Staged { new, old, stale })
    }
}

struct Run<'a> {
    into: &'a Path,
    pages: &'a Pages,
    earlier: &'a Ledger,
    plan: Plan<'a>,
    staged: Staged,
    place: &'a Workplace,
    /// How many were laid ready.
    ledgers: usize,
}

impl Run<'_> {
    fn commit(&mut self) -> Result<(), PublishTrouble> {
        let mut commit = Commit::default();
        let Err(trouble) = self.rename(&mut commit) else { return Ok(()) };
        let left = commit.undo();
        Err(match left.is_empty() {
            true => PublishTrouble::Machine(trouble),
            false => PublishTrouble::Torn { trouble, left },
        })
    }

    fn rename(&mut self, commit: &mut Commit) -> Result<(), MachineTrouble> {
        let pages: BTreeSet<String> = self.pages.keys().cloned().collect();
        let mut ledger = Ledger { pages, folders: self.earlier.folders.clone() };
        if !self.plan.changes_nothing() {
            // Listed before they are in place: a run cut short here still knows, next time, what is its own.
            let made =
                self.plan.folders.iter().filter(|folder| lies_at(&self.into.join(folder)) == Lies::Nothing);
            let folders =
                made.map(|folder| folder.to_string()).chain(ledger.folders.iter().cloned()).collect();
            let both = Ledger { pages: &ledger.pages | &self.earlier.pages, folders };
            self.put_ledger(&both, commit)?;
            self.remove_stale(commit, InTheWay::Yes)?;
            self.plan
                .folders_in_the_way(self.earlier)
                .rev()
                .for_each(|f| commit.remove_folder(&self.into.join(f)));
            for folder in &self.plan.folders {
                if commit.make_folder(&self.into.join(folder))? {
                    ledger.folders.insert(folder.to_string());
                }
            }
            for (nth, page) in self.plan.fresh.iter().enumerate() {
                let (new, old) = (&self.staged.new[nth], self.staged.old[nth].as_deref());
                commit.put(new, &self.into.join(page), old)?;
            }
            self.remove_stale(commit, InTheWay::No)?;
        }
        let idle = ledger.folders.iter().filter(|folder| !self.plan.folders.contains(folder.as_str()));
        for folder in idle.rev().filter(|folder| self.lies_in_real_folders(folder)) {
            commit.remove_folder(&self.into.join(folder));
        }
        ledger.folders.retain(|folder| {
            self.plan.folders.contains(folder.as_str()) || disk::is_real_folder(&self.into.join(folder))
        });
        self.put_ledger(&ledger, commit)
    }

    fn remove_stale(&self, commit: &mut Commit, in_the_way: InTheWay) -> Result<(), MachineTrouble> {
        for (page, kept) in self.plan.stale.iter().zip(&self.staged.stale) {
            if self.plan.is_in_the_way(page) == (in_the_way == InTheWay::Yes) {
                commit.remove(&self.into.join(page), kept)?;
            }
        }
        Ok(())
    }

    /// Puts the list in place, if it says anything else than the one that lies there.
    fn put_ledger(&mut self, ledger: &Ledger, commit: &mut Commit) -> Result<(), MachineTrouble> {
        let (target, text) = (self.into.join(LEDGER_NAME), ledger.text());
        if disk::same_bytes(&target, text.as_bytes())? {
            return Ok(());
        }
        let nth = self.ledgers;
        self.ledgers += 1;
        let new = self.place.place(&format!("ledger-{nth}"));
        disk::write_new(&new, text.as_bytes())?;
        let old = self.place.place(&format!("old-ledger-{nth}"));
        let kept = lies_at(&target) != Lies::Nothing;
        if kept {
            disk::keep_beside(&target, &old)?;
        }
        commit.put(&new, &target, kept.then_some(&old))
    }

    fn lies_in_real_folders(&self, path: &str) -> bool {
        folders_of(path).all(|folder| disk::is_real_folder(&self.into.join(folder)))
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum InTheWay {
    Yes,
    No,
}
