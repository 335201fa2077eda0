//! A part and a change that cannot be undone: bold what is left of it, struck out in the line of what was what comes
//! off, a wide line where the cut goes, and the size it comes to. Must not know why it is changed.

use super::DrawInput;
use super::assembled::{MARGIN, OVERHANG, Paper, extent, fit, number_of};
use super::checkable::{Place, checkable};
use super::dimension::between;
use super::figure::{figure, rim};
use super::hatch::Hatch;
use super::outline::silhouette;
use super::piece::{Look, Piece, Window, piece};
use super::reference::{Lettering, column, one_side};
use super::scene::{Fill, Frame, Line, Mark, NOTE_HEIGHT, NUMBER_HEIGHT, Pen, Scene, Sheet, pt};
use super::signs::{notes, struck_out, text_width};
use super::solid::{Solid, of_variant, solids};
use super::trim;
use crate::assembly::ItemIx;
use crate::catalogue::Variant;
use crate::quantity::Length;

/// Higher than other steps: what comes off may be longer than what stays.
const PAPER: Paper = Paper { width: 102.0, height: 112.0, greatest_scale: 1.5 };
/// Paper millimetres: how far the cut stands out over the part, and from the part to its dimension line.
const CUT: f64 = 4.0;
const DIMENSION: f64 = 8.0;

/// `None` where the item is a part as it was made.
pub(super) fn scene(input: &DrawInput, now: ItemIx) -> Option<Scene> {
    let own = solids(input).into_iter().find(|s| s.item == now && s.changed)?;
    let was = was(input, &own)?;
    let whole = Window { low: own.bottom, high: own.top, widest: f64::MAX };
    let hatch = Hatch { rising: true, pitch: 1.5 };
    let pieces: Vec<Piece> = piece(&own, whole, 0.0, Look::Now, hatch).into_iter().collect();
    let after = extent(&pieces);
    let all = Frame {
        left: -own.widest().max(was.widest()),
        right: own.widest().max(was.widest()),
        low: after.low.min(was.bottom),
        high: after.high.max(was.top),
    };
    let lettering = Lettering::new(NUMBER_HEIGHT);
    let sheet = fit(all, lettering.column() + CUT + DIMENSION + 2.0, PAPER);
    let mut marks = figure(&pieces, sheet, &[]);
    marks.extend(gone(&own, &was, sheet));
    marks.push(trim::axis(all, sheet));
    let mut frame = all.grown(sheet.printed(OVERHANG.max(CUT)));
    let numbers = [number_of(input, &own)];
    let references = one_side(&pieces, &silhouette(std::slice::from_ref(&own)), &numbers, false, sheet);
    let beside = Frame { left: all.left - sheet.printed(CUT), ..after }.grown(rim(sheet));
    marks.extend(column(&references, beside, 1.0, lettering, sheet, &mut frame));
    marks.extend(size(input, &own, all.right, sheet, &mut frame));
    let frame = frame.grown(sheet.printed(MARGIN));
    Some(Scene { drawing: "step", sheet: Sheet { frame, ..sheet }, marks })
}

/// As it stands in the stack, which aims at the middle of what is good, and as it was made.
fn variants<'a>(input: &DrawInput<'a>, own: &Solid) -> Option<(Variant, &'a Variant)> {
    let variant = input.catalogue.variant(input.stack.items.get(usize::from(own.item.0))?.variant);
    let from = input.catalogue.variant(variant.changed.as_ref()?.from);
    let mut variant = variant.clone();
    for dim in &mut variant.shape.dims {
        let stands = input.stack.dims.iter().find(|d| d.item == own.item && d.name == dim.name);
        dim.dimension.nominal = stands.map_or(dim.dimension.nominal, |d| Length::nm(d.ends.nominal));
    }
    Some((variant, from))
}

/// The part as it was made, where it would stand now.
fn was(input: &DrawInput, own: &Solid) -> Option<Solid> {
    let (variant, from) = variants(input, own)?;
    let owner = input.catalogue.part(variant.part);
    let (drawn, was) = (of_variant(owner, &variant), of_variant(owner, from));
    Some(match input.stack.items[usize::from(own.item.0)].turned {
        false => was.lifted(own.bottom - drawn.bottom),
        true => was.turned_over().lifted(own.top + drawn.bottom - was.bottom - was.top),
    })
}

