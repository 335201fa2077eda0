//! Where a closing gap is measured, in the picture of the step that tells it: how far the steerer stands out of what the
//! part comes to rest on, and how deep the part reaches over it; or, where it reaches over nothing, the gap alone.
//! Must not know how large that has to be.

use super::dimension::between;
use super::piece::{Piece, Window};
use super::scene::{Fill, Frame, Line, Mark, Pen, Sheet, pt};
use super::solid::Solid;
use crate::assembly::ItemIx;
use crate::rules::Step;

/// The place in a step's sentence that is filled in with the gap.
const TOLD: &str = "{gap}";
/// From the figure to the first dimension line, and on to the second, where they would meet. Paper millimetres.
const ASIDE: f64 = 3.0;
const NEXT: f64 = 3.5;
/// Faces closer than this leave nothing to measure. Millimetres.
const NONE: f64 = 0.05;

/// Lower and upper end of what is measured, and the radius at which each has its face.
struct Length {
    ends: [f64; 2],
    faces: [f64; 2],
}

pub(super) fn marks(
    told: &Step,
    new: &Piece,
    placed: &[Solid],
    (shown, own): (Window, Frame),
    sheet: Sheet,
    frame: &mut Frame,
) -> Vec<Mark> {
    let steerer = placed.iter().find(|s| s.item == ItemIx(0));
    let Some(steerer) = steerer.filter(|_| told.say.contains(TOLD) && !told.upside_down) else {
        return Vec::new();
    };
    let lengths: Vec<Length> = lengths(new, steerer).into_iter().filter(|l| l.ends[1] < shown.high).collect();
    let mut x = own.left - sheet.printed(ASIDE);
    let mut marks = Vec::new();
    for (index, length) in lengths.iter().enumerate() {
        let [low, high] = length.ends;
        let reach = sheet.printed(4.0);
        if lengths[..index].iter().any(|l| l.ends[0] - reach < high && low - reach < l.ends[1]) {
            x -= sheet.printed(NEXT);
        }
        let extension = |end: usize| {
            let from = pt(-length.faces[end], length.ends[end]);
            Line::open(vec![from, pt(x - sheet.printed(1.0), length.ends[end])])
        };
        marks.push(Mark::path("extension", vec![extension(0), extension(1)], Pen::Narrow, Fill::None));
        marks.extend(between(pt(x, low), pt(x, high), sheet));
        frame.left = frame.left.min(x - sheet.printed(2.0));
        frame.low = frame.low.min(low - reach);
        frame.high = frame.high.max(high + reach);
    }
    let facts = vec![("data-size", "measured".to_string())];
    if marks.is_empty() { marks } else { vec![Mark::Group { class: "measured", facts, marks }] }
}

fn lengths(new: &Piece, steerer: &Solid) -> Vec<Length> {
    let rests = new.solid.bottom - new.lift;
    let top = steerer.rings().max_by(|a, b| a.top.total_cmp(&b.top));
    let Some(top) = top else { return Vec::new() };
    let (edge, wide) = (top.outside_at(top.top), new.solid.widest());
    let out = |low: f64, high: f64, faces: [f64; 2]| Length { ends: [low, high], faces };
    // From here on the part cannot pass the steerer.
    let stops = new.solid.rings().filter(|r| r.narrowest() < edge - NONE).map(|r| r.bottom);
    let depth = stops.fold(f64::MAX, f64::min) - new.solid.bottom;
    let stands_out = top.top - rests;
    if depth > NONE && depth < f64::MAX && stands_out > NONE {
        let bottom = new.solid.bottom;
        return vec![out(rests, top.top, [edge, edge]), out(bottom, bottom + depth, [wide, wide])];
    }
    if stands_out < -NONE { vec![out(top.top, rests, [edge, edge])] } else { Vec::new() }
}
