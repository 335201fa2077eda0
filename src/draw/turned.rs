//! Deck and front wheel from above, and a part turned until it stands as it should: bold as it is to stand, in the line of
//! what was before as it may have stood. Of deck and wheel the data has no sizes: they are signs of where ahead is.
//! Must not know which parts can be turned.

use super::DrawInput;
use super::along_axis::{Across, across, arc, bolt, crossbar, outlines, turning};
use super::assembled::{MARGIN, Paper, fit, number_of};
use super::reference::{Label, Lettering, Reference, column};
use super::scene::{Fill, Frame, Line, Mark, NUMBER_HEIGHT, Pen, Point, Scene, Sheet, pt};
use super::solid::{Solid, solids};
use crate::kinds::Known;
use crate::rules::{Heading, SlotIx};

const PAPER: Paper = Paper { width: 102.0, height: 88.0, greatest_scale: 1.5 };
/// Of a wheel and a deck, millimetres: usual sizes, from memory.
const WHEEL: (f64, f64) = (24.0, 110.0);
const DECK: f64 = 115.0;
/// How much of the deck is shown behind a clamp and behind bars, and where it begins behind the axis.
const DECK_SHOWN: (f64, f64) = (34.0, 220.0);
const DECK_FROM: f64 = 42.0;
/// How far off a part may have stood, degrees.
const BARS_OFF: f64 = 22.0;
const RING_OFF: f64 = 55.0;

/// What is turned.
enum Shape {
    Bars { half_length: f64, half_width: f64 },
    Ring(Across),
}

/// `None` where nothing in the slot is drawn.
pub(super) fn scene(input: &DrawInput, turns: SlotIx, to: Heading) -> Option<Scene> {
    let all = solids(input);
    let own = all.iter().find(|s| input.stack.items[usize::from(s.item.0)].slot == turns)?;
    let shape = shape(own)?;
    let heading = match to {
        Heading::Rear => -90.0,
        Heading::Front => 90.0,
        // Of bars what heads ahead is their middle.
        Heading::Across if matches!(shape, Shape::Bars { .. }) => 90.0,
        Heading::Across => 0.0,
    };
    let before = heading + if matches!(shape, Shape::Bars { .. }) { BARS_OFF } else { RING_OFF };
    let end = -DECK_FROM - if matches!(shape, Shape::Bars { .. }) { DECK_SHOWN.1 } else { DECK_SHOWN.0 };
    let figure = around(&[shape.outlines(heading), shape.outlines(before)].concat(), end);
    let lettering = Lettering::new(NUMBER_HEIGHT);
    let sheet = fit(figure, lettering.column(), PAPER);
    let mut marks = scooter(figure, end, sheet);
    marks.push(Mark::path("before", shape.outlines(before), Pen::Phantom, Fill::None));
    let mut now = vec![Mark::path("edge", shape.outlines(heading), Pen::Bold, Fill::Paper)];
    if let Shape::Ring(ring) = &shape {
        now.push(Mark::path("edge", bolt(ring, heading), Pen::Bold, Fill::Paper));
    }
    marks.push(Mark::Group { class: "part now", facts: Vec::new(), marks: now });
    marks.extend(shape.arrows(before, heading, sheet));
    if let Shape::Bars { half_width, .. } = shape {
        marks.push(square(half_width, sheet));
    }
    let mut frame = figure.grown(sheet.printed(3.5));
    if let Some(number) = number_of(input, own) {
        let at = shape.named_at();
        let reference = Reference { label: Label::of(own, number), at };
        marks.extend(column(&[reference], figure, 1.0, lettering, sheet, &mut frame));
    }
    let frame = frame.grown(sheet.printed(MARGIN));
    Some(Scene { drawing: "step", sheet: Sheet { frame, ..sheet }, marks })
}

