//! A scene as SVG text: one user unit is one millimetre on the real part, y = minus the height.
//! Styles are classes with plain black-on-white defaults that any style sheet overrides. Must not know parts.

use super::scene::{Fill, Line, Mark, NARROW, Pen, Scene, Sheet, WIDE};
use super::{DrawInput, DrawWords};
use svg::node::Text;
use svg::node::element::Element;

/// Height of capitals over font size of common sans-serif faces (Arial metrics: 1466/2048).
pub(super) const CAPITALS: f64 = 0.716;
/// Distance, in millimetres, that a printed number may be off by rounding: numbers carry three decimals.
const DECIMALS: f64 = 1000.0;
/// What nobody measures carries two.
const COARSE: f64 = 100.0;

pub(super) fn svg(scene: &Scene, input: &DrawInput) -> String {
    svg_of(scene, &input.words, input.id_prefix)
}

pub(super) fn svg_of(scene: &Scene, words: &DrawWords, id_prefix: &str) -> String {
    let (frame, scale) = (scene.sheet.frame, scene.sheet.scale);
    let view = [frame.left, -frame.high, frame.width(), frame.height()].map(number).join(" ");
    let title_id = format!("{}title", id_prefix);
    let desc_id = format!("{}desc", id_prefix);
    let mut root = element(
        "svg",
        &[
            ("xmlns", "http://www.w3.org/2000/svg"),
            ("class", "drawing"),
            ("data-drawing", scene.drawing),
            ("data-unit", "mm"),
            ("data-height-axis", "-y"),
            ("data-radius-axis", "x"),
            ("data-zero", "crown-race-seat"),
            ("data-scale", &number(scale)),
            ("viewBox", &view),
            ("width", &format!("{}mm", number(frame.width() * scale))),
            ("height", &format!("{}mm", number(frame.height() * scale))),
            ("role", "img"),
            ("aria-labelledby", &format!("{title_id} {desc_id}")),
            ("fill", "none"),
            ("stroke", "none"),
            ("stroke-width", &number(scene.sheet.printed(NARROW))),
            ("stroke-linecap", "round"),
            ("stroke-linejoin", "round"),
            ("font-family", "Arial, Liberation Sans, Helvetica, sans-serif"),
        ],
    );
    push(&mut root, text_element("title", &[("id", &title_id)], words.title));
    let mut description = words.description.to_string();
    for line in words.reading_order {
        description.push('\n');
        description.push_str(line);
    }
    push(&mut root, text_element("desc", &[("id", &desc_id)], &description));
    for mark in scene.marks.iter().filter_map(|m| node(m, scene.sheet, id_prefix)) {
        push(&mut root, mark);
    }
    root.to_string()
}

/// Three decimals at most, no trailing zeros, never `-0`.
pub(super) fn number(value: f64) -> String {
    thousandths((value * DECIMALS).round() as i64)
}

