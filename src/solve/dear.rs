//! When a plan that begins like this is no better than the best known: dearer, or as dear and after it by its parts.
//!
//! Must not know where parts go.

use super::grounds::Grounds;
use super::purse::Choice;
use super::search::Rank;
use super::walk::Walk;
use crate::assembly::{Outcome, Pick, Slots, bit};
use crate::rules::SlotIx;
use std::cmp::Ordering;

impl Walk<'_> {
    /// The slots to blame when no plan that begins like this can be better than the best known.
    pub(super) fn too_dear(&mut self, outcome: Outcome) -> Option<Grounds> {
        if self.purse.cost().is_none() {
            return Some(Grounds::ALL);
        }
        let best = self.found.best.as_ref()?;
        let next = self.picks.last().map_or(0, |p| p.slot.0 as usize + 1);
        let rank = (best.outcome, best.cost, best.parts);
        let later = later_by_parts(&self.picks, &best.picks);
        let Some(cost) = self.purse.least(next, self.narrowest().0) else { return Some(Grounds::ALL) };
        match (outcome, cost, self.picks.len() + self.still(next)).cmp(&rank) {
            Ordering::Less => return None,
            Ordering::Equal if !later => return None,
            Ordering::Equal | Ordering::Greater => {}
        }
        let by_money = self.only_dearer(outcome, rank.0) && cost > rank.1 && !self.any;
        Some(if by_money { self.dear_grounds(self.narrowest().1) } else { Grounds::ALL })
    }

    /// The slots to blame when this candidate of the slot costs too much, and with it every one after it: they are sold by
    /// themselves only, the cheaper first.
    pub(super) fn dear_from(&mut self, index: usize, at: usize, outcome: Outcome) -> Option<Grounds> {
        let price = self.purse.sold_alone(index, at)?;
        let best = self.found.best.as_ref()?;
        let rank = (best.outcome, best.cost, best.parts);
        let first = Pick { slot: SlotIx(index as u16), variant: self.field.slots[index][at], turned: false };
        self.picks.push(first);
        let later = later_by_parts(&self.picks, &best.picks);
        self.picks.pop();
        let cost = self.purse.least(index + 1, self.narrowest().0)?.and(price);
        if self.only_dearer(outcome, rank.0) && cost > rank.1 {
            let own = Grounds { held: 0, paid: bit(SlotIx(index as u16)) };
            return Some(own | self.dear_grounds(self.narrowest().1));
        }
        // Those that cost the same come in order of their ids.
        let worse = (outcome, cost) > (rank.0, rank.1);
        let same = (outcome, cost, self.picks.len() + 1 + self.still(index + 1)) >= rank && later;
        (worse || same).then_some(Grounds::ALL)
    }

    /// What is still possible here, and the slots that it rests on.
    fn narrowest(&self) -> (Choice, Slots) {
        self.narrowed.last().map_or_else(Default::default, |n| (n.choice, n.narrowed.blame))
    }

    /// Parts that the slots from `next` on must have at least.
    fn still(&self, next: usize) -> usize {
        self.least.iter().skip(next).map(|&least| usize::from(least)).sum()
    }

    /// Only money makes a beginning that comes to this no better than the best plan: with other parts in its slots it could come to
    /// nothing better than that either.
    fn only_dearer(&self, outcome: Outcome, best: Outcome) -> bool {
        outcome <= best && best <= self.want.at_best
    }

    /// It rests on these, and on what has to be bought as far as that costs so much.
    fn dear_grounds(&self, held: Slots) -> Grounds {
        Grounds { held, paid: self.paid_slots() }
    }

    /// Slots with something in them that has to be bought.
    fn paid_slots(&self) -> Slots {
        let paid = |pick: &&Pick| !self.rule.slot(pick.slot).brought && self.purse.is_missing(pick.variant);
        self.picks.iter().filter(paid).fold(0, |all, pick| all | bit(pick.slot))
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
