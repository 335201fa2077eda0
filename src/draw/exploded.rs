//! The parts apart along the axis, in assembly order, long ones shortened between two break lines.
//! Must not know what supports what.

use super::DrawInput;
use super::assembled::{LEGEND, MARGIN, NEAR, OVERHANG, PAPER, changed_words, extent, fit, numbers};
use super::figure::{figure, rim};
use super::hatch;
use super::outline::silhouette;
use super::piece::{Look, Piece, Window, piece, window};
use super::reference::{Lettering, column, one_side};
use super::scene::{Fill, Frame, Line, Mark, Pen, Scene, Sheet, pt};
use super::signs::{arrow, changed_legend, legend, triangle};
use super::solid::{Solid, Travel, solids};
use super::trim;
use crate::kinds::Known;

/// Between parts, and between the two ends of a shortened part, millimetres of the real part.
const APART: f64 = 9.0;
const SHORTENED: f64 = 4.0;
/// A plain stretch longer than this is shortened to its two ends.
const LONG: f64 = 44.0;
const END: f64 = 13.0;
/// Higher than this the view goes on in a second column.
const ONE_COLUMN: f64 = 230.0;

pub(super) fn scene(input: &DrawInput) -> Scene {
    let placed = solids(input);
    let shown = window(&placed);
    let hatches = hatch::choose(&placed, NEAR);
    let columns = two_columns(apart(input, &placed, shown, &hatches));
    let frames: Vec<Frame> = columns.iter().map(|c| extent(c)).collect();
    let lettering =
        Lettering::for_count(columns.iter().map(Vec::len).max().unwrap_or(0), PAPER.height - 12.0);
    let all = together(&frames, &columns);
    let between = if columns.len() > 1 { BETWEEN } else { 0.0 };
    let beside = lettering.column() * columns.len() as f64 + between + 2.0 * SIGN;
    let changed = changed_words(input, &placed);
    let legends = [input.words.mark, changed].iter().filter(|text| !text.is_empty()).count() as f64;
    let height = PAPER.height - legends * LEGEND;
    let paper = super::assembled::Paper { height, greatest_scale: 1.0, ..PAPER };
    let sheet = fit(all, beside, paper);
    let mut marks = Vec::new();
    let mut frame = frames.first().copied().unwrap_or(all).grown(sheet.printed(OVERHANG));
    let mut ends = Vec::new();
    for (index, (mut pieces, own)) in columns.into_iter().zip(&frames).enumerate() {
        let aside = if index == 0 { 0.0 } else { frames[0].right - own.left + sheet.printed(between) };
        pieces.iter_mut().for_each(|p| p.aside = aside);
        let (drawn, taken) = one_column(input, &pieces, *own, index == 1, lettering, sheet);
        marks.extend(drawn.into_iter().map(|m| m.moved(aside, 0.0)));
        frame = around(frame, taken, aside);
        ends.push((aside, *own));
    }
    marks.extend(onward(&ends, sheet));
    marks.extend(legend(("way-up", "sign-way-up", 180.0), (0.4, 5.0), input.words.mark, sheet, &mut frame));
    marks.extend(changed_legend(changed, sheet, &mut frame));
    let frame = frame.grown(sheet.printed(MARGIN));
    Scene { drawing: "exploded", sheet: Sheet { frame, ..sheet }, marks }
}

/// Paper millimetres between two columns, and beside a column for a way-up triangle.
const BETWEEN: f64 = 14.0;
const SIGN: f64 = 4.0;

/// One row of pieces for each part, from the bottom up, each lifted clear of the one before.
fn apart(input: &DrawInput, placed: &[Solid], shown: Window, hatches: &[hatch::Hatch]) -> Vec<Vec<Piece>> {
    let mut top = 0.0;
    let mut rows = Vec::new();
    for index in order(input, placed) {
        let (row, highest) = standing(&placed[index], shown, hatches[index], top + APART);
        top = if row.is_empty() { top } else { highest };
        rows.push(row);
    }
    rows.retain(|r| !r.is_empty());
    rows
}

/// A part upright on `foot`, its long stretch taken out; how high it reaches then.
pub(super) fn standing(solid: &Solid, shown: Window, hatch: hatch::Hatch, foot: f64) -> (Vec<Piece>, f64) {
    let mut bottom = foot;
    let mut pieces = Vec::new();
    for window in ends(solid, shown) {
        let Some(at_home) = piece(solid, window, 0.0, Look::Full, hatch) else { continue };
        let lift = bottom - at_home.solid.bottom;
        pieces.extend(piece(solid, window, lift, Look::Full, hatch));
        bottom = at_home.solid.top + lift + SHORTENED;
    }
    (pieces, bottom - SHORTENED)
}

/// Bottom to top: as placed; what goes in from below stands under its host, or under everything.
fn order(input: &DrawInput, placed: &[Solid]) -> Vec<usize> {
    let mut order: Vec<usize> = Vec::new();
    for (index, solid) in placed.iter().enumerate() {
        let host = input.stack.items.get(solid.item.0 as usize).and_then(|p| p.rides_with);
        let host = host.and_then(|h| order.iter().position(|&i| placed[i].item == h));
        match (solid.travel, host) {
            (Travel::Down, _) => order.push(index),
            (Travel::Up, Some(host)) => order.insert(host, index),
            (Travel::Up, None) if input.stack.items[solid.item.0 as usize].rides_with.is_some() => {
                order.push(index)
            }
            (Travel::Up, None) => order.insert(0, index),
        }
    }
    order
}

