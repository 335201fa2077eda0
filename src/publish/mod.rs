//! Puts a compiled site into its folder. Knows paths and bytes, nothing of what a page says.
//!
//! Holds: a run that fails or is stopped leaves the old pages; unchanged pages keep their time stamps; nothing outside
//! the folder is ever written, and only what was written earlier is ever removed or replaced; one run at a time.
//!
//! How a site gets into its folder: `workplace.rs` takes a lock that the machine holds for the process (`src/disk/lock.rs`; a
//! process that is gone holds none), `plan.rs` looks for what is in the way, `site_folder.rs` lays new pages and links to the
//! old ones on a shelf in the folder, `.benchleaf-new`, and then only renames (`commit.rs`), which can be taken back.
//! Whatever leaves a trace on the disk is a `step`: a signal waits for the step under way, lets no other begin, clears the
//! shelf and ends the program (`src/cli/stopping.rs`).
//!
//! | promise | held by |
//! |---|---|
//! | a failed run leaves the old pages, and no scraps | `tests/shell_publish.rs`, on a disk with little room among others |
//! | a run that is stopped leaves one whole site and no scraps; a killed one tears no page, and the next run puts all right | `tests/shell_faults.rs`; its long runs are ignored |
//! | runs into one folder wait for each other and never mix | `tests/shell_faults.rs`, `tests/shell_publish.rs` |
//! | unchanged pages are not written; only what was written earlier is removed or replaced | `tests/shell_publish.rs` |
//! | nothing outside the site's folder is written or removed, whatever paths, links or the ledger say; a site never goes over its own book | `tests/shell_publish.rs`, `tests/shell_cli.rs` |
//! | a compile with nothing to do does nothing, and only then: any page, ledger or record that is not as it was left is seen | `tests/shell_left.rs` |
//!
//! Known limits: a file system without locks cannot keep two runs apart. A process killed outright in the few milliseconds of
//! renaming leaves two sites mixed until the next run.

mod commit;
mod found;
mod ledger;
mod left;
mod page_path;
mod plan;
mod site_folder;
mod target;
mod trouble;
mod workplace;

pub use found::{read_found, write_found};
pub use ledger::{LEDGER_NAME, was_written_before};
pub use left::{Untouched, leave, untouched};
pub use page_path::is_page_path;
pub use site_folder::{Published, Theirs, publish};
pub use target::{Fault, TargetRefused, check_target};
pub use trouble::{Blocked, PublishTrouble};
pub use workplace::abandon;
