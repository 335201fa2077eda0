//! The cheapest plan with more in the rider's hands than the fork's own box, and with chosen parts put to use.
//!
//! The one place through which routes and the rider's own shelf ask the search. Must not know words.

use super::answer::Article;
use super::bench::Bench;
use super::boxed::{InBox, Taken, Unsaid, Whose, opened};
use super::candidates::Field;
use super::rider::Rider;
use super::rounds::{Limits, rounds};
use super::search::Rank;
use super::supply::{Cost, Supplies};
use crate::assembly::{Outcome, Pick};
use crate::catalogue::{BoxIx, VariantIx};
use serde::{Deserialize, Serialize};

/// Where searches are many: each is given up early, and earlier still where it could only come to a plan that must be
/// measured first.
const LIMITS: Limits = Limits { most: 8_000, aside: true };
const MEASURED: Limits = Limits { most: 3_000, aside: true };

/// As for a guide.
const WHOLE: Limits = Limits { aside: true, ..Limits::USUAL };

const CERTAIN: Limits = Limits { most: 12_000, aside: true };

/// What is asked of one fork with one system.
#[derive(Clone, Debug)]
pub struct Held<'h> {
    /// Owned besides the fork and its own box: boxes unpacked.
    pub owned: &'h [(VariantIx, u32)],
    /// What boxes hold that do not say it; nothing that is not said is counted on.
    pub boxed: &'h [InBox],
    /// Parts that the plan must use: each alone in every place that takes its kind.
    pub fixed: &'h [VariantIx],
    /// Plans that use those parts and are known to go, or to go if measured: what is looked for is no worse.
    pub known: &'h [(Outcome, &'h [Pick])],
    /// No plan is better, as a finished search with less fixed has shown.
    pub at_best: Outcome,
    pub aim: Aim,
}

/// Everything of what is asked that decides the plan. Plans that are known beforehand only spare work, or follow from the rest.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Question {
    owned: Vec<(VariantIx, u32)>,
    boxed: Vec<InBox>,
    fixed: Vec<VariantIx>,
    aim: Aim,
}

impl Held<'_> {
    /// With what is said of the scooter beside it.
    pub fn question(&self, rider: Rider<'_>) -> Question {
        Question {
            owned: [self.owned, rider.owns].concat(),
            boxed: self.boxed.to_vec(),
            fixed: [self.fixed, rider.uses].concat(),
            aim: self.aim,
        }
    }
}

/// How far a search goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Aim {
    /// For a plan that goes for certain.
    Certain,
    /// For a plan that goes, or may go if measured; given up early, for there are many.
    Advice,
    /// The same as far as for a guide: where a guide may follow from it.
    Whole,
}

/// The best plan of that kind.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum HeldPlan {
    /// Goes, whatever the tolerances.
    Goes(Vec<Pick>),
    /// Goes only if a reading is good.
    Measure(Vec<Pick>),
    No,
    /// The search came to its limit without a plan that goes.
    Unsettled,
}

/// What came of looking for what goes, then for what must be measured.
struct Staged {
    plan: HeldPlan,
    /// No plan is better.
    at_best: Outcome,
    /// The search came to its end.
    finished: bool,
}

impl HeldPlan {
    /// With how sure it is, where there is one.
    pub fn found(self) -> Option<(Outcome, Vec<Pick>)> {
        match self {
            HeldPlan::Goes(picks) => Some((Outcome::Pass, picks)),
            HeldPlan::Measure(picks) => Some((Outcome::Measure, picks)),
            HeldPlan::No | HeldPlan::Unsettled => None,
        }
    }
}

