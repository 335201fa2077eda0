//! A fork's upgrade map: clamp systems as boxes one below the other, changes as lines beside them with their cost.
//! Right of the boxes the lines lead down, left of them up. Black on white: verdicts are told by shape and word.
//! Must not know what a change is made of.

use super::write::{element, number, push, text_element};
use svg::node::element::Element;

/// Which shape stands for a verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MapShape {
    Goes,
    Measure,
    No,
    Unsettled,
    /// Each revision has an answer of its own.
    Depends,
}

#[derive(Clone, Debug, PartialEq)]
pub struct MapNode {
    pub name: String,
    pub verdict: String,
    pub shape: MapShape,
    /// Where the box leads to; relative to the page.
    pub href: String,
}

/// A change from one node to another, by index.
#[derive(Clone, Debug, PartialEq)]
pub struct MapEdge {
    pub from: usize,
    pub to: usize,
    pub cost: String,
    /// Other bars as well: drawn dashed.
    pub bars_too: bool,
    pub href: String,
}

#[derive(Clone, Debug, PartialEq)]
pub struct UpgradeMap {
    pub title: String,
    pub nodes: Vec<MapNode>,
    pub edges: Vec<MapEdge>,
}

const BOX_WIDTH: f64 = 190.0;
/// A cost of size 12 stands between two.
const PORT: f64 = 16.0;
const BOX_LEAST: f64 = 58.0;
const BETWEEN: f64 = 34.0;
/// Between boxes that no line passes.
const APART: f64 = 12.0;
const LANE: f64 = 10.0;
const MARGIN: f64 = 6.0;

/// A line with its place found.
struct Laid<'m> {
    edge: &'m MapEdge,
    start: f64,
    end: f64,
    lane: usize,
}

/// A whole `<svg>` element; its unit is a CSS pixel.
pub fn upgrade_map(map: &UpgradeMap, id: &str) -> String {
    let tops = tops(map);
    let (down, up) = (laid(map, &tops, true), laid(map, &tops, false));
    let lanes = |laid: &[Laid]| laid.iter().map(|l| l.lane + 1).max().unwrap_or(0) as f64;
    let left = MARGIN + band(&up) + lanes(&up) * LANE;
    let width = left + BOX_WIDTH + band(&down) + lanes(&down) * LANE + MARGIN;
    let high = tops.last().map_or(0.0, |t| t.0 + t.1) + MARGIN;
    let (title_id, size) = (format!("{id}-title"), [0.0, 0.0, width, high].map(number).join(" "));
    let mut root = element(
        "svg",
        &[
            ("xmlns", "http://www.w3.org/2000/svg"),
            ("class", "upgrade-map"),
            ("viewBox", &size),
            ("width", &number(width)),
            ("height", &number(high)),
            ("role", "group"),
            ("aria-labelledby", &title_id),
            ("fill", "none"),
            ("font-family", "Arial, Liberation Sans, Helvetica, sans-serif"),
            ("font-size", "13"),
        ],
    );
    push(&mut root, text_element("title", &[("id", &title_id)], &map.title));
    for (lines, side, direction) in [(&down, left + BOX_WIDTH, 1.0), (&up, left, -1.0)] {
        for line in lines {
            push(&mut root, drawn(line, side, direction, band(lines)));
        }
    }
    for (node, &(top, height)) in map.nodes.iter().zip(&tops) {
        push(&mut root, boxed(node, left, top, height));
    }
    root.to_string()
}

/// Top and height of each box: high enough for the lines that meet on its fuller side.
fn tops(map: &UpgradeMap) -> Vec<(f64, f64)> {
    let mut next = MARGIN;
    let mut found = vec![];
    for node in 0..map.nodes.len() {
        let meet = |right: bool| {
            map.edges.iter().filter(|e| (e.to > e.from) == right && (e.from == node || e.to == node)).count()
        };
        let height = BOX_LEAST.max((meet(true).max(meet(false)) + 1) as f64 * PORT);
        found.push((next, height));
        let led_to_next = map.edges.iter().any(|e| e.from.min(e.to) <= node && e.from.max(e.to) > node);
        next += height + if led_to_next { BETWEEN } else { APART };
    }
    found
}

