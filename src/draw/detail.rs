//! Magnified details beside a figure: what lies in a ring of it, larger, with its dimension and its words.
//! Draws what it is given; must not judge it nor know what it stands for.

use super::dimension;
use super::figure::figure;
use super::piece::{Breaks, Piece, Window, piece};
use super::scene::{Fill, Frame, Line, Mark, NOTE_HEIGHT, Pen, Point, Sheet, pt};
use super::signs::{letter, notes};
use super::solid::Ring;
use super::write;

/// Radius of a detail on paper, and the smaller ones that are taken where several with their words get too high.
const RADIUS: f64 = 15.0;
const SMALLER: [f64; 7] = [RADIUS, 13.0, 11.5, 10.0, 8.5, 7.5, 6.8];
/// Paper millimetres beside the figure: the detail's circle and room around it.
pub(super) const ROOM: f64 = 2.0 * RADIUS + 2.0 * ASIDE;
pub(super) const WIDTH: f64 = 2.0 * RADIUS;
const ASIDE: f64 = 3.5;
/// A small size is drawn about this large, one that is large as it is at most this large. Shares of the radius.
const SMALL: f64 = 0.6;
const LARGE: f64 = 1.45;
/// Magnifications against the drawing: 1, 2 and 5 of each decade as in ISO 5455, and what lies between.
const TIMES: [f64; 15] = [0.2, 0.33, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 4.0, 5.0, 8.0, 10.0, 20.0, 50.0, 100.0];
/// A ring smaller than this only says where.
const LEAST_RING: f64 = 1.6;
/// Over a detail for its letter, less a tenth of the radius.
const LETTER_ROOM: f64 = 1.5;
/// Between two details.
const APART: f64 = 2.5;
/// Letters of details, in their order. More are not drawn.
pub(super) const LETTERS: [&str; 5] = ["A", "B", "C", "D", "E"];

/// Along which way a size is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    Upright,
    Level,
}

/// What a detail shows: its middle, the size that is dimensioned in it, what is drawn besides the parts.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Spot<'a> {
    /// What the size is, for programs that read the drawing.
    pub what: &'static str,
    pub focus: Point,
    pub size: f64,
    pub way: Way,
    pub besides: Vec<Mark>,
    /// Not magnified more than this against the drawing.
    pub most_times: f64,
    /// The size is dimensioned.
    pub dimensioned: bool,
    /// The size as drawn is printed: the words do not have it.
    pub told: bool,
    /// How much higher the outer end of a level size is than its inner end: of a seat on a cone.
    pub rise: f64,
    /// The dimension line stands beside what it measures: beyond the axis, or under a level one.
    pub beside: bool,
    /// It is dimensioned in the figure itself, and only told beside it: where its faces are, left of the axis. The focus
    /// is the middle of the dimension line.
    pub in_figure: Option<f64>,
    pub words: &'a str,
}

impl Spot<'_> {
    pub fn new<'a>(what: &'static str, focus: Point, size: f64) -> Spot<'a> {
        let way = Way::Upright;
        Spot {
            what,
            focus,
            size,
            way,
            besides: Vec::new(),
            most_times: 100.0,
            dimensioned: true,
            told: false,
            rise: 0.0,
            beside: false,
            in_figure: None,
            words: "",
        }
    }

    fn times(&self, radius: f64, sheet: Sheet) -> f64 {
        let printed = (self.size * sheet.scale).max(1e-9);
        let (small, large) = (SMALL * radius, LARGE * radius);
        let wanted = if printed > small { (large / printed).min(1.0) } else { small / printed };
        TIMES.iter().copied().rfind(|&t| t <= wanted.min(self.most_times)).unwrap_or(TIMES[0])
    }

    /// The size as drawn.
    pub fn measured(&self) -> String {
        format!("{} mm", write::number((100.0 * self.size).round() / 100.0))
    }

    /// Of the ring round the spot in the figure: what the detail shows, or less where that would be much more than
    /// the size itself.
    pub fn ring(&self, sheet: Sheet) -> f64 {
        if self.in_figure.is_some() {
            return 0.0;
        }
        let shown = sheet.printed(RADIUS) / self.times(RADIUS, sheet);
        let enough = 0.6 * self.size + sheet.printed(LEAST_RING);
        if self.dimensioned { shown.min(enough).max(sheet.printed(LEAST_RING)) } else { shown }
    }
}

