//! What a rule leaves unsaid: no check is lost by silence. Looks at rules in which nothing else is wrong.
//!
//! Every wall that is asked for is spoken of or declared free ([`Said`]), every entry that carries a check is there or
//! says "none", every slot has a step, the push has a whole path, bars are held. Which walls are asked for stands in the
//! table of kinds. Must not know any particular part or kind.
//!
//! Leaving an entry out never takes a check along without a message. `tests/left_out.rs` takes every entry out of every rule
//! file of the demo book.
//!
//! | what | is told, unless |
//! |---|---|
//! | a wall marked `Fit` in `src/kinds/asked.rs` | a sleeve, press or thread names it, or `[[free]]` with `surface` (one or a list) and `why`. A size or a grip says nothing of a fit |
//! | a sleeve whose `inner` can all be absent (an optional slot, a surface that only some parts have) | its `or_none` says why nothing need be there |
//! | a sleeve that names one reach of a rod (`Reach`: a steerer's reduced top and thread, a bolt's shank) and not the others | the other reach is free, or the bore is free `over = ["SLOT.SURFACE"]` |
//! | a bore marked `Grip`; a slot of a kind that is `held` (bars) | a grip is by it, has it among its layers; or `[[free]]` with `surface`, with `grip = "SLOT"` |
//! | a slot between two layers of a grip, or inside one; the `least` of the outermost and the innermost layer that is always there | it is a layer; `least = "none"` |
//! | a slot of a kind that may have a `slit` | `[[slit]]`, or `[[free]]` with `slit = "SLOT"` |
//! | a surface marked `Size` | a `[[size]]` names it, or the root's `any_size = ["SLOT.SURFACE", …]` |
//! | a kind with columns that stand `still` | the slot's `still` has them |
//! | a sleeve's `overlap`, a thread's `spare`, a slit rule's `bare`, the most of a hosted slot's `depth` | it says `"none"` |
//! | the `by_hand` of what is set into a host at a depth | |
//! | a slot's `rests_on` | `["*"]`: any part may carry it |
//! | a step for each slot (one that closes a grip puts nothing on; `when` may not leave a case out), `closes` for each grip, `reach` of a step with a slot | |
//! | the path: begins with what turns, is reached from the pulled part by `rests_on`, goes on to all that a step of it rests on, ends in the fork; `enters` and `leaves` where only some columns stand still | |
//!
//! A `[[free]]` or a name in `any_size` that says nothing is an error, too. A part drawn ring by ring needs all marked walls
//! that its kind always has (`src/kinds/stood_for.rs`). What may be left out without a message asks for less of nothing:
//! `count`, `way`, `brought`, `springs`, `bridged_by`, `unbridged`, `may_touch`, one of several `kinds` or `rests_on`, a
//! `[[change]]`. A `stand_out` is a wish of the rule alone: nothing can miss it.

mod entries;
mod held;
mod path;
mod said;
mod step;
mod wall;

pub use entries::says_none;
pub use said::{Said, read};

use super::lists::Gathered;
use super::{Slot, SlotIx, Step, SurfaceRef};
use crate::base::{Problems, Table};
use crate::kinds::{self, Kind};

/// A rule as far as it has been read.
pub struct Whole<'a, 'd, 't> {
    /// The headset's file, then the system's.
    pub tables: &'a [Table<'d, 't>],
    pub slots: &'a [Slot],
    pub lists: &'a Gathered,
    pub steps: &'a [Step],
    pub pulled: SlotIx,
    pub said: &'a Said,
}

impl Whole<'_, '_, '_> {
    fn slot(&self, ix: SlotIx) -> &Slot {
        &self.slots[ix.0 as usize]
    }

    fn all(&self) -> impl Iterator<Item = (SlotIx, &Slot)> {
        self.slots.iter().enumerate().map(|(index, slot)| (SlotIx(index as u16), slot))
    }

    /// As the author writes it.
    fn told(&self, surface: &SurfaceRef) -> String {
        format!("{}.{}", self.slot(surface.slot).name, surface.surface)
    }

    fn name(&self, ix: SlotIx) -> &str {
        &self.slot(ix).name
    }
}

fn kinds_of(slot: &Slot) -> impl Iterator<Item = &'static Kind> {
    slot.kinds.iter().filter_map(|name| kinds::find(name)).filter(|kind| !kind.surfaces.is_empty())
}

/// Tells every entry that is missing.
pub fn check(whole: &Whole<'_, '_, '_>, problems: &mut Problems) {
    entries::check(whole, problems);
    wall::check(whole, problems);
    held::check(whole, problems);
    path::check(whole, problems);
    step::check(whole, problems);
    said::idle(whole, problems);
}

#[cfg(test)]
mod tests;
