//! Signs that are not part of the metal: arrows, way-up triangles, strokes through what is wrong, notes.
//! Must not know which part they stand by.

use super::scene::{Fill, Frame, Line, Mark, NOTE_HEIGHT, Pen, Point, Sheet, pt};
use super::write::CAPITALS;

/// A wrong way is drawn this much smaller: the right way matters.
pub(super) const WRONG: f64 = 0.7;

/// An upright arrow.
pub(super) fn arrow(x: f64, from: f64, to: f64, sheet: Sheet) -> Mark {
    let (half, head) = (sheet.printed(1.3), sheet.printed(4.0));
    let neck = to + (from - to).signum() * head;
    let shaft = sheet.printed(0.4);
    let outline = vec![
        pt(x - shaft, from),
        pt(x - shaft, neck),
        pt(x - half, neck),
        pt(x, to),
        pt(x + half, neck),
        pt(x + shaft, neck),
        pt(x + shaft, from),
    ];
    Mark::path("arrow", vec![Line::closed(outline)], Pen::None, Fill::Ink)
}

/// A level arrow whose point touches `to`.
pub(super) fn level_arrow(from: Point, to: Point, sheet: Sheet) -> Mark {
    let (half, head, shaft) = (sheet.printed(1.3), sheet.printed(4.0), sheet.printed(0.4));
    let neck = to.x + (from.x - to.x).signum() * head;
    let outline = vec![
        pt(from.x, to.y - shaft),
        pt(neck, to.y - shaft),
        pt(neck, to.y - half),
        to,
        pt(neck, to.y + half),
        pt(neck, to.y + shaft),
        pt(from.x, to.y + shaft),
    ];
    Mark::path("arrow", vec![Line::closed(outline)], Pen::None, Fill::Ink)
}

/// A triangle of one class whose point touches `tip`; `along` leads from its back to its point.
pub(super) fn jaw(class: &'static str, tip: Point, along: Point, long: f64, sheet: Sheet) -> Mark {
    let half = sheet.printed(1.2);
    let back = pt(tip.x - along.x * long, tip.y - along.y * long);
    let side = |s: f64| pt(back.x - along.y * half * s, back.y + along.x * half * s);
    Mark::path(class, vec![Line::closed(vec![tip, side(1.0), side(-1.0)])], Pen::None, Fill::Ink)
}

/// A triangle whose point touches `tip`, coming from the side `from` (+1: from the right).
pub(super) fn triangle(tip: Point, from: f64) -> Mark {
    let turn = if from > 0.0 { 180.0 } else { 0.0 };
    Mark::Sign { class: "way-up", symbol: "sign-way-up", at: tip, turn }
}

/// Two strokes through something.
pub(super) fn struck_out(over: Frame) -> Mark {
    let strokes = vec![
        Line::open(vec![pt(over.left, over.low), pt(over.right, over.high)]),
        Line::open(vec![pt(over.left, over.high), pt(over.right, over.low)]),
    ];
    Mark::path("struck-out", strokes, Pen::Bold, Fill::None)
}

/// Room of a line of text on paper, in whichever of the common sans-serif faces a reader has: widths of the widest of
/// them (from memory, rounded up), as shares of the size.
pub(super) fn text_width(text: &str) -> f64 {
    let width = |c: char| match c {
        'i' | 'j' | 'l' | 'I' => 0.32,
        ' ' | '.' | ',' | ';' | ':' | '\'' | '(' | ')' | 'f' | 't' | 'r' | '-' | '/' => 0.44,
        'm' | 'w' | 'M' | 'W' | '–' | '—' => 1.0,
        '±' | '+' | '<' | '>' | '=' | '−' => 0.85,
        c if c.is_ascii_uppercase() => 0.8,
        c if c.is_ascii() => 0.64,
        _ => 1.0,
    };
    NOTE_HEIGHT / CAPITALS * text.chars().map(width).sum::<f64>()
}

/// Room for the sign of a tool before its words, and its height, paper millimetres.
const TOOL: (f64, f64) = (13.0, 8.0);

/// The tool's sign, and its words beside it: an L-shaped key with its hexagon, or open jaws about one.
pub(super) fn tool_note(text: &str, tool: Option<&str>, sheet: Sheet, frame: &mut Frame) -> Vec<Mark> {
    let Some(tool) = tool.filter(|_| !text.is_empty()) else { return notes(&[text], sheet, frame) };
    let left = frame.left;
    frame.low -= sheet.printed(1.0);
    let top = frame.low;
    let mut inner = Frame { left: left + sheet.printed(TOOL.0), ..*frame };
    let mut marks = notes(&[text], sheet, &mut inner);
    let low = inner.low.min(top - sheet.printed(TOOL.1));
    let symbol = if tool == "spanner" { "sign-spanner" } else { "sign-hex-key" };
    marks.push(Mark::Sign { class: "tool", symbol, at: pt(left, top), turn: 0.0 });
    *frame = Frame { left, low, ..inner };
    marks
}

