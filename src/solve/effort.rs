//! Work counted over one whole answer: the search for the plan and all that is told beside it. Counted, never timed, so
//! that the same book comes to the same pages on any machine.
//!
//! When it is used up, searches come to their limit, and what was not looked for is not told. Must not know what is looked for.
//!
//! Then a head tube is told too short rather than too long, nothing is called *either way up* any more, and a plan is marked
//! `unfinished` and says that not everything was looked through. What an answer may cost grows with the number of parts in
//! the book, so that a slip in a small book costs little. `tests/effort.rs` gives answers next to nothing, a little and more.

use super::bench::Plan;
use crate::assembly::{Pick, Stack, assemble};
use std::sync::atomic::{AtomicU64, Ordering};

/// In items of a quick look, for an answer and for each part of the book. Each search has its own limit besides; this one is
/// for what these come to together. The longest answer of the demo book takes three fifths of it.
const MOST: u64 = 1_000_000;
const MOST_A_PART: u64 = 60_000;
/// Things that may be in boxes for each of which a whole answer is told.
const MOST_LEAVES: u64 = 64;

/// What beginning a search costs, however soon it ends.
pub(super) const SEARCH: u64 = 100;
/// What looking at a whole stack in full costs, for each of its items.
pub(super) const IN_FULL: u64 = 50;
/// So many piles that are known are looked through for one item.
pub(super) const KNOWN_AN_ITEM: u64 = 32;

/// Of one answer, which is worked out by one thread.
#[derive(Debug)]
pub struct Effort {
    left: AtomicU64,
    most: u64,
}

impl Effort {
    /// So much and no more.
    pub fn of(most: u64) -> Effort {
        Effort { left: AtomicU64::new(most), most }
    }

    /// In a book of so many parts.
    pub(super) fn of_one_answer(parts: usize) -> Effort {
        Effort::of(MOST + MOST_A_PART * parts as u64)
    }

    /// Another thing that may be in a box is looked at by itself.
    pub(super) fn take_leaf(&self) {
        self.take(self.most / MOST_LEAVES);
    }

    pub(super) fn left(&self) -> u64 {
        self.left.load(Ordering::Relaxed)
    }

    pub(super) fn take(&self, items: u64) {
        self.left.store(self.left().saturating_sub(items), Ordering::Relaxed);
    }
}

/// As much as there is where nobody counts.
pub(super) fn left(effort: Option<&Effort>) -> u64 {
    effort.map_or(u64::MAX, Effort::left)
}

pub(super) fn take(effort: Option<&Effort>, items: u64) {
    if let Some(effort) = effort {
        effort.take(items);
    }
}

impl Plan<'_> {
    /// Another stack looked at in full; `None`: all that the answer may cost is used up.
    pub fn assembled(&self, picks: &[Pick]) -> Option<Stack> {
        self.may_go_on(picks).then(|| assemble(self.setting, picks))
    }

    /// Counts a stack that is looked at in full.
    pub fn may_go_on(&self, picks: &[Pick]) -> bool {
        take(self.bench.effort, IN_FULL * picks.len() as u64);
        left(self.bench.effort) > 0
    }

    /// Counts looking through so many things known.
    pub fn may_look_through(&self, known: usize) -> bool {
        take(self.bench.effort, 1 + known as u64 / KNOWN_AN_ITEM);
        left(self.bench.effort) > 0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_used_up_stays_used_up_and_where_nobody_counts_there_is_no_end() {
        let effort = Effort::of_one_answer(100);
        assert_eq!(effort.left(), MOST + 100 * MOST_A_PART);
        effort.take(1_000_000);
        assert_eq!(effort.left(), 100 * MOST_A_PART);
        (0..MOST_LEAVES).for_each(|_| effort.take_leaf());
        assert_eq!(left(Some(&effort)), 0);
        take(None, u64::MAX);
        assert_eq!(left(None), u64::MAX);
    }
}
