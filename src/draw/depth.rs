//! How deep a part is set into another, in the picture of its step: from the end that it went in at to its face nearest
//! that end. Must not know how deep that has to be.

use super::DrawInput;
use super::dimension::between;
use super::piece::Piece;
use super::scene::{Fill, Frame, Line, Mark, NOTE_HEIGHT, Pen, Sheet, pt};
use super::signs::text_width;
use super::solid::{Solid, Travel};
use crate::assembly::ItemIx;

/// From the figure's rim to the dimension line, clear of the arrow of the way in, and to its value. Paper millimetres.
const ASIDE: f64 = 10.0;
const BESIDE: f64 = 1.0;

pub(super) struct Depth {
    /// The end that the part goes in at, and its face nearest that end where it is set.
    pub from: f64,
    pub to: f64,
}

impl Depth {
    /// `None` where nothing is said of it, or the part is set into nothing.
    pub fn of(input: &DrawInput, new: &Piece, host: Option<ItemIx>, placed: &[Solid]) -> Option<Depth> {
        if input.words.depth.is_empty() {
            return None;
        }
        let host = placed.iter().find(|s| Some(s.item) == host)?;
        let own = placed.iter().find(|s| s.item == new.solid.item)?;
        Some(match own.travel {
            Travel::Down => Depth { from: host.top, to: own.top },
            Travel::Up => Depth { from: host.bottom, to: own.bottom },
        })
    }

    /// To the right of the figure, read from the right.
    pub fn mark(&self, value: &str, pieces: &[Piece], sheet: Sheet, frame: &mut Frame) -> Mark {
        let radius = pieces.iter().map(|p| p.solid.widest()).fold(0.0, f64::max);
        let x = radius + sheet.printed(ASIDE);
        let over = x + sheet.printed(BESIDE);
        let extension = |from: f64, y: f64| Line::open(vec![pt(from, y), pt(over, y)]);
        let lines = vec![extension(radius, self.from), extension(0.0, self.to)];
        let mut marks = vec![Mark::path("extension", lines, Pen::Narrow, Fill::None)];
        marks.extend(between(pt(x, self.from.min(self.to)), pt(x, self.from.max(self.to)), sheet));
        let (middle, half) = ((self.from + self.to) / 2.0, sheet.printed(text_width(value)) / 2.0);
        // Clear of the ends of the extension lines, which a long value reaches beyond.
        let base = x + sheet.printed(2.0 * BESIDE + NOTE_HEIGHT);
        marks.push(Mark::Text {
            class: "size",
            at: pt(base, middle),
            height: sheet.printed(NOTE_HEIGHT),
            start: false,
            upright: true,
            text: value.to_string(),
        });
        frame.right = frame.right.max(base + sheet.printed(BESIDE));
        frame.low = frame.low.min(middle - half).min(self.from.min(self.to));
        frame.high = frame.high.max(middle + half).max(self.from.max(self.to));
        Mark::Group { class: "depth", facts: vec![("data-size", "depth".to_string())], marks }
    }
}
