//! Where two parts touch, one on the other: level faces at one height, or cone in cone.
//! Geometry alone; must not know what rests on what, nor why.

use super::scene::{Point, pt};
use super::solid::{Ring, Solid};

/// Faces closer than this touch. Millimetres.
const SAME: f64 = 0.005;

/// The stretch of a contact in the section, from its inner to its outer end (left of the axis).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Contact {
    pub inner: Point,
    pub outer: Point,
}

impl Contact {
    /// How wide it is, across the axis.
    pub fn width(&self) -> f64 {
        self.inner.x - self.outer.x
    }

    pub fn middle(&self) -> Point {
        pt((self.inner.x + self.outer.x) / 2.0, (self.inner.y + self.outer.y) / 2.0)
    }
}

/// Every contact of the upper part with the lower one.
pub(super) fn contacts(upper: &Solid, lower: &Solid) -> Vec<Contact> {
    let pairs = upper.rings().flat_map(|a| lower.rings().map(move |b| (a, b)));
    pairs.flat_map(|(a, b)| level(a, b).into_iter().chain(coned(a, b))).collect()
}

fn level(upper: &Ring, lower: &Ring) -> Option<Contact> {
    let inner = upper.bore[0].max(lower.bore[1]);
    let outer = upper.outside[0].min(lower.outside[1]);
    let touch = (upper.bottom - lower.top).abs() < SAME && outer - inner > SAME;
    touch.then(|| Contact { inner: pt(-inner, upper.bottom), outer: pt(-outer, upper.bottom) })
}

/// The outside of the upper one in the bore of the lower one.
fn coned(upper: &Ring, lower: &Ring) -> Option<Contact> {
    let (low, high) = (upper.bottom.max(lower.bottom), upper.top.min(lower.top));
    let apart = |h: f64| (upper.outside_at(h) - lower.bore_at(h)).abs();
    let (inner, outer) = (upper.outside_at(low), upper.outside_at(high));
    let touch = high - low > SAME && apart(low) < SAME && apart(high) < SAME && outer - inner > SAME;
    touch.then(|| Contact { inner: pt(-inner, low), outer: pt(-outer, high) })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(bottom: f64, top: f64, bore: [f64; 2], outside: [f64; 2]) -> Ring {
        Ring { bottom, top, bore, outside, bore_thread: None, outside_thread: None, knurl: None }
    }

    #[test]
    fn a_face_on_a_face_touches_over_what_both_have() {
        let found = level(&ring(10.0, 12.0, [4.0; 2], [9.0; 2]), &ring(5.0, 10.0, [6.0; 2], [20.0; 2]));
        assert_eq!(found, Some(Contact { inner: pt(-6.0, 10.0), outer: pt(-9.0, 10.0) }));
    }

    #[test]
    fn a_cone_in_a_cone_of_its_own_angle_touches_and_another_does_not() {
        let seat = ring(0.0, 2.0, [10.0, 12.0], [20.0; 2]);
        let found = coned(&ring(1.0, 3.0, [5.0; 2], [11.0, 13.0]), &seat).expect("a contact");
        assert_eq!((found.inner, found.outer, found.width()), (pt(-11.0, 1.0), pt(-12.0, 2.0), 1.0));
        assert_eq!(coned(&ring(1.0, 3.0, [5.0; 2], [11.0, 12.0]), &seat), None);
    }
}
