//! What one run finds and the next one need not look for again. Knows where it lies, not what it is.

use std::path::Path;

use super::{args, say};
use crate::compile::Kept;
use crate::disk::program;
use crate::publish::{read_found, write_found};

/// From run to run of the same program.
pub struct BetweenRuns {
    /// `None`: nobody knows which program this is, and nothing is kept.
    program: Option<[u8; 32]>,
    pub kept: Kept,
}

impl BetweenRuns {
    /// What the last run left in the site's folder, if there was one.
    pub fn read(site: &Path) -> BetweenRuns {
        let found = read_found(site);
        let program = program().map(|bytes| *blake3::hash(&bytes).as_bytes());
        let kept = found.zip(program).map(|(found, program)| Kept::from_bytes(&found, program));
        BetweenRuns { program, kept: kept.unwrap_or_default() }
    }

    /// Beside a site that was just published.
    pub fn write(&self, site: &Path) {
        let Some(program) = self.program else { return };
        if let Err(trouble) = write_found(site, &self.kept.to_bytes(program)) {
            say::message(&format!("warning: the next run begins anew: {trouble}"));
        }
    }
}

/// For whoever asks about a book without compiling it.
pub fn of_last_compile(book: &Path) -> Kept {
    BetweenRuns::read(&args::site_of(book)).kept
}
