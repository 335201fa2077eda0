//! Where a stack that does not go fails: metal in the same place, or a place where parts should meet.
//! Reads outcomes; must not decide them.

use super::DrawInput;
use super::deciding::{LONGEST, in_the_open};
use super::detail::{Spot, Way};
use super::hatch::touching;
use super::piece::Window;
use super::scene::{Fill, Line, Mark, Pen, Point, Sheet, pt};
use super::signs::arrow;
use super::solid::{Ring, Solid};
use crate::assembly::{Check, Demand, ItemIx, Outcome};
use crate::rules::Rule;

/// More rings than this would hide what they show.
const MOST: usize = 4;

/// Failed checks' places: the first that has a size as a detail, else the first; a ring round each of the others.
pub(super) struct Clash<'a> {
    pub marks: Vec<Mark>,
    pub first: Option<Spot<'a>>,
}

/// For each failed check, in order; places already marked are not marked twice.
pub(super) fn clash<'a>(input: &DrawInput<'a>, solids: &[Solid], window: Window, sheet: Sheet) -> Clash<'a> {
    let mut places: Vec<Place> = Vec::new();
    let worded = |index: usize| input.words.why.get(index).is_some_and(|words| !words.is_empty());
    let failed = input.stack.checks.iter().enumerate().filter(|(_, c)| c.outcome == Outcome::Fail);
    // What the page does not blame is not marked either.
    let failed = failed.filter(|(index, _)| input.words.lead.is_none() || worded(*index));
    let mut failed: Vec<(usize, &Check)> = failed.collect();
    // Of two places too close for two marks, the one that the page opens with is kept.
    failed.sort_by_key(|(index, _)| Some(*index) != input.words.lead);
    for (index, check) in failed {
        let new = place(input, check, solids, window).map(|place| Place { check: index, ..place });
        let far = |p: &Place| {
            places
                .iter()
                .all(|q| (p.middle.x - q.middle.x).hypot(p.middle.y - q.middle.y) * sheet.scale > RING)
        };
        places.extend(new.filter(far));
    }
    // What the page opens with, else what can be dimensioned: it says more than what only is so.
    let first = places.iter().position(|p| Some(p.check) == input.words.lead);
    if let Some(at) = first.or_else(|| places.iter().position(Place::dimensioned)) {
        places[..=at].rotate_right(1);
    }
    places.truncate(MOST);
    let overlaps: Vec<Line> = places.iter().flat_map(|p| p.overlaps.clone()).collect();
    let filled = Mark::path("clash", overlaps, Pen::Narrow, Fill::Ink);
    let first = places.first().map(|p| {
        let spot = Spot {
            besides: vec![filled.clone()],
            most_times: if p.dimensioned() { CLOSE } else { MOST_TIMES },
            way: p.way,
            dimensioned: p.dimensioned(),
            // The sentence has its own number, of diameters; as drawn it would be another.
            told: p.dimensioned() && Some(p.check) != input.words.lead,
            words: input.words.why.get(p.check).map_or("", String::as_str),
            ..Spot::new(p.what(input), p.middle, p.size.max(0.02))
        };
        let long = p.way == Way::Upright && p.size > LONGEST;
        if long { in_the_open(spot, solids) } else { spot }
    });
    let mut marks = vec![filled];
    // Where a part stands on the wrong one, no push goes on from there, and no gap is where it should be.
    let lead = places.first().and_then(|p| input.stack.checks.get(p.check)).map(|c| c.demand);
    if matches!(lead, Some(Demand::RestsOn(_) | Demand::Path | Demand::GapLeast)) {
        let mut failed = input.stack.checks.iter().filter(|c| c.outcome == Outcome::Fail);
        marks.extend(failed.find_map(|check| too_high(input, check, solids, sheet)));
    }
    marks.extend(places.iter().skip(1).map(|p| {
        let radius = sheet.printed(RING);
        Mark::Circle { class: "clash-ring", centre: p.middle, radius, pen: Pen::Bold, fill: Fill::None }
    }));
    Clash { marks, first }
}

