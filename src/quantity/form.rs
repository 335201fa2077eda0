//! A length as a linear form in named dimensions: a dimension used twice cancels exactly.
//!
//! Integers only. Coefficients are counted in millionths, so that a 45 degree cone (1/2, 1, 2) is exact;
//! where an angle makes a coefficient irrational the rest is carried in `slack`, always outward.
//! Lengths are a metre at most and no cone is steeper or flatter than 2 degrees (`kinds/plausible.rs`), so sums stay far
//! below what a number holds: `tests/extremes.rs` looks, with overflow checks on.
//! Must not know what the dimensions belong to.

use super::Length;
use serde::{Deserialize, Serialize};
use smallvec::SmallVec;

/// Coefficient 1, in millionths.
pub const ONE: i64 = 1_000_000;

const MINUS_ONE: i64 = -ONE;

/// `constant + sum(coefficient * dimension) +- slack`, nanometres. Terms sorted by dimension, no zero coefficient.
#[derive(Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Form {
    pub constant: i64,
    /// (dimension, coefficient in millionths)
    pub terms: SmallVec<[(u32, i64); 6]>,
    /// Never negative; nanometres.
    pub slack: i64,
}

/// What a form needs to know of a dimension: its nominal value and its two ends, nanometres, `least <= most`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Ends {
    pub nominal: i64,
    pub least: i64,
    pub most: i64,
}

/// Terms being put together, at most so many: as many as fit without an allocation are written in place.
struct Terms {
    few: [(u32, i64); 6],
    count: usize,
    /// All of them, where there may be more.
    many: Option<SmallVec<[(u32, i64); 6]>>,
}

impl Terms {
    fn at_most(most: usize) -> Terms {
        let many = (most > 6).then(|| SmallVec::with_capacity(most));
        Terms { few: [(0, 0); 6], count: 0, many }
    }

    #[inline(always)]
    fn push(&mut self, term: (u32, i64)) {
        match &mut self.many {
            Some(many) => many.push(term),
            None => {
                if let Some(place) = self.few.get_mut(self.count) {
                    *place = term;
                    self.count += 1;
                }
            }
        }
    }

    #[inline(always)]
    fn done(self) -> SmallVec<[(u32, i64); 6]> {
        self.many.unwrap_or_else(|| SmallVec::from_buf_and_len(self.few, self.count))
    }
}

impl Clone for Form {
    /// Terms are copied as a whole: forms are cloned more often than anything else.
    fn clone(&self) -> Form {
        Form { constant: self.constant, terms: SmallVec::from_slice(&self.terms), slack: self.slack }
    }
}

impl Form {
    pub fn constant(length: Length) -> Form {
        Form { constant: length.as_nm(), ..Form::default() }
    }

    pub fn zero() -> Form {
        Form::default()
    }

    pub fn dimension(index: u32) -> Form {
        let mut terms = SmallVec::new();
        terms.push((index, ONE));
        Form { constant: 0, terms, slack: 0 }
    }

    /// `self + times * other`, `times` in millionths; exact where the product is whole, else outward in `slack`.
    pub fn plus_times(&self, other: &Form, times: i64) -> Form {
        // Adding and taking away, by far the most frequent, need no division.
        match times {
            ONE => self.plus_scaled(other, |value| (value, 0)),
            MINUS_ONE => self.plus_scaled(other, |value| (-value, 0)),
            _ => self.plus_scaled(other, |value| {
                if let Some(product) = value.checked_mul(times) {
                    return (product.div_euclid(ONE), i64::from(product.rem_euclid(ONE) != 0));
                }
                let product = i128::from(value) * i128::from(times);
                let whole = product.div_euclid(i128::from(ONE));
                let end = if whole < 0 { i64::MIN } else { i64::MAX };
                (i64::try_from(whole).unwrap_or(end), i64::from(product.rem_euclid(i128::from(ONE)) != 0))
            }),
        }
    }

    /// `scaled`: rounded down, and 1 where something was cut off.
    #[inline(always)]
    fn plus_scaled(&self, other: &Form, scaled: impl Fn(i64) -> (i64, i64)) -> Form {
        let (constant, rest) = scaled(other.constant);
        let mut slack = self.slack + rest;
        if other.slack != 0 {
            let (more, rest) = scaled(other.slack);
            slack += more.abs() + rest;
        }
        let mut terms = Terms::at_most(self.terms.len() + other.terms.len());
        let mut own = &self.terms[..];
        for &(index, times) in &other.terms {
            while let Some((first, after)) = own.split_first().filter(|(first, _)| first.0 < index) {
                terms.push(*first);
                own = after;
            }
            let (mut coefficient, rest) = scaled(times);
            // A millionth of a metre, the longest that is read, is a micrometre: carried outward, never dropped.
            slack += rest * 1_000;
            if let Some((first, after)) = own.split_first().filter(|(first, _)| first.0 == index) {
                coefficient += first.1;
                own = after;
            }
            if coefficient != 0 {
                terms.push((index, coefficient));
            }
        }
        own.iter().for_each(|term| terms.push(*term));
        let terms = terms.done();
        Form { constant: self.constant + constant, terms, slack }
    }