/// The lines of one side. On each box those from above meet over those that lead on below, so that none cross there;
/// short lines run nearest to the boxes, and lines that do not pass each other share a lane.
fn laid<'m>(map: &'m UpgradeMap, tops: &[(f64, f64)], right: bool) -> Vec<Laid<'m>> {
    let mut edges: Vec<&MapEdge> = map.edges.iter().filter(|e| (e.to > e.from) == right).collect();
    let ends = |e: &MapEdge| (e.from.min(e.to), e.from.max(e.to));
    edges.sort_by_key(|e| (ends(e).1 - ends(e).0, ends(e).0));
    let port = |node: usize, edge: &MapEdge| {
        let mut here: Vec<&&MapEdge> = edges.iter().filter(|e| e.from == node || e.to == node).collect();
        // From above: nearest first; to below: farthest first.
        here.sort_by_key(|e| {
            let (high, low) = ends(e);
            if low == node { (0, node - high) } else { (1, map.nodes.len() - (low - node)) }
        });
        let place = here.iter().position(|e| std::ptr::eq(**e, edge)).unwrap_or(0);
        let step = tops[node].1 / (here.len() + 1) as f64;
        tops[node].0 + step * (place + 1) as f64
    };
    let mut found: Vec<Laid> = vec![];
    for &edge in &edges {
        let (start, end) = (port(edge.from, edge), port(edge.to, edge));
        let (high, low) = (start.min(end), start.max(end));
        let free = |lane: &usize| {
            found
                .iter()
                .filter(|l| l.lane == *lane)
                .all(|l| l.start.max(l.end) < high || l.start.min(l.end) > low)
        };
        // Never further in than a line that this one reaches around.
        let around = found.iter().filter(|l| l.start.min(l.end) < low && l.start.max(l.end) > high);
        let least = around.map(|l| l.lane + 1).max().unwrap_or(0);
        let lane = (least..).find(free).unwrap_or(least);
        found.push(Laid { edge, start, end, lane });
    }
    found
}

/// Room of a cost: a letter of size 12 is seldom wider than 7.
fn room(cost: &str) -> f64 {
    7.0 * cost.chars().count() as f64
}

/// Between the boxes and the first lane: each cost stands there, level, over the beginning of its line.
fn band(lines: &[Laid]) -> f64 {
    lines.iter().map(|l| room(&l.edge.cost) + 2.0 * BESIDE).fold(0.0, f64::max)
}

/// From a box to a cost, and from a line up to it.
const BESIDE: f64 = 5.0;
const OVER: f64 = 3.5;

fn drawn(line: &Laid, side: f64, direction: f64, band: f64) -> Element {
    let x = side + direction * (band + line.lane as f64 * LANE);
    let path = format!(
        "M{} {}H{}V{}H{}",
        number(side),
        number(line.start),
        number(x),
        number(line.end),
        number(side + direction * 7.0)
    );
    let mut group = element("a", &[("href", &line.edge.href), ("class", "map-edge")]);
    let mut stroke = element("path", &[("d", &path), ("stroke", "#000"), ("stroke-width", "1.4")]);
    if line.edge.bars_too {
        stroke.get_attributes_mut().insert("stroke-dasharray".into(), "5 3".into());
    }
    push(&mut group, stroke);
    let tip =
        format!("M{} {}l{} -4v8z", number(side + direction * 0.8), number(line.end), number(direction * 8.0));
    push(&mut group, element("path", &[("d", &tip), ("fill", "#000")]));
    let at = [number(side + direction * BESIDE), number(line.start - OVER)];
    let anchor = if direction > 0.0 { "start" } else { "end" };
    let cost = [
        ("x", at[0].as_str()),
        ("y", &at[1]),
        ("text-anchor", anchor),
        ("font-size", "12"),
        ("fill", "#000"),
    ];
    push(&mut group, text_element("text", &cost, &line.edge.cost));
    group
}

