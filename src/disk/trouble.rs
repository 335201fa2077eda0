//! The two ways in which reading a book fails: the author's and the machine's. Knows no exit codes.

use std::error::Error;
use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

use crate::base::Problem;

/// Why there is no snapshot.
#[derive(Debug)]
pub enum DiskTrouble {
    /// The author can mend it: a missing folder, a path that is no text. At least one, all errors.
    Book(Vec<Problem>),
    /// The machine failed at one step on one file.
    Machine(MachineTrouble),
}

impl From<MachineTrouble> for DiskTrouble {
    fn from(trouble: MachineTrouble) -> DiskTrouble {
        DiskTrouble::Machine(trouble)
    }
}

/// One step that the machine refused. Prints the step and the file; the cause is its `source`.
#[derive(Debug)]
pub struct MachineTrouble {
    /// What was being done, to be followed by the path: "reading".
    pub step: &'static str,
    pub path: PathBuf,
    pub cause: io::Error,
}

impl MachineTrouble {
    pub fn new(step: &'static str, path: &Path, cause: io::Error) -> MachineTrouble {
        MachineTrouble { step, path: path.to_path_buf(), cause }
    }

    /// For `map_err`: the same step on the same path, whatever the cause.
    pub fn at<'a>(step: &'static str, path: &'a Path) -> impl FnOnce(io::Error) -> MachineTrouble + 'a {
        move |cause| MachineTrouble::new(step, path, cause)
    }
}

impl fmt::Display for MachineTrouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.step, self.path.display())
    }
}

impl Error for MachineTrouble {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        Some(&self.cause)
    }
}