    /// The same where the dimensions are known: what is cut off a coefficient is carried for lengths as long as these are.
    pub fn plus_times_within(&self, other: &Form, times: i64, dims: &[Ends]) -> Form {
        let mut form = self.plus_times(other, times);
        for &(index, k) in &other.terms {
            if (i128::from(k) * i128::from(times)).rem_euclid(i128::from(ONE)) != 0 {
                let Ends { least, most, .. } = dims[index as usize];
                form.slack -= 1_000 - (least.abs().max(most.abs()) / ONE + 1).min(1_000);
            }
        }
        form
    }

    pub fn plus(&self, other: &Form) -> Form {
        self.plus_times(other, ONE)
    }

    pub fn minus(&self, other: &Form) -> Form {
        self.plus_times(other, -ONE)
    }

    pub fn negated(&self) -> Form {
        Form::zero().minus(self)
    }

    pub fn times(&self, times: i64) -> Form {
        Form::zero().plus_times(self, times)
    }

    pub fn plus_length(mut self, length: Length) -> Form {
        self.constant += length.as_nm();
        self
    }

    pub fn with_slack(mut self, nanometres: i64) -> Form {
        self.slack += nanometres;
        self
    }

    /// The same form over dimensions numbered from `offset`: a part's own form as an item's.
    pub fn shifted(&self, offset: u32) -> Form {
        let mut form = self.clone();
        form.terms.iter_mut().for_each(|term| term.0 += offset);
        form
    }

    pub fn nominal(&self, dims: &[Ends]) -> i64 {
        self.constant + down(self.sum(|i, _| dims[i as usize].nominal))
    }

    /// Least value over all dimensions in their ranges, rounded down.
    pub fn least(&self, dims: &[Ends]) -> i64 {
        let sum = self.sum(|i, k| if k > 0 { dims[i as usize].least } else { dims[i as usize].most });
        self.constant - self.slack + down(sum)
    }

    /// Greatest value over all dimensions in their ranges, rounded up.
    pub fn most(&self, dims: &[Ends]) -> i64 {
        let sum = self.sum(|i, k| if k > 0 { dims[i as usize].most } else { dims[i as usize].least });
        self.constant + self.slack - down(-sum)
    }

    /// True when the form has the same value whatever the dimensions are.
    pub fn is_constant(&self) -> bool {
        self.terms.is_empty()
    }

    fn sum(&self, end: impl Fn(u32, i64) -> i64) -> i128 {
        // Whole coefficients, by far the most frequent, stay in 64 bits: a length is under 10^10 nm.
        let mut whole: i64 = 0;
        let mut rest: i128 = 0;
        for &(i, k) in &self.terms {
            let value = end(i, k);
            match k {
                ONE => whole += value,
                MINUS_ONE => whole -= value,
                _ => rest += i128::from(k) * i128::from(value),
            }
        }
        rest + i128::from(whole) * i128::from(ONE)
    }
}

/// Millionths of a nanometre in whole nanometres, rounded down.
fn down(sum: i128) -> i64 {
    match i64::try_from(sum) {
        Ok(sum) => sum.div_euclid(ONE),
        Err(_) => sum.div_euclid(i128::from(ONE)) as i64,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ends(nominal: i64, plus_minus: i64) -> Ends {
        Ends { nominal, least: nominal - plus_minus, most: nominal + plus_minus }
    }

    #[test]
    fn a_dimension_used_twice_cancels() {
        let length = Form::dimension(0);
        let gap = length.plus(&Form::dimension(1)).minus(&length);
        assert_eq!(gap, Form::dimension(1));
    }

    #[test]
    fn two_identical_spacers_do_not_cancel() {
        let dims = [ends(5_000_000, 100_000), ends(5_000_000, 100_000)];
        let difference = Form::dimension(0).minus(&Form::dimension(1));
        assert_eq!((difference.least(&dims), difference.most(&dims)), (-200_000, 200_000));
    }

    #[test]
    fn an_irrational_coefficient_is_rounded_outward() {
        let dims = [ends(41_800_001, 3)];
        let form = Form::dimension(0).times(688_191);
        let exact = 41_800_004_f64 * 0.688_191;
        assert!(form.most(&dims) as f64 >= exact && form.least(&dims) as f64 <= exact);
    }
}