/// Radius of a ring on paper.
const RING: f64 = 4.0;
/// A detail larger than this shows no neighbours: of a place that has no size, and of one that has.
const MOST_TIMES: f64 = 5.0;
const CLOSE: f64 = 20.0;
/// How far below a tube's end its missing thread or step is marked. Millimetres.
const BELOW_END: f64 = 6.0;
/// Less than this between two faces cannot be told from touching. Millimetres.
const TOUCHING: f64 = 0.02;

struct Place {
    /// Which of the stack's checks fails there.
    check: usize,
    middle: Point,
    /// Depth of the overlap, how far the parts are apart, or how long they lie along each other.
    size: f64,
    way: Way,
    /// Closed outlines, in the cut half.
    overlaps: Vec<Line>,
    /// It is how far one part reaches over what it should go into.
    too_wide: bool,
}

impl Place {
    fn what(&self, input: &DrawInput) -> &'static str {
        let check = input.stack.checks.get(self.check).map(|c| c.demand);
        match (self.overlaps.is_empty(), check) {
            (false, _) => "overlap",
            _ if self.too_wide => "too-wide",
            (true, Some(Demand::SleeveOverlap(_))) => "along",
            (true, _) => "apart",
        }
    }

    fn dimensioned(&self) -> bool {
        self.size > TOUCHING
    }
}

fn place(input: &DrawInput, check: &Check, solids: &[Solid], window: Window) -> Option<Place> {
    let items = check.about.iter().copied().chain(stopped_by(input, check));
    let about: Vec<&Solid> = items.filter_map(|i| solids.iter().find(|s| s.item == i)).collect();
    let pairs: Vec<(&Solid, &Solid)> =
        about.iter().enumerate().flat_map(|(i, a)| about[i + 1..].iter().map(move |b| (*a, *b))).collect();
    let overlaps: Vec<Line> = pairs.iter().flat_map(|(a, b)| overlaps(a, b, window)).collect();
    if let Some(largest) = overlaps.iter().max_by(|a, b| area(a).total_cmp(&area(b))) {
        let xs = || largest.points.iter().map(|p| p.x);
        let size = xs().fold(f64::MIN, f64::max) - xs().fold(f64::MAX, f64::min);
        return Some(Place {
            check: 0,
            middle: middle(&largest.points),
            size,
            way: Way::Level,
            overlaps,
            too_wide: false,
        });
    }
    if let Some(place) = pairs.iter().find_map(|(a, b)| too_wide(check, a, b, window)) {
        return Some(place);
    }
    let nearest = pairs.iter().filter_map(|(a, b)| between(a, b, sleeve(check.demand), window));
    let nearest = nearest.min_by(|a, b| a.1.total_cmp(&b.1));
    if let Some(place) = missing(input.rule, check, &about, window) {
        return Some(place);
    }
    if let Some(place) = measured(check, &about, window) {
        return Some(place);
    }
    let alone = || {
        let ring = about.first()?.rings().find(|r| r.cut(window.low, window.high).is_some())?;
        let bottom = ring.bottom.max(window.low);
        Some((pt(-(ring.bore_at(bottom) + ring.outside_at(bottom)) / 2.0, bottom), 0.0, Way::Level))
    };
    let (middle, size, way) = nearest.or_else(alone)?;
    if !matches!(check.demand, Demand::SleeveOverlap(_)) {
        return Some(Place { check: 0, middle, size, way, overlaps: Vec::new(), too_wide: false });
    }
    // Where walls lie along each other too little, how far apart they are tells nothing.
    let (y, size) = along(check, &pairs, window).unwrap_or((middle.y, 0.0));
    Some(Place {
        check: 0,
        middle: pt(middle.x, y),
        size,
        way: Way::Upright,
        overlaps: Vec::new(),
        too_wide: false,
    })
}

