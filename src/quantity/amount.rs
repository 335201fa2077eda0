//! A number and the unit behind it as people write them: `28.6`, `28.6 mm`, `1.125 in`, `1-1/8 in`, `1 1/8"`.
//! Must not know what is measured, nor what else stands in the text.

use std::ops::Range;

use super::decimal::{Fault, Scan, scaled};
use super::{Length, Misread};

const INCH_NM: i64 = 25_400_000;
/// No length that is read is longer: rounded slopes are sound up to there, and sums of a book's lengths stay
/// nine orders of magnitude below what a [`Length`] holds.
pub(super) const LONGEST: Length = Length::mm(1_000);
pub(super) const WAYS: &str =
    "28.6, 28.6 ±0.05, 28.6 +0/-0.1, 28.6 h9, 28.55 to 28.60, 1-1/8 in or 28.55 measured";
const UNITS: &str = "millimetres (mm, or nothing) or inches (in)";
/// What stands for inches and for nothing else.
const INCH_MARKS: [&str; 4] = ["\"", "\u{2033}", "\u{201d}", "''"];

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unit {
    Millimetre,
    Inch,
}

impl Unit {
    pub(super) fn word(self) -> &'static str {
        match self {
            Unit::Millimetre => "mm",
            Unit::Inch => "in",
        }
    }

    /// The unit that stands next, if any. One that is not read here is refused.
    pub(super) fn read(scan: &mut Scan, number: &str) -> Result<Option<Unit>, Misread> {
        scan.skip_spaces();
        let mark = INCH_MARKS.into_iter().any(|mark| scan.eat(mark));
        if mark || scan.eat_word("in") {
            return Ok(Some(Unit::Inch));
        }
        if scan.eat_word("mm") {
            return Ok(Some(Unit::Millimetre));
        }
        refuse_unit(scan, number)?;
        Ok(None)
    }
}

/// Digits whose unit may still follow from elsewhere in the text.
#[derive(Clone, Debug)]
pub(super) struct Amount<'t> {
    /// As written, without its unit.
    pub number: &'t str,
    pub at: Range<usize>,
    pub unit: Option<Unit>,
}

impl<'t> Amount<'t> {
    /// A size: never negative, fractions of an inch with their whole number. Leaves the scan at the next thing that is
    /// not a space.
    pub(super) fn size(scan: &mut Scan<'t>) -> Result<Amount<'t>, Misread> {
        scan.skip_spaces();
        let start = scan.at();
        if scan.peek().is_none() {
            return Err(Misread::new(start..start, "there is no number", WAYS, "write the size"));
        }
        if matches!(scan.peek(), Some('-' | '\u{2212}')) {
            let all = scan.rest_range();
            return Err(Misread::new(all, "a size is never negative", "zero or more", "leave out the minus"));
        }
        let whole = scan.rest();
        let number = scan.take(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '/' | '-'));
        if number.is_empty() {
            let fact = format!("\"{}\" does not start with a number", scan.rest().trim_end());
            let number =
                scan.rest().find(|c: char| c.is_ascii_digit()).map(|at| scan.rest()[at..].trim_end());
            let mend = number.map_or("write the size first".to_string(), |n| format!("write \"{n}\""));
            return Err(Misread::new(scan.rest_range(), fact, WAYS, mend));
        }
        if number.bytes().all(|b| b.is_ascii_digit()) {
            scan.take_fraction();
        }
        Amount::of(scan, &whole[..scan.at() - start], start)
    }

