//! Which parts of a book are the same to every check, and which are plain rings that may change places in a pile.
//!
//! Must not know what a part costs or where it comes from.

use crate::catalogue::VariantIx;
use crate::kinds::{NamedDim, Shape};
use crate::quantity::Ends;
use std::collections::HashMap;

/// By variant.
#[derive(Clone, Debug, Default)]
pub struct Alike {
    /// The first that is the same to every check.
    same: Vec<u32>,
    /// For a plain ring, the first with its bore and outside.
    rings: Vec<Option<u32>>,
}

impl Alike {
    /// `by_itself`: what a check knows of this one and not of others of its sizes (a trial): it is like no other.
    pub fn of<'s>(shapes: impl Iterator<Item = &'s Shape>, by_itself: impl Fn(VariantIx) -> bool) -> Alike {
        let shapes: Vec<&Shape> = shapes.collect();
        let mut alike = Alike::default();
        let mut by_sizes: HashMap<Vec<[i64; 3]>, Vec<u32>> = HashMap::new();
        let mut rings: Vec<u32> = Vec::new();
        for (at, shape) in (0_u32..).zip(&shapes) {
            if by_itself(VariantIx(at)) {
                alike.push();
                continue;
            }
            let firsts = by_sizes.entry(sizes(shape)).or_default();
            let same = firsts.iter().find(|&&f| shapes[f as usize].same_to_checks(shape)).copied();
            if same.is_none() {
                firsts.push(at);
            }
            let ring = match same {
                Some(same) => alike.rings[same as usize],
                None if shape.plain_ring_like(shape) => {
                    let like = rings.iter().find(|&&r| shapes[r as usize].plain_ring_like(shape)).copied();
                    if like.is_none() {
                        rings.push(at);
                    }
                    Some(like.unwrap_or(at))
                }
                None => None,
            };
            alike.same.push(same.unwrap_or(at));
            alike.rings.push(ring);
        }
        alike
    }

    /// One more, which counts as like no other.
    pub fn push(&mut self) {
        self.same.push(self.same.len() as u32);
        self.rings.push(None);
    }

    /// The first variant that is the same to every check.
    pub fn same(&self, variant: VariantIx) -> u32 {
        self.same[variant.0 as usize]
    }

    /// For a plain ring, the first variant with its bore and outside.
    pub fn ring(&self, variant: VariantIx) -> Option<u32> {
        self.rings[variant.0 as usize]
    }

    /// Both are plain rings of the same bore and outside: in a pile they may change places.
    pub fn change_places(&self, a: VariantIx, b: VariantIx) -> bool {
        self.ring(a).is_some() && self.ring(a) == self.ring(b)
    }
}

fn sizes(shape: &Shape) -> Vec<[i64; 3]> {
    let ends = |e: Ends| [e.nominal, e.least, e.most];
    shape.dims.iter().map(|d| ends(NamedDim::ends(d))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kinds::shape_for_tests::good;

    fn spacer(inside: &str, length: &str) -> Shape {
        good("spacer", &format!("bore = \"{inside}\"\noutside = \"36\"\nlength = \"{length}\""))
    }

    #[test]
    fn parts_of_the_same_sizes_are_alike_and_others_are_not() {
        let shapes = [
            spacer("28.8", "5 ±0.1"),
            spacer("28.8", "5 ±0.2"),
            spacer("28.8", "5 ±0.1"),
            spacer("25.6", "5 ±0.1"),
        ];
        let alike = Alike::of(shapes.iter(), |_| false);
        assert_eq!([0, 1, 2, 3].map(|v| alike.same(VariantIx(v))), [0, 1, 0, 3]);
    }

    #[test]
    fn rings_of_one_bore_and_outside_may_change_places_whatever_their_lengths() {
        let shapes = [spacer("28.8", "5"), spacer("28.8", "10"), spacer("25.6", "5")];
        let alike = Alike::of(shapes.iter(), |_| false);
        assert!(alike.change_places(VariantIx(0), VariantIx(1)));
        assert!(!alike.change_places(VariantIx(0), VariantIx(2)));
    }

    #[test]
    fn a_part_that_was_tried_is_like_no_other() {
        let shapes = [spacer("28.8", "5"), spacer("28.8", "5"), spacer("28.8", "5")];
        let alike = Alike::of(shapes.iter(), |v| v == VariantIx(0));
        assert_eq!([0, 1, 2].map(|v| alike.same(VariantIx(v))), [0, 1, 1]);
        assert!(!alike.change_places(VariantIx(0), VariantIx(1)));
    }

    #[test]
    fn a_part_that_comes_later_is_like_no_other() {
        let shapes = [spacer("28.8", "5")];
        let mut alike = Alike::of(shapes.iter(), |_| false);
        alike.push();
        assert_eq!(alike.same(VariantIx(1)), 1);
        assert!(!alike.change_places(VariantIx(0), VariantIx(1)));
    }
}
