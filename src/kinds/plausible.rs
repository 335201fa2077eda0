//! Which values are plausible: for each kind of part and field the sizes that are usual, and so for angles, torques,
//! strengths, calipers and prices. The one place that holds them. All of it is common practice, no source.
//!
//! Wide on purpose: what lies outside is asked about (`questions.rs`), and only what lies far outside is refused.
//! Must not know what is said about a value.

use super::Kind;
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

/// Field, least and most that is usual.
type Row = (&'static str, i64, i64);

/// Sizes by kind and field, in tenths of a millimetre.
const SIZES: &[(&str, &[Row])] = &[
    (
        "fork",
        &[
            ("crown_outside", 250, 900),
            ("crown_height", 80, 900),
            ("bottom_thickness", 20, 400),
            ("bottom_bore", 40, 250),
            ("seat_diameter", 220, 450),
            ("seat_height", 10, 200),
            ("steerer_outside", 210, 400),
            ("steerer_bore", 120, 380),
            ("steerer_length", 700, 4_000),
            ("upper_outside", 190, 390),
            ("upper_length", 100, 1_500),
            ("thread_length", 60, 1_000),
            ("insert_depth", 0, 1_800),
            ("insert_length", 40, 800),
            ("insert_floor", 5, 300),
            ("race_gauge", 260, 550),
            ("race_height", 5, 100),
            ("race_base", 2, 100),
        ],
    ),
    (
        "deck",
        &[
            ("head_tube_length", 500, 2_000),
            ("head_tube_outside", 320, 800),
            ("head_tube_bore", 240, 600),
            ("seat_bore", 280, 650),
            ("seat_depth", 0, 250),
        ],
    ),
    (
        "crown-race",
        &[
            ("bore", 220, 450),
            ("flange_outside", 270, 700),
            ("flange_height", 2, 100),
            ("cone_gauge", 240, 600),
            ("cone_height", 4, 100),
        ],
    ),
    (
        "bearing",
        &[
            ("outside", 260, 600),
            ("inside", 210, 460),
            ("height", 30, 160),
            ("inner_chamfer", 2, 50),
            ("outer_chamfer", 2, 50),
            ("inner_ring_outside", 230, 550),
            ("outer_ring_inside", 240, 580),
        ],
    ),
    (
        "compression-ring",
        &[
            ("bore", 200, 410),
            ("gauge", 230, 500),
            ("cone_height", 4, 120),
            ("rim_height", 1, 100),
            ("slot", 3, 100),
        ],
    ),
    (
        "top-cap",
        &[
            ("bore", 200, 450),
            ("outside", 280, 800),
            ("height", 5, 400),
            ("skirt_inside", 260, 750),
            ("skirt_depth", 1, 200),
            ("hub_outside", 220, 650),
            ("hub_depth", 1, 200),
        ],
    ),
    ("spacer", &[("bore", 200, 450), ("outside", 230, 700), ("length", 1, 800)]),
    ("riser", &[("bore", 200, 450), ("outside", 230, 800), ("length", 10, 1_200)]),
    (
        "shim",
        &[
            ("inside", 190, 400),
            ("outside", 200, 550),
            ("length", 80, 1_500),
            ("lip_outside", 210, 700),
            ("lip_height", 2, 300),
            ("slot", 2, 120),
            ("slot_length", 30, 1_500),
        ],
    ),
    (
        "liner",
        &[
            ("inside", 190, 450),
            ("outside", 200, 550),
            ("length", 80, 1_500),
            ("slot", 2, 120),
            ("slot_length", 30, 1_500),
        ],
    ),
    (
        "clamp",
        &[
            ("bore", 200, 550),
            ("outside", 250, 1_000),
            ("length", 100, 2_000),
            ("slot", 4, 150),
            ("upper_bore", 200, 550),
            ("shelf_bore", 40, 450),
            ("shelf_height", 40, 1_600),
            ("shelf_thickness", 8, 400),
            ("pinch_heights", 15, 1_950),
            ("pinch_key", 20, 120),
            ("ear_reach", 130, 900),
        ],
    ),
    (
        "cap",
        &[
            ("outside", 120, 700),
            ("thickness", 8, 500),
            ("hole", 40, 250),
            ("spigot_outside", 70, 500),
            ("spigot_depth", 2, 500),
            ("recess_bore", 60, 450),
            ("recess_depth", 2, 400),
        ],
    ),
    (
        "bolt",
        &[
            ("length", 60, 3_500),
            ("thread_length", 40, 3_500),
            ("head_outside", 50, 500),
            ("head_height", 10, 400),
            ("key", 15, 140),
        ],
    ),
    (
        "star-nut",
        &[
            ("height", 20, 500),
            ("core_outside", 50, 340),
            ("fits_bore_least", 120, 400),
            ("fits_bore_most", 120, 400),
        ],
    ),
    (
        "bars",
        &[
            ("outside", 200, 450),
            ("inside", 140, 420),
            ("inside_depth", 150, 10_000),
            ("tube_length", 600, 10_000),
            ("crossbar_width", 600, 10_000),
            ("crossbar_thickness", 100, 800),
            ("slit_width", 4, 150),
            ("slit_length", 80, 2_000),
        ],
    ),
    ("bar-sleeve", &[("inside", 40, 400), ("outside", 130, 420), ("length", 100, 3_000)]),
    (
        "quill",
        &[
            ("shaft_outside", 120, 350),
            ("shaft_length", 300, 3_000),
            ("insertion_least", 150, 2_500),
            ("collar_outside", 180, 700),
            ("collar_height", 10, 600),
            ("post_outside", 180, 450),
            ("post_length", 150, 2_500),
            ("key", 20, 140),
        ],
    ),
    (
        "threaded-race",
        &[
            ("outside", 260, 650),
            ("height", 10, 300),
            ("cone_gauge", 240, 600),
            ("cone_height", 4, 120),
            ("spanner", 180, 600),
        ],
    ),
    ("washer", &[("bore", 30, 450), ("outside", 60, 700), ("thickness", 2, 120)]),
    ("locknut", &[("outside", 260, 700), ("height", 20, 400), ("spanner", 180, 600)]),
    (
        "custom",
        &[
            ("slot", 2, 150),
            ("slot_length", 30, 2_000),
            ("pinch_heights", 15, 1_950),
            ("pinch_key", 20, 120),
            ("ear_reach", 130, 900),
        ],
    ),
];

/// Usual lengths of the field, in nanometres; `None` for what is no length.
pub fn size(kind: &str, field: &str) -> Option<Usual> {
    let (_, fields) = SIZES.iter().find(|(name, _)| *name == kind)?;
    let &(_, least, most) = fields.iter().find(|(name, ..)| *name == field)?;
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
    match kind.name {
        "clamp" => Usual { least: 2_000, most: 40_000 },
        _ => Usual { least: 2_000, most: 100_000 },
    }
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
                assert!(usual.is_some(), "{} of {} stands in no row of SIZES", field.name, kind.name);
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
