//! How a plan stands that is told in short beside another one: where its chosen heights are, how far what is pushed can still go
//! down, and what is to be read of it first. Must not know words, nor what would go where a reading says no.

use super::answer::{Reading, TryOut};
use super::bench::{Bench, Plan};
use super::boxed::{Taken, Unsaid};
use super::candidates::Field;
use super::either;
use super::readings::readings;
use super::tries::tries;
use crate::assembly::{ItemIx, Outcome, Pick, Stack, Value, assemble, gaps};
use crate::catalogue::VariantIx;
use serde::{Deserialize, Serialize};

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Standing {
    pub stack: Stack,
    /// Of each item that is pushed how far it can still go down before it meets the fork.
    pub gaps: Vec<(ItemIx, Value)>,
    /// The same turned over. What else may go either way in this plan is not looked for: its way up is told.
    pub either_way: Vec<ItemIx>,
    /// Empty where it goes for certain.
    pub readings: Vec<Reading>,
    pub tries: Vec<TryOut>,
}

impl Bench<'_> {
    pub fn standing(&self, fork: VariantIx, system: usize, picks: &[Pick], outcome: Outcome) -> Standing {
        let setting = self.setting(system);
        let stack = assemble(setting, picks);
        let supplies = self.supplies(fork, &[], false, Taken { assumed: &[], unsaid: Unsaid::Nothing });
        // What goes instead is not told in short.
        let field = Field { slots: vec![vec![]; setting.rule.slots.len()], funnel: vec![] };
        let plan = Plan {
            bench: self,
            setting,
            supplies: &supplies,
            field: &field,
            picks,
            stack: &stack,
            either_way: &[],
        };
        let either_way = either::either_way(&plan, false);
        let readings = if outcome == Outcome::Pass { vec![] } else { readings(&plan) };
        let tries = if outcome == Outcome::Pass { vec![] } else { tries(&stack, &readings) };
        Standing { gaps: gaps(setting, picks), either_way, readings, tries, stack }
    }
}
