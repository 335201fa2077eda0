//! The closing gap: where it is, and a magnified detail of it with its value. Draws the number it is given;
//! must not judge it.

use super::DrawInput;
use super::figure::figure;
use super::piece::{Breaks, Piece, Window, piece};
use super::scene::{Fill, Frame, Line, Mark, NOTE_HEIGHT, Pen, Point, Sheet, pt};
use super::signs::{letter, notes};
use super::solid::Solid;
use crate::assembly::{Demand, ItemIx};

/// Two level faces that come together: heights, and a radius at which both have metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Gap {
    pub low: f64,
    pub high: f64,
    pub radius: f64,
}

/// Paper millimetres beside the figure: the detail's circle and room around it.
pub(super) const ROOM: f64 = 2.0 * RADIUS + 6.0;
const RADIUS: f64 = 18.0;
/// The gap is drawn about this large.
const GAP: f64 = 9.0;
/// Magnifications against the drawing: 1, 2 and 5 of each decade as in ISO 5455, and what lies between.
const TIMES: [f64; 9] = [1.0, 1.5, 2.0, 2.5, 4.0, 5.0, 8.0, 10.0, 20.0];
/// A gap longer than this is far outside any limit and needs no detail: it would not fit the circle. Millimetres.
const LONGEST: f64 = 16.0;
/// A place counts as the checked gap when it is as large to within this.
const SAME: f64 = 0.02;

/// Found among the faces: the pair as far apart as the checked value says, a pushed part above a part of the fork.
pub(super) fn closing_gap(input: &DrawInput, solids: &[Solid]) -> Option<Gap> {
    if input.words.gap.is_empty() {
        return None;
    }
    let check = input.stack.checks.iter().find(|c| c.demand == Demand::GapLeast)?;
    let value = Some(check.value.as_ref()?.nominal as f64 / 1e6).filter(|&v| v > 0.0 && v < LONGEST)?;
    let standing = |item: ItemIx| with_fork(input, item);
    let (fixed, moving): (Vec<&Solid>, Vec<&Solid>) = solids.iter().partition(|s| standing(s.item));
    let pairs = moving.iter().flat_map(|m| fixed.iter().flat_map(|f| gaps(m, f)));
    let near = pairs.filter(|g| ((g.high - g.low) - value).abs() < SAME);
    near.min_by(|a, b| ((a.high - a.low) - value).abs().total_cmp(&((b.high - b.low) - value).abs()))
}

/// The fork and what rides with it.
fn with_fork(input: &DrawInput, item: ItemIx) -> bool {
    let host = input.stack.items.get(item.0 as usize).and_then(|p| p.rides_with);
    item == ItemIx(0) || host == Some(ItemIx(0))
}

/// Level faces of the moving part above level faces of the fixed one, where their radii overlap.
fn gaps(moving: &Solid, fixed: &Solid) -> Vec<Gap> {
    let mut found = Vec::new();
    for above in moving.rings() {
        for below in fixed.rings() {
            let inner = above.bore[0].max(below.bore[1]);
            let outer = above.outside[0].min(below.outside[1]);
            if outer - inner > 0.05 && above.bottom > below.top {
                found.push(Gap { low: below.top, high: above.bottom, radius: (inner + outer) / 2.0 });
            }
        }
    }
    found
}

/// What a detail shows: its middle, its size (drawn about as large as [`GAP`]), what is drawn in it besides the parts.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Spot {
    pub focus: Point,
    pub size: f64,
    pub besides: Vec<Mark>,
    /// Not magnified more than this against the drawing.
    pub most_times: f64,
    /// Half the distance that a dimension line spans; none: no dimension.
    pub half: Option<f64>,
}

impl Gap {
    pub fn spot(&self) -> Spot {
        let (focus, size) = (pt(-self.radius, (self.low + self.high) / 2.0), self.high - self.low);
        Spot { focus, size, besides: Vec::new(), most_times: 20.0, half: Some(size / 2.0) }
    }
}

/// A ring round the spot with a letter, and the detail right of everything with the words under it.
pub(super) fn marks(
    spot: &Spot,
    pieces: &[Piece],
    drawn: &[Mark],
    words: &str,
    sheet: Sheet,
    frame: &mut Frame,
) -> Vec<Mark> {
    let wanted = GAP / (spot.size * sheet.scale);
    let times = TIMES.iter().copied().rfind(|&t| t <= wanted.min(spot.most_times)).unwrap_or(TIMES[0]);
    let radius = sheet.printed(RADIUS);
    let shown = radius / times;
    let ring =
        |class, centre, radius| Mark::Circle { class, centre, radius, pen: Pen::Narrow, fill: Fill::None };
    let mut marks = vec![ring("detail-ring", spot.focus, shown)];
    let letter_room = sheet.printed(NOTE_HEIGHT);
    let by = free_spot(spot.focus, shown + letter_room, letter_room, &leaders(drawn));
    marks.extend(letter("A", by, sheet));
    let centre = pt(frame.right + sheet.printed(4.0) + radius, clamped(spot.focus.y, radius, sheet, frame));
    marks.push(magnified(spot, pieces, centre, times, sheet));
    marks.push(ring("detail-rim", centre, radius));
    marks.extend(spot.half.map(|half| dimension(centre, half * times, sheet)));
    let (left, right) = (centre.x - radius, centre.x + radius);
    let mut below = Frame { left, right, low: centre.y - radius - sheet.printed(1.0), high: centre.y };
    marks.extend(letter("A", pt(centre.x, centre.y + radius + sheet.printed(NOTE_HEIGHT)), sheet));
    marks.extend(notes(&[words], sheet, &mut below));
    frame.right = frame.right.max(below.right);
    frame.low = frame.low.min(below.low);
    marks
}

