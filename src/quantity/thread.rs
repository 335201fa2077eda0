//! Screw threads by name: metric sizes and the inch threads of steerers. Two equal threads screw together.
//! Must not know bolts or their strength.

use std::fmt;

use super::decimal::{Scan, scaled};
use super::{Length, Misread, read_length};

/// A thread's nominal size and pitch, in the basic profile of ISO 68-1. Equality decides whether two match.
///
/// The inch threads are taken to have the same 60 degree profile: their own basic depth is not published
/// in a source at hand, so their minor and root diameters are an assumption.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Thread {
    major: Length,
    pitch: Pitch,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
enum Pitch {
    Metric(Length),
    PerInch(i64),
}

/// Nominal size in mm, pitches in micrometres with the coarse one first: ISO 261, secondary.
const METRIC: [(i64, &[i64]); 5] =
    [(4, &[700]), (5, &[800]), (6, &[1_000]), (8, &[1_250, 1_000]), (10, &[1_500, 1_250, 1_000])];

const KNOWN: &str = "M4, M5, M6, M8, M8x1, M10, M10x1.25, M10x1, 1 in x 24 tpi or 1-1/8 in x 26 tpi";

/// Depths in pitches, by 10^9: ISO 68-1 with H = 0.866025404 P. Pitch diameter d - 3H/4, minor diameter
/// of the nut d - 5H/4, root diameter of the bolt d - 17H/12.
const PITCH_DEPTH: i64 = 649_519_053;
const MINOR_DEPTH: i64 = 1_082_531_755;
const ROOT_DEPTH: i64 = 1_226_869_322;

/// Of `M8 x 1.25 mm` or `m8` what is read: its own pitch where that is one of the list, else the coarse one.
fn near(name: &str) -> Option<String> {
    let plain: String = name.to_uppercase().trim_end_matches("MM").split_whitespace().collect();
    let plain = plain.replace(['X', '\u{d7}', '*'], "x");
    let coarse = || plain.split('x').next().map(str::to_string);
    let read = |name: &String| name.strip_prefix('M').and_then(metric).is_some();
    Some(plain.clone()).filter(&read).or_else(|| coarse().filter(&read))
}

impl Thread {
    /// Reads `M6`, `M8x1`, `1-1/8 in x 26 tpi`. Refused: metric sizes and pitches not listed above, and inch
    /// threads outside 1/4 to 2 in or 8 to 80 threads to the inch.
    pub fn read(text: &str) -> Result<Thread, Misread> {
        let start = text.len() - text.trim_start().len();
        let name = text.trim();
        let thread = match name.strip_prefix(['M', 'm']) {
            Some(rest) if name.starts_with('M') => metric(rest),
            _ => per_inch(name),
        };
        thread.ok_or_else(|| {
            Misread::new(
                start..start + name.len(),
                format!("\"{name}\" is not a thread that is known here"),
                KNOWN,
                near(name).map_or("write the thread as in the list".to_string(), |n| format!("write {n}")),
            )
        })
    }

    pub fn major(self) -> Length {
        self.major
    }

    /// Exact for metric threads; threads to the inch are rounded to the nearest nanometre.
    pub fn pitch(self) -> Length {
        match self.pitch {
            Pitch::Metric(pitch) => pitch,
            Pitch::PerInch(turns) => Length::nm((25_400_000 + turns / 2) / turns),
        }
    }

    /// Whether it is a bolt's thread, not a steerer's.
    pub fn is_metric(self) -> bool {
        matches!(self.pitch, Pitch::Metric(_))
    }

    /// d2 = d - 0.649519 P, to the nearest nanometre.
    pub fn pitch_diameter(self) -> Length {
        self.less(PITCH_DEPTH)
    }

    /// D1 = d - 1.082532 P, the bore of the nut, to the nearest nanometre.
    pub fn minor(self) -> Length {
        self.less(MINOR_DEPTH)
    }

    /// d3 = d - 1.226869 P, the core of the bolt, to the nearest nanometre.
    pub fn root(self) -> Length {
        self.less(ROOT_DEPTH)
    }

    /// Pi/4 times the square of the mean of pitch and root diameter (ISO 898-1). For print: never for a verdict.
    pub fn tensile_area_mm2(self) -> f64 {
        let mean = (self.pitch_diameter() + self.root()).as_mm_f64() / 2.0;
        std::f64::consts::FRAC_PI_4 * mean * mean
    }

    fn less(self, depth: i64) -> Length {
        let nm = i128::from(depth) * i128::from(self.pitch().as_nm());
        self.major - Length::nm(((nm + 500_000_000) / 1_000_000_000) as i64)
    }
}

/// As in the standards; the coarse pitch is left out: `M8`, `M8x1`, `1-1/8 in x 26 tpi`.
impl fmt::Display for Thread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.pitch {
            Pitch::Metric(pitch) => {
                write!(f, "M{}", self.major)?;
                if coarse(self.major) == Some(pitch) { Ok(()) } else { write!(f, "x{pitch}") }
            }
            Pitch::PerInch(turns) => write!(f, "{} in x {turns} tpi", inch_words(self.major)),
        }
    }
}

