//! Puts a compiled site into its folder. Knows paths and bytes, nothing of what a page says.
//!
//! Holds: a run that fails or is stopped leaves the old pages; unchanged pages keep their time stamps; nothing outside
//! the folder is ever written, and only what was written earlier is ever removed or replaced; one run at a time.

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
