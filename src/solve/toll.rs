//! What a part, and what all that must still come, adds to a plan at least: money and number of parts as one number, so
//! that both can be added up along a pile.
//!
//! Must not know where parts go.

use super::candidates::Field;
use super::supply::{Cost, Source};
use crate::assembly::Tolls;
use crate::catalogue::VariantIx;
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
    /// `least`: by slot, how many items there must be. `sources`: by variant. `free`: nothing costs anything.
    pub fn of((rule, least): (&Rule, &[u8]), sources: &[Source], field: &Field, free: bool) -> Rates {
        let (mut tolls, mut from) = (Tolls::new(), vec![0; field.slots.len() + 1]);
        for (index, slot) in field.slots.iter().enumerate() {
            let its = &rule.slots[index];
            // Only what is sold by itself and nowhere else is surely paid for itself.
            let toll = |v: &VariantIx| {
                let alone = sources[v.0 as usize].alone();
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

#[cfg(test)]
mod tests {
    use super::*;

    fn of(unpriced: u32, minor: i64, parts: usize) -> u64 {
        number(Cost { unpriced, minor }, parts).expect("small enough")
    }

    #[test]
    fn numbers_are_ordered_as_plans_are_and_add_up() {
        let plans = [(0, 0, 9), (0, 100, 3), (0, 100, 4), (0, 1_000_000, 1), (1, 0, 1), (2, 5, 0)];
        assert!(plans.windows(2).all(|w| of(w[0].0, w[0].1, w[0].2) < of(w[1].0, w[1].1, w[1].2)));
        assert_eq!(of(1, 250, 1) + of(0, 1_750, 2), of(1, 2_000, 3));
        assert!(is_dearer(of(0, 101, 1), of(0, 100, 9)) && !is_dearer(of(0, 100, 9), of(0, 100, 1)));
    }

    #[test]
    fn what_is_too_large_to_be_counted_is_not() {
        assert_eq!(number(Cost { unpriced: 0, minor: i64::MAX }, 1), None);
        assert_eq!(number(Cost { unpriced: 0, minor: -1 }, 1), None);
    }
}
