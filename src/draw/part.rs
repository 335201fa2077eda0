//! One part by itself in full section, with its dimensions and where a caliper goes to check each.
//! Must not know stacks.

use super::assembled::{MARGIN, OVERHANG, Paper, fit};
use super::checkable::{Checkable, Place, checkable};
use super::exploded::ends;
use super::figure::{figure, rim};
use super::hatch::Hatch;
use super::piece::{Look, Piece, Window, piece, window};
use super::reference::{Label, Lettering, Reference, column};
use super::scene::{Fill, Frame, Line, Mark, NOTE_HEIGHT, Pen, Point, Scene, Sheet, pt};
use super::signs::{jaw, notes, notes_height};
use super::solid::{Solid, of_variant};
use super::trim;
use super::write;
use crate::catalogue::{Part, Variant};

/// Finished text of a part's drawing.
#[derive(Clone, Copy, Debug, Default)]
pub struct PartWords<'a> {
    pub title: &'a str,
    pub description: &'a str,
    /// For each of the part's dimensions its name and value as written; printed in the key behind its letter.
    pub dims: &'a [String],
}

#[derive(Clone, Copy, Debug)]
pub struct PartInput<'a> {
    pub part: &'a Part,
    pub variant: &'a Variant,
    pub words: PartWords<'a>,
    /// Makes ids unique on a page.
    pub id_prefix: &'a str,
}

const PAPER: Paper = Paper { width: 110.0, height: 105.0, greatest_scale: 2.0 };
/// Of a part without its sizes.
const ALONE: Paper = Paper { width: 62.0, height: 60.0, greatest_scale: 1.5 };
/// The figure with its key under it: what all drawings fit. A long key leaves less to the figure.
const SHEET: f64 = super::assembled::PAPER.height;
/// A part longer than this is shortened where it is plain, millimetres.
const LONG: f64 = 110.0;
/// What is left out of a shortened part is shown as this gap.
const SHORTENED: f64 = 4.0;
/// Paper millimetres: from the figure to the first upright dimension, and from one to the next; length of a jaw.
const FIRST: f64 = 7.0;
const LANE: f64 = 7.5;
const JAW: f64 = 3.2;
/// The key is at least this wide, paper millimetres.
const KEY: f64 = 98.0;
/// Free room round a letter beside its dimension line.
const CLEAR: f64 = 2.6;

const LETTERS: [&str; 26] = [
    "a", "b", "c", "d", "e", "f", "g", "h", "i", "j", "k", "l", "m", "n", "o", "p", "q", "r", "s", "t", "u",
    "v", "w", "x", "y", "z",
];

/// The drawing, or nothing for a part of which no dimension can be shown.
pub fn part(input: &PartInput) -> Option<String> {
    let scene = scene(input)?;
    let words = super::DrawWords {
        title: input.words.title,
        description: input.words.description,
        reading_order: &key(input),
        ..super::DrawWords::default()
    };
    Some(write::svg_of(&scene, &words, input.id_prefix))
}

/// The same without sizes: what the part looks like, for a text about it, and small.
pub fn part_alone(input: &PartInput) -> Option<String> {
    let shown = Shown::of(&of_variant(input.part, input.variant));
    if shown.pieces.is_empty() {
        return None;
    }
    let own = shown.frame();
    let sheet = fit(own, 0.0, ALONE);
    let mut marks = shown.marks(sheet);
    marks.push(trim::axis(own, sheet));
    let frame = own.grown(sheet.printed(OVERHANG + MARGIN));
    let scene = Scene { drawing: "part", sheet: Sheet { frame, ..sheet }, marks };
    let words = super::DrawWords {
        title: input.words.title,
        description: input.words.description,
        ..super::DrawWords::default()
    };
    Some(write::svg_of(&scene, &words, input.id_prefix))
}

/// Letter and text of each dimension that is shown.
fn key(input: &PartInput) -> Vec<String> {
    let places = places(input, &of_variant(input.part, input.variant));
    let lines = places.iter().zip(LETTERS);
    lines.filter_map(|(p, letter)| Some(format!("{letter}: {}", input.words.dims.get(p.dim)?))).collect()
}

fn places(input: &PartInput, solid: &Solid) -> Vec<Checkable> {
    let mut places = checkable(&input.variant.shape, solid);
    places.truncate(LETTERS.len());
    places
}

