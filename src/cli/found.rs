//! What one run finds and the next one need not look for again. Knows where it lies, not what it is.

use std::path::Path;

use super::{args, say};
use crate::base::BookFiles;
use crate::compile::Kept;
use crate::disk::program_sum;
use crate::publish::{PublishTrouble, Untouched, leave, read_found, untouched, write_found};

/// From run to run of the same program.
pub struct BetweenRuns {
    /// `None`: nobody knows which program this is, and nothing is kept.
    program: Option<[u8; 32]>,
    pub kept: Kept,
}

/// What a run made, with what it said of it.
pub struct Made<'m> {
    pub files: &'m BookFiles,
    pub pages: &'m std::collections::BTreeMap<String, Vec<u8>>,
    pub told: &'m str,
}

impl BetweenRuns {
    /// What the last run left in the site's folder, if there was one.
    pub fn read(site: &Path) -> BetweenRuns {
        BetweenRuns::of(site, program_sum())
    }

    fn of(site: &Path, program: Option<[u8; 32]>) -> BetweenRuns {
        let found = read_found(site);
        let kept = found.zip(program).map(|(found, program)| Kept::from_bytes(&found, program));
        BetweenRuns { program, kept: kept.unwrap_or_default() }
    }

    /// For a program that compiles again and again.
    pub fn going_on(self) -> BetweenRuns {
        BetweenRuns { kept: self.kept.remembering(), ..self }
    }

    /// As [`BetweenRuns::read`]; `Err` where the site lies there as this program made it from this very book: then there is
    /// nothing to do.
    pub fn read_for(site: &Path, files: &BookFiles) -> Result<BetweenRuns, Untouched> {
        let program = program_sum();
        match program.and_then(|program| untouched(site, made_from(program, files))) {
            Some(untouched) => Err(untouched),
            None => Ok(BetweenRuns::of(site, program)),
        }
    }

    /// Beside a site that was just published.
    pub fn write(&self, site: &Path, made: &Made<'_>) {
        let Some(program) = self.program else { return };
        let write = || -> Result<(), PublishTrouble> {
            write_found(site, &self.kept.to_bytes(program))?;
            leave(site, made_from(program, made.files), made.pages, made.told)
        };
        if let Err(trouble) = write() {
            say::message(&format!("warning: the next run begins anew: {trouble}"));
        }
    }
}

/// A site is made from the program and the book, and from nothing else.
fn made_from(program: [u8; 32], files: &BookFiles) -> [u8; 32] {
    let mut sum = blake3::Hasher::new();
    sum.update(&program);
    for (path, bytes) in files {
        for text in [path.as_bytes(), bytes] {
            sum.update(&(text.len() as u64).to_le_bytes()).update(text);
        }
    }
    *sum.finalize().as_bytes()
}

/// For whoever asks about a book without compiling it.
pub fn of_last_compile(book: &Path) -> Kept {
    BetweenRuns::read(&args::site_of(book)).kept
}
