//! Source text with places, and problems as plain data. Knows nothing of the trade.
//!
//! Everything above this folder may use it; it imports nothing of ours.

mod problem;
mod source;

pub use problem::{Place, Problem, Problems, Severity};
pub use source::{FileId, Source, Sources, Span};
