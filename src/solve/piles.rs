//! Piles of spacers and risers between the same parts: what is known of the head tubes of some tells where to look for
//! those of others.
//!
//! Numbers change piecewise linearly with the height of a pile of rings of one sort, and with the head tube; a limit
//! asks for a pile and a head tube that are together long or short enough, or for the head tube alone. So a
//! taller pile never needs a longer head tube, and needs one shorter by no more than it is taller.

use super::bench::Plan;
use super::head_tube::rings;
use crate::catalogue::VariantIx;
use crate::kinds::NamedDim;
use std::collections::HashMap;

/// What a pile of fillers is to the checks. Piles that are as high when all is nominal may still differ by their
/// tolerances, and with these by where they go.
#[derive(Clone, PartialEq, Eq, Hash)]
pub struct Pile {
    /// Nominal; the greatest it may be off. Nanometres.
    pub height: i64,
    pub off: i64,
    ends: (i64, i64),
    /// Sorts of rings, from below.
    rings: Vec<u32>,
}

impl Pile {
    pub fn of(plan: &Plan<'_>, with: &[VariantIx]) -> Pile {
        let shapes = with.iter().map(|&v| &plan.bench.catalogue.variant(v).shape);
        let all =
            shapes.filter_map(|shape| shape.dims.iter().find(|d| d.name == "length")).map(NamedDim::ends);
        let (mut height, mut least, mut most) = (0, 0, 0);
        for ends in all {
            height += ends.nominal;
            least += ends.least;
            most += ends.most;
        }
        let off = (most - height).max(height - least);
        Pile { height, off, ends: (least, most), rings: rings(plan, with) }
    }
}

/// Piles tried, with the head tubes found for them.
#[derive(Default)]
pub struct Tried {
    of_rings: HashMap<Vec<u32>, Vec<(Pile, Option<Reach>)>>,
    count: usize,
}

/// Shortest and longest head tube.
pub type Reach = (i64, i64);

impl Tried {
    pub fn add(&mut self, pile: &Pile, reach: Option<Reach>) {
        self.count += 1;
        self.of_rings.entry(pile.rings.clone()).or_default().push((pile.clone(), reach));
    }

    /// How many there are.
    pub fn count(&self) -> usize {
        self.count
    }

    fn alike(&self, pile: &Pile) -> impl Iterator<Item = &(Pile, Option<Reach>)> {
        self.of_rings.get(&pile.rings).into_iter().flatten()
    }

    pub fn knows(&self, pile: &Pile) -> bool {
        self.alike(pile).any(|(other, _)| other.ends == pile.ends)
    }

    /// One that goes, then one between it and this one that does not: it would have to go on fewer head tubes still.
    pub fn never(&self, pile: &Pile) -> bool {
        let mut barred = self.alike(pile).filter(|(bar, reach)| reach.is_none() && bar.off <= pile.off);
        let beyond = |bar: &Pile, good: &Pile| {
            let way = bar.height - good.height;
            way != 0 && way.signum() * (pile.height - bar.height) >= 0 && good.off >= bar.off
        };
        barred.any(|(bar, _)| self.alike(pile).any(|(good, reach)| reach.is_some() && beyond(bar, good)))
    }

    /// The nearest in height that goes.
    fn nearest(&self, pile: &Pile, serves: impl Fn(&Pile) -> bool) -> Option<(&Pile, Reach)> {
        let going = self.alike(pile).filter_map(|(other, reach)| Some((other, (*reach)?)));
        going.filter(|(other, _)| serves(other)).min_by_key(|(other, _)| (other.height - pile.height).abs())
    }

    /// Height and head tubes of the most similar pile that goes.
    pub fn near(&self, pile: &Pile) -> Option<(i64, Reach)> {
        self.nearest(pile, |_| true).map(|(other, reach)| (other.height, reach))
    }

    /// No head tube outside these serves.
    pub fn within(&self, pile: &Pile) -> Option<Reach> {
        let lower = self.nearest(pile, |other| other.height <= pile.height);
        let taller = self.nearest(pile, |other| other.height >= pile.height);
        let from_lower = lower.map(|(other, (least, most))| {
            let off = other.off + pile.off;
            (least - (pile.height - other.height) - off, most + off)
        });
        let from_taller = taller.map(|(other, (least, most))| {
            let off = other.off + pile.off;
            (least - off, most + (other.height - pile.height) + off)
        });
        match (from_lower, from_taller) {
            (Some(a), Some(b)) => Some((a.0.max(b.0), a.1.min(b.1))),
            (a, b) => a.or(b),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pile(height: i64, off: i64) -> Pile {
        Pile { height, off, ends: (height - off, height + off), rings: vec![1] }
    }

    #[test]
    fn a_pile_between_two_goes_at_most_where_both_let_it() {
        let mut tried = Tried::default();
        tried.add(&pile(10, 1), Some((90, 95)));
        assert_eq!(tried.within(&pile(12, 1)), Some((86, 97)));
        tried.add(&pile(14, 1), Some((86, 91)));
        assert_eq!(tried.within(&pile(12, 1)), Some((86, 95)));
        assert_eq!(tried.near(&pile(13, 1)), Some((14, (86, 91))));
        assert!(tried.knows(&pile(14, 1)) && !tried.knows(&pile(14, 2)));
    }

    #[test]
    fn beyond_one_that_goes_nowhere_none_goes() {
        let mut tried = Tried::default();
        tried.add(&pile(10, 1), Some((90, 95)));
        tried.add(&pile(14, 1), None);
        assert!(tried.never(&pile(16, 1)) && !tried.never(&pile(12, 1)) && !tried.never(&pile(8, 1)));
        // A truer one may go where a coarser one does not.
        assert!(!tried.never(&pile(16, 0)));
    }
}
