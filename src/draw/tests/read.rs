//! Reads drawings back: outlines, leaders, sheets. Must not know what a test expects of one stack.

use super::super::labels;
use super::super::scene::pt;
use super::super::write::CAPITALS;
use super::super::*;
use super::sample::{Sample, shelf_clamp, wide_shim};
use crate::quantity::Ends;
use roxmltree::{Document, Node};
use std::sync::{Arc, OnceLock};

pub(super) fn samples() -> [(&'static str, Sample); 2] {
    [("wide", wide_shim()), ("shelf", shelf_clamp())]
}

pub(super) type Points = Vec<(f64, f64)>;

/// Sub-paths of straight lines (`M`, `m`, `L`, `l`, `H`, `V`, `Z`), with whether each is closed.
pub(super) fn paths(d: &str) -> Vec<(Points, bool)> {
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

/// What a drawing shrinks by on A6 paper, margins taken off: no more than from A5 to A6, which is one step of the lettering's series.
pub(super) fn on_a6(width: f64, height: f64) -> f64 {
    (95.0 / width).min(138.0 / height).min(1.0)
}

/// A minus sign parts two numbers as a space does.
fn numbers(text: &str) -> Vec<f64> {
    let spaced = text.replace('-', " -");
    spaced.split_whitespace().map(|n| n.parse().expect("a number")).collect()
}

pub(super) fn with_class<'a>(doc: &'a Document, class: &'a str) -> impl Iterator<Item = Node<'a, 'a>> {
    doc.descendants().filter(move |n| n.attribute("class").is_some_and(|c| c.split(' ').any(|w| w == class)))
}

/// Radii of the metal cut by a level line: crossings of the outline, outward.
pub(super) fn radii_at(outline: &Points, height: f64) -> Vec<f64> {
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
pub(super) fn check_geometry(sample: &Sample, svg: &str) -> usize {
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

/// Circles as (x, y, radius), leaders as segments from circle to part.
pub(super) type References = (Vec<(f64, f64, f64)>, Vec<[(f64, f64); 2]>);

pub(super) fn references(doc: &Document) -> References {
    let number = |n: Node, name: &str| n.attribute(name).unwrap().parse::<f64>().unwrap();
    let circles = with_class(doc, "number-ring").map(|n| (number(n, "cx"), number(n, "cy"), number(n, "r")));
    let leaders =
        with_class(doc, "leader").flat_map(|n| paths(n.attribute("d").unwrap())).map(|(p, _)| [p[0], p[1]]);
    (circles.collect(), leaders.collect())
}

pub(super) fn distance_to(p: (f64, f64), [a, b]: [(f64, f64); 2]) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let along = (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
    (p.0 - a.0 - along * dx).hypot(p.1 - a.1 - along * dy)
}

pub(super) fn check_references(svg: &str, count: usize) {
    let doc = Document::parse(svg).unwrap();
    let (circles, leaders) = references(&doc);
    assert_eq!((circles.len(), leaders.len()), (count, count));
    let point = |p: (f64, f64)| pt(p.0, p.1);
    for i in 0..count {
        for j in 0..count {
            let (a, b) = (circles[i], circles[j]);
            if i != j {
                assert!((a.0 - b.0).hypot(a.1 - b.1) > a.2 + b.2, "circles overlap");
                let [p, q] = leaders[i];
                let [r, s] = leaders[j];
                assert!(!labels::cross(point(p), point(q), point(r), point(s)), "leaders cross");
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

/// One picture an item, in placing order.
pub(super) fn steps(sample: &Sample, input: &DrawInput) -> Vec<String> {
    let all: Vec<ItemIx> = (0..sample.stack.items.len() as u16).map(ItemIx).collect();
    all.iter().map(|&now| step(input, &all[..now.0 as usize], now)).collect()
}

pub(super) fn check_sheet(svg: &str) {
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

pub(super) fn with_tag<'a>(doc: &'a Document, tag: &str) -> Node<'a, 'a> {
    doc.descendants().find(|n| n.has_tag_name(tag)).unwrap()
}

/// Every closed outline of cut metal brought back by its lift: item, outline.
pub(super) fn brought_home(doc: &Document) -> Vec<(String, Points)> {
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

/// Faces are searched for once. Where the usual sans-serif face is not there, a wide one stands for it.
pub(super) fn fonts() -> Arc<resvg::usvg::fontdb::Database> {
    static FONTS: OnceLock<Arc<resvg::usvg::fontdb::Database>> = OnceLock::new();
    let load = || {
        let mut fonts = resvg::usvg::fontdb::Database::new();
        fonts.load_system_fonts();
        let names = |fonts: &resvg::usvg::fontdb::Database, name: &str| {
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

pub(super) fn raster(svg: &str, dpi: f32) -> resvg::tiny_skia::Pixmap {
    let options = resvg::usvg::Options { dpi, fontdb: fonts(), ..Default::default() };
    let tree = resvg::usvg::Tree::from_str(svg, &options).unwrap();
    let size = tree.size().to_int_size();
    let mut pixels = resvg::tiny_skia::Pixmap::new(size.width(), size.height()).unwrap();
    pixels.fill(resvg::tiny_skia::Color::WHITE);
    resvg::render(&tree, Default::default(), &mut pixels.as_mut());
    pixels
}