/// What a part stands on that must not stand there, or hands no push on from there: the place is where they touch.
fn stopped_by(input: &DrawInput, check: &Check) -> Option<ItemIx> {
    let of_standing = matches!(check.demand, Demand::RestsOn(_) | Demand::Path);
    let item = check.about.first().filter(|_| of_standing)?;
    let placed = input.stack.items.get(usize::from(item.0))?;
    placed.rests_on.iter().find(|support| support.certain).map(|support| support.item)
}

/// How far a part would have to come down to what it is to rest on, as an arrow right of what stands between.
fn too_high(input: &DrawInput, check: &Check, solids: &[Solid], sheet: Sheet) -> Option<Mark> {
    let Demand::RestsOn(slot) = check.demand else { return None };
    let own = solids.iter().find(|s| Some(&s.item) == check.about.first())?;
    let wanted =
        |s: &&Solid| input.rule.slot(slot).rests_on.iter().any(|&on| input.rule.slot(on).name == s.slot);
    let under = solids.iter().filter(wanted).filter(|s| s.top < own.bottom);
    let to = under.map(|s| s.top).fold(f64::MIN, f64::max);
    let between = solids.iter().flat_map(Solid::rings).filter_map(|r| r.cut(to, own.bottom));
    let radius = between.map(|r| r.widest()).fold(0.0, f64::max);
    let long = (own.bottom - to) * sheet.scale;
    (to > f64::MIN && long > LEAST_ARROW).then(|| arrow(radius + sheet.printed(3.0), own.bottom, to, sheet))
}

/// A shorter way than this is all head. Paper millimetres.
const LEAST_ARROW: f64 = 6.0;

/// Where a surface should be that a part lacks: below the crown on the axis, or at the outside of its upper end.
fn missing(rule: &Rule, check: &Check, about: &[&Solid], window: Window) -> Option<Place> {
    let Demand::Size(index) = check.demand else { return None };
    let asked = rule.sizes.get(usize::from(index)).filter(|_| check.value.is_none())?.surface.first()?;
    let solid = about.first()?;
    let below = asked.surface.contains("bottom");
    let bottom = solid.bottom.max(window.low);
    let top =
        solid.rings().filter_map(|r| r.cut(window.low, window.high)).max_by(|a, b| a.top.total_cmp(&b.top));
    let middle = match (below, top) {
        (false, Some(top)) => pt(-top.outside_at(top.top), top.top - BELOW_END),
        _ => pt(0.0, bottom),
    };
    Some(Place { check: 0, middle, size: 0.0, way: Way::Level, overlaps: Vec::new(), too_wide: false })
}

/// The wall of one part that has not the size asked for: the ring whose outside, or bore, is what the check found.
fn measured(check: &Check, about: &[&Solid], window: Window) -> Option<Place> {
    let found =
        check.value.as_ref().filter(|_| matches!(check.demand, Demand::Size(_)))?.nominal as f64 / 1e6;
    let rings = about.first()?.rings().filter_map(|r| r.cut(window.low, window.high));
    let walls = rings.flat_map(|r| [(r.outside[0], r.bottom, r.top), (r.bore[0], r.bottom, r.top)]);
    let its = walls.filter(|(radius, ..)| (2.0 * radius - found).abs() < TOUCHING);
    let (radius, bottom, top) = its.max_by(|a, b| (a.2 - a.1).total_cmp(&(b.2 - b.1)))?;
    let middle = pt(-radius, (bottom + top) / 2.0);
    Some(Place { check: 0, middle, size: 0.0, way: Way::Level, overlaps: Vec::new(), too_wide: false })
}

