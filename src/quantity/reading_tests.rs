//! What the length and dimension readers take and refuse. One door per question.

use super::*;
use crate::quantity::Caliper;
use crate::quantity::amount::LONGEST;

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
fn inches_are_exact() {
    assert_eq!(read_length("1 in"), Ok(Length::um(25_400)));
    assert_eq!(read_length("7/8 in"), Ok(Length::nm(22_225_000)));
    assert_eq!(read_length("1/64 in"), Ok(Length::nm(396_875)));
    assert!(read_length("0.0000005 in").is_err());
    assert_eq!(read_length("0.000005 in"), Ok(Length::nm(127)));
    assert!(read_length("1/128 in").is_err());
    for text in
        ["1-1/8 in", "1 1/8 in", "1  1/8in", "1-1/8\"", "1 1/8 \"", "1 1/8\u{2033}", "1 1/8''", "1.125 in"]
    {
        assert_eq!(read_length(text), Ok(Length::um(28_575)), "{text}");
    }
}

#[test]
fn a_unit_once_written_holds_for_the_whole_value() {
    let o = Nature::Outside;
    let thousandths = (28_448_000, 28_575_000, 28_702_000, "stated");
    for text in [
        "1.125 in ±0.005",
        "1.125 in ±0.005 in",
        "1.125 ±0.005 in",
        "1.125\" ±0.005\"",
        "1-1/8 in ±0.005",
        "1 1/8\" ±0.005",
        "1 1/8 in +0.005/-0.005",
        "1 1/8 +0.005/-0.005 in",
        "1-1/8 in +0.005 in/-0.005 in",
        "1.12 in to 1.13",
        "1.12 to 1.13 in",
    ] {
        let (least, nominal, most, origin) = read(text, o);
        assert_eq!((nominal, origin), (28_575_000, "stated"), "{text}");
        assert_eq!((least, most), (thousandths.0, thousandths.2), "{text}");
    }
    assert_eq!(read("1 in +0/-1/64", o), (25_003_125, 25_400_000, 25_400_000, "stated"));
    assert_eq!(read("1 in ±1/64", o), (25_003_125, 25_400_000, 25_796_875, "stated"));
    assert_eq!(read("1 in +1/64/-0", o), (25_400_000, 25_400_000, 25_796_875, "stated"));
    assert_eq!(read("1-1/8 in h9", o), (28_523_000, 28_575_000, 28_575_000, "class"));
    assert_eq!(read("1.125 h9 in", o), read("1.125 in h9", o));
    assert_eq!(read("1.125 measured in", o), read("1.125 in measured", o));
}

#[test]
fn deviations_may_have_a_unit_of_their_own() {
    let o = Nature::Outside;
    assert_eq!(read("1.125 in ±0.05 mm", o), (28_525_000, 28_575_000, 28_625_000, "stated"));
    assert_eq!(read("1.125 in +0/-0.1 mm", o), (28_475_000, 28_575_000, 28_575_000, "stated"));
    assert_eq!(read("1.125 in +0.1/-0.1 mm", o), (28_475_000, 28_575_000, 28_675_000, "stated"));
    assert_eq!(read("28.6 mm ±0.005 in", o), (28_473_000, 28_600_000, 28_727_000, "stated"));
    assert_eq!(read("28.6 mm +0.005 in/0", o), (28_600_000, 28_600_000, 28_727_000, "stated"));
    assert_eq!(read("28.5 mm to 1.125 in", o), (28_500_000, 28_537_500, 28_575_000, "stated"));
    let unclear = refused("28.6 mm +0.005 in/-0.1", o);
    assert_eq!(&"28.6 mm +0.005 in/-0.1"[unclear.at], "0.1");
    assert_eq!(unclear.mend, "write its unit: 0.1 in, or 0.1 mm");
    refused("1.125 in h9 mm", o);
}

#[test]
fn a_range_is_held_by_its_ends() {
    let o = Nature::Outside;
    assert_eq!(read("28.55 to 28.60", o), (28_550_000, 28_575_000, 28_600_000, "stated"));
    assert_eq!(read("28.55 to 28.55", o), (28_550_000, 28_550_000, 28_550_000, "stated"));
    assert_eq!(read("0 to 0.000001", o), (0, 0, 1, "stated"));
    assert_eq!(read("28.55 mm to 28.60 mm measured", o), (28_550_000, 28_575_000, 28_600_000, "measured"));
    assert_eq!(refused("28.60 to 28.55", o).mend, "change the two round");
    assert_eq!(refused("28.55-28.60", o).mend, "write 28.55 to 28.60 if it is a range");
    refused("28.55 to", o);
    refused("28.55 to 28.60 to 28.65", o);
    refused("28.55 to 28.60 h9", o);
    refused("28.55 to 28.60 ±0.01", o);
}

