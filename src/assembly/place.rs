//! One part as an item of a stack: its half-section the way up it stands, over the stack's dimensions.
//!
//! Must not know the rest of the pile.

use super::report::{PlacedColumn, PlacedCut, PlacedSegment, PlacedWall};
use crate::kinds::{Column, Cone, NamedDim, Segment, Shape, Taper, Wall};
use crate::quantity::{Ends, Form};

/// The part's metal with every form shifted to the item's own dimensions, turned over if it stands turned.
pub fn columns(shape: &Shape, offset: u32, turned: bool) -> Vec<PlacedColumn> {
    shape.columns.iter().map(|c| column(c, shape, offset, turned)).collect()
}

pub fn cuts(shape: &Shape, offset: u32, turned: bool) -> Vec<PlacedCut> {
    let over = |height: &Form| height_as_placed(shape, height, offset, turned);
    shape
        .features
        .cuts
        .iter()
        .map(|cut| {
            let (from, to) = if turned { (&cut.to, &cut.from) } else { (&cut.from, &cut.to) };
            PlacedCut { column: cut.column, width: cut.width.shifted(offset), from: over(from), to: over(to) }
        })
        .collect()
}

pub fn pinches(shape: &Shape, offset: u32, turned: bool) -> Vec<Form> {
    shape.features.pinches.iter().map(|p| height_as_placed(shape, &p.height, offset, turned)).collect()
}

fn height_as_placed(shape: &Shape, height: &Form, offset: u32, turned: bool) -> Form {
    if turned { shape.height.minus(height).shifted(offset) } else { height.shifted(offset) }
}

fn column(column: &Column, shape: &Shape, offset: u32, turned: bool) -> PlacedColumn {
    let mut segments: Vec<PlacedSegment> =
        column.segments.iter().map(|s| segment(s, offset, turned)).collect();
    let mut start = column.start.clone();
    if turned {
        segments.reverse();
        let top = column.segments.iter().fold(start, |sum, s| sum.plus(&s.length));
        start = shape.height.minus(&top);
    }
    PlacedColumn { name: column.name, start: start.shifted(offset), segments }
}

fn segment(segment: &Segment, offset: u32, turned: bool) -> PlacedSegment {
    PlacedSegment {
        length: segment.length.shifted(offset),
        bore: wall(&segment.bore, offset, turned),
        outside: wall(&segment.outside, offset, turned),
    }
}

fn wall(wall: &Wall, offset: u32, turned: bool) -> PlacedWall {
    let [bottom, top] = &wall.diameter;
    let (bottom, top) = if turned { (top, bottom) } else { (bottom, top) };
    PlacedWall {
        surface: wall.surface,
        diameter: [bottom.shifted(offset), top.shifted(offset)],
        taper: wall.taper.map(|t| if turned { flipped(t) } else { t }),
        root: wall.root.as_ref().map(|r| r.shifted(offset)),
    }
}

/// Turned over it is the same part to everything that reads half-sections.
pub fn alike_turned(shape: &Shape) -> bool {
    shape.features.pinches.is_empty()
        && columns(shape, 0, false) == columns(shape, 0, true)
        && cuts(shape, 0, false) == cuts(shape, 0, true)
}

/// At nominal sizes it is the same metal turned over: nobody can tell its ends apart, and over their tolerances the
/// checks may still tell them apart.
pub fn alike_at_nominal(shape: &Shape) -> bool {
    let dims: Vec<Ends> = shape.dims.iter().map(NamedDim::ends).collect();
    let metal = |turned: bool| -> Vec<Vec<i64>> {
        let of_wall = |w: &PlacedWall| w.diameter.each_ref().map(|d| d.nominal(&dims));
        let of_column = |c: PlacedColumn| {
            let rings = c.segments.iter().flat_map(|s| {
                let walls = [of_wall(&s.bore), of_wall(&s.outside)].concat();
                std::iter::once(s.length.nominal(&dims)).chain(walls)
            });
            std::iter::once(c.start.nominal(&dims)).chain(rings).collect()
        };
        columns(shape, 0, turned).into_iter().map(of_column).collect()
    };
    let surfaces = |turned: bool| -> Vec<[&'static str; 2]> {
        let rings = columns(shape, 0, turned).into_iter().flat_map(|c| c.segments);
        rings.map(|s| [s.bore.surface, s.outside.surface]).collect()
    };
    let crossways = |turned: bool| -> Vec<Vec<i64>> {
        let cuts = cuts(shape, 0, turned);
        let cuts = cuts.iter().map(|c| [&c.width, &c.from, &c.to].map(|f| f.nominal(&dims)).to_vec());
        let pinches = pinches(shape, 0, turned);
        let mut all: Vec<Vec<i64>> = cuts.chain(pinches.iter().map(|p| vec![p.nominal(&dims)])).collect();
        all.sort();
        all
    };
    metal(false) == metal(true) && surfaces(false) == surfaces(true) && crossways(false) == crossways(true)
}

fn flipped(taper: Taper) -> Taper {
    let cone = match taper.cone {
        Cone::Wider => Cone::Narrower,
        Cone::Narrower => Cone::Wider,
    };
    Taper { cone, ..taper }
}

/// A pressed wall takes its seat's diameter.
pub fn take_diameter(columns: &mut [PlacedColumn], surface: &str, seat: &Form) {
    for wall in walls(columns).filter(|w| w.surface == surface) {
        wall.diameter = [seat.clone(), seat.clone()];
    }
}

/// A split ring closes (or opens) until its bore is the seat's diameter; its wall stays, so every other
/// diameter of it changes by as much.
pub fn close_on(columns: &mut [PlacedColumn], bore: &Form, seat: &Form) {
    let change = seat.minus(bore);
    for wall in walls(columns) {
        for diameter in &mut wall.diameter {
            *diameter = diameter.plus(&change);
        }
    }
}

fn walls(columns: &mut [PlacedColumn]) -> impl Iterator<Item = &mut PlacedWall> {
    columns.iter_mut().flat_map(|c| &mut c.segments).flat_map(|s| [&mut s.bore, &mut s.outside])
}
