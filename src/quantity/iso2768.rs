//! General tolerances for linear sizes, ISO 2768-1:1989 table 1. Does not know who chose the class.

use super::{Deviations, Length, Misread};

/// Fine, medium, coarse, very coarse.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum GeneralClass {
    F,
    M,
    C,
    V,
}

/// Upper end of the size band in micrometres (included), then plus-or-minus in micrometres for f, m, c, v.
/// The first band starts at 0.5 mm (included), each other one over the end of the one before.
/// Zero where the standard gives no value. ISO 2768-1 table 1, as reported by three secondary tables
/// named row by row in `tests/data/iso2768_1_linear.csv`.
const BANDS: [(i64, [i64; 4]); 5] = [
    (3_000, [50, 100, 200, 0]),
    (6_000, [50, 100, 300, 500]),
    (30_000, [100, 200, 500, 1_000]),
    (120_000, [150, 300, 800, 1_500]),
    (400_000, [200, 500, 1_200, 2_500]),
];

const SMALLEST: Length = Length::um(500);

impl GeneralClass {
    pub const ALL: [GeneralClass; 4] = [GeneralClass::F, GeneralClass::M, GeneralClass::C, GeneralClass::V];

    pub fn word(self) -> &'static str {
        match self {
            GeneralClass::F => "iso2768-f",
            GeneralClass::M => "iso2768-m",
            GeneralClass::C => "iso2768-c",
            GeneralClass::V => "iso2768-v",
        }
    }

    pub fn from_word(word: &str) -> Option<GeneralClass> {
        GeneralClass::ALL.into_iter().find(|c| c.word() == word)
    }

    /// Plus or minus. Refused under 0.5 mm, over 400 mm, and for class v up to 3 mm: the standard has no value there.
    pub fn deviations(self, nominal: Length) -> Result<Deviations, Misread> {
        let band = BANDS.iter().find(|(upto, _)| nominal <= Length::um(*upto));
        let plus_minus = band.map_or(0, |(_, row)| row[self as usize]);
        if nominal < SMALLEST || plus_minus == 0 {
            let from = if self == GeneralClass::V { "over 3" } else { "0.5" };
            return Err(Misread::new(
                0..0,
                format!("{} has no tolerance for {nominal} mm", self.word()),
                format!("{from} up to 400 mm"),
                format!("state the tolerance: {nominal} ±…"),
            ));
        }
        Ok(Deviations::symmetrical(Length::um(plus_minus)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_band_ends_with_its_high_end() {
        let at = |nm| GeneralClass::M.deviations(Length::nm(nm)).map(Deviations::upper);
        assert_eq!(at(30_000_000), Ok(Length::um(200)));
        assert_eq!(at(30_000_001), Ok(Length::um(300)));
        assert_eq!(at(500_000), Ok(Length::um(100)));
    }

    #[test]
    fn sizes_without_a_value_are_refused() {
        assert!(GeneralClass::M.deviations(Length::nm(499_999)).is_err());
        assert!(GeneralClass::M.deviations(Length::nm(400_000_001)).is_err());
        assert!(GeneralClass::V.deviations(Length::mm(3)).is_err());
        assert!(GeneralClass::V.deviations(Length::nm(3_000_001)).is_ok());
    }
}
