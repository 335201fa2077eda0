//! Drawings are read back and compared with the numbers they were made from.

use super::hatch;
use super::sample::{Item, Sample, build, item, shelf_clamp, tube, wide_shim};
use super::*;
use crate::quantity::Ends;
use proptest::prelude::*;
use roxmltree::{Document, Node};

fn samples() -> [(&'static str, Sample); 2] {
    [("wide", wide_shim()), ("shelf", shelf_clamp())]
}

type Points = Vec<(f64, f64)>;

/// Sub-paths of `M x yL x y…Z` data, with whether each is closed.
fn paths(d: &str) -> Vec<(Points, bool)> {
    let lines = d.split('M').filter(|s| !s.is_empty());
    let read = |line: &str| {
        let closed = line.ends_with('Z');
        let points = line.trim_end_matches('Z').split('L').map(|pair| {
            let (x, y) = pair.split_once(' ').expect("two numbers");
            (x.parse().unwrap(), y.parse().unwrap())
        });
        (points.collect(), closed)
    };
    lines.map(read).collect()
}

fn with_class<'a>(doc: &'a Document, class: &'a str) -> impl Iterator<Item = Node<'a, 'a>> {
    doc.descendants().filter(move |n| n.attribute("class").is_some_and(|c| c.split(' ').any(|w| w == class)))
}

/// Radii of the metal cut by a level line: crossings of the outline, outward.
fn radii_at(outline: &Points, height: f64) -> Vec<f64> {
    let mut found = Vec::new();
    for (i, a) in outline.iter().enumerate() {
        let b = outline[(i + 1) % outline.len()];
        let (ya, yb) = (-a.1, -b.1);
        if (ya < height) != (yb < height) {
            found.push(-(a.0 + (b.0 - a.0) * (height - ya) / (yb - ya)));
        }
    }
    found.sort_by(f64::total_cmp);
    found
}

/// Every ring of every item, a quarter and three quarters up, against the drawn outlines.
fn check_geometry(sample: &Sample, svg: &str) -> usize {
    let doc = Document::parse(svg).unwrap();
    let ends: Vec<Ends> = sample.stack.dims.iter().map(|d| d.ends).collect();
    let mm = |form: &crate::quantity::Form| form.nominal(&ends) as f64 / 1e6;
    let mut compared = 0;
    for placed in &sample.stack.items {
        let group = doc.descendants().find(|n| n.attribute("data-item") == Some(&placed.name)).unwrap();
        for column in &placed.columns {
            let path = group.children().find(|n| n.attribute("data-column") == Some(column.name)).unwrap();
            let (outline, closed) = paths(path.attribute("d").unwrap()).remove(0);
            assert!(closed);
            let broken = path.attribute("data-broken").unwrap_or("");
            let (low, high) =
                outline.iter().fold((f64::MAX, f64::MIN), |(l, h), p| (l.min(-p.1), h.max(-p.1)));
            let mut bottom = placed.landing.as_ref().unwrap().nominal as f64 / 1e6 + mm(&column.start);
            assert!(broken.contains("bottom") || (low - bottom).abs() < 0.01, "{}", placed.name);
            for segment in &column.segments {
                let top = bottom + mm(&segment.length);
                for share in [0.25, 0.75] {
                    let height = bottom + (top - bottom) * share;
                    if height <= low || height >= high {
                        assert!(!broken.is_empty(), "{} is cut short without saying so", placed.name);
                        continue;
                    }
                    let at = |d: &[crate::quantity::Form; 2]| mm(&d[0]) + (mm(&d[1]) - mm(&d[0])) * share;
                    let (bore, outside) =
                        (at(&segment.bore.diameter) / 2.0, at(&segment.outside.diameter) / 2.0);
                    let drawn = radii_at(&outline, height);
                    assert_eq!(drawn.len(), 2, "{} at {height}", placed.name);
                    assert!((drawn[0] - bore).abs() < 0.01, "{} bore {bore} {drawn:?}", placed.name);
                    let side = broken.contains("side") && drawn[1] < outside;
                    assert!(side || (drawn[1] - outside).abs() < 0.01, "{} {outside} {drawn:?}", placed.name);
                    compared += 1;
                }
                bottom = top;
            }
            assert!(broken.contains("top") || (high - bottom).abs() < 0.01, "{}", placed.name);
        }
    }
    compared
}

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

/// Circles as (x, y, radius), leaders as segments from circle to part.
type References = (Vec<(f64, f64, f64)>, Vec<[(f64, f64); 2]>);

