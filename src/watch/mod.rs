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
//! Pages that are open in the preview do not come first. A page that is served early has to be what is published after, byte
//! for byte. Before a guide is known all pairings of its fork are answered and told (it tells the ways from each), and all of
//! its system (the forks that it names); without an `edition` in the shop's file all there are, for it closes with a sum of
//! them. A template that fails on another page, or a link that leads nowhere, ends the run: the early page would have to be
//! taken back. So it would take a second way through `src/compile/told.rs` and `src/site/`; whoever builds it has to hold
//! both ways to the same bytes.

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
