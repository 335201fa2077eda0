//! What fasteners are told apart by, in black alone, too: the fins of a star nut, the turns of a bolt's thread.
//! Signs of what is there: their number and slant are not the part's. Must not know where a part stands.

use super::figure::{pen, thread_depth};
use super::piece::Piece;
use super::scene::{Fill, Line, Mark, Pen, Point, Sheet, pt};
use super::solid::{Ring, Solid, Travel};

/// From the tip of one fin to the next, about, and how many there are. Millimetres.
const FIN: f64 = 2.6;
const FEW: f64 = 3.0;
const MANY: f64 = 6.0;
/// Of a fin's height up to its tip.
const TIP: f64 = 0.72;

/// The toothed side of a part with fins, from bottom to top, right of the axis. The fins lean away from where the part
/// is driven to: they let it in, and not out.
pub(super) fn finned(solid: &Solid) -> Option<Vec<Point>> {
    let core = solid.core?;
    let ring = solid.rings().next().filter(|r| r.widest() > core + 0.1)?;
    let count = ((ring.top - ring.bottom) / FIN).round().clamp(FEW, MANY);
    let pitch = (ring.top - ring.bottom) / count;
    let tip = if solid.travel == Travel::Down { TIP } else { 1.0 - TIP };
    let mut side = vec![pt(core, ring.bottom)];
    for fin in 0..count as usize {
        let foot = ring.bottom + pitch * fin as f64;
        let at = foot + pitch * tip;
        side.extend([pt(ring.outside_at(at), at), pt(core, foot + pitch)]);
    }
    Some(side)
}

/// In the section: what lies between the fins is no metal.
pub(super) fn fins(piece: &Piece) -> Vec<Mark> {
    let Some(side) = finned(&piece.solid) else { return Vec::new() };
    let mut left: Vec<Point> = side.iter().map(|p| pt(-p.x, p.y)).collect();
    let (Some(&first), Some(&last)) = (left.first(), left.last()) else { return Vec::new() };
    let out = -piece.solid.widest();
    let room = vec![first, pt(out, first.y), pt(out, last.y), last];
    // On to the bore; from there inward its face is drawn.
    let bore = piece.solid.rings().map(Ring::narrowest).fold(f64::MAX, f64::min);
    left.insert(0, pt(-bore, first.y));
    left.push(pt(-bore, last.y));
    vec![
        Mark::path("fin-room", vec![Line::closed(room)], Pen::None, Fill::Paper),
        Mark::path("fin", vec![Line::closed(left.clone())], Pen::None, Fill::Paper),
        Mark::path("edge", vec![Line::open(left)], pen(piece.look), Fill::None),
    ]
}

/// Between two turns on paper: over the least gap of 0.7 mm between parallel lines (ISO 128-2).
const TURN: f64 = 1.2;

/// Nearly level strokes between crest and root of an outside thread; `side` -1 left of the axis. Beside the lines of
/// ISO 6410-1, not for them: who never saw a drawing knows a thread by its turns.
pub(super) fn turns(ring: &Ring, side: f64, sheet: Sheet) -> Vec<Line> {
    let Some(root) = ring.outside_thread else { return Vec::new() };
    let (crest, apart) = (ring.widest(), sheet.printed(TURN));
    let depth = thread_depth(crest - root, sheet);
    let count = ((ring.top - ring.bottom) / apart - 0.5).max(0.0) as usize;
    let heights = (0..count).map(|turn| ring.bottom + apart * (turn as f64 + 0.25));
    heights
        .map(|y| Line::open(vec![pt(side * crest, y), pt(side * (crest - depth), y + 0.2 * apart)]))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::Frame;
    use super::*;

    #[test]
    fn turns_of_a_thread_stay_on_it_and_apart() {
        let ring = Ring {
            bottom: 3.0,
            top: 20.0,
            bore: [0.0; 2],
            outside: [4.0; 2],
            bore_thread: None,
            outside_thread: Some(3.3),
            knurl: None,
        };
        let sheet = Sheet { scale: 0.7, frame: Frame { left: 0.0, right: 1.0, low: 0.0, high: 1.0 } };
        let turns = turns(&ring, -1.0, sheet);
        assert!(turns.len() > 7, "{}", turns.len());
        let points: Vec<&Point> = turns.iter().flat_map(|l| &l.points).collect();
        assert!(points.iter().all(|p| (3.0..=20.0).contains(&p.y) && (-4.0..=-1.0).contains(&p.x)));
        let apart = turns.windows(2).map(|w| w[1].points[0].y - w[0].points[0].y);
        assert!(apart.into_iter().all(|by| by * sheet.scale > 0.7 + 0.25));
    }
}
