//! Why nothing goes: a smallest set of demands that cannot hold together.
//!
//! Demands are waived one after another; one without which it still does not go stays waived. What is left is a
//! contradiction from which nothing can be taken away. Must not know words.

use super::bench::Plan;
use super::candidates::field;
use super::search::{Want, search};
use crate::assembly::{Check, Demand, Outcome, Setting, assemble};
use crate::catalogue::VariantIx;
use crate::rules::{Rule, SlotIx};

/// Items put on before a trial is called undecided; then the demand is kept, and the reason may not be smallest.
const TRIAL_LIMIT: u64 = 4_000;

pub(super) fn reason(plan: &Plan<'_>, fork: VariantIx) -> Vec<Check> {
    let all = demands(plan.setting.rule);
    let failing: Vec<Demand> =
        plan.stack.checks.iter().filter(|c| c.outcome == Outcome::Fail).map(|c| c.demand).collect();
    // What does not even fail in the nearest attempt is tried away first.
    let (last, first): (Vec<Demand>, Vec<Demand>) = all.iter().partition(|d| failing.contains(d));
    let mut waived: Vec<Demand> = Vec::new();
    let mut kept: Vec<Demand> = Vec::new();
    for demand in first.into_iter().chain(last) {
        waived.push(demand);
        if possible(plan, fork, &waived) != Possible::No {
            waived.pop();
            kept.push(demand);
        }
    }
    kept.iter().filter_map(|&demand| figure(plan, fork, &waived, demand)).collect()
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Possible {
    Yes,
    No,
    Undecided,
}

fn possible(plan: &Plan<'_>, fork: VariantIx, waived: &[Demand]) -> Possible {
    let setting = Setting { waived, ..plan.setting };
    let field = field(setting.rule, plan.supplies, fork, waived);
    let want = Want { at_worst: Outcome::Measure, any: true, limit: TRIAL_LIMIT, extras: usize::MAX };
    let found = search((setting, plan.bench.readies), plan.supplies, &field, want, None);
    match (found.best.is_some(), found.unfinished) {
        (true, _) => Possible::Yes,
        (false, true) => Possible::Undecided,
        (false, false) => Possible::No,
    }
}

/// The demand with its figures, where all the others hold.
fn figure(plan: &Plan<'_>, fork: VariantIx, waived: &[Demand], demand: Demand) -> Option<Check> {
    let without: Vec<Demand> = waived.iter().copied().chain([demand]).collect();
    let setting = Setting { waived: &without, ..plan.setting };
    let field = field(setting.rule, plan.supplies, fork, &without);
    let want = Want { at_worst: Outcome::Measure, any: true, limit: TRIAL_LIMIT, extras: usize::MAX };
    let found = search((setting, plan.bench.readies), plan.supplies, &field, want, None);
    let picks = found.best.map(|b| b.picks).unwrap_or_else(|| plan.picks.to_vec());
    let asked = Setting { waived, ..plan.setting };
    let stack = assemble(asked, &picks);
    let of_demand = |c: &&Check| c.demand == demand && c.outcome == Outcome::Fail;
    let here = stack.checks.iter().find(of_demand).cloned();
    here.or_else(|| plan.stack.checks.iter().find(of_demand).cloned())
}

/// Everything a rule asks.
pub(super) fn demands(rule: &Rule) -> Vec<Demand> {
    let count = |n: usize| (0..n).map(|i| i as u16);
    let slots = || count(rule.slots.len()).map(SlotIx);
    let mut all: Vec<Demand> = Vec::new();
    all.extend(
        slots().flat_map(|s| [Demand::Lands(s), Demand::RestsOn(s), Demand::Seat(s), Demand::RingCloses(s)]),
    );
    all.extend(slots().flat_map(|s| [Demand::Height(s), Demand::Insertion(s)]));
    all.extend([Demand::Path, Demand::Still, Demand::GapLeast, Demand::GapMost]);
    all.extend(
        count(rule.threads.len())
            .flat_map(|i| [Demand::ThreadMatch(i), Demand::Engagement(i), Demand::Spare(i)]),
    );
    all.extend(
        count(rule.grips.len())
            .flat_map(|i| [Demand::GripLength(i), Demand::GripPinch(i), Demand::GripCloses(i)]),
    );
    all.extend(count(rule.slits.len()).map(Demand::Slit));
    all.extend(count(rule.stand_outs.len()).map(Demand::StandsOut));
    all.extend(count(rule.sizes.len()).map(Demand::Size));
    all.extend(count(rule.presses.len()).map(Demand::Tightness));
    all.extend(
        count(rule.sleeves.len()).flat_map(|i| [Demand::SleeveOverlap(i), Demand::SleeveClearance(i)]),
    );
    all
}
