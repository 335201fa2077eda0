//! Reads lengths and dimensions as people write them. Refuses what it cannot hold exactly; guesses nothing.

use std::ops::Range;

use super::decimal::{Fault, Scan, scaled};
use super::{Defaults, Deviations, Dimension, Length, Misread, Nature, Origin, StandardClass};

const INCH_NM: i64 = 25_400_000;
const LONGEST: Length = Length::mm(1_000);
const WAYS: &str = "28.6, 28.6 ±0.05, 28.6 +0/-0.1, 28.6 h9, 1-1/8 in or 28.55 measured";
const UNITS: &str = "millimetres (mm, or nothing) or inches (in)";

/// Millimetres unless `in` follows the number; deviations are always millimetres. A bare number takes
/// the book's default class for `nature`; a bare zero is exactly zero.
///
/// Refused: what is not a whole number of nanometres, less than nothing, or over 1 m (rounded slopes are sound up to there); a class that
/// the standard does not give for this size or that belongs to the other side.
pub fn read_dimension(text: &str, nature: Nature, defaults: &Defaults) -> Result<Dimension, Misread> {
    let mut scan = Scan::new(text);
    let nominal = read_nominal(&mut scan)?;
    let tail = read_tail(&mut scan, nature)?;
    let (deviations, origin) = match tail {
        Tail::Nothing if nominal == Length::ZERO => (Deviations::NONE, Origin::Stated),
        Tail::Nothing => {
            let class = defaults.class(nature);
            let bare = |m: Misread| Misread { at: trimmed(text), ..m };
            (class.deviations(nominal).map_err(bare)?, Origin::Assumed)
        }
        Tail::Stated(deviations) => (deviations, Origin::Stated),
        Tail::Measured => (Deviations::symmetrical(defaults.caliper.uncertainty(nature)), Origin::Measured),
        Tail::Class(class, at) => {
            (class.deviations(nominal).map_err(|m| Misread { at, ..m })?, Origin::Class)
        }
    };
    let dimension = Dimension::new(nominal, deviations, origin, text.trim());
    if dimension.least() < Length::ZERO {
        return Err(Misread::new(
            trimmed(text),
            format!("it could be {} mm, less than nothing", dimension.least()),
            "a size that stays at zero or over",
            "check the lower deviation",
        ));
    }
    within_a_metre(dimension.most(), trimmed(text))?;
    Ok(dimension)
}

/// A length without a tolerance: `28.6`, `28.6 mm`, `1-1/8 in`.
pub fn read_length(text: &str) -> Result<Length, Misread> {
    let mut scan = Scan::new(text);
    let length = read_nominal(&mut scan)?;
    within_a_metre(length, trimmed(text))?;
    if scan.peek().is_some() {
        return Err(Misread::new(
            scan.rest_range(),
            format!("\"{}\" is more than a plain length", scan.rest().trim_end()),
            "one number, such as 28.6 or 1-1/8 in, without a tolerance",
            "leave out what follows the number",
        ));
    }
    Ok(length)
}

enum Tail {
    Nothing,
    Stated(Deviations),
    Measured,
    Class(StandardClass, Range<usize>),
}

/// The number and its unit; leaves the scan at the next thing that is not a space.
fn read_nominal(scan: &mut Scan) -> Result<Length, Misread> {
    scan.skip_spaces();
    let start = scan.at();
    if scan.peek().is_none() {
        return Err(Misread::new(start..start, "there is no number", WAYS, "write the size"));
    }
    if matches!(scan.peek(), Some('-' | '\u{2212}')) {
        let all = scan.rest_range();
        return Err(Misread::new(all, "a size is never negative", "zero or more", "leave out the minus"));
    }
    let number = scan.take(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '/' | '-'));
    let at = start..scan.at();
    if number.is_empty() {
        let fact = format!("\"{}\" does not start with a number", scan.rest().trim_end());
        return Err(Misread::new(scan.rest_range(), fact, WAYS, "write the size first"));
    }
    scan.skip_spaces();
    let length = if scan.eat_word("in") {
        inches(number, at)?
    } else {
        scan.eat_word("mm");
        refuse_unit(scan, number)?;
        millimetres(number, at)?
    };
    scan.skip_spaces();
    Ok(length)
}

