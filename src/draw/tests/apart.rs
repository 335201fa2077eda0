//! Exploded views and step pictures show the assembled parts, moved. Must not know the assembled drawing's marks.

use super::super::*;
use super::read::*;
use super::sample::{build, item, told, tube, wide_shim};
use proptest::prelude::*;
use roxmltree::{Document, Node};

/// Pulled apart and laid out: all corners of the outlines are corners of the assembled drawing, or lie on its upright sides (break lines).
#[test]
fn exploded_parts_and_those_laid_out_are_the_assembled_parts_moved() {
    for (_, sample) in samples() {
        let all: Vec<ItemIx> = (0..sample.stack.items.len() as u16).map(ItemIx).collect();
        let home = brought_home(&Document::parse(&assembled(&sample.input())).unwrap());
        let laid_out = view(&sample.input(), View::LaidOut, &all).unwrap();
        let of = |svg: &str| brought_home(&Document::parse(svg).unwrap());
        let (away, laid_out) = (of(&exploded(&sample.input())), of(&laid_out));
        assert!(away.len() > sample.stack.items.len(), "long parts are in two pieces");
        assert_eq!(laid_out.len(), away.len());
        let away: Vec<_> = away.into_iter().chain(laid_out).collect();
        for (name, outline) in &away {
            for (x, y) in outline {
                let on_side = |other: &Points| {
                    (0..other.len())
                        .any(|i| distance_to((*x, *y), [other[i], other[(i + 1) % other.len()]]) < 0.01)
                };
                let own = home.iter().filter(|(n, _)| n == name);
                // In a stretch that is taken out the walls run on as they are next to it.
                let nearest = |o: &Points| {
                    let far = (f64::MAX, f64::MIN);
                    let (low, high) = o.iter().fold(far, |(l, h), p| (l.min(-p.1), h.max(-p.1)));
                    (-y).clamp(low + 0.01, high - 0.01)
                };
                let broken =
                    own.clone().any(|(_, o)| radii_at(o, nearest(o)).iter().any(|r| (r + x).abs() < 0.01));
                assert!(broken || own.into_iter().any(|(_, o)| on_side(o)), "{name} {x} {y}");
            }
        }
    }
}

#[test]
fn an_exploded_view_numbers_each_part_once_and_no_two_parts_overlap() {
    for (_, sample) in samples() {
        let svg = exploded(&sample.input());
        check_references(&svg, sample.stack.items.len());
        let doc = Document::parse(&svg).unwrap();
        let mut spans: Vec<(String, f64, f64, f64)> = Vec::new();
        for group in doc.descendants().filter(|n| n.has_attribute("data-item")) {
            let aside = group.attribute("data-aside").unwrap_or("0").parse().unwrap();
            let metal = group.children().filter(|n| n.has_attribute("data-column"));
            let ys: Vec<f64> =
                metal.flat_map(|n| paths(n.attribute("d").unwrap()).remove(0).0).map(|p| p.1).collect();
            let (low, high) = ys.iter().fold((f64::MAX, f64::MIN), |(l, h), &y| (l.min(y), h.max(y)));
            spans.push((group.attribute("data-item").unwrap().to_string(), aside, low, high));
        }
        for (i, a) in spans.iter().enumerate() {
            for b in &spans[..i] {
                assert!(a.1 != b.1 || a.2 > b.3 + 2.0 || b.2 > a.3 + 2.0, "{a:?} {b:?}");
            }
        }
    }
}

#[test]
fn a_step_shows_the_new_part_bold_above_its_place_and_the_rest_unhatched() {
    let sample = wide_shim();
    let input = sample.input();
    let now = sample.item("shim");
    let already: Vec<ItemIx> = (0..now.0).map(ItemIx).collect();
    let svg = step(&input, &already, now);
    let doc = Document::parse(&svg).unwrap();
    let new: Vec<Node> = with_class(&doc, "now").collect();
    assert_eq!(new.len(), 1);
    assert_eq!(new[0].attribute("data-item"), Some("shim"));
    assert_eq!(new[0].attribute("data-lift"), Some("24"));
    assert!(
        with_class(&doc, "already")
            .all(|g| g.children().all(|n| n.attribute("class") != Some("hatch rising")))
    );
    assert_eq!(with_class(&doc, "arrow").count(), 1);
    assert_eq!(with_class(&doc, "wrong-way").count(), 1);
    assert_eq!(with_class(&doc, "way-up").count(), 1);
}

