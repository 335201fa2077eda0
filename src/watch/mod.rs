//! Compiles again whenever a book changes, and shows the site on this machine. Knows when, never what.
//!
//! Holds: notices of changes only wake the loop, the content of a fresh snapshot decides; a broken book leaves the
//! last good pages; the preview serves this machine alone and nothing outside the site's folder, and
//! writes nothing into it.

mod guests;
mod keep;
mod live;
mod notices;
mod preview;
mod request;

pub use keep::{FirstRunFailed, News, Wake, Watched, keep_compiled};
pub use live::{Live, Pages};
pub use notices::Notices;
pub use preview::{NoPreview, Preview};
