//! All parts beside each other on the bench, in the order in which they are used, each with its number under it.
//! Must not know what that order is, or where parts go.

use super::DrawInput;
use super::assembled::{MARGIN, NEAR, Paper, extent, number_of};
use super::exploded::standing;
use super::figure::figure;
use super::hatch::{self, Hatch};
use super::piece::{Piece, window};
use super::reference::{Label, Lettering, Reference, under};
use super::scene::{Frame, Mark, NUMBER_HEIGHT, Point, Scene, Sheet, pt};
use super::solid::{Solid, solids};
use super::trim;
use crate::assembly::ItemIx;

/// As wide as a step's picture, and higher: there are many parts. Their numbers are smaller for the same reason.
const PAPER: Paper = Paper { width: 102.0, height: 135.0, greatest_scale: 1.0 };
/// The least scale that is tried, and from one to the next.
const LEAST: f64 = 0.1;
const STEP: f64 = 0.01;
/// Paper millimetres: between two parts; the axis over and under a part; from there to the circle; between two rows.
const BETWEEN: f64 = 3.0;
const AXIS: f64 = 3.0;
const LEADER: f64 = 2.5;
const ROWS: f64 = 3.0;
/// Break lines stand out by this.
const BREAK: f64 = 2.5;

/// One part, its foot at height 0.
struct Cell<'s> {
    solid: &'s Solid,
    pieces: Vec<Piece>,
    frame: Frame,
    broken: bool,
}

impl Cell<'_> {
    /// On paper.
    fn width(&self, scale: f64, lettering: Lettering) -> f64 {
        let breaks = if self.broken { 2.0 * BREAK } else { 0.0 };
        (self.frame.width() * scale + breaks).max(2.0 * lettering.radius) + BETWEEN
    }
}

/// `None` where nothing is drawn.
pub(super) fn scene(input: &DrawInput, order: &[ItemIx]) -> Option<Scene> {
    let placed = solids(input);
    let shown = window(&placed);
    let hatches = hatch::choose(&placed, NEAR);
    let find = |item: &ItemIx| placed.iter().zip(&hatches).find(|(s, _)| s.item == *item);
    let cells = order.iter().filter_map(find).filter_map(|(solid, hatch): (&Solid, &Hatch)| {
        let (pieces, _) = standing(solid, shown, *hatch, 0.0);
        let broken = pieces.iter().any(|p| p.broken != Default::default());
        (!pieces.is_empty()).then(|| Cell { solid, frame: extent(&pieces), pieces, broken })
    });
    let cells: Vec<Cell> = cells.collect();
    if cells.is_empty() {
        return None;
    }
    let lettering = Lettering::new(NUMBER_HEIGHT);
    let tried = (0..).map(|i| PAPER.greatest_scale - f64::from(i) * STEP).take_while(|s| *s > LEAST);
    let fits = |scale: &f64| {
        let rows = rows(&cells, *scale, lettering);
        let high: f64 = rows.iter().map(|r| row_height(&cells[r.clone()], *scale, lettering)).sum();
        let wide = rows.iter().map(|r| row_width(&cells[r.clone()], *scale, lettering)).fold(0.0, f64::max);
        high <= PAPER.height - 2.0 * MARGIN && wide <= PAPER.width - 2.0 * MARGIN
    };
    let scale = tried.into_iter().find(fits).unwrap_or(LEAST);
    let frame = Frame { left: 0.0, right: 1.0, low: 0.0, high: 1.0 };
    let sheet = Sheet { scale: (scale * 100.0).round() / 100.0, frame };
    let mut marks = Vec::new();
    let mut frame = Frame { left: 0.0, right: 0.0, low: 0.0, high: 0.0 };
    // From the last row up, so that all of it lies over height 0, where fields of hatching are.
    let mut floor = 0.0;
    for row in rows(&cells, sheet.scale, lettering).into_iter().rev() {
        let high = sheet.printed(row_height(&cells[row.clone()], sheet.scale, lettering));
        let foot = floor + sheet.printed(2.0 * lettering.radius + LEADER + AXIS);
        let mut left = 0.0;
        for cell in &cells[row] {
            let wide = sheet.printed(cell.width(sheet.scale, lettering));
            marks.extend(stand(input, cell, pt(left + wide / 2.0, foot), lettering, sheet));
            left += wide;
        }
        floor += high;
        frame = Frame { right: frame.right.max(left), high: floor, ..frame };
    }
    let frame = frame.grown(sheet.printed(MARGIN));
    Some(Scene { drawing: "step", sheet: Sheet { frame, ..sheet }, marks })
}

/// As many beside each other as find room, in order.
fn rows(cells: &[Cell], scale: f64, lettering: Lettering) -> Vec<std::ops::Range<usize>> {
    let room = PAPER.width - 2.0 * MARGIN;
    let mut rows: Vec<std::ops::Range<usize>> = Vec::new();
    let mut wide = 0.0;
    for (index, cell) in cells.iter().enumerate() {
        let own = cell.width(scale, lettering);
        match rows.last_mut() {
            Some(row) if wide + own <= room => {
                row.end = index + 1;
                wide += own;
            }
            _ => {
                rows.push(index..index + 1);
                wide = own;
            }
        }
    }
    rows
}

fn row_width(cells: &[Cell], scale: f64, lettering: Lettering) -> f64 {
    cells.iter().map(|c| c.width(scale, lettering)).sum()
}

fn row_height(cells: &[Cell], scale: f64, lettering: Lettering) -> f64 {
    let highest = cells.iter().map(|c| c.frame.high).fold(0.0, f64::max);
    highest * scale + 2.0 * AXIS + LEADER + 2.0 * lettering.radius + ROWS
}

/// A part with its axis over `foot`, and its number straight under it.
fn stand(input: &DrawInput, cell: &Cell, foot: Point, lettering: Lettering, sheet: Sheet) -> Vec<Mark> {
    let lifted = cell.pieces.iter().map(|p| {
        let level = |h: Option<f64>| h.map(|h| h + foot.y);
        let mut broken = p.broken;
        (broken.bottom, broken.top) = (level(broken.bottom), level(broken.top));
        Piece { solid: p.solid.lifted(foot.y), lift: p.lift + foot.y, aside: foot.x, broken, ..p.clone() }
    });
    let pieces: Vec<Piece> = lifted.collect();
    let own = extent(&pieces);
    let mut marks = figure(&pieces, sheet, &[]);
    marks.push(trim::axis(own, sheet));
    let mut marks: Vec<Mark> = marks.into_iter().map(|m| m.moved(foot.x, 0.0)).collect();
    if let Some(number) = number_of(input, cell.solid) {
        let at = lowest(&pieces, sheet);
        let label = Label::of(cell.solid, number);
        let top = foot.y - sheet.printed(AXIS + LEADER);
        let reference = Reference { label, at: pt(at.x + foot.x, at.y) };
        let numbered = under(reference, pt(foot.x, top), lettering, sheet);
        marks.push(Mark::Group { class: "references", facts: Vec::new(), marks: numbered });
    }
    marks
}

/// In the metal of the lowest ring, near its foot.
fn lowest(pieces: &[Piece], sheet: Sheet) -> Point {
    let rings = pieces.iter().flat_map(|p| p.solid.rings());
    let ring = rings.min_by(|a, b| a.bottom.total_cmp(&b.bottom));
    ring.map_or(pt(0.0, 0.0), |r| {
        let y = r.bottom + ((r.top - r.bottom) / 2.0).min(sheet.printed(2.0));
        pt(-(r.bore_at(y) + r.outside_at(y)) / 2.0, y)
    })
}