#[test]
fn a_part_that_is_worked_on_where_it_is_stands_in_its_place_and_its_bolts_are_pointed_at() {
    let sample = wide_shim();
    let mut input = sample.input();
    input.words.tool = "5 mm hex key";
    let all: Vec<ItemIx> = (0..sample.stack.items.len() as u16).map(ItemIx).collect();
    let svg = step(&input, &all, sample.item("clamp"));
    let doc = Document::parse(&svg).unwrap();
    let new = with_class(&doc, "now").next().unwrap();
    assert_eq!((new.attribute("data-item"), new.attribute("data-lift")), (Some("clamp"), None));
    for sign in ["wrong-way", "way-up"] {
        assert_eq!(with_class(&doc, sign).count(), 0, "{sign}");
    }
    assert_eq!(pointed_at(&doc), [125.15, 156.15], "12 and 43 above the clamp's foot at 113.15");
    assert!(with_class(&doc, "tool").count() == 1 && with_class(&doc, "number").count() == 1);
    check_sheet(&svg);
}

/// A star nut is driven into the bars before they stand on the pile, and goes along with them.
#[test]
fn what_is_driven_into_a_part_is_shown_with_that_part() {
    let fork = item("fork", "fork", 0.0, vec![tube(60.0, 20.0, 28.6)]);
    let bars = item("bars", "bars", 50.0, vec![tube(100.0, 28.7, 31.8)]);
    let mut nut = item("star-nut", "star-nut", 80.0, vec![tube(12.0, 8.0, 28.7)]);
    nut.put_on = crate::rules::PutOn::FromBelow;
    let clamp = item("clamp", "clamp", 50.0, vec![tube(40.0, 32.0, 40.0)]);
    let mut sample = build(&[fork, bars, nut, clamp], &[]);
    sample.stack.items[2].rides_with = Some(ItemIx(1));
    let names = |svg: &str| -> Vec<(String, f64)> {
        let doc = Document::parse(svg).unwrap();
        let groups = doc.descendants().filter(|n| n.has_attribute("data-item"));
        let lift = |n: &Node| n.attribute("data-lift").map_or(0.0, |l| l.parse().unwrap());
        groups.map(|n| (n.attribute("data-item").unwrap().to_string(), lift(&n))).collect()
    };
    let driven = names(&step(&sample.input(), &[ItemIx(0)], ItemIx(2)));
    assert_eq!(driven.iter().map(|d| d.0.as_str()).collect::<Vec<_>>(), ["bars", "star-nut"]);
    assert!(driven[0].1 == 0.0 && driven[1].1 < 0.0, "from below: {driven:?}");
    let before = names(&step(&sample.input(), &[ItemIx(0), ItemIx(2)], ItemIx(3)));
    assert!(before.iter().all(|d| d.0 != "star-nut"), "without the bars it is not there: {before:?}");
    let along = names(&step(&sample.input(), &[ItemIx(0), ItemIx(2)], ItemIx(1)));
    let lift = |name: &str| along.iter().find(|d| d.0 == name).unwrap().1;
    assert!(lift("bars") > 0.0 && lift("star-nut") == lift("bars") && lift("fork") == 0.0, "{along:?}");
}