fn boxed(node: &MapNode, left: f64, top: f64, height: f64) -> Element {
    let mut group = element("a", &[("href", &node.href), ("class", "map-node")]);
    let (x, y, w, h) = (number(left), number(top), number(BOX_WIDTH), number(height));
    let mut frame = element(
        "rect",
        &[
            ("x", &x),
            ("y", &y),
            ("width", &w),
            ("height", &h),
            ("rx", "3"),
            ("fill", "#fff"),
            ("stroke", "#000"),
        ],
    );
    let (width, dashes) = match node.shape {
        MapShape::Goes => ("3", ""),
        MapShape::Measure => ("2", "7 4"),
        MapShape::No => ("1", ""),
        MapShape::Unsettled => ("1", "2 3"),
        MapShape::Depends => ("2", "12 3 2 3"),
    };
    frame.get_attributes_mut().insert("stroke-width".into(), width.into());
    if !dashes.is_empty() {
        frame.get_attributes_mut().insert("stroke-dasharray".into(), dashes.into());
    }
    push(&mut group, frame);
    let middle = top + height / 2.0;
    push(&mut group, mark(node.shape, left + 10.0, middle - 12.0));
    let text_x = number(left + 42.0);
    let name =
        [("x", text_x.as_str()), ("y", &number(middle - 5.0)), ("fill", "#000"), ("font-weight", "bold")];
    push(&mut group, text_element("text", &name, &node.name));
    for (line, words) in in_lines(&node.verdict).iter().enumerate() {
        let y = number(middle + 11.0 + 13.0 * line as f64);
        let at = [("x", text_x.as_str()), ("y", &y), ("fill", "#000"), ("font-size", "12")];
        push(&mut group, text_element("text", &at, words));
    }
    group
}

/// At most two lines, broken at a space.
fn in_lines(text: &str) -> Vec<&str> {
    const FITS: usize = 23;
    if text.chars().count() <= FITS {
        return vec![text];
    }
    let limit = text.char_indices().nth(FITS).map_or(text.len(), |(at, _)| at);
    match text[..limit].rfind(' ') {
        Some(at) => vec![&text[..at], &text[at + 1..]],
        None => vec![text],
    }
}

/// A peg and its socket: seated, still to be measured, stuck above it; an empty socket where nothing is settled, a peg in two
/// halves, one seated and one not, where it depends.
fn mark(shape: MapShape, x: f64, y: f64) -> Element {
    let at = format!("translate({} {})", number(x), number(y));
    let mut group = element("g", &[("transform", &at), ("stroke", "#000"), ("stroke-width", "2.2")]);
    let mut put = |d: &str, more: &[(&str, &str)]| {
        push(&mut group, element("path", &[&[("d", d)], more].concat()));
    };
    match shape {
        MapShape::Goes => {
            put("M2 9h5v8h10V9h5v12H2z", &[]);
            put("M10 3h4v12h-4z", &[("fill", "#000"), ("stroke", "none")]);
        }
        MapShape::Measure => {
            put("M2 13h5v4h10v-4h5v8H2z", &[]);
            put("M9.5 3h5v11h-5z", &[("stroke-dasharray", "3 2"), ("stroke-width", "1.8")]);
        }
        MapShape::No => {
            put("M2 13h5v5h10v-5h5v8H2z", &[]);
            put("M5.5 3h13v7h-13z", &[("fill", "#000"), ("stroke", "none")]);
        }
        MapShape::Unsettled => put("M2 9h5v8h10V9h5v12H2z", &[("stroke-dasharray", "2 2.5")]),
        MapShape::Depends => {
            put("M2 11h5v7h10v-7h5v10H2z", &[]);
            put("M8 5h3v11H8z", &[("fill", "#000"), ("stroke", "none")]);
            put("M14 2h4v6h-4z", &[("stroke-width", "1.8")]);
        }
    }
    group
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_goes_through_a_cost_of_a_map_of_five() {
        let nodes: Vec<MapNode> = (0..5)
            .map(|n| MapNode {
                name: format!("System {n}"),
                verdict: "Goes".into(),
                shape: MapShape::Goes,
                href: String::new(),
            })
            .collect();
        let pairs = (0..5).flat_map(|from| (0..5).map(move |to| (from, to))).filter(|(a, b)| a != b);
        let edges = pairs.map(|(from, to)| MapEdge {
            from,
            to,
            cost: "€112.50".into(),
            bars_too: true,
            href: String::new(),
        });
        let map = UpgradeMap { title: String::new(), nodes, edges: edges.collect() };
        let tops = tops(&map);
        for right in [true, false] {
            let lines = laid(&map, &tops, right);
            for line in &lines {
                // Capitals of size 12 are 9 high.
                let own = line.start - OVER - 9.0..line.start;
                let level = lines.iter().flat_map(|o| [o.start, o.end]);
                assert_eq!(level.filter(|y| own.contains(y)).count(), 0, "{:?}", line.edge);
                assert!(room(&line.edge.cost) < band(&lines), "no upright line is nearer");
            }
        }
    }
}
