//! A search that does not soon come to its end, in parts: each with one candidate alone in the slots on which the price hangs
//! most, the cheapest part first.
//!
//! With those fixed, what does not go with them falls out of the other slots, and what a part must cost at least is known well:
//! parts that cost more than a plan that is known are not searched. Must not know what the slots are.

use super::purse::{Choice, Purse};
use super::rounds::nearer;
use super::search::{Found, Ground, Rank, Want};
use super::supply::Cost;
use crate::assembly::{Build, Slots, bit, worst};
use crate::catalogue::VariantIx;
use crate::rules::SlotIx;

/// Items looked at in one piece, where nothing else is said; most searches need no more.
pub const IN_ONE: u64 = 400;

/// Slots that are fixed one after the other.
const DEPTH: usize = 2;

/// So great a part of what a search may cost is spent on striking out before it.
const BEFORE: u64 = 8;

impl Ground<'_> {
    /// As [`Ground::search`], and with the same plan found where both come to their end.
    pub(super) fn search_in_parts(&self, want: Want, known: Option<Rank>) -> Found {
        let whole = self.search(Want { limit: want.limit.min(self.in_one), ..want }, known.clone());
        if !whole.unfinished || want.limit <= self.in_one {
            return whole;
        }
        // What was not judged may not go.
        let sure = |best: &Rank| whole.judged || known.as_ref() == Some(best) || self.is_as_told(best);
        let best = whole.best.clone().filter(sure).or_else(|| known.clone());
        let mut found = Found { best, ..whole };
        let want = Want { quick: false, aside: true, ..want };
        if found.best.is_none() {
            self.first_plan(want, &mut found);
        }
        if found.best.is_some() {
            found.unfinished = false;
            self.each_part(DEPTH, want, &mut found);
        }
        Found { judged: true, ..found }
    }

    /// Some plan, as the first bound; where there is none, nothing goes. First every candidate is struck out with which
    /// nothing goes however high the pile stands.
    fn first_plan(&self, want: Want, found: &mut Found) {
        let Some(possible) = self.possible(want, found) else {
            found.unfinished = false;
            return;
        };
        let first = possible.search(Want { first: true, ..want }, None);
        let put_on = found.put_on + first.put_on;
        *found = Found { put_on, ..nearer(first, found.nearest.take()) };
    }

    /// Of the slots on which the price hangs most only what is still possible; `None` where nothing is.
    fn possible(&self, want: Want, found: &mut Found) -> Option<Ground<'_>> {
        let mut possible = self.only(|_| {})?;
        let mut looked: Slots = 0;
        let most = found.put_on + want.limit / BEFORE;
        for _ in 0..DEPTH {
            let Some(slot) = possible.dearest_choice(looked) else { break };
            looked |= bit(SlotIx(slot as u16));
            let mut left = possible.field.slots[slot].clone();
            left.retain(|&variant| {
                if found.put_on >= most {
                    return true;
                }
                let Some(part) = possible.part(slot, variant) else { return false };
                let aside = part.aside(want);
                found.put_on += aside.put_on;
                !aside.nothing
            });
            possible = possible.only(|field| field.slots[slot] = left)?;
        }
        Some(possible)
    }

    /// Judged in full it comes to what it was found to.
    pub(super) fn is_as_told(&self, plan: &Rank) -> bool {
        worst(&Build::of(self.setting, &plan.picks)) == plan.outcome
    }

    fn each_part(&self, depth: usize, want: Want, found: &mut Found) {
        let Some(slot) = self.dearest_choice(0).filter(|_| depth > 0) else {
            let left = want.limit.saturating_sub(found.put_on);
            if left == 0 {
                found.unfinished = true;
                return;
            }
            let part = self.search(Want { limit: left, ..want }, found.best.take());
            let put_on = found.put_on + part.put_on;
            let unfinished = found.unfinished || part.unfinished;
            *found = Found { put_on, unfinished, ..nearer(part, found.nearest.take()) };
            return;
        };
        let parts = self.field.slots[slot].iter().filter_map(|&variant| {
            let part = self.part(slot, variant)?;
            Some((part.costs_at_least()?, part))
        });
        let mut parts: Vec<(Cost, Ground<'_>)> = parts.collect();
        parts.sort_by_key(|part| part.0);
        for (least, part) in parts {
            let better = |best: &Rank| best.outcome > want.at_best || least <= best.cost;
            if found.best.as_ref().is_none_or(better) {
                part.each_part(depth - 1, want, found);
            }
        }
    }

    /// `None`: something of it cannot be bought.
    fn costs_at_least(&self) -> Option<Cost> {
        let least = (self.setting.rule, self.least.as_slice());
        Purse::new(least, (self.supplies, &self.sources), &self.field, self.any).least(0, Choice::default())
    }

    /// Of the slots that hold one thing that is bought, the one whose candidates differ most in what they cost.
    fn dearest_choice(&self, but: Slots) -> Option<usize> {
        let spread = |slot: usize| {
            let its = &self.setting.rule.slots[slot];
            let prices = self.field.slots[slot].iter().map(|&v| self.by_itself(v));
            let (least, most) = (prices.clone().min()?, prices.max()?);
            let single = its.most == 1 && its.least == 1 && !its.brought;
            let several = self.field.slots[slot].len() > 1 && but >> slot & 1 == 0;
            (single && several).then_some((most - least, slot))
        };
        (1..self.field.slots.len()).filter_map(spread).max().map(|widest| widest.1)
    }

    /// What it costs to have it and nothing else, in smallest coins; without a price nothing.
    fn by_itself(&self, variant: VariantIx) -> i64 {
        let source = &self.sources[variant.0 as usize];
        if source.owned {
            return 0;
        }
        let boxes = source.boxes.iter().filter_map(|&b| self.supplies.catalogue.the_box(b).price);
        let loose = source.loose.map(|cost| cost.minor);
        boxes.map(|price| price.as_minor()).chain(loose).min().unwrap_or(0)
    }
}
