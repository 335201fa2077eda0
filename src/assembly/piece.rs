//! The faces of a half-section that something can land on or hang under: flat rings and cones.
//!
//! Seen from above a pile is the highest of its top faces at each radius, a part is the lowest of its bottom
//! faces. Taking every face of every segment gives the same landing, because a covered face is never the
//! highest. Must not know how heights are found.

use super::report::{PlacedColumn, PlacedSegment, PlacedWall};
use crate::kinds::Cone;
use crate::quantity::{Ends, Form};

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
    pub lie: Lie,
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
        lie: Lie::Flat,
        reach: flat_reach,
        surface,
    });

    // A bore that opens toward this side, an outside that narrows toward it, leave a cone open to this side.
    let open_bore = if side == Side::Top { Cone::Wider } else { Cone::Narrower };
    if let Some(taper) = segment.bore.taper.filter(|t| t.cone == open_bore) {
        let (inner_end, outer_end) = if side == Side::Top { (0, 1) } else { (1, 0) };
        pieces.push(Piece {
            column,
            inner: edge(&segment.bore, inner_end, true, dims),
            outer: edge(&segment.bore, outer_end, true, dims),
            height: if side == Side::Top { bottom.clone() } else { top.clone() },
            lie: Lie::Cone { half_angle: taper.half_angle, rising: side == Side::Top },
            reach,
            surface: segment.bore.surface,
        });
    }
    let narrowing = if side == Side::Top { Cone::Narrower } else { Cone::Wider };
    if let Some(taper) = segment.outside.taper.filter(|t| t.cone == narrowing) {
        let (inner_end, outer_end) = if side == Side::Top { (1, 0) } else { (0, 1) };
        pieces.push(Piece {
            column,
            inner: edge(&segment.outside, inner_end, false, dims),
            outer: edge(&segment.outside, outer_end, false, dims),
            height: if side == Side::Top { top.clone() } else { bottom.clone() },
            lie: Lie::Cone { half_angle: taper.half_angle, rising: side == Side::Bottom },
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

/// Change of height for a change of diameter on a cone: 1/(2 tan(half angle)) in millionths, rounded down, and
/// whether that is exact. Exact at 45 degrees.
pub fn rise(half_angle: i64) -> (i64, bool) {
    if half_angle == 45_000 {
        return (500_000, true);
    }
    let radians = half_angle as f64 * std::f64::consts::PI / 180_000.0;
    ((1e6 / (2.0 * radians.tan())).floor() as i64, false)
}

impl Piece {
    /// Height of the face at a diameter, from the part's bottom.
    pub fn height_at(&self, diameter: &Form) -> Form {
        match self.lie {
            Lie::Flat => self.height.clone(),
            Lie::Cone { half_angle, rising } => {
                let (rise, exact) = rise(half_angle);
                let along = diameter.minus(&self.inner.diameter);
                let height = self.height.plus_times(&along, if rising { rise } else { -rise });
                // A rise is short by less than a millionth, over less than 0.2 m of diameter: 200 nm.
                if exact { height } else { height.with_slack(200) }
            }
        }
    }

    /// Signed rise with the diameter, millionths.
    pub fn slope(&self) -> i64 {
        match self.lie {
            Lie::Flat => 0,
            Lie::Cone { half_angle, rising } => {
                let (rise, _) = rise(half_angle);
                if rising { rise } else { -rise }
            }
        }
    }
}
