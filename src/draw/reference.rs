//! Numbers beside a figure: which point of each part its leader goes to, and the circles.
//! Must not know how leaders are kept from crossing.

use super::labels::{Rail, circles, port};
use super::outline::Band;
use super::piece::Piece;
use super::scene::{Fill, Frame, Line, Mark, NUMBER_HEIGHT, Pen, Point, Sheet, pt};
use super::solid::Solid;
use super::write::CAPITALS;

/// Sizes of the number columns, paper millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Lettering {
    pub height: f64,
    pub radius: f64,
    pub spacing: f64,
}

/// From the figure to the edge of the circles.
pub(super) const LEADER_ROOM: f64 = 6.0;

impl Lettering {
    /// Room for two digits (0.556 of the font size each, Arial metrics) inside the circle.
    pub fn new(height: f64) -> Lettering {
        let radius = 1.15 * height;
        debug_assert!(2.0 * 0.556 * height / CAPITALS < 2.0 * radius);
        Lettering { height, radius, spacing: 2.0 * radius + 0.8 }
    }

    /// The usual size, or the next smaller of the series when a column would be too high.
    pub fn for_count(in_a_column: usize, room: f64) -> Lettering {
        let usual = Lettering::new(NUMBER_HEIGHT);
        if usual.spacing * in_a_column as f64 <= room { usual } else { Lettering::new(3.5) }
    }

    /// What a column of circles takes beside the figure.
    pub fn column(&self) -> f64 {
        LEADER_ROOM + 2.0 * self.radius
    }
}

/// What stands at the outer end of a leader.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Label {
    /// A part's number, in a circle.
    Part(usize),
    /// The same with a warning triangle: the part is changed for good.
    Changed(usize),
    /// The letter of a detail, without one.
    Detail(&'static str),
}

impl Label {
    /// A part's number, told apart where the part is changed for good.
    pub(super) fn of(solid: &Solid, number: usize) -> Label {
        if solid.changed { Label::Changed(number) } else { Label::Part(number) }
    }
}

/// A label and where its leader ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reference {
    pub label: Label,
    pub at: Point,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Sides {
    pub left: Vec<Reference>,
    pub right: Vec<Reference>,
}

/// Parts seen from outside get their number on the right, all others on the left, in the section.
pub(super) fn sides(pieces: &[Piece], bands: &[Band], numbers: &[Option<usize>], sheet: Sheet) -> Sides {
    let mut sides = Sides::default();
    let (mut left_taken, mut right_taken) = (Vec::new(), Vec::new());
    for (index, &number) in numbers.iter().enumerate() {
        let Some(number) = number else { continue };
        if let Some(at) = right_spot(bands, index, &right_taken, sheet) {
            right_taken.push(at.y);
            sides.right.push(Reference { label: Label::of(&pieces[index].solid, number), at });
        } else if let Some(at) = left_spot(pieces, index, &left_taken, sheet) {
            left_taken.push(at.y);
            sides.left.push(Reference { label: Label::of(&pieces[index].solid, number), at });
        }
    }
    sides
}

/// All numbers on one side: of figures in which nothing hides anything.
pub(super) fn one_side(
    pieces: &[Piece],
    bands: &[Band],
    numbers: &[Option<usize>],
    right: bool,
    sheet: Sheet,
) -> Vec<Reference> {
    let mut taken = Vec::new();
    let spots = numbers.iter().enumerate().filter_map(|(index, number)| {
        let at = match right {
            true => outside_spot(bands, index, &taken, 0.0, sheet)?,
            false => left_spot(pieces, index, &taken, sheet)?,
        };
        let reference = Reference { label: Label::of(&pieces[index].solid, (*number)?), at };
        taken.push(at.y);
        Some(reference)
    });
    spots.collect()
}

/// Shares of a stretch's length at which a leader may end.
const SHARES: [f64; 7] = [0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9];

