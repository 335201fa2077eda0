//! What is in which box, as far as it is known: where a box does not say which revision of a part it holds, each of them
//! may be in it.
//!
//! Answers are found for what is taken to be in such boxes; the rest of what is not said counts either as all of it at
//! once (what may be possible) or as nothing (what is sure). Must not know what anything costs.
//!
//! Supplies count by variant, a part in one revision (`Counts`); what is changed for good counts as what it is made from.
//! Only the first copy of a box is taken to hold anything that it does not say. Forks are not guessed at: a pairing is asked
//! for one revision, and a fork bought on a route is the one asked for. `tests/boxed_revisions.rs` holds each answer of small
//! books against trying every combination with everything that may be in the boxes.

use crate::catalogue::{BoxIx, Catalogue, Held, PartIx, VariantIx};
use crate::kinds::Known;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// More ways to fill one box with revisions are not told apart: its pieces count as nothing.
const MOST_WAYS: usize = 12;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Whose {
    /// Of the rider of the fork.
    Own,
    /// The first one there is; of any further one no more is known than it says.
    Bought,
}

/// Pieces of a part in a box that does not say in which revision they are, taken to be in these.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct InBox {
    pub whose: Whose,
    pub of: BoxIx,
    pub part: PartIx,
    /// By revision, in order. Empty: too many ways to tell apart, so none of them is counted on.
    pub pieces: Vec<(VariantIx, u32)>,
}

/// What is not said counts as this, where nothing else is taken to be so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unsaid {
    /// Every revision that may be there, all at once: more than there can be.
    All,
    /// None of them: less than there is.
    Nothing,
}

/// What is counted on when boxes are opened.
#[derive(Clone, Copy, Debug)]
pub(super) struct Taken<'t> {
    pub assumed: &'t [InBox],
    pub unsaid: Unsaid,
}

impl Taken<'_> {
    /// What the boxes themselves say, and nothing else.
    pub const SAID: Taken<'static> = Taken { assumed: &[], unsaid: Unsaid::Nothing };
}

/// Pieces by variant, in order of the variants.
pub(super) type Pieces = Vec<(VariantIx, u32)>;

/// What each box of the book brings when it is bought.
#[derive(Clone, Debug)]
pub(super) struct Contents {
    /// By box.
    first: Vec<Pieces>,
    /// One more of the same box: no more than it says.
    again: Vec<Pieces>,
}

impl Contents {
    /// `owned`: the rider has one of these already.
    pub fn of(catalogue: &Catalogue, taken: Taken<'_>, owned: Option<BoxIx>) -> Contents {
        let boxes = || (0..catalogue.boxes.len()).map(|at| BoxIx(at as u32));
        let opened = |of, taken| opened(catalogue, (Whose::Bought, of), taken);
        let first = |of| opened(of, if Some(of) == owned { Taken::SAID } else { taken });
        Contents {
            first: boxes().map(first).collect(),
            again: boxes().map(|of| opened(of, Taken::SAID)).collect(),
        }
    }

    /// `again`: one of these was bought already.
    pub fn of_box(&self, of: BoxIx, again: bool) -> &[(VariantIx, u32)] {
        let all = if again { &self.again } else { &self.first };
        all.get(of.0 as usize).map_or(&[], Vec::as_slice)
    }
}

/// What comes out of a box.
pub(super) fn opened(catalogue: &Catalogue, (whose, of): (Whose, BoxIx), taken: Taken<'_>) -> Pieces {
    let mut pieces: BTreeMap<VariantIx, u32> = BTreeMap::new();
    let mut add = |variant: VariantIx, count: u32| {
        let known = pieces.entry(variant).or_insert(0);
        *known = known.saturating_add(count);
    };
    for held in &catalogue.the_box(of).holds {
        let may_be = catalogue.may_be(held);
        if may_be.len() == 1 {
            may_be.iter().for_each(|&v| add(v, held.count));
        // A fork that is bought is the one asked for: which revision it is can be seen on it.
        } else if catalogue.part(held.part).is(Known::Fork) {
            may_be.iter().filter(|v| is_sold(catalogue, **v)).for_each(|&v| add(v, held.count));
        } else if let Some(known) = taken.assumed.iter().find(|a| a.is_about(whose, of, held.part)) {
            known.pieces.iter().for_each(|&(v, count)| add(v, count));
        } else if taken.unsaid == Unsaid::All {
            may_be.iter().for_each(|&v| add(v, held.count));
        }
    }
    pieces.into_iter().collect()
}

/// Its revision is still made, or it is made in one way only.
pub(super) fn is_sold(catalogue: &Catalogue, variant: VariantIx) -> bool {
    catalogue.variant(variant).revision.as_ref().is_none_or(|r| r.sold)
}

/// A box leaves open which revision of some part, other than a fork, it holds.
pub(super) fn leaves_open(catalogue: &Catalogue, held: &Held) -> bool {
    !catalogue.part(held.part).is(Known::Fork) && catalogue.may_be(held).len() > 1
}

impl InBox {
    pub fn is_about(&self, whose: Whose, of: BoxIx, part: PartIx) -> bool {
        (self.whose, self.of, self.part) == (whose, of, part)
    }

    /// Each thing that these pieces may be, for a box that does not say: every mix of the revisions.
    pub(super) fn ways(catalogue: &Catalogue, whose: Whose, of: BoxIx, held: &Held) -> Vec<InBox> {
        let mut mixes: Vec<Pieces> = Vec::new();
        mixes_of(&catalogue.may_be(held), held.count, &mut Vec::new(), &mut mixes);
        if mixes.len() > MOST_WAYS {
            mixes = vec![Vec::new()];
        }
        mixes.into_iter().map(|pieces| InBox { whose, of, part: held.part, pieces }).collect()
    }
}

/// All ways to take so many, all of the first revision first; one way too many is enough to know.
fn mixes_of(of: &[VariantIx], count: u32, begun: &mut Pieces, all: &mut Vec<Pieces>) {
    let Some((&first, rest)) = of.split_first() else { return };
    let fewest = if rest.is_empty() { count } else { 0 };
    for taken in (fewest..=count).rev() {
        if all.len() > MOST_WAYS {
            return;
        }
        let before = begun.len();
        begun.extend((taken > 0).then_some((first, taken)));
        if taken == count {
            all.push(begun.clone());
        } else {
            mixes_of(rest, count - taken, begun, all);
        }
        begun.truncate(before);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_may_be_all_of_one_revision_or_some_of_each() {
        let (one, two) = (VariantIx(4), VariantIx(5));
        let mut all = Vec::new();
        mixes_of(&[one, two], 2, &mut Vec::new(), &mut all);
        assert_eq!(all, [vec![(one, 2)], vec![(one, 1), (two, 1)], vec![(two, 2)]]);
    }

    #[test]
    fn of_very_many_ways_no_more_are_listed_than_show_that_they_are_too_many() {
        let revisions: Vec<VariantIx> = (0..9).map(VariantIx).collect();
        let mut all = Vec::new();
        mixes_of(&revisions, 900, &mut Vec::new(), &mut all);
        assert_eq!(all.len(), MOST_WAYS + 1);
    }
}
