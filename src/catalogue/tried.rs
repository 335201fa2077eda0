//! Recorded trials: two parts put together by hand, and whether the one slid on the other without wobbling. Counts for
//! these very parts in these very revisions. Must not know rules.

use super::{Catalogue, VariantIx};
use crate::base::Span;
use crate::kinds::{NamedDim, Shape};
use crate::quantity::Ends;

/// Surfaces are those of the parts: `outer` is the bore that went over `inner`.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    pub outer: (VariantIx, &'static str),
    pub inner: (VariantIx, &'static str),
    /// Slid on by hand and did not wobble.
    pub slides: bool,
    /// Who tried it and when, as written.
    pub by: Option<String>,
    pub day: Option<String>,
    pub span: Span,
}

impl Catalogue {
    /// The trial of these two walls of these two parts. One that failed counts for a part that was changed since, as long
    /// as the wall is what it was.
    pub fn trial(&self, outer: (VariantIx, &str), inner: (VariantIx, &str)) -> Option<usize> {
        let is = |tried: (VariantIx, &str), asked: (VariantIx, &str), slides: bool| {
            tried.1 == asked.1 && (tried.0 == asked.0 || !slides && self.unchanged(tried.0, asked))
        };
        self.trials.iter().position(|t| is(t.outer, outer, t.slides) && is(t.inner, inner, t.slides))
    }

    /// Some trial is about the part in this revision.
    pub fn is_tried(&self, variant: VariantIx) -> bool {
        let from = self.variants.get(variant.0 as usize).and_then(|v| v.changed.as_ref()).map(|c| c.from);
        let about = |v: VariantIx| v == variant || Some(v) == from;
        self.trials.iter().any(|t| about(t.outer.0) || about(t.inner.0))
    }

    /// `asked` was made from that variant, and its wall is still as wide.
    fn unchanged(&self, from: VariantIx, (asked, surface): (VariantIx, &str)) -> bool {
        let made_from = self.variant(asked).changed.as_ref().is_some_and(|c| c.from == from);
        let walls = |v: VariantIx| [true, false].map(|bore| walls(&self.variant(v).shape, surface, bore));
        made_from && walls(asked) == walls(from)
    }
}

/// Diameters of the walls of a name, least and most.
pub(super) fn walls(shape: &Shape, surface: &str, bore: bool) -> Vec<(i64, i64)> {
    let dims: Vec<Ends> = shape.dims.iter().map(NamedDim::ends).collect();
    let segments = shape.columns.iter().flat_map(|c| &c.segments);
    let sides = segments.map(|s| if bore { &s.bore } else { &s.outside });
    let diameters = sides.filter(|w| w.surface == surface).flat_map(|w| &w.diameter);
    diameters.map(|d| (d.least(&dims), d.most(&dims))).collect()
}
