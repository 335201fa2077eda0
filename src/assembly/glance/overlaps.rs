//! Parts too short to overlap as far as they must, wherever they stand.
//!
//! Must not know where anything stands.

use super::Glance;
use super::figure::{BUILDS, ROUNDING};
use super::outline::Outline;
use super::reach::{Reach, VIEWS};
use super::ready::NameIx;
use crate::assembly::report::Demand;
use crate::rules::SlotIx;

/// A wall of a slot's parts, whether it is a bore, and how long it must be at least.
type Long = (NameIx, bool, i64);

impl Glance<'_> {
    /// Leaves those out of what comes above, view by view.
    pub(super) fn leave_out_short(&self, outline: &mut Outline) {
        let one = |slot: &u16| self.setting.rule.slots[*slot as usize].most == 1;
        for slot in (1..=self.setting.rule.pulled.0).filter(one) {
            let long = self.must_be_long(SlotIx(slot), outline);
            let candidates = outline.slots[slot as usize].all.iter().zip(&mut outline.rooms[slot as usize]);
            for (candidate, room) in candidates.filter(|_| !long.is_empty()) {
                for &(surface, bore, least) in &long {
                    let Some(walls) = candidate.ready.walls(surface, bore) else { continue };
                    let length = Reach::of(walls.span.top.minus(walls.span.bottom), [true; BUILDS]);
                    let short =
                        |view: usize| length.high[view] < least - if view == 0 { 0 } else { ROUNDING };
                    (0..VIEWS).filter(|&view| short(view)).for_each(|view| room.leave_out(view));
                }
            }
        }
    }

    /// By sleeves that are surely there with a part in the slot: over the fork, or in what must come.
    fn must_be_long(&self, slot: SlotIx, outline: &Outline) -> Vec<Long> {
        let mut long = Vec::new();
        for (index, sleeve) in self.lists.sleeves.iter().enumerate() {
            let asked = self.setting.asks(Demand::SleeveOverlap(index as u16));
            let Some(least) = sleeve.overlap_least.filter(|_| asked) else { continue };
            let (outer, first) = (sleeve.outer, sleeve.inner.first());
            let on_fork =
                |at: &super::rule::At| at.0.0 == 0 && self.items[0].ready.walls(at.1, false).is_some();
            if outer.0 == slot && sleeve.inner.iter().any(on_fork) {
                long.push((outer.1, true, least));
            }
            let comes = self.setting.rule.slot(outer.0).least > 0
                && outline.slots[outer.0.0 as usize]
                    .all
                    .iter()
                    .all(|c| c.ready.walls(outer.1, true).is_some());
            if let Some(inner) = first.filter(|inner| inner.0 == slot && comes) {
                long.push((inner.1, false, least));
            }
        }
        long
    }
}
