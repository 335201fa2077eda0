//! Every published value that the tables and formulas are held to; the source stands beside each row.

use benchleaf::quantity::{
    Defaults, Deviations, Force, GeneralClass, HeadForm, IsoClass, Length, Nature, NutFactor, PropertyClass,
    SocketHead, Thread, Torque, read_dimension, read_length, stripping_areas_mm2, tolerance_grade,
    torque_for,
};

struct Row(csv::StringRecord, csv::StringRecord);

impl Row {
    fn text(&self, column: &str) -> &str {
        let at = self.0.iter().position(|c| c == column).unwrap_or_else(|| panic!("no column {column}"));
        &self.1[at]
    }

    fn number(&self, column: &str) -> f64 {
        self.text(column).parse().unwrap_or_else(|_| panic!("{column}: {:?}", self.1))
    }

    /// A signed number of `unit_nm` as an exact length.
    fn length(&self, column: &str, unit_nm: i64) -> Length {
        let text = self.text(column);
        let size = read_length(text.trim_start_matches('-')).unwrap_or_else(|m| panic!("{column}: {m:?}"));
        let length = Length::nm(size.as_nm() / 1_000 * unit_nm / 1_000);
        if text.starts_with('-') { -length } else { length }
    }

    fn um(&self, column: &str) -> Length {
        self.length(column, 1_000)
    }

    fn mm(&self, column: &str) -> Length {
        self.length(column, 1_000_000)
    }
}

