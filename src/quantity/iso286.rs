//! ISO 286 tolerance classes of holes and shafts, `H8` and `h9`. Knows no default and no part.

use std::fmt;

use super::iso286_table::{BANDS, Band, FIRST_GRADE, LAST_GRADE, OVER_MM};
use super::{Deviations, Length, Misread};

/// Capital letters are for holes, small ones for shafts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Side {
    Hole,
    Shaft,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Letter {
    D,
    E,
    F,
    G,
    H,
    Js,
    K,
    M,
    N,
    P,
}

const LETTERS: [(&str, Letter); 10] = [
    ("d", Letter::D),
    ("e", Letter::E),
    ("f", Letter::F),
    ("g", Letter::G),
    ("h", Letter::H),
    ("js", Letter::Js),
    ("k", Letter::K),
    ("m", Letter::M),
    ("n", Letter::N),
    ("p", Letter::P),
];

/// A letter and a grade that the standard gives values for, IT5 to IT12.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct IsoClass {
    side: Side,
    letter: Letter,
    grade: u8,
}

impl IsoClass {
    /// Reads `h9`, `H8`, `js9`. Refused: other letters, other grades, and K above IT8, for which
    /// the standard has no value over 3 mm.
    pub fn read(text: &str) -> Result<IsoClass, Misread> {
        let digits_at = text.find(|c: char| c.is_ascii_digit()).unwrap_or(text.len());
        let (word, digits) = text.split_at(digits_at);
        let Some((side, letter)) = side_and_letter(word) else {
            return Err(Misread::new(
                0..text.len(),
                format!("\"{text}\" is not a tolerance class that is known here"),
                "D E F G H JS K M N P or d e f g h js k m n p, then 5 to 12",
                "write a class such as h9 (outside) or H8 (bore), or state the deviations",
            ));
        };
        let grade: Option<u8> = digits.parse().ok();
        let fits = |g: &u8| (FIRST_GRADE..=LAST_GRADE).contains(g) && !digits.starts_with('0');
        let Some(grade) = grade.filter(fits) else {
            return Err(Misread::new(
                digits_at..text.len(),
                format!("\"{text}\" has no tolerance grade that is known here"),
                "a grade from 5 to 12 after the letter",
                format!("write {word}9, or state the deviations"),
            ));
        };
        if side == Side::Hole && letter == Letter::K && grade > 8 {
            return Err(Misread::new(
                0..text.len(),
                format!("ISO 286 has no {text} over 3 mm"),
                "K5 to K8",
                "take K8, or state the deviations",
            ));
        }
        Ok(IsoClass { side, letter, grade })
    }

    /// `None` for js and JS, which are the same plus and minus on a hole and on a shaft.
    pub fn side(self) -> Option<Side> {
        (self.letter != Letter::Js).then_some(self.side)
    }

    /// The same letter and grade written for the other side.
    pub fn other_side(self) -> IsoClass {
        let side = if self.side == Side::Hole { Side::Shaft } else { Side::Hole };
        IsoClass { side, ..self }
    }

    /// Limit deviations; exact, in half micrometres. Refused up to 3 mm and over 180 mm.
    pub fn deviations(self, nominal: Length) -> Result<Deviations, Misread> {
        let Some(band) = band(nominal) else {
            return Err(Misread::new(
                0..0,
                format!("{self} is not known for {nominal} mm"),
                "over 3 up to 180 mm",
                format!("state the tolerance: {nominal} ±…"),
            ));
        };
        let width = Length::um(band.grades[usize::from(self.grade - FIRST_GRADE)]);
        Ok(match self.side {
            Side::Shaft => self.shaft(band, width),
            Side::Hole => self.hole(band, width),
        })
    }

    fn shaft(self, band: &Band, width: Length) -> Deviations {
        let below = |i: usize| Deviations::downwards(Length::um(-band.below[i]), width);
        let above = |um: i64| Deviations::upwards(Length::um(um), width);
        match self.letter {
            Letter::D => below(0),
            Letter::E => below(1),
            Letter::F => below(2),
            Letter::G => below(3),
            Letter::H => Deviations::downwards(Length::ZERO, width),
            Letter::Js => Deviations::symmetrical(Length::nm(width.as_nm() / 2)),
            Letter::K => above(if self.grade <= 7 { band.k } else { 0 }),
            Letter::M => above(band.m),
            Letter::N => above(band.n),
            Letter::P => above(band.p),
        }
    }

