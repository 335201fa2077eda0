//! The only place that touches files: a book read whole, files put down whole. Knows no meaning of any of them.
//!
//! Everything else works on bytes in memory, so that a broken machine is met here and nowhere else.

mod inside;
mod look;
mod names;
mod snapshot;
mod trouble;
mod write;

pub use inside::read_inside;
pub use look::{is_real_folder, real_path};
pub use names::{BOOK_FOLDERS, is_passing_name};
pub use snapshot::snapshot;
pub use trouble::{DiskTrouble, MachineTrouble};
pub use write::{
    Staged, TEMPORARY_PREFIX, make_folder, make_folder_path, read_if_there, remove_empty_folder, remove_file,
    same_bytes, stage,
};
