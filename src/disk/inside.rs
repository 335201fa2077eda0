//! Reads one file that must lie in a given folder, links seen through. Knows no requests.

use std::fs;
use std::io::ErrorKind;
use std::path::Path;

use super::MachineTrouble;

/// The bytes of a plain file at `path` inside `folder`; nothing if there is none, or if links lead out.
pub fn read_inside(folder: &Path, path: &str) -> Result<Option<Vec<u8>>, MachineTrouble> {
    let asked = folder.join(path);
    let (Ok(home), Ok(real)) = (fs::canonicalize(folder), fs::canonicalize(&asked)) else {
        return Ok(None);
    };
    if !real.starts_with(&home) || !real.is_file() {
        return Ok(None);
    }
    match fs::read(&real) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(gone) if gone.kind() == ErrorKind::NotFound => Ok(None),
        Err(cause) => Err(MachineTrouble::new("reading", &real, cause)),
    }
}
