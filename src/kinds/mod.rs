//! One table of part kinds: their fields, surfaces and short forms. The reader, the rule checker,
//! suggestions and the reference page all read it. Must not know any particular part.
//!
//! [`find`] a kind, [`read_fields`] of a part's table, [`Fields::assemble`] them and [`build`] the shape.
//!
//! # Adding a part kind
//!
//! A kind is one row, a `Kind` in a file here (`tube.rs` has the shortest), listed in `ALL` of `table.rs`. Nothing else knows
//! kinds by name (a test in `tests/tidy.rs` looks); what the program itself has to know of one is a mark on it. In this
//! order:
//!
//! | what | where | asked for by |
//! |---|---|---|
//! | name, a line of meaning, fields with theirs | the row: `name`, `about`, `fields` | the compiler |
//! | surfaces, columns, marks by which its ends are told apart | the row: `surfaces`, `columns`, `marks` | the compiler |
//! | what is usual of each size, wide | the row: `usual`, in tenths of a millimetre | `plausible.rs`, a test |
//! | what the program knows of it; most kinds have nothing | the row: `is`, marks of `Known` in `table.rs` | |
//! | what rule files have to say of its walls | the row: `asked`, in `asked.rs` | `src/rules/left_out/` |
//! | its half-section in linear forms | the row: `build` | lists by hand in `tests.rs`: add the kind (a plain tube to `plain_tubes_are_one_ring`) |
//! | that it is there | `ALL` of `table.rs`, and its length | the compiler |
//! | how readily it is had in a size of its own | a row of `to_order.rs` | a test there |
//! | its shop name, names of new fields, marks and surfaces | `[kind]`, `[dim]`, `[way]`, `[surface]` in `content/words/en.toml` | a test in `src/guide/words.rs`; `[surface]` by none: a common word is taken |
//! | a part of it in the demo book | `parts/`; a new file there also in `PARTS` of `src/reference/examples.rs` | a test in `src/reference/` |
//! | its place in a clamp system: a slot, a sleeve for each wall marked `Fit`, a step, and its name in the `rests_on` of each slot that may stand on it | `content/systems/` | `inspect` calls the part unused; `tests/left_out.rs`; `rests_on` by nothing: the kind is only never chosen |
//! | a usual part of it, where that system is built in | a set of `src/built_in/pieces.rs` | nothing: the slot stays empty |
//! | lists of all kinds in messages | `BENCHLEAF_GOLDEN=write cargo test --test library bad_books::`, then read what changed | `tests/bad_books.rs` |
//!
//! `material`, `price`, `maker`, `colours` and the like are keys of every part, not fields of a kind. Then `cargo check
//! --tests`, `cargo test --lib kinds::`, `cargo test --lib words::`, `cargo test --lib reference::`, and a look at `benchleaf
//! reference KIND`. The reader, spreadsheets, `ids`, the reference, the JSON Schemas and the pages read the table.

mod asked;
mod bare_fork;
mod bars;
mod bolt;
mod clamp;
mod custom;
mod draft;
mod fields;
mod fork;
mod headset;
// A flat table, a key a line.
#[rustfmt::skip]
mod layouts;
mod plausible;
mod possible;
mod questions;
mod raw_columns;
mod reading;
mod shape;
mod stood_for;
mod table;
mod telling;
#[cfg(test)]
mod telling_tests;
mod threaded;
mod to_order;
mod top_cap;
mod tube;

pub use asked::{Ask, Asked};
pub use bare_fork::{BARE_LOOKS, BARE_READINGS, BARE_THREADS, BareReading, insert_is_closed};
pub use draft::NO_SURFACE;
pub use fields::{Fields, Written, WrittenFields, WrittenValue};
pub use layouts::{COLUMN, RING};
pub use possible::Impossible;
pub use questions::{
    Question, UNUSUAL, about_caliper, about_limit, about_price, about_strength, must_change,
};
pub use reading::{complete, misread_problem, read_fields};
pub use shape::{
    Column, Cone, Cut, Drive, Features, Knurl, Knurled, NamedDim, Pinch, Segment, Shape, Taper, ThreadOn,
    Wall, WayMark,
};
pub use stood_for::walls_missing;
pub use table::{
    Field, FieldType, HEAD_TUBE, Kind, Known, Need, Role, all, column, find, is, known_as, suggest_kind,
    surface,
};
pub use telling::{END_FEATURES, EndMark, UNTOLD, telling_end};
pub use to_order::{ToOrder, to_order};

pub use crate::base::suggest;

use crate::base::Span;
use crate::quantity::Dimension;
use std::sync::Arc;

#[cfg(test)]
pub mod shape_for_tests;
#[cfg(test)]
mod tests;

/// The half-section by the kind's short form; refused with every reason where no such metal can be.
pub fn build(kind: &Kind, fields: &Fields) -> Result<Shape, Vec<Impossible>> {
    let mut draft = draft::Draft::new(fields);
    (kind.build)(&mut draft);
    let shape = draft.finish()?;
    Ok(Shape { fields: Some(Arc::new(fields.clone())), ..shape })
}

/// Least and most that is usual for a size of a kind, in nanometres; `None` where nobody knows what is.
pub fn usual_size(kind: &str, field: &str) -> Option<(i64, i64)> {
    plausible::size(kind, field).map(|usual| (usual.least, usual.most))
}

/// The fields of a part that are one dimension each, in the order of its kind's table.
pub fn sizes_of(shape: &Shape) -> Vec<&'static str> {
    let Some(fields) = shape.fields.as_ref() else { return Vec::new() };
    let own = find(fields.kind_name).map_or(&[][..], |kind| kind.fields);
    let is_size = |f: &&Field| matches!(f.what, FieldType::Dimension(_)) && fields.has(f.name);
    own.iter().filter(is_size).map(|f| f.name).collect()
}

/// The shape with these sizes in place of its own, or besides them, as if they stood in its data. `None` when its kind
/// has no such fields or no such metal can be.
pub fn altered(shape: &Shape, sizes: &[(&'static str, Dimension)], at: Span) -> Option<Shape> {
    let fields = shape.fields.as_ref()?;
    let kind = find(fields.kind_name)?;
    let built = build(kind, &fields.with(kind, sizes, at)?).ok()?;
    let material = shape.features.material.clone();
    Some(Shape { features: Features { material, ..built.features }, ..built })
}