fn thousandths(units: i64) -> String {
    let sign = if units < 0 { "-" } else { "" };
    let (whole, rest) = (units.unsigned_abs() / 1000, units.unsigned_abs() % 1000);
    let text = format!("{sign}{whole}.{rest:03}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

pub(super) fn element(name: &str, attributes: &[(&str, &str)]) -> Element {
    let mut element = Element::new(name);
    for (name, value) in attributes {
        element.get_attributes_mut().insert((*name).to_string(), clean(value).into());
    }
    element
}

pub(super) fn text_element(name: &str, attributes: &[(&str, &str)], text: &str) -> Element {
    let mut element = element(name, attributes);
    element.get_children_mut().push(Box::new(Text::new(clean(text))));
    element
}

pub(super) fn push(parent: &mut Element, child: Element) {
    parent.get_children_mut().push(Box::new(child));
}

/// Control characters are not allowed in XML: each becomes a space (line ends stay).
fn clean(text: &str) -> String {
    let allowed = |c: char| c == '\n' || !(c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}'));
    text.chars().map(|c| if allowed(c) { c } else { ' ' }).collect()
}

fn node(mark: &Mark, sheet: Sheet, prefix: &str) -> Option<Element> {
    match mark {
        Mark::Path { lines, .. } if lines.is_empty() => None,
        Mark::Path { class, lines, pen, fill, facts } => {
            let mut path = element("path", &[("class", class), ("d", &path_data(class, lines))]);
            style(&mut path, *pen, *fill, sheet);
            add_facts(&mut path, facts);
            Some(path)
        }
        Mark::Circle { class, centre, radius, pen, fill } => {
            let (cx, cy, r) = (number(centre.x), number(-centre.y), number(*radius));
            let mut circle = element("circle", &[("class", class), ("cx", &cx), ("cy", &cy), ("r", &r)]);
            style(&mut circle, *pen, *fill, sheet);
            Some(circle)
        }
        Mark::Text { class, at, height, start, upright, text } => {
            let (x, y, size) = (number(at.x), number(-at.y), number(height / CAPITALS));
            let anchor = if *start { "start" } else { "middle" };
            let facts =
                [("class", *class), ("x", &x), ("y", &y), ("font-size", &size), ("text-anchor", anchor)];
            let mut words = text_element("text", &facts, text);
            if *upright {
                words.get_attributes_mut().insert("transform".into(), format!("rotate(-90 {x} {y})").into());
            }
            style(&mut words, Pen::None, Fill::Ink, sheet);
            Some(words)
        }
        Mark::Group { class, facts, marks } => {
            let mut group = element("g", &[("class", class)]);
            add_facts(&mut group, facts);
            let inner: Vec<Element> = marks.iter().filter_map(|m| node(m, sheet, prefix)).collect();
            let empty = inner.is_empty();
            inner.into_iter().for_each(|mark| push(&mut group, mark));
            (!empty).then_some(group)
        }
        Mark::Clipped { name, class, centre, radius, marks } => {
            let id = format!("{prefix}clip-{name}");
            let mut clip = element("clipPath", &[("id", &id)]);
            let (cx, cy, r) = (number(centre.x), number(-centre.y), number(*radius));
            push(&mut clip, element("circle", &[("cx", &cx), ("cy", &cy), ("r", &r)]));
            let mut shown = element("g", &[("clip-path", &format!("url(#{id})"))]);
            marks.iter().filter_map(|m| node(m, sheet, prefix)).for_each(|mark| push(&mut shown, mark));
            let mut group = element("g", &[("class", class)]);
            push(&mut group, clip);
            push(&mut group, shown);
            Some(group)
        }
    }
}

fn add_facts(element: &mut Element, facts: &[(&'static str, String)]) {
    for (name, value) in facts {
        element.get_attributes_mut().insert((*name).to_string(), clean(value).into());
    }
}

fn style(element: &mut Element, pen: Pen, fill: Fill, sheet: Sheet) {
    let attributes = element.get_attributes_mut();
    let mut set = |name: &str, value: String| {
        attributes.insert(name.to_string(), value.into());
    };
    match fill {
        Fill::None => {}
        Fill::Paper => set("fill", "#fff".into()),
        Fill::Ink => set("fill", "#000".into()),
    }
    let Some(width) = width(pen) else { return };
    set("stroke", if matches!(pen, Pen::Halo | Pen::Clear) { "#fff" } else { "#000" }.into());
    // The narrow width is the drawing's own.
    if width != NARROW {
        set("stroke-width", number(sheet.printed(width)));
    }
    let dashes: &[f64] = match pen {
        Pen::Chain => &[6.0, 1.0, 0.4, 1.0],
        Pen::Hidden => &[2.0, 1.0],
        _ => return,
    };
    set("stroke-dasharray", dashes.iter().map(|&d| number(sheet.printed(d))).collect::<Vec<_>>().join(" "));
}

fn width(pen: Pen) -> Option<f64> {
    match pen {
        Pen::None => None,
        Pen::Wide => Some(WIDE),
        Pen::Narrow | Pen::Chain | Pen::Hidden => Some(NARROW),
        Pen::Bold => Some(1.4 * WIDE),
        Pen::Halo => Some(1.5 * WIDE),
        Pen::Clear => Some(1.2 * WIDE),
    }
}

/// Straight lines. Of cut metal, which others check, all corners stand as `M x yL x y…`; elsewhere each step is written
/// the shortest way.
fn path_data(class: &str, lines: &[Line]) -> String {
    let plain = class.starts_with("metal");
    let coarse =
        ["hatch", "knurl", "edge", "face", "break", "thread", "axis"].iter().any(|c| class.starts_with(c));
    let round = if coarse { COARSE } else { DECIMALS };
    let mut data = String::new();
    let mut before: Option<[i64; 2]> = None;
    for line in lines {
        let mut pen: Option<[i64; 2]> = None;
        for point in &line.points {
            let to = [point.x, -point.y].map(|v| (v * round).round() as i64 * (DECIMALS / round) as i64);
            data.push_str(&match pen {
                None if plain => format!("M{} {}", thousandths(to[0]), thousandths(to[1])),
                Some(_) if plain => format!("L{} {}", thousandths(to[0]), thousandths(to[1])),
                None => before.map_or_else(|| format!("M{}", pair(to)), |from| either('M', from, to)),
                Some(from) => shortest(from, to),
            });
            pen = Some(to);
        }
        // A closed line leaves the pen where it began.
        before = if line.closed { None } else { pen };
        if line.closed {
            data.push('Z');
        }
    }
    data
}

fn pair([x, y]: [i64; 2]) -> String {
    let (x, y) = (thousandths(x), thousandths(y));
    if y.starts_with('-') { format!("{x}{y}") } else { format!("{x} {y}") }
}

/// Level, upright, or a step that is told absolutely or from where the pen is.
fn shortest(from: [i64; 2], to: [i64; 2]) -> String {
    if from[1] == to[1] {
        return format!("H{}", thousandths(to[0]));
    }
    if from[0] == to[0] {
        return format!("V{}", thousandths(to[1]));
    }
    either('L', from, to)
}

fn either(command: char, from: [i64; 2], to: [i64; 2]) -> String {
    let step = pair([to[0] - from[0], to[1] - from[1]]);
    let there = pair(to);
    if step.len() < there.len() {
        format!("{}{step}", command.to_ascii_lowercase())
    } else {
        format!("{command}{there}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_three_decimals_at_most_and_no_minus_zero() {
        assert_eq!(number(-0.0004), "0");
        assert_eq!(number(28.575), "28.575");
        assert_eq!(number(-12.5), "-12.5");
        assert_eq!(number(100.0), "100");
        assert_eq!(number(0.0996), "0.1");
    }

    #[test]
    fn control_characters_become_spaces() {
        assert_eq!(clean("a\u{0}b\u{1b}c\nd"), "a b c\nd");
    }
}
