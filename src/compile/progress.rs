//! How far a run has come, piece by piece. Must not know who listens.

use super::Progress;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What a run is at, in the order of a compile.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Work {
    /// Pairings to be answered.
    Answers,
    /// Pairings to be told: every deck and every set of bars is asked for each.
    Decks,
    /// Guides for bars that come to another plan.
    Bars,
    /// Set-ups that the routes of an answer begin and end with.
    SetUps,
    /// Guides to be drawn.
    Drawings,
    /// Pairings of *what I have*.
    Have,
    Pages,
    /// What `inspect` doubts.
    Doubts,
}

/// Who is told how far a long piece of work is, and is asked whether it is still of use.
#[derive(Clone, Copy)]
pub struct Heeded<'p> {
    pub progress: &'p (dyn Fn(Progress<'_>) + Sync),
    pub is_outdated: &'p (dyn Fn() -> bool + Sync),
}

/// Counts one piece of work after the other, from any thread.
pub struct Count<'p> {
    work: Work,
    done: AtomicUsize,
    total: usize,
    progress: &'p (dyn Fn(Progress<'_>) + Sync),
}

impl<'p> Count<'p> {
    pub fn of(work: Work, total: usize, progress: &'p (dyn Fn(Progress<'_>) + Sync)) -> Count<'p> {
        if total > 0 {
            progress(Progress::Done { work, done: 0, total });
        }
        Count { work, done: AtomicUsize::new(0), total, progress }
    }

    /// One more is done.
    pub fn one<T>(&self, made: T) -> T {
        let done = self.done.fetch_add(1, Ordering::Relaxed) + 1;
        (self.progress)(Progress::Done { work: self.work, done, total: self.total });
        made
    }
}
