//! A small picture of the whole front of a scooter, seen from the front, with a frame about the place that a larger picture
//! shows. The scooter is a sign: wheel, crown, head tube, clamp and crossbar as they follow each other, not to scale.
//! Must not know what is done at that place.

use super::DrawInput;
use super::piece::window;
use super::solid::{Solid, solids};
use super::symbols::{FRONT, FrontHeights};
use super::write::{element, number, push};
use crate::assembly::ItemIx;
use crate::kinds::Known;

/// The sign and, right of it, room for the pointer.
const WIDE: f64 = 30.0;
const HIGH: f64 = 52.0;
/// Half the width of the frame: about a part, about the fork's legs, about the crossbar. The axis is at 12.
const AXIS: f64 = 12.0;
const HALF: f64 = 5.5;
const LEGS: f64 = 7.0;
const CROSSBAR: f64 = 11.5;
/// A frame lower than this would look like a line.
const LEAST: f64 = 5.0;

/// Of one item, else of all that the section shows. `upside_down`: as the scooter stands on its bars.
pub(super) fn svg(input: &DrawInput, item: Option<ItemIx>, upside_down: bool) -> Option<String> {
    let all = solids(input);
    let heights = heights(&all)?;
    let (top, bottom, half) = match item {
        Some(item) => of_part(&all, &heights, all.iter().find(|s| s.item == item)?),
        None => {
            let shown = window(&all);
            (on_sign(&heights, shown.high), on_sign(&heights, shown.low), LEGS)
        }
    };
    let short = (LEAST - (bottom - top)).max(0.0) / 2.0;
    let (top, bottom) = ((top - short).max(0.7), (bottom + short).min(HIGH - 0.7));
    let (x, y, wide, high) = (AXIS - half, top, 2.0 * half, bottom - top);
    let view = format!("0 0 {} {}", number(WIDE), number(HIGH));
    let mut root =
        element("svg", &[("class", "where"), ("viewBox", &view), ("fill", "none"), ("aria-hidden", "true")]);
    let mut group = element("g", &[]);
    if upside_down {
        let over = format!("rotate(180 {} {})", number(AXIS), number(HIGH / 2.0));
        group = element("g", &[("transform", &over)]);
    }
    push(&mut group, element("use", &[("href", "#sign-front")]));
    let frame = element(
        "rect",
        &[
            ("class", "here"),
            ("x", &number(x)),
            ("y", &number(y)),
            ("width", &number(wide)),
            ("height", &number(high)),
            ("fill", "none"),
            ("stroke", "#000"),
            ("stroke-width", "1.8"),
        ],
    );
    push(&mut group, frame);
    push(&mut root, group);
    let middle = if upside_down { HIGH - (top + bottom) / 2.0 } else { (top + bottom) / 2.0 };
    let tip = number(AXIS + half + 1.6);
    let pointer = format!("M{tip} {}l5-3.2v6.4Z", number(middle));
    push(&mut root, element("path", &[("class", "here-pointer"), ("d", &pointer), ("fill", "#000")]));
    Some(root.to_string())
}

fn of_part(all: &[Solid], heights: &[(f64, f64)], own: &Solid) -> (f64, f64, f64) {
    let (top, bottom) = (on_sign(heights, own.top), on_sign(heights, own.bottom));
    let highest = all.iter().map(|s| s.top).fold(f64::MIN, f64::max);
    match own.item {
        ItemIx(0) => (top, FRONT.wheel, LEGS),
        _ if own.top >= highest => (FRONT.crossbar, bottom, CROSSBAR),
        _ => (top, bottom, HALF),
    }
}

/// Real heights and where the sign has them, from below up. Nothing without a head tube.
fn heights(all: &[Solid]) -> Option<Vec<(f64, f64)>> {
    let tube = all.iter().find(|s| s.is(Known::Deck))?;
    let low = all.iter().map(|s| s.bottom).fold(tube.bottom, f64::min);
    let high = all.iter().map(|s| s.top).fold(tube.top, f64::max);
    let FrontHeights { wheel, crown, tube: [foot, head], clamp: [under, over], crossbar } = FRONT;
    let clamp = all.iter().find(|s| s.is(Known::Clamp)).filter(|c| c.bottom >= tube.top && c.top < high);
    let mut found = vec![(low.min(-1.0), wheel), (0.0, crown), (tube.bottom, foot), (tube.top, head)];
    found.extend(clamp.into_iter().flat_map(|c| [(c.bottom, under), (c.top, over)]));
    found.push((high, crossbar));
    Some(found)
}

/// Between two known heights in proportion.
fn on_sign(heights: &[(f64, f64)], real: f64) -> f64 {
    let next = heights.windows(2).find(|pair| real <= pair[1].0).or_else(|| heights.windows(2).last());
    next.map_or(0.0, |pair| {
        let long = pair[1].0 - pair[0].0;
        let share = if long > 0.0 { ((real - pair[0].0) / long).clamp(0.0, 1.0) } else { 1.0 };
        pair[0].1 + (pair[1].1 - pair[0].1) * share
    })
}
