//! What a rider says of the scooter beyond the fork: more that is there, and what of it must be used.
//!
//! Must not know words.
//!
//! It pins the candidates of its places; `src/compile/own.rs` finds it in the book. The best plan on each deck
//! (`src/compile/decks.rs`) and with each set of bars (`src/compile/families.rs`) are asked for in the same way, and each
//! family of bars with a plan of its own is answered as whole as a guide. `tests/own.rs` holds it against books that have
//! nothing else, `tests/own_demo.rs` all that the demo book's pages say of decks and bars.

use super::bench::Bench;
use super::candidates::{Field, field_with};
use super::supply::Supplies;
use crate::assembly::Demand;
use crate::catalogue::{Catalogue, VariantIx};
use crate::rules::{Rule, SlotIx};

/// By default nothing is said: whatever is cheapest serves.
#[derive(Clone, Copy, Debug, Default)]
pub struct Rider<'a> {
    /// Owned besides the fork's own box: boxes unpacked.
    pub owns: &'a [(VariantIx, u32)],
    /// Of that, what must be used: each alone in every place that takes its kind.
    pub uses: &'a [VariantIx],
}

/// Places with what alone may stand there.
pub(super) type Places = Vec<(SlotIx, Vec<VariantIx>)>;

impl Bench<'_> {
    /// The places that these parts fill alone; `None` where one of them has no place in the system, or two the same.
    pub fn places(&self, system: usize, used: &[VariantIx]) -> Option<Places> {
        let kind = |v: VariantIx| self.catalogue.part_of(v).kind;
        let slots = self.rules[system].slots.iter().enumerate().filter(|(_, slot)| slot.least > 0);
        let filled = slots.filter_map(|(index, slot)| {
            let here: Vec<VariantIx> =
                used.iter().copied().filter(|&v| slot.kinds.contains(&kind(v))).collect();
            (!here.is_empty()).then_some((SlotIx(index as u16), here))
        });
        let filled: Places = filled.collect();
        let placed = |v: &VariantIx| filled.iter().any(|(_, here)| here.contains(v));
        let alone = filled.iter().all(|(_, here)| here.len() == 1);
        (alone && used.iter().all(placed)).then_some(filled)
    }

    /// Candidates for an answer: what must be used stands alone in its places.
    pub(super) fn field(
        &self,
        rule: &Rule,
        supplies: &Supplies<'_>,
        fork: VariantIx,
        waived: &[Demand],
    ) -> Field {
        self.field_with(rule, supplies, fork, waived, Vec::new())
    }

    /// The same with these in some places and nothing else there.
    pub(super) fn field_with(
        &self,
        rule: &Rule,
        supplies: &Supplies<'_>,
        fork: VariantIx,
        waived: &[Demand],
        instead: Places,
    ) -> Field {
        let instead = self.rider.pinned(self.catalogue, rule, instead);
        field_with((rule, self.readies), supplies, fork, waived, &instead)
    }
}

impl Rider<'_> {
    /// What must be used, in all places that are not filled otherwise.
    pub(super) fn pinned(self, catalogue: &Catalogue, rule: &Rule, mut instead: Places) -> Places {
        for &part in self.uses {
            let kind = catalogue.part_of(part).kind;
            let takes = rule.slots.iter().enumerate().filter(|(_, s)| s.least > 0 && s.kinds.contains(&kind));
            for slot in takes.map(|(index, _)| SlotIx(index as u16)) {
                if !instead.iter().any(|(other, _)| *other == slot) {
                    instead.push((slot, vec![part]));
                }
            }
        }
        instead
    }
}
