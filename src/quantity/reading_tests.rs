//! What the length and dimension readers take and refuse. One door per question.

use super::*;
use crate::quantity::Caliper;

fn defaults() -> Defaults {
    Defaults::usual().expect("the usual defaults")
}

/// Least, nominal, most in nanometres and the origin's word.
fn read(text: &str, nature: Nature) -> (i64, i64, i64, &'static str) {
    let d = read_dimension(text, nature, &defaults()).unwrap_or_else(|m| panic!("{text}: {m:?}"));
    assert_eq!(d.written, text.trim());
    assert!(d.extent().is_some());
    (d.least().as_nm(), d.nominal.as_nm(), d.most().as_nm(), d.origin.word())
}

fn refused(text: &str, nature: Nature) -> Misread {
    let misread = match read_dimension(text, nature, &defaults()) {
        Ok(d) => panic!("{text} was read as {d:?}"),
        Err(misread) => misread,
    };
    assert!(text.get(misread.at.clone()).is_some(), "{text}: {misread:?}");
    assert!(!misread.fact.is_empty() && !misread.expected.is_empty() && !misread.mend.is_empty());
    misread
}

#[test]
fn every_way_of_writing_a_dimension_is_read_exactly() {
    let o = Nature::Outside;
    assert_eq!(read("28.6 ±0.05", o), (28_550_000, 28_600_000, 28_650_000, "stated"));
    assert_eq!(read("28.6 +-0.05", o), (28_550_000, 28_600_000, 28_650_000, "stated"));
    assert_eq!(read("28.6±0.05 mm", o), (28_550_000, 28_600_000, 28_650_000, "stated"));
    assert_eq!(read("28.6 mm ± 0.05", o), (28_550_000, 28_600_000, 28_650_000, "stated"));
    assert_eq!(read("28.6 +0/-0.1", o), (28_500_000, 28_600_000, 28_600_000, "stated"));
    assert_eq!(read("28.6 0/\u{2212}0.1", o), (28_500_000, 28_600_000, 28_600_000, "stated"));
    assert_eq!(read("28.6 +0.1/+0.05", o), (28_650_000, 28_600_000, 28_700_000, "stated"));
    assert_eq!(read("28.6 h9", o), (28_548_000, 28_600_000, 28_600_000, "class"));
    assert_eq!(read("28.6h9", o), (28_548_000, 28_600_000, 28_600_000, "class"));
    assert_eq!(read("28.6 H8", Nature::Bore), (28_600_000, 28_600_000, 28_633_000, "class"));
    assert_eq!(read("28.6 iso2768-f", o), (28_500_000, 28_600_000, 28_700_000, "class"));
    assert_eq!(read("28.6", o), (28_574_000, 28_600_000, 28_626_000, "assumed"));
    assert_eq!(read("28.6 mm", Nature::Height), (28_500_000, 28_600_000, 28_700_000, "assumed"));
}

#[test]
fn inches_are_exact_and_their_deviations_are_millimetres() {
    assert_eq!(read("1-1/8 in ±0.05", Nature::Outside), (28_525_000, 28_575_000, 28_625_000, "stated"));
    assert_eq!(read("1.125 in +0/-0.1 mm", Nature::Outside), (28_475_000, 28_575_000, 28_575_000, "stated"));
    assert_eq!(read_length("1 in"), Ok(Length::um(25_400)));
    assert_eq!(read_length("7/8 in"), Ok(Length::nm(22_225_000)));
    assert_eq!(read_length("1/64 in"), Ok(Length::nm(396_875)));
    assert!(read_length("0.0000005 in").is_err());
    assert_eq!(read_length("0.000005 in"), Ok(Length::nm(127)));
    assert!(read_length("1/128 in").is_err());
}

#[test]
fn a_reading_is_as_sure_as_the_jaw_it_was_taken_with() {
    assert_eq!(read("28.55 measured", Nature::Outside), (28_530_000, 28_550_000, 28_570_000, "measured"));
    assert_eq!(read("28.55 measured", Nature::Bore), (28_510_000, 28_550_000, 28_590_000, "measured"));
    let coarse = Caliper { outside: Length::um(100), ..Caliper::USUAL };
    let book = Defaults { caliper: coarse, ..defaults() };
    let read = read_dimension("5 measured", Nature::Height, &book).expect("a reading");
    assert_eq!(read.upper, Length::um(100));
}

#[test]
fn nothing_is_exactly_nothing() {
    assert_eq!(read("0", Nature::Height), (0, 0, 0, "stated"));
    assert_eq!(read("0 +0.1/0", Nature::Height), (0, 0, 100_000, "stated"));
    refused("0 ±0.1", Nature::Height);
}

