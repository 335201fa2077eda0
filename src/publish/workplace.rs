//! What a run keeps in a site's folder while it works there, and how it all goes away, however the run ends. Knows no
//! page.
//!
//! Invariant: nothing is made in a site's folder but inside [`step`], so that a program told to stop waits for at most
//! one step, and none begins after it.

use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError, RwLock};
use std::thread;
use std::time::{Duration, Instant};

use super::PublishTrouble;
use super::page_path::OWN_PREFIX;
use crate::disk::{self, Lock, LockTried, MachineTrouble};

/// How long a run waits for another one: publishing takes a moment, compiling is done by then.
const PATIENCE: Duration = Duration::from_secs(20);
const NEXT_TRY: Duration = Duration::from_millis(15);

/// Held for reading by every step, for writing by the end of the program.
static STEPS: RwLock<()> = RwLock::new(());

/// What is to be cleared away if the program is stopped.
static SCRAPS: Mutex<Vec<Scraps>> = Mutex::new(vec![]);

#[derive(Clone, Debug, PartialEq, Eq)]
struct Scraps {
    /// New and old pages of this run.
    shelf: PathBuf,
    lock: PathBuf,
    /// Folders made for the site, outermost first.
    made: Vec<PathBuf>,
}

/// A site's folder, locked, with an empty shelf for pages in it. All of it goes when dropped, and the site's own folder
/// as well if it was made for nothing.
pub(super) struct Workplace {
    scraps: Scraps,
    /// Always there until dropped.
    lock: Option<Lock>,
}

/// Does something that leaves a trace on the disk. Steps must not lie in each other.
pub(super) fn step<T>(work: impl FnOnce() -> T) -> T {
    let _guard = STEPS.read().unwrap_or_else(PoisonError::into_inner);
    work()
}

/// Waits for the steps under way, keeps all others from beginning for good, and clears away what lies about. To be
/// called when the program is about to end.
pub fn abandon() {
    std::mem::forget(STEPS.write());
    for scraps in scraps().iter() {
        scraps.clear_shelf();
        let _ = disk::remove_tree(&scraps.lock);
        scraps.clear_folders();
    }
}

fn scraps() -> MutexGuard<'static, Vec<Scraps>> {
    SCRAPS.lock().unwrap_or_else(PoisonError::into_inner)
}

/// As far as the machine lets it: the next run does the rest.
impl Scraps {
    fn clear_shelf(&self) {
        let _ = disk::remove_tree(&self.shelf);
    }

    /// Those that are still empty.
    fn clear_folders(&self) {
        for folder in self.made.iter().rev() {
            disk::remove_empty_folder(folder);
        }
    }
}

impl Workplace {
    /// Makes the folder if need be, waits until no other run works in it, and clears away what a killed one left.
    pub fn take(into: &Path) -> Result<Workplace, PublishTrouble> {
        let end = Instant::now() + PATIENCE;
        let mut owner = None;
        while Instant::now() < end {
            match step(|| try_take(into))? {
                Tried::Taken(workplace) => return Ok(workplace),
                Tried::Held(by) => owner = by,
            }
            thread::sleep(NEXT_TRY);
        }
        Err(PublishTrouble::Busy(owner))
    }

    /// A place for a file of this run.
    pub fn place(&self, name: &str) -> PathBuf {
        self.scraps.shelf.join(name)
    }
}

enum Tried {
    Taken(Workplace),
    Held(Option<u32>),
}

fn try_take(into: &Path) -> Result<Tried, MachineTrouble> {
    let (shelf, lock) = (into.join(format!("{OWN_PREFIX}new")), into.join(format!("{OWN_PREFIX}lock")));
    let mut made = vec![];
    let ready = disk::make_folder_path(into, &mut made);
    let tried = ready.and_then(|()| disk::try_lock(&lock, std::process::id()));
    let scraps = Scraps { shelf, lock, made };
    let lock = match tried {
        Ok(LockTried::Taken(lock)) => lock,
        Ok(LockTried::Held(by)) => return Ok(Tried::Held(by)),
        Ok(LockTried::Again) => return Ok(Tried::Held(None)),
        Err(trouble) => {
            scraps.clear_folders();
            return Err(trouble);
        }
    };
    self::scraps().push(scraps.clone());
    let workplace = Workplace { scraps, lock: Some(lock) };
    disk::remove_tree(&workplace.scraps.shelf)?;
    disk::make_folder(&workplace.scraps.shelf)?;
    Ok(Tried::Taken(workplace))
}

impl Drop for Workplace {
    fn drop(&mut self) {
        self.scraps.clear_shelf();
        drop(self.lock.take());
        self.scraps.clear_folders();
        let mut all = scraps();
        if let Some(at) = all.iter().position(|scraps| *scraps == self.scraps) {
            all.swap_remove(at);
        }
    }
}
