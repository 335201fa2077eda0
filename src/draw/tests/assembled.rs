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

/// Two pieces, the lower one moved up; all that is over it stays where it is, and the paper has room for a larger scale.
#[test]
fn a_long_head_tube_is_broken_where_nothing_begins_and_the_rest_is_drawn_larger() {
    let scale = |svg: &str| -> f64 {
        Document::parse(svg).unwrap().root_element().attribute("data-scale").unwrap().parse().unwrap()
    };
    let of = |tube_long: f64, deck: &'static str| {
        let top = 20.0 + tube_long;
        let items = [
            item("fork", "fork", -20.0, vec![tube(200.0, 20.0, 28.6)]),
            item(deck, deck, 20.0, vec![tube(tube_long, 42.0, 50.0)]),
            item("spacer", "spacer", top, vec![tube(10.0, 29.0, 36.0)]),
        ];
        build(&items, &[])
    };
    let long = of(110.0, "deck");
    let svg = assembled(&long.input());
    check_geometry(&long, &svg);
    check_references(&svg, 3);
    let doc = Document::parse(&svg).unwrap();
    let lifts = |name: &str| -> Vec<Option<f64>> {
        let groups = doc.descendants().filter(|n| n.attribute("data-item") == Some(name));
        groups.map(|g| g.attribute("data-lift").map(|by| by.parse().unwrap())).collect()
    };
    let away = Some(110.0 - 30.0 - 7.0 - 4.0);
    assert_eq!((lifts("deck"), lifts("fork")), (vec![away, None], vec![away, None]));
    assert_eq!(lifts("spacer"), [None]);
    // The same tube that is no head tube stays whole.
    let whole = of(110.0, "spacer-b");
    assert!(scale(&svg) > 1.2 * scale(&assembled(&whole.input())));
    let short = of(50.0, "deck");
    assert!(!assembled(&short.input()).contains("data-lift"), "a short one is not broken");
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

/// Fields of hatching are checked where they are made; here, that each part has one, clipped by its own outline.
#[test]
fn hatched_parts_are_filled_with_a_field_as_far_as_their_own_outline() {
    let sample = wide_shim();
    let svg = assembled(&sample.input());
    let doc = Document::parse(&svg).unwrap();
    let scale: f64 = doc.root_element().attribute("data-scale").unwrap().parse().unwrap();
    let (mut fields, mut hatched) = (0, 0);
    for group in doc.descendants().filter(|n| n.has_attribute("data-item")) {
        let Some((_, pitch)) = hatching(group, scale) else { continue };
        assert!(pitch > 0.7, "ISO 128-2: {pitch}");
        hatched += 1;
        let Some(clip) = group.children().find(|n| n.has_tag_name("clipPath")) else { continue };
        let own: Vec<Points> = group
            .children()
            .filter(|n| n.has_attribute("data-column"))
            .flat_map(|n| paths(n.attribute("d").unwrap()).into_iter().map(|p| p.0))
            .collect();
        let outline = clip.first_element_child().unwrap().attribute("d").unwrap();
        let clipped: Vec<Points> = paths(outline).into_iter().map(|p| p.0).collect();
        assert_eq!(own.len(), clipped.len());
        let same = |a: &(f64, f64), b: &(f64, f64)| (a.0 - b.0).hypot(a.1 - b.1) < 0.01;
        assert!(own.iter().flatten().zip(clipped.iter().flatten()).all(|(a, b)| same(a, b)), "{outline}");
        let field = group.children().find(|n| n.has_attribute("clip-path")).unwrap();
        assert_eq!(field.attribute("clip-path").unwrap(), format!("url(#{})", clip.attribute("id").unwrap()));
        assert!(field.first_element_child().unwrap().attribute("href").unwrap().starts_with("#hatch"));
        fields += 1;
    }
    assert!(hatched > 8 && fields > 4, "{hatched} hatched, {fields} by fields");
}

/// Written-out lines: of small parts, and of hatching that no field has.
#[test]
fn hatch_lines_slope_at_45_degrees_on_one_pitch() {
    let square =
        [(0.0, 0.0), (9.0, 0.0), (9.0, 20.0), (0.0, 20.0)].map(|(x, y)| super::super::scene::pt(x, y));
    for rising in [true, false] {
        let slope = if rising { 1.0 } else { -1.0 };
        let lines = hatch::lines(&square, rising, 1.5);
        let mut offsets: Vec<f64> = Vec::new();
        for line in &lines {
            let [p, q] = line.points[..] else { panic!("{line:?}") };
            assert!((q.y - p.y - slope * (q.x - p.x)).abs() < 1e-9);
            offsets.push(p.y - slope * p.x);
        }
        offsets.sort_by(f64::total_cmp);
        assert!(
            lines.len() > 10 && offsets.windows(2).all(|w| (w[1] - w[0] - 1.5 * 2f64.sqrt()).abs() < 1e-9)
        );
    }
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

/// At its number in every drawing that has it, once, with what the sign says under the figure; nothing gets in the way.
#[test]
fn a_part_that_is_changed_for_good_is_told_by_a_sign_at_its_number() {
    let mut sample = wide_shim();
    let fork = sample.item("fork");
    let from = sample.stack.items[usize::from(fork.0)].variant;
    sample.catalogue.variants[from.0 as usize].changed =
        Some(crate::catalogue::Changed { from, system: 0, change: 0 });
    let mut input = sample.input();
    input.words.changed = "changed for good before it goes on";
    input.words.mark = "this end tells which way up";
    for svg in [assembled(&input), exploded(&input)] {
        check_sheet(&svg);
        check_clear(&svg, "changed");
        check_references(&svg, sample.stack.items.len());
        assert_eq!(svg.matches("#sign-changed").count(), 2);
        assert!(svg.contains("changed for good"));
        let doc = Document::parse(&svg).unwrap();
        let scale: f64 = doc.root_element().attribute("data-scale").unwrap().parse().unwrap();
        let (circles, _) = references(&doc);
        let signs = with_class(&doc, "changed").map(|n| {
            let moved = n.attribute("transform").unwrap().split(['(', ')']).nth(1).unwrap();
            moved.split(' ').map(|v| v.parse::<f64>().unwrap()).collect::<Vec<_>>()
        });
        let at_numbers =
            signs.filter(|at| circles.iter().any(|c| (at[0] - c.0).hypot(at[1] - c.1) * scale < 9.0));
        assert_eq!(at_numbers.count(), 1);
    }
    sample.catalogue.variants[from.0 as usize].changed = None;
    let mut input = sample.input();
    input.words.changed = "changed for good before it goes on";
    assert!(!assembled(&input).contains("changed for good"), "no sign, no words");
}
