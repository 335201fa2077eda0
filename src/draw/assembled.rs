//! The assembled half section, to scale, with numbered references.
//! Must not know what goes wrong or in which order parts go on.

use super::DrawInput;
use super::broken::{self, Break};
use super::clash;
use super::deciding;
use super::detail::{self, LETTERS, Spot};
use super::dimension::{distance_in_section, height_in_view};
use super::figure::{figure, rim};
use super::hatch;
use super::outline::{Band, silhouette};
use super::piece::{Look, Piece, Window, piece, window};
use super::reference::{Label, Lettering, Reference, column, sides};
use super::ring_letters;
use super::scene::{Fill, Frame, Line, Mark, NUMBER_HEIGHT, Pen, Point, Scene, Sheet, pt};
use super::signs::changed_legend;
use super::solid::{Solid, solids};
use super::trim;

/// Room for a drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Paper {
    pub width: f64,
    pub height: f64,
    pub greatest_scale: f64,
}

/// What A6 (105 by 148) has inside margins of 5 mm, one step of the ISO 216 series up: a drawing prints as it is within
/// A5, and on A6 with letters and lines one step smaller in their series (3.5 becomes 2.5, 0.5 becomes 0.35). A small
/// stack is not blown up past 2:1.
pub(super) const PAPER: Paper = Paper { width: 133.0, height: 193.0, greatest_scale: 2.0 };
/// Around everything.
pub(super) const MARGIN: f64 = 1.5;
/// The axis stands out of the figure by 3 mm; break zigzags by 2.5.
pub(super) const OVERHANG: f64 = 3.5;

/// What is drawn besides the parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Extra {
    /// Details of the sizes that decide.
    Deciding,
    WhyNot,
}

/// With the head tube broken, unless that would hide something that is told.
pub(super) fn scene(input: &DrawInput, extra: Extra) -> Scene {
    let whole = solids(input);
    let broken = broken::in_head_tube(&whole).filter(|found| keeps(input, extra, &whole, *found));
    let solids = match broken {
        Some(broken) => whole.iter().map(|s| broken.shortened(s)).collect(),
        None => whole,
    };
    of(input, extra, &solids, broken)
}

/// The same is told of the parts with the break and without, and nothing of it lies in the break.
fn keeps(input: &DrawInput, extra: Extra, whole: &[Solid], broken: Break) -> bool {
    let shorter: Vec<Solid> = whole.iter().map(|s| broken.shortened(s)).collect();
    let told = |solids: &[Solid]| {
        let window = window(solids);
        // Which scale is no matter here.
        let sheet = Sheet { scale: 1.0, frame: extent(&pieces(solids, window)) };
        match extra {
            Extra::Deciding => (deciding::spots(input, solids, window), Vec::new()),
            Extra::WhyNot => {
                let clash = clash::clash(input, solids, window, sheet);
                (clash.first.into_iter().collect(), clash.marks)
            }
        }
    };
    let ((before, _), (spots, marks)) = (told(whole), told(&shorter));
    broken.keeps(&before, &spots) && broken.clear_of(&marks)
}

