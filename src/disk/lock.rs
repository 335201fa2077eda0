//! One writer at a time: a file that the machine itself keeps locked for a process, and lets go when that is gone,
//! however it went. Knows nothing of what the lock is for.

use std::fs::{self, File, TryLockError};
use std::io::{ErrorKind, Read, Seek, Write};
use std::path::{Path, PathBuf};

use super::MachineTrouble;

/// A lock held; let go when dropped.
#[derive(Debug)]
pub struct Lock {
    /// Locked for as long as it is open.
    _file: File,
    path: PathBuf,
}

/// What came of trying.
#[derive(Debug)]
pub enum LockTried {
    Taken(Lock),
    /// Another process holds it; its number, if it can be read.
    Held(Option<u32>),
    /// It was let go and taken away just now: try again.
    Again,
}

/// Tries to take the lock at `path`; `owner` is written into it. A file system that has no locks takes it for granted.
pub fn try_lock(path: &Path, owner: u32) -> Result<LockTried, MachineTrouble> {
    let trouble = |cause| MachineTrouble::new("locking", path, cause);
    if fs::symlink_metadata(path).is_ok_and(|about| !about.is_file()) {
        return Err(trouble(std::io::Error::new(
            ErrorKind::AlreadyExists,
            "what lies there is no plain file",
        )));
    }
    let opened = File::options().read(true).write(true).create(true).truncate(false).open(path);
    let mut file = match opened {
        Ok(file) => file,
        Err(gone) if gone.kind() == ErrorKind::NotFound => return Ok(LockTried::Again),
        Err(cause) => return Err(trouble(cause)),
    };
    match file.try_lock() {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => return Ok(LockTried::Held(read_owner(&mut file))),
        Err(TryLockError::Error(none)) if none.kind() == ErrorKind::Unsupported => {}
        Err(TryLockError::Error(cause)) => return Err(trouble(cause)),
    }
    if !is_still_at(&file, path) {
        return Ok(LockTried::Again);
    }
    // Only told to others: a lock without its owner's number is one all the same.
    let _ = file.set_len(0).and_then(|()| file.rewind()).and_then(|()| writeln!(file, "{owner}"));
    Ok(LockTried::Taken(Lock { _file: file, path: path.to_path_buf() }))
}

fn read_owner(file: &mut File) -> Option<u32> {
    let mut text = String::new();
    file.take(20).read_to_string(&mut text).ok()?;
    text.trim().parse().ok()
}

/// False where the one who held it before took the file away after it was opened here.
#[cfg(unix)]
fn is_still_at(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let (Ok(ours), Ok(there)) = (file.metadata(), fs::symlink_metadata(path)) else { return false };
    (ours.dev(), ours.ino()) == (there.dev(), there.ino())
}

#[cfg(not(unix))]
fn is_still_at(_file: &File, _path: &Path) -> bool {
    true
}

impl Drop for Lock {
    /// Taken away while still locked. Where an open file cannot be, it stays, and the next takes it over.
    fn drop(&mut self) {
        if cfg!(unix) {
            let _ = fs::remove_file(&self.path);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lock_is_held_by_one_and_free_again_when_dropped() -> Result<(), Box<dyn std::error::Error>> {
        let home = tempfile::tempdir()?;
        let path = home.path().join("lock");
        let LockTried::Taken(first) = try_lock(&path, 7)? else { panic!("not taken") };
        assert!(matches!(try_lock(&path, 8)?, LockTried::Held(Some(7))));
        drop(first);
        fs::write(&path, "12345\n")?;
        assert!(matches!(try_lock(&path, 8)?, LockTried::Taken(_)), "its owner is gone");
        Ok(())
    }
}
