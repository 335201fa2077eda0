//! Nothing of a drawing is in the way of anything else: numbers, letters, leaders, texts, sheet. Reads the finished
//! SVG with the letters' real outlines; must not know how places were chosen.

use super::super::*;
use super::read::*;
use super::sample::{Sample, made};
use resvg::usvg;
use roxmltree::Document;

/// Left, low, right, high in the drawing's own units.
type Box4 = [f64; 4];

/// Each text's box as it is drawn. Paper sizes are taken off again: boxes are in user units.
fn text_boxes(svg: &str, view: [f64; 4]) -> Vec<(String, Box4)> {
    fn walk(group: &usvg::Group, found: &mut Vec<(String, Box4)>) {
        for node in group.children() {
            match node {
                usvg::Node::Group(group) => walk(group, found),
                usvg::Node::Text(text) => {
                    let b = text.abs_bounding_box();
                    let words = text.chunks().iter().map(|c| c.text()).collect();
                    found.push((words, [b.left(), b.top(), b.right(), b.bottom()].map(f64::from)));
                }
                _ => {}
            }
        }
    }
    let options = usvg::Options { fontdb: fonts(), ..Default::default() };
    let tree = usvg::Tree::from_str(svg, &options).unwrap();
    let mut found = Vec::new();
    walk(tree.root(), &mut found);
    let scale = f64::from(tree.size().width()) / view[2];
    let own = |b: Box4| {
        [b[0] / scale + view[0], b[1] / scale + view[1], b[2] / scale + view[0], b[3] / scale + view[1]]
    };
    found.into_iter().map(|(text, b)| (text, own(b))).collect()
}

fn apart(a: &Box4, b: &Box4) -> bool {
    a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1]
}

/// A segment has a point inside a box: clipped by each side in turn (Liang and Barsky).
fn enters(line: [(f64, f64); 2], b: &Box4) -> bool {
    let [p, q] = line;
    let (dx, dy) = (q.0 - p.0, q.1 - p.1);
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (step, room) in [(-dx, p.0 - b[0]), (dx, b[2] - p.0), (-dy, p.1 - b[1]), (dy, b[3] - p.1)] {
        if step == 0.0 {
            if room < 0.0 {
                return false;
            }
        } else if step < 0.0 {
            from = from.max(room / step);
        } else {
            to = to.min(room / step);
        }
    }
    from < to
}

fn view_of(doc: &Document) -> [f64; 4] {
    let numbers = doc.root_element().attribute("viewBox").unwrap().split(' ');
    let numbers: Vec<f64> = numbers.map(|n| n.parse().unwrap()).collect();
    [numbers[0], numbers[1], numbers[2], numbers[3]]
}

