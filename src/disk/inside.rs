//! Opens one file that must lie in a given folder, links seen through. Knows no requests.

use std::fs::{self, File};
use std::io::ErrorKind;
use std::path::Path;

use super::MachineTrouble;

/// A plain file, opened but not read: it may be of any size.
#[derive(Debug)]
pub struct Inside {
    pub file: File,
    /// In bytes, when it was opened.
    pub length: u64,
}

/// The plain file at `path` inside `folder`; nothing if there is none, or if links lead out.
pub fn open_inside(folder: &Path, path: &str) -> Result<Option<Inside>, MachineTrouble> {
    let asked = folder.join(path);
    let (Ok(home), Ok(real)) = (fs::canonicalize(folder), fs::canonicalize(&asked)) else {
        return Ok(None);
    };
    // A pipe would keep the opener waiting: looked at before.
    if !real.starts_with(&home) || !real.is_file() {
        return Ok(None);
    }
    let opened = File::open(&real).and_then(|file| Ok(Inside { length: file.metadata()?.len(), file }));
    match opened {
        Ok(inside) => Ok(Some(inside)),
        Err(gone) if gone.kind() == ErrorKind::NotFound => Ok(None),
        Err(cause) => Err(MachineTrouble::new("reading", &real, cause)),
    }
}