fn right_spot(bands: &[Band], index: usize, taken: &[f64], sheet: Sheet) -> Option<Point> {
    outside_spot(bands, index, taken, 3.0, sheet)
}

/// On a stretch of the outside view that prints higher than `least`.
fn outside_spot(bands: &[Band], index: usize, taken: &[f64], least: f64, sheet: Sheet) -> Option<Point> {
    let own = bands.iter().filter(|b| b.solid == index && (b.high() - b.low()) * sheet.scale > least);
    let spots = own.flat_map(|b| {
        SHARES.map(|share| {
            let y = b.low() + (b.high() - b.low()) * share;
            let radius = b.radius_at(y);
            (pt(radius - sheet.printed(1.6).min(radius / 2.0), y), (b.high() - y).min(y - b.low()))
        })
    });
    best(spots, taken, sheet)
}

pub(super) fn left_spot(pieces: &[Piece], index: usize, taken: &[f64], sheet: Sheet) -> Option<Point> {
    let rings = pieces[index].solid.rings();
    let spots = rings.flat_map(|ring| {
        SHARES.map(|share| {
            let y = ring.bottom + (ring.top - ring.bottom) * share;
            let (bore, outside) = (ring.bore_at(y), ring.outside_at(y));
            let room = ((outside - bore) / 2.0).min(y - ring.bottom).min(ring.top - y);
            (pt(-(bore + outside) / 2.0, y), room)
        })
    });
    best(spots.filter(|(at, _)| !hidden(pieces, index, *at)), taken, sheet)
}

/// A part painted over this one covers the point.
fn hidden(pieces: &[Piece], index: usize, at: Point) -> bool {
    let radius = -at.x;
    pieces.iter().enumerate().any(|(other, piece)| {
        let rings = piece.solid.rings().filter(|r| r.bottom <= at.y && at.y <= r.top);
        other != index
            && piece.solid.whole()
            && rings.into_iter().any(|r| {
                let nut = r.narrowest() > 0.0;
                let paints_later = nut || !pieces[index].solid.whole();
                paints_later && radius <= r.outside_at(at.y) && (nut || radius >= r.bore_at(at.y))
            })
    })
}

/// The roomiest spot, then the one farthest from those already taken, then the one nearest the numbers.
fn best(spots: impl Iterator<Item = (Point, f64)>, taken: &[f64], sheet: Sheet) -> Option<Point> {
    let enough = sheet.printed(1.2);
    let clear = sheet.printed(12.0);
    let score = |&(at, room): &(Point, f64)| {
        let apart = taken.iter().map(|y| (y - at.y).abs()).fold(clear, f64::min);
        2.0 * (room / enough).min(1.0) + apart / clear + 0.6 * at.x.abs() / clear
    };
    spots
        .fold(None, |best: Option<(Point, f64)>, spot| {
            if best.as_ref().is_none_or(|b| score(&spot) > score(b) + 1e-9) { Some(spot) } else { best }
        })
        .map(|(at, _)| at)
}

