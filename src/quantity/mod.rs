//! Quantities of the trade, each a type of its own: mixing two does not compile.
//!
//! Uses `base` only. Must not know parts.
//!
//! Read a dimension as an author wrote it with [`read_dimension`], a plain length with
//! [`read_length`]; every reader here refuses with a [`Misread`], which says where in the text.

mod decimal;
mod defaults;
mod dimension;
mod extent;
mod form;
mod iso2768;
mod iso286;
mod iso286_table;
mod length;
mod misread;
mod reading;
mod thread;

pub use defaults::{Caliper, Defaults, Nature, StandardClass};
pub use dimension::{Dimension, Origin};
pub use extent::{Deviations, Extent};
pub use form::{Ends, Form, ONE};
pub use iso286::{IsoClass, Side, tolerance_grade};
pub use iso2768::GeneralClass;
pub use length::Length;
pub use misread::Misread;
pub use reading::{read_dimension, read_length};
pub use thread::Thread;