impl<'a> Bench<'a> {
    /// What the rider of this fork has: its own box, and these.
    pub(super) fn supplies(
        &self,
        fork: VariantIx,
        owned: &[(VariantIx, u32)],
        in_stock_only: bool,
        taken: Taken<'_>,
    ) -> Supplies<'a> {
        let mut supplies = Supplies::of_fork(self.catalogue, self.currency, fork, in_stock_only, taken);
        for &(part, count) in owned.iter().chain(self.rider.owns) {
            *supplies.owned.entry(part).or_insert(0) += count;
        }
        supplies
    }

    /// What a box brings for certain: of a part that it holds in a revision it does not say, nothing.
    pub fn brings(&self, of: BoxIx) -> Vec<(VariantIx, u32)> {
        opened(self.catalogue, (Whose::Bought, of), Taken::SAID)
    }

    /// The parts of these kinds that this fork and system leave possible, in id order, each revision for itself: one that
    /// is not among them is in no plan, whoever owns it. Empty where a place that must be filled has no candidate.
    pub fn possible(&self, fork: VariantIx, system: usize, kinds: &[&str]) -> Vec<VariantIx> {
        let parts = kinds.iter().flat_map(|kind| self.catalogue.of_kind(kind));
        let own: Vec<(VariantIx, u32)> =
            parts.flat_map(|part| &self.catalogue.part(part).variants).map(|&v| (v, 1)).collect();
        let taken = Taken { assumed: &[], unsaid: Unsaid::All };
        let supplies = self.supplies(fork, &own, false, taken);
        let field = self.field(&self.rules[system], &supplies, fork, &[]);
        if self.hopeless(&field, system) {
            return Vec::new();
        }
        let of_kind = |v: &&VariantIx| kinds.contains(&self.catalogue.part_of(**v).kind);
        let all = field.slots.iter().flatten().filter(of_kind);
        let mut found: Vec<VariantIx> = all.copied().collect();
        found.sort();
        found.dedup();
        found
    }

    /// In stock where that goes for certain, else with what would have to be ordered; as for a guide.
    pub fn held_plan(&self, fork: VariantIx, system: usize, held: &Held<'_>) -> HeldPlan {
        let taken = Taken { assumed: held.boxed, unsaid: Unsaid::Nothing };
        let supplies = |in_stock_only| self.supplies(fork, held.owned, in_stock_only, taken);
        let from = |in_stock_only, held: &Held<'_>, outcomes| {
            self.held_plan_from(&supplies(in_stock_only), (fork, system), held, outcomes)
        };
        let any = (held.at_best, Outcome::Measure);
        if !self.anything_out_of_stock() {
            return from(true, held, any).plan;
        }
        let Staged { plan: anyhow, at_best, finished } = from(false, held, any);
        let (outcome, plan) = match anyhow.clone() {
            HeldPlan::No => return HeldPlan::No,
            // What is shown of all that can be had holds of what is in stock.
            HeldPlan::Unsettled => return from(true, held, (at_best, Outcome::Measure)).plan,
            HeldPlan::Goes(plan) => (Outcome::Pass, plan),
            HeldPlan::Measure(plan) => (Outcome::Measure, plan),
        };
        // As cheap from what is in stock: nothing in stock is better, if nothing was left out.
        let cost = |in_stock_only| self.price(&supplies(in_stock_only), system, &plan);
        if finished && cost(true) == cost(false) {
            return anyhow;
        }
        let known = [held.known, &[(outcome, plan.as_slice())]].concat();
        match from(true, &Held { known: &known, ..held.clone() }, (outcome, outcome)).plan {
            HeldPlan::No | HeldPlan::Unsettled => anyhow,
            on_hand => on_hand,
        }
    }

    fn held_plan_from(
        &self,
        supplies: &Supplies<'_>,
        (fork, system): (VariantIx, usize),
        held: &Held<'_>,
        (at_best, at_worst): (Outcome, Outcome),
    ) -> Staged {
        let nothing = Staged { plan: HeldPlan::No, at_best: at_worst, finished: true };
        let Some(fixed) = self.places(system, held.fixed) else { return nothing };
        let field = self.field_with(&self.rules[system], supplies, fork, &[], fixed);
        if self.hopeless(&field, system) {
            return nothing;
        }
        let known = held.known.iter().filter_map(|&(outcome, picks)| {
            let cost = self.price(supplies, system, picks)?;
            Some(Rank { outcome, cost, parts: picks.len(), picks: picks.to_vec() })
        });
        let known = known.min();
        let stages: &[(Outcome, Limits)] = match held.aim {
            Aim::Certain => &[(Outcome::Pass, CERTAIN)],
            Aim::Whole => &[(Outcome::Pass, WHOLE), (Outcome::Measure, WHOLE)],
            Aim::Advice => &[(Outcome::Pass, LIMITS), (Outcome::Measure, MEASURED)],
        };
        let ground = self.ground(supplies, &field, system);
        for &(outcome, limits) in stages.iter().filter(|stage| (at_best..=at_worst).contains(&stage.0)) {
            // Before it comes what has found that nothing better goes.
            let known = known.clone().filter(|known| known.outcome <= outcome);
            let found = rounds(&ground, (outcome, outcome), known, limits);
            let plan = match found.best {
                Some(best) if best.outcome == Outcome::Pass => HeldPlan::Goes(best.picks),
                _ if found.unfinished => HeldPlan::Unsettled,
                Some(best) => HeldPlan::Measure(best.picks),
                None => continue,
            };
            return Staged { plan, at_best: outcome, finished: !found.unfinished };
        }
        nothing
    }

    /// Of each variant whether it can be bought: then having one makes nothing possible that was not.
    pub fn sold(&self) -> Vec<bool> {
        let nobody = self.nothing_owned(false);
        (0..self.catalogue.variants.len()).map(|v| nobody.can_have(VariantIx(v as u32))).collect()
    }

    fn hopeless(&self, field: &Field, system: usize) -> bool {
        let slots = &self.rules[system].slots;
        slots.iter().zip(&field.slots).any(|(slot, there)| slot.least > 0 && there.is_empty())
    }
}

/// What a plan costs a rider who has certain parts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OwnPlan {
    pub cost: Cost,
    pub buy: Vec<(Article, u32)>,
}

impl Bench<'_> {
    /// `None` where something missing cannot be bought.
    pub fn own_plan(
        &self,
        fork: VariantIx,
        system: usize,
        picks: &[Pick],
        owned: &[(VariantIx, u32)],
        boxed: &[InBox],
    ) -> Option<OwnPlan> {
        let taken = Taken { assumed: boxed, unsaid: Unsaid::Nothing };
        let supplies = |in_stock_only| self.supplies(fork, owned, in_stock_only, taken);
        let needs = self.bought(system, picks);
        let found = supplies(true).cheapest(&needs).or_else(|| supplies(false).cheapest(&needs));
        found.map(|(cost, buy)| OwnPlan { cost, buy })
    }
}
