//! Hatching: which direction and pitch each cut part gets, and the lines themselves.
//! Rules: ISO 128-3 (45 degrees; touching parts differ; one part the same everywhere). Must not know paper.

use super::scene::{Line, Point, pt};
use super::solid::Solid;

/// Direction and pitch of one part's hatching.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Hatch {
    /// True: rising to the right.
    pub rising: bool,
    /// Distance between lines, paper millimetres.
    pub pitch: f64,
}

impl Hatch {
    /// For parts that are not hatched.
    pub const NONE: Hatch = Hatch { rising: true, pitch: 1.5 };
}

/// Every gap between lines stays above the 0.7 mm of ISO 128-2.
pub(super) const PITCHES: [f64; 4] = [1.1, 1.5, 2.2, 3.0];
/// Cut areas from here on start with the second pitch: fine lines are for small parts. Square millimetres.
const LARGE: f64 = 200.0;

/// The `n`th way to hatch; both directions of a pitch before the next pitch. Past the list pitches grow
/// without end, so a way is always left.
fn hatch(n: usize) -> Hatch {
    let pitch = PITCHES.get(n / 2).copied().unwrap_or(0.6 * (n / 2) as f64 + 1.2);
    Hatch { rising: n.is_multiple_of(2), pitch }
}

/// One hatch a solid: no two nearer than `near` share it. Greedy, small parts first.
pub(super) fn choose(solids: &[Solid], near: f64) -> Vec<Hatch> {
    let mut order: Vec<usize> = (0..solids.len()).collect();
    order.sort_by(|&a, &b| area(&solids[a]).total_cmp(&area(&solids[b])));
    let mut chosen: Vec<Option<usize>> = vec![None; solids.len()];
    for i in order {
        let others = (0..solids.len()).filter(|&j| touching(&solids[i], &solids[j], near));
        let taken: Vec<usize> = others.filter_map(|j| chosen[j]).collect();
        let start = if area(&solids[i]) > LARGE { 2 } else { 0 };
        chosen[i] = (start..).find(|n| !taken.contains(n));
    }
    chosen.into_iter().map(|n| hatch(n.unwrap_or(0))).collect()
}

/// Of the cut metal on one side of the axis.
fn area(solid: &Solid) -> f64 {
    let wall = |r: &super::solid::Ring| (r.outside[0] + r.outside[1] - r.bore[0] - r.bore[1]) / 2.0;
    solid.rings().map(|r| wall(r) * (r.top - r.bottom)).sum()
}

/// Metal of both within `near` of each other somewhere. Rings count as their enclosing rectangles: never
/// misses a contact.
pub(super) fn touching(a: &Solid, b: &Solid, near: f64) -> bool {
    a.rings().any(|p| {
        b.rings().any(|q| {
            p.bottom - near < q.top
                && q.bottom - near < p.top
                && p.narrowest() - near < q.widest()
                && q.narrowest() - near < p.widest()
        })
    })
}

/// Hatch lines of a closed outline, `pitch` apart in the outline's own unit, all on one grid through the origin.
pub(super) fn lines(outline: &[Point], rising: bool, pitch: f64) -> Vec<Line> {
    let slope = if rising { 1.0 } else { -1.0 };
    // A line is the set of points with equal y - slope * x: its offset.
    let offset = |p: Point| p.y - slope * p.x;
    let step = pitch * std::f64::consts::SQRT_2;
    let (low, high) =
        outline.iter().map(|&p| offset(p)).fold((f64::MAX, f64::MIN), |(l, h), o| (l.min(o), h.max(o)));
    let mut found = Vec::new();
    let mut index = (low / step).ceil();
    while index * step < high && step > 0.0 {
        found.extend(crossing_line(outline, slope, index * step));
        index += 1.0;
    }
    found
}

/// The pieces of one hatch line inside the outline.
fn crossing_line(outline: &[Point], slope: f64, offset: f64) -> Vec<Line> {
    let mut cuts: Vec<f64> = Vec::new();
    for (i, &a) in outline.iter().enumerate() {
        let b = outline[(i + 1) % outline.len()];
        let (side_a, side_b) = (a.y - slope * a.x - offset, b.y - slope * b.x - offset);
        if (side_a < 0.0) != (side_b < 0.0) {
            cuts.push(a.x + (b.x - a.x) * side_a / (side_a - side_b));
        }
    }
    cuts.sort_by(f64::total_cmp);
    let pieces = cuts.chunks_exact(2).filter(|c| c[1] - c[0] > 0.05);
    pieces.map(|c| Line::open(c.iter().map(|&x| pt(x, offset + slope * x)).collect())).collect()
}
