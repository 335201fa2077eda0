//! Quantities of the trade, each a type of its own: mixing two does not compile.
//!
//! Uses `base` only. Must not know parts.
//!
//! Read a dimension as an author wrote it with [`read_dimension`], a plain length with
//! [`read_length`]; every reader here refuses with a [`Misread`], which says where in the text.
//!
//! ```compile_fail
//! use benchleaf::quantity::{Length, Torque};
//! let nonsense = Length::mm(8) + Torque::mnm(8_000);
//! ```
//!
//! `amount.rs` reads every number of a length and its unit, and is the one place that ends them at a metre; `tolerance.rs`
//! reads what stands behind, `reading.rs` puts the two together. A one-sided size (`28.6 max`) is refused: a class in place
//! of the open end would claim more than the author said. Whatever is out of the ordinary is asked about elsewhere
//! (`src/kinds/plausible.rs`, `questions.rs`): one problem `value-unusual`, an error far beyond what is usual or where it
//! explains why a shape is impossible. `tests/extremes.rs` writes numbers without end, and the last that are held, into every
//! field of every kind.

mod amount;
mod angle;
mod bolt;
mod count;
mod currency;
mod decimal;
mod defaults;
mod dimension;
mod engagement;
mod extent;
mod form;
mod iso2768;
mod iso286;
mod iso286_table;
mod length;
mod misread;
mod money;
mod money_reading;
mod reading;
mod socket;
mod thread;
mod thread_limits;
mod tolerance;
mod torque;

pub use angle::Angle;
pub use bolt::{NutFactor, PropertyClass, Strength, highest_torque, preload, preload_spread, torque_for};
pub use count::Count;
pub use currency::Currency;
pub use defaults::{Caliper, Defaults, Nature, StandardClass};
pub use dimension::{Dimension, Origin};
pub use engagement::{StrippingAreas, engagement_needed, stripping_areas_mm2};
pub use extent::{Deviations, Extent};
pub use form::{Ends, Form, ONE};
pub use iso286::{IsoClass, Side, tolerance_grade};
pub use iso2768::GeneralClass;
pub use length::Length;
pub use misread::Misread;
pub use money::Money;
pub use money_reading::{read_money, read_money_loose};
pub use reading::{read_dimension, read_length};
pub use socket::{HeadForm, SocketHead};
pub use thread::Thread;
pub use thread_limits::ThreadLimits;
pub use torque::{Force, Torque, TorqueRange};