    /// A deviation's number: no sign, no whole number before a fraction.
    pub(super) fn deviation(scan: &mut Scan<'t>) -> Result<Amount<'t>, Misread> {
        let start = scan.at();
        let whole = scan.rest();
        let number = scan.take(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
        if number.bytes().all(|b| b.is_ascii_digit()) && !number.is_empty() {
            scan.take_denominator();
        }
        Amount::of(scan, &whole[..scan.at() - start], start)
    }

    fn of(scan: &mut Scan<'t>, number: &'t str, start: usize) -> Result<Amount<'t>, Misread> {
        let at = start..start + number.len();
        let unit = Unit::read(scan, number)?;
        scan.skip_spaces();
        Ok(Amount { number, at, unit })
    }

    /// Exact; refused where it is not a whole number of nanometres, or over a metre.
    pub(super) fn length(&self, unit: Unit) -> Result<Length, Misread> {
        let length = match unit {
            Unit::Millimetre => self.millimetres(),
            Unit::Inch => self.inches(),
        }?;
        within_a_metre(length, self.at.clone())?;
        Ok(length)
    }

    fn millimetres(&self) -> Result<Length, Misread> {
        let number = self.number;
        if number.contains('/') {
            return Err(Misread::new(
                self.at.clone(),
                format!("\"{number}\" is a fraction without its unit"),
                "a fraction of an inch, with in behind it",
                format!("write {number} in"),
            ));
        }
        scaled(number, 6).map(Length::nm).map_err(|fault| self.refuse(fault))
    }

    /// `1`, `1.125`, `7/8`, `1-1/8` or `1 1/8`.
    fn inches(&self) -> Result<Length, Misread> {
        let Some((top, bottom)) = self.number.split_once('/') else {
            // Ten decimals of an inch are enough: with more than six significant ones it is no whole number of nanometres.
            let tenth_nano = scaled(self.number, 10).map_err(|fault| self.refuse(fault))?;
            let nm = i128::from(tenth_nano) * i128::from(INCH_NM);
            return exact(nm, 10_i128.pow(10)).ok_or_else(|| self.refuse(Fault::TooFine));
        };
        let apart = |c: char| c == '-' || c.is_whitespace();
        let (whole, top) = top.split_once(apart).map_or(("0", top), |(whole, top)| (whole, top.trim_start()));
        let digits = |t: &str| scaled(t, 0).ok().filter(|_| !t.contains('.')).map(i128::from);
        let (Some(whole), Some(top), Some(bottom)) = (digits(whole), digits(top), digits(bottom)) else {
            return Err(self.refuse(Fault::NotANumber));
        };
        if bottom == 0 || top == 0 || top >= bottom {
            return Err(Misread::new(
                self.at.clone(),
                format!("\"{}\" is not a proper fraction", self.number),
                "a whole number and a fraction under one: 1-1/8",
                "write it as 1-1/8 in",
            ));
        }
        let sum = whole.checked_mul(bottom).and_then(|w| w.checked_add(top));
        let nm = sum.and_then(|s| s.checked_mul(i128::from(INCH_NM)));
        let nm = nm.ok_or_else(|| self.refuse(Fault::TooLarge))?;
        exact(nm, bottom).ok_or_else(|| self.refuse(Fault::TooFine))
    }

    fn refuse(&self, fault: Fault) -> Misread {
        let (number, at) = (self.number, self.at.clone());
        let quoted = format!("\"{number}\"");
        match fault {
            Fault::Comma => Misread::new(
                at,
                format!("{quoted} has a comma"),
                "a point before the decimals",
                format!("write {}", number.replacen(',', ".", 1)),
            ),
            Fault::TooFine => Misread::new(
                at,
                format!("{quoted} is not a whole number of nanometres"),
                "at most six decimals of a millimetre",
                "round it",
            ),
            Fault::TooLarge => over_a_metre(quoted, at),
            Fault::NotANumber => {
                let range = number.split_once("..").or(number.split_once('-'));
                let pointed =
                    number.strip_prefix(['.', ',']).filter(|n| scaled(n, 6).is_ok() && !n.contains('.'));
                let mend = match range {
                    Some((least, most)) if scaled(least, 6).is_ok() && scaled(most, 6).is_ok() => {
                        format!("write {least} to {most} if it is a range")
                    }
                    _ if pointed.is_some() => format!("write 0.{}", pointed.unwrap_or_default()),
                    _ => "write digits, as in 28.6".to_string(),
                };
                Misread::new(at, format!("{quoted} is not a number"), WAYS, mend)
            }
        }
    }
}

impl<'t> Scan<'t> {
    /// After a whole number: ` 1/8`, the fraction that belongs to it. A deviation behind a size never looks so, for it
    /// has a sign or is zero.
    fn take_fraction(&mut self) {
        let rest = self.rest();
        let fraction = rest.trim_start();
        let Some((top, bottom)) = fraction.split_once('/').filter(|_| fraction.len() < rest.len()) else {
            return;
        };
        let digits = bottom.find(|c: char| !c.is_ascii_digit()).unwrap_or(bottom.len());
        let whole = !bottom[digits..].starts_with(['.', ',', '/']);
        if is_count(top) && digits > 0 && whole {
            self.skip_spaces();
            self.eat(&fraction[..top.len() + 1 + digits]);
        }
    }

