//! One table of part kinds: their fields, surfaces and short forms. The reader, the rule checker,
//! suggestions and the reference page all read it. Must not know any particular part.
//!
//! [`find`] a kind, [`read_fields`] of a part's table, [`Fields::assemble`] them and [`build`] the shape.

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
