//! Reads drawings back: outlines, leaders, sheets. Must not know what a test expects of one stack.

pub(super) use super::legible::*;

use super::super::labels;
use super::super::scene::pt;
use super::super::*;
use super::sample::{Sample, shelf_clamp, wide_shim};
use crate::assembly::{Placed, PlacedColumn};
use crate::quantity::Ends;
use roxmltree::{Document, Node};

pub(super) fn samples() -> [(&'static str, Sample); 2] {
    [("wide", wide_shim()), ("shelf", shelf_clamp())]
}

/// Every ring of every item, a quarter and three quarters up, against the drawn outlines.
pub(super) fn check_geometry(sample: &Sample, svg: &str) -> usize {
    let doc = Document::parse(svg).unwrap();
    let ends: Vec<Ends> = sample.stack.dims.iter().map(|d| d.ends).collect();
    let mm = |form: &crate::quantity::Form| form.nominal(&ends) as f64 / 1e6;
    let mut compared = 0;
    for placed in &sample.stack.items {
        // A part that runs through a break is drawn as two pieces, each as far from its place as it says.
        let groups = doc.descendants().filter(|n| n.attribute("data-item") == Some(&placed.name));
        let groups: Vec<Node> = groups.collect();
        assert!(!groups.is_empty(), "{}", placed.name);
        for column in &placed.columns {
            let paths = groups.iter().flat_map(|g| g.children().map(|path| (lift(*g), path)));
            let its = paths.filter(|(_, path)| path.attribute("data-column") == Some(column.name));
            let own: Vec<(f64, Node)> = its.collect();
            assert!(!own.is_empty());
            for (lift, path) in own {
                compared += check_column(placed, column, (lift, path), mm);
            }
        }
    }
    compared
}

fn lift(group: Node) -> f64 {
    group.attribute("data-lift").map_or(0.0, |by| by.parse().unwrap())
}

fn check_column(
    placed: &Placed,
    column: &PlacedColumn,
    (lift, path): (f64, Node),
    mm: impl Fn(&crate::quantity::Form) -> f64,
) -> usize {
    let mut compared = 0;
    let (outline, closed) = paths(path.attribute("d").unwrap()).remove(0);
    assert!(closed);
    let broken = path.attribute("data-broken").unwrap_or("");
    let outline: Points = outline.into_iter().map(|(x, y)| (x, y + lift)).collect();
    let (low, high) = outline.iter().fold((f64::MAX, f64::MIN), |(l, h), p| (l.min(-p.1), h.max(-p.1)));
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
            let (bore, outside) = (at(&segment.bore.diameter) / 2.0, at(&segment.outside.diameter) / 2.0);
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
    compared
}

/// Circles as (x, y, radius), leaders as segments from circle to part.
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

/// Heights to which level arrows point, from the lowest up.
pub(super) fn pointed_at(doc: &Document) -> Vec<f64> {
    let rounded = |y: f64| (1000.0 * y).round() / 1000.0;
    let points = with_class(doc, "arrow").map(|n| rounded(-paths(n.attribute("d").unwrap())[0].0[3].1));
    let mut heights: Vec<f64> = points.collect();
    heights.sort_by(f64::total_cmp);
    heights
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

/// The drawing with what its page shares, as a reader sees it.
pub(super) fn on_its_page(svg: &str) -> String {
    let shared = page_symbols();
    let (from, to) = (shared.find("<defs").unwrap(), shared.find("</svg>").unwrap());
    svg.replacen("</title>", &format!("</title>{}", &shared[from..to]), 1)
}

/// An attribute of a mark, or of what is round it.
pub(super) fn effective<'a>(node: Node<'a, 'a>, name: &str) -> Option<&'a str> {
    node.ancestors().find_map(|n| n.attribute(name))
}

/// How a part is hatched as drawn, from its group: rising or not, and the pitch on paper.
pub(super) fn hatching(group: Node, scale: f64) -> Option<(bool, f64)> {
    let own = group.children().find(|n| n.attribute("class").is_some_and(|c| c.starts_with("hatch")))?;
    if let Some(own) = own.first_element_child() {
        let field = own.attribute("href")?;
        let (index, way) = field.strip_prefix("#hatch-")?.split_once('-')?;
        let shown =
            own.attribute("width")?.parse::<f64>().unwrap() * scale / super::super::symbols::FIELD.width();
        assert!((shown - 1.0).abs() < 0.001, "a field is shown as large as it is: {shown}");
        return Some((way == "rising", super::super::hatch::PITCHES[index.parse::<usize>().unwrap() - 1]));
    }
    let rising = own.attribute("class")?.contains("rising");
    let slope = if rising { 1.0 } else { -1.0 };
    let lines = paths(own.attribute("d")?);
    let mut offsets: Vec<f64> = lines.iter().map(|(p, _)| -p[0].1 - slope * p[0].0).collect();
    offsets.sort_by(f64::total_cmp);
    let steps = offsets.windows(2).map(|w| w[1] - w[0]).filter(|s| *s > 0.1);
    let pitch = steps.fold(f64::MAX, f64::min) * scale / std::f64::consts::SQRT_2;
    (pitch < 100.0).then_some((rising, pitch))
}

pub(super) fn raster(svg: &str, dpi: f32) -> resvg::tiny_skia::Pixmap {
    let svg = &on_its_page(svg);
    let options = resvg::usvg::Options { dpi, fontdb: fonts(), ..Default::default() };
    let tree = resvg::usvg::Tree::from_str(svg, &options).unwrap();
    let size = tree.size().to_int_size();
    let mut pixels = resvg::tiny_skia::Pixmap::new(size.width(), size.height()).unwrap();
    pixels.fill(resvg::tiny_skia::Color::WHITE);
    resvg::render(&tree, Default::default(), &mut pixels.as_mut());
    pixels
}