fn scene(input: &PartInput) -> Option<Scene> {
    let solid = of_variant(input.part, input.variant);
    let places = places(input, &solid);
    let shown = Shown::of(&solid);
    let own = shown.frame();
    if places.is_empty() || shown.pieces.is_empty() {
        return None;
    }
    let lanes = lanes(&places, &shown);
    let lettering = Lettering::new(NOTE_HEIGHT);
    let upright = lanes.iter().map(|l| l.lane + 1).max().unwrap_or(0) as f64;
    let beside = lettering.column() + JAW + FIRST + LANE * upright;
    let lines: Vec<String> = key(input).iter().map(|line| line.replacen(':', "", 1)).collect();
    let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
    // Jaws stand out over the figure, and letters over jaws.
    let over = 2.0 * (JAW + CLEAR) + 2.0 * MARGIN;
    let height = PAPER.height.min(SHEET - over - notes_height(&lines, KEY));
    let sheet = fit(own, beside, Paper { height, ..PAPER });
    let mut marks = shown.marks(sheet);
    marks.push(trim::axis(own, sheet));
    let mut frame = own.grown(sheet.printed(OVERHANG));
    marks.extend(jaws(&places, &shown, sheet).into_iter().flat_map(|(_, marks)| marks));
    marks.extend(upright_marks(&lanes, own, sheet, &mut frame));
    let across = jaws(&places, &shown, sheet).into_iter();
    let references: Vec<Reference> = across
        .map(|(label, _)| label)
        .map(|(name, at)| Reference { label: Label::Detail(name), at })
        .collect();
    let around = Frame { left: own.left - sheet.printed(JAW), ..own }.grown(rim(sheet));
    let labels = column(&references, around, 1.0, lettering, sheet, &mut frame);
    marks.push(Mark::Group { class: "references", facts: Vec::new(), marks: labels });
    // A narrow part's key would else be broken into more lines than the sheet is high.
    frame.right = frame.right.max(frame.left + sheet.printed(KEY));
    marks.extend(notes(&lines, sheet, &mut frame));
    let frame = frame.grown(sheet.printed(MARGIN));
    Some(Scene { drawing: "part", sheet: Sheet { frame, ..sheet }, marks })
}

/// The part as it is shown: in one piece, or its two ends moved together.
struct Shown {
    pieces: Vec<Piece>,
    /// Heights from here on are shown this much lower.
    moved: Option<(f64, f64)>,
}

impl Shown {
    fn of(solid: &Solid) -> Shown {
        let all = window(std::slice::from_ref(solid));
        let whole = Window { low: solid.bottom, high: solid.top, widest: all.widest };
        let windows = if solid.top - solid.bottom > LONG { ends(solid, whole) } else { vec![whole] };
        let hatch = Hatch { rising: true, pitch: 1.5 };
        let cut = |window: Window, lift: f64| piece(solid, window, lift, Look::Full, hatch);
        let [first, second] = windows[..] else {
            return Shown { pieces: cut(whole, 0.0).into_iter().collect(), moved: None };
        };
        let down = second.low - first.high - SHORTENED;
        let pieces = cut(first, 0.0).into_iter().chain(cut(second, -down)).collect();
        Shown { pieces, moved: Some((second.low, down)) }
    }

    /// Where a height of the part is shown.
    fn at(&self, height: f64) -> f64 {
        match self.moved {
            Some((from, down)) if height >= from - 1e-6 => height - down,
            Some((from, down)) => height.min(from - down),
            None => height,
        }
    }

    /// The middle of a stretch of heights that is really drawn.
    fn middle(&self, low: f64, high: f64, share: f64) -> f64 {
        let (from, to) = (self.at(low), self.at(high));
        let wanted = from + (to - from) * share;
        match self.moved {
            Some((cut, down)) if low < cut && high >= cut => {
                let gap = (cut - down - SHORTENED, cut - down);
                if wanted > gap.0 - 1.0 && wanted < gap.1 + 1.0 { gap.0 - 2.0 } else { wanted }
            }
            _ => wanted,
        }
    }

    fn frame(&self) -> Frame {
        super::assembled::extent(&self.pieces)
    }