/// All that issue a drawing's legibility; how many labels there were.
pub(super) fn check_clear(svg: &str, what: &str) -> usize {
    let doc = Document::parse(svg).unwrap();
    let view = view_of(&doc);
    let sheet = [view[0], view[1], view[0] + view[2], view[1] + view[3]];
    let texts = text_boxes(svg, view);
    for (i, (text, own)) in texts.iter().enumerate() {
        let inside = own[0] >= sheet[0] && own[1] >= sheet[1] && own[2] <= sheet[2] && own[3] <= sheet[3];
        assert!(inside, "{what}: `{text}` leaves the sheet: {own:?} {sheet:?}");
        for (other, b) in &texts[..i] {
            assert!(apart(own, b), "{what}: `{text}` on `{other}`: {own:?} {b:?}");
        }
    }
    let (circles, numbered) = references(&doc);
    let to_details = with_class(&doc, "detail-leader").flat_map(|n| paths(n.attribute("d").unwrap()));
    let leaders: Vec<[(f64, f64); 2]> =
        numbered.into_iter().chain(to_details.map(|(p, _)| [p[0], p[1]])).collect();
    for (i, &(x, y, r)) in circles.iter().enumerate() {
        let own = [x - r, y - r, x + r, y + r];
        assert!(own[0] > sheet[0] && own[1] > sheet[1] && own[2] < sheet[2] && own[3] < sheet[3], "{what}");
        for &(a, b, c) in &circles[..i] {
            assert!((x - a).hypot(y - b) > r + c, "{what}: two circles meet");
        }
        let within = texts.iter().filter(|(_, b)| !apart(&own, b)).count();
        assert_eq!(within, 1, "{what}: a circle has its own number and nothing else");
    }
    let point = |p: (f64, f64)| super::super::scene::pt(p.0, p.1);
    for (i, &line) in leaders.iter().enumerate() {
        for &other in &leaders[..i] {
            let cross =
                super::super::labels::cross(point(line[0]), point(line[1]), point(other[0]), point(other[1]));
            assert!(!cross, "{what}: leaders {line:?} and {other:?} cross");
        }
        for &(x, y, r) in &circles {
            assert!(distance_to((x, y), line) > r - 0.002, "{what}: a leader enters a circle");
        }
        for (text, b) in &texts {
            assert!(!enters(line, b), "{what}: a leader runs through `{text}`");
        }
    }
    for path in doc.descendants().filter(|n| n.has_tag_name("path")) {
        let clipped = path
            .ancestors()
            .any(|n| n.has_attribute("clip-path") || n.attribute("class") == Some("wrong-way"));
        for (x, y) in paths(path.attribute("d").unwrap()).into_iter().flat_map(|p| p.0) {
            let inside = x >= sheet[0] && x <= sheet[2] && y >= sheet[1] && y <= sheet[3];
            assert!(clipped || inside, "{what}: a line leaves the sheet");
        }
    }
    circles.len() + texts.len()
}

