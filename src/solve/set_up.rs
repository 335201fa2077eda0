//! A set-up that goes: one fork, one clamp system, one set of bars, with every part of the plan.
//!
//! The bars of a set-up are the part that stands in the place for bars; a system without such a place has none.
//! What the rider brings (a deck) is not a part of it: a set-up knows on which of them it goes as planned. Must
//! not know words, nor how one set-up turns into another.

use super::bench::{Bench, cannot_come_to};
use super::boxed::InBox;
use super::supply::Counts;
use crate::assembly::{Build, Outcome, Pick, Stack, worst};
use crate::catalogue::{PartIx, VariantIx};
use crate::kinds::Known;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SetUp {
    pub fork: VariantIx,
    /// Index into the rules.
    pub system: usize,
    pub bars: Option<PartIx>,
    /// The plan that the guide of its fork and system shows.
    pub as_in_guide: bool,
    /// Where boxes do not say which revision they hold: it goes with these. Sorted.
    pub boxed: Vec<InBox>,
    /// Everything the plan is made of, the fork too, without what the rider brings. Sorted, with repeats.
    pub variants: Vec<VariantIx>,
    /// Parts driven into another (a star nut), each with what it is set in; one that comes out goes in no more. Sorted.
    pub set_in: Vec<(VariantIx, VariantIx)>,
    /// For each thing that the rider brings (as a rule one deck) in slot order: all for which the plan goes.
    /// Sorted; one empty list where nothing is brought.
    pub brought: Vec<Vec<VariantIx>>,
}

impl SetUp {
    pub fn needs(&self, bench: &Bench<'_>) -> Counts {
        let mut needs = Counts::new();
        for &variant in &self.variants {
            *needs.entry(bench.catalogue.as_made(variant)).or_insert(0) += 1;
        }
        needs
    }
}

impl Bench<'_> {
    /// Whether the plan as it is goes for certain.
    pub fn certain(&self, system: usize, picks: &[Pick]) -> bool {
        self.comes_to(system, picks, Outcome::Pass).is_some()
    }

    /// A plan that goes for certain as a set-up. `brought`: what [`Bench::brought`] finds of it.
    pub fn set_up(
        &self,
        fork: VariantIx,
        system: usize,
        picks: &[Pick],
        boxed: &[InBox],
        brought: Vec<Vec<VariantIx>>,
    ) -> SetUp {
        let rule = &self.rules[system];
        let is_brought = |pick: &&Pick| rule.slot(pick.slot).brought;
        let mut variants: Vec<VariantIx> =
            picks.iter().filter(|p| !is_brought(p)).map(|p| p.variant).collect();
        variants.sort();
        let is_bars = |v: &&VariantIx| self.catalogue.part_of(**v).is(Known::Bars);
        let bars = variants.iter().find(is_bars).map(|&v| self.catalogue.variant(v).part);
        let set_in = self.set_in(system, picks);
        SetUp { fork, system, bars, as_in_guide: false, boxed: boxed.to_vec(), variants, set_in, brought }
    }

    /// What a plan comes to with this in the place of what the rider brings, all else as it is. `None`: it does not go.
    pub fn on_brought(&self, system: usize, picks: &[Pick], brought: VariantIx) -> Option<Outcome> {
        self.comes_to(system, &self.with_brought(system, picks, brought), Outcome::Measure)
    }

    /// What these come to, where that is no worse; judged in full only where a quick look lets it pass.
    fn comes_to(&self, system: usize, picks: &[Pick], at_worst: Outcome) -> Option<Outcome> {
        let setting = self.setting(system);
        if cannot_come_to((setting, self.readies), picks, at_worst) {
            return None;
        }
        Some(worst(&Build::of(setting, picks))).filter(|outcome| *outcome <= at_worst)
    }

    /// The plan with this in the place of what the rider brings.
    pub fn with_brought(&self, system: usize, picks: &[Pick], brought: VariantIx) -> Vec<Pick> {
        let kind = self.catalogue.part_of(brought).kind;
        let mut with = picks.to_vec();
        for pick in &mut with {
            let slot = self.rules[system].slot(pick.slot);
            if slot.brought && slot.kinds.contains(&kind) {
                pick.variant = brought;
            }
        }
        with
    }

    /// Pressed parts that go into a host, with the host.
    fn set_in(&self, system: usize, picks: &[Pick]) -> Vec<(VariantIx, VariantIx)> {
        let rule = &self.rules[system];
        let pair = |pick: &Pick| {
            let host = rule.driven_into(pick.slot)?;
            let host = picks.iter().find(|p| p.slot == host)?;
            Some((pick.variant, host.variant))
        };
        let mut found: Vec<(VariantIx, VariantIx)> = picks.iter().filter_map(pair).collect();
        found.sort();
        found
    }

    /// The plan itself, and the same with one other brought part at a time.
    pub fn brought(&self, system: usize, picks: &[Pick]) -> Vec<Vec<VariantIx>> {
        let rule = &self.rules[system];
        let places: Vec<usize> = (0..picks.len()).filter(|&i| rule.slot(picks[i].slot).brought).collect();
        let as_planned: Vec<VariantIx> = places.iter().map(|&i| picks[i].variant).collect();
        let mut found = vec![as_planned.clone()];
        for (nth, &place) in places.iter().enumerate() {
            let kinds = &rule.slot(picks[place].slot).kinds;
            let parts = kinds.iter().flat_map(|kind| self.catalogue.of_kind(kind));
            let others = parts.flat_map(|p| &self.catalogue.part(p).variants);
            for &other in others.filter(|&&v| v != as_planned[nth]) {
                let mut with = picks.to_vec();
                with[place].variant = other;
                if self.comes_to(system, &with, Outcome::Pass).is_some() {
                    let mut brought = as_planned.clone();
                    brought[nth] = other;
                    found.push(brought);
                }
            }
        }
        found.sort();
        found
    }
}

/// The picks that a finished stack was made from.
pub fn picks_of(stack: &Stack) -> Vec<Pick> {
    let pick = |p: &crate::assembly::Placed| Pick { slot: p.slot, variant: p.variant, turned: p.turned };
    stack.items.iter().map(pick).collect()
}