fn millimetres(number: &str, at: Range<usize>) -> Result<Length, Misread> {
    if number.contains('/') {
        return Err(Misread::new(
            at,
            format!("\"{number}\" is a fraction without its unit"),
            "a fraction of an inch, with in behind it",
            format!("write {number} in"),
        ));
    }
    scaled(number, 6).map(Length::nm).map_err(|fault| refuse_number(number, at, fault))
}

/// `1`, `1.125`, `7/8` or `1-1/8`.
fn inches(number: &str, at: Range<usize>) -> Result<Length, Misread> {
    let Some((whole, fraction)) = number.split_once('/').map(|(top, bottom)| match top.split_once('-') {
        Some((whole, top)) => (whole, (top, bottom)),
        None => ("0", (top, bottom)),
    }) else {
        // Ten decimals of an inch are enough: with more than six significant ones it is no whole number of nanometres.
        let tenth_nano = scaled(number, 10).map_err(|f| refuse_number(number, at.clone(), f))?;
        let nm = i128::from(tenth_nano) * i128::from(INCH_NM);
        return exact(nm, 10_i128.pow(10)).ok_or_else(|| refuse_number(number, at, Fault::TooFine));
    };
    let digits = |t: &str| scaled(t, 0).ok().filter(|_| !t.contains('.')).map(i128::from);
    let parts = (digits(whole), digits(fraction.0), digits(fraction.1));
    let (Some(whole), Some(top), Some(bottom)) = parts else {
        return Err(refuse_number(number, at, Fault::NotANumber));
    };
    if bottom == 0 || top == 0 || top >= bottom {
        return Err(Misread::new(
            at,
            format!("\"{number}\" is not a proper fraction"),
            "a whole number and a fraction under one: 1-1/8",
            "write it as 1-1/8 in",
        ));
    }
    let sum = whole.checked_mul(bottom).and_then(|w| w.checked_add(top));
    let nm = sum.and_then(|s| s.checked_mul(i128::from(INCH_NM)));
    let nm = nm.ok_or_else(|| refuse_number(number, at.clone(), Fault::TooLarge))?;
    exact(nm, bottom).ok_or_else(|| refuse_number(number, at, Fault::TooFine))
}

/// `None` where the quotient is not a whole number of nanometres (or is far too long).
fn exact(nm: i128, divisor: i128) -> Option<Length> {
    if nm % divisor != 0 {
        return None;
    }
    i64::try_from(nm / divisor).ok().map(Length::nm)
}

fn read_tail(scan: &mut Scan, nature: Nature) -> Result<Tail, Misread> {
    let tail = match scan.peek() {
        None => return Ok(Tail::Nothing),
        Some('+' | '-' | '\u{2212}' | '±' | '0'..='9') => Tail::Stated(read_deviations(scan)?),
        Some(_) if scan.eat_word("measured") => Tail::Measured,
        Some(_) => {
            let start = scan.at();
            let word = scan.take(|c| !c.is_whitespace());
            let class = StandardClass::read(word, nature).map_err(|m| m.shifted(start))?;
            Tail::Class(class, start..scan.at())
        }
    };
    scan.skip_spaces();
    scan.eat_word("mm");
    scan.skip_spaces();
    if scan.peek().is_some() {
        let fact = format!("\"{}\" is not understood here", scan.rest().trim_end());
        return Err(Misread::new(scan.rest_range(), fact, WAYS, "leave it out"));
    }
    Ok(tail)
}