    fn hole(self, band: &Band, width: Length) -> Deviations {
        let above = |i: usize| Deviations::upwards(Length::um(band.below[i]), width);
        let upto = |grade: u8, um: i64| {
            let delta = band.delta.get(usize::from(self.grade - FIRST_GRADE));
            let delta = if self.grade <= grade { delta.copied().unwrap_or(0) } else { 0 };
            Deviations::downwards(Length::um(delta - um), width)
        };
        match self.letter {
            Letter::D => above(0),
            Letter::E => above(1),
            Letter::F => above(2),
            Letter::G => above(3),
            Letter::H => Deviations::upwards(Length::ZERO, width),
            Letter::Js => Deviations::symmetrical(Length::nm(width.as_nm() / 2)),
            Letter::K => upto(8, band.k),
            Letter::M => upto(8, band.m),
            Letter::N if self.grade > 8 => upto(8, 0),
            Letter::N => upto(8, band.n),
            Letter::P => upto(7, band.p),
        }
    }
}

impl fmt::Display for IsoClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = LETTERS.iter().find(|(_, l)| *l == self.letter).map_or("", |(w, _)| w);
        match self.side {
            Side::Hole => write!(f, "{}{}", word.to_uppercase(), self.grade),
            Side::Shaft => write!(f, "{word}{}", self.grade),
        }
    }
}

/// The width of a standard tolerance grade (5 to 12); `None` outside the table.
pub fn tolerance_grade(grade: u8, nominal: Length) -> Option<Length> {
    let column = usize::from(grade.checked_sub(FIRST_GRADE)?);
    band(nominal)?.grades.get(column).map(|um| Length::um(*um))
}

fn band(nominal: Length) -> Option<&'static Band> {
    if nominal <= Length::mm(OVER_MM) {
        return None;
    }
    BANDS.iter().find(|b| nominal <= Length::mm(b.upto_mm))
}

fn side_and_letter(word: &str) -> Option<(Side, Letter)> {
    let letter = LETTERS.iter().find(|(w, _)| w.eq_ignore_ascii_case(word))?.1;
    if word.bytes().all(|b| b.is_ascii_uppercase()) {
        Some((Side::Hole, letter))
    } else if word.bytes().all(|b| b.is_ascii_lowercase()) {
        Some((Side::Shaft, letter))
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn limits(class: &str, nominal: Length) -> (i64, i64) {
        let read = IsoClass::read(class).expect("a class");
        let d = read.deviations(nominal).expect("in the table");
        (d.lower().as_nm(), d.upper().as_nm())
    }

    /// Fits from ISO 286-2 by two or more secondary tables: 25 H7/g6 has 7 to 41 micrometres of clearance.
    #[test]
    fn known_fits_have_their_published_clearances() {
        let clearance = |nominal, hole, shaft| {
            let (h, s) = (limits(hole, Length::mm(nominal)), limits(shaft, Length::mm(nominal)));
            ((h.0 - s.1) / 1_000, (h.1 - s.0) / 1_000)
        };
        assert_eq!(clearance(25, "H7", "g6"), (7, 41));
        assert_eq!(clearance(40, "H7", "p6"), (-42, -1));
        assert_eq!(clearance(30, "H8", "f7"), (20, 74));
        assert_eq!(clearance(25, "H7", "h6"), (0, 34));
        assert_eq!(clearance(50, "H8", "f7"), (25, 89));
    }

    #[test]
    fn a_band_ends_with_its_high_end() {
        assert_eq!(limits("h9", Length::mm(30)), (-52_000, 0));
        assert_eq!(limits("h9", Length::nm(30_000_001)), (-62_000, 0));
    }

    #[test]
    fn delta_is_the_step_from_the_grade_below() {
        for band in &BANDS {
            for i in 1..4 {
                assert_eq!(band.delta[i], band.grades[i] - band.grades[i - 1], "up to {} mm", band.upto_mm);
            }
        }
    }

    #[test]
    fn half_micrometres_are_kept() {
        assert_eq!(limits("JS7", Length::mm(25)), (-10_500, 10_500));
    }

    #[test]
    fn what_the_standard_does_not_give_is_refused() {
        for class in ["K9", "x9", "h4", "h13", "h", "9", "Js9", "h09", "h9x", "hh9", ""] {
            assert!(IsoClass::read(class).is_err(), "{class}");
        }
        let h9 = IsoClass::read("h9").expect("a class");
        assert!(h9.deviations(Length::mm(3)).is_err());
        assert!(h9.deviations(Length::nm(180_000_001)).is_err());
    }

    #[test]
    fn every_class_reads_back_as_it_prints() {
        for class in ["d9", "D10", "js6", "JS9", "k8", "N9", "p5", "H12"] {
            assert_eq!(IsoClass::read(class).expect("a class").to_string(), class);
        }
    }
}
