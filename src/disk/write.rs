//! Puts files down whole: beside their target first, then renamed. Knows nothing of what is written where.

use std::fs;
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use tempfile::TempPath;

use super::MachineTrouble;

/// Names of files half written begin so. Hidden, so that neither the watcher nor a web server shows them.
pub const TEMPORARY_PREFIX: &str = ".benchleaf-new-";

/// Bytes that lie complete beside their target; dropped without [`Staged::put`], they are removed again.
#[derive(Debug)]
pub struct Staged {
    temporary: TempPath,
    target: PathBuf,
}

impl Staged {
    /// Takes the target's place in one step: a reader sees the old file or the new one, never half of either.
    pub fn put(self) -> Result<(), MachineTrouble> {
        let Staged { temporary, target } = self;
        temporary.persist(&target).map_err(|e| MachineTrouble::new("putting in place", &target, e.error))
    }
}

/// Writes `bytes` beside `target`, readable by everyone (0644: a web server runs as somebody else). Holds no
/// open file afterwards, so that thousands can be staged. Not synced: a site can always be compiled again.
pub fn stage(target: &Path, bytes: &[u8]) -> Result<Staged, MachineTrouble> {
    let folder = target.parent().unwrap_or(Path::new("."));
    let trouble = |cause| MachineTrouble::new("writing", target, cause);
    let mut file = tempfile::Builder::new().prefix(TEMPORARY_PREFIX).tempfile_in(folder).map_err(trouble)?;
    file.write_all(bytes).map_err(trouble)?;
    open_to_readers(file.as_file()).map_err(trouble)?;
    Ok(Staged { temporary: file.into_temp_path(), target: target.to_path_buf() })
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

/// Whether a plain file with exactly these bytes is already there. A link is never the same: it gets replaced.
pub fn same_bytes(path: &Path, bytes: &[u8]) -> Result<bool, MachineTrouble> {
    let about = match fs::symlink_metadata(path) {
        Ok(about) => about,
        Err(gone) if gone.kind() == ErrorKind::NotFound => return Ok(false),
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
    let file = match fs::File::open(path) {
        Ok(file) => file,
        Err(gone) if gone.kind() == ErrorKind::NotFound => return Ok(None),
        Err(cause) => return Err(MachineTrouble::new("reading", path, cause)),
    };
    let mut bytes = vec![];
    file.take(most).read_to_end(&mut bytes).map_err(MachineTrouble::at("reading", path))?;
    Ok(Some(bytes))
}

/// Makes a folder and those it lies in, as far as they are missing. Links on the way are gone through.
pub fn make_folder_path(path: &Path) -> Result<(), MachineTrouble> {
    fs::create_dir_all(path).map_err(MachineTrouble::at("making the folder", path))
}

/// Makes one folder. True if it was not there before.
pub fn make_folder(path: &Path) -> Result<bool, MachineTrouble> {
    match fs::create_dir(path) {
        Ok(()) => Ok(true),
        Err(there) if there.kind() == ErrorKind::AlreadyExists => Ok(false),
        Err(cause) => Err(MachineTrouble::new("making the folder", path, cause)),
    }
}

/// Removes one plain file. True if there was one; links and folders are left alone.
pub fn remove_file(path: &Path) -> Result<bool, MachineTrouble> {
    if !fs::symlink_metadata(path).is_ok_and(|about| about.is_file()) {
        return Ok(false);
    }
    fs::remove_file(path).map(|()| true).map_err(MachineTrouble::at("removing", path))
}

/// Removes a folder if it is empty; otherwise leaves it as it is.
pub fn remove_empty_folder(path: &Path) -> bool {
    fs::remove_dir(path).is_ok()
}
