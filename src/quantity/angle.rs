//! Angles in whole thousandths of a degree, with safe bounds on their tangent. No floating point here.

use std::fmt;

use super::Misread;
use super::decimal::{Scan, scaled};

/// An angle from 0 to 360 degrees: whole millidegrees.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Angle(i64);

const ONE: i128 = 1_000_000_000_000_000_000;
/// Pi by 10^18, to the nearest.
const PI: i128 = 3_141_592_653_589_793_238;
/// Far over the error of the series below: a few units for each of some 15 terms.
const SLACK: i128 = 1_000;

impl Angle {
    pub const fn millidegrees(millidegrees: i64) -> Angle {
        Angle(millidegrees)
    }

    pub const fn as_millidegrees(self) -> i64 {
        self.0
    }

    /// For drawing only: never for a verdict.
    pub fn as_radians_f64(self) -> f64 {
        (self.0 as f64 / 1e3).to_radians()
    }

    /// Reads `45`, `45°`, `45 deg`, `36.5`. Refused: over 360 degrees, more than three decimals.
    pub fn read(text: &str) -> Result<Angle, Misread> {
        let mut scan = Scan::new(text);
        scan.skip_spaces();
        let all = scan.rest_range();
        let number = scan.take(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
        scan.skip_spaces();
        let ended = matches!(scan.rest().trim_end(), "" | "°" | "deg");
        let read = scaled(number, 3).ok().filter(|m| ended && *m <= 360_000);
        read.map(Angle).ok_or_else(|| {
            Misread::new(
                all.clone(),
                format!("\"{}\" is not an angle", &text[all]),
                "degrees from 0 to 360, with at most three decimals: 45 or 36.5",
                "write 45",
            )
        })
    }

    /// Twice the tangent, in millionths, from below and from above: the same at 45 degrees, one or two apart elsewhere
    /// (more only above 89 degrees).
    /// With half a cone's angle it turns a change of gauge diameter into a height: `dh = dd / (2 tan)`.
    /// `None` where the angle is not over 0 and under 90 degrees.
    pub fn tan2_micro(self) -> Option<(i64, i64)> {
        if self.0 <= 0 || self.0 >= 90_000 {
            return None;
        }
        if self.0 == 45_000 {
            return Some((2_000_000, 2_000_000));
        }
        let radians = PI * i128::from(self.0) / 180_000;
        let (sine, cosine) = (series(radians, radians, 1), series(ONE, radians, 0));
        let low = (sine - SLACK) * 2_000_000 / (cosine + SLACK);
        let high = (sine + SLACK) * 2_000_000 / (cosine - SLACK) + 1;
        Some((i64::try_from(low).ok()?, i64::try_from(high).ok()?))
    }

    /// One over twice the tangent, in millionths, from below and from above: how much higher a cone of this half angle is for
    /// so much more diameter. The same at 45 degrees, one or two apart elsewhere (more only below a tenth of a degree).
    /// `None` where the angle is not over 0 and under 90 degrees.
    pub fn rise_micro(self) -> Option<(i64, i64)> {
        if self.0 <= 0 || self.0 >= 90_000 {
            return None;
        }
        if self.0 == 45_000 {
            return Some((500_000, 500_000));
        }
        let radians = PI * i128::from(self.0) / 180_000;
        let (sine, cosine) = (series(radians, radians, 1), series(ONE, radians, 0));
        let low = (cosine - SLACK) * 500_000 / (sine + SLACK);
        let high = (cosine + SLACK) * 500_000 / (sine - SLACK) + 1;
        Some((i64::try_from(low).ok()?, i64::try_from(high).ok()?))
    }
}

/// Sine (first term x, step 1) or cosine (first term 1, step 0) by its series, 10^18 for one.
fn series(first: i128, radians: i128, step: i128) -> i128 {
    let (mut term, mut sum, mut n) = (first, first, step);
    while term != 0 {
        term = -(term * radians / ONE * radians / ONE) / ((n + 1) * (n + 2));
        sum += term;
        n += 2;
    }
    sum
}

/// Shortest exact degrees: `36.5°`.
impl fmt::Display for Angle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = format!("{}.{:03}", self.0 / 1_000, self.0 % 1_000);
        write!(f, "{}°", text.trim_end_matches('0').trim_end_matches('.'))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tangent_is_held_between_its_bounds() {
        for millidegrees in (1..90_000).step_by(7) {
            let Some((low, high)) = Angle(millidegrees).tan2_micro() else { panic!("{millidegrees}") };
            let exact = 2e6 * (millidegrees as f64 / 1e3).to_radians().tan();
            let slack = exact * 1e-9;
            assert!(
                low as f64 <= exact + slack && exact - slack <= high as f64,
                "{millidegrees}: {low} {high}"
            );
            let tight = (0..=2).contains(&(high - low)) || millidegrees > 89_000;
            assert!(tight, "{millidegrees}: {low} {high}");
        }
    }

    #[test]
    fn the_rise_is_held_between_its_bounds() {
        for millidegrees in (1..90_000).step_by(7) {
            let Some((low, high)) = Angle(millidegrees).rise_micro() else { panic!("{millidegrees}") };
            let exact = 0.5e6 / (millidegrees as f64 / 1e3).to_radians().tan();
            let slack = exact * 1e-9 + 1e-9;
            assert!(
                low as f64 <= exact + slack && exact - slack <= high as f64,
                "{millidegrees}: {low} {high}"
            );
            let tight = (0..=2).contains(&(high - low)) || millidegrees < 100;
            assert!(tight, "{millidegrees}: {low} {high}");
        }
        assert_eq!(Angle(36_000).rise_micro(), Some((688_190, 688_191)));
        assert_eq!(Angle(0).rise_micro(), None);
        assert_eq!(Angle(90_000).rise_micro(), None);
    }

    #[test]
    fn forty_five_degrees_is_exact_and_flat_or_upright_has_no_tangent() {
        assert_eq!(Angle(45_000).tan2_micro(), Some((2_000_000, 2_000_000)));
        assert_eq!(Angle(36_000).tan2_micro(), Some((1_453_085, 1_453_086)));
        assert_eq!(Angle(0).tan2_micro(), None);
        assert_eq!(Angle(90_000).tan2_micro(), None);
    }

    #[test]
    fn angles_are_read_exactly_or_refused() {
        for text in ["45", "45°", "45 deg", " 45.000 ° "] {
            assert_eq!(Angle::read(text), Ok(Angle(45_000)), "{text}");
        }
        assert_eq!(Angle::read("36.5").map(|a| a.to_string()), Ok("36.5°".to_string()));
        for text in ["", "45 rad", "-45", "45,5", "361", "45.0001", "°", "45 45"] {
            assert!(Angle::read(text).is_err(), "{text}");
        }
    }
}
