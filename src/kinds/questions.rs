//! What is asked about a value that is out of the ordinary, with the slip that would explain it: another unit, a
//! point in the wrong place, a radius, a whole angle. Must not know which values are usual, nor any particular part.

use super::plausible::{self, Usual};
use super::{Field, Kind};
use crate::base::{Problem, Severity, Span};
use crate::quantity::{Angle, Currency, Dimension, Length, Money, Nature, TorqueRange};

/// The code of every problem that is made here.
pub const UNUSUAL: &str = "value-unusual";

const LEAVE: &str = ", or leave it if the part measures so";

/// A doubt about one value; `impossible` where no such thing is.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    pub fact: String,
    pub usual: String,
    pub mend: String,
    /// A caliper can say that it is so after all.
    pub may_be_so: bool,
    pub impossible: bool,
}

impl Question {
    pub fn problem(self, at: Span) -> Problem {
        let leave = if self.may_be_so && !self.impossible { LEAVE } else { "" };
        let mend = format!("{}{leave}", self.mend);
        let problem = Problem::warning(UNUSUAL, self.fact).at(at, "").note(self.usual).mend(mend);
        Problem { severity: if self.impossible { Severity::Error } else { Severity::Warning }, ..problem }
    }
}

/// The value cannot stay as it is, because of what follows from it.
pub fn must_change(question: &mut Problem, because: String) {
    question.severity = Severity::Error;
    question.mend = question.mend.trim_end_matches(LEAVE).to_string();
    if !question.notes.contains(&because) {
        question.notes.push(because);
    }
}

