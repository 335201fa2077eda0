//! The closing gap and the places that fail. Must not know how parts are drawn.

use super::super::*;
use super::read::*;
use super::sample::{build, item, tight_shim, tube, wide_shim};
use roxmltree::Document;

fn number(node: roxmltree::Node, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

#[test]
fn the_closing_gap_is_ringed_where_it_is_and_magnified() {
    let sample = wide_shim();
    let mut input = sample.input();
    input.words.gap = "3.15 mm, 2 to 5";
    let svg = assembled(&input);
    check_geometry(&sample, &svg);
    check_references(&svg, sample.stack.items.len());
    let doc = Document::parse(&svg).unwrap();
    let ring = with_class(&doc, "detail-ring").next().unwrap();
    let middle = -number(ring, "cy");
    assert!((middle - (162.0 + 165.15) / 2.0).abs() < 0.001, "between steerer top and cap: {middle}");
    let times = number(doc.descendants().find(|n| n.has_attribute("data-times")).unwrap(), "data-times");
    let (line, _) = paths(with_class(&doc, "dimension").next().unwrap().attribute("d").unwrap()).remove(0);
    let length = (line[0].1 - line[1].1).abs();
    assert!((length / times - 3.15).abs() < 0.01, "{length} at {times} times");
    let detail = with_class(&doc, "detail").next().unwrap();
    assert!(detail.descendants().all(|n| !n.has_attribute("data-item") && !n.has_attribute("data-column")));
    let (_, leaders) = references(&doc);
    for patch in with_class(&doc, "patch") {
        let at = (number(patch, "cx"), number(patch, "cy"));
        assert!(
            leaders.iter().all(|&l| distance_to(at, l) > number(patch, "r")),
            "the letter covers a leader"
        );
    }
}

/// A steerer that ends so far under the cap, and where it ends.
pub(super) fn with_gap(gap: f64) -> (super::sample::Sample, f64) {
    let mut sample = wide_shim();
    let (fork, cap, nut) = (sample.item("fork"), sample.item("cap"), sample.item("star-nut"));
    // Out of the way.
    sample.stack.items[nut.0 as usize].landing.as_mut().unwrap().nominal -= 40_000_000;
    sample.stack.pushed = vec![cap];
    // The steerer ends at 162; the top ring of the fork is its fourth.
    let dim = sample.stack.items[fork.0 as usize].columns[0].segments[3].length.clone();
    let shorter = ((gap - 3.15) * 1e6).round() as i64;
    let ends: Vec<_> = sample.stack.dims.iter().map(|d| d.ends).collect();
    let place = (0..ends.len()).find(|&i| crate::quantity::Form::dimension(i as u32) == dim).unwrap();
    sample.stack.dims[place].ends.nominal -= shorter;
    let value = sample.stack.checks[0].value.as_mut().unwrap();
    value.nominal = (gap * 1e6).round() as i64;
    (sample, 165.15 - gap)
}

/// Beside the section's own parts, not magnified, with its value; its letter stands with what must be.
#[test]
fn a_closing_gap_too_long_for_a_detail_is_dimensioned_in_the_section() {
    let (sample, foot) = with_gap(42.0);
    let mut input = sample.input();
    input.words.gap = "Closing gap 42 mm, at least 2 mm";
    let svg = assembled(&input);
    check_geometry(&sample, &svg);
    check_clear(&svg, "long gap");
    let doc = Document::parse(&svg).unwrap();
    let size = doc.descendants().find(|n| n.attribute("data-size") == Some("closing-gap")).unwrap();
    assert_eq!(size.attribute("data-times"), Some("1"));
    let line = size.children().find(|n| n.attribute("class") == Some("dimension")).unwrap();
    let (ends, _) = paths(line.attribute("d").unwrap()).remove(0);
    assert!((ends[0].1 + foot).abs() < 0.002 && (ends[1].1 + 165.15).abs() < 0.002, "{ends:?}");
    assert_eq!(
        with_class(&doc, "size").find(|n| n.has_tag_name("text")).and_then(|n| n.text()),
        Some("42 mm")
    );
    assert_eq!((with_class(&doc, "detail-ring").count(), with_class(&doc, "detail-leader").count()), (0, 1));
    assert!(with_class(&doc, "note").any(|n| n.text().unwrap().contains("Closing")));
}

/// Heads from both sides meet where the faces do.
#[test]
fn faces_that_touch_have_a_dimension_of_nothing_between_them() {
    let (sample, foot) = with_gap(0.0);
    let mut input = sample.input();
    input.words.gap = "Closing gap 0 mm, at least 2 mm";
    let svg = assembled(&input);
    check_sheet(&svg);
    check_clear(&svg, "no gap");
    let doc = Document::parse(&svg).unwrap();
    let ring = with_class(&doc, "detail-ring").next().unwrap();
    assert!((number(ring, "cy") + foot).abs() < 0.001);
    let size = doc.descendants().find(|n| n.attribute("data-size") == Some("closing-gap")).unwrap();
    let turns: Vec<&str> = size
        .children()
        .filter(|n| n.attribute("class") == Some("dimension-head"))
        .map(|n| n.attribute("transform").unwrap())
        .collect();
    let at = |t: &str| t.split(')').next().unwrap().to_string();
    assert!(turns.len() == 2 && at(turns[0]) == at(turns[1]), "{turns:?}");
    assert!(turns[0].contains("rotate(-90)") && turns[1].contains("rotate(90)"), "{turns:?}");
}

#[test]
fn no_detail_without_words_or_where_no_faces_are_that_far_apart() {
    let mut sample = wide_shim();
    assert!(!assembled(&sample.input()).contains("detail"));
    let value = sample.stack.checks[0].value.as_mut().unwrap();
    value.nominal += 1_000_000;
    let mut input = sample.input();
    input.words.gap = "4.15 mm";
    assert!(!assembled(&input).contains("detail"));
}

#[test]
fn metal_in_the_same_place_is_filled_as_deep_as_it_overlaps() {
    let sample = tight_shim();
    let mut input = sample.input();
    let why = ["The bore is too small", "Other", "Other"].map(str::to_string);
    input.words.why = &why;
    let svg = why_not(&input);
    check_geometry(&sample, &svg);
    check_references(&svg, sample.stack.items.len());
    check_sheet(&svg);
    let doc = Document::parse(&svg).unwrap();
    let outlines = paths(with_class(&doc, "clash").next().unwrap().attribute("d").unwrap());
    for (outline, closed) in &outlines {
        let (inner, outer) =
            outline.iter().fold((f64::MAX, 0.0), |(l, h): (f64, f64), p| (l.min(-p.0), h.max(-p.0)));
        assert!(*closed && (inner - 13.85).abs() < 0.001 && (outer - 14.3).abs() < 0.001, "{inner} {outer}");
    }
    let heights =
        |o: &Points| o.iter().map(|p| -p.1).fold((f64::MAX, f64::MIN), |(l, h), y| (l.min(y), h.max(y)));
    let total: f64 = outlines.iter().map(|(o, _)| heights(o).1 - heights(o).0).sum();
    assert!(
        (total - (162.0 - 113.15)).abs() < 0.01,
        "as long as shim and steerer lie along each other: {total}"
    );
    assert_eq!(with_class(&doc, "clash-ring").count(), 1, "the other failed check, once");
    let size = doc.descendants().find(|n| n.attribute("data-size") == Some("overlap")).unwrap();
    let line = size.children().find(|n| n.attribute("class") == Some("dimension")).unwrap();
    let (ends, _) = paths(line.attribute("d").unwrap()).remove(0);
    let deep = (ends[1].0 - ends[0].0).abs() / number(size, "data-times");
    assert!((deep - 0.45).abs() < 0.002, "dimensioned as deep as it is: {deep}");
    let notes: Vec<&str> = with_class(&doc, "note").filter_map(|n| n.text()).collect();
    assert_eq!(notes[0], "0.45\u{a0}mm");
    assert_eq!(notes[1..].join(" "), "The bore is too small", "what is told is of the check that is shown");
}

#[test]
fn walls_that_lie_along_each_other_too_little_are_dimensioned_as_long_as_they_do_and_only_then() {
    use crate::assembly::{Check, Demand, Outcome, Value};
    let fork = item("fork", "fork", 0.0, vec![tube(60.0, 20.0, 28.6)]);
    let clamp = item("clamp", "clamp", 40.0, vec![tube(50.0, 28.7, 40.0)]);
    let mut sample = build(&[fork, clamp], &[]);
    for (nominal, shown) in [(20_000_000, true), (23_000_000, false)] {
        sample.stack.checks = vec![Check {
            demand: Demand::SleeveOverlap(0),
            about: vec![ItemIx(1), ItemIx(0)],
            surfaces: Vec::new(),
            value: Some(Value { nominal, least: nominal, most: nominal, form: None }),
            least: Some(28_000_000),
            most: None,
            outcome: Outcome::Fail,
            assumes: Vec::new(),
            supposes: Vec::new(),
            tried: None,
        }];
        let svg = why_not(&sample.input());
        check_sheet(&svg);
        check_references(&svg, 2);
        let doc = Document::parse(&svg).unwrap();
        let size = doc.descendants().find(|n| n.attribute("data-size") == Some("along"));
        assert_eq!(size.is_some(), shown, "a length that the picture does not have is not put in it");
        let Some(size) = size else { continue };
        let line = size.children().find(|n| n.attribute("class") == Some("dimension")).unwrap();
        let (ends, _) = paths(line.attribute("d").unwrap()).remove(0);
        let long = (ends[1].1 - ends[0].1).abs() / number(size, "data-times");
        assert!((long - 20.0).abs() < 0.02, "{long}");
    }
}

fn failed(demand: crate::assembly::Demand, nominal: i64) -> crate::assembly::Check {
    use crate::assembly::{Check, Outcome, Value};
    Check {
        demand,
        about: vec![ItemIx(0), ItemIx(1)],
        surfaces: Vec::new(),
        value: Some(Value { nominal, least: nominal, most: nominal, form: None }),
        least: Some(0),
        most: None,
        outcome: Outcome::Fail,
        assumes: Vec::new(),
        supposes: Vec::new(),
        tried: None,
    }
}

/// How long the dimension of a size is in the part's own millimetres.
fn dimensioned(svg: &str, what: &str) -> f64 {
    let doc = Document::parse(svg).unwrap();
    let size = doc.descendants().find(|n| n.attribute("data-size") == Some(what));
    let size = size.unwrap_or_else(|| panic!("no {what}"));
    let line = size.children().find(|n| n.attribute("class") == Some("dimension")).unwrap();
    let (ends, _) = paths(line.attribute("d").unwrap()).remove(0);
    (ends[1].0 - ends[0].0).hypot(ends[1].1 - ends[0].1) / number(size, "data-times")
}

#[test]
fn a_shaft_that_stands_on_what_it_should_go_into_is_dimensioned_by_what_it_is_too_wide() {
    let fork = item("fork", "fork", 0.0, vec![tube(60.0, 20.0, 28.6)]);
    let quill = item("quill", "quill", 60.0, vec![tube(40.0, 0.0, 24.0)]);
    let mut sample = build(&[fork, quill], &[]);
    sample.stack.checks = vec![failed(crate::assembly::Demand::SleeveClearance(0), -4_000_000)];
    let svg = why_not(&sample.input());
    check_sheet(&svg);
    assert!((dimensioned(&svg, "too-wide") - 2.0).abs() < 0.01, "on each side");
}

/// Its foot is far below, and is not what fails.
#[test]
fn a_clamp_whose_shelf_stops_on_the_steerer_is_marked_there() {
    use crate::assembly::Demand;
    for demand in [Demand::Path, Demand::RestsOn(crate::rules::SlotIx(1))] {
        let fork = item("fork", "fork", 0.0, vec![tube(60.0, 20.0, 28.6)]);
        let clamp = item("clamp", "clamp", 40.0, vec![tube(20.0, 29.0, 40.0), tube(6.0, 22.0, 40.0)]);
        let mut sample = build(&[fork, clamp], &[]);
        sample.rest("clamp", "fork");
        let mut stops = failed(demand, 0);
        (stops.value, stops.about) = (None, vec![ItemIx(1)]);
        sample.stack.checks = vec![stops];
        let mut input = sample.input();
        let why = ["The clamp stops on the steerer".to_string()];
        input.words.why = &why;
        let svg = why_not(&input);
        let doc = Document::parse(&svg).unwrap();
        let ring = with_class(&doc, "detail-ring").next().unwrap();
        assert!((-number(ring, "cy") - 60.0).abs() < 0.01, "{demand:?}: {}", -number(ring, "cy"));
    }
}

/// The first that failed has no size where the two are; the second has.
#[test]
fn of_what_fails_the_first_that_has_a_size_is_dimensioned_in_the_section_if_it_is_long() {
    use crate::assembly::Demand;
    let fork = item("fork", "fork", 0.0, vec![tube(60.0, 20.0, 28.6)]);
    let shim = item("shim", "shim", 40.0, vec![tube(50.0, 28.7, 31.8)]);
    let cap = item("cap", "cap", 90.0, vec![tube(6.0, 8.0, 31.0)]);
    let mut sample = build(&[fork, shim, cap], &[]);
    let mut rests = failed(Demand::Path, 0);
    (rests.value, rests.about) = (None, vec![ItemIx(1), ItemIx(2)]);
    sample.stack.checks = vec![rests, failed(Demand::SleeveOverlap(0), 20_000_000)];
    let mut input = sample.input();
    let why = ["The path is open", "20 mm, at least 28 mm"].map(str::to_string);
    input.words.why = &why;
    let svg = why_not(&input);
    check_sheet(&svg);
    check_clear(&svg, "long");
    assert!((dimensioned(&svg, "along") - 20.0).abs() < 0.01);
    let doc = Document::parse(&svg).unwrap();
    assert_eq!((with_class(&doc, "detail-rim").count(), with_class(&doc, "clash-ring").count()), (0, 1));
    let notes: Vec<&str> = with_class(&doc, "note").filter_map(|n| n.text()).collect();
    assert_eq!(notes.join(" ").replace('\u{a0}', " "), "20 mm, at least 28 mm");
}

#[test]
fn a_stack_without_failures_has_nothing_marked() {
    let sample = wide_shim();
    let svg = why_not(&sample.input());
    assert!(!svg.contains("clash") && !svg.contains("detail"));
}

#[test]
fn a_wall_that_prints_thinner_than_a_millimetre_is_solid() {
    let items = [
        item("fork", "fork", 0.0, vec![tube(150.0, 20.0, 28.6)]),
        item("liner", "liner", 10.0, vec![tube(100.0, 28.6, 29.6)]),
    ];
    let sample = build(&items, &[]);
    let svg = assembled(&sample.input());
    check_geometry(&sample, &svg);
    let doc = Document::parse(&svg).unwrap();
    let solid: Vec<_> = with_class(&doc, "solid").collect();
    assert_eq!(solid.len(), 1);
    assert_eq!(solid[0].parent().unwrap().attribute("data-item"), Some("liner"));
    assert_eq!((solid[0].attribute("fill"), effective(solid[0], "stroke")), (Some("#000"), Some("#fff")));
}

/// ISO 6410-1: the narrow root line at least two wide lines inside the crest.
#[test]
fn a_thread_has_a_narrow_line_clear_of_its_crest() {
    let sample = wide_shim();
    let svg = assembled(&sample.input());
    let doc = Document::parse(&svg).unwrap();
    let scale = number(doc.root_element(), "data-scale");
    let bolt = doc.descendants().find(|n| n.attribute("data-item") == Some("bolt")).unwrap();
    let thread = bolt.children().find(|n| n.attribute("class") == Some("thread")).unwrap();
    let root = paths(thread.attribute("d").unwrap()).remove(0).0;
    assert_eq!(root[0].0, root[1].0);
    // Written to a hundredth of a millimetre.
    assert!((3.0 + root[0].0) * scale >= 0.99, "{root:?} at {scale}");
    let width: f64 = effective(thread, "stroke-width").unwrap().parse().unwrap();
    assert!((width * scale - 0.25).abs() < 0.001, "a narrow line");
    let long = (root[0].1 - root[1].1).abs();
    assert!((long - 24.0).abs() < 0.001, "the thread's own length");
}
