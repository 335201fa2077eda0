//! Every other part that would serve in a slot, all else as planned, and what would not. Must not know words.

use super::answer::{Alternative, Answer, Unfit, Verdict};
use super::bench::{Bench, Plan};
use super::either::comes_to_the_same;
use crate::assembly::{Check, Demand, ItemIx, Outcome, Pick, Placed, Stack, Support, alike_turned, assemble};
use crate::catalogue::{OnHand, VariantIx};
use crate::kinds::Known;
use crate::rules::SlotIx;
use serde::{Deserialize, Serialize};

pub(super) fn alternatives(plan: &Plan<'_>) -> Vec<Alternative> {
    let mut found = Vec::new();
    // Another length of the same cut is no other part.
    let changed = |v: VariantIx| plan.bench.catalogue.variant(v).changed.is_some();
    // What is cut is cut for what the rider brings: on another deck it may be scrap.
    let any_cut =
        plan.picks.iter().any(|pick| plan.setting.catalogue.variant(pick.variant).changed.is_some());
    for (index, candidates) in plan.field.slots.iter().enumerate().skip(1) {
        let slot = SlotIx(index as u16);
        if any_cut && plan.setting.rule.slot(slot).brought {
            continue;
        }
        let there: Vec<&Pick> = plan.picks.iter().filter(|p| p.slot == slot).collect();
        let [now] = there[..] else { continue };
        for &variant in candidates.iter().filter(|&&v| v != now.variant && !changed(v)) {
            found.extend(serves(plan, slot, variant));
        }
    }
    found
}

/// Every other part for a place that would not serve there, all else as planned, though it looks as if: what it fails, and by
/// the way up in which it fails least. Not of what the rider brings, nor of these parts that are told by themselves.
pub(super) fn unfit(plan: &Plan<'_>, serving: &[Alternative]) -> Vec<Unfit> {
    let serves = |slot: SlotIx, v: VariantIx| serving.iter().any(|a| (a.slot, a.variant) == (slot, v));
    let by_itself = |v: VariantIx| plan.bench.catalogue.part_of(v).is(Known::Bars);
    let changed = |v: VariantIx| plan.bench.catalogue.variant(v).changed.is_some();
    let mut found = Vec::new();
    for (index, candidates) in plan.field.slots.iter().enumerate().skip(1) {
        let slot = SlotIx(index as u16);
        let there: Vec<&Pick> = plan.picks.iter().filter(|p| p.slot == slot).collect();
        let ([now], false) = (&there[..], plan.setting.rule.slot(slot).brought) else { continue };
        let others = candidates.iter().filter(|&&v| v != now.variant && !serves(slot, v));
        for &variant in others.filter(|&&v| !by_itself(v) && !changed(v)) {
            let failing = fails(plan, slot, variant);
            let unfit = |(check, carried_by)| Unfit { slot, variant, check: Box::new(check), carried_by };
            found.extend(failing.map(unfit));
        }
    }
    found
}

fn fails(plan: &Plan<'_>, slot: SlotIx, variant: VariantIx) -> Option<(Check, Option<VariantIx>)> {
    let ways = plan.ways(slot, variant).into_iter();
    let failing = ways.filter_map(|pick| {
        let stack = plan.assembled(&plan.with_slot(slot, &[pick]))?;
        let failing = stack.checks.iter().filter(|c| c.outcome == Outcome::Fail).count();
        let told = of_its_own(&stack, slot)?;
        Some((failing, (told.clone(), carried_by(plan, &stack, told))))
    });
    failing.min_by_key(|(count, _)| *count).map(|(_, failing)| failing)
}

/// What of a stack fails of the part in that place itself, else the first that fails: it may only follow from it.
pub(super) fn of_its_own(stack: &Stack, slot: SlotIx) -> Option<&Check> {
    let failing = || stack.checks.iter().filter(|c| c.outcome == Outcome::Fail);
    let about = |check: &&Check| {
        check.about.iter().any(|item| stack.items.get(usize::from(item.0)).is_some_and(|p| p.slot == slot))
    };
    failing().find(about).or_else(|| failing().next())
}

/// Of a check about what carries a part, and how: what that is, one that may not carry it before all others.
pub(super) fn carried_by(plan: &Plan<'_>, stack: &Stack, check: &Check) -> Option<VariantIx> {
    if !matches!(check.demand, Demand::RestsOn(_) | Demand::Seat(_)) {
        return None;
    }
    let item = stack.items.get(usize::from(check.about.first()?.0))?;
    let on = |support: &Support| stack.items.get(usize::from(support.item.0));
    let may = |carrier: &&Placed| plan.setting.rule.slot(item.slot).rests_on.contains(&carrier.slot);
    let carriers = || item.rests_on.iter().filter_map(on);
    carriers().find(|carrier| !may(carrier)).or_else(|| carriers().next()).map(|carrier| carrier.variant)
}

