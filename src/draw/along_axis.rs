//! Parts seen along the axis, the rear of the scooter downwards: rings with their lengthwise cuts, ears, a crossbar.
//! Shapes the data does not give (how thick ears are, bolt heads) are signs, as in the view from the side.
//! Must not know what is turned, or why.

use super::figure::thread_depth;
use super::scene::{Fill, Line, Mark, Pen, Point, Sheet, pt};
use super::solid::{Slit, Solid};
use super::trim::{bolt_size, ear};

/// Corners of a whole round.
const CORNERS: usize = 48;

/// A ring across the axis at one height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Across {
    pub bore: f64,
    pub outside: f64,
    /// Root of a thread on the outside, major radius of one in the bore.
    pub outside_thread: Option<f64>,
    pub bore_thread: Option<f64>,
    /// Half the width of its cut; nothing where it is whole.
    pub half: f64,
    /// Ears on both sides of the cut: how far out, how far sideways; and the bolt's key.
    pub ears: Option<Ears>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Ears {
    pub reach: f64,
    pub side: f64,
    pub key: f64,
}

impl Across {
    pub fn widest(&self) -> f64 {
        self.ears.map_or(self.outside, |e| e.reach.max(self.outside))
    }
}

/// `None` where the part has no metal at this height.
pub(super) fn across(solid: &Solid, height: f64) -> Option<Across> {
    let here = || solid.rings().filter(|r| r.bottom <= height && height <= r.top);
    let outside = here().map(|r| r.outside_at(height)).reduce(f64::max)?;
    let bore = here().map(|r| r.bore_at(height)).fold(outside, f64::min);
    let cut = solid.slits.iter().find(|s| s.bottom <= height && height <= s.top);
    let half = cut.map_or(0.0, |s| s.half);
    let ears = (half > 0.0 && !solid.pinches.is_empty()).then(|| {
        let (key, _, thread) = bolt_size(solid);
        let reach = solid.ear_reach.unwrap_or(outside + 2.0 * thread).max(outside);
        Ears { reach, side: ear(half, outside, thread), key }
    });
    let outside_thread = here().find_map(|r| r.outside_thread);
    let bore_thread = here().find_map(|r| r.bore_thread);
    Some(Across { bore, outside, outside_thread, bore_thread, half, ears })
}

/// A height at which all of these are cut, or else the middle of the first.
pub(super) fn cut_height(cuts: &[&Slit]) -> Option<f64> {
    let first = cuts.first()?;
    let low = cuts.iter().map(|c| c.bottom).fold(first.bottom, f64::max);
    let high = cuts.iter().map(|c| c.top).fold(first.top, f64::min);
    let (low, high) = if high > low { (low, high) } else { (first.bottom, first.top) };
    Some((low + high) / 2.0)
}

/// The metal, its cut towards `heading` (degrees, counter-clockwise from the right): one closed line where it is cut,
/// two where it is whole.
pub(super) fn outlines(ring: &Across, heading: f64) -> Vec<Line> {
    let Across { bore, outside, half, ears, .. } = *ring;
    if half <= 0.0 || half >= outside {
        let whole = |radius: f64| Line::closed(arc(radius, 0.0, 360.0));
        return [outside, bore].into_iter().filter(|&r| r > 0.0).map(whole).collect();
    }
    let angle = |y: f64, radius: f64| (y / radius).clamp(-1.0, 1.0).asin().to_degrees();
    let (reach, side) = ears.map_or((0.0, half), |e| (e.reach, e.side));
    let mut points = Vec::new();
    if ears.is_some() {
        points.extend([pt(reach, half), pt(reach, side)]);
    }
    let from = angle(side, outside);
    points.extend(arc(outside, from, 360.0 - from));
    if ears.is_some() {
        points.extend([pt(reach, -side), pt(reach, -half)]);
    }
    match bore > half {
        true => {
            let from = angle(half, bore);
            points.extend(arc(bore, 360.0 - from, from));
        }
        false => points.push(pt(0.0, 0.0)),
    }
    vec![Line::closed(points.into_iter().map(|p| turned(p, heading)).collect())]
}

