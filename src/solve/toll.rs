//! What a part, and what all that must still come, adds to a plan at least: money and number of parts as one number, so
//! that both can be added up along a pile.
//!
//! Must not know where parts go.

use super::candidates::Field;
use super::supply::{Cost, Source};
use crate::assembly::Tolls;
use crate::catalogue::{Catalogue, VariantIx};
use crate::rules::Rule;

const PARTS: u32 = 8;
const MINOR: u32 = 44;
/// Each of the three stays within its digits, however many are added up.
const MOST_MINOR: i64 = 1 << 38;
const MOST_UNPRICED: u32 = 64;

pub struct Rates {
    /// What each candidate adds beyond what its slot does anyway.
    pub tolls: Tolls,
    /// What the slots from each one on add at least, whatever comes.
    from: Vec<u64>,
}

impl Rates {
    /// `least`: by slot, how many items there must be. `sources`: of all parts of the book. `free`: nothing costs anything.
    pub fn of(
        (rule, least): (&Rule, &[u8]),
        (catalogue, sources): (&Catalogue, &[Source]),
        field: &Field,
        free: bool,
    ) -> Rates {
        let (mut tolls, mut from) = (Tolls::new(), vec![0; field.slots.len() + 1]);
        for (index, slot) in field.slots.iter().enumerate() {
            let its = &rule.slots[index];
            // Only what is sold by itself and nowhere else is surely paid for itself.
            let toll = |v: &VariantIx| {
                let alone = sources[catalogue.variant(*v).part.0 as usize].alone();
                number(alone.filter(|_| !its.brought).unwrap_or_default(), 1).unwrap_or(0)
            };
            let mut of_slot: Vec<u64> =
                if free { vec![0; slot.len()] } else { slot.iter().map(toll).collect() };
            if least[index] > 0 && its.most == 1 {
                let anyway = of_slot.iter().copied().min().unwrap_or(0);
                of_slot.iter_mut().for_each(|toll| *toll -= anyway);
                from[index] = anyway;
            }
            tolls.push(of_slot);
        }
        for index in (0..field.slots.len()).rev() {
            from[index] += from[index + 1];
        }
        Rates { tolls, from }
    }

    /// What the slots from this one on add at least.
    pub fn from(&self, slot: usize) -> u64 {
        self.from[slot]
    }
}

/// So ordered are costs, then counts of parts. `None`: too large to be counted so.
pub fn number(cost: Cost, parts: usize) -> Option<u64> {
    let within = (0..MOST_MINOR).contains(&cost.minor) && cost.unpriced < MOST_UNPRICED && parts < 64;
    within.then(|| u64::from(cost.unpriced) << (PARTS + MINOR) | (cost.minor as u64) << PARTS | parts as u64)
}

/// It costs more, whatever the parts.
pub fn is_dearer(one: u64, other: u64) -> bool {
    one >> PARTS > other >> PARTS
}
