//! What lies at a path, and where it really is. Only looks; reads and changes nothing.

use std::ffi::OsString;
use std::fs;
use std::path::{Component, Path, PathBuf};

/// True of a folder that is no link to one.
pub fn is_real_folder(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok_and(|about| about.is_dir())
}

/// The path with links resolved, of which the last names may not exist yet. Nothing if a `..` follows a name that
/// does not exist, or the current folder is gone.
pub fn real_path(path: &Path) -> Option<PathBuf> {
    let mut there = std::path::absolute(path).ok()?;
    let mut missing: Vec<OsString> = vec![];
    loop {
        if let Ok(real) = fs::canonicalize(&there) {
            return Some(missing.iter().rev().fold(real, |path, name| path.join(name)));
        }
        match there.components().next_back()? {
            Component::Normal(name) => missing.push(name.to_os_string()),
            Component::CurDir => {}
            _ => return None,
        }
        there.pop();
    }
}
