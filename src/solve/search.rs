//! Complete search, slot by slot in drop order, for the best plan.
//!
//! Best means, in this order: goes before measure first, least to spend, fewest parts, part ids. A branch is cut
//! only when something certain already fails in it, or when it is already worse than the best plan known; so the
//! plan found is the best there is. A search that came to its limit says so. Must not know words.

use super::candidates::Field;
use super::seen::Seen;
use super::supply::{Cost, Counts, Supplies};
use crate::assembly::{Build, Outcome, Pick, Setting, early, judge, outlook};
use crate::catalogue::VariantIx;
use crate::rules::{Rule, SlotIx};
use std::collections::HashMap;

/// What is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Want {
    /// Worst outcome that will do.
    pub at_worst: Outcome,
    /// Any plan serves: stop at the first.
    pub any: bool,
    /// Items put on before giving up.
    pub limit: u64,
    /// Most items beyond what the slots must have.
    pub extras: usize,
}

/// A plan and how good it is. Ordered: smaller is better.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Rank {
    pub outcome: Outcome,
    pub cost: Cost,
    pub parts: usize,
    pub picks: Vec<Pick>,
}

/// How near a failing stack came.
#[derive(Clone, Debug, PartialEq)]
pub struct Near {
    /// Slots that were dealt with, then fewer failing checks.
    pub reached: (usize, i64),
    pub picks: Vec<Pick>,
}

#[derive(Clone, Debug, Default)]
pub struct Found {
    pub best: Option<Rank>,
    pub nearest: Option<Near>,
    pub put_on: u64,
    pub unfinished: bool,
    /// With more extra items allowed there would have been more to try.
    pub held_back: bool,
}

/// Searches all choices of parts, ways up and counts.
///
/// `known`: a plan that is to be beaten; it comes back as the best when nothing better is found.
pub fn search(
    setting: Setting<'_>,
    supplies: &Supplies<'_>,
    field: &Field,
    want: Want,
    known: Option<Rank>,
) -> Found {
    let field = &field.for_search(setting.rule, supplies, want.any);
    let empty = |(index, slot): (usize, &crate::rules::Slot)| slot.least > 0 && field.slots[index].is_empty();
    let mut walk = Walk {
        rule: setting.rule,
        supplies,
        field,
        want,
        build: Build::new(setting),
        picks: Vec::new(),
        needed: Counts::new(),
        costs: HashMap::new(),
        rest: least_rest(setting.rule, supplies, field),
        seen: Seen::default(),
        tell_from: first_after_path(setting.rule),
        held_back: false,
        found: Found { best: known, ..Found::default() },
    };
    if setting.rule.slots.iter().enumerate().any(empty) {
        return walk.found;
    }
    walk.slot(0, 0, Outcome::Pass);
    walk.found.held_back = walk.held_back;
    walk.found
}

struct Walk<'a> {
    rule: &'a Rule,
    supplies: &'a Supplies<'a>,
    field: &'a Field,
    want: Want,
    build: Build<'a>,
    picks: Vec<Pick>,
    needed: Counts,
    costs: HashMap<Vec<(u32, u32)>, Option<Cost>>,
    /// Least money that the slots from this one on will still add.
    rest: Vec<i64>,
    seen: Seen,
    /// First slot at which piles are compared: the headset is done.
    tell_from: usize,
    /// More items might have been put on than `extras` allows.
    held_back: bool,
    found: Found,
}

/// The slot after the last one of the load path's own.
fn first_after_path(rule: &Rule) -> usize {
    rule.path.iter().map(|s| s.slot.0 as usize + 1).max().unwrap_or(1)
}

/// For each slot, what it and all later ones must add at least: parts that come in no box and must be there.
fn least_rest(rule: &Rule, supplies: &Supplies<'_>, field: &Field) -> Vec<i64> {
    let mut rest = vec![0; rule.slots.len() + 1];
    for index in (0..rule.slots.len()).rev() {
        let slot = &rule.slots[index];
        let least = field.slots[index].iter().map(|&v| supplies.least_added(v).minor).min().unwrap_or(0);
        let adds = if slot.brought || slot.least == 0 { 0 } else { least * i64::from(slot.least) };
        rest[index] = rest[index + 1] + adds;
    }
    rest
}

