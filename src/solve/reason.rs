//! Why nothing goes: a smallest set of demands that cannot hold together.
//!
//! Demands are waived, many at once where that may be, one by one where it may not; one without which it still does
//! not go stays waived. What is left is a contradiction from which nothing can be taken away, unless a trial came to
//! its limit: then it says that it may not be smallest. Must not know words.
//!
//! There can be several smallest reasons; one is told. What fails in the nearest attempt is taken away last, so the attempt
//! decides which; where it led to no proved reason one begun afresh, with a part pressed on the fork where there may be one,
//! is tried, too (`finish` in `bench.rs`). The figures of the reason are those of the build that is shown (`showing.rs`), so
//! that sentence, table and picture are of one. A part that stops on the steerer, or on something too wide for it, is told by
//! what is in the way (`src/guide/in_the_way.rs`). In JSON `reason_smallest` says whether it is proved. `tests/reasons.rs`
//! holds both sides to trying every combination.

use super::bench::Plan;
use super::closer::closer;
use super::search::{Want, any_plan};
use super::showing::{self, is_of_length, is_of_size, of_the_fork};
use crate::assembly::{Check, Demand, Outcome, Pick, Setting, assemble};
use crate::catalogue::VariantIx;
use crate::rules::{Rule, SlotIx};

/// Items looked at before a trial is called undecided; then the demand is kept.
const TRIAL_LIMIT: u64 = 20_000;
/// With many waived at once: worth less, for what is not decided together is tried in halves.
const GROUP_LIMIT: u64 = 5_000;
/// In all trials of one reason. In most pairings of the demo book all trials together need a tenth of it.
const WHOLE_LIMIT: u64 = 600_000;

#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Reason {
    /// Each with its figures, where all the others hold.
    pub facts: Vec<Check>,
    /// Whether taking any one away was seen to let something go (or be measured).
    pub smallest: bool,
}

/// Where it tells neither of a size nor of a length, as of parts that rub, and is not proved, lengths are told instead where they
/// alone are amiss with some build: the steerer in the hand is too long or too short, and all else comes of that.
pub(super) fn reason(plan: &Plan<'_>, fork: VariantIx) -> Reason {
    let usual = in_order(plan, fork);
    if usual.smallest
        || usual.facts.iter().any(|check| is_of_length(check.demand) || is_of_size(check.demand))
    {
        return usual;
    }
    let lengths = showing::by_lengths(plan, fork);
    lengths.map_or(usual, |facts| Reason { facts, smallest: false })
}

/// What does not even fail in the nearest attempt is tried away first, and of what fails there lengths last.
fn in_order(plan: &Plan<'_>, fork: VariantIx) -> Reason {
    let failing: Vec<Demand> =
        plan.stack.checks.iter().filter(|c| c.outcome == Outcome::Fail).map(|c| c.demand).collect();
    let of_fork = |demand: &Demand| {
        let its = |c: &Check| c.demand == *demand && c.outcome == Outcome::Fail && of_the_fork(c);
        plan.stack.checks.iter().any(its)
    };
    // What the fork itself lacks, or has in another size, is tried away last of all: where that alone is enough, nothing is
    // told of what it comes with.
    let mut all = demands(plan.setting.rule);
    all.sort_by_key(|demand| {
        let fails = failing.contains(demand);
        (of_fork(demand), fails, fails && is_of_length(*demand))
    });
    let mut waiving = Waiving { plan, fork, waived: Vec::new(), kept: Vec::new(), left: WHOLE_LIMIT };
    for group in all.chunk_by(|a, b| failing.contains(a) == failing.contains(b)) {
        waiving.leave_out(group);
    }
    waiving.decide();
    let facts: Vec<Check> = waiving.kept.iter().filter_map(|kept| waiving.figure(kept)).collect();
    // One that has no figures is not told, and without it the others may hold together.
    let smallest = waiving.kept.iter().all(|kept| kept.1.is_some()) && facts.len() == waiving.kept.len();
    Reason { facts, smallest }
}

/// Demands that were waived so far, and those without which something goes: each with the plan that goes then, if one
/// was found.
struct Waiving<'p> {
    plan: &'p Plan<'p>,
    fork: VariantIx,
    waived: Vec<Demand>,
    kept: Vec<(Demand, Option<Vec<Pick>>)>,
    /// Items that may still be looked at.
    left: u64,
}

#[derive(Clone, Debug, PartialEq, Eq)]
enum Possible {
    Yes(Vec<Pick>),
    No,
    Undecided,
}