/// All rows; fails where the file has another number of them, so none goes untested unnoticed.
fn rows(name: &str, count: usize) -> Vec<Row> {
    let path = format!("{}/tests/data/{name}", env!("CARGO_MANIFEST_DIR"));
    let mut reader = csv::Reader::from_path(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
    let heads = reader.headers().expect("heads").clone();
    let rows: Vec<Row> = reader.records().map(|r| Row(heads.clone(), r.expect("a row"))).collect();
    assert_eq!(rows.len(), count, "{name}");
    rows
}

fn just_over(length: Length) -> Length {
    length + Length::nm(1)
}

fn pair(deviations: Deviations) -> (Length, Length) {
    (deviations.lower(), deviations.upper())
}

#[test]
fn iso_286_limits_are_as_published_at_both_ends_of_every_band() {
    let defaults = Defaults::usual().expect("defaults");
    for row in rows("iso286_limits.csv", 177) {
        let word = row.text("class");
        let class = IsoClass::read(word).unwrap_or_else(|m| panic!("{word}: {m:?}"));
        let published = (row.um("lower_um"), row.um("upper_um"));
        for nominal in [just_over(row.mm("over_mm")), row.mm("upto_mm")] {
            let found = class.deviations(nominal).unwrap_or_else(|m| panic!("{word} {nominal}: {m:?}"));
            assert_eq!(pair(found), published, "{word} at {nominal}");
            let nature = if word.starts_with(char::is_uppercase) { Nature::Bore } else { Nature::Outside };
            let read = read_dimension(&format!("{nominal} {word}"), nature, &defaults).expect("a dimension");
            assert_eq!((read.lower, read.upper), published, "{word} at {nominal}, as written");
        }
    }
}

#[test]
fn iso_286_grades_are_as_published_at_both_ends_of_every_band() {
    for row in rows("iso286_it_grades.csv", 32) {
        let grade = row.text("grade").trim_start_matches("IT").parse().expect("a grade");
        for nominal in [just_over(row.mm("over_mm")), row.mm("upto_mm")] {
            assert_eq!(
                tolerance_grade(grade, nominal),
                Some(row.um("published_um")),
                "IT{grade} at {nominal}"
            );
        }
    }
}

/// ISO 286-1: js lies half its grade to either side, to the half micrometre, on holes as on shafts.
#[test]
fn js_is_half_its_published_grade_either_way() {
    for row in rows("iso286_it_grades.csv", 32) {
        let grade = row.text("grade").trim_start_matches("IT");
        let half = Length::nm(row.um("published_um").as_nm() / 2);
        for nominal in [just_over(row.mm("over_mm")), row.mm("upto_mm")] {
            for letter in ["js", "JS"] {
                let class = IsoClass::read(&format!("{letter}{grade}")).expect("a class");
                let found = pair(class.deviations(nominal).expect("in the table"));
                assert_eq!(found, (-half, half), "{letter}{grade} at {nominal}");
            }
        }
    }
    let rows = rows("iso286_limits.csv", 177);
    let js: Vec<&Row> = rows.iter().filter(|r| r.text("class").to_lowercase().starts_with("js")).collect();
    assert_eq!(js.len(), 15);
    assert!(js.iter().all(|row| row.um("lower_um") == -row.um("upper_um")));
}

/// The end nearest zero of every letter, the holes' with their delta at IT7.
#[test]
fn iso_286_fundamental_deviations_are_as_published() {
    for row in rows("iso286_fundamental_deviations.csv", 36) {
        let (shaft, hole) = (row.text("shaft_letter"), row.text("hole_letter"));
        let micrometres = |column: &str, mark: &str| -> Length {
            let text = row.text(column).rsplit(mark).next().expect("a number");
            Length::um(text.trim_start_matches('+').parse().expect("a number"))
        };
        for nominal in [just_over(row.mm("over_mm")), row.mm("upto_mm")] {
            let at = |class: String| {
                pair(IsoClass::read(&class).expect("a class").deviations(nominal).expect("in the table"))
            };
            for grade in [5, 6, 7] {
                let (lower, upper) = at(format!("{shaft}{grade}"));
                let nearest = if row.text("deviation").starts_with("es") { upper } else { lower };
                assert_eq!(nearest, micrometres("deviation", "="), "{shaft}{grade} at {nominal}");
            }
            let (lower, upper) = at(format!("{hole}7"));
            let from_below = row.text("hole_EI_or_ES_um").starts_with("EI");
            let nearest = if from_below { lower } else { upper };
            assert_eq!(nearest, micrometres("hole_EI_or_ES_um", "="), "{hole}7 at {nominal}");
        }
    }
}

#[test]
fn iso_2768_general_tolerances_are_as_published() {
    for row in rows("iso2768_1_linear.csv", 20) {
        let word = format!("iso2768-{}", row.text("class"));
        let class = GeneralClass::from_word(&word).expect("a class");
        let first = row.text("over_mm") == "0.5";
        let low = if first { row.mm("over_mm") } else { just_over(row.mm("over_mm")) };
        for nominal in [low, row.mm("upto_mm")] {
            let found = class.deviations(nominal).ok().map(Deviations::upper);
            let published = (!row.text("plus_minus_mm").is_empty()).then(|| row.mm("plus_minus_mm"));
            assert_eq!(found, published, "{word} at {nominal}");
        }
    }
}

#[test]
fn thread_diameters_and_areas_agree_to_the_printed_digit() {
    for row in rows("metric_threads.csv", 8) {
        let thread = Thread::read(row.text("thread")).expect("a thread");
        assert_eq!((thread.major(), thread.pitch()), (row.mm("d_mm"), row.mm("P_mm")), "{thread}");
        for (found, column) in [
            (thread.pitch_diameter(), "d2_published"),
            (thread.minor(), "d1_D1_published"),
            (thread.root(), "d3_published"),
        ] {
            let off = (found - row.mm(column)).as_nm().abs();
            assert!(off <= 501, "{thread} {column}: {found}");
        }
        let area = row.number("As_published_mm2");
        let digit = if row.text("As_published_mm2").len() > 4 || area < 10.0 { 0.005 } else { 0.05 };
        assert!((thread.tensile_area_mm2() - area).abs() <= digit + 0.000_1, "{thread}: {area}");
    }
}

/// The standard's own table differs from area times stress by up to 0.62 %.
#[test]
fn proof_and_breaking_loads_agree_within_seven_per_mille() {
    for row in rows("iso898_1_loads.csv", 15) {
        let thread = Thread::read(row.text("thread")).expect("a thread");
        let class = PropertyClass::read(row.text("class")).expect("a class");
        let loads = [
            (class.proof_load(thread), "proof_load_published_N"),
            (class.breaking_load(thread), "ultimate_load_published_N"),
        ];
        for (found, column) in loads {
            let newtons = found.expect("a bolt's thread").as_mn() as f64 / 1e3;
            let published = row.number(column);
            assert!((newtons / published - 1.0).abs() < 0.007, "{thread} {class} {column}: {newtons}");
        }
    }
}

#[test]
fn stripping_areas_and_limits_are_as_published_over_one_diameter() {
    for row in rows("thread_strip_areas.csv", 4) {
        let thread = Thread::read(row.text("thread")).expect("a thread");
        let limits = thread.limits().expect("limits");
        for (found, column) in [
            (limits.bolt_major_least, "d_min_6g"),
            (limits.bolt_pitch_least, "d2_min_6g"),
            (limits.nut_minor_most, "D1_max_6H"),
            (limits.nut_pitch_most, "D2_max_6H"),
        ] {
            assert_eq!(found, row.mm(column), "{thread} {column}");
        }
        let areas = stripping_areas_mm2(thread, thread.major()).expect("areas");
        for (found, column) in
            [(areas.bolt, "bolt_strip_area_published_mm2"), (areas.nut, "nut_strip_area_published_mm2")]
        {
            let published = row.number(column);
            assert!((found / published - 1.0).abs() < 0.000_1, "{thread} {column}: {found}");
        }
    }
}

#[test]
fn socket_heads_and_keys_are_as_published() {
    for row in rows("socket_screws.csv", 10) {
        let form = match row.text("standard") {
            "ISO 4762" => HeadForm::Cylinder,
            "ISO 7380-1" => HeadForm::Button,
            other => panic!("{other}"),
        };
        let thread = Thread::read(row.text("thread")).expect("a thread");
        let head = SocketHead::of(form, thread).expect("a head");
        assert_eq!(head.diameter, row.mm("dk_max_plain_mm"), "{form:?} {thread}");
        assert_eq!(head.height, row.mm("k_max_mm"), "{form:?} {thread}");
        assert_eq!(head.key, row.mm("hex_key_s_nominal_mm"), "{form:?} {thread}");
        assert_eq!(head.socket_depth, row.mm("socket_depth_t_min_mm"), "{form:?} {thread}");
    }
}

#[test]
fn torques_for_a_pull_are_as_published() {
    const NEWTONS_PER_POUND: f64 = 4.448_221_615_260_5;
    const MILLINEWTON_METRES_PER_POUND_INCH: f64 = 112.984_829;
    for row in rows("torque_preload.csv", 3) {
        let factor = NutFactor::read(row.text("nut_factor")).expect("a factor");
        let diameter = read_length(&format!("{} in", row.text("diameter_in"))).expect("a diameter");
        let pull = Force::mn((row.number("preload_lbf") * NEWTONS_PER_POUND * 1e3).round() as i64);
        let torque = torque_for(pull, factor, diameter).map(Torque::as_mnm).expect("a torque");
        let pound_inches = torque as f64 / MILLINEWTON_METRES_PER_POUND_INCH;
        let off = (pound_inches - row.number("torque_published_lbf_in")).abs();
        assert!(off < 0.06, "K {}: {pound_inches}", row.text("nut_factor"));
    }
}

/// The long formula of VDI 2230: pull at nine tenths of yield with the thread's own twist in it, and the torque for it by
/// pitch, pitch diameter and head. The diameters and the area are the project's own.
#[test]
fn published_pulls_and_torques_come_out_of_the_thread_diameters() {
    for row in rows("vdi2230_preload_torque.csv", 18) {
        let thread = Thread::read(row.text("thread")).expect("a thread");
        let mm = |length: Length| length.as_nm() as f64 / 1e6;
        let (pitch, pitch_diameter) = (mm(thread.pitch()), mm(thread.pitch_diameter()));
        let across = (pitch_diameter + mm(thread.root())) / 2.0;
        let friction = row.number("mu_total");
        // ISO 898-1: least 0.2 % proof strength, MPa.
        let yields = match row.text("class") {
            "8.8" => 640.0,
            "10.9" => 940.0,
            "12.9" => 1_100.0,
            other => panic!("{other}"),
        };
        let lead = pitch / (std::f64::consts::PI * pitch_diameter) + 1.155 * friction;
        let twist = 1.5 * pitch_diameter / across * lead;
        let pull = 0.9 * yields * thread.tensile_area_mm2() / (1.0 + 3.0 * twist * twist).sqrt() / 1e3;
        let under_head = (row.number("dw_mm") + row.number("dh_mm")) / 2.0;
        let torque = pull * (0.16 * pitch + 0.58 * pitch_diameter * friction + under_head / 2.0 * friction);
        let off = |ours: f64, published: &str| (ours / row.number(published) - 1.0).abs();
        assert!(off(pull, "FM_published_kN") < 0.003, "{thread} {}: {pull}", row.text("class"));
        assert!(off(torque, "MA_published_Nm") < 0.012, "{thread} {}: {torque}", row.text("class"));
    }
}

/// What a bolt is tightened by in the project is the short form: with the factor that a published pair implies, it gives that
/// torque back, and the factors in use are no smaller than those of low friction.
#[test]
fn the_short_form_gives_published_torques_back_with_the_factor_they_imply() {
    for row in rows("vdi2230_preload_torque.csv", 18) {
        let thread = Thread::read(row.text("thread")).expect("a thread");
        let (pull, torque) = (row.number("FM_published_kN"), row.number("MA_published_Nm"));
        let diameter = thread.major().as_nm() as f64 / 1e6;
        let implied = torque / (pull * diameter);
        let factor = NutFactor::read(&format!("{implied:.3}")).expect("a factor");
        let ours = torque_for(Force::mn((pull * 1e6) as i64), factor, thread.major()).expect("a torque");
        let off = (ours.as_mnm() as f64 / 1e3 / torque - 1.0).abs();
        assert!(off < 0.005, "{thread} {implied:.3}: {ours:?} for {torque}");
        let low = row.number("mu_total") <= 0.12;
        assert!(!low || factor < NutFactor::LUBRICATED, "{thread} {implied:.3}");
    }
}
