//! Dimension lines with their heads, and the few dimensions that are drawn in the figure itself.
//! Must not know which sizes decide.

use super::outline::Band;
use super::piece::Piece;
use super::scene::{Fill, Frame, Line, Mark, NOTE_HEIGHT, Pen, Point, Sheet, pt};
use super::signs::text_width;
use super::solid::Ring;
use crate::kinds::Known;

/// Length of a head on paper.
const HEAD: f64 = 2.5;
/// A distance that prints shorter than this has its heads outside.
const ROOM_INSIDE: f64 = 6.0;
/// How far the line goes on beyond heads that stand outside.
const TAIL: f64 = 1.5;

/// The line from `a` to `b` comes first in its path; where heads stand outside, their tails follow. Of two points that
/// are one the heads meet there, one from below and one from above.
pub(super) fn between(a: Point, b: Point, sheet: Sheet) -> Vec<Mark> {
    let length = (b.x - a.x).hypot(b.y - a.y);
    let along = if length < 1e-6 { pt(0.0, 1.0) } else { pt((b.x - a.x) / length, (b.y - a.y) / length) };
    let long = sheet.printed(HEAD);
    let inside = length * sheet.scale > ROOM_INSIDE;
    let go = |from: Point, by: f64| pt(from.x + along.x * by, from.y + along.y * by);
    // Clockwise from a head that points to the right; heights go up.
    let turn = |x: f64, y: f64| (-y).atan2(x).to_degrees().round();
    let out = if inside { 1.0 } else { -1.0 };
    let head = |at: Point, way: f64| Mark::Sign {
        class: "dimension-head",
        symbol: "sign-head",
        at,
        turn: turn(way * along.x, way * along.y),
    };
    let mut lines = vec![Line::open(vec![a, b])];
    if !inside {
        let reach = long + sheet.printed(TAIL);
        lines.push(Line::open(vec![a, go(a, -reach)]));
        lines.push(Line::open(vec![b, go(b, reach)]));
    }
    vec![Mark::path("dimension", lines, Pen::Narrow, Fill::None), head(a, -out), head(b, out)]
}

/// How far a break line stands out of its level on paper.
const BREAK: f64 = 2.0;
/// How much of its own half the value stands beside the dimension line, paper millimetres.
const BESIDE: f64 = 1.0;

/// The whole height of a part along its outside view: the value above its line and the limit below it, read from the
/// right (ISO 129-1), where the view is high and wide enough for them. The axis and the part's leader stay clear.
pub(super) fn height_in_view(
    pieces: &[Piece],
    bands: &[Band],
    words: [&str; 2],
    sheet: Sheet,
) -> Option<Mark> {
    let of_tube = || pieces.iter().enumerate().filter(|(_, p)| p.solid.is(Known::Deck));
    let (lower, upper) = (of_tube().next()?.1, of_tube().next_back()?.1);
    let (low, high) = (lower.solid.bottom, upper.solid.top);
    let own: Vec<&Band> = bands.iter().filter(|b| of_tube().any(|(index, _)| index == b.solid)).collect();
    let seen: f64 = own.iter().map(|b| b.high() - b.low()).sum();
    let all: f64 = of_tube().map(|(_, p)| p.solid.top - p.solid.bottom).sum();
    let whole = (seen - all).abs() < 1e-3
        && (lower.broken.bottom, upper.broken.top) == (None, None)
        && of_tube().all(|(_, p)| p.broken.side.is_none());
    let narrowest = own.iter().flat_map(|b| &b.edge).map(|p| p.x).fold(f64::MAX, f64::min);
    let x = sheet.printed(NOTE_HEIGHT + 2.0 * BESIDE + 1.0);
    // Of a broken tube the foot is the longer piece.
    let top = lower.broken.top.map_or(high, |at| at - sheet.printed(BREAK));
    let room = (top - low) * sheet.scale - 2.0 * HEAD - 2.0;
    let below = sheet.printed(NOTE_HEIGHT + 1.5 * BESIDE);
    let has_room = |text: &str, reach: f64| !text.is_empty() && text_width(text) < room && reach < narrowest;
    if !whole || !has_room(words[0], x + sheet.printed(4.5)) {
        return None;
    }
    let mut marks = between(pt(x, low), pt(x, high), sheet);
    let text = |class, right: f64, text: &str| Mark::Text {
        class,
        at: pt(right, (low + top) / 2.0),
        height: sheet.printed(NOTE_HEIGHT),
        start: false,
        upright: true,
        text: text.to_string(),
    };
    marks.push(text("size", x - sheet.printed(BESIDE), words[0]));
    if has_room(words[1], x + below + sheet.printed(3.0)) {
        marks.push(text("limit", x + below, words[1]));
    }
    Some(Mark::Group { class: "height", facts: vec![("data-size", "head-tube".to_string())], marks })
}

/// Least room on both sides of a value in the section, paper millimetres.
const NEXT_TO: f64 = 0.6;
/// Shares of an upright distance at which its value may stand, the best first.
const SHARES: [f64; 9] = [0.5, 0.4, 0.6, 0.3, 0.7, 0.22, 0.78, 0.15, 0.85];

/// An upright distance in the section, left of the axis at `x`, from face to face. Its value stands on the side of the
/// axis, if there is room up to the metal nearest there and a place that no leader runs through.
pub(super) fn distance_in_section(
    (x, low, high): (f64, f64, f64),
    value: &str,
    pieces: &[Piece],
    leaders: &[[Point; 2]],
    sheet: Sheet,
) -> Vec<Mark> {
    let mut marks = between(pt(x, low), pt(x, high), sheet);
    // Read from the right, letters stand on this base line and reach from there to the line. Figures have no tails.
    let base = x + sheet.printed(NEXT_TO + NOTE_HEIGHT);
    let right = base + sheet.printed(NEXT_TO);
    let half = sheet.printed(text_width(value)) / 2.0;
    let clear = |middle: &f64| {
        let around = Frame { left: x, right, low: middle - half, high: middle + half };
        let beside = |r: &&Ring| r.bottom < around.high && r.top > around.low && r.widest() < -x;
        let metal = pieces.iter().flat_map(|p| p.solid.rings()).filter(beside).map(|r| -r.widest());
        let fits = around.low > low && around.high < high && right < metal.fold(0.0, f64::min);
        fits && !leaders.iter().any(|&leader| crosses_box(leader, around))
    };
    let places = SHARES.map(|share| low + (high - low) * share);
    if let Some(middle) = places.into_iter().find(clear) {
        marks.push(Mark::Text {
            class: "size",
            at: pt(base, middle),
            height: sheet.printed(NOTE_HEIGHT),
            start: false,
            upright: true,
            text: value.to_string(),
        });
    }
    marks
}

/// Some point of the line is in the box: halved until it is clear on one side of it, or short.
pub(super) fn crosses_box([a, b]: [Point; 2], around: Frame) -> bool {
    let beyond = |f: fn(&Point) -> f64, low: f64, high: f64| {
        (f(&a) < low && f(&b) < low) || (f(&a) > high && f(&b) > high)
    };
    if beyond(|p| p.x, around.left, around.right) || beyond(|p| p.y, around.low, around.high) {
        return false;
    }
    if (a.x - b.x).hypot(a.y - b.y) < 0.01 {
        return true;
    }
    let middle = pt((a.x + b.x) / 2.0, (a.y + b.y) / 2.0);
    crosses_box([a, middle], around) || crosses_box([middle, b], around)
}
