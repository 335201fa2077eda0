//! Least and greatest diameter of each named wall of a book's parts, each worked out once.
//!
//! Must not know where parts go.

use super::ready::{NameIx, Names};
use crate::catalogue::VariantIx;
use crate::kinds::{NamedDim, Shape};
use crate::quantity::Ends;

/// By variant.
#[derive(Clone, Debug, Default)]
pub struct Diameters(Vec<Box<[Walls]>>);

/// All walls of one name and side, nanometres.
#[derive(Clone, Copy, Debug)]
struct Walls {
    surface: NameIx,
    bore: bool,
    ends: (i64, i64),
}

impl Diameters {
    pub fn of<'s>(names: &Names, shapes: impl Iterator<Item = &'s Shape>) -> Diameters {
        Diameters(shapes.map(|shape| walls(names, shape)).collect())
    }

    /// One more.
    pub fn push(&mut self, names: &Names, shape: &Shape) {
        self.0.push(walls(names, shape));
    }

    /// The last variant has another shape from now on.
    pub fn change_last(&mut self, names: &Names, shape: &Shape) {
        if let Some(last) = self.0.last_mut() {
            *last = walls(names, shape);
        }
    }

    /// Least and greatest; `None` where the part has no such wall.
    pub fn ends(&self, variant: VariantIx, surface: NameIx, bore: bool) -> Option<(i64, i64)> {
        self.walls(variant).iter().find(|w| w.bore == bore && w.surface == surface).map(|w| w.ends)
    }

    pub fn has(&self, variant: VariantIx, surface: NameIx) -> bool {
        self.walls(variant).iter().any(|w| w.surface == surface)
    }

    fn walls(&self, variant: VariantIx) -> &[Walls] {
        self.0.get(variant.0 as usize).map_or(&[], |all| all)
    }
}

fn walls(names: &Names, shape: &Shape) -> Box<[Walls]> {
    let dims: Vec<Ends> = shape.dims.iter().map(NamedDim::ends).collect();
    let mut found: Vec<Walls> = Vec::new();
    let segments = shape.columns.iter().flat_map(|c| &c.segments);
    for (wall, bore) in segments.flat_map(|s| [(&s.bore, true), (&s.outside, false)]) {
        let surface = names.of(wall.surface);
        for diameter in &wall.diameter {
            let ends = (diameter.least(&dims), diameter.most(&dims));
            match found.iter_mut().find(|w| w.bore == bore && w.surface == surface) {
                Some(known) => known.ends = (known.ends.0.min(ends.0), known.ends.1.max(ends.1)),
                None => found.push(Walls { surface, bore, ends }),
            }
        }
    }
    found.into()
}
