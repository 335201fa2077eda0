//! What lies at a path, and where it really is. Only looks; reads and changes nothing.

use std::ffi::OsString;
use std::fs;
use std::path::{Component, Path, PathBuf};

/// True of a folder that is no link to one.
pub fn is_real_folder(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok_and(|about| about.is_dir())
}

/// What is at a path itself, links not followed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lies {
    Nothing,
    File,
    Folder,
    /// A link whose end is there.
    Link,
    /// A link to nothing, or to itself.
    DeadLink,
    /// A pipe, a device, a socket.
    Other,
}

/// What cannot be looked at counts as not there: whoever writes there will be told.
pub fn lies_at(path: &Path) -> Lies {
    let Ok(about) = fs::symlink_metadata(path) else { return Lies::Nothing };
    match about.file_type() {
        kind if kind.is_dir() => Lies::Folder,
        kind if kind.is_file() => Lies::File,
        kind if !kind.is_symlink() => Lies::Other,
        _ if fs::metadata(path).is_ok() => Lies::Link,
        _ => Lies::DeadLink,
    }
}

/// Everything in a folder but folders, by paths inside it with `/`. Links are not followed.
pub fn files_below(folder: &Path) -> Vec<String> {
    let entries = walkdir::WalkDir::new(folder).into_iter().flatten();
    let files = entries.filter(|entry| !entry.file_type().is_dir());
    files
        .filter_map(|entry| {
            entry.path().strip_prefix(folder).ok().map(|p| p.to_string_lossy().replace('\\', "/"))
        })
        .collect()
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
