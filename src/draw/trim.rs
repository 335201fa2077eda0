//! What is not round or not metal: slots, bolt ears, pinch bolts, balls, nut faces, break lines, the axis.
//! Shapes the data does not give (ears, pinch bolts) are signs of what is there. Must not know numbers.

use super::outline::Band;
use super::piece::{Look, Piece};
use super::scene::{Fill, Frame, Line, Mark, Pen, Sheet, pt};
use super::solid::Solid;
use crate::kinds::Known;

/// Slots, ears and pinch bolts on the outside view. Slits of the slots named are turned away from the clamp's own
/// slot by the fitter: drawn dashed, on the far side.
pub(super) fn details(pieces: &[Piece], bands: &[Band], turned_away: &[&str]) -> Vec<Mark> {
    let mut marks = Vec::new();
    let mut far = Vec::new();
    for (index, piece) in pieces.iter().enumerate() {
        let own: Vec<&Band> = bands.iter().filter(|b| b.solid == index).collect();
        let seen = slit_lines(&piece.solid, &own);
        if turned_away.contains(&piece.solid.slot.as_str()) {
            far.extend(seen);
        } else if !seen.is_empty() {
            let class = if piece.look == Look::Now { "slit fresh" } else { "slit" };
            marks.push(Mark::path(class, seen, super::figure::pen(piece.look), Fill::None));
        }
        marks.extend(pinch_bolts(piece, &own));
    }
    if !far.is_empty() {
        marks.push(Mark::path("slit hidden", far, Pen::Hidden, Fill::None));
    }
    marks
}

/// Right edges of a part's lengthwise cuts, where no wider part hides them.
fn slit_lines(solid: &Solid, own: &[&Band]) -> Vec<Line> {
    let mut seen = Vec::new();
    for slit in &solid.slits {
        for band in own {
            let (low, high) = (slit.bottom.max(band.low()), slit.top.min(band.high()));
            if high - low < 1e-4 || band.radius_at((low + high) / 2.0) <= slit.half {
                continue;
            }
            let mut points = vec![pt(slit.half, low), pt(slit.half, high)];
            if high < band.high() - 1e-4 {
                points.push(pt(0.0, high));
            }
            if low > band.low() + 1e-4 {
                points.insert(0, pt(0.0, low));
            }
            seen.push(Line::open(points));
        }
    }
    seen
}

/// A key of this size when the data gives none: the usual M6 socket head, ISO 4762.
const USUAL_KEY: f64 = 5.0;

/// Key, half a head, and thread of a part's pinch bolts. Sizes after ISO 4762: thread 1.2 keys, head 2 keys wide and one
/// thread high.
pub(super) fn bolt_size(solid: &Solid) -> (f64, f64, f64) {
    let key = solid.key.unwrap_or(USUAL_KEY);
    (key, key, 1.2 * key)
}

/// How far an ear goes sideways of a slot's middle.
pub(super) fn ear(half: f64, radius: f64, thread: f64) -> f64 {
    (half + 0.42 * radius).min(radius - thread).max(half + 1.0)
}

/// Heights at which a part's pinch bolts are seen, and where the outer faces of their heads are.
pub(super) fn bolt_heads(piece: &Piece, bands: &[&Band]) -> Vec<(f64, f64)> {
    let solid = &piece.solid;
    let (_, _, thread) = bolt_size(solid);
    let half = solid.slits.first().map_or(0.0, |s| s.half);
    let seen = |p: f64| bands.iter().find(|b| b.low() < p && p < b.high()).map(|b| (p, b.radius_at(p)));
    let seen: Vec<(f64, f64)> = solid.pinches.iter().filter_map(|&p| seen(p)).collect();
    let Some(&(_, radius)) = seen.first() else { return Vec::new() };
    seen.into_iter().map(|(height, _)| (height, ear(half, radius, thread) + thread)).collect()
}

