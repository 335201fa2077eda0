//! Beside a step: the part seen along the axis, its cut turned away from the cuts of others, and struck out, in line with
//! them. Must not know the view from the side.

use super::DrawInput;
use super::along_axis::{Across, across, bolt, cut_height, outlines, threads};
use super::figure::pen;
use super::hatch::Hatch;
use super::piece::Look;
use super::scene::{Fill, Frame, Mark, Pen, Sheet, pt};
use super::signs::{WRONG, struck_out};
use super::solid::{Slit, Solid};
use crate::assembly::ItemIx;
use crate::rules::SlotIx;

/// To where the cuts of others look, and the part's own.
const REAR: f64 = -90.0;
const FRONT: f64 = 90.0;
/// Beside the view from the side, and between the two, paper millimetres.
const BESIDE: f64 = 5.0;
const APART: f64 = 5.0;

/// Rings about one axis, from the outside in.
pub(super) struct CutWays {
    now: Across,
    /// What is there already, and whose cut the part's own must not meet.
    others: Vec<Across>,
    hatch: Hatch,
}

impl CutWays {
    fn radius(&self) -> f64 {
        self.others.iter().chain([&self.now]).map(Across::widest).fold(0.0, f64::max)
    }

    /// Room for both, millimetres of the part; on paper [`CutWays::besides`] comes to it.
    pub fn room(&self) -> (f64, f64) {
        (2.0 * self.radius(), 2.0 * (1.0 + WRONG) * self.radius())
    }

    pub fn besides() -> (f64, f64) {
        (BESIDE + 1.0, APART + 2.0)
    }

    /// Right of the frame, which grows to hold both; the upper one begins at `top`.
    pub fn marks(&self, top: f64, sheet: Sheet, frame: &mut Frame) -> Vec<Mark> {
        let radius = self.radius();
        let x = frame.right + sheet.printed(BESIDE) + radius;
        let upper = top - radius;
        let lower = upper - radius - sheet.printed(APART) - WRONG * radius;
        let right = Mark::Group { class: "cut-ways", facts: Vec::new(), marks: self.rings(FRONT, sheet) };
        let mut wrong = self.rings(REAR, sheet);
        wrong.push(struck_out(Frame { left: -radius, right: radius, low: -radius, high: radius }));
        let wrong = Mark::Group { class: "wrong-way", facts: Vec::new(), marks: wrong };
        frame.right = x + radius;
        frame.low = frame.low.min(lower - WRONG * radius);
        vec![right.placed(1.0, x, upper), wrong.placed(WRONG, x, lower)]
    }

    fn rings(&self, heading: f64, sheet: Sheet) -> Vec<Mark> {
        let mut marks: Vec<Mark> =
            self.others.iter().flat_map(|ring| drawn(ring, REAR, Look::Faint, sheet)).collect();
        let own = outlines(&self.now, heading);
        let hatched = Mark::Hatched { class: "hatch rising", outlines: own, hatch: self.hatch };
        let mut now = drawn(&self.now, heading, Look::Now, sheet);
        now.insert(1, hatched);
        marks.push(Mark::Group { class: "part now", facts: Vec::new(), marks: now });
        marks.push(centre(self.radius()));
        marks
    }
}

/// A ring with its bolt; what is there already has no face, for nothing lies under it.
fn drawn(ring: &Across, heading: f64, look: Look, sheet: Sheet) -> Vec<Mark> {
    let fill = if look == Look::Faint { Fill::None } else { Fill::Paper };
    let round = |radius| Mark::Circle { class: "edge", centre: pt(0.0, 0.0), radius, pen: pen(look), fill };
    let mut marks = match ring.half > 0.0 {
        true => vec![Mark::path("edge", outlines(ring, heading), pen(look), fill)],
        false => [ring.outside, ring.bore].into_iter().filter(|&r| r > 0.0).map(round).collect(),
    };
    marks.push(Mark::path("edge", bolt(ring, heading), pen(look), fill));
    marks.push(Mark::path("thread", threads(ring, sheet), Pen::Narrow, Fill::None));
    marks
}

/// The two axes of what is round.
fn centre(radius: f64) -> Mark {
    let over = 0.25 * radius;
    let line = |a, b| super::scene::Line::open(vec![a, b]);
    let lines = vec![line(pt(-over, 0.0), pt(over, 0.0)), line(pt(0.0, -over), pt(0.0, over))];
    Mark::path("axis", lines, Pen::Narrow, Fill::None)
}

/// `None` where the part has no cut, or none of the others that are there has.
pub(super) fn cut_ways(
    input: &DrawInput,
    now: &Solid,
    away_from: &[SlotIx],
    there: &[&Solid],
    hatch: Hatch,
) -> Option<CutWays> {
    let slot_of = |item: ItemIx| input.stack.items.get(usize::from(item.0)).map(|placed| placed.slot);
    let named = |s: &Solid| slot_of(s.item).is_some_and(|slot| away_from.contains(&slot));
    let own = now.slits.first()?;
    let others: Vec<&Slit> = there.iter().filter(|s| named(s)).filter_map(|s| s.slits.first()).collect();
    if others.is_empty() {
        return None;
    }
    let cuts: Vec<&Slit> = std::iter::once(own).chain(others).collect();
    let height = cut_height(&cuts)?;
    // One that is cut elsewhere is shown where it is.
    let ring = |solid: &Solid, at: Option<&Slit>| {
        let cut = at.filter(|s| height < s.bottom || height > s.top);
        across(solid, cut.map_or(height, |s| (s.bottom + s.top) / 2.0))
    };
    // What is screwed together in the middle has no part in it.
    let others = there.iter().filter(|s| s.item != now.item && !s.whole()).filter_map(|s| {
        let at = if named(s) { s.slits.first() } else { None };
        ring(s, at)
    });
    Some(CutWays { others: others.collect(), now: ring(now, Some(own))?, hatch })
}
