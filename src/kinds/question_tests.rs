//! What is asked about values out of the ordinary, and which slip is named.

use super::super::find;
use super::*;
use crate::quantity::{Defaults, read_dimension};

fn field(kind: &str, field: &str) -> (&'static Kind, &'static Field) {
    let kind = find(kind).expect("a kind");
    (kind, kind.field(field).expect("a field"))
}

fn length(kind: &str, name: &str, written: &str) -> Option<Question> {
    let (kind, field) = field(kind, name);
    let read = crate::quantity::read_length(written).expect("a length");
    about_length(kind, field, read, written)
}

/// The mend, which names the slip.
fn asks(kind: &str, name: &str, written: &str) -> String {
    length(kind, name, written).unwrap_or_else(|| panic!("{kind} {name} {written} is usual")).mend
}

#[test]
fn the_likely_slip_is_named_with_the_value_it_would_be() {
    let asks = |kind, name, written, says| {
        let mend = asks(kind, name, written);
        assert!(mend.starts_with(says), "{written}: {mend}");
    };
    asks("fork", "steerer_length", "13.65", "is that in cm? 136.5 mm would be usual: write 136.5");
    asks("fork", "steerer_length", "0.1365", "is that in metres? 136.5 mm");
    asks("fork", "steerer_length", "5.5", "is that in inches? 139.7 mm");
    asks("fork", "steerer_outside", "1.125", "is that in inches? 28.575 mm would be usual: write 1.125 in");
    asks("fork", "steerer_outside", "1", "is that in inches? 25.4 mm would be usual: write 1 in");
    asks("fork", "steerer_outside", "2.86", "is that in cm? 28.6 mm");
    asks("fork", "steerer_outside", "14.3", "is that a radius? 28.6 mm");
    asks("fork", "steerer_outside", "286", "a slip of ten? 28.6 mm");
    asks("fork", "steerer_outside", "28.6 in", "is that in mm? 28.6 mm");
    asks("bolt", "key", "60", "a slip of ten? 6 mm");
    asks("clamp", "pinch_heights", "30 in", "is that in mm? 30 mm");
    asks("fork", "steerer_length", "55", "measure it on the part");
    assert_eq!(length("fork", "steerer_length", "136.5"), None);
}

#[test]
fn what_is_far_off_cannot_be_meant() {
    let impossible = |kind, name, written| length(kind, name, written).expect("a question").impossible;
    assert!(!impossible("fork", "steerer_length", "13.65"));
    assert!(impossible("fork", "steerer_length", "1.365"));
    assert!(impossible("fork", "steerer_outside", "1.125"));
    assert!(!impossible("fork", "steerer_outside", "14.3"));
    assert!(impossible("bolt", "key", "900"));
}

#[test]
fn a_deviation_over_a_tenth_of_the_size_is_asked_about() {
    let of = |nature, written: &str| {
        let defaults = Defaults::usual().expect("defaults");
        about_deviation(nature, &read_dimension(written, nature, &defaults).expect("a dimension"))
    };
    let deviation = |written: &str| of(Nature::Height, written);
    assert!(of(Nature::Outside, "28.6 +0/-2").is_some_and(|q| q.mend.starts_with("a slip of ten? ±0.2 mm")));
    assert_eq!(of(Nature::Outside, "28.6 +0/-1"), None);
    for usual in ["28.6 ±0.05", "28.6 ±2.86", "1 ±0.2", "2 to 2.4", "149 ±1.5", "0 +3/0", "30 +1/-3"] {
        assert_eq!(deviation(usual), None, "{usual}");
    }
    let says = |written: &str| deviation(written).unwrap_or_else(|| panic!("{written}")).mend;
    assert!(says("28.6 ±5").starts_with("a slip of ten? ±0.5 mm"), "{}", says("28.6 ±5"));
    assert!(says("150 ±12").starts_with("a slip of ten? ±1.2 mm"));
    assert!(says("1.125 in ±0.2").starts_with("is that in mm? ±0.2 mm"), "{}", says("1.125 in ±0.2"));
    assert!(says("20 to 30").starts_with("a slip of ten? ±0.5 mm"));
    assert!(deviation("28.6 -5/-5.1").is_some_and(|q| q.fact.contains("5.1")));
}

#[test]
fn a_cone_that_would_jam_or_lie_flat_cannot_be_meant() {
    let (kind, name) = field("bearing", "inner_angle");
    let ask = |text: &str| about_angle(kind, name, Angle::read(text).expect("an angle"));
    for usual in ["45", "36", "30", "37.5"] {
        assert_eq!(ask(usual), None, "{usual}");
    }
    let far = |text: &str| ask(text).unwrap_or_else(|| panic!("{text}"));
    assert!(
        far("4.5").impossible && far("4.5").mend.starts_with("a slip of ten? 45° would be usual: write 45")
    );
    assert!(far("1").impossible && far("1").mend.starts_with("write the half angle"));
    assert!(far("90").impossible && far("90").mend.contains("45° would be usual: write 45"));
    assert!(!far("72").impossible && far("72").mend.contains("36° would be usual"));
    assert!(far("0").impossible && far("360").impossible);
    assert_eq!(far("1").fact, "an inner_angle of 1° is out of the ordinary for a bearing");
    let (deck, seat) = field("deck", "seat_angle");
    assert_eq!(about_angle(deck, seat, Angle::millidegrees(90_000)), None);
    assert!(about_column_angle(Angle::millidegrees(1_000)).is_some_and(|q| q.impossible));
    assert!(about_column_angle(Angle::millidegrees(10_000)).is_some_and(|q| !q.impossible));
}

#[test]
fn torques_strengths_calipers_and_prices_have_their_usual_values() {
    let (clamp, pinch) = field("clamp", "pinch_torque");
    let torque = |text: &str| about_torque(clamp, pinch, TorqueRange::read(text).expect("a torque"));
    assert_eq!(torque("8 N m"), None);
    assert!(torque("0.8 N m").is_some_and(|q| q.mend.starts_with("a slip of ten? 8 N m") && !q.impossible));
    assert!(torque("8-80 N m").is_some_and(|q| q.mend.starts_with("is that in pound inches? 9.04 N m")));
    assert_eq!(about_strength(310), None);
    assert!(about_strength(1).is_some_and(|q| q.impossible));
    assert!(about_strength(45).is_some_and(|q| q.mend.contains("450") || q.mend.contains("310")));
    assert_eq!(about_caliper(Length::um(20)), None);
    assert!(about_caliper(Length::mm(50)).is_some_and(|q| q.impossible && q.mend.contains("0.05 mm")));
    assert!(about_caliper(Length::ZERO).is_some_and(|q| !q.impossible));
    let price =
        |minor, code| about_price(Money::minor(minor, Currency::from_code(code).expect("a currency")));
    assert_eq!(price(99_900, "EUR"), None);
    assert!(price(9_999_999_900, "EUR").is_some_and(|q| q.fact.contains("99999999.00 EUR")));
    assert_eq!(price(120_000, "JPY"), None);
    assert!(price(99_999_999, "JPY").is_some());
}

/// Values nobody would write: an answer, not a panic.
#[test]
fn the_ends_of_what_is_read_are_asked_about_too() {
    for kind in super::super::all() {
        for field in kind.fields {
            for nanometres in [0, 1, 1_000_000_000, i64::MAX, i64::MIN] {
                let _ = about_length(kind, field, Length::nm(nanometres), "");
            }
        }
    }
}
