//! A plan with all its slots done: looked at as a whole, then built and judged in full.
//!
//! Must not know what is tried next.

use super::grounds::Grounds;
use super::search::Near;
use super::walk::Walk;
use crate::assembly::{ALL, Demand, ItemIx, Outcome, Slots, bit, early, judge};

/// What building an item in full costs, in items looked at, where it comes together in no more than [`FEW_CASES`] ways; so much
/// again for each so many more.
const IN_FULL: u64 = 50;
const FEW_CASES: usize = 4;

/// What judging a stack costs for each [`FEW_CASES`] more; in few it is counted with its items.
const JUDGED: u64 = 1_000;

/// A first plan is found late after so many items.
const LATE: u64 = 150;

impl Walk<'_> {
    /// Builds the plan in full, from where it differs from the last one; what stops it on the way.
    fn build_in_full(&mut self) -> Option<Slots> {
        let same = self.built.iter().zip(&self.picks).take_while(|(a, b)| a == b).count();
        while self.built.len() > same {
            self.built.pop();
            self.build.take_off();
        }
        for at in same..self.picks.len() {
            let pick = self.picks[at];
            let known = self.build.put_on(pick);
            self.found.put_on += IN_FULL * (1 + self.many_cases());
            self.built.push(pick);
            let early = early(&self.build, ItemIx(at as u16), &known, self.want.at_worst);
            if !early.worse.is_empty() {
                if early.outcome == Outcome::Fail {
                    self.note_near(pick.slot.0 as usize, i64::MIN);
                }
                // Found with nothing above it there: it rests on nothing above.
                let there = bit(pick.slot) | (bit(pick.slot) - 1);
                return Some(self.least_blame(&early.worse, false) & there);
            }
        }
        None
    }

    /// How often there are as many ways more as are few.
    fn many_cases(&self) -> u64 {
        self.build.cases.len().saturating_sub(1) as u64 / FEW_CASES as u64
    }

    /// Of several failures the one that lets the search go back furthest.
    fn least_blame(&self, failures: &[(Demand, Vec<ItemIx>)], complete: bool) -> Slots {
        let blames =
            failures.iter().map(|(demand, about)| self.blame.finding(&self.build, *demand, about, complete));
        blames.min().unwrap_or(ALL)
    }

    /// `at_best`: what it came to as it was put together.
    pub(super) fn complete(&mut self, at_best: Outcome) -> Grounds {
        let look = self.glance.finished();
        if look.outcome > self.want.at_worst {
            return self.remember(self.rule.slots.len(), look.blame);
        }
        if self.aside.is_some_and(|slots| slots != 0) {
            return self.plan(look.outcome.max(at_best));
        }
        // Where the first plan took long to find, or none goes, it is not hoped for but judged: then all are, and nothing is looked
        // for twice.
        let soon = self.found.put_on < LATE && self.want.at_best == Outcome::Pass;
        if self.unjudged || self.want.quick && !self.found.judged && soon {
            self.unjudged = true;
            return self.plan(look.outcome.max(at_best));
        }
        self.found.judged = true;
        // At best as good as the one known.
        if self
            .found
            .best
            .as_ref()
            .is_some_and(|best| self.rank(look.outcome.max(at_best)).is_none_or(|rank| rank >= *best))
        {
            return Grounds::ALL;
        }
        if let Some(stopped) = self.build_in_full() {
            return stopped.into();
        }
        // Too many cases to follow: whatever is found in them, it is to be measured.
        if self.build.merged {
            return match self.want.at_worst {
                Outcome::Pass => Grounds::ALL,
                _ => self.plan(self.want.at_best.max(Outcome::Measure)),
            };
        }
        self.found.put_on += JUDGED * self.many_cases();
        let judgement = self.build.judged(judge);
        let outcome = judgement.worst();
        if outcome > self.want.at_worst {
            let worse = judgement.checks.iter().filter(|c| c.3.outcome > self.want.at_worst);
            let failures: Vec<(Demand, Vec<ItemIx>)> = worse.map(|c| (c.0, c.1.clone())).collect();
            if outcome == Outcome::Fail {
                let fails = judgement.checks.iter().filter(|c| c.3.outcome == Outcome::Fail).count() as i64;
                self.note_near(self.rule.slots.len(), -fails);
            }
            let no_height = |(demand, _): &(Demand, Vec<ItemIx>)| {
                let Demand::Height(slot) = *demand else { return None };
                let with = judgement.no_height(slot, self.want.at_worst == Outcome::Measure)?;
                Some(self.blame.no_height(&self.build, slot, with))
            };
            let least = failures.iter().filter_map(no_height).min().unwrap_or(ALL);
            return least.min(self.least_blame(&failures, true)).into();
        }
        self.plan(outcome.max(self.want.at_best))
    }

    fn plan(&mut self, outcome: Outcome) -> Grounds {
        let Some(rank) = self.rank(outcome) else { return Grounds::ALL };
        if self.found.best.as_ref().is_none_or(|best| rank < *best) {
            self.found.best = Some(rank);
        }
        Grounds::ALL
    }

    pub(super) fn note_near(&mut self, slots: usize, fails: i64) {
        let reached = (slots, fails);
        if self.found.nearest.as_ref().is_none_or(|near| reached > near.reached) {
            self.found.nearest = Some(Near { reached, picks: self.picks.clone() });
        }
    }
}