    fn marks(&self, sheet: Sheet) -> Vec<Mark> {
        let mut marks = Vec::new();
        for piece in &self.pieces {
            marks.extend(other_half(piece, sheet));
        }
        let drawn = figure(&self.pieces, sheet, &[]);
        let whole = self.pieces.iter().all(|p| p.solid.whole());
        marks.extend(drawn.into_iter().filter(|m| whole || !outside(m)));
        marks.extend(self.pieces.iter().filter(|p| !p.solid.whole()).map(|p| slots(&p.solid)));
        marks
    }
}

fn outside(mark: &Mark) -> bool {
    match mark {
        Mark::Group { class, .. } => *class == "outside",
        Mark::Path { class, .. } => class.starts_with("slit") || matches!(*class, "ear" | "pinch"),
        _ => false,
    }
}

/// Right of the axis the same cut again: hatched the same way, not mirrored.
fn other_half(piece: &Piece, sheet: Sheet) -> Vec<Mark> {
    if piece.solid.whole() {
        return Vec::new();
    }
    let section = figure(std::slice::from_ref(piece), sheet, &[]).into_iter();
    let section = section.filter(|m| !outside(m)).map(|m| m.nameless().mirrored());
    section.filter(|m| !matches!(m, Mark::Path { class: "break", .. })).collect()
}

/// A slot in the far wall, seen through the bore.
fn slots(solid: &Solid) -> Mark {
    let mut lines = Vec::new();
    for slit in &solid.slits {
        let own = solid.columns.iter().filter(|c| c.name == slit.column).flat_map(|c| &c.rings);
        for ring in own.filter_map(|r| r.cut(slit.bottom, slit.top)).filter(|r| r.narrowest() > slit.half) {
            lines.extend([-1.0, 1.0].map(|side| {
                Line::open(vec![pt(side * slit.half, ring.bottom), pt(side * slit.half, ring.top)])
            }));
        }
    }
    Mark::path("slit", lines, Pen::Wide, Fill::None)
}