fn of(input: &DrawInput, extra: Extra, solids: &[Solid], broken: Option<Break>) -> Scene {
    let window = window(solids);
    let pieces = broken.map_or_else(|| pieces(solids, window), |broken| broken.pieces(solids, window));
    let numbers = numbers(input, &pieces);
    let figure_frame = extent(&pieces);
    let mut spots = match extra {
        Extra::Deciding => deciding::spots(input, solids, window),
        Extra::WhyNot => Vec::new(),
    };
    let beside = if !spots.is_empty() || extra == Extra::WhyNot { detail::ROOM } else { 0.0 };
    let changed = changed_words(input, solids);
    let legend = if changed.is_empty() { 0.0 } else { LEGEND };
    let paper = Paper { height: PAPER.height - legend, ..PAPER };
    let fitting = |lettering: Lettering| fit(figure_frame, 2.0 * lettering.column() + beside, paper);
    let usual = Lettering::new(NUMBER_HEIGHT);
    let in_a_column = longest_column(&pieces, &numbers, spots.len().max(1), fitting(usual));
    let lettering = Lettering::for_count(in_a_column, paper.height - 2.0 * (MARGIN + OVERHANG));
    let sheet = fitting(lettering);
    let turned_away: Vec<&str> =
        input.rule.slits.iter().map(|s| input.rule.slot(s.slot).name.as_str()).collect();
    let mut marks = figure(&pieces, sheet, &turned_away);
    marks.push(trim::axis(figure_frame, sheet));
    match extra {
        Extra::Deciding => {
            let bands = bands(&pieces);
            let words = [input.words.head_tube, input.words.head_tube_limit];
            marks.extend(height_in_view(&pieces, &bands, words, sheet));
        }
        Extra::WhyNot => {
            let clash = clash::clash(input, solids, window, sheet);
            marks.extend(clash.marks);
            spots.extend(clash.first);
        }
    }
    let mut frame;
    // Under the numbers, over the figure; the last details are left out where they find no room beside it.
    let (details, references, letters) = loop {
        frame = figure_frame.grown(sheet.printed(OVERHANG));
        let places = letters_by_rings(&spots, |places| {
            let mut unused = frame;
            let of = (&spots[..], places);
            let beside = references(&pieces, &numbers, of, figure_frame, lettering, sheet, &mut unused);
            ring_letters::places(&spots, &pieces, &leaders(&beside), sheet)
        });
        let of = (&spots[..], &places[..]);
        let references = references(&pieces, &numbers, of, figure_frame, lettering, sheet, &mut frame);
        let room = PAPER.width - 2.0 * MARGIN - frame.width() * sheet.scale - detail::ROOM + detail::WIDTH;
        let details = detail::marks(&spots, &pieces, sheet, room, &mut frame);
        if spots.len() < 2 || frame.height() * sheet.scale <= paper.height - 2.0 * MARGIN {
            break (details, references, ring_letters::marks(&places, sheet));
        }
        spots.pop();
    };
    marks.extend(details);
    let leaders = leaders(&references);
    marks.push(references);
    marks.extend(letters);
    // Over the leaders' clearings, which would break its line.
    marks.extend(spots.iter().filter_map(|s| in_figure(s, &pieces, &leaders, sheet)));
    marks.extend(changed_legend(changed, sheet, &mut frame));
    let frame = frame.grown(sheet.printed(MARGIN));
    Scene { drawing: "assembled", sheet: Sheet { frame, ..sheet }, marks }
}

/// Letters by their rings, as far as leaders leave room. A letter that stands in the column moves leaders, so what is left
/// is looked at again, with one letter by its ring less each time.
fn letters_by_rings(
    spots: &[Spot],
    places: impl Fn(&[Option<Point>]) -> Vec<Option<Point>>,
) -> Vec<Option<Point>> {
    // Where does not matter to the column, only which.
    let mut wanted: Vec<Option<Point>> = spots.iter().map(|s| Some(s.focus)).collect();
    loop {
        let mut found = places(&wanted);
        for (place, wanted) in found.iter_mut().zip(&wanted) {
            *place = place.filter(|_| wanted.is_some());
        }
        let kept = found.iter().zip(&wanted).all(|(place, wanted)| place.is_some() == wanted.is_some());
        if kept {
            return found;
        }
        wanted = found;
    }
}

/// A size that is large enough to be dimensioned where it is.
fn in_figure(spot: &Spot, pieces: &[Piece], leaders: &[[Point; 2]], sheet: Sheet) -> Option<Mark> {
    let (faces, x) = (spot.in_figure?, spot.focus.x);
    let (low, high) = (spot.focus.y - spot.size / 2.0, spot.focus.y + spot.size / 2.0);
    let over = (x - faces).signum() * sheet.printed(1.0);
    let extension = |y: f64| Line::open(vec![pt(faces, y), pt(x + over, y)]);
    let mut marks = distance_in_section((x, low, high), &spot.measured(), pieces, leaders, sheet);
    if (x - faces).abs() > 1e-6 {
        let lines = vec![extension(low), extension(high)];
        marks.push(Mark::path("extension", lines, Pen::Narrow, Fill::None));
    }
    let facts = vec![("data-size", spot.what.to_string()), ("data-times", "1".to_string())];
    Some(Mark::Group { class: "size", facts, marks })
}

/// Of numbers and of details.
fn leaders(references: &Mark) -> Vec<[Point; 2]> {
    let Mark::Group { marks, .. } = references else { return Vec::new() };
    let lines = marks.iter().filter_map(|mark| match mark {
        Mark::Path { class: "leader" | "detail-leader", lines, .. } => Some(lines),
        _ => None,
    });
    lines.flatten().filter_map(|line| Some([*line.points.first()?, *line.points.last()?])).collect()
}