/// A slip, and what the value is multiplied with (over, under) to take it back.
type Slip = (&'static str, i64, i64);

const CM: Slip = ("is that in cm?", 10, 1);
const INCHES: Slip = ("is that in inches?", 254, 10);
const HALF: Slip = ("is that a radius?", 2, 1);
const TOO_SMALL: [Slip; 3] =
    [("a slip of a hundred?", 100, 1), ("is that in metres?", 1_000, 1), ("is that in cm?", 10, 1)];
const TOO_LARGE: [Slip; 3] = [
    ("a slip of ten?", 1, 10),
    ("a slip of a hundred?", 1, 100),
    ("is that in thousandths of a millimetre?", 1, 1_000),
];
const NOT_INCHES: Slip = ("is that in mm?", 10, 254);

/// The slip, and the value without it; `None` where that is no usual one either.
fn mended(value: i64, usual: Usual, (word, over, under): Slip) -> Option<(&'static str, i64)> {
    let by = i128::from(value) * i128::from(over) / i128::from(under);
    Some((word, i64::try_from(by).ok().filter(|v| usual.holds(*v))?))
}

/// The slip whose mending lands nearest the middle of what is usual.
fn likely(value: i64, usual: Usual, slips: &[Slip]) -> Option<(&'static str, i64)> {
    // How far off, as a factor: never for a verdict.
    let off = |v: i64| {
        let square = v as f64 * v as f64 / (usual.least.max(1) as f64 * usual.most as f64);
        if square < 1.0 { 1.0 / square } else { square }
    };
    slips.iter().filter_map(|s| mended(value, usual, *s)).min_by(|a, b| off(a.1).total_cmp(&off(b.1)))
}

/// About a length of a field, as `written`; `None` where it is usual, or nobody knows what is.
pub fn about_length(kind: &Kind, field: &Field, length: Length, written: &str) -> Option<Question> {
    let usual = plausible::size(kind.name, field.name)?;
    let value = length.as_nm();
    if usual.holds(value) {
        return None;
    }
    let mut slips: Vec<Slip> = match value < usual.least {
        true => vec![CM, INCHES, TOO_SMALL[0], TOO_SMALL[1]],
        false => TOO_LARGE.to_vec(),
    };
    let across = matches!(field.what, super::FieldType::Dimension(Nature::Bore | Nature::Outside));
    if across && value < usual.least {
        slips.push(HALF);
    }
    if in_inches(written) {
        slips = vec![NOT_INCHES, TOO_LARGE[0], TOO_LARGE[1], TOO_SMALL[0], ("a slip of ten?", 10, 1)];
    }
    let slip = likely(value, usual, &slips);
    let mend = match slip {
        Some((slip, v)) => {
            let v = Length::nm(v);
            let inches = written.split([' ', '±']).next().filter(|_| slip == INCHES.0);
            let write = inches.map_or(v.to_string(), |number| format!("{number} in"));
            format!("{slip} {v} mm would be usual: write {write}")
        }
        None => "measure it on the part".to_string(),
    };
    let (least, most) = (Length::nm(usual.least), Length::nm(usual.most));
    Some(Question {
        fact: format!("{} of {length} mm is out of the ordinary for a {}", article(field.name), kind.name),
        usual: format!("usual are {least} to {most} mm"),
        mend,
        may_be_so: slip.is_some(),
        impossible: usual.rules_out(value),
    })
}

/// About a length that a rule file asks for. Never impossible: a rule may ask for anything.
pub fn about_limit(name: &str, value: Length) -> Option<Question> {
    let usual = plausible::limit(name).filter(|usual| !usual.holds(value.as_nm()))?;
    let slips: &[Slip] =
        if value.as_nm() < usual.least { &[TOO_SMALL[2], TOO_SMALL[0], INCHES] } else { &TOO_LARGE };
    let (least, most) = (Length::nm(usual.least), Length::nm(usual.most));
    Some(Question {
        fact: format!("{} of {value} mm is out of the ordinary for a rule", article(name)),
        usual: format!("usual are {least} to {most} mm"),
        mend: match likely(value.as_nm(), usual, slips) {
            Some((slip, v)) => format!("{slip} {} mm would be usual; leave it if it is meant", Length::nm(v)),
            None => "look at it again; leave it if it is meant".to_string(),
        },
        may_be_so: false,
        impossible: false,
    })
}

/// About how far the author says a size may be off.
pub fn about_deviation(nature: Nature, dimension: &Dimension) -> Option<Question> {
    let (size, off) = (dimension.nominal, dimension.lower.max(-dimension.lower).max(dimension.upper));
    let (across, along) = plausible::DEVIATION_ONE_IN;
    let one_in = if matches!(nature, Nature::Bore | Nature::Outside) { across } else { along };
    let share = Length::nm(size.as_nm() / one_in);
    let most = share.max(plausible::DEVIATION_ALWAYS).min(plausible::DEVIATION_MOST);
    if size == Length::ZERO || off <= most {
        return None;
    }
    let mut slips = TOO_LARGE[..2].to_vec();
    if in_inches(&dimension.written) {
        slips.insert(0, NOT_INCHES);
    }
    let usual = Usual { least: 5_000, most: most.as_nm() / 2 };
    let mend = match slips.iter().find_map(|s| mended(off.as_nm(), usual, *s)) {
        Some((slip, v)) => {
            let v = Length::nm(v);
            format!("{slip} ±{v} mm would be usual")
        }
        None => "look at the deviation again".to_string(),
    };
    Some(Question {
        fact: format!("{size} mm that may be {off} mm off is out of the ordinary"),
        usual: format!("usual is at most ±{most} mm for such a size"),
        mend,
        may_be_so: true,
        impossible: false,
    })
}

/// About the half angle of a seat; a flat shelf is 90 degrees where the field says so.
pub fn about_angle(kind: &Kind, field: &Field, angle: Angle) -> Option<Question> {
    if field.name == "seat_angle" && angle == Angle::millidegrees(90_000) {
        return None;
    }
    let usual = (plausible::SEAT_ANGLE, plausible::SEAT_ANGLE_ENDS);
    let fact = format!("{} of {angle} is out of the ordinary for a {}", article(field.name), kind.name);
    about_any_angle(angle, usual, fact)
}

/// About the half angle of a cone in raw columns.
pub fn about_column_angle(angle: Angle) -> Option<Question> {
    let usual = (plausible::COLUMN_ANGLE, plausible::COLUMN_ANGLE_ENDS);
    about_any_angle(angle, usual, format!("a half angle of {angle} is out of the ordinary"))
}

fn about_any_angle(angle: Angle, (usual, ends): (Usual, Usual), fact: String) -> Option<Question> {
    let value = angle.as_millidegrees();
    if usual.holds(value) {
        return None;
    }
    let slips = [
        ("a slip of ten?", 10, 1),
        ("a slip of ten?", 1, 10),
        ("is that the whole angle? as its half,", 1, 2),
    ];
    let mend = match likely(value, usual, &slips) {
        Some((slip, v)) => {
            let v = Angle::millidegrees(v);
            let number = v.to_string();
            format!("{slip} {v} would be usual: write {}", number.trim_end_matches('°'))
        }
        None => "write the half angle against the axis, in degrees".to_string(),
    };
    Some(Question {
        fact,
        usual: format!("usual are {}, half the cone's angle", plausible::USUAL_ANGLES),
        mend,
        may_be_so: true,
        impossible: !ends.holds(value),
    })
}

/// About a maker's torque.
pub fn about_torque(kind: &Kind, field: &Field, torque: TorqueRange) -> Option<Question> {
    let usual = plausible::torque(kind);
    let ends = [torque.least().as_mnm(), torque.most().as_mnm()];
    let value = ends.into_iter().find(|v| !usual.holds(*v))?;
    // A pound-force inch is 0.113 N m, a kilogram-force centimetre 0.098 N m.
    let slips = match value < usual.least {
        true => vec![("a slip of ten?", 10, 1)],
        false => vec![("is that in pound inches?", 113, 1_000), ("a slip of ten?", 1, 10)],
    };
    let newton_metres = |v: i64| crate::quantity::Torque::mnm(v).to_string();
    let mend = match likely(value, usual, &slips) {
        Some((slip, v)) => {
            format!("{slip} {} would be usual: look at the maker's own figure", newton_metres(v))
        }
        None => "look at the maker's own figure".to_string(),
    };
    let (least, most) = (newton_metres(usual.least), newton_metres(usual.most));
    let named = article(field.name);
    Some(Question {
        fact: format!("{named} of {} is out of the ordinary for a {}", newton_metres(value), kind.name),
        usual: format!("usual are {least} to {most}"),
        mend,
        may_be_so: false,
        impossible: usual.rules_out(value),
    })
}

/// About what a caliper may be off by.
pub fn about_caliper(uncertainty: Length) -> Option<Question> {
    let (usual, value) = (plausible::CALIPER, uncertainty.as_nm());
    if usual.holds(value) {
        return None;
    }
    let slips = [("is that in thousandths of a millimetre?", 1, 1_000), TOO_LARGE[0], TOO_LARGE[1]];
    let mend = match likely(value, usual, &slips) {
        Some((slip, v)) => format!("{slip} {} mm would be usual", Length::nm(v)),
        None => "write \"0.02\" for outsides, \"0.04\" for bores and depths".to_string(),
    };
    Some(Question {
        fact: format!("a caliper that may be {uncertainty} mm off is out of the ordinary"),
        usual: format!("usual are {} to {} mm", Length::nm(usual.least), Length::nm(usual.most)),
        mend,
        may_be_so: false,
        impossible: value > 0 && usual.rules_out(value),
    })
}

/// About a material's tensile strength in MPa.
pub fn about_strength(megapascals: u32) -> Option<Question> {
    let (usual, value) = (plausible::STRENGTH, i64::from(megapascals));
    if usual.holds(value) {
        return None;
    }
    // A thousand pounds on a square inch are 6.895 MPa.
    let slips = [("is that in thousands of psi?", 6_895, 1_000), ("a slip of ten?", 10, 1), TOO_LARGE[0]];
    let mend = match likely(value, usual, &slips) {
        Some((slip, v)) => format!("{slip} {v} MPa would be usual"),
        None => "write the least tensile strength in MPa: 310 for a usual aluminium".to_string(),
    };
    Some(Question {
        fact: format!("a strength of {megapascals} MPa is out of the ordinary"),
        usual: format!("usual are {} to {} MPa", usual.least, usual.most),
        mend,
        may_be_so: false,
        impossible: usual.rules_out(value),
    })
}

/// About a price.
pub fn about_price(price: Money) -> Option<Question> {
    let currency: Currency = price.currency();
    let most = plausible::price_most(currency);
    let unit = 10_i64.pow(u32::from(currency.digits()));
    if price.as_minor() / unit <= most {
        return None;
    }
    Some(Question {
        fact: format!("a price of {} {currency} is out of the ordinary", price.plain()),
        usual: format!("usual are prices up to {most} {currency}"),
        mend: "look whether a point is missing, or an article number stands in its place".to_string(),
        may_be_so: false,
        impossible: false,
    })
}

fn in_inches(written: &str) -> bool {
    written.contains("in") || written.contains(['"', '\u{2033}', '\u{201d}']) || written.contains("''")
}

/// With `a` or `an` before it.
fn article(name: &str) -> String {
    let vowel = name.starts_with(['a', 'e', 'i', 'o', 'u']);
    format!("{} {name}", if vowel { "an" } else { "a" })
}

#[cfg(test)]
#[path = "question_tests.rs"]
mod tests;
