//! The drawings of whole plans of the demo book against the numbers they were made from. Reads SVG and placed
//! half-sections alone; knows no rule of drawing.

use crate::book;

use benchleaf::assembly::{ItemIx, Placed, PlacedColumn, Stack};
use benchleaf::draw::{DrawInput, DrawWords, assembled, change, exploded, why_not};
use benchleaf::quantity::{Ends, Form};
use benchleaf::rules::Rule;
use benchleaf::solve::{ShopStrengths, Verdict};
use book::Book;
use roxmltree::{Document, Node};

/// Millimetres that a drawn wall may be off.
const NEAR: f64 = 0.01;

fn mm(form: &Form, ends: &[Ends]) -> f64 {
    form.nominal(ends) as f64 / 1e6
}

/// `M x yL x y…Z` as radius and height.
fn corners(path: Node) -> Vec<[f64; 2]> {
    let data = path.attribute("d").unwrap().trim_start_matches('M').trim_end_matches('Z');
    let pairs = data.split('L').map(|pair| pair.split_once(' ').unwrap());
    pairs.map(|(x, y)| [-x.parse::<f64>().unwrap(), -y.parse::<f64>().unwrap()]).collect()
}

/// Bore and outside of an outline at a height between its corners.
fn walls(outline: &[[f64; 2]], height: f64) -> Vec<f64> {
    let next = outline.iter().cycle().skip(1);
    let sides = outline.iter().zip(next).filter(|(a, b)| (a[1] < height) != (b[1] < height));
    let mut radii: Vec<f64> =
        sides.map(|(a, b)| a[0] + (b[0] - a[0]) * (height - a[1]) / (b[1] - a[1])).collect();
    radii.sort_by(f64::total_cmp);
    radii
}

/// Every ring of a column at three heights; how many were compared, and what is wrong.
fn compare(
    item: &Placed,
    column: &PlacedColumn,
    path: Node,
    ends: &[Ends],
    wrong: &mut Vec<String>,
) -> usize {
    let lift = path.parent().and_then(|g| g.attribute("data-lift")).map_or(0.0, |by| by.parse().unwrap());
    let outline: Vec<[f64; 2]> = corners(path).into_iter().map(|[x, y]| [x, y - lift]).collect();
    let broken = path.attribute("data-broken").unwrap_or("");
    let (low, high) =
        outline.iter().fold((f64::MAX, f64::MIN), |(l, h), corner| (l.min(corner[1]), h.max(corner[1])));
    let landing = item.landing.as_ref().unwrap().nominal as f64 / 1e6;
    let (mut bottom, mut compared) = (landing + mm(&column.start, ends), 0);
    if !broken.contains("bottom") && (low - bottom).abs() > NEAR {
        wrong.push(format!("{} begins at {low}, not at {bottom}", item.name));
    }
    for segment in &column.segments {
        let top = bottom + mm(&segment.length, ends);
        for share in [0.1, 0.5, 0.9] {
            let height = bottom + (top - bottom) * share;
            if top - bottom < 0.05 || height <= low || height >= high {
                continue;
            }
            let [bore, outside] = [&segment.bore, &segment.outside].map(|wall| {
                let [from, to] = wall.diameter.each_ref().map(|d| mm(d, ends) / 2.0);
                from + (to - from) * share
            });
            let drawn = walls(&outline, height);
            let cut = broken.contains("side") && drawn.last().is_some_and(|&o| o < outside);
            let near = drawn.len() == 2
                && (drawn[0] - bore).abs() < NEAR
                && (cut || (drawn[1] - outside).abs() < NEAR);
            if !near {
                wrong.push(format!("{} at {height}: {bore} to {outside} is drawn {drawn:?}", item.name));
            }
            compared += 1;
        }
        bottom = top;
    }
    if !broken.contains("top") && (high - bottom).abs() > NEAR {
        wrong.push(format!("{} ends at {high}, not at {bottom}", item.name));
    }
    compared
}

fn drawn(book: &Book, rule: &Rule, stack: &Stack, verdict: Verdict) -> String {
    let numbers: Vec<(ItemIx, usize)> = (0..stack.items.len()).map(|i| (ItemIx(i as u16), i + 1)).collect();
    let why = vec!["The bore is too small.".to_string(); stack.checks.len()];
    let words = DrawWords {
        gap: "Closing gap 2.57 to 4.22 mm; must be 2 to 5 mm",
        clearance: "Smallest clearance across 0.00 to 0.20 mm; must be 0 to 0.40 mm",
        engagement: "Thread engaged 11.80 to 12.20 mm; must be at least 4.73 mm",
        why: &why,
        ..DrawWords::default()
    };
    let input = DrawInput {
        stack,
        rule,
        catalogue: &book.catalogue,
        numbers: &numbers,
        told_ends: &[],
        words,
        id_prefix: "a-",
    };
    if verdict == Verdict::No { why_not(&input) } else { assembled(&input) }
}

