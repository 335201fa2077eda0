//! Torque and force, each a type of its own. Must not know threads.

use std::fmt;

use super::Misread;
use super::decimal::{Fault, Scan, scaled};

/// A turning moment: whole millinewton metres.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Torque(i64);

const HIGHEST: Torque = Torque(1_000_000);
const WAYS: &str = "8 N m, or 8-10 N m for a range";

impl Torque {
    pub const fn mnm(millinewton_metres: i64) -> Torque {
        Torque(millinewton_metres)
    }

    pub const fn as_mnm(self) -> i64 {
        self.0
    }
}

/// Shortest exact newton metres: `8.5 N m`.
impl fmt::Display for Torque {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} N m", thousandths(self.0))
    }
}

/// From least to most, in that order; one value where both are equal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct TorqueRange {
    least: Torque,
    most: Torque,
}

impl TorqueRange {
    /// `None` where `least` is over `most`.
    pub fn new(least: Torque, most: Torque) -> Option<TorqueRange> {
        (least <= most).then_some(TorqueRange { least, most })
    }

    /// Reads `8 N m`, `8 Nm`, `8-10 N m`. Refused: no unit or another one, zero, more than 1000 N m, a
    /// range the wrong way round, more than three decimals.
    pub fn read(text: &str) -> Result<TorqueRange, Misread> {
        let mut scan = Scan::new(text);
        scan.skip_spaces();
        let start = scan.at();
        let least = read_number(&mut scan)?;
        scan.skip_spaces();
        let most = if scan.eat("-") || scan.eat("\u{2013}") {
            scan.skip_spaces();
            read_number(&mut scan)?
        } else {
            least
        };
        let numbers = start..scan.at();
        scan.skip_spaces();
        let unit = scan.rest_range();
        let word = scan.rest().trim_end();
        if !matches!(word, "N m" | "Nm" | "N·m" | "N\u{22c5}m" | "N\u{a0}m" | "N\u{202f}m") {
            let fact = if word.is_empty() {
                "the torque has no unit".to_string()
            } else {
                format!("the unit {word} is not read here")
            };
            return Err(Misread::new(unit, fact, WAYS, "write newton metres: 8 N m"));
        }
        TorqueRange::new(least, most).ok_or_else(|| {
            let fact = format!("the range starts at {least} and ends at {most}");
            Misread::new(numbers, fact, "the lower torque first", "change the two round")
        })
    }

    pub fn least(self) -> Torque {
        self.least
    }

    pub fn most(self) -> Torque {
        self.most
    }
}

/// `8 N m`, or `8–10 N m`.
impl fmt::Display for TorqueRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.least == self.most {
            return self.least.fmt(f);
        }
        write!(f, "{}\u{2013}{}", thousandths(self.least.0), self.most)
    }
}

/// A tenth of a kilonewton: finer than that nobody knows a pull from a torque.
const TENTH: i64 = 100_000;

/// A pull along the bolt: whole millinewtons.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Force(i64);

impl Force {
    pub const fn mn(millinewtons: i64) -> Force {
        Force(millinewtons)
    }

    pub const fn as_mn(self) -> i64 {
        self.0
    }
}

impl Force {
    /// Tenths of a kilonewton, the rest dropped: what a bolt bears is told no greater than it is.
    pub fn tenths_down(self) -> i64 {
        self.0.div_euclid(TENTH)
    }

    /// The next tenth of a kilonewton.
    pub fn tenths_up(self) -> i64 {
        -(-self.0).div_euclid(TENTH)
    }
}

fn read_number(scan: &mut Scan) -> Result<Torque, Misread> {
    let start = scan.at();
    let number = scan.take(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
    let at = start..scan.at();
    let refuse =
        |fact: &str, mend: String| Misread::new(at.clone(), format!("\"{number}\" {fact}"), WAYS, mend);
    let torque = scaled(number, 3).map(Torque).map_err(|fault| match fault {
        Fault::Comma => refuse("has a comma", format!("write {}", number.replacen(',', ".", 1))),
        Fault::TooFine => refuse("has more than three decimals", "round it".to_string()),
        Fault::TooLarge => refuse("is over 1000 N m", "check the torque".to_string()),
        Fault::NotANumber => refuse("is not a number", "write digits: 8 N m".to_string()),
    })?;
    match torque {
        Torque(0) => Err(refuse("is no torque", "leave the torque out".to_string())),
        _ if torque > HIGHEST => Err(refuse("is over 1000 N m", "check the torque".to_string())),
        _ => Ok(torque),
    }
}

fn thousandths(value: i64) -> String {
    let text = format!("{}.{:03}", value / 1_000, value % 1_000);
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (i64, i64) {
        let range = TorqueRange::read(text).unwrap_or_else(|m| panic!("{text}: {m:?}"));
        (range.least().as_mnm(), range.most().as_mnm())
    }

    #[test]
    fn torques_and_ranges_are_read_exactly() {
        assert_eq!(read("8 N m"), (8_000, 8_000));
        assert_eq!(read(" 8.5Nm "), (8_500, 8_500));
        assert_eq!(read("8-10 N·m"), (8_000, 10_000));
        assert_eq!(read("8 – 10 N m"), (8_000, 10_000));
        assert_eq!(TorqueRange::read("8-10.50 Nm").expect("a range").to_string(), "8–10.5 N m");
        assert_eq!(TorqueRange::read("12Nm").expect("a torque").to_string(), "12 N m");
    }

    #[test]
    fn a_refused_torque_says_where_and_what_to_write() {
        for (text, at) in [
            ("8", ""),
            ("8 lb in", "lb in"),
            ("8,5 N m", "8,5"),
            ("10-8 N m", "10-8"),
            ("0 N m", "0"),
            ("1000.001 N m", "1000.001"),
            ("8.0001 N m", "8.0001"),
            ("99999999999999999999 N m", "99999999999999999999"),
            ("8- N m", ""),
            ("-8 N m", ""),
            ("", ""),
            ("N m", ""),
            ("8 N mm", "N mm"),
        ] {
            let refused = TorqueRange::read(text).expect_err(text);
            assert_eq!(&text[refused.at.clone()], at, "{text}");
            assert!(!refused.mend.is_empty() && refused.expected.len() > 5, "{text}");
        }
    }
}
