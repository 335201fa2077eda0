//! What stands behind a size: deviations, the other end of a range, a class, `measured`. Must not know the size.

use std::ops::Range;

use super::amount::{Amount, Unit, WAYS};
use super::decimal::Scan;
use super::{Deviations, Length, Misread, Nature, StandardClass};
use crate::base::suggest;

/// `(+0/-0.1)`, as drawings have it.
fn refuse_brackets(word: &str, at: usize) -> Result<(), Misread> {
    let Some(inner) = word.strip_prefix(['(', '[']).map(|rest| rest.trim_end_matches([')', ']'])) else {
        return Ok(());
    };
    let fact = "deviations have no brackets here";
    Err(Misread::new(at..at + word.len(), fact, WAYS, format!("write {inner}")))
}

/// A slip of the finger in a unit is no class of a standard that nobody wrote.
fn refuse_near_unit(word: &str, at: usize, size: &Amount) -> Result<(), Misread> {
    let letters = word.chars().all(char::is_alphabetic) && word.chars().count() > 1;
    let Some(near) = suggest(word, ["mm", "in", "inch", "measured"]).filter(|_| letters) else {
        return Ok(());
    };
    let known =
        StandardClass::read(word, Nature::Outside).is_ok() || StandardClass::read(word, Nature::Bore).is_ok();
    if known || size.unit.is_some() && near != "measured" {
        return Ok(());
    }
    let near = if near == "inch" { "in" } else { near };
    Err(Misread::new(
        at..at + word.len(),
        format!("\"{word}\" is not understood here"),
        WAYS,
        format!("write \"{} {near}\"", size.number),
    ))
}

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
                refuse_near_unit(word, start, size)?;
                refuse_brackets(word, start)?;
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

    fn signed(&self) -> String {
        let sign = if self.minus { "-" } else { "+" };
        format!("{sign}{}", self.amount.number)
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
    let (says, other, example) = match word.to_ascii_lowercase().as_str() {
        "max" | "maximum" => ("large", "small", format!("{number} +0/-0.1")),
        "min" | "minimum" => ("small", "large", format!("{number} +0.1/+0")),
        _ => return Ok(()),
    };
    let mend = format!("write how {other} it can be as well, such as \"{example}\"");
    Err(Misread::new(
        start..start + word.len(),
        format!("\"{word}\" says only how {says} it can be"),
        "both ends: 28.5 to 28.6, or 28.6 +0/-0.1",
        format!("{mend}; or measure one, and write what the caliper shows: \"{number} measured\""),
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
        refuse_unparted(scan, start, &upper)?;
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

/// Two deviations without their stroke, or the other end of a range behind a hyphen.
fn refuse_unparted(scan: &Scan, start: usize, upper: &Signed) -> Result<(), Misread> {
    let mut further = scan.clone();
    let end = start..scan.rest_range().end.max(scan.at());
    if matches!(scan.peek(), Some('+' | '-' | '\u{2212}' | '0'))
        && let Ok(lower) = read_signed(&mut further)
    {
        return Err(Misread::new(
            end,
            "the two deviations have no stroke between them",
            "upper and lower with a stroke between: +0/-0.1",
            format!("write {}/{}", upper.signed(), lower.signed()),
        ));
    }
    let larger =
        |a: &str, b: &str| a.parse::<f64>().ok().zip(b.parse::<f64>().ok()).is_some_and(|(a, b)| a > b);
    let size = scan.before(start).trim_end().trim_end_matches(char::is_alphabetic).trim_end();
    if upper.minus
        && scan.peek().is_none()
        && larger(upper.amount.number, "0")
        && !larger(size, upper.amount.number)
    {
        return Err(Misread::new(
            end,
            format!("\"-{}\" is no deviation of it", upper.amount.number),
            "±0.05, +0/-0.1, or a range: 28.55 to 28.60",
            format!("write {size} to {} if it is a range", upper.amount.number),
        ));
    }
    Ok(())
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