/// Beside its place as far as the frame allows: letter above and three lines of text below it stay inside.
fn clamped(height: f64, radius: f64, sheet: Sheet, frame: &Frame) -> f64 {
    let (above, below) = (sheet.printed(2.0 * NOTE_HEIGHT), sheet.printed(6.0 * NOTE_HEIGHT));
    height.min(frame.high - radius - above).max(frame.low + radius + below)
}

fn magnified(spot: &Spot, pieces: &[Piece], centre: Point, times: f64, sheet: Sheet) -> Mark {
    let (radius, focus) = (sheet.printed(RADIUS), spot.focus);
    let reach = 1.2 * radius / times;
    let near = Window { low: focus.y - reach, high: focus.y + reach, widest: f64::MAX };
    let cut = pieces.iter().filter_map(|p| {
        let piece = piece(&p.solid, near, 0.0, p.look, p.hatch)?;
        let broken = Breaks { side: p.broken.side, ..piece.broken };
        Some(Piece { broken, ..piece })
    });
    let cut: Vec<Piece> = cut.collect();
    let large = Sheet { scale: sheet.scale * times, ..sheet };
    let (dx, dy) = (centre.x - focus.x * times, centre.y - focus.y * times);
    let section = figure(&cut, large, &[]).into_iter().filter(in_section).chain(spot.besides.iter().cloned());
    let section = section.map(|m| m.nameless().placed(times, dx, dy)).collect();
    Mark::Clipped { class: "detail", centre, radius, marks: section }
}

/// The detail shows the cut half only.
fn in_section(mark: &Mark) -> bool {
    match mark {
        Mark::Path { class, .. } => matches!(*class, "edge behind" | "face" | "edge" | "edge hidden"),
        Mark::Group { class, .. } => *class != "outside",
        _ => false,
    }
}

/// A dimension line with both heads between the faces.
fn dimension(centre: Point, half: f64, sheet: Sheet) -> Mark {
    let (long, wide) = (sheet.printed(2.5).min(half), sheet.printed(0.7));
    let head = |end: f64| {
        let back = end - end.signum() * long;
        Line::closed(vec![
            pt(centre.x, centre.y + end),
            pt(centre.x - wide, centre.y + back),
            pt(centre.x + wide, centre.y + back),
        ])
    };
    let line = Line::open(vec![pt(centre.x, centre.y - half), pt(centre.x, centre.y + half)]);
    let marks = vec![
        Mark::path("dimension", vec![line], Pen::Narrow, Fill::None),
        Mark::path("dimension-head", vec![head(half), head(-half)], Pen::None, Fill::Ink),
    ];
    Mark::Group { class: "gap", facts: Vec::new(), marks }
}

fn leaders(marks: &[Mark]) -> Vec<Line> {
    let mut found = Vec::new();
    for mark in marks {
        match mark {
            Mark::Path { class: "leader", lines, .. } => found.extend(lines.iter().cloned()),
            Mark::Group { marks, .. } => found.extend(leaders(marks)),
            _ => {}
        }
    }
    found
}

/// Of eight places around, the first that keeps clear of all leaders and their ends.
fn free_spot(centre: Point, distance: f64, room: f64, leaders: &[Line]) -> Point {
    let around = [1, 7, 0, 2, 6, 3, 5, 4].map(|eighth| {
        let angle = f64::from(eighth) * std::f64::consts::FRAC_PI_4;
        pt(centre.x + distance * angle.cos(), centre.y + distance * angle.sin())
    });
    let clear = |p: &Point| {
        let ends = leaders.iter().filter_map(|l| Some((*l.points.first()?, *l.points.last()?)));
        ends.map(|(a, b)| to_segment(*p, a, b)).fold(f64::MAX, f64::min)
    };
    let free = around.iter().find(|p| clear(p) > room);
    free.copied().unwrap_or_else(|| {
        around.into_iter().fold(around[0], |m, p| if clear(&p) > clear(&m) { p } else { m })
    })
}

fn to_segment(p: Point, a: Point, b: Point) -> f64 {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let square = (dx * dx + dy * dy).max(1e-12);
    let along = (((p.x - a.x) * dx + (p.y - a.y) * dy) / square).clamp(0.0, 1.0);
    (p.x - a.x - along * dx).hypot(p.y - a.y - along * dy)
}
