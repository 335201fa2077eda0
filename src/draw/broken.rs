//! The section with a stretch of the head tube taken out, in which nothing begins or ends: what is left is drawn larger.
//! Knows heights only. Must not know lines or paper.

use super::assembled::NEAR;
use super::detail::{Spot, Way};
use super::hatch;
use super::piece::{Look, Piece, Window, piece};
use super::scene::Mark;
use super::solid::{Ring, Solid};
use crate::kinds::Known;

/// What stays of the stretch at its foot, where the head tube has its dimension, and at its top; what is left between
/// the two break lines; less than this is not worth them. Millimetres of the real part.
const FOOT: f64 = 30.0;
const TOP: f64 = 7.0;
const BETWEEN: f64 = 4.0;
const LEAST: f64 = 20.0;
/// A place nearer the break lines than this would be lost in them.
const CLEAR: f64 = 3.0;
const SAME: f64 = 1e-4;

/// The stretch that is taken out, in true heights.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Break {
    low: f64,
    high: f64,
}

impl Break {
    /// By how much what stands under it comes up.
    fn less(&self) -> f64 {
        self.high - self.low - BETWEEN
    }

    /// Where a true height is drawn.
    fn drawn(&self, height: f64) -> f64 {
        let inside = (height.min(self.high) - self.low).max(0.0);
        let under = height.min(self.low) + self.less();
        under + inside * BETWEEN / (self.high - self.low) + (height - self.high).max(0.0)
    }

    /// The part as drawn: what runs through is shorter.
    pub fn shortened(&self, solid: &Solid) -> Solid {
        let mut shorter = solid.clone();
        let go = |height: &mut f64| *height = self.drawn(*height);
        for ring in shorter.columns.iter_mut().flat_map(|c| &mut c.rings) {
            go(&mut ring.bottom);
            go(&mut ring.top);
        }
        for slit in &mut shorter.slits {
            go(&mut slit.bottom);
            go(&mut slit.top);
        }
        shorter.pinches.iter_mut().for_each(go);
        go(&mut shorter.bottom);
        go(&mut shorter.top);
        shorter
    }

    /// What is seen of shortened parts: under the break, over it.
    pub fn pieces(&self, shorter: &[Solid], window: Window) -> Vec<Piece> {
        let under = Window { high: window.high.min(self.high - BETWEEN), ..window };
        let over = Window { low: window.low.max(self.high), ..window };
        let both = shorter.iter().zip(hatch::choose(shorter, NEAR)).flat_map(|(solid, hatch)| {
            let seen = |window: Window| piece(solid, window, 0.0, Look::Full, hatch);
            [seen(under).map(|piece| Piece { lift: self.less(), ..piece }), seen(over)]
        });
        both.flatten().collect()
    }

    /// What is told of the whole parts is told of the shortened ones, and nothing of it lies in the break.
    pub fn keeps(&self, told: &[Spot], shown: &[Spot]) -> bool {
        let same = |(a, b): (&Spot, &Spot)| a.what == b.what && (a.size - b.size).abs() < SAME;
        let half = |spot: &Spot| if spot.way == Way::Upright { spot.size / 2.0 } else { 0.0 };
        let lost = |s: &Spot| self.hides(s.focus.y - half(s), s.focus.y + half(s));
        told.len() == shown.len() && told.iter().zip(shown).all(same) && !shown.iter().any(lost)
    }

    /// None of these lies in the break.
    pub fn clear_of(&self, marks: &[Mark]) -> bool {
        !marks.iter().flat_map(Mark::heights).any(|(low, high)| self.hides(low, high))
    }

    fn hides(&self, low: f64, high: f64) -> bool {
        low < self.high + CLEAR && high > self.high - BETWEEN - CLEAR
    }
}

/// Nothing where the head tube is short, or everywhere something of it.
pub(super) fn in_head_tube(solids: &[Solid]) -> Option<Break> {
    let tube = solids.iter().find(|s| s.is(Known::Deck))?;
    let of_slits = |s: &Solid| s.slits.iter().flat_map(|s| [s.bottom, s.top]).collect::<Vec<_>>();
    let ends = solids.iter().flat_map(|s| {
        let rings = s.rings().flat_map(|r| [r.bottom, r.top]);
        let all = rings.chain(s.pinches.iter().copied()).chain(of_slits(s)).chain([s.bottom, s.top]);
        all.collect::<Vec<_>>()
    });
    let mut ends: Vec<f64> = ends.map(|h| h.clamp(tube.bottom, tube.top)).collect();
    ends.sort_by(f64::total_cmp);
    let tapers = |low: f64, high: f64| {
        let through = solids.iter().flat_map(Solid::rings).filter_map(|r| r.cut(low, high));
        through.into_iter().any(|r| !straight(&r))
    };
    let plain = ends.windows(2).map(|pair| (pair[0], pair[1])).filter(|&(low, high)| !tapers(low, high));
    let (low, high) = plain.max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))?;
    let found = Break { low: low + FOOT, high: high - TOP };
    (found.high - found.low > LEAST).then_some(found)
}

fn straight(ring: &Ring) -> bool {
    let same = |ends: [f64; 2]| (ends[0] - ends[1]).abs() < SAME;
    same(ring.bore) && same(ring.outside)
}