fn metric(rest: &str) -> Option<Thread> {
    let mut scan = Scan::new(rest);
    let size: i64 = scan.take(|c| c.is_ascii_digit()).parse().ok()?;
    let (_, pitches) = METRIC.iter().find(|(d, _)| *d == size)?;
    scan.skip_spaces();
    let pitch = if scan.peek().is_none() {
        *pitches.first()?
    } else {
        if !(scan.eat("x") || scan.eat("×")) {
            return None;
        }
        scan.skip_spaces();
        let written = scaled(scan.rest(), 3).ok()?;
        pitches.iter().copied().find(|p| *p == written)?
    };
    Some(Thread { major: Length::mm(size), pitch: Pitch::Metric(Length::um(pitch)) })
}

fn per_inch(name: &str) -> Option<Thread> {
    let (size, turns) = name.split_once(['x', '×'])?;
    let inches = size.trim_end().strip_suffix("in").is_some();
    let major = read_length(size).ok().filter(|_| inches)?;
    let turns = scaled(turns.trim().strip_suffix("tpi")?.trim_end(), 0).ok()?;
    let sound = (Length::um(6_350)..=Length::um(50_800)).contains(&major) && (8..=80).contains(&turns);
    sound.then_some(Thread { major, pitch: Pitch::PerInch(turns) })
}

fn coarse(major: Length) -> Option<Length> {
    let (_, pitches) = METRIC.iter().find(|(d, _)| Length::mm(*d) == major)?;
    pitches.first().map(|um| Length::um(*um))
}

/// A whole number and sixty-fourths in lowest terms; what has no such form is written in mm.
fn inch_words(length: Length) -> String {
    let (sixty_fourths, rest) = (length.as_nm() / 396_875, length.as_nm() % 396_875);
    if rest != 0 {
        let ten_nano_inches = i128::from(length.as_nm()) * 100_000_000 / 25_400_000;
        let text = format!("{}.{:08}", ten_nano_inches / 100_000_000, ten_nano_inches % 100_000_000);
        return text.trim_end_matches('0').to_string();
    }
    let (whole, mut top, mut bottom) = (sixty_fourths / 64, sixty_fourths % 64, 64);
    while top != 0 && top % 2 == 0 {
        (top, bottom) = (top / 2, bottom / 2);
    }
    match (whole, top) {
        (_, 0) => whole.to_string(),
        (0, _) => format!("{top}/{bottom}"),
        _ => format!("{whole}-{top}/{bottom}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thread(name: &str) -> Thread {
        Thread::read(name).unwrap_or_else(|m| panic!("{name}: {m:?}"))
    }

    #[test]
    fn the_coarse_pitch_may_be_left_out() {
        assert_eq!(thread("M8"), thread("M8x1.25"));
        assert_eq!(thread("M8"), thread(" M8 × 1.25 "));
        assert_ne!(thread("M8"), thread("M8x1"));
        assert_eq!(thread("M10x1.5").to_string(), "M10");
        assert_eq!(thread("M10x1.25").to_string(), "M10x1.25");
    }

    #[test]
    fn steerer_threads_are_inches_and_turns_to_the_inch() {
        let steerer = thread("1-1/8 in x 26 tpi");
        assert_eq!(steerer.major(), Length::nm(28_575_000));
        assert_eq!(steerer.pitch(), Length::nm(976_923));
        assert_eq!(steerer.to_string(), "1-1/8 in x 26 tpi");
        assert_eq!(thread("1.125 in x 26 tpi"), steerer);
        assert_eq!(thread("1 in x 24 tpi").to_string(), "1 in x 24 tpi");
        assert_eq!(thread("1 in x 24 tpi").pitch(), Length::nm(1_058_333));
        assert_eq!(thread("1.1 in x 24 tpi").to_string(), "1.1 in x 24 tpi");
    }

    #[test]
    fn diameters_step_inwards() {
        for name in ["M4", "M5", "M6", "M8", "M8x1", "M10", "M10x1.25", "M10x1", "1-1/8 in x 26 tpi"] {
            let t = thread(name);
            assert!(t.major() > t.pitch_diameter() && t.pitch_diameter() > t.minor(), "{name}");
            assert!(t.minor() > t.root(), "{name}");
        }
        assert_eq!(thread("M8").minor(), Length::nm(6_646_835));
    }

    #[test]
    fn unknown_threads_are_refused_with_the_known_ones() {
        for name in [
            "",
            "M",
            "M7",
            "m8",
            "M8x2",
            "M8x",
            "M8 1",
            "M8,1",
            "8",
            "M8-1",
            "1-1/8 x 26 tpi",
            "1-1/8 in x 26",
            "1-1/8 in x 0 tpi",
            "1-1/8 in",
            "28.575 x 26 tpi",
            "5 in x 26 tpi",
            "1/8 in x 26 tpi",
            "Mx1",
        ] {
            let refused = Thread::read(name).expect_err(name);
            assert!(refused.expected.contains("M10x1.25"), "{name}");
        }
    }
}
