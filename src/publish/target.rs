//! Whether a folder may take a site. Guards the book against being written over; writes nothing itself.

use std::fmt;
use std::path::{Path, PathBuf};

use crate::disk::{Lies, lies_at, real_path};

/// Folders of a book, or beside one, that hold somebody's work.
const KEPT: [&str; 5] = ["content", "parts", "themes", "src", ".git"];

/// Why a folder may not take the site.
#[derive(Debug, PartialEq, Eq)]
pub struct TargetRefused {
    into: PathBuf,
    why: String,
    pub fault: Fault,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The command line names a folder that is not for sites.
    WrongFolder,
    /// The place is right, but what lies there is no folder.
    InTheWay,
}

impl fmt::Display for TargetRefused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the site cannot go into {}: {}", self.into.display(), self.why)
    }
}

/// Refuses the book itself, folders that the book lies in, and everything in the folders that hold work. Links and
/// `..` are seen through. The folder need not be there yet.
pub fn check_target(book: &Path, into: &Path) -> Result<(), TargetRefused> {
    let refused = |why: String, fault| Err(TargetRefused { into: into.to_path_buf(), why, fault });
    if let Some(why) = no_folder(into) {
        return refused(why.to_string(), Fault::InTheWay);
    }
    let refuse = |why: String| refused(why, Fault::WrongFolder);
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
    Ok(())
}

/// What is wrong with what lies at a path, if there is anything that is no folder.
fn no_folder(into: &Path) -> Option<&'static str> {
    match lies_at(into) {
        Lies::Nothing | Lies::Folder => None,
        Lies::Link if into.is_dir() => None,
        Lies::Link => Some("it is a link to what is no folder"),
        Lies::DeadLink => Some("it is a link that leads nowhere: to nothing, or back to itself"),
        Lies::File => Some("it is a file, not a folder"),
        Lies::Other => Some("it is a pipe or a device, not a folder"),
    }
}
