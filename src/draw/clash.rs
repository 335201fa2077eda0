//! Where a stack that does not go fails: metal in the same place, or a place where parts should meet.
//! Reads outcomes; must not decide them.

use super::DrawInput;
use super::hatch::touching;
use super::piece::Window;
use super::scene::{Fill, Line, Mark, Pen, Point, Sheet, pt};
use super::solid::{Ring, Solid};
use crate::assembly::{Check, Outcome};

/// More rings than this would hide what they show.
const MOST: usize = 4;

/// For each failed check, in order; places already marked are not marked twice.
pub(super) fn marks(input: &DrawInput, solids: &[Solid], window: Window, sheet: Sheet) -> Vec<Mark> {
    let mut places: Vec<Place> = Vec::new();
    for check in input.stack.checks.iter().filter(|c| c.outcome == Outcome::Fail) {
        let new = place(check, solids, window);
        let known =
            |p: &Place| places.iter().any(|q| (p.middle.x - q.middle.x).hypot(p.middle.y - q.middle.y) < 2.0);
        if let Some(new) = new.filter(|p| !known(p)) {
            places.push(new);
        }
    }
    places.truncate(MOST);
    let overlaps: Vec<Line> = places.iter().flat_map(|p| p.overlaps.clone()).collect();
    let mut marks = vec![Mark::path("clash", overlaps, Pen::Narrow, Fill::Ink)];
    marks.extend(places.iter().map(|p| {
        let radius = (p.reach + sheet.printed(1.5)).max(sheet.printed(4.0));
        Mark::Circle { class: "clash-ring", centre: p.middle, radius, pen: Pen::Bold, fill: Fill::None }
    }));
    marks
}

struct Place {
    middle: Point,
    /// Half its size, kept small enough for a ring.
    reach: f64,
    /// Closed outlines, in the cut half.
    overlaps: Vec<Line>,
}

fn place(check: &Check, solids: &[Solid], window: Window) -> Option<Place> {
    let about: Vec<&Solid> =
        check.about.iter().filter_map(|&i| solids.iter().find(|s| s.item == i)).collect();
    let pairs: Vec<(&Solid, &Solid)> =
        about.iter().enumerate().flat_map(|(i, a)| about[i + 1..].iter().map(move |b| (*a, *b))).collect();
    let overlaps: Vec<Line> = pairs.iter().flat_map(|(a, b)| overlaps(a, b, window)).collect();
    if let Some(first) = overlaps.first() {
        let middle = middle(&first.points);
        let reach = first.points.iter().map(|p| (p.x - middle.x).hypot(p.y - middle.y)).fold(0.0, f64::max);
        return Some(Place { middle, reach: reach.min(8.0), overlaps });
    }
    let nearest = pairs.iter().filter_map(|(a, b)| between(a, b)).min_by(|a, b| a.1.total_cmp(&b.1));
    let alone = || {
        let solid = about.first()?;
        let ring = solid.rings().next()?;
        Some((pt(-(ring.bore[0] + ring.outside[0]) / 2.0, ring.bottom), 0.0))
    };
    let (middle, apart) = nearest.or_else(alone)?;
    let inside = middle.y >= window.low && middle.y <= window.high;
    inside.then(|| Place { middle, reach: (apart / 2.0).min(8.0), overlaps: Vec::new() })
}

fn middle(points: &[Point]) -> Point {
    let count = points.len().max(1) as f64;
    pt(points.iter().map(|p| p.x).sum::<f64>() / count, points.iter().map(|p| p.y).sum::<f64>() / count)
}

/// Metal of both, ring by ring. Inside a ring both walls are straight, so the ends decide; where cones cross inside
/// it the outline is their hull.
fn overlaps(a: &Solid, b: &Solid, window: Window) -> Vec<Line> {
    if !touching(a, b, 0.0) {
        return Vec::new();
    }
    let cut = |r: &Ring| r.cut(window.low, window.high);
    let mut found = Vec::new();
    for p in a.rings().filter_map(cut) {
        for q in b.rings().filter_map(cut) {
            let (low, high) = (p.bottom.max(q.bottom), p.top.min(q.top));
            let shared = |h: f64| (p.bore_at(h).max(q.bore_at(h)), p.outside_at(h).min(q.outside_at(h)));
            let (at_low, at_high) = (shared(low), shared(high));
            let deep = (at_low.1 - at_low.0).max(at_high.1 - at_high.0);
            if high - low > 0.01 && deep > 0.01 {
                let side = |s: (f64, f64)| (s.0, s.1.max(s.0));
                let (l, h) = (side(at_low), side(at_high));
                found.push(Line::closed(vec![pt(-l.1, low), pt(-h.1, high), pt(-h.0, high), pt(-l.0, low)]));
            }
        }
    }
    found
}

/// The middle of the shortest way between two parts' rings, and its length; rings as rectangles.
fn between(a: &Solid, b: &Solid) -> Option<(Point, f64)> {
    let ways = a.rings().flat_map(|p| {
        b.rings().map(move |q| {
            let (x, dx) = gap(p.narrowest(), p.widest(), q.narrowest(), q.widest());
            let (y, dy) = gap(p.bottom, p.top, q.bottom, q.top);
            (pt(-x, y), dx.hypot(dy))
        })
    });
    ways.min_by(|a, b| a.1.total_cmp(&b.1))
}

/// Middle and width of what lies between two stretches; of what they share when they overlap (width 0).
fn gap(low_a: f64, high_a: f64, low_b: f64, high_b: f64) -> (f64, f64) {
    let (from, to) = (low_a.max(low_b), high_a.min(high_b));
    ((from + to) / 2.0, (from - to).max(0.0))
}
