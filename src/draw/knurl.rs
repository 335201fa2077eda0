//! Knurled rims as seen from outside: narrow lines over the part of the rim away from the axis, so that numbers and
//! slots stay clear. Patterns and the slant of 30 degrees as in DIN 82 (from memory). Must not know parts.

use super::outline::Band;
use super::scene::{Line, Point, Sheet, pt};
use super::solid::{Ring, Solid};
use crate::kinds::Knurl;

/// Between two lines on paper: over the least gap of 0.7 mm between parallel lines (ISO 128-2).
const APART: f64 = 1.1;
/// From here on outward, as a share of the radius.
const FROM: f64 = 0.35;
/// Tangent of the slant against the axis.
const SLANT: f64 = 0.577;

/// The lines on what is seen of the part's knurled rings.
pub(super) fn lines(solid: &Solid, band: &Band, sheet: Sheet) -> Vec<Line> {
    let rims = solid.rings().filter_map(|r| Some((r.knurl?, r.cut(band.low(), band.high())?)));
    rims.flat_map(|(pattern, ring)| on_rim(pattern, &ring, sheet)).collect()
}

fn on_rim(pattern: Knurl, ring: &Ring, sheet: Sheet) -> Vec<Line> {
    let outside = ring.outside[0].min(ring.outside[1]);
    let (from, apart) = (FROM * outside, sheet.printed(APART));
    let slants: &[f64] = match pattern {
        Knurl::Straight => &[0.0],
        Knurl::Diamond => &[SLANT, -SLANT],
    };
    let mut lines = Vec::new();
    for &slant in slants {
        let lean = slant * (ring.top - ring.bottom);
        // Where a line meets the rim's lower edge; all that cross the patch.
        let (first, last) = (from - lean.max(0.0), outside - lean.min(0.0));
        let step = apart * (1.0 + slant * slant).sqrt();
        let count = ((last - first) / step) as usize;
        let feet = (1..=count).map(|n| first + n as f64 * step);
        lines.extend(feet.filter_map(|foot| inside(foot, lean, (from, outside), ring)));
    }
    lines
}

/// The piece of a line from `foot` on the lower edge to `foot + lean` on the upper that lies between two radii.
fn inside(foot: f64, lean: f64, (from, to): (f64, f64), ring: &Ring) -> Option<Line> {
    let at =
        |share: f64| -> Point { pt(foot + lean * share, ring.bottom + (ring.top - ring.bottom) * share) };
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    if lean.abs() < 1e-9 {
        return (foot < to - 1e-6).then(|| Line::open(vec![at(0.0), at(1.0)]));
    }
    let (a, b) = ((from - foot) / lean, (to - foot) / lean);
    low = low.max(a.min(b));
    high = high.min(a.max(b));
    (high - low > 1e-3).then(|| Line::open(vec![at(low), at(high)]))
}

#[cfg(test)]
mod tests {
    use super::super::scene::Frame;
    use super::*;

    fn rim(knurl: Knurl) -> Vec<Line> {
        let ring = Ring {
            bottom: 2.0,
            top: 8.0,
            bore: [5.0; 2],
            outside: [20.0; 2],
            bore_thread: None,
            outside_thread: None,
            knurl: None,
        };
        let frame = Frame { left: 0.0, right: 1.0, low: 0.0, high: 1.0 };
        on_rim(knurl, &ring, Sheet { scale: 0.8, frame })
    }

    #[test]
    fn knurling_stays_on_its_rim_and_a_diamond_leans_both_ways() {
        for pattern in [Knurl::Straight, Knurl::Diamond] {
            let lines = rim(pattern);
            assert!(lines.len() > 8, "{}", lines.len());
            let points = lines.iter().flat_map(|l| &l.points);
            assert!(points.into_iter().all(|p| p.x > 6.9 && p.x < 20.001 && p.y > 1.999 && p.y < 8.001));
        }
        let leans = |l: &Line| l.points[1].x - l.points[0].x;
        assert!(rim(Knurl::Straight).iter().all(|l| leans(l) == 0.0));
        let diamond = rim(Knurl::Diamond);
        assert!(diamond.iter().any(|l| leans(l) > 1.0) && diamond.iter().any(|l| leans(l) < -1.0));
    }
}