fn serves(plan: &Plan<'_>, slot: SlotIx, variant: VariantIx) -> Option<Alternative> {
    let picks = plan.ways(slot, variant).into_iter().map(|pick| (pick, plan.with_slot(slot, &[pick])));
    let built: Vec<(Outcome, Pick, Stack)> = picks
        .filter(|(_, picks)| !plan.cannot_go(picks))
        .filter_map(|(pick, picks)| {
            let stack = plan.assembled(&picks)?;
            Some((plan.worst_either_way(&picks, slot, &stack)?, pick, stack))
        })
        .collect();
    let (outcome, pick, stack) = built.iter().min_by_key(|(outcome, ..)| *outcome)?;
    let alike = alike_turned(&plan.bench.catalogue.variant(variant).shape);
    let same = |(one, _, other): &(Outcome, Pick, Stack)| one == outcome && comes_to_the_same(stack, other);
    let either_way = alike || (built.len() == 2 && *outcome == Outcome::Pass && built.iter().all(same));
    let verdict = match outcome {
        Outcome::Pass => Verdict::Goes,
        Outcome::Measure => Verdict::Measure,
        Outcome::Fail => return None,
    };
    let part = plan.bench.catalogue.part_of(variant);
    Some(Alternative {
        slot,
        variant,
        turned: pick.turned,
        either_way,
        verdict,
        price: part.price,
        in_stock: part.on_hand != OnHand::Count(0),
        gap: gap(stack),
        depths: depths(plan.stack, stack),
        heights_hold: heights_hold(plan.stack, stack),
    })
}

/// In the order of the items, which are as many in both.
fn depths(planned: &Stack, other: &Stack) -> Vec<(ItemIx, (i64, i64))> {
    let in_plan = |item: ItemIx| planned.windows.iter().find(|w| w.item == item).and_then(|w| w.depth);
    let of = other.windows.iter().filter_map(|window| Some((window.item, window.depth?)));
    let differs = |&(item, (least, most)): &(ItemIx, (i64, i64))| {
        in_plan(item).is_none_or(|plan| plan.0 < least || most < plan.1)
    };
    of.filter(differs).collect()
}

/// Every other height that is chosen may be where it may in the plan, reckoned from where the part comes to lie: what the steps of
/// the plan say of it holds.
fn heights_hold(planned: &Stack, other: &Stack) -> bool {
    let landing = |stack: &Stack, item: ItemIx| {
        let placed = stack.items.get(usize::from(item.0))?;
        placed.landing.as_ref().map(|landing| landing.nominal)
    };
    let from_landing = |stack: &Stack, item: ItemIx| {
        let window = stack.windows.iter().find(|window| window.item == item)?;
        let lies = landing(stack, item)?;
        Some((window.lowest - lies, window.highest - lies))
    };
    planned.windows.iter().filter(|window| window.depth.is_none()).all(|window| {
        let (plan, now) = (from_landing(planned, window.item), from_landing(other, window.item));
        plan.zip(now).is_some_and(|(plan, now)| now.0 <= plan.0 && plan.1 <= now.1)
    })
}

impl Bench<'_> {
    /// What the steps of an answer say of depths and of other chosen heights holds for these picks, which are its own but for
    /// one part.
    pub fn steps_hold(&self, answer: &Answer, picks: &[Pick]) -> StepsHold {
        let other = assemble(self.setting(answer.system), picks);
        StepsHold {
            depths: depths(&answer.stack, &other).is_empty(),
            heights: heights_hold(&answer.stack, &other),
            gap: gap(&other) == gap(&answer.stack),
        }
    }
}

impl Bench<'_> {
    /// What the steps of this plan say of chosen heights, depths and the gap: the same for plans whose steps say the same of them.
    pub fn told_in_steps(&self, system: usize, picks: &[Pick]) -> Vec<(i64, i64)> {
        let stack = assemble(self.setting(system), picks);
        let windows = stack.windows.iter().map(|w| w.depth.unwrap_or((w.lowest, w.highest)));
        windows.chain(gap(&stack)).collect()
    }
}

/// By what the steps say.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct StepsHold {
    /// How deep parts are set into others.
    pub depths: bool,
    /// Where a part is set whose height is chosen.
    pub heights: bool,
    /// The closing gap.
    pub gap: bool,
}

impl StepsHold {
    pub fn all(self) -> bool {
        self.depths && self.heights && self.gap
    }
}

pub(super) fn worst(stack: &Stack) -> Outcome {
    stack.checks.iter().map(|c| c.outcome).max().unwrap_or(Outcome::Pass)
}

fn gap(stack: &Stack) -> Option<(i64, i64)> {
    let check = stack.checks.iter().find(|c| c.demand == Demand::GapLeast)?;
    check.value.as_ref().map(|v| (v.least, v.most))
}