/// A crossbar where it has one; else a ring where it is cut, or as it is.
fn shape(solid: &Solid) -> Option<Shape> {
    let widest = solid.rings().max_by(|a, b| a.widest().total_cmp(&b.widest()))?;
    if solid.is(Known::Bars) {
        let tube = solid.rings().map(|r| r.widest()).fold(widest.widest(), f64::min);
        return Some(Shape::Bars { half_length: widest.widest(), half_width: tube });
    }
    let pinch = solid.pinches.first().copied();
    let cut = solid.slits.first().map(|s| (s.bottom + s.top) / 2.0);
    let height = pinch.or(cut).unwrap_or((solid.bottom + solid.top) / 2.0);
    across(solid, height).map(Shape::Ring)
}

impl Shape {
    fn outlines(&self, heading: f64) -> Vec<Line> {
        match self {
            Shape::Bars { half_length, half_width } => vec![crossbar(*half_length, *half_width, heading)],
            Shape::Ring(ring) => outlines(ring, heading),
        }
    }

    /// Where its number's leader ends.
    fn named_at(&self) -> Point {
        match self {
            Shape::Bars { half_length, .. } => pt(-0.85 * half_length, 0.0),
            Shape::Ring(ring) => pt(-(ring.bore + ring.outside) / 2.0, 0.0),
        }
    }

    fn arrows(&self, from: f64, to: f64, sheet: Sheet) -> Vec<Mark> {
        let head = sheet.printed(4.0);
        match self {
            // At both ends, clear of the metal.
            Shape::Bars { half_length, half_width } => {
                let radius = 0.75 * half_length;
                let off = (half_width / radius).to_degrees();
                [0.0, 180.0]
                    .map(|end| turning(radius, from - 90.0 + end - off, to - 90.0 + end + off, head))
                    .to_vec()
            }
            Shape::Ring(ring) => vec![turning(ring.widest() + sheet.printed(4.0), from, to, head)],
        }
    }
}

/// Square to the way ahead.
fn square(half_width: f64, sheet: Sheet) -> Mark {
    let side = sheet.printed(3.5).max(WHEEL.0 / 2.0 + sheet.printed(1.5));
    let corner = vec![pt(side, half_width), pt(side, half_width + side), pt(0.0, half_width + side)];
    Mark::path("square", vec![Line::open(corner)], Pen::Wide, Fill::None)
}

/// Of the part as it stands and as it may have stood, with the wheel, and the deck down to `end`.
fn around(lines: &[Line], end: f64) -> Frame {
    let scooter = Frame { left: -DECK / 2.0, right: DECK / 2.0, low: end, high: WHEEL.1 / 2.0 };
    lines.iter().flat_map(|l| &l.points).fold(scooter, |f, p| Frame {
        left: f.left.min(p.x),
        right: f.right.max(p.x),
        low: f.low.min(p.y),
        high: f.high.max(p.y),
    })
}

/// The wheel, the deck broken off behind it, and the way ahead.
fn scooter(figure: Frame, end: f64, sheet: Sheet) -> Vec<Mark> {
    let (half, round) = (WHEEL.0 / 2.0, WHEEL.0 / 3.0);
    let ahead = WHEEL.1 / 2.0;
    let corner = |x: f64, y: f64, from: f64| {
        arc(round, from, from + 90.0).into_iter().map(move |p| pt(p.x + x, p.y + y))
    };
    let (x, y) = (half - round, ahead - round);
    let wheel =
        corner(x, y, 0.0).chain(corner(-x, y, 90.0)).chain(corner(-x, -y, 180.0)).chain(corner(x, -y, 270.0));
    let side = DECK / 2.0;
    let deck = vec![
        pt(-side, end),
        pt(-side, -DECK_FROM - 16.0),
        pt(-0.45 * side, -DECK_FROM),
        pt(0.45 * side, -DECK_FROM),
        pt(side, -DECK_FROM - 16.0),
        pt(side, end),
    ];
    let over = sheet.printed(3.0);
    let axis = Line::open(vec![pt(0.0, figure.low - over), pt(0.0, figure.high + over)]);
    vec![
        Mark::path("edge", vec![Line::closed(wheel.collect()), Line::open(deck)], Pen::Narrow, Fill::None),
        super::trim::broken_level(end, side, sheet),
        Mark::path("axis", vec![axis], Pen::Chain, Fill::None),
    ]
}