fn references(doc: &Document) -> References {
    let number = |n: Node, name: &str| n.attribute(name).unwrap().parse::<f64>().unwrap();
    let circles = with_class(doc, "number-ring").map(|n| (number(n, "cx"), number(n, "cy"), number(n, "r")));
    let leaders =
        with_class(doc, "leader").flat_map(|n| paths(n.attribute("d").unwrap())).map(|(p, _)| [p[0], p[1]]);
    (circles.collect(), leaders.collect())
}

fn distance_to(p: (f64, f64), [a, b]: [(f64, f64); 2]) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let along = (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
    (p.0 - a.0 - along * dx).hypot(p.1 - a.1 - along * dy)
}

fn check_references(svg: &str, count: usize) {
    let doc = Document::parse(svg).unwrap();
    let (circles, leaders) = references(&doc);
    assert_eq!((circles.len(), leaders.len()), (count, count));
    let point = |p: (f64, f64)| super::scene::pt(p.0, p.1);
    for i in 0..count {
        for j in 0..count {
            let (a, b) = (circles[i], circles[j]);
            if i != j {
                assert!((a.0 - b.0).hypot(a.1 - b.1) > a.2 + b.2, "circles overlap");
                let [p, q] = leaders[i];
                let [r, s] = leaders[j];
                assert!(!super::labels::cross(point(p), point(q), point(r), point(s)), "leaders cross");
                assert!(distance_to((a.0, a.1), leaders[j]) > a.2, "a leader meets a number");
            }
        }
    }
    let view: Vec<f64> =
        doc.root_element().attribute("viewBox").unwrap().split(' ').map(|n| n.parse().unwrap()).collect();
    for &(x, y, r) in &circles {
        assert!(x - r > view[0] && x + r < view[0] + view[2] && y - r > view[1] && y + r < view[1] + view[3]);
    }
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
        let solids = super::solid::solids(&input);
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
            assert!((dy - slope * dx).abs() < 0.003, "{p:?}");
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

#[test]
fn letters_print_at_least_two_and_a_half_millimetres_high_and_the_sheet_within_a5() {
    for (_, sample) in samples() {
        let mut input = sample.input();
        (input.words.mark, input.words.way, input.words.tool) =
            ("this end", "lipped end down", "5 mm hex key");
        check_sheet(&assembled(&input));
        check_sheet(&exploded(&input));
        steps(&sample, &input).iter().for_each(|svg| check_sheet(svg));
    }
}

/// One picture an item, in placing order.
fn steps(sample: &Sample, input: &DrawInput) -> Vec<String> {
    let all: Vec<ItemIx> = (0..sample.stack.items.len() as u16).map(ItemIx).collect();
    all.iter().map(|&now| step(input, &all[..now.0 as usize], now)).collect()
}

fn check_sheet(svg: &str) {
    let doc = Document::parse(svg).unwrap();
    let root = doc.root_element();
    let paper = |name: &str| root.attribute(name).unwrap().trim_end_matches("mm").parse::<f64>().unwrap();
    let view: Vec<f64> = root.attribute("viewBox").unwrap().split(' ').map(|n| n.parse().unwrap()).collect();
    let scale = paper("width") / view[2];
    assert!((scale - paper("height") / view[3]).abs() < 0.001);
    assert!(paper("height") <= 200.5 && paper("width") <= 148.0, "{} {}", paper("width"), paper("height"));
    let mut letters = 0;
    for text in doc.descendants().filter(|n| n.has_tag_name("text")) {
        let size: f64 = text.attribute("font-size").unwrap().parse().unwrap();
        assert!(size * scale * super::write::CAPITALS >= 2.5);
        letters += 1;
    }
    assert!(letters > 0 && svg.len() < 60_000, "{}", svg.len());
    for node in doc.descendants() {
        let width = node.attribute("stroke-width").map(|w| w.parse::<f64>().unwrap() * scale);
        assert!(width.is_none_or(|w| w > 0.24), "{width:?}");
    }
}

#[test]
fn every_drawing_rasterises_and_shows_something() {
    for (_, sample) in samples() {
        let input = sample.input();
        for svg in steps(&sample, &input).into_iter().chain([assembled(&input), exploded(&input)]) {
            let pixels = raster(&svg, 96.0);
            let dark = pixels.pixels().iter().filter(|p| p.red() < 100).count();
            assert!(dark > 500, "{dark}");
        }
    }
}

#[test]
fn hostile_text_stays_text() {
    let sample = wide_shim();
    let mut input = sample.input();
    input.words.title = "a <script> & \"b\" \u{1} \u{7f}";
    let svg = assembled(&input);
    let doc = Document::parse(&svg).unwrap();
    assert_eq!(with_tag(&doc, "title").text(), Some("a <script> & \"b\"    "));
    assert!(with_tag(&doc, "desc").text().unwrap().ends_with("\n13 cap"));
}

fn with_tag<'a>(doc: &'a Document, tag: &str) -> Node<'a, 'a> {
    doc.descendants().find(|n| n.has_tag_name(tag)).unwrap()
}