/// ISO 6410-1, seen along the axis: about three quarters of a circle for the root of an outside thread, or for the major
/// diameter of one in a bore.
pub(super) fn threads(ring: &Across, sheet: Sheet) -> Vec<Line> {
    let root = ring.outside_thread.map(|root| ring.outside - thread_depth(ring.outside - root, sheet));
    let major = ring.bore_thread.map(|major| ring.bore + thread_depth(major - ring.bore, sheet));
    let found = root.into_iter().chain(major).filter(|&r| r > 0.0);
    found.map(|radius| Line::open(arc(radius, 10.0, 280.0))).collect()
}

/// Head and shank of the bolt through the ears.
pub(super) fn bolt(ring: &Across, heading: f64) -> Vec<Line> {
    let Some(Ears { reach, side, key }) = ring.ears else { return Vec::new() };
    let thread = 1.2 * key;
    let x = (ring.outside + reach) / 2.0;
    let (x, head) = (x.min(reach - thread / 2.0), key.min(reach - x).max(thread / 2.0));
    let shank = |x: f64| Line::open(vec![pt(x, -ring.half), pt(x, ring.half)]);
    let corners =
        [pt(x - head, side), pt(x - head, side + thread), pt(x + head, side + thread), pt(x + head, side)];
    let lines = [Line::closed(corners.to_vec()), shank(x - thread / 2.0), shank(x + thread / 2.0)];
    let turn = |l: Line| Line { points: l.points.into_iter().map(|p| turned(p, heading)).collect(), ..l };
    lines.into_iter().map(turn).collect()
}

/// The crossbar, square to `heading`, with rounded ends.
pub(super) fn crossbar(half_length: f64, half_width: f64, heading: f64) -> Line {
    let along = half_length - half_width;
    let end =
        |x: f64, from: f64| arc(half_width, from, from + 180.0).into_iter().map(move |p| pt(p.x + x, p.y));
    let points = end(along, -90.0).chain(end(-along, 90.0));
    Line::closed(points.map(|p| turned(p, heading - 90.0)).collect())
}

/// From one angle to another about the axis, both ends included; a whole round without its end.
pub(super) fn arc(radius: f64, from: f64, to: f64) -> Vec<Point> {
    let round = (to - from).abs() > 359.9;
    let pieces = ((to - from).abs() / 360.0 * CORNERS as f64).ceil().max(1.0) as usize;
    let points = (0..=pieces).map(|i| turned(pt(radius, 0.0), from + (to - from) * i as f64 / pieces as f64));
    points.take(if round { pieces } else { pieces + 1 }).collect()
}

pub(super) fn turned(point: Point, degrees: f64) -> Point {
    let (sin, cos) = degrees.to_radians().sin_cos();
    pt(point.x * cos - point.y * sin, point.x * sin + point.y * cos)
}

/// An arrow round the axis.
pub(super) fn turning(radius: f64, from: f64, to: f64, head: f64) -> Mark {
    let (half, shaft) = (0.33 * head, 0.1 * head);
    let way = (to - from).signum();
    let neck = to - way * (head / radius).to_degrees().min((to - from).abs());
    let mut points = arc(radius + shaft, from, neck);
    points.extend([turned(pt(radius + half, 0.0), neck), turned(pt(radius, 0.0), to)]);
    points.push(turned(pt(radius - half, 0.0), neck));
    points.extend(arc(radius - shaft, neck, from));
    Mark::path("arrow", vec![Line::closed(points)], Pen::None, Fill::Ink)
}

#[cfg(test)]
mod tests {
    use super::super::scene::Frame;
    use super::*;