/// What the part reached beyond what is left of it, with a cut between; where it is as long as before, all of what it was.
fn gone(own: &Solid, was: &Solid, sheet: Sheet) -> Vec<Mark> {
    let ends = [(was.bottom, own.bottom, own.bottom), (own.top, was.top, own.top)];
    let off: Vec<_> = ends.into_iter().filter(|(low, high, _)| high - low > 1e-3).collect();
    if off.is_empty() {
        return vec![before(was, was.bottom, was.top)];
    }
    let over = sheet.printed(CUT);
    let mut marks = Vec::new();
    for (low, high, cut) in off {
        let radius = was.rings().filter_map(|r| r.cut(low, high)).map(|r| r.widest()).fold(0.0, f64::max);
        marks.push(before(was, low, high));
        // Clear of the cut, which is another stroke.
        let inward = sheet.printed(1.5).min((high - low) / 4.0);
        let strokes = Frame { left: -radius, right: radius, low: low + inward, high: high - inward };
        marks.push(struck_out(strokes));
        let line = Line::open(vec![pt(-radius - over, cut), pt(radius + over, cut)]);
        marks.push(Mark::path("cut-line", vec![line], Pen::Bold, Fill::None));
    }
    marks
}

/// Walls in section left of the axis, from outside right of it, in the line of what was before (ISO 128-2, 05.1).
fn before(was: &Solid, low: f64, high: f64) -> Mark {
    let rings = was.rings().filter_map(|r| r.cut(low, high));
    let lines = rings.flat_map(|r| {
        let section =
            [(r.bore[0], r.bottom), (r.outside[0], r.bottom), (r.outside[1], r.top), (r.bore[1], r.top)];
        let outside = [(0.0, r.bottom), (r.outside[0], r.bottom), (r.outside[1], r.top), (0.0, r.top)];
        [
            Line::closed(section.map(|(x, y)| pt(-x, y)).to_vec()),
            Line::open(outside.map(|(x, y)| pt(x, y)).to_vec()),
        ]
    });
    Mark::path("before", lines.collect(), Pen::Phantom, Fill::None)
}

/// The changed size on its own dimension line where it is a height and there is room, else under the figure.
fn size(input: &DrawInput, own: &Solid, right: f64, sheet: Sheet, frame: &mut Frame) -> Vec<Mark> {
    let text = input.words.changed_size;
    let Some((low, high)) = stretch(input, own)
        .filter(|(low, high)| !text.is_empty() && text_width(text) < (high - low) * sheet.scale - 2.0)
    else {
        return notes(&[text], sheet, frame);
    };
    let x = right + sheet.printed(CUT + DIMENSION);
    let beyond = |y: f64| Line::open(vec![pt(right + sheet.printed(1.0), y), pt(x + sheet.printed(1.0), y)]);
    let mut marks = vec![Mark::path("extension", vec![beyond(low), beyond(high)], Pen::Narrow, Fill::None)];
    marks.extend(between(pt(x, low), pt(x, high), sheet));
    marks.push(Mark::Text {
        class: "size",
        at: pt(x - sheet.printed(1.0), (low + high) / 2.0),
        height: sheet.printed(NOTE_HEIGHT),
        start: false,
        upright: true,
        text: text.to_string(),
    });
    frame.right = frame.right.max(x + sheet.printed(2.0));
    vec![Mark::Group { class: "height", facts: vec![("data-size", "changed".to_string())], marks }]
}

/// Between which heights the changed size stands.
fn stretch(input: &DrawInput, own: &Solid) -> Option<(f64, f64)> {
    let (variant, from) = variants(input, own)?;
    let old = |name: &str| from.shape.dims.iter().find(|d| d.name == name).map(|d| d.ends());
    let changed = variant.shape.dims.iter().position(|d| old(&d.name) != Some(d.ends()))?;
    let drawn = of_variant(input.catalogue.part(variant.part), &variant);
    let place = checkable(&variant.shape, &drawn).into_iter().find(|c| c.dim == changed)?.place;
    let Place::Between { low, high, .. } = place else { return None };
    Some(match input.stack.items[usize::from(own.item.0)].turned {
        false => (low + own.bottom - drawn.bottom, high + own.bottom - drawn.bottom),
        true => (own.top + drawn.bottom - high, own.top + drawn.bottom - low),
    })
}
