//! Puts a compiled site into its folder. Knows paths and bytes, nothing of what a page says.
//!
//! Holds: a failed run leaves the old pages; unchanged pages keep their time stamps; nothing outside the folder is
//! ever written, and only what was written earlier is ever removed.

mod ledger;
mod page_path;
mod site_folder;
mod target;

pub use ledger::{LEDGER_NAME, was_written_before};
pub use page_path::is_page_path;
pub use site_folder::{PublishTrouble, Published, publish};
pub use target::{TargetRefused, check_target};
