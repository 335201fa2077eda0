//! The file beside a site's ledger in which a run leaves for the next one what it found. Knows bytes alone.

use std::path::Path;

use super::PublishTrouble;
use super::workplace::{Workplace, step};
use crate::disk::{self, MachineTrouble};

/// Lies in the site's folder. It may be deleted at any time.
const FOUND_NAME: &str = ".benchleaf-found";

/// Longer than any: what lies beyond is not read.
const MOST_BYTES: u64 = 4 << 30;

/// `None`: there is none, or the machine does not give it.
pub fn read_found(into: &Path) -> Option<Vec<u8>> {
    disk::read_if_there(&into.join(FOUND_NAME), MOST_BYTES).ok().flatten()
}

/// To be called when the site is published: a folder that is none gets none.
pub fn write_found(into: &Path, bytes: &[u8]) -> Result<(), PublishTrouble> {
    put_own(into, FOUND_NAME, bytes)
}

/// A file of the publisher's own in the site's folder, where it is not there with these bytes.
pub(super) fn put_own(into: &Path, name: &str, bytes: &[u8]) -> Result<(), PublishTrouble> {
    let target = into.join(name);
    let place = Workplace::take(into)?;
    let write = || -> Result<(), MachineTrouble> {
        if disk::same_bytes(&target, bytes)? {
            return Ok(());
        }
        let new = place.place("own");
        disk::write_new(&new, bytes)?;
        disk::put(&new, &target)
    };
    Ok(step(write)?)
}
