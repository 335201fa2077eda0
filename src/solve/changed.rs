//! What is replaced on the way from one set-up to another. Must not know what it costs.

use super::bench::Bench;
use super::set_up::SetUp;

/// Each of them counts as one change.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Changed {
    pub fork: bool,
    pub system: bool,
    pub bars: bool,
    /// What the rider brings: no one deck goes with both.
    pub deck: bool,
}

impl Changed {
    pub fn count(self) -> usize {
        [self.fork, self.system, self.bars, self.deck].into_iter().filter(|changed| *changed).count()
    }
}

/// From one to the other on the same deck. `None`: a fork's revisions do not turn into each other.
pub(super) fn changed(bench: &Bench<'_>, a: &SetUp, b: &SetUp) -> Option<Changed> {
    let part = |stop: &SetUp| bench.catalogue.variant(stop.fork).part;
    let fork = part(a) != part(b);
    let same_fork = fork || a.fork == b.fork;
    same_fork.then_some(Changed { fork, system: a.system != b.system, bars: a.bars != b.bars, deck: false })
}