#[test]
fn an_empty_stack_is_an_empty_sheet() {
    let sample = build(&[], &[]);
    assert!(Document::parse(&assembled(&sample.input())).is_ok());
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

/// Every closed outline of cut metal brought back by its lift: item, outline.
fn brought_home(doc: &Document) -> Vec<(String, Points)> {
    let groups = doc.descendants().filter(|n| n.has_attribute("data-item"));
    let fact = |n: Node, name: &str| n.attribute(name).map_or(0.0, |v| v.parse::<f64>().unwrap());
    let outlines = groups.flat_map(|g| {
        let (lift, aside) = (fact(g, "data-lift"), fact(g, "data-aside"));
        let name = g.attribute("data-item").unwrap().to_string();
        let metal: Vec<_> = g.children().filter(|n| n.has_attribute("data-column")).collect();
        metal.into_iter().map(move |path| {
            let (outline, _) = paths(path.attribute("d").unwrap()).remove(0);
            (name.clone(), outline.into_iter().map(|(x, y)| (x - aside, y + lift)).collect())
        })
    });
    outlines.collect()
}

/// All corners of the outlines are corners of the assembled drawing, or lie on its upright sides (break lines).
#[test]
fn exploded_parts_are_the_assembled_parts_moved() {
    for (_, sample) in samples() {
        let (home, away) = (assembled(&sample.input()), exploded(&sample.input()));
        let home = brought_home(&Document::parse(&home).unwrap());
        let away = brought_home(&Document::parse(&away).unwrap());
        assert!(away.len() > home.len(), "long parts are in two pieces");
        for (name, outline) in &away {
            for (x, y) in outline {
                let on_side = |other: &Points| {
                    (0..other.len())
                        .any(|i| distance_to((*x, *y), [other[i], other[(i + 1) % other.len()]]) < 0.01)
                };
                let own = home.iter().filter(|(n, _)| n == name);
                let broken = own.clone().any(|(_, o)| radii_at(o, -y).iter().any(|r| (r + x).abs() < 0.01));
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

#[test]
fn a_part_with_no_landing_is_not_drawn() {
    let mut sample = wide_shim();
    let cap = sample.item("cap");
    sample.stack.items[cap.0 as usize].landing = None;
    let input = sample.input();
    for svg in [assembled(&input), exploded(&input), step(&input, &[ItemIx(0)], cap)] {
        assert!(!svg.contains("data-item=\"cap\""));
        assert!(Document::parse(&svg).is_ok());
    }
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let (a, b) = (wide_shim(), wide_shim());
    assert_eq!(assembled(&a.input()), assembled(&b.input()));
    assert_eq!(exploded(&a.input()), exploded(&b.input()));
}

/// Writes the pictures into the folder named by DRAWINGS, to be looked at.
#[test]
fn drawings_for_the_eye() {
    let Ok(folder) = std::env::var("DRAWINGS") else { return };
    for (name, sample) in samples() {
        let mut input = sample.input();
        save(&folder, name, &assembled(&input));
        input.words.gap = "Closing gap 3.15 mm; 2 to 5 mm is right";
        save(&folder, &format!("{name}-gap"), &assembled(&input));
        save(&folder, &format!("{name}-why-not"), &why_not(&input));
        input.words.mark = "this end tells which way up";
        save(&folder, &format!("{name}-exploded"), &exploded(&input));
        input.words.way = "lipped end down";
        input.words.tool = "5 mm hex key";
        for now in 0..sample.stack.items.len() as u16 {
            let already: Vec<ItemIx> = (0..now).map(ItemIx).collect();
            save(&folder, &format!("{name}-step-{now}"), &step(&input, &already, ItemIx(now)));
        }
    }
}

fn save(folder: &str, name: &str, svg: &str) {
    std::fs::write(format!("{folder}/{name}.svg"), svg).unwrap();
    raster(svg, 260.0).save_png(format!("{folder}/{name}.png")).unwrap();
}

fn raster(svg: &str, dpi: f32) -> resvg::tiny_skia::Pixmap {
    let mut options = resvg::usvg::Options { dpi, ..Default::default() };
    options.fontdb_mut().load_system_fonts();
    let tree = resvg::usvg::Tree::from_str(svg, &options).unwrap();
    let size = tree.size().to_int_size();
    let mut pixels = resvg::tiny_skia::Pixmap::new(size.width(), size.height()).unwrap();
    pixels.fill(resvg::tiny_skia::Color::WHITE);
    resvg::render(&tree, Default::default(), &mut pixels.as_mut());
    pixels
}