    /// After the top of a fraction: `/64`. What follows a deviation's slash otherwise has a sign or is zero.
    fn take_denominator(&mut self) {
        let Some(bottom) = self.rest().strip_prefix('/') else { return };
        let digits = bottom.find(|c: char| !c.is_ascii_digit()).unwrap_or(bottom.len());
        if is_count(&bottom[..digits]) && !bottom[digits..].starts_with(['.', ',']) {
            self.eat("/");
            self.take(|c| c.is_ascii_digit());
        }
    }
}

/// Digits that are not all zero.
fn is_count(text: &str) -> bool {
    text.bytes().all(|b| b.is_ascii_digit()) && text.bytes().any(|b| b != b'0')
}

/// `None` where the quotient is not a whole number of nanometres (or is far too long).
fn exact(nm: i128, divisor: i128) -> Option<Length> {
    if nm % divisor != 0 {
        return None;
    }
    i64::try_from(nm / divisor).ok().map(Length::nm)
}

pub(super) fn within_a_metre(length: Length, at: Range<usize>) -> Result<(), Misread> {
    if length <= LONGEST {
        return Ok(());
    }
    Err(over_a_metre(format!("{length} mm"), at).of_size(length))
}

fn over_a_metre(size: String, at: Range<usize>) -> Misread {
    Misread::new(
        at,
        format!("{size} is over one metre"),
        "at most 1000 mm: no part of a front end is longer",
        "write the size in millimetres",
    )
}

/// A unit that is not read here, right after the number; anything else is left for the tolerance.
fn refuse_unit(scan: &Scan, number: &str) -> Result<(), Misread> {
    let rest = scan.rest();
    let ends = |c: char| c.is_whitespace() || c.is_ascii_digit() || matches!(c, '±' | '+' | '/');
    let word = &rest[..rest.find(ends).unwrap_or(rest.len())];
    let inch = matches!(word, "inch" | "inches" | "IN" | "In" | "in.");
    let loud = matches!(word, "MM" | "Mm" | "mm." | "millimetre" | "millimetres" | "millimeters");
    let letter_class = rest[word.len()..].starts_with(|c: char| c.is_ascii_digit());
    if letter_class || !(inch || loud || is_other_unit(word)) {
        return Ok(());
    }
    let mend = match (inch, loud) {
        (true, _) => format!("write {number} in"),
        (_, true) => format!("write {number} mm"),
        _ => in_millimetres(number, word).unwrap_or_else(|| "write it in mm or in".to_string()),
    };
    let at = scan.at()..scan.at() + word.len();
    Err(Misread::new(at, format!("the unit {word} is not read here"), UNITS, mend))
}

/// The same in millimetres, where that is a matter of the point alone.
fn in_millimetres(number: &str, unit: &str) -> Option<String> {
    let places = match unit {
        "cm" => 7,
        "dm" => 8,
        "m" => 9,
        _ => return None,
    };
    scaled(number, places).ok().map(|nm| format!("write {} mm", Length::nm(nm)))
}

fn is_other_unit(word: &str) -> bool {
    let lengths = ["cm", "m", "um", "µm", "μm", "nm", "km", "dm", "ft", "'", "thou", "mil"];
    let others = ["kg", "g", "lb", "N", "Nm", "°", "%"];
    lengths.contains(&word) || others.contains(&word)
}
