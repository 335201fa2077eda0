//! What may lead from one set-up to another, and for how many changes it counts. Must not know what a change costs.

use super::bench::Bench;
use super::set_up::SetUp;
use crate::catalogue::PartIx;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Changed {
    Fork,
    System,
    Bars,
    /// Both at once: the bars that were there do not go with the other system.
    SystemAndBars,
}

impl Changed {
    /// How many changes it counts as.
    pub fn count(self) -> usize {
        if self == Changed::SystemAndBars { 2 } else { 1 }
    }
}

fn fork_of(bench: &Bench<'_>, stop: &SetUp) -> PartIx {
    bench.catalogue.variant(stop.fork).part
}

/// What may lead from one to the other. A fork's revisions do not turn into each other.
pub(super) fn changed(bench: &Bench<'_>, a: &SetUp, b: &SetUp) -> Option<Changed> {
    let fork = fork_of(bench, a) != fork_of(bench, b);
    if !fork && a.fork != b.fork {
        return None;
    }
    match (fork, a.system != b.system, a.bars != b.bars) {
        (true, false, false) => Some(Changed::Fork),
        (false, true, false) => Some(Changed::System),
        (false, false, true) => Some(Changed::Bars),
        (false, true, true) => Some(Changed::SystemAndBars),
        _ => None,
    }
}

/// Changes that are needed at least: one for each thing that is not the same.
pub(super) fn apart(bench: &Bench<'_>, a: &SetUp, b: &SetUp) -> usize {
    let differ = [fork_of(bench, a) != fork_of(bench, b), a.system != b.system, a.bars != b.bars];
    differ.into_iter().filter(|d| *d).count()
}