/// A ring round each spot; right of everything its detail, with its letter and the words under it, from the
/// highest spot down, as near to its own height as the others leave room.
pub(super) fn marks(
    spots: &[Spot],
    pieces: &[Piece],
    sheet: Sheet,
    room: f64,
    frame: &mut Frame,
) -> Vec<Mark> {
    let ringed = spots.iter().filter(|s| s.in_figure.is_none());
    let mut marks: Vec<Mark> = ringed.map(|s| ring("detail-ring", s.focus, s.ring(sheet))).collect();
    let left = frame.right + sheet.printed(ASIDE);
    let right = left + sheet.printed(room.max(2.0 * RADIUS));
    let mut order: Vec<usize> = (0..spots.len().min(LETTERS.len())).collect();
    order.sort_by(|&a, &b| spots[b].focus.y.total_cmp(&spots[a].focus.y));
    let of = |radius: f64| -> Vec<(Vec<Mark>, Frame)> {
        let one = |&i: &usize| block(&spots[i], LETTERS[i], pieces, radius, (left, right), sheet);
        order.iter().map(one).collect()
    };
    let high =
        |blocks: &[(Vec<Mark>, Frame)]| blocks.iter().map(|b| -b.1.low + sheet.printed(APART)).sum::<f64>();
    let mut sizes = SMALLER.into_iter().map(of);
    let mut blocks = sizes.next().unwrap_or_default();
    for smaller in sizes {
        if high(&blocks) <= frame.height() {
            break;
        }
        blocks = smaller;
    }
    let top = |&i: &usize| (spots[i].focus.y + sheet.printed(RADIUS)).min(frame.high);
    let mut tops: Vec<f64> = order.iter().map(top).collect();
    settle(&mut tops, &blocks, sheet.printed(APART), frame);
    for ((drawn, own), top) in blocks.into_iter().zip(tops) {
        marks.extend(drawn.into_iter().map(|m| m.moved(0.0, top)));
        frame.right = frame.right.max(own.right);
        frame.low = frame.low.min(own.low + top);
        frame.high = frame.high.max(top);
    }
    marks
}

/// Tops one under the other without overlap, inside the frame if they fit in it.
fn settle(tops: &mut [f64], blocks: &[(Vec<Mark>, Frame)], apart: f64, frame: &Frame) {
    let height = |i: usize| -blocks[i].1.low;
    for i in 1..tops.len() {
        tops[i] = tops[i].min(tops[i - 1] - height(i - 1) - apart);
    }
    let mut floor = frame.low;
    for i in (0..tops.len()).rev() {
        tops[i] = tops[i].max(floor + height(i));
        floor = tops[i] + apart;
    }
}

fn ring(class: &'static str, centre: Point, radius: f64) -> Mark {
    Mark::Circle { class, centre, radius, pen: Pen::Narrow, fill: Fill::None }
}

/// One detail with its letter and words, its top at height 0.
fn block(
    spot: &Spot,
    name: &'static str,
    pieces: &[Piece],
    on_paper: f64,
    (left, right): (f64, f64),
    sheet: Sheet,
) -> (Vec<Mark>, Frame) {
    if spot.in_figure.is_some() {
        return told_only(spot, name, (left, right), sheet);
    }
    let (radius, times) = (sheet.printed(on_paper), spot.times(on_paper, sheet));
    // The letter stands out over a small circle by more than the margin holds.
    let letter_room = sheet.printed((LETTER_ROOM - 0.1 * on_paper).max(0.0));
    let centre = pt(left + radius, -radius - letter_room);
    let mut marks = vec![
        magnified(spot, name, pieces, (centre, radius, times), sheet),
        ring("detail-rim", centre, radius),
    ];
    if spot.dimensioned {
        marks.push(dimensioned(spot, centre, (radius, times), sheet));
    }
    let corner = sheet.printed(0.9 * on_paper);
    marks.extend(letter(name, pt(centre.x - corner, centre.y + corner), sheet));
    let mut frame = Frame { left, right, low: -2.0 * radius - letter_room - sheet.printed(0.5), high: 0.0 };
    let measured = if spot.told { spot.measured() } else { String::new() };
    marks.extend(notes(&[&measured, spot.words], sheet, &mut frame));
    (marks, frame)
}

