//! Reads lengths and dimensions as people write them. Refuses what it cannot hold exactly; guesses nothing.

use std::ops::Range;

use super::amount::{Amount, Unit, WAYS, within_a_metre};
use super::decimal::Scan;
use super::tolerance::{Tail, Tolerance, plus_minus, upper_lower};
use super::{Defaults, Deviations, Dimension, Length, Misread, Nature, Origin};

/// Millimetres unless inches are written. A unit once written holds for the whole value: for deviations that have none
/// of their own, and for both ends of a range. A bare number takes the book's default class for `nature`; a bare zero is
/// exactly zero. Deviations or a range before `measured` are how sure that reading is, in place of the caliper's figure.
///
/// Refused: what is not a whole number of nanometres, less than nothing, or over 1 m; a class that the standard does not
/// give for this size or that belongs to the other side; `28.6 max` and `28.6 min`, which leave the other end open.
pub fn read_dimension(text: &str, nature: Nature, defaults: &Defaults) -> Result<Dimension, Misread> {
    let mut scan = Scan::new(text);
    refuse_most_first(&mut scan)?;
    let size = Amount::size(&mut scan)?;
    let tail = Tail::read(&mut scan, &size, nature)?;
    let unit = tail.unit_of(&size)?;
    let mut nominal = size.length(unit)?;
    let stated = if tail.measured { Origin::Measured } else { Origin::Stated };
    let (deviations, origin) = match &tail.tolerance {
        Tolerance::Nothing if tail.measured => {
            (Deviations::symmetrical(defaults.caliper.uncertainty(nature)), Origin::Measured)
        }
        Tolerance::Nothing if nominal == Length::ZERO => (Deviations::NONE, Origin::Stated),
        Tolerance::Nothing => {
            let class = defaults.class(nature);
            // The class is the book's own, or the usual one: nobody wrote it here.
            let bare = |_: Misread| Misread {
                size: Some(nominal),
                ..Misread::new(
                    trimmed(text),
                    format!(
                        "what {nominal} mm may be off by is not said, and for such a size nothing is assumed"
                    ),
                    WAYS,
                    format!(
                        "write it, such as \"{0} ±1\", or what a caliper shows: \"{0} measured\"",
                        size.number
                    ),
                )
            };
            (class.deviations(nominal).map_err(bare)?, Origin::Assumed)
        }
        Tolerance::PlusMinus(amount) => (plus_minus(amount, unit)?, stated),
        Tolerance::UpperLower { upper, lower, at } => (upper_lower((upper, lower), at, &size, unit)?, stated),
        Tolerance::UpTo(end) => {
            let (middle, deviations) = range(&size, nominal, end, unit)?;
            nominal = middle;
            (deviations, stated)
        }
        Tolerance::Class(class, at) => {
            let at_class = |m: Misread| Misread { at: at.clone(), size: Some(nominal), ..m };
            (class.deviations(nominal).map_err(at_class)?, Origin::Class)
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
    let size = Amount::size(&mut scan)?;
    let length = size.length(size.unit.unwrap_or(Unit::Millimetre))?;
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

/// From one size to another: the middle (rounded down to a nanometre) and how far the ends are from it.
fn range(size: &Amount, least: Length, end: &Amount, unit: Unit) -> Result<(Length, Deviations), Misread> {
    let most = end.length(end.unit.unwrap_or(unit))?;
    let middle = least + Length::nm((most - least).as_nm() / 2);
    let deviations = Deviations::new(least - middle, most - middle).ok_or_else(|| {
        let (first, last) = (size.number, end.number);
        Misread::new(
            size.at.start..end.at.end,
            format!("the range starts at {first} and ends at {last}"),
            "the smaller size first: 28.55 to 28.60",
            "change the two round",
        )
    })?;
    Ok((middle, deviations))
}

/// `max 28.6`: the same open end as `28.6 max`.
fn refuse_most_first(scan: &mut Scan) -> Result<(), Misread> {
    scan.skip_spaces();
    let start = scan.at();
    let word = scan.rest().split(|c: char| !c.is_alphabetic()).next().unwrap_or("");
    let says = match word.to_ascii_lowercase().as_str() {
        "max" | "maximum" => "large",
        "min" | "minimum" => "small",
        _ => return Ok(()),
    };
    Err(Misread::new(
        start..start + word.len(),
        format!("\"{word}\" says only how {says} it can be"),
        WAYS,
        "write both ends: \"28.5 to 28.6\", or measure one: \"28.55 measured\"",
    ))
}

fn trimmed(text: &str) -> Range<usize> {
    let start = text.len() - text.trim_start().len();
    start..text.trim_end().len().max(start)
}

#[cfg(test)]
#[path = "reading_tests.rs"]
mod tests;
