//! Quantities of the trade, each a type of its own: mixing two does not compile.
//!
//! Uses `base` only. Must not know parts.

mod form;
mod length;

pub use form::{Ends, Form, ONE};
pub use length::Length;
