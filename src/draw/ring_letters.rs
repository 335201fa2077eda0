//! Where the letter of a detail stands: beside its ring in the figure, so that no column of numbers has letters in it.
//! Whatever finds no clear place there is left to the column. Must not know what a detail shows.

use super::detail::{LETTERS, Spot};
use super::dimension::crosses_box;
use super::piece::Piece;
use super::scene::{Frame, Mark, Point, Sheet, pt};
use super::signs::letter;

/// Half of the room of a letter, paper millimetres: across, and up. Its patch of paper, and what faces keep over and under
/// letters, lie within.
const HALF: (f64, f64) = (2.8, 3.0);
/// The same of what is seen of it, which rings may not cut.
const SEEN: (f64, f64) = (1.6, 1.9);
/// From the ring to the letter's middle.
const OFF: f64 = 3.1;
/// Directions in which a letter may stand, as eighths of a turn from the right; towards the axis first.
const WAYS: [u8; 8] = [0, 7, 1, 4, 3, 5, 2, 6];

/// The middle of each spot's letter; none where it is to stand in the column.
pub(super) fn places(
    spots: &[Spot],
    pieces: &[Piece],
    leaders: &[[Point; 2]],
    sheet: Sheet,
) -> Vec<Option<Point>> {
    let mut taken: Vec<Frame> = Vec::new();
    let mut found = Vec::new();
    for spot in spots {
        let place = (spot.in_figure.is_none()).then(|| best(spot, spots, pieces, leaders, &taken, sheet));
        let place = place.flatten();
        taken.extend(place.map(|at| room(at, HALF, sheet)));
        found.push(place);
    }
    found
}

/// The letters that have a place.
pub(super) fn marks(places: &[Option<Point>], sheet: Sheet) -> Vec<Mark> {
    let named = places.iter().zip(LETTERS).filter_map(|(at, name)| Some((name, (*at)?)));
    named.flat_map(|(name, at)| letter(name, at, sheet)).collect()
}

fn room(at: Point, half: (f64, f64), sheet: Sheet) -> Frame {
    let (across, up) = (sheet.printed(half.0), sheet.printed(half.1));
    Frame { left: at.x - across, right: at.x + across, low: at.y - up, high: at.y + up }
}

fn best(
    spot: &Spot,
    spots: &[Spot],
    pieces: &[Piece],
    leaders: &[[Point; 2]],
    taken: &[Frame],
    sheet: Sheet,
) -> Option<Point> {
    let ring = spot.ring(sheet);
    let rings: Vec<(Point, f64)> =
        spots.iter().filter(|s| s.in_figure.is_none()).map(|s| (s.focus, s.ring(sheet))).collect();
    let mut best: Option<(usize, Point)> = None;
    for (further, way) in [0.0, 2.5].iter().flat_map(|by| WAYS.map(|way| (by, way))) {
        let turn = f64::from(way) * std::f64::consts::FRAC_PI_4;
        let off = ring + sheet.printed(OFF + further);
        let at = pt(spot.focus.x + off * turn.cos(), spot.focus.y + off * turn.sin());
        let (around, seen) = (room(at, HALF, sheet), room(at, SEEN, sheet));
        let clear = seen.right < -sheet.printed(0.6)
            && !leaders.iter().any(|&line| crosses_box(line, around))
            && !taken.iter().any(|t| meet(t, &around))
            && !rings.iter().any(|&(centre, radius)| on_ring(centre, radius, &seen));
        let covers = covered(&seen, pieces);
        if clear && best.is_none_or(|(least, _)| covers < least) {
            best = Some((covers, at));
        }
    }
    best.map(|(_, at)| at)
}

fn meet(a: &Frame, b: &Frame) -> bool {
    a.left < b.right && b.left < a.right && a.low < b.high && b.low < a.high
}

/// The ring's line passes through the box.
fn on_ring(centre: Point, radius: f64, around: &Frame) -> bool {
    let corners =
        [around.left, around.right].into_iter().flat_map(|x| [pt(x, around.low), pt(x, around.high)]);
    let away = corners.map(|c| (c.x - centre.x).hypot(c.y - centre.y));
    let (near, far) = away.fold((f64::MAX, 0.0_f64), |(near, far), d| (near.min(d), far.max(d)));
    let inside = pt(centre.x.clamp(around.left, around.right), centre.y.clamp(around.low, around.high));
    let near = near.min((inside.x - centre.x).hypot(inside.y - centre.y));
    near < radius && radius < far
}

/// How much of the section a letter would cover, in places of a raster over it.
fn covered(around: &Frame, pieces: &[Piece]) -> usize {
    const STEPS: usize = 5;
    let at = |from: f64, to: f64, step: usize| from + (to - from) * step as f64 / (STEPS - 1) as f64;
    let raster = (0..STEPS * STEPS)
        .map(|n| pt(at(around.left, around.right, n % STEPS), at(around.low, around.high, n / STEPS)));
    let metal = |p: &Point| {
        let mut rings = pieces.iter().flat_map(|piece| piece.solid.rings());
        rings.any(|r| r.bottom <= p.y && p.y <= r.top && r.bore_at(p.y) <= -p.x && -p.x <= r.outside_at(p.y))
    };
    raster.filter(metal).count()
}
