//! What the picture of a no shows: the fork by itself where it alone is to blame, else a build in which as little fails as
//! may be beside what is told, and that by as little as was found. Must not know what is drawn.

use super::bench::{Plan, on_its_own};
use super::closer::closer;
use super::reason::{Reason, demands};
use super::search::{Want, any_plan};
use crate::assembly::{Check, Demand, ItemIx, Outcome, Pick, Placed, Setting, Stack, assemble, way_down};
use crate::catalogue::VariantIx;
use crate::rules::SlotIx;

/// Items looked at for one build to be shown.
const LIMIT: u64 = 20_000;

/// `None`: the attempt that the reason was found from. Figures of the reason are then those of the build that is shown.
pub(super) fn shown(plan: &Plan<'_>, fork: VariantIx, reason: &mut Reason) -> Option<Stack> {
    if let Some(own) = reason.facts.iter().find(|check| of_the_fork(check))
        && (own.value.is_none() || reason.facts.len() == 1)
    {
        let alone = assemble(plan.setting, &[on_its_own(fork)]);
        return Some(alone).filter(|stack| stack.checks.contains(own));
    }
    let stack = least_amiss(plan, fork, reason)?;
    for fact in &mut reason.facts {
        let its = |outcome: fn(Outcome) -> bool| {
            stack.checks.iter().find(|c| c.demand == fact.demand && outcome(c.outcome)).cloned()
        };
        let here = its(|o| o == Outcome::Fail).or_else(|| its(|o| o != Outcome::Fail));
        *fact = here.unwrap_or_else(|| fact.clone());
    }
    if !reason.smallest {
        // Nothing says that what holds here has to be among them.
        reason.facts.retain(|fact| fact.outcome == Outcome::Fail);
    }
    Some(stack)
}

/// A build in which one fact fails and nothing else, else all of them; else other lengths, too; else the attempt that the reason
/// was found from; else whatever is no diameter and no thread, so that no part of a wrong size is shown.
fn least_amiss(plan: &Plan<'_>, fork: VariantIx, reason: &Reason) -> Option<Stack> {
    let mut told: Vec<Demand> = reason.facts.iter().map(|check| check.demand).collect();
    told.sort_by_key(|demand| tells_least(*demand));
    let all = demands(plan.setting.rule);
    let mut groups: Vec<&[Demand]> = told.chunks(1).collect();
    groups.extend((told.len() > 1).then_some(&told[..]));
    let with = |group: &[Demand], fails: fn(Demand) -> bool| {
        let may = |demand: &Demand| group.contains(demand) || (fails(*demand) && !told.contains(demand));
        let waived: Vec<Demand> = all.iter().copied().filter(may).collect();
        build(plan, fork, group, &waived)
    };
    let alone = groups.iter().find_map(|group| with(group, |_| false));
    let found = alone.or_else(|| groups.iter().find_map(|group| with(group, is_of_length)));
    let attempt = || {
        let stack = carrying(plan, plan.picks).unwrap_or_else(|| plan.stack.clone());
        let fails = |c: &Check| told.contains(&c.demand) && c.outcome == Outcome::Fail;
        stack.checks.iter().any(fails).then_some(stack)
    };
    found.or_else(attempt).or_else(|| with(&told, |demand| !is_of_size(demand)))
}

/// What fails in a build with which nothing but lengths is amiss; `None` where there is none.
pub(super) fn by_lengths(plan: &Plan<'_>, fork: VariantIx) -> Option<Vec<Check>> {
    let mut lengths: Vec<Demand> =
        demands(plan.setting.rule).into_iter().filter(|demand| is_of_length(*demand)).collect();
    lengths.sort_by_key(|demand| tells_least(*demand));
    let stack = build(plan, fork, &lengths, &lengths)?;
    Some(stack.checks.into_iter().filter(|check| check.outcome == Outcome::Fail).collect())
}

/// What names the thing in the hand comes first, last what only comes of something else.
fn tells_least(demand: Demand) -> u8 {
    match demand {
        _ if is_of_size(demand) => 0,
        Demand::Height(_) => 1,
        Demand::SleeveOverlap(_) | Demand::GripLength(_) | Demand::StandsOut(_) | Demand::Insertion(_) => 2,
        _ if is_of_length(demand) => 3,
        Demand::Path | Demand::Lands(_) | Demand::RestsOn(_) | Demand::Seat(_) => 5,
        _ => 4,
    }
}

