//! What stands behind a size: deviations, the other end of a range, a class, `measured`. Must not know the size.

use std::ops::Range;

use super::amount::{Amount, Unit, WAYS};
use super::decimal::Scan;
use super::{Deviations, Length, Misread, Nature, StandardClass};

/// A deviation with its sign.
pub(super) struct Signed<'t> {
    minus: bool,
    amount: Amount<'t>,
}

pub(super) enum Tolerance<'t> {
    Nothing,
    PlusMinus(Amount<'t>),
    UpperLower { upper: Signed<'t>, lower: Signed<'t>, at: Range<usize> },
    UpTo(Amount<'t>),
    Class(StandardClass, Range<usize>),
}

/// All that stands behind the size and its own unit.
pub(super) struct Tail<'t> {
    pub tolerance: Tolerance<'t>,
    pub measured: bool,
    /// A unit behind a class or behind `measured`.
    unit: Option<(Unit, Range<usize>)>,
}

impl<'t> Tail<'t> {
    pub(super) fn read(scan: &mut Scan<'t>, size: &Amount, nature: Nature) -> Result<Tail<'t>, Misread> {
        refuse_one_sided(scan, size)?;
        let tolerance = match scan.peek() {
            None => Tolerance::Nothing,
            Some('+' | '-' | '\u{2212}' | '±' | '0'..='9') => read_deviations(scan)?,
            Some(_) if scan.eat_word("to") => Tolerance::UpTo(Amount::size(scan)?),
            Some(_) if is_measured(scan) => Tolerance::Nothing,
            Some(_) => {
                let start = scan.at();
                let word = scan.take(|c| !c.is_whitespace());
                let class = StandardClass::read(word, nature).map_err(|m| m.shifted(start))?;
                Tolerance::Class(class, start..scan.at())
            }
        };
        let classed = matches!(tolerance, Tolerance::Class(..));
        scan.skip_spaces();
        let measured = !classed && scan.eat_word("measured");
        let mut unit = None;
        if classed || measured {
            scan.skip_spaces();
            let start = scan.at();
            unit = Unit::read(scan, size.number)?.map(|unit| (unit, start..scan.at()));
        }
        scan.skip_spaces();
        if scan.peek().is_some() {
            let fact = format!("\"{}\" is not understood here", scan.rest().trim_end());
            return Err(Misread::new(scan.rest_range(), fact, WAYS, "leave it out"));
        }
        Ok(Tail { tolerance, measured, unit })
    }

    /// The size's unit: its own, else one that is written further on. Millimetres where none is.
    pub(super) fn unit_of(&self, size: &Amount) -> Result<Unit, Misread> {
        if let (Some(own), Some((other, at))) = (size.unit, &self.unit)
            && own != *other
        {
            let fact = format!("the size is in {} already", own.word());
            return Err(Misread::new(at.clone(), fact, "one unit for one size", "take one of the two out"));
        }
        let further = match &self.tolerance {
            Tolerance::Nothing | Tolerance::Class(..) => None,
            Tolerance::PlusMinus(amount) | Tolerance::UpTo(amount) => amount.unit,
            Tolerance::UpperLower { upper, lower, .. } => lower.amount.unit.or(upper.amount.unit),
        };
        Ok(size.unit.or(further).or(self.unit.as_ref().map(|u| u.0)).unwrap_or(Unit::Millimetre))
    }
}

/// As stated behind a size in `unit`: what has no unit of its own has the size's.
pub(super) fn plus_minus(amount: &Amount, unit: Unit) -> Result<Deviations, Misread> {
    amount.length(amount.unit.unwrap_or(unit)).map(Deviations::symmetrical).map_err(Misread::of_no_size)
}

/// A unit behind the lower deviation holds for the upper, too, unless that has its own.
pub(super) fn upper_lower(
    (upper, lower): (&Signed, &Signed),
    at: &Range<usize>,
    size: &Amount,
    unit: Unit,
) -> Result<Deviations, Misread> {
    let first = upper.amount.unit.or(lower.amount.unit).unwrap_or(unit);
    let second = lower.amount.unit.unwrap_or(unit);
    let upper_end = upper.length(first).map_err(Misread::of_no_size)?;
    let lower_end = lower.length(second).map_err(Misread::of_no_size)?;
    let unclear = lower.amount.unit.is_none() && size.unit.is_some() && first != second;
    if unclear && lower_end != Length::ZERO {
        let (size, own) = (second.word(), first.word());
        return Err(Misread::new(
            lower.amount.at.clone(),
            format!("the size is in {size} and the upper deviation in {own}: this could be either"),
            "a unit behind each deviation, or one behind both",
            format!("write its unit: {} {own}, or {} {size}", lower.amount.number, lower.amount.number),
        ));
    }
    Deviations::new(lower_end, upper_end).ok_or_else(|| {
        Misread::new(
            at.clone(),
            format!("the upper deviation {} is under the lower {}", upper.written(), lower.written()),
            "the upper deviation first: +0/-0.1",
            "change the two round",
        )
    })
}

impl Signed<'_> {
    fn length(&self, unit: Unit) -> Result<Length, Misread> {
        let length = self.amount.length(unit)?;
        Ok(if self.minus { -length } else { length })
    }