/// Letter and words of a size that needs no detail.
fn told_only(spot: &Spot, name: &'static str, (left, right): (f64, f64), sheet: Sheet) -> (Vec<Mark>, Frame) {
    // A line as high as those of the notes.
    let high = sheet.printed(1.7 * NOTE_HEIGHT);
    let at = pt(left + sheet.printed(0.42 * NOTE_HEIGHT), -sheet.printed(0.9 * NOTE_HEIGHT));
    let mut marks = letter(name, at, sheet);
    let mut frame = Frame { left, right, low: -high, high: 0.0 };
    marks.extend(notes(&[spot.words], sheet, &mut frame));
    (marks, frame)
}

/// The size between its two ends, or beside them with extension lines.
fn dimensioned(spot: &Spot, centre: Point, (radius, times): (f64, f64), sheet: Sheet) -> Mark {
    let half = spot.size * times / 2.0;
    let rise = spot.rise * times / 2.0;
    let (x, y) = if spot.way == Way::Upright { (0.0, half) } else { (half, 0.0) };
    // An upright size stands beyond the axis, where the section has nothing; a level one under what it measures.
    let axis = centre.x - spot.focus.x * times;
    let at = match (spot.beside, spot.way) {
        (false, _) => centre,
        (true, Way::Upright) => pt((axis + sheet.printed(3.0)).min(centre.x + 0.7 * radius), centre.y),
        (true, Way::Level) => pt(centre.x, centre.y - 0.4 * radius),
    };
    let mut line = dimension::between(pt(at.x - x, at.y - y), pt(at.x + x, at.y + y), sheet);
    if spot.beside {
        let over = sheet.printed(1.0);
        let extension = |side: f64| match spot.way {
            Way::Upright => [pt(axis.min(at.x), at.y + side * y), pt(at.x + over, at.y + side * y)],
            Way::Level => [pt(at.x + side * x, centre.y - side * rise), pt(at.x + side * x, at.y - over)],
        };
        let lines = [-1.0, 1.0].map(|side| Line::open(extension(side).to_vec())).to_vec();
        line.push(Mark::path("extension", lines, Pen::Narrow, Fill::None));
    }
    let facts = vec![("data-size", spot.what.to_string()), ("data-times", write::number(times))];
    Mark::Group { class: "size", facts, marks: line }
}

fn magnified(
    spot: &Spot,
    name: &'static str,
    pieces: &[Piece],
    (centre, radius, times): (Point, f64, f64),
    sheet: Sheet,
) -> Mark {
    let focus = spot.focus;
    let reach = 1.2 * radius / times;
    let near = Window { low: focus.y - reach, high: focus.y + reach, widest: f64::MAX };
    let cut = pieces.iter().filter_map(|p| {
        let mut piece = piece(&p.solid, near, 0.0, p.look, p.hatch)?;
        // A fastener is drawn whole, so its bore must stay what it is.
        for column in piece.solid.columns.iter_mut().filter(|_| !p.solid.whole()) {
            column.rings.retain_mut(|r| narrowed(r, -focus.x - reach, -focus.x + reach));
        }
        piece.solid.columns.retain(|c| !c.rings.is_empty());
        let broken = Breaks { side: p.broken.side, ..piece.broken };
        Some(Piece { broken, ..piece })
    });
    let cut: Vec<Piece> = cut.filter(|p| !p.solid.columns.is_empty()).collect();
    let large = Sheet { scale: sheet.scale * times, ..sheet };
    let (dx, dy) = (centre.x - focus.x * times, centre.y - focus.y * times);
    let section = figure(&cut, large, &[]).into_iter().filter(in_section).chain(spot.besides.iter().cloned());
    let section = section.map(|m| m.nameless().placed(times, dx, dy)).collect();
    Mark::Clipped { name, class: "detail", centre, radius, marks: section }
}

/// Walls farther away than the detail reaches are cut off out of sight; false where nothing of the ring is near.
fn narrowed(ring: &mut Ring, from: f64, to: f64) -> bool {
    if ring.widest() < from || ring.narrowest() > to {
        return false;
    }
    let straight = |wall: &[f64; 2]| (wall[0] - wall[1]).abs() < 1e-9;
    if straight(&ring.bore) && ring.bore[0] < from {
        ring.bore = [from; 2];
    }
    if straight(&ring.outside) && ring.outside[0] > to {
        ring.outside = [to; 2];
    }
    true
}

/// The detail shows the cut half only.
fn in_section(mark: &Mark) -> bool {
    match mark {
        Mark::Path { class, .. } => matches!(*class, "edge behind" | "face" | "edge" | "edge hidden"),
        Mark::Group { class, .. } => *class != "outside",
        _ => false,
    }
}