impl Waiving<'_> {
    /// Waives all of these that may be, in order; what is kept once stays kept, for the more is waived the more goes.
    fn leave_out(&mut self, group: &[Demand]) {
        let one = group.len() == 1;
        match (group, self.without(group, if one { TRIAL_LIMIT } else { GROUP_LIMIT })) {
            (_, Possible::No) => self.waived.extend(group),
            (&[], _) => {}
            (&[demand], Possible::Yes(picks)) => self.kept.push((demand, Some(picks))),
            (&[demand], Possible::Undecided) => self.kept.push((demand, None)),
            (group, _) => {
                let (first, second) = group.split_at(group.len() / 2);
                self.leave_out(first);
                self.leave_out(second);
            }
        }
    }

    /// Once more for what was not decided: with more waived by now, a way is found sooner.
    fn decide(&mut self) {
        for at in (0..self.kept.len()).rev() {
            let (demand, None) = self.kept[at] else { continue };
            match self.without(&[demand], TRIAL_LIMIT) {
                Possible::Yes(picks) => self.kept[at].1 = Some(picks),
                Possible::Undecided => {}
                Possible::No => {
                    self.kept.remove(at);
                    self.waived.push(demand);
                }
            }
        }
    }

    /// Whether something goes, or may go, with these waived as well.
    fn without(&mut self, more: &[Demand], limit: u64) -> Possible {
        let waived = [&self.waived[..], more].concat();
        let setting = Setting { waived: &waived, ..self.plan.setting };
        let field = self.plan.bench.field(setting.rule, self.plan.supplies, self.fork, &waived);
        let want = Want {
            at_worst: Outcome::Measure,
            at_best: Outcome::Pass,
            limit: limit.min(self.left),
            quick: false,
            aside: true,
            first: false,
        };
        let found = any_plan(
            (setting, self.plan.bench.readies),
            self.plan.supplies,
            &field,
            want,
            self.plan.bench.effort,
        );
        self.left = self.left.saturating_sub(found.put_on);
        match (found.best, found.unfinished) {
            (Some(best), _) => Possible::Yes(best.picks),
            (None, true) => Possible::Undecided,
            (None, false) => Possible::No,
        }
    }

    /// The demand with its figures, where all the others hold.
    fn figure(&self, (demand, picks): &(Demand, Option<Vec<Pick>>)) -> Option<Check> {
        let asked = Setting { waived: &self.waived, ..self.plan.setting };
        if let Some(picks) = picks {
            let waived = [&self.waived[..], &[*demand]].concat();
            let field = self.plan.bench.field(asked.rule, self.plan.supplies, self.fork, &waived);
            if let Some(found) = closer(self.plan, asked, &field, picks, *demand) {
                return Some(found.0);
            }
        }
        let of_demand = |c: &Check| c.demand == *demand && c.outcome == Outcome::Fail;
        let in_plan = |picks: &[Pick]| assemble(asked, picks).checks.into_iter().find(of_demand);
        let picks = picks.as_deref().unwrap_or(self.plan.picks);
        in_plan(picks).or_else(|| in_plan(self.plan.picks))
    }
}

/// Everything a rule asks.
pub fn demands(rule: &Rule) -> Vec<Demand> {
    let count = |n: usize| (0..n).map(|i| i as u16);
    let slots = || count(rule.slots.len()).map(SlotIx);
    let mut all: Vec<Demand> = Vec::new();
    all.extend(
        slots().flat_map(|s| [Demand::Lands(s), Demand::RestsOn(s), Demand::Seat(s), Demand::RingCloses(s)]),
    );
    all.extend(
        slots().flat_map(|s| [Demand::Height(s), Demand::Insertion(s), Demand::Kept(s), Demand::KeyWay(s)]),
    );
    all.extend([Demand::Path, Demand::Still, Demand::GapLeast]);
    all.extend(
        count(rule.threads.len())
            .flat_map(|i| [Demand::ThreadMatch(i), Demand::Engagement(i), Demand::Spare(i)]),
    );
    all.extend(count(rule.grips.len()).flat_map(|i| {
        [Demand::GripLength(i), Demand::GripPinch(i), Demand::GripCloses(i), Demand::SlitReach(i)]
    }));
    all.extend(count(rule.slits.len()).flat_map(|i| [Demand::Slit(i), Demand::SlitBare(i)]));
    all.extend(count(rule.stand_outs.len()).map(Demand::StandsOut));
    all.extend(count(rule.sizes.len()).map(Demand::Size));
    all.extend(count(rule.presses.len()).map(Demand::Tightness));
    all.extend(
        count(rule.sleeves.len()).flat_map(|i| [Demand::SleeveOverlap(i), Demand::SleeveClearance(i)]),
    );
    all
}
