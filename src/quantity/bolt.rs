//! How strong bolts are and what a torque pulls. Whole numbers only. Must not know any particular bolt.

use std::fmt;

use super::decimal::scaled;
use super::{Force, Length, Misread, Thread, Torque, TorqueRange};
use serde::{Deserialize, Serialize};

/// A least tensile strength in whole megapascals, never zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Strength(u32);

impl Strength {
    /// `None` for zero and for more than 5000 MPa, which no fastener has.
    pub fn mpa(megapascals: u32) -> Option<Strength> {
        (1..=5_000).contains(&megapascals).then_some(Strength(megapascals))
    }

    pub fn as_mpa(self) -> u32 {
        self.0
    }
}

/// Property classes of bolts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum PropertyClass {
    C8_8,
    C10_9,
    C12_9,
    /// Stainless.
    A2_70,
}

/// Word, tensile strength, proof stress, both in MPa. 8.8 to 12.9: ISO 898-1 for up to 16 mm, secondary.
/// A2-70: ISO 3506-1, from memory; it names no proof stress, so the 0.2 % yield stands in for it.
const CLASSES: [(PropertyClass, &str, u32, u32); 4] = [
    (PropertyClass::C8_8, "8.8", 800, 580),
    (PropertyClass::C10_9, "10.9", 1_040, 830),
    (PropertyClass::C12_9, "12.9", 1_220, 970),
    (PropertyClass::A2_70, "A2-70", 700, 450),
];

/// Ten lubricated bolts at the same torque pulled 34.18 kN with a standard deviation of 2.88 kN (Shigley, table 8-14).
const SPREAD_MEAN: i128 = 3_418;
const SPREAD_DEVIATION: i128 = 288;

/// Pi by 10^9, rounded down: loads that a bolt carries come out no greater than they are.
const PI_DOWN: i128 = 3_141_592_653;

impl PropertyClass {
    /// As data files write them.
    pub const WORDS: [&'static str; 4] = [CLASSES[0].1, CLASSES[1].1, CLASSES[2].1, CLASSES[3].1];

    /// Reads `8.8`, `10.9`, `12.9`, `A2-70`.
    pub fn read(text: &str) -> Result<PropertyClass, Misread> {
        let word = text.trim();
        let start = text.len() - text.trim_start().len();
        CLASSES.iter().find(|c| c.1 == word).map(|c| c.0).ok_or_else(|| {
            Misread::new(
                start..start + word.len(),
                format!("\"{word}\" is not a property class that is known here"),
                "8.8, 10.9, 12.9 or A2-70",
                "read it off the bolt's head",
            )
        })
    }

    pub fn tensile(self) -> Strength {
        Strength(self.row().2)
    }

    /// The stress a bolt carries without lasting stretch.
    pub fn proof(self) -> Strength {
        Strength(self.row().3)
    }

    /// Proof stress times the tensile area of ISO 898-1, rounded down. The standard's own table differs from
    /// that by up to 0.62 %. `None` for the inch threads of steerers.
    pub fn proof_load(self, thread: Thread) -> Option<Force> {
        load(thread, self.proof())
    }

    /// The pull at which the weakest bolt of the class breaks, rounded down.
    pub fn breaking_load(self, thread: Thread) -> Option<Force> {
        load(thread, self.tensile())
    }

    fn row(self) -> &'static (PropertyClass, &'static str, u32, u32) {
        CLASSES.iter().find(|c| c.0 == self).unwrap_or(&CLASSES[0])
    }
}

impl fmt::Display for PropertyClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.row().1)
    }
}

/// K of the short torque formula T = K F d, in whole thousandths, never zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct NutFactor(u16);

impl NutFactor {
    /// Shigley, table 8-15.
    pub const PLAIN: NutFactor = NutFactor(300);
    pub const ZINC_PLATED: NutFactor = NutFactor(200);
    pub const LUBRICATED: NutFactor = NutFactor(180);

    /// Reads `0.2`; refused outside 0.05 to 0.5 and with more than three decimals.
    pub fn read(text: &str) -> Result<NutFactor, Misread> {
        let word = text.trim();
        let start = text.len() - text.trim_start().len();
        let thousandths = scaled(word, 3).ok().filter(|k| (50..=500).contains(k));
        thousandths.and_then(|k| u16::try_from(k).ok()).map(NutFactor).ok_or_else(|| {
            Misread::new(
                start..start + word.len(),
                format!("\"{word}\" is not a nut factor"),
                "0.05 to 0.5: 0.3 plain, 0.2 zinc plated, 0.18 lubricated",
                "write 0.2",
            )
        })
    }

    pub fn as_thousandths(self) -> u16 {
        self.0
    }
}

/// F = T / (K d), rounded to the nearest millinewton. `None` for a diameter that is not over zero.
///
/// A pull from a torque scatters by some 8 % (Shigley, table 8-14): never print one as exact.
pub fn preload(torque: Torque, factor: NutFactor, diameter: Length) -> Option<Force> {
    let under = i128::from(factor.0) * i128::from(diameter.as_nm());
    if under <= 0 {
        return None;
    }
    let over = i128::from(torque.as_mnm()) * 1_000_000_000_000;
    i64::try_from((over + under / 2).div_euclid(under)).ok().map(Force::mn)
}