/// A wall that should go into another and stands on it, for it is wider than that by what the check found: the step
/// between the two, where they touch.
fn too_wide(check: &Check, outer: &Solid, inner: &Solid, window: Window) -> Option<Place> {
    let found = check.value.as_ref()?.nominal as f64 / 1e6;
    if !matches!(check.demand, Demand::SleeveClearance(_)) || found > -TOUCHING {
        return None;
    }
    let rings = outer.rings().flat_map(|p| inner.rings().map(move |q| (p, q)));
    let touch = rings.filter_map(|(p, q)| {
        let heights = [(p.top, q.bottom), (p.bottom, q.top)];
        let (y, _) = heights.into_iter().find(|(a, b)| (a - b).abs() < TOUCHING)?;
        let (bore, outside) = (p.bore_at(y), q.outside_at(y));
        let same = (2.0 * (bore - outside) - found).abs() < TOUCHING;
        (same && y > window.low && y < window.high).then_some((y, bore, outside))
    });
    let (y, bore, outside) = touch.into_iter().next()?;
    let middle = pt(-(bore + outside) / 2.0, y);
    Some(Place {
        check: 0,
        middle,
        size: outside - bore,
        way: Way::Level,
        overlaps: Vec::new(),
        too_wide: true,
    })
}

/// The stretch over which two parts, or two rings of them, lie along each other, where that is what the check found:
/// its middle and its length.
fn along(check: &Check, pairs: &[(&Solid, &Solid)], window: Window) -> Option<(f64, f64)> {
    let found = check.value.as_ref()?.nominal as f64 / 1e6;
    let whole = pairs.iter().map(|(a, b)| (a.bottom.max(b.bottom), a.top.min(b.top)));
    let rings = pairs.iter().flat_map(|(a, b)| {
        let all = a.rings().flat_map(|p| b.rings().map(move |q| (p, q)));
        all.map(|(p, q)| (p.bottom.max(q.bottom), p.top.min(q.top)))
    });
    let seen = |(low, high): &(f64, f64)| *low >= window.low && *high <= window.high;
    let found = whole.chain(rings).filter(seen).find(|(low, high)| (high - low - found).abs() < TOUCHING)?;
    Some(((found.0 + found.1) / 2.0, found.1 - found.0))
}

/// Checks of one wall round another: what counts is where they lie along each other.
fn sleeve(demand: Demand) -> bool {
    matches!(
        demand,
        Demand::SleeveClearance(_) | Demand::SleeveOverlap(_) | Demand::Tightness(_) | Demand::GripCloses(_)
    )
}

fn area(outline: &Line) -> f64 {
    let next = outline.points.iter().cycle().skip(1);
    outline.points.iter().zip(next).map(|(a, b)| a.x * b.y - b.x * a.y).sum::<f64>().abs()
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

/// The middle of the shortest way between two parts' rings, and its length, 0 where it is neither level nor upright;
/// rings as rectangles. Of sleeves: between the two rings that lie along each other longest.
fn between(a: &Solid, b: &Solid, sleeve: bool, window: Window) -> Option<(Point, f64, Way)> {
    let cut = |r: &Ring| r.cut(window.low, window.high);
    let mut best: Option<((Point, f64, Way), f64)> = None;
    for p in a.rings().filter_map(cut) {
        for q in b.rings().filter_map(cut) {
            let (x, dx) = gap(p.narrowest(), p.widest(), q.narrowest(), q.widest());
            let (y, dy) = gap(p.bottom, p.top, q.bottom, q.top);
            let along = p.top.min(q.top) - p.bottom.max(q.bottom);
            let rank = if sleeve && along > 0.0 { -along } else { dx.hypot(dy) };
            if best.is_none_or(|b| rank < b.1) {
                let (size, way) = match (dx > TOUCHING, dy > TOUCHING) {
                    (true, false) => (dx, Way::Level),
                    (false, true) => (dy, Way::Upright),
                    _ => (0.0, Way::Level),
                };
                best = Some(((pt(-x, y), size, way), rank));
            }
        }
    }
    best.map(|(place, _)| place)
}

/// Middle and width of what lies between two stretches; of what they share when they overlap (width 0).
fn gap(low_a: f64, high_a: f64, low_b: f64, high_b: f64) -> (f64, f64) {
    let (from, to) = (low_a.max(low_b), high_a.min(high_b));
    ((from + to) / 2.0, (from - to).max(0.0))
}
