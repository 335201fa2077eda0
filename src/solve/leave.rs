//! What is taken from which box, and what stays in it and why: every why is computed by trying it.
//!
//! Must not know words.

use super::alternatives::{carried_by, of_its_own};
use super::answer::{Article, Leave, WhyLeft};
use super::bench::Plan;
use super::supply::Counts;
use crate::catalogue::{BoxIx, PartIx, VariantIx};
use crate::rules::SlotIx;

/// Which owned box each used part is taken from.
pub(super) fn taken(plan: &Plan<'_>, needed: &Counts) -> Vec<(VariantIx, BoxIx)> {
    let Some(&own) = plan.supplies.owned_boxes.first() else { return Vec::new() };
    // What the rider has besides is in no box, unless there is one in the box as well.
    let besides = |v: &VariantIx| -> u32 {
        plan.bench.rider.owns.iter().filter(|owned| owned.0 == *v).map(|owned| owned.1).sum()
    };
    let in_box = |v: &&VariantIx| plan.supplies.owned.get(v).is_some_and(|&have| have > besides(v));
    needed.keys().filter(in_box).map(|&v| (v, own)).collect()
}

/// What stays in the owned and the bought boxes.
pub(super) fn left(plan: &Plan<'_>, needed: &Counts, bought: &[(Article, u32)]) -> Vec<Leave> {
    let mut wanted = needed.clone();
    let bought_boxes = bought.iter().filter_map(|(article, count)| match article {
        Article::Box(b) => Some((*b, *count)),
        Article::Part(_) => None,
    });
    let boxes = plan.supplies.owned_boxes.iter().map(|&b| (b, 1)).chain(bought_boxes);
    let catalogue = plan.bench.catalogue;
    let mut found = Vec::new();
    for (nth, (of, boxes)) in boxes.enumerate() {
        let own = nth < plan.supplies.owned_boxes.len();
        for held in &catalogue.the_box(of).holds {
            let may_be = catalogue.may_be(held);
            let known = known(plan, (own, of, boxes), &may_be);
            let count = held.count.saturating_mul(boxes);
            let mut unknown = count;
            for (variant, there) in known {
                unknown = unknown.saturating_sub(there);
                let used = wanted.get(&variant).copied().unwrap_or(0).min(there);
                if let Some(left) = wanted.get_mut(&variant) {
                    *left -= used;
                }
                if there > used {
                    let why = if used > 0 { WhyLeft::Spare } else { why(plan, held.part, &[variant]) };
                    let revision = Some(variant).filter(|_| catalogue.part(held.part).variants.len() > 1);
                    found.push(Leave { part: held.part, revision, of, count: there - used, why });
                }
            }
            if unknown > 0 {
                let why = why(plan, held.part, &may_be);
                found.push(Leave { part: held.part, revision: None, of, count: unknown, why });
            }
        }
    }
    found
}

/// Which of these are in the boxes, and how many, as far as it is known.
fn known(
    plan: &Plan<'_>,
    (own, of, boxes): (bool, BoxIx, u32),
    may_be: &[VariantIx],
) -> Vec<(VariantIx, u32)> {
    let one_of = |v: &VariantIx| may_be.contains(v);
    if own {
        return plan
            .supplies
            .owned
            .iter()
            .filter(|(v, _)| one_of(v))
            .map(|(&v, &count)| (v, count))
            .collect();
    }
    let mut found = Counts::new();
    for nth in 0..boxes {
        for &(variant, count) in plan.supplies.brings(of, nth > 0).iter().filter(|p| one_of(&p.0)) {
            *found.entry(variant).or_insert(0) += count;
        }
    }
    found.into_iter().collect()
}

fn why(plan: &Plan<'_>, part: PartIx, may_be: &[VariantIx]) -> WhyLeft {
    let kind = plan.bench.catalogue.part(part).kind;
    let takes = |slot: &usize| plan.setting.rule.slots[*slot].kinds.contains(&kind);
    let mut reasons = (0..plan.setting.rule.slots.len())
        .filter(takes)
        .map(|s| why_not_here(plan, SlotIx(s as u16), may_be));
    let Some(first) = reasons.next() else { return WhyLeft::NoPlace };
    // Of several slots, the one where it would do says most.
    let would_do = |why: &WhyLeft| !matches!(why, WhyLeft::WouldFail(..));
    if would_do(&first) {
        return first;
    }
    reasons.find(would_do).unwrap_or(first)
}

fn why_not_here(plan: &Plan<'_>, slot: SlotIx, may_be: &[VariantIx]) -> WhyLeft {
    let there = plan.picks.iter().find(|p| p.slot == slot);
    let mut failing = None;
    for &variant in may_be {
        for pick in plan.ways(slot, variant) {
            let Some(stack) = plan.assembled(&plan.with_slot(slot, &[pick])) else { continue };
            match of_its_own(&stack, slot) {
                None => {
                    return match there {
                        Some(pick) => {
                            WhyLeft::SlotFilled(slot, plan.bench.catalogue.variant(pick.variant).part)
                        }
                        None => WhyLeft::NotNeeded(slot),
                    };
                }
                Some(check) if failing.is_none() => {
                    failing = Some((check.clone(), carried_by(plan, &stack, check)));
                }
                Some(_) => {}
            }
        }
    }
    match (failing, there) {
        (Some((check, carried_by)), _) => WhyLeft::WouldFail(slot, Box::new(check), carried_by),
        (None, Some(pick)) => WhyLeft::SlotFilled(slot, plan.bench.catalogue.variant(pick.variant).part),
        (None, None) => WhyLeft::NoPlace,
    }
}
