//! Limits of the common screw threads in the usual tolerance, 6g on the bolt and 6H in the nut. Data, and the sums on it.
//! Must not know strengths.

use super::{Length, Thread};

/// The four limits that decide how much metal a thread shears through when it strips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ThreadLimits {
    /// Least major diameter of the bolt.
    pub bolt_major_least: Length,
    /// Least pitch diameter of the bolt.
    pub bolt_pitch_least: Length,
    /// Greatest minor diameter of the nut.
    pub nut_minor_most: Length,
    /// Greatest pitch diameter of the nut.
    pub nut_pitch_most: Length,
}

/// One pitch's tolerances, micrometres: size band 2.8 to 5.6 mm for pitches up to 0.8, 5.6 to 11.2 mm above.
struct Tolerance {
    pitch: i64,
    /// Fundamental deviation of g, without its minus sign.
    g: i64,
    bolt_major: i64,
    bolt_pitch: i64,
    nut_minor: i64,
    nut_pitch: i64,
}

/// ISO 965-1, grade 6 and position g, from memory. Pitches 0.8, 1, 1.25 and 1.5 agree with the published
/// limits in `tests/data/thread_strip_areas.csv`.
const TOLERANCES: [Tolerance; 5] = [
    Tolerance { pitch: 700, g: 22, bolt_major: 140, bolt_pitch: 90, nut_minor: 180, nut_pitch: 118 },
    Tolerance { pitch: 800, g: 24, bolt_major: 150, bolt_pitch: 95, nut_minor: 200, nut_pitch: 125 },
    Tolerance { pitch: 1_000, g: 26, bolt_major: 180, bolt_pitch: 112, nut_minor: 236, nut_pitch: 150 },
    Tolerance { pitch: 1_250, g: 28, bolt_major: 212, bolt_pitch: 118, nut_minor: 265, nut_pitch: 160 },
    Tolerance { pitch: 1_500, g: 32, bolt_major: 236, bolt_pitch: 132, nut_minor: 300, nut_pitch: 180 },
];

impl Thread {
    /// `None` for threads that are no bolt's: the inch threads of steerers.
    ///
    /// Basic diameters are rounded to a micrometre first, as the standard's own tables are.
    pub fn limits(self) -> Option<ThreadLimits> {
        if !self.is_metric() {
            return None;
        }
        let row = TOLERANCES.iter().find(|t| Length::um(t.pitch) == self.pitch())?;
        Some(ThreadLimits {
            bolt_major_least: self.major() - Length::um(row.g + row.bolt_major),
            bolt_pitch_least: micrometre(self.pitch_diameter()) - Length::um(row.g + row.bolt_pitch),
            nut_minor_most: micrometre(self.minor()) + Length::um(row.nut_minor),
            nut_pitch_most: micrometre(self.pitch_diameter()) + Length::um(row.nut_pitch),
        })
    }
}

fn micrometre(length: Length) -> Length {
    Length::um((length.as_nm() + 500) / 1_000)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_metric_thread_has_limits_and_no_steerer_thread_has() {
        for name in ["M4", "M5", "M6", "M8", "M8x1", "M10", "M10x1.25", "M10x1"] {
            let thread = Thread::read(name).expect("a thread");
            let limits = thread.limits().expect("limits");
            assert!(limits.bolt_major_least < thread.major(), "{name}");
            assert!(limits.nut_minor_most < limits.bolt_pitch_least, "{name}: the flanks would not meet");
            assert!(limits.nut_pitch_most < limits.bolt_major_least, "{name}");
        }
        assert_eq!(Thread::read("1 in x 24 tpi").expect("a thread").limits(), None);
    }
}