/// Under all for what a sign says, paper millimetres.
pub(super) const LEGEND: f64 = 14.0;

/// What is said of parts that are changed for good; nothing where there is none.
pub(super) fn changed_words<'a>(input: &DrawInput<'a>, solids: &[Solid]) -> &'a str {
    if solids.iter().any(|s| s.changed) { input.words.changed } else { "" }
}

/// Letters of details may all come to the left, too.
fn longest_column(pieces: &[Piece], numbers: &[Option<usize>], letters: usize, sheet: Sheet) -> usize {
    let sides = sides(pieces, &bands(pieces), numbers, sheet);
    (sides.left.len() + letters).max(sides.right.len())
}

fn bands(pieces: &[Piece]) -> Vec<Band> {
    let solids: Vec<Solid> = pieces.iter().map(|p| p.solid.clone()).collect();
    silhouette(&solids)
}

/// Every part clipped by the window, with its hatching.
pub(super) fn pieces(solids: &[Solid], window: Window) -> Vec<Piece> {
    let hatches = hatch::choose(solids, NEAR);
    let both = solids.iter().zip(hatches);
    both.filter_map(|(solid, hatch)| piece(solid, window, 0.0, Look::Full, hatch)).collect()
}

/// Parts nearer than this get different hatching: those that touch must, those that nearly do are easier to tell.
pub(super) const NEAR: f64 = 4.0;

/// Of two pieces of one part the first has its number.
pub(super) fn numbers(input: &DrawInput, pieces: &[Piece]) -> Vec<Option<usize>> {
    let mut taken = Vec::new();
    let own = pieces.iter().map(|piece| {
        let number = number_of(input, &piece.solid).filter(|number| !taken.contains(number));
        taken.extend(number);
        number
    });
    own.collect()
}

pub(super) fn number_of(input: &DrawInput, solid: &Solid) -> Option<usize> {
    input.numbers.iter().find(|n| n.0 == solid.item).map(|n| n.1)
}

pub(super) fn extent(pieces: &[Piece]) -> Frame {
    let radius = pieces.iter().map(|p| p.solid.widest()).fold(1.0, f64::max);
    let low = pieces.iter().map(|p| p.solid.bottom).reduce(f64::min).unwrap_or(0.0);
    let high = pieces.iter().map(|p| p.solid.top).reduce(f64::max).unwrap_or(1.0);
    Frame { left: -radius, right: radius, low, high: high.max(low + 1.0) }
}

/// The greatest scale at which the figure and `beside` paper millimetres fit the paper.
pub(super) fn fit(figure: Frame, beside: f64, paper: Paper) -> Sheet {
    let around = 2.0 * (MARGIN + OVERHANG);
    let by_height = (paper.height - around) / figure.height();
    let by_width = (paper.width - around - beside) / figure.width();
    let scale = by_height.min(by_width).clamp(0.05, paper.greatest_scale);
    Sheet { scale: (scale * 100.0).floor() / 100.0, frame: figure }
}

/// Numbers of parts and letters of details in one column a side, so that none of their leaders can cross.
fn references(
    pieces: &[Piece],
    numbers: &[Option<usize>],
    (spots, by_rings): (&[Spot], &[Option<Point>]),
    figure_frame: Frame,
    lettering: Lettering,
    sheet: Sheet,
    frame: &mut Frame,
) -> Mark {
    let mut sides = sides(pieces, &bands(pieces), numbers, sheet);
    let in_column = spots.iter().zip(LETTERS).zip(by_rings).filter(|(_, place)| place.is_none());
    sides.left.extend(in_column.map(|((spot, name), _)| {
        // Of a line in the section near its foot: its value stands about the middle.
        let down = spot.in_figure.map_or(0.0, |_| 0.4 * spot.size);
        let at = pt(spot.focus.x - spot.ring(sheet), spot.focus.y - down);
        Reference { label: Label::Detail(name), at }
    }));
    let around = figure_frame.grown(rim(sheet));
    let mut marks = column(&sides.left, around, 1.0, lettering, sheet, frame);
    marks.extend(column(&sides.right, around, -1.0, lettering, sheet, frame));
    Mark::Group { class: "references", facts: Vec::new(), marks }
}
