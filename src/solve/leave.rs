//! What is taken from which box, and what stays in it and why: every why is computed by trying it.
//!
//! Must not know words.

use super::answer::{Article, Leave, WhyLeft};
use super::bench::Plan;
use super::supply::Counts;
use crate::assembly::{Outcome, assemble};
use crate::catalogue::{BoxIx, PartIx};
use crate::rules::SlotIx;

/// Which owned box each used part is taken from.
pub(super) fn taken(plan: &Plan<'_>, needed: &Counts) -> Vec<(PartIx, BoxIx)> {
    let mut found = Vec::new();
    for &part in needed.keys() {
        let holds = |b: &&BoxIx| plan.bench.catalogue.the_box(**b).holds.iter().any(|h| h.0 == part);
        if let Some(&from) = plan.supplies.owned_boxes.iter().find(holds) {
            found.push((part, from));
        }
    }
    found
}

/// What stays in the owned and the bought boxes.
pub(super) fn left(plan: &Plan<'_>, needed: &Counts, bought: &[(Article, u32)]) -> Vec<Leave> {
    let mut wanted = needed.clone();
    let bought_boxes = bought.iter().filter_map(|(article, count)| match article {
        Article::Box(b) => Some((*b, *count)),
        Article::Part(_) => None,
    });
    let boxes = plan.supplies.owned_boxes.iter().map(|&b| (b, 1)).chain(bought_boxes);
    let mut found = Vec::new();
    for (of, boxes) in boxes {
        for &(part, each) in &plan.bench.catalogue.the_box(of).holds {
            let there = each * boxes;
            let used = wanted.get(&part).copied().unwrap_or(0).min(there);
            if let Some(left) = wanted.get_mut(&part) {
                *left -= used;
            }
            if there > used {
                let why = if used > 0 { WhyLeft::Spare } else { why(plan, part) };
                found.push(Leave { part, of, count: there - used, why });
            }
        }
    }
    found
}

fn why(plan: &Plan<'_>, part: PartIx) -> WhyLeft {
    let kind = plan.bench.catalogue.part(part).kind;
    let takes = |slot: &usize| plan.setting.rule.slots[*slot].kinds.contains(&kind);
    let mut reasons =
        (0..plan.setting.rule.slots.len()).filter(takes).map(|s| why_not_here(plan, SlotIx(s as u16), part));
    let Some(first) = reasons.next() else { return WhyLeft::NoPlace };
    // Of several slots, the one where it would do says most.
    let would_do = |why: &WhyLeft| !matches!(why, WhyLeft::WouldFail(..));
    if would_do(&first) {
        return first;
    }
    reasons.find(would_do).unwrap_or(first)
}

fn why_not_here(plan: &Plan<'_>, slot: SlotIx, part: PartIx) -> WhyLeft {
    let there = plan.picks.iter().find(|p| p.slot == slot);
    let mut failing = None;
    for &variant in &plan.bench.catalogue.part(part).variants {
        for pick in plan.ways(slot, variant) {
            let stack = assemble(plan.setting, &plan.with_slot(slot, &[pick]));
            match stack.checks.into_iter().find(|c| c.outcome == Outcome::Fail) {
                None => {
                    return match there {
                        Some(pick) => {
                            WhyLeft::SlotFilled(slot, plan.bench.catalogue.variant(pick.variant).part)
                        }
                        None => WhyLeft::NotNeeded(slot),
                    };
                }
                Some(check) if failing.is_none() => failing = Some(check),
                Some(_) => {}
            }
        }
    }
    match (failing, there) {
        (Some(check), _) => WhyLeft::WouldFail(slot, Box::new(check)),
        (None, Some(pick)) => WhyLeft::SlotFilled(slot, plan.bench.catalogue.variant(pick.variant).part),
        (None, None) => WhyLeft::NoPlace,
    }
}
