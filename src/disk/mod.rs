//! The only place that touches files: a book read whole, files put down whole. Knows no meaning of any of them.
//!
//! Everything else works on bytes in memory, so that a broken machine is met here and nowhere else.
//!
//! Links that leave a book are not followed (`tests/shell_disk.rs`). A link inside the book to a file beside `content`,
//! `parts` and `themes` is read, but its changes are seen only with `--poll`.

mod inside;
mod lock;
mod look;
mod memory;
mod names;
mod program;
mod snapshot;
mod trouble;
mod write;

pub use inside::{Inside, open_inside};
pub use lock::{Lock, LockTried, try_lock};
pub use look::{Lies, files_below, is_real_folder, lies_at, real_path};
pub use memory::memory_in_use;
pub use names::{BOOK_FOLDERS, is_book_file, is_passing_name, is_picture};
pub use program::program_sum;
pub use snapshot::snapshot;
pub use trouble::{DiskTrouble, MachineTrouble};
pub use write::{
    keep_beside, make_folder, make_folder_path, put, read_if_there, remove_empty_folder, remove_file,
    remove_tree, same_bytes, write_new,
};