/// The stretches of a part that are shown: all of it, or both ends of its longest plain stretch.
pub(super) fn ends(solid: &Solid, shown: Window) -> Vec<Window> {
    let [only] = &solid.columns[..] else { return vec![shown] };
    if !solid.pinches.is_empty() {
        return vec![shown];
    }
    let rings = only.rings.iter().filter_map(|r| r.cut(shown.low, shown.high));
    let events: Vec<f64> = solid.slits.iter().flat_map(|s| [s.bottom, s.top]).collect();
    let plain = rings.filter(|r| {
        let inside = |h: &f64| *h > r.bottom + END && *h < r.top - END;
        r.top - r.bottom > LONG && !events.iter().any(inside)
    });
    let longest = plain.max_by(|a, b| (a.top - a.bottom).total_cmp(&(b.top - b.bottom)));
    longest.map_or(vec![shown], |r| {
        vec![Window { high: r.bottom + END, ..shown }, Window { low: r.top - END, ..shown }]
    })
}

/// One column of all rows, or two of about equal height, the second lowered to stand beside the first.
fn two_columns(mut rows: Vec<Vec<Piece>>) -> Vec<Vec<Piece>> {
    let top = |rows: &[Vec<Piece>]| rows.last().and_then(|r| r.last()).map_or(0.0, |p| p.solid.top);
    let bottom = |row: &[Piece]| row.first().map_or(0.0, |p| p.solid.bottom);
    let total = top(&rows);
    if total <= ONE_COLUMN || rows.len() < 2 {
        return vec![rows.into_iter().flatten().collect()];
    }
    let higher = |at: usize| top(&rows[..at]).max(total - bottom(&rows[at]) + APART);
    let split = (1..rows.len()).min_by(|&a, &b| higher(a).total_cmp(&higher(b))).unwrap_or(1);
    let second = rows.split_off(split);
    let down = APART - bottom(&second[0]);
    let second = second.into_iter().flatten().map(|p| {
        let level = |h: Option<f64>| h.map(|h| h + down);
        let mut broken = p.broken;
        (broken.bottom, broken.top) = (level(broken.bottom), level(broken.top));
        Piece { solid: p.solid.lifted(down), lift: p.lift + down, broken, ..p }
    });
    vec![rows.into_iter().flatten().collect(), second.collect()]
}

fn together(frames: &[Frame], columns: &[Vec<Piece>]) -> Frame {
    let width = frames.iter().map(Frame::width).sum::<f64>();
    let low = frames.iter().map(|f| f.low).fold(0.0, f64::min);
    let high = frames.iter().map(|f| f.high).fold(1.0, f64::max);
    debug_assert_eq!(frames.len(), columns.len());
    Frame { left: -width / 2.0, right: width / 2.0, low, high }
}

/// A column of parts with its axis, numbers on its outer side, way-up triangles on the other.
fn one_column(
    input: &DrawInput,
    pieces: &[Piece],
    own: Frame,
    right: bool,
    lettering: Lettering,
    sheet: Sheet,
) -> (Vec<Mark>, Frame) {
    let mut marks = figure(pieces, sheet, &[]);
    marks.push(trim::axis(own, sheet));
    let solids: Vec<Solid> = pieces.iter().map(|p| p.solid.clone()).collect();
    let numbers = numbers(input, pieces);
    let references = one_side(pieces, &silhouette(&solids), &numbers, right, sheet);
    let mut frame = own.grown(sheet.printed(OVERHANG));
    let side = if right { -1.0 } else { 1.0 };
    let labels = column(&references, own.grown(rim(sheet)), side, lettering, sheet, &mut frame);
    marks.push(Mark::Group { class: "references", facts: Vec::new(), marks: labels });
    marks.extend(pieces.iter().flat_map(|p| way_marks(p, side, sheet)));
    (marks, frame)
}

/// A triangle at the end that tells the way up. Not at an end that was broken off, nor on a
/// bolt, whose head nobody mistakes.
pub(super) fn way_marks(piece: &Piece, side: f64, sheet: Sheet) -> Vec<Mark> {
    let solid = &piece.solid;
    let ends = solid.told_end.iter().map(|&top| if top { solid.top } else { solid.bottom });
    let own = ends.filter(|&h| !piece.broken.level(h) && !solid.is(Known::Headed));
    own.map(|height| {
        let inward = if height == solid.top { -0.2 } else { 0.2 };
        let near = solid.rings().filter(|r| r.bottom - 1e-4 <= height && height <= r.top + 1e-4);
        let radius = near.map(|r| r.outside_at(height)).fold(0.0, f64::max);
        let tip = pt(side * (radius + sheet.printed(0.8)), height + inward);
        triangle(tip, side)
    })
    .collect()
}

fn around(frame: Frame, other: Frame, aside: f64) -> Frame {
    Frame {
        left: frame.left.min(other.left + aside),
        right: frame.right.max(other.right + aside),
        low: frame.low.min(other.low),
        high: frame.high.max(other.high),
    }
}

/// From the top of the first column to the foot of the second.
fn onward(ends: &[(f64, Frame)], sheet: Sheet) -> Vec<Mark> {
    let [(from, first), (to, second)] = ends else { return Vec::new() };
    let over = sheet.printed(3.0);
    let middle = (first.right + to + second.left) / 2.0;
    let line = vec![
        pt(*from, first.high + over),
        pt(middle, first.high + over),
        pt(middle, second.low - over),
        pt(*to, second.low - over),
    ];
    let half = (first.high - second.low) / 2.0;
    let turn = arrow(middle, second.low + half, second.low + half - sheet.printed(4.1), sheet);
    vec![Mark::path("onward", vec![Line::open(line)], Pen::Narrow, Fill::None), turn]
}