    const PLAIN: Across =
        Across { bore: 0.0, outside: 1.0, outside_thread: None, bore_thread: None, half: 0.0, ears: None };

    #[test]
    fn a_thread_is_three_quarters_of_a_circle_clear_of_its_crest() {
        let sheet = Sheet { scale: 0.5, frame: Frame { left: 0.0, right: 1.0, low: 0.0, high: 1.0 } };
        let ring =
            Across { bore: 2.0, outside: 4.0, outside_thread: Some(3.5), bore_thread: Some(2.5), ..PLAIN };
        let [root, major] = &threads(&ring, sheet)[..] else { panic!("two") };
        // One millimetre on paper at least.
        assert!(root.points.iter().all(|p| (p.x.hypot(p.y) - 2.0).abs() < 1e-9));
        assert!(major.points.iter().all(|p| (p.x.hypot(p.y) - 4.0).abs() < 1e-9));
        assert!(
            !root.closed && root.points.iter().any(|p| p.x < 0.0) && root.points.iter().any(|p| p.y < 0.0)
        );
        assert!(!root.points.iter().any(|p| p.x > 0.5 && p.y < -0.5), "a quarter is left open");
        assert!(threads(&PLAIN, sheet).is_empty());
    }

    #[test]
    fn a_cut_opens_where_it_is_turned_to_and_is_as_wide_as_it_is() {
        let ring = Across { bore: 14.0, outside: 16.0, half: 1.5, ears: None, ..PLAIN };
        for (heading, at) in [(0.0, pt(15.0, 0.0)), (90.0, pt(0.0, 15.0)), (-90.0, pt(0.0, -15.0))] {
            let [line] = &outlines(&ring, heading)[..] else { panic!("one outline") };
            let near = line.points.iter().map(|p| (p.x - at.x).hypot(p.y - at.y)).fold(f64::MAX, f64::min);
            assert!(near > 1.4 && near < 2.0, "{near}");
            assert!(line.points.iter().all(|p| p.x.hypot(p.y) > 13.99 && p.x.hypot(p.y) < 16.01));
        }
    }

    #[test]
    fn a_whole_ring_is_two_rounds() {
        let ring = Across { bore: 14.0, outside: 16.0, half: 0.0, ears: None, ..PLAIN };
        assert_eq!(
            outlines(&ring, 0.0).iter().map(|l| l.points.len()).collect::<Vec<_>>(),
            [CORNERS, CORNERS]
        );
    }

    #[test]
    fn ears_stand_out_on_both_sides_of_the_cut() {
        let ears = Some(Ears { reach: 30.0, side: 9.0, key: 5.0 });
        let ring = Across { bore: 16.0, outside: 22.0, half: 1.5, ears, ..PLAIN };
        let line = outlines(&ring, -90.0).remove(0);
        let low = line.points.iter().filter(|p| (p.y + 30.0).abs() < 1e-6).map(|p| p.x).collect::<Vec<_>>();
        assert_eq!(low.len(), 4, "{low:?}");
        assert!(bolt(&ring, -90.0)[0].points.iter().all(|p| p.x > 8.99), "its head is on the right");
    }

    #[test]
    fn a_crossbar_lies_square_to_where_it_heads() {
        let across = crossbar(280.0, 16.0, 90.0);
        assert!(across.points.iter().all(|p| p.y.abs() < 16.001));
        assert!(across.points.iter().any(|p| p.x > 279.9));
    }

    #[test]
    fn a_height_is_found_at_which_all_are_cut() {
        let cut = |bottom, top| Slit { column: "body", half: 1.0, bottom, top };
        assert_eq!(cut_height(&[&cut(0.0, 60.0), &cut(40.0, 100.0)]), Some(50.0));
        assert_eq!(cut_height(&[&cut(0.0, 10.0), &cut(40.0, 100.0)]), Some(5.0));
        assert_eq!(cut_height(&[]), None);
    }
}