/// Ear and pinch bolts beside the slot. Those that nobody turns now are there already.
fn pinch_bolts(piece: &Piece, own: &[&Band]) -> Vec<Mark> {
    let solid = &piece.solid;
    let half = solid.slits.first().map_or(0.0, |s| s.half);
    let (_, head, thread) = bolt_size(solid);
    let seen = bolt_heads(piece, own);
    let (Some(first), Some(last)) = (seen.first(), seen.last()) else { return Vec::new() };
    let ear = first.1 - thread;
    let low = (first.0.min(last.0) - head - 1.0).max(solid.bottom);
    let high = (first.0.max(last.0) + head + 1.0).min(solid.top);
    let pen = super::figure::pen(piece.look);
    let block = Line::open(vec![pt(half, low), pt(ear, low), pt(ear, high), pt(half, high)]);
    let (mut bolts, mut idle) = (Vec::new(), Vec::new());
    let mut axes = Vec::new();
    for &(height, _) in &seen {
        // Where the clamp is broken off, so is a bolt.
        let box_of = |left: f64, right: f64, reach: f64| {
            let (low, high) = ((height - reach).max(solid.bottom), (height + reach).min(solid.top));
            Line::closed(vec![pt(left, low), pt(right, low), pt(right, high), pt(left, high)])
        };
        let left_alone = piece.idle.iter().any(|i| (i - height).abs() < 1e-4);
        let own = if left_alone { &mut idle } else { &mut bolts };
        own.push(box_of(ear, ear + thread, head));
        if half > 0.5 {
            let shank = thread / 2.0;
            own.push(Line::open(vec![pt(0.0, height - shank), pt(half, height - shank)]));
            own.push(Line::open(vec![pt(0.0, height + shank), pt(half, height + shank)]));
        }
        axes.push(Line::open(vec![pt(0.0, height), pt(ear + thread + 2.0, height)]));
    }
    let now = piece.look == Look::Now;
    let (ears, turned) = if now { ("ear fresh", "pinch fresh") } else { ("ear", "pinch") };
    vec![
        Mark::path(ears, vec![block], pen, Fill::None),
        Mark::path("pinch", idle, Pen::Narrow, Fill::Paper),
        Mark::path(turned, bolts, pen, Fill::Paper),
        Mark::path("axis", axes, Pen::Chain, Fill::None),
    ]
}

/// The ball of a bearing between its two rings, not cut.
pub(super) fn balls(piece: &Piece) -> Option<Mark> {
    let solid = &piece.solid;
    let [first, second] = &solid.columns[..] else { return None };
    if !solid.is(Known::Balls) {
        return None;
    }
    let middle = (solid.bottom + solid.top) / 2.0;
    let at = |column: &super::solid::Column| {
        let ring = column.rings.iter().find(|r| r.bottom <= middle && middle <= r.top)?;
        Some((ring.bore_at(middle), ring.outside_at(middle)))
    };
    let (a, b) = (at(first)?, at(second)?);
    let (inner, outer) = if a.1 <= b.0 { (a.1, b.0) } else { (b.1, a.0) };
    // It runs in grooves of both rings, so it is larger than what is between them.
    let walls = [a, b].iter().map(|w| w.1 - w.0).fold(f64::MAX, f64::min);
    let radius = ((outer - inner + 0.9 * walls) / 2.0).min((solid.top - solid.bottom) * 0.4);
    if radius < 0.2 {
        return None;
    }
    let centre = pt(-(inner + outer) / 2.0, middle);
    Some(Mark::Circle { class: "ball", centre, radius, pen: Pen::None, fill: Fill::Ink })
}

