//! Compiles again whenever a book changes, and shows the site on this machine. Knows when, never what.
//!
//! Holds: notices of changes only wake the loop, the content of a fresh snapshot decides; a broken book leaves the
//! last good pages; the preview serves this machine alone and nothing outside the site's folder, and
//! writes nothing into it.
//!
//! | promise | held by |
//! |---|---|
//! | notices only wake the watch, content decides; a broken book keeps the last good pages; nothing is compiled twice | `tests/shell_watch.rs` |
//! | the preview is for this machine only and shows nothing but the site; who is slow or says nothing keeps nobody out | `tests/shell_preview.rs`, `request.rs`, `guests.rs` |
//! | open pages are told of every change and of what is wrong; what is added to them is on no disk | `tests/shell_fresh.rs`, `tests/browser/fresh.test.mjs` |
//! | Ctrl-C ends a watch at once, waiting or at work | `tests/shell_fresh.rs` |
//!
//! A retry after a failure of the machine comes soon, then twice as late each time (`FIRST_RETRY`, `LAST_RETRY` in
//! `keep.rs`); a change is tried at once.
//!
//! All pages but *what I have* come first: that page takes longer than all the others, and none of them tells of it
//! (`compile_showing`). The preview shows them from memory, and the site's folder is renewed as a whole once that page is known,
//! too; until then it says that it is behind. What was shown early and does not come so, for an error was found later, is taken
//! back (`live.rs`). Among the others none comes before the rest: a guide tells the ways from each pairing of its fork and names
//! the forks of its system, and closes with a sum of all answers, so none is known much before all are.
//! A book that is changed again meanwhile ends the run there and begins another; what it found stays (`Kept::give_up`).
//! `tests/kept.rs` holds that pages shown early are those that are published, byte for byte.

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
