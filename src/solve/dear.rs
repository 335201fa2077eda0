//! When a plan that begins like this is no better than the best known: dearer, or as dear and after it by its parts.
//!
//! Must not know where parts go.

use super::search::Rank;
use super::walk::Walk;
use crate::assembly::{Outcome, Pick};
use std::cmp::Ordering;

impl Walk<'_> {
    /// No plan that begins like this can be better than the best known.
    pub(super) fn too_dear(&mut self, outcome: Outcome) -> bool {
        if self.purse.cost().is_none() {
            return true;
        }
        let Some(best) = self.found.best.as_ref() else { return false };
        let next = self.picks.last().map_or(0, |p| p.slot.0 as usize + 1);
        let rank = (best.outcome, best.cost, best.parts);
        let later = later_by_parts(&self.picks, &best.picks);
        let choice = self.narrowed.last().map(|n| n.choice).unwrap_or_default();
        let Some(cost) = self.purse.least(next, choice) else { return true };
        match (outcome, cost, self.picks.len() + self.still(next)).cmp(&rank) {
            Ordering::Less => false,
            Ordering::Equal => later,
            Ordering::Greater => true,
        }
    }

    /// Parts that the slots from `next` on must have at least.
    fn still(&self, next: usize) -> usize {
        self.least.iter().skip(next).map(|&least| usize::from(least)).sum()
    }

    /// What has been picked, as a plan; `None` where something cannot be bought.
    pub(super) fn rank(&self, outcome: Outcome) -> Option<Rank> {
        let cost = self.purse.cost()?;
        Some(Rank { outcome, cost, parts: self.picks.len(), picks: self.picks.clone() })
    }
}

/// Whatever comes after these picks, the plan stands after the other in the order of parts.
fn later_by_parts(picks: &[Pick], plan: &[Pick]) -> bool {
    picks > &plan[..picks.len().min(plan.len())]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::VariantIx;
    use crate::rules::SlotIx;

    #[test]
    fn a_plan_that_begins_with_a_later_part_or_with_none_stands_after() {
        let picks = |all: &[(u16, u32)]| -> Vec<Pick> {
            let pick =
                |&(slot, v): &(u16, u32)| Pick { slot: SlotIx(slot), variant: VariantIx(v), turned: false };
            all.iter().map(pick).collect()
        };
        let plan = picks(&[(0, 1), (1, 4), (2, 5)]);
        assert!(later_by_parts(&picks(&[(0, 1), (1, 6)]), &plan));
        assert!(later_by_parts(&picks(&[(0, 1), (2, 5)]), &plan));
        // What begins the same may still turn out either way.
        assert!(!later_by_parts(&picks(&[(0, 1), (1, 4)]), &plan));
        assert!(!later_by_parts(&picks(&[(0, 1), (1, 3)]), &plan));
    }
}
