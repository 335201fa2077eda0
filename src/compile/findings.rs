//! What is found of the plans of a pairing besides its answers, each thing asked once of what the pairing is made from. Must not
//! know who asks.

use super::kept::Kept;
use crate::assembly::{Outcome, Pick};
use crate::catalogue::VariantIx;
use crate::solve::{Answer, Bench, InBox, OwnPlan, SetUp, Standing, StepsHold, picks_of};
use serde::Serialize;

/// One sort of question from another.
#[derive(Serialize)]
enum About {
    OnDecks,
    Brought,
    Certain,
    StepsHold,
    ToldInSteps,
    Own,
    Standing,
}

impl Kept {
    /// What this very plan comes to on each of all decks of the book; `None` where it does not stand there.
    pub fn on_decks(
        &self,
        bench: &Bench<'_>,
        pair: (VariantIx, usize),
        picks: &[Pick],
        decks: &[VariantIx],
    ) -> Vec<Option<Outcome>> {
        self.found(bench, pair, &(About::OnDecks, picks), || {
            decks.iter().map(|&deck| bench.on_brought(pair.1, picks, deck)).collect()
        })
    }

    /// As [`Bench::brought`].
    pub fn brought(
        &self,
        bench: &Bench<'_>,
        pair: (VariantIx, usize),
        picks: &[Pick],
    ) -> Vec<Vec<VariantIx>> {
        self.found(bench, pair, &(About::Brought, picks), || bench.brought(pair.1, picks))
    }

    /// The plan as a set-up; `None` when it does not certainly go.
    pub fn set_up(
        &self,
        bench: &Bench<'_>,
        pair: (VariantIx, usize),
        picks: &[Pick],
        boxed: &[InBox],
    ) -> Option<SetUp> {
        let certain = self.found(bench, pair, &(About::Certain, picks), || bench.certain(pair.1, picks));
        certain.then(|| bench.set_up(pair.0, pair.1, picks, boxed, self.brought(bench, pair, picks)))
    }

    /// As [`Bench::steps_hold`], of an answer in which nothing is changed for good.
    pub fn steps_hold(&self, bench: &Bench<'_>, answer: &Answer, picks: &[Pick]) -> StepsHold {
        let question = (About::StepsHold, picks_of(&answer.stack), picks);
        self.found(bench, (answer.fork, answer.system), &question, || bench.steps_hold(answer, picks))
    }

    /// As [`Bench::told_in_steps`].
    pub fn told_in_steps(
        &self,
        bench: &Bench<'_>,
        pair: (VariantIx, usize),
        picks: &[Pick],
    ) -> Vec<(i64, i64)> {
        self.found(bench, pair, &(About::ToldInSteps, picks), || bench.told_in_steps(pair.1, picks))
    }

    /// As [`Bench::standing`].
    pub fn standing(
        &self,
        bench: &Bench<'_>,
        pair: (VariantIx, usize),
        picks: &[Pick],
        outcome: Outcome,
    ) -> Standing {
        let question = (About::Standing, picks, outcome, bench.rider.owns, bench.rider.uses);
        self.found(bench, pair, &question, || bench.standing(pair.0, pair.1, picks, outcome))
    }

    /// As [`Bench::own_plan`].
    pub fn own_plan(
        &self,
        bench: &Bench<'_>,
        pair: (VariantIx, usize),
        picks: &[Pick],
        owned: &[(VariantIx, u32)],
        boxed: &[InBox],
    ) -> Option<OwnPlan> {
        let question = (About::Own, picks, owned, boxed, bench.rider.owns, bench.rider.uses);
        self.found(bench, pair, &question, || bench.own_plan(pair.0, pair.1, picks, owned, boxed))
    }
}
