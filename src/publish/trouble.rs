//! Why a site is not in its folder. Knows no exit codes.

use std::error::Error;
use std::fmt;

use crate::disk::MachineTrouble;

/// Whatever it is, the old pages are there as they were, but for what [`PublishTrouble::Torn`] names.
#[derive(Debug)]
pub enum PublishTrouble {
    /// A page's path would lead out of the folder.
    PageOutside(String),
    /// Files that Benchleaf never wrote lie where pages must be.
    Theirs(Vec<String>),
    /// What lies there cannot be replaced by a page.
    Blocked(Vec<Blocked>),
    /// Another process is writing this site; its number, if known.
    Busy(Option<u32>),
    Machine(MachineTrouble),
    /// The machine failed, and then failed at putting back what had been put in place: this is how files are now.
    Torn {
        trouble: MachineTrouble,
        left: Vec<String>,
    },
}

/// A path in the site's folder with what is wrong there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Blocked {
    pub path: String,
    pub why: &'static str,
}

/// More names than this are counted only.
const NAMED: usize = 12;

impl From<MachineTrouble> for PublishTrouble {
    fn from(trouble: MachineTrouble) -> PublishTrouble {
        PublishTrouble::Machine(trouble)
    }
}

impl fmt::Display for PublishTrouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PublishTrouble::PageOutside(page) => {
                write!(f, "the page path `{}` leads out of the site's folder", page.escape_debug())
            }
            PublishTrouble::Theirs(files) => {
                f.write_str("files that Benchleaf did not write would be replaced:")?;
                let more = files.len().saturating_sub(NAMED);
                files.iter().take(NAMED).try_for_each(|file| write!(f, "\n    {file}"))?;
                if more > 0 { write!(f, "\n    and {more} more") } else { Ok(()) }
            }
            PublishTrouble::Blocked(all) => {
                f.write_str("what lies there cannot be replaced by a page:")?;
                all.iter().try_for_each(|blocked| write!(f, "\n    {}: {}", blocked.path, blocked.why))
            }
            PublishTrouble::Busy(Some(owner)) => {
                write!(f, "another Benchleaf (process {owner}) is writing this site")
            }
            PublishTrouble::Busy(None) => f.write_str("another Benchleaf is writing this site"),
            PublishTrouble::Machine(trouble) => trouble.fmt(f),
            PublishTrouble::Torn { trouble, left } => {
                write!(f, "{trouble}; not everything could be put back:")?;
                left.iter().try_for_each(|file| write!(f, "\n    {file}"))
            }
        }
    }
}

impl Error for PublishTrouble {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        match self {
            PublishTrouble::Machine(trouble) | PublishTrouble::Torn { trouble, .. } => trouble.source(),
            _ => None,
        }
    }
}
