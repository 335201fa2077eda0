//! A length at a handful of real builds at once, and between which ends it lies: what a glance counts with.
//!
//! Must not know what the length is of.

use crate::quantity::{Ends, Form, Length};

/// Builds looked at together: all sizes nominal; a fork that stands tall under parts that stand low; and the reverse.
pub const BUILDS: usize = 3;

/// Rounding inside a glance, nanometres: what lies nearer to a limit is left to the full judgement.
pub const ROUNDING: i64 = 1_000;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Figure {
    /// In each of the builds.
    pub at: [i64; BUILDS],
    /// Never more than in any real build, never less.
    pub least: i64,
    pub most: i64,
}

/// Dimensions as a glance reads them: once for each build, and with both ends.
pub struct Sizes {
    builds: [Vec<Ends>; BUILDS],
    ends: Vec<Ends>,
    /// Which are at their most in the first of the two builds that are not nominal.
    most_first: Vec<bool>,
}

impl Sizes {
    pub fn new() -> Sizes {
        Sizes { builds: [Vec::new(), Vec::new(), Vec::new()], ends: Vec::new(), most_first: Vec::new() }
    }

    /// Adds the dimensions of one item; `most_first`: those that are at their most in the first of the two builds.
    pub fn add(&mut self, ends: &[Ends], most_first: impl Fn(usize) -> bool) {
        for (at, &e) in ends.iter().enumerate() {
            let (first, second) = if most_first(at) { (e.most, e.least) } else { (e.least, e.most) };
            for (sizes, nominal) in self.builds.iter_mut().zip([e.nominal, first, second]) {
                sizes.push(Ends { nominal, least: nominal, most: nominal });
            }
            self.ends.push(e);
            self.most_first.push(most_first(at));
        }
    }

    pub fn ends(&self) -> &[Ends] {
        &self.ends
    }

    pub fn most_first(&self) -> &[bool] {
        &self.most_first
    }

    pub fn figure(&self, form: &Form) -> Figure {
        let at = [0, 1, 2].map(|b: usize| form.nominal(&self.builds[b]));
        Figure { at, least: form.least(&self.ends), most: form.most(&self.ends) }
    }
}

impl Figure {
    pub const ZERO: Figure = Figure { at: [0; BUILDS], least: 0, most: 0 };

    pub fn plus(self, other: Figure) -> Figure {
        Figure {
            at: each(self, other, |a, b| a + b),
            least: self.least + other.least,
            most: self.most + other.most,
        }
    }

    pub fn minus(self, other: Figure) -> Figure {
        Figure {
            at: each(self, other, |a, b| a - b),
            least: self.least - other.most,
            most: self.most - other.least,
        }
    }

    pub fn negated(self) -> Figure {
        Figure::ZERO.minus(self)
    }

    pub fn plus_length(self, length: Length) -> Figure {
        let nm = length.as_nm();
        Figure { at: self.at.map(|a| a + nm), least: self.least + nm, most: self.most + nm }
    }

    /// Times millionths, rounded outward.
    pub fn times(self, millionths: i64) -> Figure {
        let down = |value: i64| match value.checked_mul(millionths) {
            Some(product) => product.div_euclid(1_000_000),
            None => (i128::from(value) * i128::from(millionths)).div_euclid(1_000_000) as i64,
        };
        let (a, b) = (down(self.least), down(self.most));
        Figure { at: self.at.map(down), least: a.min(b), most: a.max(b) + 1 }
    }

    pub fn lower(self, other: Figure) -> Figure {
        Figure {
            at: each(self, other, i64::min),
            least: self.least.min(other.least),
            most: self.most.min(other.most),
        }
    }

    pub fn higher(self, other: Figure) -> Figure {
        Figure {
            at: each(self, other, i64::max),
            least: self.least.max(other.least),
            most: self.most.max(other.most),
        }
    }
}

fn each(a: Figure, b: Figure, of: impl Fn(i64, i64) -> i64) -> [i64; BUILDS] {
    [of(a.at[0], b.at[0]), of(a.at[1], b.at[1]), of(a.at[2], b.at[2])]
}