/// A sign, and beside it what it says: under the frame, which grows to hold both. `at` is where the sign's own origin
/// stands, and `room` what it takes, paper millimetres from the left.
pub(super) fn legend(
    (class, symbol, turn): (&'static str, &'static str, f64),
    (at, room): (f64, f64),
    text: &str,
    sheet: Sheet,
    frame: &mut Frame,
) -> Vec<Mark> {
    let left = frame.left;
    let mut inner = Frame { left: left + sheet.printed(room), ..*frame };
    let mut marks = notes(&[text], sheet, &mut inner);
    if let Some(Mark::Text { at: words, height, .. }) = marks.first() {
        let at = pt(left + sheet.printed(at), words.y + height / 2.0);
        marks.push(Mark::Sign { class, symbol, at, turn });
        *frame = Frame { left, ..inner };
    }
    marks
}

/// What the warning triangle at a number says.
pub(super) fn changed_legend(text: &str, sheet: Sheet, frame: &mut Frame) -> Vec<Mark> {
    legend(("changed", "sign-changed", 0.0), (2.5, 6.0), text, sheet, frame)
}

/// A letter on a patch of paper that stands for a detail.
pub(super) fn letter(text: &str, at: Point, sheet: Sheet) -> Vec<Mark> {
    let height = sheet.printed(NOTE_HEIGHT);
    let patch =
        Mark::Circle { class: "patch", centre: at, radius: 0.75 * height, pen: Pen::None, fill: Fill::Paper };
    let at = pt(at.x, at.y - height / 2.0);
    vec![
        patch,
        Mark::Text {
            class: "detail-letter",
            at,
            height,
            start: false,
            upright: false,
            text: text.to_string(),
        },
    ]
}

/// Lines of notes under the frame, broken at spaces to its width; the frame grows to hold them.
pub(super) fn notes(texts: &[&str], sheet: Sheet, frame: &mut Frame) -> Vec<Mark> {
    let room = frame.width() * sheet.scale;
    let mut marks = Vec::new();
    for line in texts.iter().flat_map(|t| broken(t, room.max(40.0))) {
        frame.low -= sheet.printed(1.7 * NOTE_HEIGHT);
        let at = pt(frame.left, frame.low + sheet.printed(0.3 * NOTE_HEIGHT));
        frame.right = frame.right.max(frame.left + sheet.printed(text_width(&line)));
        let height = sheet.printed(NOTE_HEIGHT);
        marks.push(Mark::Text { class: "note", at, height, start: true, upright: false, text: line });
    }
    marks
}

/// What [`notes`] takes in a frame at least so wide, paper millimetres.
pub(super) fn notes_height(texts: &[&str], width: f64) -> f64 {
    let lines: usize = texts.iter().map(|t| broken(t, width.max(40.0)).len()).sum();
    1.7 * NOTE_HEIGHT * lines as f64
}

fn broken(text: &str, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    // A number keeps its unit and its deviations; the fixed spaces are no places to break at.
    let text = [" mm", " ±", " +"]
        .iter()
        .fold(text.to_owned(), |t, kept| t.replace(kept, &kept.replace(' ', "\u{a0}")));
    for word in text.split([' ', '\n']).filter(|w| !w.is_empty()) {
        match lines.last_mut() {
            Some(line) if text_width(line) + text_width(word) + text_width(" ") <= room => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_string()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_stays_with_its_unit_and_its_deviations() {
        let texts = ["e height of the crown-race seat 6 ±0.1", "d diameter of the seat 30.1 +0.05/+0"];
        for text in texts {
            for room in [40.0, 60.0, 80.0] {
                let lines = broken(text, room);
                assert!(lines.len() > 1 || room > 60.0, "{lines:?}");
                assert!(lines.iter().all(|l| !l.starts_with(['±', '+'])), "{lines:?}");
            }
        }
        assert_eq!(broken("2.08 to 4.96 mm", 20.0).last().map(String::as_str), Some("4.96\u{a0}mm"));
    }

    #[test]
    fn notes_are_broken_at_spaces_and_the_frame_holds_them() {
        let frame = Frame { left: 0.0, right: 62.0, low: 0.0, high: 50.0 };
        let sheet = Sheet { scale: 1.0, frame };
        let mut grown = frame;
        let marks = notes(&["", "lipped end down, resting on the top cap"], sheet, &mut grown);
        assert_eq!(marks.len(), 2);
        assert!(grown.low < -2.0 * NOTE_HEIGHT && grown.right >= 62.0);
    }
}
