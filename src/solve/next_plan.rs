//! When a reading says no: the one change of parts with which it goes for certain, given that reading.
//!
//! What was read is true of the same parts in the changed stack, so it is assembled with that known. Must not know words.

use super::alternatives::worst;
use super::answer::Next;
use super::bench::Plan;
use super::supply::Cost;
use crate::assembly::{ItemDim, Outcome, Pick, Stack, assemble_knowing};
use crate::quantity::{Form, Length, ONE};
use crate::rules::SlotIx;

/// Stacks tried for one zone: enough for every part of a book of usual size, each way up.
const MOST_TRIED: usize = 200;

/// The cheapest, then the fewest parts, then the first by part.
type Rank = (Cost, usize, Vec<Pick>);

/// `within`: what the reading lets be true of `read`, a form over the dimensions of the plan's stack.
pub(super) fn next_plan(plan: &Plan<'_>, read: &Form, within: (Option<i64>, Option<i64>)) -> Option<Next> {
    let mut best: Option<(Rank, Next)> = None;
    for (slot, picks) in changes(plan).into_iter().take(MOST_TRIED) {
        let changed = plan.with_slot(slot, &picks);
        let bought: Vec<Pick> =
            changed.iter().filter(|p| !plan.setting.rule.slot(p.slot).brought).copied().collect();
        let Some((cost, _)) = plan.supplies.cheapest(&plan.bench.needed_of(&bought)) else { continue };
        let rank = (cost, changed.len(), changed.clone());
        if best.as_ref().is_some_and(|(least, _)| *least <= rank) {
            continue;
        }
        if plan.cannot_go(&changed) {
            continue;
        }
        let Some(stack) = plan.assembled(&changed) else { break };
        if stack.merged || worst(&stack) == Outcome::Fail {
            continue;
        }
        let Some(known) = known(plan.stack, &stack, slot, read, within) else { continue };
        if worst(&assemble_knowing(plan.setting, &changed, &known)) == Outcome::Pass {
            let out = plan.picks.iter().filter(|p| p.slot == slot).map(|p| p.variant).collect();
            best = Some((rank, Next { slot, out, put: picks.iter().map(|p| p.variant).collect() }));
        }
    }
    best.map(|(_, next)| next)
}

/// Another part in one slot, one more in a slot that takes several, or one less.
fn changes(plan: &Plan<'_>) -> Vec<(SlotIx, Vec<Pick>)> {
    let mut found = Vec::new();
    for (index, candidates) in plan.field.slots.iter().enumerate().skip(1) {
        let slot = SlotIx(index as u16);
        let rule = plan.setting.rule.slot(slot);
        if rule.brought {
            continue;
        }
        let there: Vec<Pick> = plan.picks.iter().filter(|p| p.slot == slot).copied().collect();
        for pick in candidates.iter().flat_map(|&variant| plan.ways(slot, variant)) {
            if let Some((last, rest)) = there.split_last()
                && last.variant != pick.variant
            {
                found.push((slot, rest.iter().copied().chain([pick]).collect()));
            }
            if there.len() < rule.most as usize {
                found.push((slot, there.iter().copied().chain([pick]).collect()));
            }
        }
        if there.len() > rule.least as usize {
            found.push((slot, there[1..].to_vec()));
        }
    }
    found
}

/// What the reading says, over the dimensions of the changed stack: forms that are not negative. `None` when none of
/// what was read is still there.
fn known(
    before: &Stack,
    after: &Stack,
    changed: SlotIx,
    read: &Form,
    within: (Option<i64>, Option<i64>),
) -> Option<Vec<Form>> {
    let mut shared = Form::constant(Length::nm(read.constant));
    // What was read of the parts that are gone may be anything within their tolerances.
    let (mut least, mut most) = (-read.slack, read.slack);
    for &(dim, k) in &read.terms {
        let named = &before.dims[dim as usize];
        match same_dim(before, after, changed, named) {
            Some(same) => shared = shared.plus_times(&Form::dimension(same), k),
            None => {
                let gone = Form::dimension(0).times(k);
                least += gone.least(&[named.ends]);
                most += gone.most(&[named.ends]);
            }
        }
    }
    if shared.is_constant() {
        return None;
    }
    let mut known = Vec::new();
    if let Some(from) = within.0 {
        known.push(shared.clone().plus_length(Length::nm(most - from)));
    }
    if let Some(to) = within.1 {
        known.push(shared.times(-ONE).plus_length(Length::nm(to - least)));
    }
    Some(known)
}

/// The same dimension of the same item, which is not in the slot that was changed.
fn same_dim(before: &Stack, after: &Stack, changed: SlotIx, named: &ItemDim) -> Option<u32> {
    let item = &before.items[named.item.0 as usize];
    if item.slot == changed {
        return None;
    }
    let place = before.items.iter().filter(|i| i.slot != changed).position(|i| i.name == item.name)?;
    let (_, there) = after.items.iter().enumerate().filter(|(_, i)| i.slot != changed).nth(place)?;
    let same = |d: &ItemDim| after.items[d.item.0 as usize].name == there.name && d.name == named.name;
    after.dims.iter().position(same).map(|at| at as u32)
}
