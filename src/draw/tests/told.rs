//! What a step says of its own picture: bolts, cuts, views without a part. Must not know the usual step.

use super::super::*;
use super::read::*;
use super::sample::{Sample, shelf_clamp, told, wide_shim};
use crate::rules::{Heading, SurfaceRef};
use roxmltree::{Document, Node};

fn all(sample: &Sample) -> Vec<ItemIx> {
    (0..sample.stack.items.len() as u16).map(ItemIx).collect()
}

/// A clamp whose halves have bores of their own.
fn halves() -> Sample {
    let mut sample = shelf_clamp();
    let clamp = sample.item("clamp");
    sample.stack.items[clamp.0 as usize].columns[0].segments[2].bore.surface = "upper-bore";
    sample
}

/// For the golden pictures: what steps say of their own, the change of a part, and a gap too long for a detail.
pub(super) fn pictures() -> Vec<(&'static str, String)> {
    let (wide, halves) = (wide_shim(), halves());
    let find = |sample: &Sample, name: &str| sample.rule.find(name).unwrap();
    let closes = SurfaceRef { slot: find(&halves, "clamp"), surface: "bore" };
    let grip = told("grip", |step| step.closes = Some(closes));
    let bars = wide.item("bars");
    let away = vec![find(&wide, "clamp"), find(&wide, "shim")];
    let slit = told("bars", |step| step.away_from = away);
    let there: Vec<ItemIx> = all(&wide).into_iter().filter(|&i| i != bars).collect();
    let above =
        |name: &str, to| view(&wide.input(), View::FromAbove { turns: find(&wide, name), to }, &[]).unwrap();
    let (long, _) = super::detail::with_gap(42.0);
    let mut in_section = long.input();
    in_section.words.gap = "Closing gap 42 mm, at least 2 mm";
    vec![
        ("step-lower-half", step_of(&halves.input(), &grip, &all(&halves), halves.item("clamp"))),
        ("step-slit", step_of(&wide.input(), &slit, &there, bars)),
        ("step-laid-out", view(&halves.input(), View::LaidOut, &all(&halves)).unwrap()),
        ("step-bars-from-above", above("bars", Heading::Across)),
        ("step-clamp-from-above", above("clamp", Heading::Rear)),
        ("step-change", super::parts::sawn_off()),
        ("assembled-long-gap", assembled(&in_section)),
    ]
}

/// Two bolts beside each half: 10 and 32 below the shelf, 56 and 84 above it, the foot at 122.15.
#[test]
fn only_bolts_beside_the_bore_that_is_closed_are_pointed_at_and_bold() {
    let sample = halves();
    let clamp = sample.item("clamp");
    let slot = sample.rule.find("clamp").unwrap();
    for (surface, heights) in [("bore", [132.15, 154.15]), ("upper-bore", [178.15, 206.15])] {
        let step = told("grip", |step| step.closes = Some(SurfaceRef { slot, surface }));
        let svg = step_of(&sample.input(), &step, &all(&sample), clamp);
        let doc = Document::parse(&svg).unwrap();
        assert_eq!(pointed_at(&doc), heights, "{surface}");
        let pens: Vec<Option<&str>> =
            with_class(&doc, "pinch").map(|n| effective(n, "stroke-width")).collect();
        assert!(pens.len() >= 2 && pens.iter().any(|p| *p != pens[0]), "two pens: {pens:?}");
        check_sheet(&svg);
    }
    let svg = step(&sample.input(), &all(&sample), clamp);
    assert_eq!(pointed_at(&Document::parse(&svg).unwrap()).len(), 4, "where nothing is said, all of them");
}

/// Corners of bold outlines seen along the axis, about their own middle.
fn rings<'a>(doc: &'a Document, class: &'a str) -> Vec<Points> {
    let group = with_class(doc, class).next().unwrap_or_else(|| panic!("no {class}"));
    let edges =
        group.descendants().filter(|n| n.has_tag_name("path") && n.attribute("class") == Some("edge"));
    edges.flat_map(|n: Node| paths(n.attribute("d").unwrap())).map(|p| p.0).collect()
}

