//! Linear expressions over dimensions, in floating point, for the linear programmes. Knows no parts.

/// What is less than this (millimetres) is nothing: a hundredth of a nanometre.
pub const NOTHING: f64 = 1e-8;
pub const NANOMETRE: f64 = 1e-6;

/// A linear expression in millimetres over how far each dimension is above its least.
#[derive(Clone, Debug, PartialEq)]
pub struct Linear {
    pub constant: f64,
    pub terms: Vec<(usize, f64)>,
}

impl Linear {
    pub fn plus(&self, other: &Linear, times: f64) -> Linear {
        let mut sum = self.clone();
        sum.constant += times * other.constant;
        for &(dim, k) in &other.terms {
            match sum.terms.iter_mut().find(|t| t.0 == dim) {
                Some(term) => term.1 += times * k,
                None => sum.terms.push((dim, times * k)),
            }
        }
        sum.terms.retain(|t| t.1.abs() > 1e-12);
        sum.terms.sort_by_key(|t| t.0);
        sum
    }

    pub fn minus(&self, other: &Linear) -> Linear {
        self.plus(other, -1.0)
    }

    pub fn negated(&self) -> Linear {
        Linear { constant: 0.0, terms: vec![] }.minus(self)
    }

    pub fn same(&self, other: &Linear) -> bool {
        let rest = self.minus(other);
        rest.terms.is_empty() && rest.constant.abs() < NOTHING
    }
}
