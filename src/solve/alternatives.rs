//! Every other part that would serve in a slot, all else as planned. Must not know words.

use super::answer::{Alternative, Verdict};
use super::bench::Plan;
use super::either::comes_to_the_same;
use crate::assembly::{Demand, ItemIx, Outcome, Pick, Stack, alike_turned};
use crate::catalogue::{OnHand, VariantIx};
use crate::rules::SlotIx;

pub(super) fn alternatives(plan: &Plan<'_>) -> Vec<Alternative> {
    let mut found = Vec::new();
    // Another length of the same cut is no other part.
    let changed = |v: VariantIx| plan.bench.catalogue.variant(v).changed.is_some();
    for (index, candidates) in plan.field.slots.iter().enumerate().skip(1) {
        let slot = SlotIx(index as u16);
        let there: Vec<&Pick> = plan.picks.iter().filter(|p| p.slot == slot).collect();
        let [now] = there[..] else { continue };
        for &variant in candidates.iter().filter(|&&v| v != now.variant && !changed(v)) {
            found.extend(serves(plan, slot, variant));
        }
    }
    found
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

pub(super) fn worst(stack: &Stack) -> Outcome {
    stack.checks.iter().map(|c| c.outcome).max().unwrap_or(Outcome::Pass)
}

fn gap(stack: &Stack) -> Option<(i64, i64)> {
    let check = stack.checks.iter().find(|c| c.demand == Demand::GapLeast)?;
    check.value.as_ref().map(|v| (v.least, v.most))
}
