//! What the last run answered, for the next one to take as it is where it is made from the same.
//!
//! Must not know how answers are found.

use super::made_from::MadeFrom;
use crate::solve::Answer;
use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};

/// A fork's id and a system's.
type Pair = (String, String);

/// Of each pairing what it was made from, and its answers.
#[derive(Default)]
pub struct Kept(Mutex<HashMap<Pair, (MadeFrom, Vec<Answer>)>>);

impl Kept {
    /// The answers, if they are made from the same.
    pub fn answers(&self, pair: &Pair, from: &MadeFrom) -> Option<Vec<Answer>> {
        let known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        known.get(pair).filter(|(before, _)| before == from).map(|(_, answers)| answers.clone())
    }

    /// In place of all that was kept before: what is not in the book any more is forgotten.
    pub fn keep(&self, all: impl Iterator<Item = (Pair, (MadeFrom, Vec<Answer>))>) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = all.collect();
    }
}