/// A build in which only these fail, and of those told the first by as little as was found.
fn build(plan: &Plan<'_>, fork: VariantIx, told: &[Demand], waived: &[Demand]) -> Option<Stack> {
    let setting = Setting { waived, ..plan.setting };
    let field = plan.bench.field(setting.rule, plan.supplies, fork, waived);
    let want = Want {
        at_worst: Outcome::Measure,
        at_best: Outcome::Pass,
        limit: LIMIT,
        quick: false,
        aside: true,
        first: false,
    };
    let found = any_plan((setting, plan.bench.readies), plan.supplies, &field, want, plan.bench.effort);
    let picks = found.best?.picks;
    let stack = assemble(plan.setting, &picks);
    let fails =
        |demand: &&Demand| stack.checks.iter().any(|c| c.demand == **demand && c.outcome == Outcome::Fail);
    let first = *told.iter().find(fails)?;
    let others: Vec<Demand> = waived.iter().copied().filter(|demand| *demand != first).collect();
    let asked = Setting { waived: &others, ..plan.setting };
    let nearer: Option<Vec<Pick>> = closer(plan, asked, &field, &picks, first).map(|found| found.1);
    let picks = nearer.unwrap_or(picks);
    Some(carrying(plan, &picks).unwrap_or_else(|| assemble(plan.setting, &picks)))
}

/// Where a part stops on the fork far above what should carry it: the same with something there that could. So it can be
/// told how far it is.
fn carrying(plan: &Plan<'_>, picks: &[Pick]) -> Option<Stack> {
    let (rule, stack) = (plan.setting.rule, assemble(plan.setting, picks));
    let on_fork = |item: &&Placed| item.rests_on.iter().any(|s| s.certain && s.item == ItemIx(0));
    let wrong = |item: &&Placed| {
        let may_on = &rule.slot(item.slot).rests_on;
        !may_on.is_empty() && may_on.iter().all(|slot| slot.0 != 0)
    };
    let stopped = stack.items.iter().filter(wrong).find(on_fork)?;
    let may_carry = &rule.slot(stopped.slot).rests_on;
    let at = (1..picks.len()).find(|&at| may_carry.contains(&picks[at].slot))?;
    let carries = |stack: &Stack| {
        let of =
            |slot: SlotIx| stack.items.iter().position(|item| item.slot == slot).map(|i| ItemIx(i as u16));
        of(stopped.slot)
            .zip(of(picks[at].slot))
            .and_then(|(item, onto)| way_down(stack, item, onto))
            .is_some()
    };
    if carries(&stack) {
        return None;
    }
    let fails = |stack: &Stack| stack.checks.iter().filter(|c| c.outcome == Outcome::Fail).count();
    let others = plan.field.slots[usize::from(picks[at].slot.0)].iter();
    let with = |&variant: &VariantIx| {
        let swapped = Pick { variant, ..picks[at] };
        let all: Vec<Pick> =
            picks.iter().enumerate().map(|(i, &p)| if i == at { swapped } else { p }).collect();
        assemble(plan.setting, &all)
    };
    others.map(with).filter(carries).min_by_key(fails)
}

/// A surface that the fork has not, or in another size: no other part makes that better or worse.
pub(super) fn of_the_fork(check: &Check) -> bool {
    matches!(check.demand, Demand::Size(_)) && check.about == [ItemIx(0)]
}

/// How far parts reach, or how high they may stand: what comes of a steerer of another length.
pub(super) fn is_of_length(demand: Demand) -> bool {
    matches!(
        demand,
        Demand::SleeveOverlap(_)
            | Demand::GripLength(_)
            | Demand::GripPinch(_)
            | Demand::Engagement(_)
            | Demand::Spare(_)
            | Demand::Height(_)
            | Demand::GapLeast
            | Demand::StandsOut(_)
            | Demand::Insertion(_)
            | Demand::SlitReach(_)
            | Demand::SlitBare(_)
    )
}

/// What a caliper or a thread gauge tells of two parts before anything is built.
pub(super) fn is_of_size(demand: Demand) -> bool {
    matches!(
        demand,
        Demand::SleeveClearance(_) | Demand::Tightness(_) | Demand::ThreadMatch(_) | Demand::Size(_)
    )
}
