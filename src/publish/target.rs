//! Whether a folder may take a site. Guards the book against being written over; writes nothing itself.

use std::fmt;
use std::path::{Path, PathBuf};

use crate::disk::real_path;

/// Folders of a book, or beside one, that hold somebody's work.
const KEPT: [&str; 5] = ["content", "parts", "themes", "src", ".git"];

/// Why a folder may not take the site; the command line names the wrong one.
#[derive(Debug, PartialEq, Eq)]
pub struct TargetRefused {
    into: PathBuf,
    why: String,
}

impl fmt::Display for TargetRefused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the site cannot go into {}: {}", self.into.display(), self.why)
    }
}

/// Refuses the book itself, folders that the book lies in, and everything in the folders that hold work. Links and
/// `..` are seen through. The folder need not be there yet.
pub fn check_target(book: &Path, into: &Path) -> Result<(), TargetRefused> {
    let refuse = |why: String| Err(TargetRefused { into: into.to_path_buf(), why });
    let (Some(book), Some(real)) = (real_path(book), real_path(into)) else {
        return refuse("where it would be cannot be told".into());
    };
    if real == book {
        return refuse("it is the book itself".into());
    }
    if book.starts_with(&real) {
        return refuse("the book lies inside it".into());
    }
    for kept in KEPT {
        if real_path(&book.join(kept)).is_some_and(|kept| real.starts_with(kept)) {
            return refuse(format!("the book's folder `{kept}` is not for compiled pages"));
        }
    }
    if real.exists() && !real.is_dir() {
        return refuse("it is not a folder".into());
    }
    Ok(())
}
