//! The assembled half section is true, legible and numbered. Must not know other drawings.

use super::super::hatch;
use super::super::*;
use super::read::*;
use super::sample::{Item, build, item, tube, wide_shim};
use proptest::prelude::*;
use roxmltree::{Document, Node};

#[test]
fn cut_metal_is_where_the_stack_says_it_is() {
    for (name, sample) in samples() {
        let compared = check_geometry(&sample, &assembled(&sample.input()));
        assert!(compared > 50, "{name}: only {compared}");
    }
}

#[test]
fn a_wide_crossbar_in_the_picture_is_cut_off_sideways() {
    let bars = vec![tube(20.0, 28.8, 31.8), tube(10.0, 0.0, 500.0)];
    let items = [item("fork", "fork", -20.0, vec![tube(60.0, 0.0, 28.6)]), item("bars", "bars", 20.0, bars)];
    let sample = build(&items, &[]);
    let svg = assembled(&sample.input());
    assert!(svg.contains("data-broken=\"side\""), "{svg}");
    assert_eq!(check_geometry(&sample, &svg), 6);
    let doc = Document::parse(&svg).unwrap();
    let view: Vec<f64> =
        doc.root_element().attribute("viewBox").unwrap().split(' ').map(|n| n.parse().unwrap()).collect();
    assert!(view[2] < 120.0, "{view:?}");
    assert_eq!(with_class(&doc, "break").count(), 1);
}

#[test]
fn every_part_has_one_number_and_leaders_never_cross() {
    for (_, sample) in samples() {
        check_references(&assembled(&sample.input()), sample.stack.items.len());
    }
}

#[test]
fn a_leader_ends_inside_its_own_part() {
    for (_, sample) in samples() {
        let svg = assembled(&sample.input());
        let doc = Document::parse(&svg).unwrap();
        let (_, leaders) = references(&doc);
        let texts: Vec<usize> =
            with_class(&doc, "number").map(|n| n.text().unwrap().parse().unwrap()).collect();
        for (number, leader) in texts.iter().zip(&leaders) {
            let item = sample.numbers.iter().find(|n| n.1 == *number).unwrap().0;
            let name = &sample.stack.items[item.0 as usize].name;
            let end = leader[1];
            let inside = |n: Node| {
                paths(n.attribute("d").unwrap()).iter().any(|(outline, closed)| {
                    let radii = radii_at(outline, -end.1);
                    *closed && radii.len() == 2 && (-end.0 - radii[0]) * (-end.0 - radii[1]) <= 0.0
                })
            };
            let own = doc.descendants().filter(|n| {
                let of = n.attribute("data-of") == Some(name);
                of || (n.attribute("data-column").is_some()
                    && n.parent().unwrap().attribute("data-item") == Some(name))
            });
            assert!(own.into_iter().any(inside), "{number} {name} {end:?}");
        }
    }
}

#[test]
fn touching_parts_are_hatched_differently_and_one_part_the_same_everywhere() {
    for (_, sample) in samples() {
        let input = sample.input();
        let solids = super::super::solid::solids(&input);
        let hatches = hatch::choose(&solids, 0.8);
        let mut pairs = 0;
        for i in 0..solids.len() {
            for j in 0..i {
                if hatch::touching(&solids[i], &solids[j], 0.8) {
                    pairs += 1;
                    assert_ne!(hatches[i], hatches[j], "{} {}", solids[i].name, solids[j].name);
                }
            }
        }
        assert!(pairs > 10);
        let svg = assembled(&input);
        let doc = Document::parse(&svg).unwrap();
        for group in doc.descendants().filter(|n| n.has_attribute("data-item")) {
            let hatched =
                group.children().filter(|n| n.attribute("class").is_some_and(|c| c.starts_with("hatch")));
            assert!(hatched.count() <= 1);
        }
    }
}

#[test]
fn hatch_lines_slope_at_45_degrees_on_one_pitch() {
    let sample = wide_shim();
    let svg = assembled(&sample.input());
    let doc = Document::parse(&svg).unwrap();
    let mut lines = 0;
    for node in with_class(&doc, "hatch") {
        let slope = if node.attribute("class").unwrap().contains("rising") { 1.0 } else { -1.0 };
        let mut offsets: Vec<f64> = Vec::new();
        for (p, _) in paths(node.attribute("d").unwrap()) {
            let (dx, dy) = (p[1].0 - p[0].0, p[0].1 - p[1].1);
            assert!((dy - slope * dx).abs() < 0.011, "{p:?}");
            offsets.push(-p[0].1 - slope * p[0].0);
            lines += 1;
        }
        offsets.sort_by(f64::total_cmp);
        offsets.dedup_by(|a, b| (*a - *b).abs() < 0.01);
        let steps: Vec<f64> = offsets.windows(2).map(|w| w[1] - w[0]).collect();
        let least = steps.iter().copied().fold(f64::MAX, f64::min);
        assert!(steps.iter().all(|s| ((s / least).round() - s / least).abs() < 0.02), "{steps:?}");
    }
    assert!(lines > 100);
}

#[test]
fn fasteners_are_not_cut() {
    let sample = wide_shim();
    let svg = assembled(&sample.input());
    let doc = Document::parse(&svg).unwrap();
    for name in ["bolt", "star-nut"] {
        let group = doc.descendants().find(|n| n.attribute("data-item") == Some(name)).unwrap();
        assert!(group.children().all(|n| !n.attribute("class").unwrap_or("").starts_with("hatch")));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn random_piles_are_drawn_true_with_clear_references(
        sizes in proptest::collection::vec((2.0..60.0_f64, 5.0..24.0_f64, 0.4..12.0_f64), 1..18)
    ) {
        let mut items: Vec<Item> = Vec::new();
        let mut height = 0.0;
        let names: Vec<String> = (0..sizes.len()).map(|i| format!("ring-{i}")).collect();
        for (name, &(long, radius, wall)) in names.iter().zip(&sizes) {
            let bore = (radius - wall).max(0.0);
            items.push(item(name, "spacer", height, vec![tube(long, 2.0 * bore, 2.0 * radius)]));
            height += long;
        }
        let sample = build(&items, &[]);
        let svg = assembled(&sample.input());
        check_geometry(&sample, &svg);
        check_references(&svg, items.len());
        prop_assert!(svg.len() < 60_000);
    }
}