/// Jaws of each dimension across the part, with the letter and the point that its leader goes to.
fn jaws(places: &[Checkable], shown: &Shown, sheet: Sheet) -> Vec<((&'static str, Point), Vec<Mark>)> {
    let mut found = Vec::new();
    // Where several stand on one stretch, each has a height of its own.
    const SHARES: [f64; 5] = [0.5, 0.25, 0.75, 0.375, 0.625];
    let mut used: Vec<(f64, usize)> = Vec::new();
    for (place, letter) in places.iter().zip(LETTERS) {
        let (radius, low, high, inside) = match place.place {
            Place::Over { radius, low, high } => (radius, low, high, false),
            Place::Within { radius, low, high } => (radius, low, high, true),
            Place::Slot { half, low, high } => (half, low, high, true),
            Place::Between { .. } => continue,
        };
        let before = used.iter_mut().find(|u| (u.0 - low).abs() < 1e-6);
        let count = before.map_or(0, |u| {
            u.1 += 1;
            u.1
        });
        if count == 0 {
            used.push((low, 0));
        }
        let y = shown.middle(low, high, SHARES[count % SHARES.len()]);
        let radius = radius.min(shown.frame().right);
        found.push(((letter, anchor(radius, y, inside, sheet)), across(radius, y, inside, sheet)));
    }
    found
}

fn jaw_length(radius: f64, inside: bool, sheet: Sheet) -> f64 {
    let long = sheet.printed(JAW);
    if inside { long.min(0.85 * radius) } else { long }
}

/// The back of the left jaw; of a jaw in a bore, its middle.
fn anchor(radius: f64, y: f64, inside: bool, sheet: Sheet) -> Point {
    let long = jaw_length(radius, inside, sheet);
    pt(if inside { -radius + 0.5 * long } else { -radius - long }, y)
}

fn across(radius: f64, y: f64, inside: bool, sheet: Sheet) -> Vec<Mark> {
    let long = jaw_length(radius, inside, sheet);
    let outward = if inside { 1.0 } else { -1.0 };
    let one = |side: f64| jaw("jaw", pt(side * radius, y), pt(side * outward, 0.0), long, sheet);
    let mut marks = vec![one(-1.0), one(1.0)];
    if inside {
        let line = Line::open(vec![pt(-radius, y), pt(radius, y)]);
        marks.insert(0, Mark::path("dimension", vec![line], Pen::Narrow, Fill::None));
    }
    marks
}

/// One upright dimension: its place among the lanes right of the figure.
struct Upright {
    letter: &'static str,
    low: f64,
    high: f64,
    rod: bool,
    lane: usize,
}

/// Short ones nearest the figure; two share a lane where their stretches, jaws and letters are apart.
fn lanes(places: &[Checkable], shown: &Shown) -> Vec<Upright> {
    let mut all: Vec<Upright> = places
        .iter()
        .zip(LETTERS)
        .filter_map(|(place, letter)| match place.place {
            Place::Between { low, high, rod } => {
                Some(Upright { letter, low: shown.at(low), high: shown.at(high), rod, lane: 0 })
            }
            _ => None,
        })
        .collect();
    all.sort_by(|a, b| (a.high - a.low).total_cmp(&(b.high - b.low)));
    // Scales differ; a paper millimetre is never more than three on the part.
    let room = 3.0 * (JAW + NOTE_HEIGHT + CLEAR);
    for i in 0..all.len() {
        let near = |j: usize| all[j].low - room < all[i].high && all[i].low - room < all[j].high;
        let lane = (0..).find(|&lane| !(0..i).any(|j| all[j].lane == lane && near(j)));
        all[i].lane = lane.unwrap_or(i);
    }
    all
}

fn upright_marks(all: &[Upright], own: Frame, sheet: Sheet, frame: &mut Frame) -> Vec<Mark> {
    let x_of = |lane: usize| own.right + sheet.printed(JAW + FIRST + LANE * lane as f64);
    let over = sheet.printed(1.0);
    let mut marks = Vec::new();
    let mut letters = Vec::new();
    let mut beyond = Vec::new();
    for one in all {
        let x = x_of(one.lane);
        for height in [one.low, one.high] {
            beyond.push(Line::open(vec![pt(own.right + over, height), pt(x + over, height)]));
        }
        marks.extend(between_jaws(one, x, sheet));
        let passing: Vec<f64> =
            all.iter().filter(|o| o.lane > one.lane).flat_map(|o| [o.low, o.high]).collect();
        let at = pt(x + sheet.printed(1.3 + 0.5 * NOTE_HEIGHT), letter_height(one, &passing, sheet));
        letters.extend(super::signs::letter(one.letter, at, sheet));
        frame.low = frame.low.min(one.low - sheet.printed(JAW)).min(at.y - sheet.printed(CLEAR));
        frame.high = frame.high.max(one.high + sheet.printed(JAW)).max(at.y + sheet.printed(CLEAR));
        frame.right = frame.right.max(at.x + sheet.printed(NOTE_HEIGHT));
    }
    let mut drawn = vec![Mark::path("extension", beyond, Pen::Narrow, Fill::None)];
    drawn.extend(marks);
    drawn.extend(letters);
    drawn
}

/// Jaws close on the two faces from outside; the rod of a depth stands between them.
fn between_jaws(one: &Upright, x: f64, sheet: Sheet) -> Vec<Mark> {
    let long = sheet.printed(JAW);
    let line = vec![Line::open(vec![pt(x, one.low), pt(x, one.high)])];
    if one.rod {
        return vec![
            Mark::path("dimension rod", line, Pen::Bold, Fill::None),
            jaw("jaw", pt(x, one.low), pt(0.0, -1.0), long.min(one.high - one.low), sheet),
        ];
    }
    vec![
        Mark::path("dimension", line, Pen::Narrow, Fill::None),
        jaw("jaw", pt(x, one.low), pt(0.0, 1.0), long, sheet),
        jaw("jaw", pt(x, one.high), pt(0.0, -1.0), long, sheet),
    ]
}

/// Beside the line where no other's extension line passes, as near its middle as can be; else where they are farthest.
fn letter_height(one: &Upright, passing: &[f64], sheet: Sheet) -> f64 {
    let (middle, step) = ((one.low + one.high) / 2.0, sheet.printed(0.5));
    let reach = (one.high - one.low) / 2.0 + sheet.printed(JAW);
    let free = |y: f64| passing.iter().map(|p| (p - y).abs()).fold(f64::MAX, f64::min);
    let tries = (0..(reach / step) as i32 + 1)
        .flat_map(|n| [middle + f64::from(n) * step, middle - f64::from(n) * step]);
    let mut best = middle;
    for y in tries {
        if free(y) > sheet.printed(CLEAR) {
            return y;
        }
        if free(y) > free(best) {
            best = y;
        }
    }
    best
}