/// A nut is not cut: its outside hides what it is screwed on, whose edges go dashed across it.
pub(super) fn face(nut: &Piece, screws: &[&Piece]) -> Vec<Mark> {
    let mut faces = Vec::new();
    let mut hidden = Vec::new();
    for ring in nut.solid.rings() {
        let (bottom, top) = (ring.bottom, ring.top);
        let corners = [pt(-ring.bore[0], bottom), pt(0.0, bottom), pt(0.0, top), pt(-ring.bore[1], top)];
        faces.push(Line::closed(corners.to_vec()));
        for screw in screws.iter().flat_map(|s| s.solid.rings()).filter_map(|r| r.cut(bottom, top)) {
            hidden.push(Line::open(vec![
                pt(-screw.outside[0], screw.bottom),
                pt(-screw.outside[1], screw.top),
            ]));
            if screw.bottom > bottom + 1e-4 {
                hidden.push(Line::open(vec![pt(-screw.outside[0], screw.bottom), pt(0.0, screw.bottom)]));
            }
        }
    }
    let edges = nut.solid.columns.iter().flat_map(|c| c.rings.first().into_iter().chain(c.rings.last()));
    let rims = edges.flat_map(|r| {
        [
            Line::open(vec![pt(-r.bore[0], r.bottom), pt(0.0, r.bottom)]),
            Line::open(vec![pt(-r.bore[1], r.top), pt(0.0, r.top)]),
        ]
    });
    let rims = rims.collect();
    let mut marks = vec![
        Mark::path("face", faces, Pen::None, Fill::Paper),
        Mark::path("edge", rims, super::figure::pen(nut.look), Fill::None),
    ];
    if !hidden.is_empty() {
        marks.push(Mark::path("edge hidden", hidden, Pen::Hidden, Fill::None));
    }
    marks
}

/// Narrow lines with zigzags (ISO 128-2) where parts are broken off: one across all that end at one height.
pub(super) fn break_lines(pieces: &[Piece], sheet: Sheet) -> Option<Mark> {
    let mut lines = Vec::new();
    let over = sheet.printed(2.5);
    let mut levels: Vec<(f64, f64)> = Vec::new();
    for piece in pieces {
        for height in [piece.broken.bottom, piece.broken.top].into_iter().flatten() {
            let here = piece.solid.rings().filter(|r| r.bottom - 1e-4 <= height && height <= r.top + 1e-4);
            let radius = here.map(|r| r.outside_at(height)).fold(0.0, f64::max);
            match levels.iter_mut().find(|l| (l.0 - height).abs() < 1e-4) {
                Some(level) => level.1 = level.1.max(radius),
                None => levels.push((height, radius)),
            }
        }
        lines.extend(side_breaks(piece, over, sheet));
    }
    lines.extend(
        levels.into_iter().filter(|l| l.1 > 0.0).map(|(height, radius)| across(height, radius, sheet)),
    );
    (!lines.is_empty()).then(|| Mark::path("break", lines, Pen::Narrow, Fill::None))
}

fn across(height: f64, radius: f64, sheet: Sheet) -> Line {
    let half = radius + sheet.printed(2.5);
    zigzag(2.0 * half, sheet, |along, off| pt(along - half, height + off))
}

/// The same of something that is no part.
pub(super) fn broken_level(height: f64, radius: f64, sheet: Sheet) -> Mark {
    Mark::path("break", vec![across(height, radius, sheet)], Pen::Narrow, Fill::None)
}

fn side_breaks(piece: &Piece, over: f64, sheet: Sheet) -> Vec<Line> {
    let Some(side) = piece.broken.side else { return Vec::new() };
    let rings = piece.solid.rings().filter(|r| piece.broken.edge(r.widest()));
    rings
        .flat_map(|ring| {
            let length = ring.top - ring.bottom + 2.0 * over;
            [-side, side].map(|x| zigzag(length, sheet, |along, off| pt(x + off, ring.bottom - over + along)))
        })
        .collect()
}

fn zigzag(length: f64, sheet: Sheet, place: impl Fn(f64, f64) -> super::scene::Point) -> Line {
    let (half, reach) = (sheet.printed(1.2), sheet.printed(2.0));
    let mut points = vec![place(0.0, 0.0)];
    for share in [0.27, 0.73] {
        let at = length * share;
        points.extend([place(at - half, 0.0), place(at - half / 3.0, reach)]);
        points.extend([place(at + half / 3.0, -reach), place(at + half, 0.0)]);
    }
    points.push(place(length, 0.0));
    Line::open(points)
}

/// The axis, a little beyond the figure.
pub(super) fn axis(figure: Frame, sheet: Sheet) -> Mark {
    let over = sheet.printed(3.0);
    let line = Line::open(vec![pt(0.0, figure.low - over), pt(0.0, figure.high + over)]);
    Mark::path("axis", vec![line], Pen::Chain, Fill::None)
}
