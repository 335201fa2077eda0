//! How much thread must be engaged so that the bolt breaks before either thread strips. Whole numbers only.
//! Must not know what the nut is part of.

use super::{Length, Strength, Thread};

/// 1/sqrt 3 by 10^9, rounded down.
const INVERSE_ROOT_THREE: i128 = 577_350_269;
const GIGA: i128 = 1_000_000_000;
/// 9 sqrt 3 / 16 by 10^9, rounded down: the tensile diameter comes out no smaller than it is.
const TENSILE_DEPTH: i128 = 974_278_579;
/// Answers are rounded up to a hundredth of a millimetre.
const STEP: i128 = 10_000;

/// Engaged length needed, rounded up to 0.01 mm; thread limits 6g in 6H at their weakest. `None` for the
/// inch threads of steerers, whose limits are not known here.
///
/// FED-STD-H28/2B (1991), table II.B.1: the greatest of formula 13 (both threads shear together), 14
/// (the bolt's thread) and 16 (the nut's thread), with shear strength as half of tensile strength and the
/// tensile area of formula 1b. Taking the greatest of all three is never less than the standard's own choice
/// between them. Strengths are least values: a bolt stronger than its class says may strip its thread after all.
pub fn engagement_needed(thread: Thread, bolt: Strength, nut: Strength) -> Option<Length> {
    let limits = thread.limits()?;
    let pitch = nm(thread.pitch());
    let tensile = nm(thread.major()) - TENSILE_DEPTH * pitch / GIGA;
    let square = tensile * tensile;
    let together = divide_up(square, nm(thread.pitch_diameter()) - 1);
    let bolt_strips = divide_up(
        square * pitch * GIGA,
        2 * sheared(pitch, limits.nut_minor_most, limits.bolt_pitch_least - limits.nut_minor_most),
    );
    let nut_strips = divide_up(
        square * pitch * GIGA * i128::from(bolt.as_mpa()),
        2 * sheared(pitch, limits.bolt_major_least, limits.bolt_major_least - limits.nut_pitch_most)
            * i128::from(nut.as_mpa()),
    );
    let needed = together.max(bolt_strips).max(nut_strips);
    let rounded = divide_up(needed, STEP) * STEP;
    i64::try_from(rounded).ok().map(Length::nm)
}

/// What would shear over a given engagement, in mm2.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StrippingAreas {
    pub bolt: f64,
    pub nut: f64,
}

/// FED-STD-H28/2B table II.B.1, formulas 2a and 4a. For print: never for a verdict.
pub fn stripping_areas_mm2(thread: Thread, engaged: Length) -> Option<StrippingAreas> {
    let limits = thread.limits()?;
    let pitch = nm(thread.pitch());
    let area = |at: Length, flank: Length| {
        let per_turn = sheared(pitch, at, flank) as f64 / 1e21;
        std::f64::consts::PI * engaged.as_mm_f64() / thread.pitch().as_mm_f64() * per_turn
    };
    Some(StrippingAreas {
        bolt: area(limits.nut_minor_most, limits.bolt_pitch_least - limits.nut_minor_most),
        nut: area(limits.bolt_major_least, limits.bolt_major_least - limits.nut_pitch_most),
    })
}

/// Diameter times the metal left per turn there, in nm2 by 10^9 and without pi; never more than it is.
fn sheared(pitch: i128, diameter: Length, flank: Length) -> i128 {
    let flank = nm(flank);
    let slope = if flank < 0 { INVERSE_ROOT_THREE + 1 } else { INVERSE_ROOT_THREE };
    nm(diameter) * (pitch * GIGA / 2 + slope * flank)
}

fn nm(length: Length) -> i128 {
    i128::from(length.as_nm())
}

/// For positive numbers.
fn divide_up(value: i128, by: i128) -> i128 {
    (value + by - 1) / by
}

#[cfg(test)]
mod tests {
    use super::*;

    fn needed(thread: &str, bolt: u32, nut: u32) -> String {
        let strength = |mpa| Strength::mpa(mpa).expect("a strength");
        let thread = Thread::read(thread).expect("a thread");
        engagement_needed(thread, strength(bolt), strength(nut)).expect("limits").to_mm(2)
    }

    /// Worked by an open screw-thread library that follows FED-STD-H28/2B.
    #[test]
    fn the_worked_example_comes_out_to_the_printed_digit() {
        assert_eq!(needed("M8x1.25", 800, 800), "6.40");
        assert_eq!(needed("M8x1.25", 800, 310), "11.08");
    }

    #[test]
    fn softer_nuts_need_more_thread_and_harder_ones_never_less_than_the_bolt_itself_needs() {
        let lengths = [100, 200, 310, 500, 800, 2_000].map(|nut| needed("M6", 800, nut));
        let numbers: Vec<f64> = lengths.iter().map(|l| l.parse().expect("a number")).collect();
        assert!(numbers.windows(2).all(|w| w[0] >= w[1]), "{numbers:?}");
        assert_eq!(lengths[4], lengths[5]);
    }

    #[test]
    fn the_answer_holds_when_the_areas_are_worked_out_again() {
        for name in ["M4", "M5", "M6", "M8", "M8x1", "M10", "M10x1.25", "M10x1"] {
            let thread = Thread::read(name).expect("a thread");
            for (bolt, nut) in [(800, 310), (1_220, 200), (700, 700), (800, 1_000)] {
                let strengths = (Strength::mpa(bolt).expect("bolt"), Strength::mpa(nut).expect("nut"));
                let engaged = engagement_needed(thread, strengths.0, strengths.1).expect("limits");
                let areas = stripping_areas_mm2(thread, engaged).expect("limits");
                let tensile = thread.major().as_mm_f64() - 0.974_278_6 * thread.pitch().as_mm_f64();
                let breaks = std::f64::consts::FRAC_PI_4 * tensile * tensile * f64::from(bolt);
                assert!(areas.bolt * f64::from(bolt) / 2.0 >= breaks, "{name} {bolt} {nut}");
                assert!(areas.nut * f64::from(nut) / 2.0 >= breaks * 0.999_999_9, "{name} {bolt} {nut}");
            }
        }
    }
}
