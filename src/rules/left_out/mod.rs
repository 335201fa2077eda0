//! What a rule leaves unsaid: no check is lost by silence. Looks at rules in which nothing else is wrong.
//!
//! Every wall that is asked for is spoken of or declared free ([`Said`]), every entry that carries a check is there or
//! says "none", every slot has a step, the push has a whole path, bars are held. Which walls are asked for stands in the
//! table of kinds. Must not know any particular part or kind.

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