#[test]
fn a_slit_is_shown_away_from_the_slots_named_and_struck_out_in_line_with_them() {
    let sample = wide_shim();
    let bars = sample.item("bars");
    let there: Vec<ItemIx> = all(&sample).into_iter().filter(|&i| i != bars).collect();
    let find = |name: &str| sample.rule.find(name).unwrap();
    let step = told("bars", |step| step.away_from = vec![find("clamp"), find("shim")]);
    let svg = step_of(&sample.input(), &step, &there, bars);
    check_sheet(&svg);
    check_clear(&svg, "cut ways");
    let doc = Document::parse(&svg).unwrap();
    // Where the slit of the bars (1.25 either side, outside radius 17.45) is open: over the middle or under it.
    let slit = |class: &str, times: f64| {
        let outlines = rings(&doc, class);
        let wide = |o: &Points| {
            o.iter().map(|p| p.0).fold(f64::MIN, f64::max) - o.iter().map(|p| p.0).fold(f64::MAX, f64::min)
        };
        let own = outlines.iter().find(|o| (wide(o) / times - 34.9).abs() < 0.1).unwrap();
        let middle = own.iter().map(|p| p.0).sum::<f64>() / own.len() as f64;
        let (low, high) = own.iter().fold((f64::MAX, f64::MIN), |(l, h), p| (l.min(p.1), h.max(p.1)));
        let near = own.iter().filter(|p| ((p.0 - middle).abs() - 1.25 * times).abs() < 0.02).map(|p| p.1);
        let (top, foot): (Vec<f64>, Vec<f64>) = near.partition(|y| *y < (low + high) / 2.0);
        (top.len(), foot.len())
    };
    let ((top, foot), (wrong_top, wrong_foot)) = (slit("cut-ways", 1.0), slit("wrong-way", 0.7));
    assert_eq!((top, foot, wrong_top, wrong_foot), (4, 0, 0, 4), "corners of the slit");
    assert_eq!(with_class(&doc, "struck-out").count(), 1);
    let none = told("bars", |step| step.away_from = vec![find("cap")]);
    let svg = step_of(&sample.input(), &none, &there, bars);
    assert!(!svg.contains("cut-ways"), "a part without a cut has none to be turned away from");
}

#[test]
fn parts_laid_out_are_numbered_in_the_order_in_which_they_are_used() {
    let sample = shelf_clamp();
    let mut order = all(&sample);
    order.reverse();
    let svg = view(&sample.input(), View::LaidOut, &order).unwrap();
    check_sheet(&svg);
    check_clear(&svg, "laid out");
    check_references(&svg, order.len());
    let doc = Document::parse(&svg).unwrap();
    let mut read: Vec<(f64, f64, usize)> = with_class(&doc, "number")
        .map(|n| {
            let at = |name: &str| n.attribute(name).unwrap().parse::<f64>().unwrap();
            (at("y"), at("x"), n.text().unwrap().parse().unwrap())
        })
        .collect();
    read.sort_by(|a, b| a.partial_cmp(b).unwrap());
    let number = |item: &ItemIx| sample.numbers.iter().find(|n| n.0 == *item).unwrap().1;
    assert_eq!(read.iter().map(|r| r.2).collect::<Vec<_>>(), order.iter().map(number).collect::<Vec<_>>());
    assert!(view(&sample.input(), View::LaidOut, &[]).is_none());
}

#[test]
fn a_part_turned_from_above_is_as_large_as_it_is() {
    let sample = wide_shim();
    let slot = |name: &str| sample.rule.find(name).unwrap();
    for (name, to, size) in [("bars", Heading::Across, 500.0), ("clamp", Heading::Rear, 48.0)] {
        let svg = view(&sample.input(), View::FromAbove { turns: slot(name), to }, &[]).unwrap();
        check_sheet(&svg);
        check_clear(&svg, name);
        let doc = Document::parse(&svg).unwrap();
        let xs: Vec<f64> = rings(&doc, "now").remove(0).iter().map(|p| p.0).collect();
        let wide = xs.iter().copied().fold(f64::MIN, f64::max) - xs.iter().copied().fold(f64::MAX, f64::min);
        assert!((wide - size).abs() < 0.05, "{name}: {wide}");
        assert!(with_class(&doc, "arrow").count() >= 1 && with_class(&doc, "before").count() == 1, "{name}");
    }
}

#[test]
fn a_view_of_what_is_not_drawn_is_none() {
    let mut sample = wide_shim();
    let turns = sample.rule.find("cap").unwrap();
    let cap = sample.item("cap");
    sample.stack.items[cap.0 as usize].landing = None;
    assert!(view(&sample.input(), View::FromAbove { turns, to: Heading::Rear }, &[]).is_none());
}