/// Any class in place of the open end would claim more than was said.
#[test]
fn an_open_end_is_asked_for() {
    let o = Nature::Outside;
    let least = refused("28.6 max", o);
    assert_eq!(&"28.6 max"[least.at], "max");
    assert!(
        least.mend.starts_with("write how small it can be as well, such as \"28.6 +0/-0.1\""),
        "{}",
        least.mend
    );
    let most = refused("1.125 in min.", o);
    assert!(
        most.mend.starts_with("write how large it can be as well, such as \"1.125 +0.1/+0\""),
        "{}",
        most.mend
    );
    for text in ["28.6 Max", "28.6 mm maximum", "max 28.6", "min. 28.6", "28.6 minimum"] {
        assert!(refused(text, o).fact.contains("says only how"), "{text}");
    }
}

#[test]
fn a_slip_in_a_unit_a_missing_stroke_and_a_range_with_a_hyphen_are_told_with_what_to_write() {
    let o = Nature::Outside;
    for (text, mend) in [
        ("136.5 mn", "write \"136.5 mm\""),
        ("136.5 mmm", "write \"136.5 mm\""),
        ("28.55 mesured", "write \"28.55 measured\""),
        ("28.6 +0 -0.05", "write +0/-0.05"),
        ("28.6 +0.1 0", "write +0.1/+0"),
        ("148.5 - 148.6", "write 148.5 to 148.6 if it is a range"),
    ] {
        assert_eq!(refused(text, o).mend, mend, "{text}");
    }
    assert_eq!(read("5 3/8 in", Nature::Height).1, 136_525_000);
}

#[test]
fn a_reading_may_say_how_sure_it_is() {
    let o = Nature::Outside;
    assert_eq!(read("28.58 ±0.02 measured", o), (28_560_000, 28_580_000, 28_600_000, "measured"));
    assert_eq!(read("28.58 ±0.1 measured", Nature::Bore), (28_480_000, 28_580_000, 28_680_000, "measured"));
    assert_eq!(read("28.58 +0.1/-0.02 mm measured", o), (28_560_000, 28_580_000, 28_680_000, "measured"));
    assert_eq!(read("1.125 in ±0.005 measured", o), (28_448_000, 28_575_000, 28_702_000, "measured"));
    refused("28.58 measured ±0.02", o);
    refused("28.58 h9 measured", o);
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
    assert_eq!(mend("1 1/8"), "write 1 1/8 in");
    assert_eq!(mend("28.6 ±0.05 inch"), "write 0.05 in");
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
    assert_eq!(at("1-1/8 in ±0.002 cm", Nature::Outside), "cm");
    assert_eq!(at("28.6 ±1%", Nature::Outside), "%");
    assert_eq!(at("9223372036854.775 ±0.9", Nature::Outside), "9223372036854.775");
    assert_eq!(at("28.6 ±9223372036854.775", Nature::Outside), "9223372036854.775");
    assert_eq!(at("28.6 to 9223372036854.775807", Nature::Outside), "9223372036854.775807");
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
    fn any_text_is_read_soundly_or_refused(text in "[0-9 .,/±+\\-inmhHJSjskK9\"−½a-fto]{0,16}") {
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

    /// A unit behind the size, behind the deviation or behind both says the same; so does a range of the same ends.
    #[test]
    fn where_the_unit_stands_changes_nothing(size in 100_i64..30_000, deviation in 0_i64..100) {
        let thousandths = |n: i64| format!("{}.{:03}", n / 1_000, n % 1_000);
        let (s, d) = (thousandths(size), thousandths(deviation));
        let ends = |text: &str| {
            let read = read_dimension(text, Nature::Height, &defaults()).expect("a dimension");
            assert_eq!(read.written, text);
            (read.least(), read.most())
        };
        let inch = 25_400;
        let wanted = (Length::nm((size - deviation) * inch), Length::nm((size + deviation) * inch));
        assert_eq!(ends(&format!("{s} in ±{d}")), wanted);
        assert_eq!(ends(&format!("{s} in ±{d} in")), wanted);
        assert_eq!(ends(&format!("{s} ±{d} in")), wanted);
        assert_eq!(ends(&format!("{s}\" +{d}/-{d}")), wanted);
        assert_eq!(ends(&format!("{} to {} in", thousandths(size - deviation), thousandths(size + deviation))), wanted);
    }

    /// Digits without end are refused, never counted over.
    #[test]
    fn digits_without_end_are_refused(number in "[1-9][0-9]{4,40}(\\.[0-9]{0,12})?", rest in "( ±0.9| in| to 5| h9| measured|)") {
        for text in [format!("{number}{rest}"), format!("5 ±{number}"), format!("5 to {number}")] {
            assert!(read_dimension(&text, Nature::Bore, &defaults()).is_err(), "{text}");
        }
        proptest::prop_assert!(read_length(&number).is_err());
    }
}
