//! Quantities of the trade, each a type of its own: mixing two does not compile.
//!
//! Uses `base` only. Must not know parts.

mod length;

pub use length::Length;
