//! A picture as marks in millimetres of the real part: x to the right of the axis, y the height.
//! Knows line widths and layers, no file format. Must not know parts.

use super::hatch::Hatch;

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Point {
    pub x: f64,
    pub y: f64,
}

pub(super) fn pt(x: f64, y: f64) -> Point {
    Point { x, y }
}

/// Left, right, low, high.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Frame {
    pub left: f64,
    pub right: f64,
    pub low: f64,
    pub high: f64,
}

impl Frame {
    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    pub fn height(&self) -> f64 {
        self.high - self.low
    }

    pub fn grown(&self, by: f64) -> Frame {
        Frame { left: self.left - by, right: self.right + by, low: self.low - by, high: self.high + by }
    }
}

/// Two widths a drawing, 2:1 (ISO 128-2).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Pen {
    None,
    Wide,
    Narrow,
    /// Narrow, long dash and dot: axes.
    Chain,
    /// Narrow, long dash and two dots: what was there before (ISO 128-2, 05.1).
    Phantom,
    /// Narrow, dashed: hidden edges.
    Hidden,
    /// The next wider line of the ISO 128-2 series, 0.7: what goes on now.
    Bold,
    /// Paper-coloured, round a solid section.
    Halo,
    /// Paper-coloured, under leaders and their dots.
    Clear,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fill {
    None,
    Paper,
    Ink,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) struct Line {
    pub points: Vec<Point>,
    pub closed: bool,
}

impl Line {
    pub fn open(points: Vec<Point>) -> Line {
        Line { points, closed: false }
    }

    pub fn closed(points: Vec<Point>) -> Line {
        Line { points, closed: true }
    }
}

#[derive(Clone, Debug, PartialEq)]
pub(super) enum Mark {
    /// One path, several lines.
    Path {
        class: &'static str,
        lines: Vec<Line>,
        pen: Pen,
        fill: Fill,
        facts: Vec<(&'static str, String)>,
    },
    /// Hatching of closed outlines.
    Hatched {
        class: &'static str,
        outlines: Vec<Line>,
        hatch: Hatch,
    },
    /// One of the page's own signs, as large as it is there whatever the scale; `turn` in degrees, clockwise.
    Sign {
        class: &'static str,
        symbol: &'static str,
        at: Point,
        turn: f64,
    },
    Circle {
        class: &'static str,
        centre: Point,
        radius: f64,
        pen: Pen,
        fill: Fill,
    },
    /// `at` is the middle (or the start) of the base line; `height` of its capitals, real-part millimetres;
    /// `upright`: turned a quarter, read from the right.
    Text {
        class: &'static str,
        at: Point,
        height: f64,
        start: bool,
        upright: bool,
        text: String,
    },
    Group {
        class: &'static str,
        facts: Vec<(&'static str, String)>,
        marks: Vec<Mark>,
    },
    /// Only what lies in a circle is shown. `name` is its own in a drawing.
    Clipped {
        name: &'static str,
        class: &'static str,
        centre: Point,
        radius: f64,
        marks: Vec<Mark>,
    },
}

impl Mark {
    pub fn path(class: &'static str, lines: Vec<Line>, pen: Pen, fill: Fill) -> Mark {
        Mark::Path { class, lines, pen, fill, facts: Vec::new() }
    }

    /// The same mark elsewhere.
    pub fn moved(self, dx: f64, dy: f64) -> Mark {
        self.placed(1.0, dx, dy)
    }

    /// `times` as large, then moved. Pens stay as they are.
    pub fn placed(mut self, times: f64, dx: f64, dy: f64) -> Mark {
        let go = |p: &mut Point| *p = pt(p.x * times + dx, p.y * times + dy);
        match &mut self {
            Mark::Path { lines, .. } | Mark::Hatched { outlines: lines, .. } => {
                lines.iter_mut().flat_map(|l| &mut l.points).for_each(go);
            }
            Mark::Sign { at, .. } => go(at),
            Mark::Circle { centre, radius, .. } => {
                go(centre);
                *radius *= times;
            }
            Mark::Text { at, height, .. } => {
                go(at);
                *height *= times;
            }
            Mark::Group { marks, .. } => place_all(marks, times, dx, dy),
            Mark::Clipped { centre, radius, marks, .. } => {
                go(centre);
                *radius *= times;
                place_all(marks, times, dx, dy);
            }
        }
        self
    }

    /// The same mark on the other side of the axis; hatching keeps its direction. Texts and clipped marks stay as they are.
    pub fn mirrored(mut self) -> Mark {
        match &mut self {
            Mark::Path { lines, .. } | Mark::Hatched { outlines: lines, .. } => {
                lines.iter_mut().flat_map(|l| &mut l.points).for_each(|p| p.x = -p.x);
            }
            Mark::Sign { at, turn, .. } => (at.x, *turn) = (-at.x, 180.0 - *turn),
            Mark::Circle { centre, .. } => centre.x = -centre.x,
            Mark::Group { marks, .. } => {
                *marks = std::mem::take(marks).into_iter().map(Mark::mirrored).collect();
            }
            Mark::Text { .. } | Mark::Clipped { .. } => {}
        }
        self
    }

    /// The same picture without what programs read of parts in their place.
    pub fn nameless(self) -> Mark {
        match self {
            Mark::Path { class, lines, pen, fill, .. } => Mark::path(class, lines, pen, fill),
            Mark::Group { class, marks, .. } => {
                let marks = marks.into_iter().map(Mark::nameless).collect();
                Mark::Group { class, facts: Vec::new(), marks }
            }
            other => other,
        }
    }
}

fn place_all(marks: &mut Vec<Mark>, times: f64, dx: f64, dy: f64) {
    *marks = std::mem::take(marks).into_iter().map(|m| m.placed(times, dx, dy)).collect();
}

/// One drawing, ready to be written.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Scene {
    /// `assembled`, `exploded`, `step`, `part`.
    pub drawing: &'static str,
    pub sheet: Sheet,
    pub marks: Vec<Mark>,
}

impl Mark {
    /// Between which heights each of its lines and signs lies.
    pub fn heights(&self) -> Vec<(f64, f64)> {
        let of = |line: &Line| {
            let far = (f64::MAX, f64::MIN);
            line.points.iter().fold(far, |(low, high), p| (low.min(p.y), high.max(p.y)))
        };
        match self {
            Mark::Path { lines, .. } | Mark::Hatched { outlines: lines, .. } => {
                lines.iter().map(of).collect()
            }
            Mark::Circle { centre, radius, .. } | Mark::Clipped { centre, radius, .. } => {
                vec![(centre.y - radius, centre.y + radius)]
            }
            Mark::Sign { at, .. } | Mark::Text { at, .. } => vec![(at.y, at.y)],
            Mark::Group { marks, .. } => marks.iter().flat_map(Mark::heights).collect(),
        }
    }
}

/// How the real part comes on paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sheet {
    /// Paper millimetres for one millimetre of the part.
    pub scale: f64,
    /// What the paper shows, in millimetres of the part.
    pub frame: Frame,
}

/// ISO line group 0.5: wide 0.5, narrow 0.25.
pub(super) const WIDE: f64 = 0.5;
pub(super) const NARROW: f64 = 0.25;
/// Height of capitals on paper, from the ISO 3098-1 series: part numbers one and a half steps above notes.
pub(super) const NUMBER_HEIGHT: f64 = 5.0;
pub(super) const NOTE_HEIGHT: f64 = 3.5;

impl Sheet {
    /// Length on the real part that prints as `millimetres`.
    pub fn printed(&self, millimetres: f64) -> f64 {
        millimetres / self.scale
    }
}
