//! The key to an unknown fork: the fewest caliper readings and looks that tell every fork of the book from every
//! other that can be told from it. Must not know words.
//!
//! A reading splits at thresholds that no fork's range, widened by the caliper's error, reaches over; a fork whose
//! range does reach over one is followed on both sides. So whatever is read on a real fork of the book, the key
//! leads it to a class that it belongs to.
//!
//! `src/kinds/bare_fork.rs` lists what a caliper reaches and what is seen. `tests/key.rs` tries thousands of readings of
//! every fork.

mod profile;
mod split;
#[cfg(test)]
mod tests;
mod tree;

use crate::catalogue::{Catalogue, VariantIx};
use crate::kinds::Known;
use crate::quantity::{Caliper, Thread};

/// Something seen, or tried by hand, without a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Look {
    /// The fork has this surface.
    Has(&'static str),
    /// The thread on this surface is this one.
    Thread(&'static str, Thread),
    /// The insert has a floor.
    InsertClosed,
}

/// One question of the key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Ask {
    See(Look),
    /// Read this size of the fork with a caliper.
    Read(&'static str),
}

/// Where an answer leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KeyEnd {
    /// Index into [`ForkKey::questions`], never of one that the way here came through.
    Question(usize),
    /// Index into [`ForkKey::classes`].
    Class(usize),
}

/// What leads on: something seen, or a reading in `from <= reading < below`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Found {
    Seen(bool),
    Reads { from: Option<i64>, below: Option<i64> },
}

#[derive(Clone, Debug, PartialEq)]
pub struct KeyQuestion {
    pub ask: Ask,
    /// Caliper uncertainty of this reading, nanometres; 0 for a look.
    pub caliper: i64,
    /// One of the sizes compared here is only assumed.
    pub assumed: bool,
    /// Every possible finding leads to exactly one of them.
    pub answers: Vec<(Found, KeyEnd)>,
}

/// Forks that no reading and no look can tell apart.
#[derive(Clone, Debug, PartialEq)]
pub struct KeyClass {
    pub forks: Vec<VariantIx>,
    /// Everything else that must agree, or the fork is not in the book: what a caliper reads, its error included.
    pub readings: Vec<ClassReading>,
    pub looks: Vec<(Look, bool)>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClassReading {
    pub field: &'static str,
    pub least: i64,
    pub most: i64,
}

#[derive(Clone, Debug, PartialEq)]
pub struct ForkKey {
    /// `None` where the book has no fork.
    pub start: Option<KeyEnd>,
    /// In the order in which a reader meets them.
    pub questions: Vec<KeyQuestion>,
    pub classes: Vec<KeyClass>,
    /// Questions on the longest way.
    pub most_steps: usize,
    /// Forks that may be asked, summed over all questions: what the search makes least after `most_steps`.
    pub asked: usize,
    /// Questions on the longest way that each fork of the book may take, summed over the forks.
    pub all_steps: usize,
    pub forks: usize,
    /// False: the search came to its limit, and a key that asks less may exist.
    pub proved_shortest: bool,
}

/// Sets of forks looked at before the search for the shortest key is given up.
const SETS_LIMIT: usize = 60_000;

/// Of all keys that never let a reading fall between two answers: the one with the fewest questions on its longest
/// way, of those the one that asks the fewest forks over all its questions, of those the one that leans least on assumed sizes, of those
/// the one with the fewest readings. Exact up to [`SETS_LIMIT`] sets; beyond, a good key is made step by step and
/// marked. Forks of every revision count, also those no longer sold.
pub fn fork_key(catalogue: &Catalogue, caliper: Caliper) -> ForkKey {
    let forks: Vec<VariantIx> = catalogue.variants_known_as(Known::Fork).collect();
    let profiles = profile::profiles(catalogue, caliper, &forks);
    tree::key(&profiles, SETS_LIMIT)
}

impl ForkKey {
    /// The class that a fork in the hand is led to. `None` where the key is empty.
    pub fn led(&self, see: impl Fn(Look) -> bool, read: impl Fn(&str) -> i64) -> Option<usize> {
        let mut at = self.start?;
        loop {
            let question = match at {
                KeyEnd::Class(class) => return Some(class),
                KeyEnd::Question(number) => self.questions.get(number)?,
            };
            let fits = |found: &Found| match (*found, question.ask) {
                (Found::Seen(seen), Ask::See(look)) => see(look) == seen,
                (Found::Reads { from, below }, Ask::Read(field)) => {
                    let reading = read(field);
                    from.is_none_or(|f| f <= reading) && below.is_none_or(|b| reading < b)
                }
                _ => false,
            };
            at = question.answers.iter().find(|(found, _)| fits(found))?.1;
        }
    }
}