#[test]
fn a_refusal_says_what_to_write_instead() {
    let mend = |text| refused(text, Nature::Outside).mend;
    assert_eq!(mend("28,6"), "write 28.6");
    assert_eq!(mend("28.6 ±0,05"), "write 0.05");
    assert_eq!(mend("28.6 H8"), "write h8");
    assert_eq!(refused("28.6 h9", Nature::Bore).mend, "write H9");
    assert_eq!(mend("1-1/8"), "write 1-1/8 in");
    assert_eq!(mend("1-1/8\""), "write 1-1/8 in");
    assert_eq!(mend("1-1/8 inches"), "write 1-1/8 in");
    assert_eq!(mend("28.6 MM"), "write 28.6 mm");
    assert_eq!(mend("28.6 0.05"), "write ±0.05, or +0.05 or -0.05");
}

#[test]
fn a_refusal_points_at_the_wrong_piece() {
    let at = |text, nature| text_at(text, refused(text, nature).at);
    fn text_at(text: &str, at: Range<usize>) -> String {
        text[at].to_string()
    }
    assert_eq!(at("  28,6 ", Nature::Outside), "28,6");
    assert_eq!(at("28.6 ±0,05", Nature::Outside), "0,05");
    assert_eq!(at("28.6 H8", Nature::Outside), "H8");
    assert_eq!(at("28.6 h99", Nature::Outside), "99");
    assert_eq!(at("28.6 cm", Nature::Outside), "cm");
    assert_eq!(at("28.6 -0.1/+0.1", Nature::Outside), "-0.1/+0.1");
    assert_eq!(at("200 h9", Nature::Outside), "h9");
    assert_eq!(at(" 2 ", Nature::Outside), "2");
    assert_eq!(at("28.6 ±0.05 or so", Nature::Outside), "or so");
    assert_eq!(at("1-1/8 in ±0.002 in", Nature::Outside), "in");
}

#[test]
fn what_cannot_be_held_is_refused() {
    for text in [
        "",
        "  ",
        "mm",
        "about 28",
        "-5",
        "\u{2212}5",
        "+5",
        ".5",
        "28.",
        "1.2.3",
        "28.6 ±",
        "28.6 +0.1",
        "28.6 -0.1",
        "28.6 +0/",
        "28.6 x9",
        "28.6 K9",
        "28.6 h4",
        "28.6 kg",
        "28.6 measured twice",
        "0.1 ±0.2",
        "28.6000001",
        "9/8 in",
        "1-0/8 in",
        "1-1/0 in",
        "1-/8 in",
        "1/ in",
        "/8 in",
        "1--1/8 in",
        "1-1.5/8 in",
        "10001 ±1",
        "99999999999999999999",
        "1000 ±0.1",
        "28.6 ±20000",
        "28.6 in in",
        "28.6 Measured",
        "inf",
        "1e3",
        "400.1 iso2768-m",
        "28.6 iso2768",
        "½ in",
        "28.6 ±0.05 ±0.05",
        "99999999999/99999999998 in",
        "99999999999999999-1/2 in",
    ] {
        refused(text, Nature::Outside);
    }
}

#[test]
fn a_metre_is_the_end() {
    assert_eq!(read_length("1000"), Ok(Length::mm(1_000)));
    assert!(read_length("1000.000001").is_err());
    assert!(read_length("9999 in").is_err());
    assert!(read_length("28.6 ±0.1").is_err());
    assert!(read_length("28.6 h9").is_err());
}

proptest::proptest! {
    /// Whatever is typed, the answer is a sound dimension or a refusal that points inside the text.
    #[test]
    fn any_text_is_read_soundly_or_refused(text in "[0-9 .,/±+\\-inmhHJSjskK9\"−½a-f]{0,16}") {
        for nature in Nature::ALL {
            match read_dimension(&text, nature, &defaults()) {
                Ok(d) => {
                    assert!(Length::ZERO <= d.least() && d.least() <= d.nominal.max(d.most()), "{text}");
                    assert!(d.lower <= d.upper && d.most() <= LONGEST, "{text}");
                }
                Err(m) => assert!(text.get(m.at.clone()).is_some(), "{text}: {m:?}"),
            }
        }
        let _ = (read_length(&text), crate::quantity::Thread::read(&text));
    }

    /// What was put in comes out to the nanometre, deviations too.
    #[test]
    fn written_deviations_come_back_to_the_nanometre(
        nominal in 2_000_000_i64..990_000_000, one in -1_000_000_i64..1_000_000, other in -1_000_000_i64..1_000_000,
    ) {
        let (lower, upper) = (Length::nm(one.min(other)), Length::nm(one.max(other)));
        let signed = |l: Length| if l < Length::ZERO { l.to_string() } else { format!("+{l}") };
        let text = format!("{} {}/{}", Length::nm(nominal), signed(upper), signed(lower));
        let read = read_dimension(&text, Nature::Outside, &defaults()).expect("a dimension");
        assert_eq!((read.nominal, read.lower, read.upper), (Length::nm(nominal), lower, upper));
    }

    /// Every sixty-fourth of an inch is exact, and reads the same as its millimetres.
    #[test]
    fn inch_fractions_equal_their_millimetres(whole in 0_i64..20, top in 1_i64..64) {
        let inches = read_length(&format!("{whole}-{top}/64 in"));
        assert_eq!(inches, read_length(&Length::nm((whole * 64 + top) * 396_875).to_string()));
    }
}