/// Driven into the foot of bars that are held foot up: it comes from above, and its depth is dimensioned from that foot.
#[test]
fn what_is_worked_on_upside_down_is_drawn_so_with_its_depth() {
    let fork = item("fork", "fork", 0.0, vec![tube(60.0, 20.0, 28.6)]);
    let bars = item("bars", "bars", 50.0, vec![tube(100.0, 28.7, 31.8)]);
    let mut nut = item("star-nut", "star-nut", 80.0, vec![tube(12.0, 8.0, 28.7)]);
    nut.put_on = crate::rules::PutOn::FromBelow;
    let mut sample = build(&[fork, bars, nut], &[]);
    sample.stack.items[2].rides_with = Some(ItemIx(1));
    let step = told("star-nut", |step| step.upside_down = true);
    let mut input = sample.input();
    input.words.depth = "30 mm";
    let svg = step_of(&input, &step, &[ItemIx(0)], ItemIx(2));
    let doc = Document::parse(&svg).unwrap();
    let new = with_class(&doc, "now").next().unwrap();
    assert!(new.has_attribute("data-upside-down"), "{svg}");
    assert!(!new.has_attribute("data-lift"), "its depth is told, so it is shown where it is set");
    let (arrow, _) = paths(with_class(&doc, "arrow").next().unwrap().attribute("d").unwrap()).remove(0);
    assert!(arrow[3].1 > arrow[0].1, "its point is lower than its tail: {arrow:?}");
    let depth = doc.descendants().find(|n| n.attribute("data-size") == Some("depth")).unwrap();
    let line = depth.descendants().find(|n| n.attribute("class") == Some("dimension")).unwrap();
    let (ends, _) = paths(line.attribute("d").unwrap()).remove(0);
    // The foot of the bars is 50 above the seat, the near face of the nut 80: both below nothing now, and down in the SVG.
    let mut heights = [ends[0].1, ends[1].1];
    heights.sort_by(f64::total_cmp);
    assert!((heights[0] - 50.0).abs() < 0.01 && (heights[1] - 80.0).abs() < 0.01, "{heights:?}");
    assert!(depth.descendants().any(|n| n.text() == Some("30 mm")));
    let upright = step_of(&input, &told("star-nut", |_| {}), &[ItemIx(0)], ItemIx(2));
    assert!(!upright.contains("data-upside-down"));
}

#[test]
fn what_comes_from_below_is_shown_below_with_its_arrow_upward() {
    let fork = item("fork", "fork", 0.0, vec![tube(60.0, 20.0, 28.6)]);
    let mut bolt = item("bolt", "bolt", -6.0, vec![tube(6.0, 0.0, 10.0), tube(40.0, 0.0, 6.0)]);
    bolt.put_on = crate::rules::PutOn::FromBelow;
    let sample = build(&[fork, bolt], &[]);
    let svg = step(&sample.input(), &[ItemIx(0)], ItemIx(1));
    let doc = Document::parse(&svg).unwrap();
    let new = with_class(&doc, "now").next().unwrap();
    assert!(new.attribute("data-lift").unwrap().starts_with('-'));
    let (arrow, _) = paths(with_class(&doc, "arrow").next().unwrap().attribute("d").unwrap()).remove(0);
    assert!(arrow[3].1 < arrow[0].1, "its point is higher than its tail: {arrow:?}");
    assert_eq!(with_class(&doc, "wrong-way").count(), 0);
    let svg = exploded(&sample.input());
    let doc = Document::parse(&svg).unwrap();
    let lift = |name| {
        let group = doc.descendants().find(|n| n.attribute("data-item") == Some(name)).unwrap();
        group.attribute("data-lift").unwrap().parse::<f64>().unwrap()
    };
    assert!(-6.0 + 46.0 + lift("bolt") < lift("fork"), "the bolt is wholly under the fork");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(30))]
    #[test]
    fn random_piles_come_apart_with_clear_references_on_one_sheet(
        sizes in proptest::collection::vec((2.0..90.0_f64, 5.0..24.0_f64, 0.4..12.0_f64), 1..16)
    ) {
        let mut items = Vec::new();
        let mut height = 0.0;
        let names: Vec<String> = (0..sizes.len()).map(|i| format!("ring-{i}")).collect();
        for (name, &(long, radius, wall)) in names.iter().zip(&sizes) {
            items.push(item(name, "spacer", height, vec![tube(long, 2.0 * (radius - wall).max(0.0), 2.0 * radius)]));
            height += long;
        }
        let sample = build(&items, &[]);
        let svg = exploded(&sample.input());
        check_references(&svg, items.len());
        check_sheet(&svg);
        steps(&sample, &sample.input()).iter().for_each(|svg| check_sheet(svg));
    }
}
