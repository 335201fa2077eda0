//! How a plan stands that is told in a line beside another one: where its chosen heights are, and what is to be read of it
//! first. Must not know words, nor what would go where a reading says no.

use super::answer::{Reading, TryOut};
use super::bench::{Bench, Plan};
use super::boxed::{Taken, Unsaid};
use super::candidates::Field;
use super::readings::readings;
use super::tries::tries;
use crate::assembly::{Outcome, Pick, Stack, assemble};
use crate::catalogue::VariantIx;

#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    pub stack: Stack,
    /// Empty where it goes for certain.
    pub readings: Vec<Reading>,
    pub tries: Vec<TryOut>,
}

impl Bench<'_> {
    pub fn standing(&self, fork: VariantIx, system: usize, picks: &[Pick], outcome: Outcome) -> Standing {
        let setting = self.setting(system);
        let stack = assemble(setting, picks);
        if outcome == Outcome::Pass {
            return Standing { stack, readings: vec![], tries: vec![] };
        }
        let supplies = self.supplies(fork, &[], false, Taken { assumed: &[], unsaid: Unsaid::Nothing });
        // What goes instead is not told in a line.
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
        let readings = readings(&plan);
        let tries = tries(&stack, &readings);
        Standing { readings, tries, stack }
    }
}