impl Walk<'_> {
    fn done(&self) -> bool {
        self.found.unfinished || (self.want.any && self.found.best.is_some())
    }

    /// Fills slot `index`, which already has `count` items.
    fn slot(&mut self, index: usize, count: u8, outcome: Outcome) {
        if self.done() {
            return;
        }
        if index == self.rule.slots.len() {
            return self.complete();
        }
        if count == 0
            && index >= self.tell_from
            && index + 1 < self.rule.slots.len()
            && self.followed(index, outcome)
        {
            return;
        }
        let slot = &self.rule.slots[index];
        if count >= slot.least {
            self.slot(index + 1, 0, outcome);
        }
        if count >= slot.most {
            return;
        }
        let only_owned = count >= slot.least && self.extras() >= self.want.extras;
        let before = self.picks.last().copied().filter(|_| count > 0);
        for &variant in &self.field.slots[index] {
            if only_owned && !self.supplies.owns(variant) {
                self.held_back = true;
                continue;
            }
            // Two rings that differ in nothing but length may change places: one order is enough.
            if before.is_some_and(|b| variant < b.variant && self.interchangeable(b.variant, variant)) {
                continue;
            }
            for turned in [false, true] {
                let allowed = if turned { slot.turned } else { slot.as_drawn };
                let same = turned && slot.as_drawn && self.alike_turned(variant);
                if allowed && !same {
                    self.try_pick(Pick { slot: SlotIx(index as u16), variant, turned }, count, outcome);
                }
                if self.done() {
                    return;
                }
            }
        }
    }

    /// This pile was followed before, no dearer.
    fn followed(&mut self, index: usize, outcome: Outcome) -> bool {
        let Some(cost) = self.cost() else { return false };
        let Some(outlook) = outlook(&self.build, SlotIx(index as u16)) else { return false };
        self.seen.before(outlook, &self.needed, self.supplies, (outcome, cost), &self.picks)
    }

    /// Items beyond what the slots so far must have, those not counted that the rider has anyway.
    fn extras(&self) -> usize {
        let rule = self.rule;
        let bought = |pick: &&Pick| !self.supplies.owns(pick.variant);
        let of_run = |run: &[Pick]| {
            let beyond = run.len().saturating_sub(rule.slot(run[0].slot).least as usize);
            run.iter().filter(bought).count().min(beyond)
        };
        self.picks.chunk_by(|a, b| a.slot == b.slot).map(of_run).sum()
    }

    fn interchangeable(&self, a: VariantIx, b: VariantIx) -> bool {
        let catalogue = self.supplies.catalogue;
        catalogue.variant(a).shape.plain_ring_like(&catalogue.variant(b).shape)
    }

    fn alike_turned(&self, variant: VariantIx) -> bool {
        crate::assembly::alike_turned(&self.supplies.catalogue.variant(variant).shape)
    }

    fn try_pick(&mut self, pick: Pick, count: u8, outcome: Outcome) {
        if self.found.put_on >= self.want.limit {
            self.found.unfinished = true;
            return;
        }
        let brought = self.rule.slot(pick.slot).brought;
        let part = self.supplies.catalogue.variant(pick.variant).part;
        if !brought {
            *self.needed.entry(part).or_insert(0) += 1;
        }
        self.picks.push(pick);
        if self.may_beat(outcome) {
            self.found.put_on += 1;
            let known = self.build.put_on(pick);
            let last = crate::assembly::ItemIx(self.picks.len() as u16 - 1);
            let now = outcome.max(early(&self.build, last, &known));
            if now <= self.want.at_worst && self.may_beat(now) {
                self.slot(pick.slot.0 as usize, count + 1, now);
            } else if now == Outcome::Fail {
                self.note_near(pick.slot.0 as usize, i64::MIN);
            }
            self.build.take_off();
        }
        self.picks.pop();
        if !brought && let Some(left) = self.needed.get_mut(&part) {
            *left -= 1;
            if *left == 0 {
                self.needed.remove(&part);
            }
        }
    }

    /// Could a plan that begins like this still be better than the best known?
    fn may_beat(&mut self, outcome: Outcome) -> bool {
        let Some(cost) = self.cost() else { return false };
        let Some(best) = &self.found.best else { return true };
        let next = self.picks.last().map_or(0, |p| p.slot.0 as usize + 1);
        let cost = Cost { minor: cost.minor + self.rest[next.min(self.rest.len() - 1)], ..cost };
        let still = self.rule.slots.iter().skip(next).map(|s| usize::from(s.least)).sum::<usize>();
        (outcome, cost, self.picks.len() + still) <= (best.outcome, best.cost, best.parts)
    }

    fn cost(&mut self) -> Option<Cost> {
        if self.want.any {
            return Some(Cost::default());
        }
        let key: Vec<(u32, u32)> =
            self.supplies.missing(&self.needed).iter().map(|(p, c)| (p.0, *c)).collect();
        if let Some(&cost) = self.costs.get(&key) {
            return cost;
        }
        let cost = self.supplies.cheapest(&self.needed).map(|(cost, _)| cost);
        self.costs.insert(key, cost);
        cost
    }

    fn complete(&mut self) {
        let judgement = self.build.judged(judge);
        let outcome = judgement.worst();
        if outcome > self.want.at_worst {
            if outcome == Outcome::Fail {
                let fails = judgement.checks.iter().filter(|c| c.3.outcome == Outcome::Fail).count() as i64;
                self.note_near(self.rule.slots.len(), -fails);
            }
            return;
        }
        let Some(cost) = self.cost() else { return };
        let rank = Rank { outcome, cost, parts: self.picks.len(), picks: self.picks.clone() };
        if self.found.best.as_ref().is_none_or(|best| rank < *best) {
            self.found.best = Some(rank);
        }
    }

    fn note_near(&mut self, slots: usize, fails: i64) {
        let reached = (slots, fails);
        if self.found.nearest.as_ref().is_none_or(|near| reached > near.reached) {
            self.found.nearest = Some(Near { reached, picks: self.picks.clone() });
        }
    }
}
