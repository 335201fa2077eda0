//! What is doubtful in a book without being wrong, found from the answers of all its pairings. Must not know words.
//!
//! A size is *worth measuring* when the plan, assembled again with what a caliper might read there (its least, nominal and
//! most), is decided. A part is *unused* when it stands in no plan and put alone in place of what is there it fails in each.
//! A pull computed from a torque is told as two standard deviations either side (`preload_spread`), never as one number. A
//! new doubt is a list in `Doubts`, its words in `[doubt]` (`src/guide/doubts.rs`), and a small book in `tests/doubts.rs`.

mod measure;
mod torque;
mod unused;

use super::answer::{Answer, Verdict};
use super::bench::Bench;
use crate::assembly::Check;
use crate::catalogue::{BoxIx, PartIx, Shop, VariantIx};
use crate::quantity::{Force, PropertyClass, Torque, TorqueRange};
use crate::rules::SlotIx;

/// A fork with a system; indexes into the catalogue and the rules.
pub type Pair = (PartIx, usize);

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Doubts {
    /// The measuring list: what would settle most comes first.
    pub measure: Vec<ToMeasure>,
    /// In the order of the catalogue.
    pub unused: Vec<Unused>,
    /// Boxes from which no guide takes or buys anything.
    pub boxes: Vec<BoxIx>,
    pub torques: Vec<TorqueOver>,
    /// Pairings whose search came to its limit: what none of the others uses, one of these might.
    pub unsettled: usize,
}

/// A size that is only assumed and bears on a verdict.
#[derive(Clone, Debug, PartialEq)]
pub struct ToMeasure {
    pub variant: VariantIx,
    /// Index into the dims of its shape.
    pub dim: usize,
    /// Pairings that must be measured first now, and would be settled whatever a caliper reads here.
    pub settles: Vec<Pair>,
    /// The same, but only some readings would.
    pub may_settle: Vec<Pair>,
    /// Settled pairings in which some check leans on the assumed range.
    pub behind: Vec<Pair>,
}

/// A part that no plan has in it, and that would not serve in any.
#[derive(Clone, Debug, PartialEq)]
pub struct Unused {
    pub part: PartIx,
    pub why: WhyUnused,
}

#[derive(Clone, Debug, PartialEq)]
pub enum WhyUnused {
    /// A fork that goes with no clamp system.
    Fork,
    /// No clamp system has a place for its kind.
    NoPlace,
    /// Not sold loose, and in no box that is sold.
    CannotBeHad,
    /// No pairing that goes has a place for it.
    NoPlan,
    /// In the pairing where it does best it fails this, put in that place in place of what is there.
    Fails { pair: Pair, answer: usize, slot: SlotIx, variant: VariantIx, check: Box<Check> },
}

/// A maker's torque that pulls harder than the ceiling allows.
#[derive(Clone, Debug, PartialEq)]
pub struct TorqueOver {
    pub variant: VariantIx,
    pub torque: TorqueRange,
    /// From where to where the pull scatters.
    pub pulls: (Force, Force),
    pub ceiling: Force,
    /// What would pull just that.
    pub highest: Option<Torque>,
    /// The bolt's property class is not in the data: the weakest usual one was taken, which is this.
    pub supposed: Option<PropertyClass>,
}

/// `answers`: for each pairing one for every revision of the fork. Cost: for every part that no plan has, one assembly
/// for each plan with a place for it; for every assumed size of an undecided plan, three.
pub fn doubts(bench: &Bench<'_>, shop: &Shop, answers: &[&[Answer]]) -> Doubts {
    let all: Vec<&Answer> = answers.iter().copied().flatten().collect();
    Doubts {
        measure: measure::to_measure(bench, &all),
        unused: unused::parts(bench, &all),
        boxes: unused::boxes(bench, &all),
        torques: torque::over(bench.catalogue, shop),
        unsettled: answers.iter().filter(|p| p.iter().any(unsettled)).count(),
    }
}

/// The measuring list alone.
pub fn to_measure(bench: &Bench<'_>, answers: &[&[Answer]]) -> Vec<ToMeasure> {
    measure::to_measure(bench, &answers.iter().copied().flatten().collect::<Vec<_>>())
}

fn unsettled(answer: &Answer) -> bool {
    answer.unfinished && answer.verdict == Verdict::No
}

fn pair(bench: &Bench<'_>, answer: &Answer) -> Pair {
    (bench.catalogue.variant(answer.fork).part, answer.system)
}
