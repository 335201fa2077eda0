//! Whether a drawing can be read: parses the finished SVG back, with the letters' real outlines, and asks that nothing is
//! in the way of anything. Knows no rule by which places were chosen, and nothing of the crate.
#![allow(dead_code, reason = "each proof uses its own share of this")]

use resvg::usvg;
use roxmltree::{Document, Node};
use std::sync::{Arc, OnceLock};

/// Height of capitals over font size of common sans-serif faces (Arial metrics: 1466/2048).
pub const CAPITALS: f64 = 0.716;

pub type Points = Vec<(f64, f64)>;

/// Sub-paths of straight lines (`M`, `m`, `L`, `l`, `H`, `V`, `Z`), with whether each is closed.
pub fn paths(d: &str) -> Vec<(Points, bool)> {
    let mut found: Vec<(Points, bool)> = Vec::new();
    let mut rest = d;
    while let Some(command) = rest.chars().next() {
        let end = rest[1..].find(|c: char| c.is_ascii_alphabetic()).map_or(rest.len(), |at| at + 1);
        let values = numbers(&rest[1..end]);
        rest = &rest[end..];
        if command == 'M' || command == 'm' {
            let from = found.last().filter(|_| command == 'm').map_or((0.0, 0.0), |(points, closed)| {
                assert!(!closed, "a step from a closed line: {d}");
                points[points.len() - 1]
            });
            found.push((vec![(from.0 + values[0], from.1 + values[1])], false));
            continue;
        }
        let (points, closed) = found.last_mut().expect("a path begins with M");
        let (x, y) = *points.last().expect("a point");
        match command {
            'L' => points.push((values[0], values[1])),
            'l' => points.push((x + values[0], y + values[1])),
            'H' => points.push((values[0], y)),
            'V' => points.push((x, values[0])),
            'Z' => *closed = true,
            other => panic!("{other} in {d}"),
        }
    }
    found
}

/// Two segments have a point in common.
fn cross([a, b]: [(f64, f64); 2], [c, d]: [(f64, f64); 2]) -> bool {
    let turn =
        |p: (f64, f64), q: (f64, f64), r: (f64, f64)| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    let (c_side, d_side, a_side, b_side) = (turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b));
    let apart = |p: f64, q: f64| (p > 1e-9 && q > 1e-9) || (p < -1e-9 && q < -1e-9);
    if apart(c_side, d_side) || apart(a_side, b_side) {
        return false;
    }
    let overlap = |p: f64, q: f64, r: f64, s: f64| p.min(q) <= r.max(s) + 1e-9 && r.min(s) <= p.max(q) + 1e-9;
    overlap(a.0, b.0, c.0, d.0) && overlap(a.1, b.1, c.1, d.1)
}

/// What a drawing shrinks by on A6 paper, margins taken off: no more than from A5 to A6, which is one step of the lettering's series.
pub fn on_a6(width: f64, height: f64) -> f64 {
    (95.0 / width).min(138.0 / height).min(1.0)
}

/// A minus sign parts two numbers as a space does.
fn numbers(text: &str) -> Vec<f64> {
    let spaced = text.replace('-', " -");
    spaced.split_whitespace().map(|n| n.parse().expect("a number")).collect()
}

pub fn with_class<'a>(doc: &'a Document, class: &'a str) -> impl Iterator<Item = Node<'a, 'a>> {
    doc.descendants().filter(move |n| n.attribute("class").is_some_and(|c| c.split(' ').any(|w| w == class)))
}

pub type References = (Vec<(f64, f64, f64)>, Vec<[(f64, f64); 2]>);

pub fn references(doc: &Document) -> References {
    let number = |n: Node, name: &str| n.attribute(name).unwrap().parse::<f64>().unwrap();
    let circles = with_class(doc, "number-ring").map(|n| (number(n, "cx"), number(n, "cy"), number(n, "r")));
    let leaders =
        with_class(doc, "leader").flat_map(|n| paths(n.attribute("d").unwrap())).map(|(p, _)| [p[0], p[1]]);
    (circles.collect(), leaders.collect())
}

pub fn distance_to(p: (f64, f64), [a, b]: [(f64, f64); 2]) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let along = (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
    (p.0 - a.0 - along * dx).hypot(p.1 - a.1 - along * dy)
}

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
pub fn check_clear(svg: &str, what: &str) -> usize {
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
    for (i, &line) in leaders.iter().enumerate() {
        for &other in &leaders[..i] {
            assert!(!cross(line, other), "{what}: leaders {line:?} and {other:?} cross");
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
            assert!(clipped || inside, "{what}: a line leaves the sheet: {:?}", path.attribute("class"));
        }
    }
    circles.len() + texts.len()
}

/// Faces are searched for once. Where the usual sans-serif face is not there, a wide one stands for it.
pub fn fonts() -> Arc<usvg::fontdb::Database> {
    static FONTS: OnceLock<Arc<usvg::fontdb::Database>> = OnceLock::new();
    let load = || {
        let mut fonts = usvg::fontdb::Database::new();
        fonts.load_system_fonts();
        let names = |fonts: &usvg::fontdb::Database, name: &str| {
            fonts.faces().any(|face| face.families.iter().any(|f| f.0 == name))
        };
        let known = ["DejaVu Sans", "Arial", "Liberation Sans", "Noto Sans"];
        let found = known.into_iter().find(|name| names(&fonts, name));
        let any = fonts.faces().next().map(|face| face.families[0].0.clone());
        fonts.set_sans_serif_family(found.map(str::to_string).or(any).expect("a font on this machine"));
        Arc::new(fonts)
    };
    FONTS.get_or_init(load).clone()
}

pub fn check_sheet(svg: &str) {
    let doc = Document::parse(svg).unwrap();
    let root = doc.root_element();
    let paper = |name: &str| root.attribute(name).unwrap().trim_end_matches("mm").parse::<f64>().unwrap();
    let view: Vec<f64> = root.attribute("viewBox").unwrap().split(' ').map(|n| n.parse().unwrap()).collect();
    let scale = paper("width") / view[2];
    assert!((scale - paper("height") / view[3]).abs() < 0.001);
    assert!(paper("height") <= 193.5 && paper("width") <= 133.5, "{} {}", paper("width"), paper("height"));
    let mut letters = 0;
    for text in doc.descendants().filter(|n| n.has_tag_name("text")) {
        let size: f64 = text.attribute("font-size").unwrap().parse().unwrap();
        let shrunk = on_a6(paper("width"), paper("height"));
        assert!(size * scale * CAPITALS * shrunk >= 2.49, "{} of {shrunk}", size * scale * CAPITALS);
        letters += 1;
    }
    assert!(letters > 0 && svg.len() < 60_000, "{}", svg.len());
    for node in doc.descendants() {
        let width = node.attribute("stroke-width").map(|w| w.parse::<f64>().unwrap() * scale);
        assert!(width.is_none_or(|w| w > 0.24), "{width:?}");
    }
}

/// Radii of the metal cut by a level line: crossings of the outline, outward.
pub fn radii_at(outline: &Points, height: f64) -> Vec<f64> {
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