/// The words that guides have at their longest.
pub(super) fn worded<'a>(sample: &'a Sample, head_tube: [&'a str; 2]) -> DrawInput<'a> {
    let mut input = sample.input();
    input.words.gap = "Closing gap 2.57 to 4.22 mm; right: 2 to 5 mm";
    input.words.clearance = "Smallest clearance across 0.00 to 0.20 mm; right: 0 to 0.40 mm";
    input.words.engagement = "Thread engaged 11.80 to 12.20 mm; right: at least 4.73 mm";
    [input.words.head_tube, input.words.head_tube_limit] = head_tube;
    input.words.ring_seat = "Ring seat 1.38 to 1.42 mm wide; right: at least 0.50 mm";
    input.words.shelf = "Seat on the shelf 4.20 to 4.45 mm wide; right: at least 0.50 mm";
    input.words.mark = "this end tells which way up";
    input.words.way = "chamfer of the outer ring down, resting on the crown race";
    input.words.tool = "5 mm hex key";
    input
}

fn prove(seeds: std::ops::Range<u64>) {
    let head_tube = ["95 ±0.1", "92.0 to 95.7 mm"];
    let (mut labels, mut sizes, mut rings) = (0, [0; 6], 0);
    for seed in seeds.clone() {
        let sample = made(seed);
        let input = worded(&sample, head_tube);
        let svg = assembled(&input);
        rings += check_geometry(&sample, &svg);
        check_sheet(&svg);
        check_hatching(&sample, &svg, seed);
        labels += check_clear(&svg, &format!("seed {seed} assembled"));
        let all = ["closing-gap", "clearance", "engagement", "head-tube", "ring-seat", "shelf"];
        for (count, what) in sizes.iter_mut().zip(all) {
            *count += usize::from(svg.contains(&format!("data-size=\"{what}\"")));
        }
        let apart = exploded(&input);
        check_sheet(&apart);
        labels += check_clear(&apart, &format!("seed {seed} exploded"));
        let now = ItemIx((seed % sample.stack.items.len() as u64) as u16);
        let already: Vec<ItemIx> = (0..now.0).map(ItemIx).collect();
        let one = step(&input, &already, now);
        check_sheet(&one);
        labels += check_clear(&one, &format!("seed {seed} step {}", now.0));
    }
    let plans = (seeds.end - seeds.start) as usize;
    assert!(labels > 40 * plans && rings > 40 * plans, "{labels} labels, {rings} rings");
    // Half of them have a clamp with a shelf.
    assert!(
        sizes.iter().zip([6, 6, 6, 6, 6, 3]).all(|(s, part)| 10 * s > part * plans),
        "{sizes:?} of {plans}"
    );
}

/// Direction and pitch as drawn; two parts whose metal meets never have both alike.
fn check_hatching(sample: &Sample, svg: &str, seed: u64) {
    let doc = Document::parse(svg).unwrap();
    let solids = super::super::solid::solids(&sample.input());
    let hatch_of = |name: &str| {
        let group = doc.descendants().find(|n| n.attribute("data-item") == Some(name))?;
        let path = group.children().find(|n| n.attribute("class").is_some_and(|c| c.starts_with("hatch")))?;
        let rising = path.attribute("class")?.contains("rising");
        let slope = if rising { 1.0 } else { -1.0 };
        let lines = paths(path.attribute("d")?);
        let mut offsets: Vec<f64> = lines.iter().map(|(p, _)| -p[0].1 - slope * p[0].0).collect();
        offsets.sort_by(f64::total_cmp);
        let steps = offsets.windows(2).map(|w| w[1] - w[0]).filter(|s| *s > 0.1);
        Some((rising, steps.fold(f64::MAX, f64::min)))
    };
    let meet = |a: &super::super::solid::Solid, b: &super::super::solid::Solid| {
        a.rings().any(|p| {
            b.rings().any(|q| {
                let (low, high) = (p.bottom.max(q.bottom), p.top.min(q.top));
                let (inner, outer) = (p.narrowest().max(q.narrowest()), p.widest().min(q.widest()));
                high - low > -0.05 && outer - inner > -0.05
            })
        })
    };
    for (i, a) in solids.iter().enumerate() {
        for b in solids[..i].iter().filter(|b| meet(a, b)) {
            if let (Some(one), Some(other)) = (hatch_of(&a.name), hatch_of(&b.name))
                && one.1 < 100.0
                && other.1 < 100.0
            {
                let alike = one.0 == other.0 && (one.1 - other.1).abs() < 0.05;
                assert!(
                    !alike,
                    "seed {seed}: {} and {} are hatched alike: {one:?} {other:?}",
                    a.name, b.name
                );
            }
        }
    }
}

#[test]
fn made_plans_are_drawn_true_and_nothing_is_in_the_way_of_anything() {
    prove(0..24);
}

#[test]
#[ignore = "a long run: about a minute and a half"]
fn two_thousand_made_plans_are_drawn_true_and_nothing_is_in_the_way_of_anything() {
    prove(1_000..3_000);
}

/// The checker sees what it is there to see.
#[test]
fn a_text_on_another_and_a_leader_through_a_number_are_seen() {
    let sample = made(7);
    let svg = assembled(&worded(&sample, ["", ""]));
    let refuses = |svg: &str| std::panic::catch_unwind(|| check_clear(svg, "broken")).is_err();
    assert!(!refuses(&svg));
    let doc = Document::parse(&svg).unwrap();
    let (circles, leaders) = references(&doc);
    let first = with_class(&doc, "leader").next().unwrap().attribute("d").unwrap();
    let elsewhere = leaders.iter().position(|l| l[0] != leaders[0][0]).unwrap();
    let (x, y, _) = circles[elsewhere];
    assert!(refuses(&svg.replace(first, &format!("{first}M{x} {y}L0 0"))));
    let text = doc.descendants().find(|n| n.attribute("class") == Some("note")).unwrap();
    let again = &svg[text.range()];
    assert!(refuses(&svg.replace("</svg>", &format!("{again}</svg>"))));
}