/// `±0.05`, `+-0.05`, or upper then lower: `+0/-0.1`.
fn read_deviations(scan: &mut Scan) -> Result<Deviations, Misread> {
    let start = scan.at();
    if scan.eat("±") || scan.eat("+-") || scan.eat("+/-") {
        scan.skip_spaces();
        return read_unsigned(scan).map(Deviations::symmetrical);
    }
    let upper = read_signed(scan)?;
    scan.skip_spaces();
    if !scan.eat("/") {
        return Err(Misread::new(
            start..scan.rest_range().end.max(scan.at()),
            "there is one deviation where two belong",
            "±0.05, or upper and lower: +0/-0.1",
            "write both, the upper first: +0/-0.1",
        ));
    }
    scan.skip_spaces();
    let lower = read_signed(scan)?;
    let at = start..scan.at();
    Deviations::new(lower, upper).ok_or_else(|| {
        Misread::new(
            at,
            format!("the upper deviation {upper} is under the lower {lower}"),
            "the upper deviation first: +0/-0.1",
            "change the two round",
        )
    })
}

/// A deviation needs its sign, except zero.
fn read_signed(scan: &mut Scan) -> Result<Length, Misread> {
    let start = scan.at();
    let minus = scan.eat("-") || scan.eat("\u{2212}");
    let signed = minus || scan.eat("+");
    scan.skip_spaces();
    let length = read_unsigned(scan)?;
    if !signed && length != Length::ZERO {
        return Err(Misread::new(
            start..scan.at(),
            format!("the deviation {length} has no sign"),
            "±0.05, or upper and lower with their signs: +0/-0.1",
            format!("write ±{length}, or +{length} or -{length}"),
        ));
    }
    Ok(if minus { -length } else { length })
}

fn read_unsigned(scan: &mut Scan) -> Result<Length, Misread> {
    let start = scan.at();
    let number = scan.take(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
    let at = start..scan.at();
    let length = scaled(number, 6).map(Length::nm).map_err(|f| refuse_number(number, at.clone(), f))?;
    within_a_metre(length, at)?;
    Ok(length)
}

fn within_a_metre(length: Length, at: Range<usize>) -> Result<(), Misread> {
    if length <= LONGEST {
        return Ok(());
    }
    Err(Misread::new(
        at,
        format!("{length} mm is over one metre"),
        "at most 1000 mm: no part of a front end is longer",
        "write the size in millimetres",
    ))
}

fn refuse_number(number: &str, at: Range<usize>, fault: Fault) -> Misread {
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
        Fault::TooLarge => Misread::new(
            at,
            format!("{quoted} is over one metre"),
            "at most 1000 mm: no part of a front end is longer",
            "write the size in millimetres",
        ),
        Fault::NotANumber => {
            Misread::new(at, format!("{quoted} is not a number"), WAYS, "write digits, as in 28.6")
        }
    }
}

/// A unit that is not read here, right after the number; anything else is left for the tolerance.
fn refuse_unit(scan: &Scan, number: &str) -> Result<(), Misread> {
    let rest = scan.rest();
    let end = rest.find(|c: char| c.is_whitespace() || c.is_ascii_digit() || c == '±' || c == '+');
    let word = &rest[..end.unwrap_or(rest.len())];
    let inch =
        matches!(word, "\"" | "''" | "\u{2033}" | "\u{201d}" | "inch" | "inches" | "IN" | "In" | "in.");
    let other = matches!(
        word,
        "cm" | "m"
            | "um"
            | "µm"
            | "μm"
            | "nm"
            | "km"
            | "dm"
            | "ft"
            | "'"
            | "kg"
            | "g"
            | "lb"
            | "N"
            | "Nm"
            | "°"
    );
    let loud = matches!(word, "MM" | "Mm" | "mm." | "millimetre" | "millimetres" | "millimeters");
    let letter_class = rest[word.len()..].starts_with(|c: char| c.is_ascii_digit());
    if letter_class || !(inch || other || loud) {
        return Ok(());
    }
    let mend = match (inch, loud) {
        (true, _) => format!("write {number} in"),
        (_, true) => format!("write {number} mm"),
        _ => "write it in mm or in".to_string(),
    };
    let at = scan.at()..scan.at() + word.len();
    Err(Misread::new(at, format!("the unit {word} is not read here"), UNITS, mend))
}

fn trimmed(text: &str) -> Range<usize> {
    let start = text.len() - text.trim_start().len();
    start..text.trim_end().len().max(start)
}

#[cfg(test)]
#[path = "reading_tests.rs"]
mod tests;
