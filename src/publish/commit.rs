//! The moment in which a site changes: renames and removals, each of which can be taken back. Knows no page and
//! decides nothing.

use std::path::{Path, PathBuf};

use crate::disk::{self, MachineTrouble};

/// What was done so far, in order.
#[derive(Default)]
pub(super) struct Commit {
    done: Vec<Done>,
}

/// One thing done. `kept` holds the old file, if there was one.
enum Done {
    Put { target: PathBuf, kept: Option<PathBuf> },
    Removed { target: PathBuf, kept: PathBuf },
    MadeFolder(PathBuf),
    RemovedFolder(PathBuf),
}

impl Commit {
    pub fn put(&mut self, new: &Path, target: &Path, kept: Option<&Path>) -> Result<(), MachineTrouble> {
        disk::put(new, target)?;
        let kept = kept.map(Path::to_path_buf);
        self.done.push(Done::Put { target: target.to_path_buf(), kept });
        Ok(())
    }

    pub fn remove(&mut self, target: &Path, kept: &Path) -> Result<(), MachineTrouble> {
        disk::remove_file(target)?;
        self.done.push(Done::Removed { target: target.to_path_buf(), kept: kept.to_path_buf() });
        Ok(())
    }

    /// True if it was not there.
    pub fn make_folder(&mut self, folder: &Path) -> Result<bool, MachineTrouble> {
        let made = disk::make_folder(folder)?;
        if made {
            self.done.push(Done::MadeFolder(folder.to_path_buf()));
        }
        Ok(made)
    }

    /// A folder that holds anything stays.
    pub fn remove_folder(&mut self, folder: &Path) {
        if disk::is_real_folder(folder) && disk::remove_empty_folder(folder) {
            self.done.push(Done::RemovedFolder(folder.to_path_buf()));
        }
    }

    /// Takes everything back, the last first. What cannot be is told as it is now.
    pub fn undo(self) -> Vec<String> {
        let mut left = vec![];
        for done in self.done.iter().rev() {
            if let Err(trouble) = done.undo() {
                left.push(format!("{} ({})", done.as_it_is(), trouble.cause));
            }
        }
        left
    }
}

impl Done {
    fn undo(&self) -> Result<(), MachineTrouble> {
        match self {
            Done::Put { target, kept: Some(kept) } | Done::Removed { target, kept } => {
                disk::put(kept, target)
            }
            Done::Put { target, kept: None } => disk::remove_file(target),
            Done::MadeFolder(folder) => {
                disk::remove_empty_folder(folder);
                Ok(())
            }
            Done::RemovedFolder(folder) => disk::make_folder(folder).map(drop),
        }
    }

    fn as_it_is(&self) -> String {
        match self {
            Done::Put { target, .. } => format!("{} is new", target.display()),
            Done::Removed { target, .. } => format!("{} is gone", target.display()),
            Done::MadeFolder(folder) => format!("{} is new", folder.display()),
            Done::RemovedFolder(folder) => format!("{} is gone", folder.display()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::error::Error;
    use std::fs;

    #[test]
    fn what_was_done_before_a_failure_is_taken_back_with_folders_and_time_stamps()
    -> Result<(), Box<dyn Error>> {
        let home = tempfile::tempdir()?;
        let at = |name: &str| home.path().join(name);
        for (name, text) in [("new-a", "2"), ("new-b", "2"), ("new-c", "2"), ("a", "1"), ("d", "1")] {
            fs::write(at(name), text)?;
        }
        fs::create_dir_all(at("c/full"))?;
        fs::create_dir(at("old"))?;
        let then = fs::metadata(at("a"))?.modified()?;
        disk::keep_beside(&at("a"), &at("kept-a"))?;
        disk::keep_beside(&at("d"), &at("kept-d"))?;
        let mut commit = Commit::default();
        commit.remove(&at("d"), &at("kept-d"))?;
        commit.remove_folder(&at("old"));
        assert!(commit.make_folder(&at("d"))?);
        commit.put(&at("new-b"), &at("d/b"), None)?;
        commit.put(&at("new-a"), &at("a"), Some(&at("kept-a")))?;
        assert_eq!(fs::read_to_string(at("a"))?, "2");
        commit.put(&at("new-c"), &at("c"), None).expect_err("a folder lies there");
        assert_eq!(commit.undo(), Vec::<String>::new());
        assert_eq!((fs::read_to_string(at("a"))?, fs::read_to_string(at("d"))?), ("1".into(), "1".into()));
        assert_eq!(fs::metadata(at("a"))?.modified()?, then);
        assert!(at("old").is_dir() && at("c/full").is_dir());
        Ok(())
    }

    #[test]
    fn what_cannot_be_taken_back_is_named_file_by_file() -> Result<(), Box<dyn Error>> {
        let home = tempfile::tempdir()?;
        let at = |name: &str| home.path().join(name);
        for name in ["new-a", "a", "b"] {
            fs::write(at(name), name)?;
        }
        disk::keep_beside(&at("a"), &at("kept-a"))?;
        disk::keep_beside(&at("b"), &at("kept-b"))?;
        let mut commit = Commit::default();
        commit.put(&at("new-a"), &at("a"), Some(&at("kept-a")))?;
        commit.remove(&at("b"), &at("kept-b"))?;
        fs::remove_file(at("kept-a"))?;
        let left = commit.undo();
        assert_eq!(left.len(), 1);
        assert!(left[0].starts_with(&format!("{} is new (", at("a").display())), "{left:?}");
        assert_eq!(fs::read_to_string(at("b"))?, "b");
        Ok(())
    }
}
