//! The faces of a half-section that something can land on or hang under: flat rings and cones.
//!
//! Seen from above a pile is the highest of its top faces at each radius, a part is the lowest of its bottom
//! faces. Taking every face of every segment gives the same landing, because a covered face is never the
//! highest. Must not know how heights are found.

use super::report::{PlacedColumn, PlacedSegment, PlacedWall};
use crate::kinds::Cone;
use crate::quantity::{Angle, Ends, Form, ONE};

/// Least and greatest value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bounds {
    pub least: i64,
    pub most: i64,
}

impl Bounds {
    pub fn of(form: &Form, dims: &[Ends]) -> Bounds {
        Bounds { least: form.least(dims), most: form.most(dims) }
    }
}

/// An edge of a face: a wall's diameter at one end.
#[derive(Clone, Debug)]
pub struct Edge {
    pub diameter: Form,
    pub bounds: Bounds,
    pub surface: &'static str,
    /// The edge of a bore wall, or of an outside wall.
    pub bore: bool,
    pub root: Option<Form>,
}

/// How a face's height changes with the diameter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Lie {
    Flat,
    /// Half angle, and whether the height grows with the diameter.
    Cone {
        half_angle: i64,
        rising: bool,
    },
}

/// One face: ring between two diameters.
#[derive(Clone, Debug)]
pub struct Piece {
    pub column: &'static str,
    pub inner: Edge,
    pub outer: Edge,
    /// Height at the inner edge, from the part's bottom.
    pub height: Form,
    /// Height at the outer edge; `None`: flat.
    pub outer_height: Option<Form>,
    pub lie: Lie,
    /// Signed rise with the diameter, millionths, and by how many of them it may be short.
    pub slope: i64,
    pub unsure: i64,
    /// Loose bounds of the height anywhere on the face.
    pub reach: Bounds,
    /// `top` or `bottom` for a flat face, else the cone's wall.
    pub surface: &'static str,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    Top,
    Bottom,
}

/// All faces of one side of a part.
pub fn faces(columns: &[PlacedColumn], side: Side, dims: &[Ends]) -> Vec<Piece> {
    let mut pieces = Vec::new();
    for column in columns {
        let mut height = column.start.clone();
        for segment in &column.segments {
            let top = height.plus(&segment.length);
            segment_faces(column.name, segment, &height, &top, side, dims, &mut pieces);
            height = top;
        }
    }
    pieces
}

fn segment_faces(
    column: &'static str,
    segment: &PlacedSegment,
    bottom: &Form,
    top: &Form,
    side: Side,
    dims: &[Ends],
    pieces: &mut Vec<Piece>,
) {
    let (end, height, surface) = match side {
        Side::Bottom => (0, bottom, "bottom"),
        Side::Top => (1, top, "top"),
    };
    let reach = Bounds { least: bottom.least(dims), most: top.most(dims) };
    let inner = edge(&segment.bore, end, true, dims);
    let outer = edge(&segment.outside, end, false, dims);
    let flat_reach = Bounds::of(height, dims);
    pieces.push(Piece {
        column,
        inner,
        outer,
        height: height.clone(),
        outer_height: None,
        lie: Lie::Flat,
        slope: 0,
        unsure: 0,
        reach: flat_reach,
        surface,
    });

    // A bore that opens toward this side, an outside that narrows toward it, leave a cone open to this side.
    let open_bore = if side == Side::Top { Cone::Wider } else { Cone::Narrower };
    if let Some(taper) = segment.bore.taper.filter(|t| t.cone == open_bore) {
        let (rise, unsure) = rise(taper.half_angle);
        let (inner_end, outer_end) = if side == Side::Top { (0, 1) } else { (1, 0) };
        pieces.push(Piece {
            column,
            inner: edge(&segment.bore, inner_end, true, dims),
            outer: edge(&segment.bore, outer_end, true, dims),
            height: if side == Side::Top { bottom.clone() } else { top.clone() },
            outer_height: Some(if side == Side::Top { top.clone() } else { bottom.clone() }),
            lie: Lie::Cone { half_angle: taper.half_angle, rising: side == Side::Top },
            slope: if side == Side::Top { rise } else { -rise },
            unsure,
            reach,
            surface: segment.bore.surface,
        });
    }
    let narrowing = if side == Side::Top { Cone::Narrower } else { Cone::Wider };
    if let Some(taper) = segment.outside.taper.filter(|t| t.cone == narrowing) {
        let (rise, unsure) = rise(taper.half_angle);
        let (inner_end, outer_end) = if side == Side::Top { (1, 0) } else { (0, 1) };
        pieces.push(Piece {
            column,
            inner: edge(&segment.outside, inner_end, false, dims),
            outer: edge(&segment.outside, outer_end, false, dims),
            height: if side == Side::Top { top.clone() } else { bottom.clone() },
            outer_height: Some(if side == Side::Top { bottom.clone() } else { top.clone() }),
            lie: Lie::Cone { half_angle: taper.half_angle, rising: side == Side::Bottom },
            slope: if side == Side::Bottom { rise } else { -rise },
            unsure,
            reach,
            surface: segment.outside.surface,
        });
    }
}