    fn written(&self) -> String {
        let unit = self.amount.unit.map_or(String::new(), |unit| format!(" {}", unit.word()));
        format!("{}{}{unit}", if self.minus { "-" } else { "" }, self.amount.number)
    }
}

fn is_measured(scan: &Scan) -> bool {
    let ends = |rest: &str| !rest.starts_with(|c: char| c.is_alphanumeric());
    scan.rest().strip_prefix("measured").is_some_and(ends)
}

/// `28.6 max` leaves the other end open, and any class that stood in for it would claim more than the author said.
fn refuse_one_sided(scan: &mut Scan, size: &Amount) -> Result<(), Misread> {
    let start = scan.at();
    let word = scan.rest().split(|c: char| !c.is_alphabetic()).next().unwrap_or("");
    let number = size.number;
    let (says, mend) = match word.to_ascii_lowercase().as_str() {
        "max" | "maximum" => ("large", format!("write the least it can be, too: \"… to {number}\"")),
        "min" | "minimum" => ("small", format!("write the most it can be, too: \"{number} to …\"")),
        _ => return Ok(()),
    };
    Err(Misread::new(
        start..start + word.len(),
        format!("\"{word}\" says only how {says} it can be"),
        "both ends: 28.5 to 28.6, or 28.6 +0/-0.1",
        format!("{mend}, or measure one: \"… measured\""),
    ))
}

/// `±0.05`, `+-0.05`, or upper then lower: `+0/-0.1`.
fn read_deviations<'t>(scan: &mut Scan<'t>) -> Result<Tolerance<'t>, Misread> {
    let start = scan.at();
    if scan.eat("±") || scan.eat("+-") || scan.eat("+/-") {
        scan.skip_spaces();
        return Amount::deviation(scan).map(Tolerance::PlusMinus);
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
    let at = start..lower.amount.at.end;
    Ok(Tolerance::UpperLower { upper, lower, at })
}

/// A deviation needs its sign, except zero.
fn read_signed<'t>(scan: &mut Scan<'t>) -> Result<Signed<'t>, Misread> {
    let start = scan.at();
    let minus = scan.eat("-") || scan.eat("\u{2212}");
    let signed = minus || scan.eat("+");
    scan.skip_spaces();
    let amount = Amount::deviation(scan)?;
    let number = amount.number;
    let zero = !number.is_empty() && number.bytes().all(|b| matches!(b, b'0' | b'.'));
    let readable = amount.length(amount.unit.unwrap_or(Unit::Millimetre)).is_ok();
    if !signed && !zero && readable {
        return Err(Misread::new(
            start..amount.at.end,
            format!("the deviation {number} has no sign"),
            "±0.05, or upper and lower with their signs: +0/-0.1",
            format!("write ±{number}, or +{number} or -{number}"),
        ));
    }
    Ok(Signed { minus, amount })
}