fn prove(book: &Book, pairs: &[(String, usize)]) -> usize {
    let strengths = ShopStrengths(&book.shop);
    let mut compared = 0;
    for (fork, system) in pairs {
        let answer = book.bench(&strengths).answer(book.variant(fork), *system);
        let rule = &book.rules[*system];
        let svg = drawn(book, rule, &answer.stack, answer.verdict);
        assert!(svg.len() < 60_000, "{fork} {}: {} bytes", rule.id, svg.len());
        let doc = Document::parse(&svg).unwrap();
        let ends: Vec<Ends> = answer.stack.dims.iter().map(|d| d.ends).collect();
        let mut wrong = vec![];
        for item in answer.stack.items.iter().filter(|i| i.landing.is_some()) {
            let groups = doc.descendants().filter(|n| n.attribute("data-item") == Some(&item.name));
            let groups: Vec<Node> = groups.collect();
            assert!(!groups.is_empty(), "{fork} {}: no {}", rule.id, item.name);
            for column in &item.columns {
                let its = |n: &Node| n.attribute("data-column") == Some(column.name);
                for path in groups.iter().flat_map(|g| g.children()).filter(its) {
                    compared += compare(item, column, path, &ends, &mut wrong);
                }
            }
        }
        assert_eq!(wrong, Vec::<String>::new(), "{fork} {}", rule.id);
    }
    compared
}

#[test]
fn the_metal_drawn_is_where_the_plan_has_it() {
    let book = Book::demo();
    let pairs = [("fork-heron", "wide-shim"), ("fork-moorhen", "locknut")];
    let pairs = pairs.map(|(fork, system)| (fork.to_string(), book.system(system)));
    let compared = prove(&book, &pairs);
    assert!(compared > 120, "{compared}");
}

/// The steerer that has to be sawn off: 255 mm as it was made.
#[test]
fn a_part_that_is_changed_for_good_is_marked_and_the_picture_of_its_change_shows_what_comes_off() {
    let book = Book::demo();
    let strengths = ShopStrengths(&book.shop);
    let system = book.system("wide-shim");
    let answer = book.bench(&strengths).answer(book.variant("fork-curlew"), system);
    let numbers: Vec<_> = (0..answer.stack.items.len()).map(|i| (ItemIx(i as u16), i + 1)).collect();
    let size = answer.changes[0].size.as_ref().unwrap();
    let written = format!("{} mm", size.to as f64 / 1e6);
    let words = DrawWords { changed: "changed for good", changed_size: &written, ..DrawWords::default() };
    let (stack, rule) = (&answer.stack, &book.rules[system]);
    let input = DrawInput {
        stack,
        rule,
        catalogue: &book.catalogue,
        numbers: &numbers,
        told_ends: &[],
        words,
        id_prefix: "a-",
    };
    let fork = &stack.items[0];
    assert_eq!(fork.variant, answer.changes[0].variant);

    for svg in [assembled(&input), exploded(&input)] {
        let doc = Document::parse(&svg).unwrap();
        // One at the number, one at what it says.
        assert_eq!(svg.matches("#sign-changed").count(), 2);
        assert!(doc.descendants().any(|n| n.has_tag_name("text") && n.text() == Some("changed for good")));
    }
    let svg = change(&input, ItemIx(0)).unwrap();
    let doc = Document::parse(&svg).unwrap();
    let drawn = |class: &str| {
        let found = doc.descendants().find(|n| n.attribute("class") == Some(class));
        found.and_then(|n| n.attribute("d")).unwrap_or_else(|| panic!("no {class}"))
    };
    let to = size.to as f64 / 1e6;
    assert!(drawn("cut-line").contains(&format!("-{to}H")), "{}", drawn("cut-line"));
    assert!(drawn("before").contains("-255") && drawn("before").contains(&format!("-{to}")));
    assert!(!drawn("struck-out").is_empty());
    assert!(drawn("dimension").ends_with(&format!("V-{to}")), "{}", drawn("dimension"));
    assert!(doc.descendants().any(|n| n.has_tag_name("text") && n.text() == Some(written.as_str())));
    assert!(change(&input, ItemIx(1)).is_none(), "the crown race is as it was made");
}

#[test]
#[ignore = "a long run: every fork with every system, some minutes"]
fn the_metal_drawn_is_where_the_plan_has_it_for_every_pairing() {
    let book = Book::demo();
    let forks: Vec<String> =
        book.catalogue.of_kind("fork").map(|ix| book.catalogue.part(ix).id.clone()).collect();
    let systems = 0..book.rules.len();
    let pairs: Vec<(String, usize)> =
        systems.flat_map(|s| forks.iter().map(move |fork| (fork.clone(), s))).collect();
    assert!(prove(&book, &pairs) > 50 * pairs.len());
}
