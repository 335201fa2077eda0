//! Source text with places, and problems as plain data. Knows nothing of the trade.
//!
//! Everything above this folder may use it; it imports nothing of ours.

mod decode;
mod files;
mod problem;
mod source;
mod suggest;
mod written;

pub use decode::{add_text, is_safe_name, safe_name};
pub use files::BookFiles;
pub use problem::{Place, Problem, Problems, Severity};
pub use source::{FileId, Source, Sources, Span};
pub use suggest::suggest;
pub use written::{Document, Entry, Table, Text, missing};
