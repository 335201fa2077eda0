//! Source text with places, and problems as plain data. Knows nothing of the trade.
//!
//! Everything above this folder may use it; it imports nothing of ours.

mod decode;
mod files;
mod invisible;
pub mod label;
mod layout;
mod name;
mod problem;
mod source;
mod suggest;
mod syntax;
mod written;

pub use decode::add_text;
pub use files::BookFiles;
pub use invisible::is_unsafe;
pub use label::Label;
pub use layout::{Holds, Key, Layout, Wanted, key};
pub use name::{NameRefused, folded, is_safe_name, page_name, refused_file_name, refused_id};
pub use problem::{Place, Problem, Problems, Severity};
pub use source::{FileId, Source, Sources, Span};
pub use suggest::suggest;
pub use written::{CellValue, Document, Entry, Filled, Table, Text, missing};