/// Circles, numbers and leaders of one side; the frame grows to hold them.
pub(super) fn column(
    references: &[Reference],
    figure: Frame,
    figure_side: f64,
    lettering: Lettering,
    sheet: Sheet,
    frame: &mut Frame,
) -> Vec<Mark> {
    if references.is_empty() {
        return Vec::new();
    }
    let radius = sheet.printed(lettering.radius);
    let away = sheet.printed(LEADER_ROOM + lettering.radius);
    let x = if figure_side > 0.0 { figure.left - away } else { figure.right + away };
    let spacing = sheet.printed(lettering.spacing);
    let rail = Rail { x, figure_side, radius, spacing, low: figure.low + radius, high: figure.high - radius };
    let anchors = distinct(references, sheet);
    let places = circles(&anchors, rail);
    let (mut leaders, mut to_details, mut halo) = (Vec::new(), Vec::new(), Vec::new());
    let mut marks = Vec::new();
    for ((reference, &place), &anchor) in references.iter().zip(&places).zip(&anchors) {
        let line = Line::open(vec![port(place, rail), anchor]);
        halo.push(line.clone());
        match reference.label {
            Label::Part(number) | Label::Changed(number) => {
                leaders.push(line);
                marks.extend(numbered(number, place, anchor, lettering, sheet));
                if matches!(reference.label, Label::Changed(_)) {
                    marks.push(warning(place, figure_side, lettering, sheet));
                }
            }
            Label::Detail(name) => {
                to_details.push(line);
                marks.push(label_text("detail-letter", name.to_string(), place, lettering, sheet));
            }
        }
        frame.low = frame.low.min(place.y - radius);
        frame.high = frame.high.max(place.y + radius);
    }
    frame.left = frame.left.min(x - radius);
    frame.right = frame.right.max(x + radius);
    let mut all = vec![Mark::path("leader-halo", halo, Pen::Clear, Fill::None)];
    all.push(Mark::path("leader", leaders, Pen::Narrow, Fill::None));
    all.push(Mark::path("detail-leader", to_details, Pen::Narrow, Fill::None));
    all.extend(marks);
    all
}

/// One number under its part: the top of its circle at `top`, its leader straight up to it.
pub(super) fn under(reference: Reference, top: Point, lettering: Lettering, sheet: Sheet) -> Vec<Mark> {
    let (Label::Part(number) | Label::Changed(number)) = reference.label else { return Vec::new() };
    let place = pt(top.x, top.y - sheet.printed(lettering.radius));
    let line = || vec![Line::open(vec![top, reference.at])];
    let mut marks = vec![
        Mark::path("leader-halo", line(), Pen::Clear, Fill::None),
        Mark::path("leader", line(), Pen::Narrow, Fill::None),
    ];
    marks.extend(numbered(number, place, reference.at, lettering, sheet));
    if matches!(reference.label, Label::Changed(_)) {
        marks.push(warning(place, 1.0, lettering, sheet));
    }
    marks
}

/// Where leaders end. No two are allowed to end in one point: such a one moves up a little.
fn distinct(references: &[Reference], sheet: Sheet) -> Vec<Point> {
    let mut anchors: Vec<Point> = Vec::new();
    for reference in references {
        let mut at = reference.at;
        while anchors.iter().any(|a| (a.x - at.x).hypot(a.y - at.y) < sheet.printed(0.1)) {
            at.y += sheet.printed(0.3);
        }
        anchors.push(at);
    }
    anchors
}

fn label_text(class: &'static str, text: String, place: Point, lettering: Lettering, sheet: Sheet) -> Mark {
    let height = sheet.printed(lettering.height);
    let at = pt(place.x, place.y - height / 2.0);
    Mark::Text { class, at, height, start: false, upright: false, text }
}

/// On the circle's shoulder away from the figure: clear of two digits, of the next circle and of the sheet's rim.
fn warning(place: Point, figure_side: f64, lettering: Lettering, sheet: Sheet) -> Mark {
    let (out, up) = (sheet.printed(lettering.radius - 0.9), sheet.printed(0.87 * lettering.radius));
    let at = pt(place.x - figure_side * out, place.y + up);
    Mark::Sign { class: "changed", symbol: "sign-changed", at, turn: 0.0 }
}

/// Circle, number and the dot at the part.
fn numbered(number: usize, place: Point, at: Point, lettering: Lettering, sheet: Sheet) -> [Mark; 3] {
    let circle = |class, centre, radius, pen, fill| Mark::Circle { class, centre, radius, pen, fill };
    let radius = sheet.printed(lettering.radius);
    [
        circle("number-ring", place, radius, Pen::Narrow, Fill::Paper),
        label_text("number", number.to_string(), place, lettering, sheet),
        circle("dot", at, sheet.printed(0.55), Pen::None, Fill::Ink),
    ]
}
