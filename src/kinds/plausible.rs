//! Which values are plausible: for angles, torques, strengths, calipers, prices and what rule files ask for. The sizes
//! that are usual for a kind stand in its own row (`usual`). All of it is common practice, no source.
//!
//! Wide on purpose: what lies outside is asked about (`questions.rs`), and only what lies far outside is refused.
//! Must not know what is said about a value.

use super::table::{Row, find};
use super::{Kind, Known};
use crate::quantity::{Currency, Length};

/// From least to most, both usual. The unit is the field's own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Usual {
    pub least: i64,
    pub most: i64,
}

/// So many times less or more than what is usual no part of a front end is.
const FAR: i64 = 8;

impl Usual {
    pub fn holds(self, value: i64) -> bool {
        (self.least..=self.most).contains(&value)
    }

    /// So far out that it cannot be meant.
    pub fn rules_out(self, value: i64) -> bool {
        value.saturating_mul(FAR) < self.least || value / FAR > self.most
    }
}

/// Usual lengths of the field, in nanometres, by its kind's own table; `None` for what is no length.
pub fn size(kind: &str, field: &str) -> Option<Usual> {
    let &(_, least, most) = find(kind)?.usual.iter().find(|(name, ..)| *name == field)?;
    Some(Usual { least: least * 100_000, most: most * 100_000 })
}

/// What rule files ask for, in hundredths of a millimetre.
const LIMITS: &[Row] = &[
    ("gap", 20, 3_000),
    ("seat", 5, 500),
    ("still", 2, 500),
    ("clearance", 4, 300),
    ("springs", 0, 100),
    ("overlap", 50, 20_000),
    ("engaged", 200, 6_000),
    ("spare", 0, 2_000),
    ("past", 0, 3_000),
    ("held", 200, 20_000),
    ("unbridged", 0, 2_000),
    ("bare", 0, 20_000),
];

/// Usual lengths that a rule file asks for, in nanometres.
pub fn limit(name: &str) -> Option<Usual> {
    let &(_, least, most) = LIMITS.iter().find(|(known, ..)| *known == name)?;
    Some(Usual { least: least * 10_000, most: most * 10_000 })
}

/// Half angles that are usual for seats, thousandths of a degree.
pub const USUAL_ANGLES: &str = "45 or 36";

/// Half angles of a cone that carries something, thousandths of a degree. A steep one wedges, a flat one does not centre.
pub const SEAT_ANGLE: Usual = Usual { least: 30_000, most: 60_000 };
/// Under 10 degrees a taper jams and does not let go; over 80 it is a flat face with a slip in it.
pub const SEAT_ANGLE_ENDS: Usual = Usual { least: 10_000, most: 80_000 };
/// Cones of raw columns carry nothing as a rule.
pub const COLUMN_ANGLE: Usual = Usual { least: 15_000, most: 75_000 };
/// A wall closer to the axis, or to flat, is drawn as a cylinder, or as a step.
pub const COLUMN_ANGLE_ENDS: Usual = Usual { least: 2_000, most: 88_000 };

/// Torques, millinewton metres: pinch bolts, and everything else that is tightened by a key or a spanner.
pub fn torque(kind: &Kind) -> Usual {
    let most = if kind.is(Known::Clamp) { 40_000 } else { 100_000 };
    Usual { least: 2_000, most }
}

/// How far a size may be off against the size, one in so many, before it is asked about: diameters, which are turned or
/// drawn, and all others. A steerer of 28.6 mm may so be off by 1.1 mm, a little more than class v of ISO 2768-1 gives.
pub const DEVIATION_ONE_IN: (i64, i64) = (25, 10);
/// So much either way is usual however small the size is: class c of ISO 2768-1 has it from 0.5 mm on.
pub const DEVIATION_ALWAYS: Length = Length::um(200);
/// More than this either way no size of a front end has, however long it is: twice class v of ISO 2768-1 up to 400 mm.
pub const DEVIATION_MOST: Length = Length::mm(5);

/// What a caliper may be off by, nanometres.
pub const CALIPER: Usual = Usual { least: 5_000, most: 200_000 };

/// Tensile strengths of what front ends are made of, MPa: soft aluminium to the hardest bolts.
pub const STRENGTH: Usual = Usual { least: 80, most: 2_200 };

/// The most that one part or box costs, in whole units of its currency. Most currencies are worth so much less than
/// those named that a much larger number is still a price.
pub fn price_most(currency: Currency) -> i64 {
    match (currency.code(), currency.digits()) {
        ("EUR" | "GBP" | "USD" | "CHF" | "CAD" | "AUD" | "NZD" | "SGD" | "ILS" | "PLN" | "RON", _)
        | (_, 3) => 10_000,
        ("SEK" | "NOK" | "DKK" | "CZK" | "HKD" | "CNY" | "ZAR" | "BRL" | "MXN" | "TRY", _) => 100_000,
        (_, 0) => 10_000_000,
        _ => 50_000_000,
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Field, FieldType};
    use super::*;

    fn has_size(field: &Field) -> bool {
        matches!(field.what, FieldType::Dimension(_) | FieldType::Dimensions(_) | FieldType::KeySize)
    }

    #[test]
    fn every_size_of_every_kind_has_its_usual_values() {
        for kind in super::super::all() {
            for field in kind.fields.iter().filter(|f| has_size(f)) {
                let usual = size(kind.name, field.name);
                assert!(usual.is_some(), "{} of {} has no usual values", field.name, kind.name);
                assert!(usual.is_some_and(|u| 0 <= u.least && u.least < u.most), "{}", field.name);
            }
        }
    }

    #[test]
    fn what_is_usual_is_never_ruled_out_and_what_is_far_off_is() {
        let steerer = size("fork", "steerer_length").expect("a row");
        for mm in [70, 136, 255, 400] {
            assert!(steerer.holds(Length::mm(mm).as_nm()) && !steerer.rules_out(Length::mm(mm).as_nm()));
        }
        for (um, out) in [(13_650, false), (1_365, true), (0, true), (999_000, false), (3_300_000, true)] {
            assert!(!steerer.holds(Length::um(um).as_nm()), "{um}");
            assert_eq!(steerer.rules_out(Length::um(um).as_nm()), out, "{um}");
        }
        assert!(!size("deck", "seat_depth").expect("a row").rules_out(0));
        assert!(size("fork", "steerer_length").expect("a row").rules_out(i64::MIN / 2));
    }
}