fn edge(wall: &PlacedWall, end: usize, bore: bool, dims: &[Ends]) -> Edge {
    let diameter = wall.diameter[end].clone();
    let bounds = Bounds::of(&diameter, dims);
    Edge { diameter, bounds, surface: wall.surface, bore, root: wall.root.clone() }
}

/// Change of height for a change of diameter on a cone of this half angle: millionths from below, and by how many
/// millionths that may be short. Exact at 45 degrees.
fn rise(half_angle: i64) -> (i64, i64) {
    let (low, high) = Angle::millidegrees(half_angle).rise_micro().unwrap_or((0, 0));
    (low, high - low)
}

impl Piece {
    /// Height of the face at a diameter, from the part's bottom.
    pub fn height_at(&self, diameter: &Form, dims: &[Ends]) -> Form {
        let Some(outer_height) = &self.outer_height else { return self.height.clone() };
        if *diameter == self.inner.diameter {
            return self.height.clone();
        }
        if *diameter == self.outer.diameter {
            return outer_height.clone();
        }
        let (height, gauge) = self.gauge();
        self.along(height, &diameter.minus(gauge), dims)
    }

    /// How high this face lies above another of the same slope, at any diameter: their lines are told by one point each, so
    /// that no diameter they have in common need be chosen.
    pub fn above(&self, other: &Piece, dims: &[Ends]) -> Form {
        let ((own, own_gauge), (others, other_gauge)) = (self.gauge(), other.gauge());
        let height = own.minus(others);
        if self.slope == 0 { height } else { self.along(&height, &other_gauge.minus(own_gauge), dims) }
    }

    /// Where its line, drawn on, meets the axis, from the part's bottom.
    pub fn line(&self) -> Form {
        let (height, gauge) = self.gauge();
        height.plus_times(gauge, -self.slope)
    }

    /// The end of the face that is told with least rounding: a cone has one gauge diameter, the other follows from it.
    fn gauge(&self) -> (&Form, &Form) {
        let inner = (&self.height, &self.inner.diameter);
        let Some(outer_height) = &self.outer_height else { return inner };
        let outer = (outer_height, &self.outer.diameter);
        let rounding = |end: (&Form, &Form)| end.0.slack + end.1.slack;
        if rounding(outer) < rounding(inner) { outer } else { inner }
    }

    /// Further along the face by such a length of diameter; what the rise may be short by goes outward.
    fn along(&self, height: &Form, along: &Form, dims: &[Ends]) -> Form {
        let risen = height.plus_times_within(along, self.slope, dims);
        if self.unsure == 0 {
            return risen;
        }
        let most = along.most(dims).abs().max(along.least(dims).abs());
        risen.with_slack((most * self.unsure).div_euclid(ONE) + 1)
    }
}
