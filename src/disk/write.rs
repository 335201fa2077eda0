//! Puts files down whole: somewhere beside first, then renamed. Knows nothing of what is written where.

use std::fs;
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use super::MachineTrouble;

/// Writes a file that is not there yet, readable by everyone (0644: a web server runs as somebody else). Not synced: a
/// site can always be compiled again.
pub fn write_new(path: &Path, bytes: &[u8]) -> Result<(), MachineTrouble> {
    let write = || {
        let mut file = fs::File::options().write(true).create_new(true).open(path)?;
        file.write_all(bytes)?;
        open_to_readers(&file)
    };
    write().map_err(MachineTrouble::at("writing", path))
}

#[cfg(unix)]
fn open_to_readers(file: &fs::File) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn open_to_readers(_file: &fs::File) -> std::io::Result<()> {
    Ok(())
}

/// Takes the target's place in one step: a reader sees the old file or the new one, never half of either.
pub fn put(new: &Path, target: &Path) -> Result<(), MachineTrouble> {
    fs::rename(new, target).map_err(MachineTrouble::at("putting in place", target))
}

/// Keeps what lies at `path` under another name as well: the same file where there are hard links, else a copy.
pub fn keep_beside(path: &Path, kept: &Path) -> Result<(), MachineTrouble> {
    let linked = fs::hard_link(path, kept);
    linked.or_else(|_| copy_file(path, kept)).map_err(MachineTrouble::at("keeping the old", path))
}

/// Follows no link: what lay behind it would take its place.
fn copy_file(path: &Path, copy: &Path) -> std::io::Result<()> {
    let about = fs::symlink_metadata(path)?;
    if !about.is_file() {
        return Err(std::io::Error::new(ErrorKind::Unsupported, "it is no plain file"));
    }
    fs::copy(path, copy)?;
    if let Ok(then) = about.modified() {
        fs::File::options().write(true).open(copy)?.set_modified(then)?;
    }
    Ok(())
}

/// Whether a plain file with exactly these bytes is already there. A link is never the same: it gets replaced.
pub fn same_bytes(path: &Path, bytes: &[u8]) -> Result<bool, MachineTrouble> {
    let about = match fs::symlink_metadata(path) {
        Ok(about) => about,
        Err(gone) if matches!(gone.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => {
            return Ok(false);
        }
        Err(cause) => return Err(MachineTrouble::new("looking at", path, cause)),
    };
    if !about.is_file() || about.len() != bytes.len() as u64 {
        return Ok(false);
    }
    // Not readable to us, yet perhaps replaceable: writing will tell.
    Ok(fs::read(path).is_ok_and(|old| old == bytes))
}

/// Up to `most` bytes of a plain file; nothing if there is none.
pub fn read_if_there(path: &Path, most: u64) -> Result<Option<Vec<u8>>, MachineTrouble> {
    if fs::symlink_metadata(path).is_ok_and(|about| !about.is_file()) {
        return Ok(None);
    }
    let file = match fs::File::open(path) {
        Ok(file) => file,
        Err(gone) if gone.kind() == ErrorKind::NotFound => return Ok(None),
        Err(cause) => return Err(MachineTrouble::new("reading", path, cause)),
    };
    let mut bytes = vec![];
    file.take(most).read_to_end(&mut bytes).map_err(MachineTrouble::at("reading", path))?;
    Ok(Some(bytes))
}

/// Makes a folder and those it lies in, as far as they are missing; adds those it made to `made`, outermost first.
/// Links on the way are gone through.
pub fn make_folder_path(path: &Path, made: &mut Vec<PathBuf>) -> Result<(), MachineTrouble> {
    if path.as_os_str().is_empty() || path.is_dir() {
        return Ok(());
    }
    if let Some(outer) = path.parent() {
        make_folder_path(outer, made)?;
    }
    if make_folder(path)? {
        made.push(path.to_path_buf());
    }
    if path.is_dir() {
        return Ok(());
    }
    let cause = std::io::Error::new(ErrorKind::NotADirectory, "what lies there is no folder");
    Err(MachineTrouble::new("making the folder", path, cause))
}

/// Makes one folder. True if it was not there before.
pub fn make_folder(path: &Path) -> Result<bool, MachineTrouble> {
    match fs::create_dir(path) {
        Ok(()) => Ok(true),
        Err(there) if there.kind() == ErrorKind::AlreadyExists => Ok(false),
        Err(cause) => Err(MachineTrouble::new("making the folder", path, cause)),
    }
}

/// Removes a file, or a link itself.
pub fn remove_file(path: &Path) -> Result<(), MachineTrouble> {
    fs::remove_file(path).map_err(MachineTrouble::at("removing", path))
}

/// Removes a folder if it is empty; otherwise leaves it as it is.
pub fn remove_empty_folder(path: &Path) -> bool {
    fs::remove_dir(path).is_ok()
}

/// Removes a folder with everything in it, or a file; of a link only the link. Nothing there is as good.
pub fn remove_tree(path: &Path) -> Result<(), MachineTrouble> {
    let removed = match fs::symlink_metadata(path) {
        Ok(about) if about.is_dir() => fs::remove_dir_all(path),
        Ok(_) => fs::remove_file(path),
        Err(cause) => Err(cause),
    };
    match removed {
        Err(cause) if cause.kind() != ErrorKind::NotFound => {
            Err(MachineTrouble::new("removing", path, cause))
        }
        _ => Ok(()),
    }
}