/// From where to where a torque's pull is likely to lie: two standard deviations of [`preload`] below the least and above the
/// most torque. `None` as there.
pub fn preload_spread(torque: TorqueRange, factor: NutFactor, diameter: Length) -> Option<(Force, Force)> {
    let at = |torque: Torque, sign: i128| {
        let pull = i128::from(preload(torque, factor, diameter)?.as_mn());
        let off = pull * 2 * SPREAD_DEVIATION;
        i64::try_from(pull + (sign * off).div_euclid(SPREAD_MEAN)).ok().map(Force::mn)
    };
    Some((at(torque.least(), -1)?, at(torque.most(), 1)?))
}

/// T = K F d, rounded down to a millinewton metre. `None` where it would not fit.
pub fn torque_for(pull: Force, factor: NutFactor, diameter: Length) -> Option<Torque> {
    let product = i128::from(pull.as_mn()) * i128::from(diameter.as_nm()) * i128::from(factor.0);
    i64::try_from(product.div_euclid(1_000_000_000_000)).ok().map(Torque::mnm)
}

/// The torque at which the pull reaches `percent` of the proof load, rounded down. A maker's torque above
/// it deserves a warning. `None` for the inch threads of steerers.
pub fn highest_torque(
    thread: Thread,
    class: PropertyClass,
    factor: NutFactor,
    percent: u32,
) -> Option<Torque> {
    let proof = i128::from(class.proof_load(thread)?.as_mn());
    let share = i64::try_from(proof * i128::from(percent) / 100).ok()?;
    torque_for(Force::mn(share), factor, thread.major())
}

/// Pi/16 (d2 + d3)^2 times the stress: nm2 and MPa to millinewtons.
fn load(thread: Thread, stress: Strength) -> Option<Force> {
    if !thread.is_metric() {
        return None;
    }
    let sum = i128::from((thread.pitch_diameter() + thread.root()).as_nm());
    let mn = PI_DOWN * sum * sum * i128::from(stress.0) / 16 / 1_000_000_000 / 1_000_000_000;
    i64::try_from(mn).ok().map(Force::mn)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_torque_pulls_less_where_friction_takes_more() {
        let pull = |k| preload(Torque::mnm(8_000), k, Length::mm(8)).expect("a pull");
        assert_eq!(pull(NutFactor::ZINC_PLATED), Force::mn(5_000_000));
        assert!(pull(NutFactor::PLAIN) < pull(NutFactor::ZINC_PLATED));
        assert!(pull(NutFactor::LUBRICATED) > pull(NutFactor::ZINC_PLATED));
        assert_eq!(preload(Torque::mnm(8_000), NutFactor::PLAIN, Length::ZERO), None);
    }

    #[test]
    fn a_pull_is_told_as_wide_as_bolts_scatter() {
        let spread = |text: &str| {
            let torque = TorqueRange::read(text).expect("a torque");
            preload_spread(torque, NutFactor::ZINC_PLATED, Length::mm(8)).expect("a pull")
        };
        // 5 kN, by twice 288/3418 of it less and more.
        assert_eq!(spread("8 N m"), (Force::mn(4_157_401), Force::mn(5_842_598)));
        assert_eq!(spread("8-10 N m"), (Force::mn(4_157_401), Force::mn(7_303_247)));
    }

    #[test]
    fn the_highest_torque_pulls_no_more_than_its_share_of_the_proof_load() {
        let thread = Thread::read("M6").expect("a thread");
        let proof = PropertyClass::C8_8.proof_load(thread).expect("a bolt's thread");
        let torque =
            highest_torque(thread, PropertyClass::C8_8, NutFactor::ZINC_PLATED, 75).expect("a torque");
        let pull = preload(torque, NutFactor::ZINC_PLATED, thread.major()).expect("a pull");
        assert!(pull.as_mn() <= proof.as_mn() * 75 / 100);
        let more = Torque::mnm(torque.as_mnm() + 1);
        let pull = preload(more, NutFactor::ZINC_PLATED, thread.major()).expect("a pull");
        assert!(pull.as_mn() > proof.as_mn() * 75 / 100);
    }

    #[test]
    fn unknown_classes_and_factors_are_refused() {
        assert_eq!(PropertyClass::read(" 8.8 "), Ok(PropertyClass::C8_8));
        assert_eq!(PropertyClass::read("A2-70").expect("known").to_string(), "A2-70");
        assert!(PropertyClass::read("9.9").is_err());
        assert_eq!(NutFactor::read("0.2"), Ok(NutFactor::ZINC_PLATED));
        for wrong in ["0", "0.04", "0.51", "0.2001", "0,2", "", "k"] {
            assert!(NutFactor::read(wrong).is_err(), "{wrong}");
        }
        assert_eq!(Strength::mpa(0), None);
    }
}
