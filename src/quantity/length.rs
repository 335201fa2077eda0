//! A length: a whole number of nanometres. No floating point here.

use std::fmt;

/// An exact length in nanometres. Whatever is read is a metre at most (`amount.rs`), so that a thousand million of them
/// add up exactly; past what a number holds a sum stays at the end, it never turns round to a small one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Length(i64);

impl Length {
    pub const ZERO: Length = Length(0);

    pub const fn nm(nanometres: i64) -> Length {
        Length(nanometres)
    }

    pub const fn um(micrometres: i64) -> Length {
        Length(micrometres.saturating_mul(1_000))
    }

    pub const fn mm(millimetres: i64) -> Length {
        Length(millimetres.saturating_mul(1_000_000))
    }

    pub const fn as_nm(self) -> i64 {
        self.0
    }

    /// For drawing only: never for a verdict.
    pub fn as_mm_f64(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// Millimetres, rounded half away from zero to `places` decimals (0 to 6), always with that many.
    pub fn to_mm(self, places: u32) -> String {
        let step = 10_i128.pow(6 - places.min(6));
        let half = if self.0 < 0 { -(step / 2) } else { step / 2 };
        let units = (i128::from(self.0) + half) / step;
        let scale = 10_i128.pow(places.min(6));
        let sign = if units < 0 { "-" } else { "" };
        let whole = units.abs() / scale;
        if places == 0 {
            return format!("{sign}{whole}");
        }
        format!("{sign}{whole}.{:0width$}", units.abs() % scale, width = places.min(6) as usize)
    }
}

impl std::ops::Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0.saturating_add(other.0))
    }
}

impl std::ops::Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0.saturating_sub(other.0))
    }
}

impl std::ops::Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(self.0.saturating_neg())
    }
}

/// Shortest exact millimetres: `28.575`.
impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = self.to_mm(6);
        f.write_str(text.trim_end_matches('0').trim_end_matches('.'))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sixty_fourth_of_an_inch_is_exact() {
        assert_eq!(Length::nm(396_875).to_string(), "0.396875");
    }

    #[test]
    fn rounding_for_print_is_half_away_from_zero() {
        assert_eq!(Length::nm(28_575_000).to_mm(2), "28.58");
        assert_eq!(Length::nm(-28_575_000).to_mm(2), "-28.58");
        assert_eq!(Length::nm(-4_000).to_mm(2), "0.00");
        assert_eq!(Length::mm(3).to_mm(0), "3");
    }

    #[test]
    fn a_sum_past_the_end_stays_there() {
        let (least, most) = (Length::nm(i64::MIN), Length::nm(i64::MAX));
        assert_eq!((most + Length::nm(1), least - Length::nm(1)), (most, least));
        assert_eq!((-least, Length::mm(i64::MAX), Length::um(i64::MIN)), (most, most, least));
        assert_eq!(least.to_mm(6), "-9223372036854.775808");
        assert_eq!(most.to_mm(0), "9223372036855");
    }
}
