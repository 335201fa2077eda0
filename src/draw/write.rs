//! A scene as SVG text: one user unit is one millimetre on the real part, y = minus the height.
//! Styles are classes with plain black-on-white defaults that any style sheet overrides. Must not know parts.

use super::hatch::{self, Hatch};
use super::scene::{Fill, Line, Mark, NARROW, Pen, Scene, Sheet};
use super::style::Inherited;
use super::symbols::{self, FIELD};
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
            ("text-anchor", "middle"),
            ("font-family", "Arial,Liberation Sans,Helvetica,sans-serif"),
        ],
    );
    push(&mut root, text_element("title", &[("id", &title_id)], words.title));
    let mut description = words.description.to_string();
    for line in words.reading_order {
        description.push('\n');
        description.push_str(line);
    }
    push(&mut root, text_element("desc", &[("id", &desc_id)], &description));
    let mut pencil = Pencil { sheet: scene.sheet, prefix: id_prefix, clips: 0 };
    let around = Inherited::at_root().shared(&mut root, &scene.marks, scene.sheet);
    for mark in scene.marks.iter().flat_map(|m| pencil.node(m, around)) {
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

/// Writes the marks of one drawing, back to front.
struct Pencil<'a> {
    sheet: Sheet,
    prefix: &'a str,
    /// Outlines that hatching was clipped by so far.
    clips: usize,
}

impl Pencil<'_> {
    fn node(&mut self, mark: &Mark, around: Inherited) -> Vec<Element> {
        let sheet = self.sheet;
        match mark {
            Mark::Path { lines, .. } if lines.is_empty() => Vec::new(),
            Mark::Path { class, lines, pen, fill, facts } => {
                let mut path = element("path", &[("class", class), ("d", &path_data(class, lines))]);
                around.style(&mut path, *pen, *fill, sheet);
                add_facts(&mut path, facts);
                vec![path]
            }
            Mark::Hatched { class, outlines, hatch } => self.hatched(class, outlines, *hatch, around),
            Mark::Circle { class, centre, radius, pen, fill } => {
                let (cx, cy, r) = (number(centre.x), number(-centre.y), number(*radius));
                let mut circle = element("circle", &[("class", class), ("cx", &cx), ("cy", &cy), ("r", &r)]);
                around.style(&mut circle, *pen, *fill, sheet);
                vec![circle]
            }
            Mark::Text { .. } => vec![text(mark, sheet, around)],
            Mark::Sign { class, symbol, at, turn } => {
                let (x, y) = (number(at.x), number(-at.y));
                let turn = if *turn == 0.0 { String::new() } else { format!("rotate({})", number(*turn)) };
                let to = format!("translate({x} {y}){turn}scale({})", number(sheet.printed(1.0)));
                vec![element("use", &[("class", class), ("href", &format!("#{symbol}")), ("transform", &to)])]
            }
            Mark::Group { class, facts, marks } => {
                let mut group = element("g", &[("class", class)]);
                add_facts(&mut group, facts);
                let own = around.shared(&mut group, marks, sheet);
                let inner: Vec<Element> = marks.iter().flat_map(|m| self.node(m, own)).collect();
                let empty = inner.is_empty();
                inner.into_iter().for_each(|mark| push(&mut group, mark));
                if empty { Vec::new() } else { vec![group] }
            }
            Mark::Clipped { name, class, centre, radius, marks } => {
                let id = format!("{}clip-{name}", self.prefix);
                let (cx, cy, r) = (number(centre.x), number(-centre.y), number(*radius));
                let mut clip = element("clipPath", &[("id", &id)]);
                push(&mut clip, element("circle", &[("cx", &cx), ("cy", &cy), ("r", &r)]));
                let mut shown = element("g", &[("clip-path", &format!("url(#{id})"))]);
                let own = around.shared(&mut shown, marks, sheet);
                let inner: Vec<Element> = marks.iter().flat_map(|m| self.node(m, own)).collect();
                inner.into_iter().for_each(|mark| push(&mut shown, mark));
                let mut group = element("g", &[("class", class)]);
                push(&mut group, clip);
                push(&mut group, shown);
                vec![group]
            }
        }
    }

    /// The page's own field of this hatching, clipped by the outlines. Few lines are shorter written out; so are those
    /// of a hatching or of a place that no field has.
    fn hatched(&mut self, class: &str, outlines: &[Line], hatch: Hatch, around: Inherited) -> Vec<Element> {
        let pitch = self.sheet.printed(hatch.pitch);
        let lines: Vec<Line> =
            outlines.iter().flat_map(|o| hatch::lines(&o.points, hatch.rising, pitch)).collect();
        if lines.is_empty() {
            return Vec::new();
        }
        let (data, outline) = (path_data("hatch", &lines), path_data("edge", outlines));
        let mut drawn = Vec::new();
        let own = match symbols::field(hatch).filter(|_| self.in_field(outlines)) {
            Some(field) if data.len() > outline.len() + CLIPPED => {
                self.clips += 1;
                let id = format!("{}h{}", self.prefix, self.clips);
                let mut clip = element("clipPath", &[("id", &id)]);
                push(&mut clip, element("path", &[("d", &outline)]));
                drawn.push(clip);
                let part = |paper: f64| number(self.sheet.printed(paper));
                let (field, clip) = (format!("#{field}"), format!("url(#{id})"));
                let (x, y) = (part(FIELD.left), part(-FIELD.high));
                let (width, height) = (part(FIELD.width()), part(FIELD.height()));
                let mut shown = element("use", &[("href", &field), ("x", &x), ("y", &y)]);
                for (name, value) in [("width", width), ("height", height)] {
                    shown.get_attributes_mut().insert(name.to_string(), value.into());
                }
                // Clipped from round it: to some renderers a `use` moved by x and y moves its own clip path, too.
                let mut own = element("g", &[("class", class), ("clip-path", &clip)]);
                push(&mut own, shown);
                own
            }
            _ => element("path", &[("class", class), ("d", &data)]),
        };
        drawn.push(own);
        if let Some(own) = drawn.last_mut() {
            around.style(own, Pen::Narrow, Fill::None, self.sheet);
        }
        drawn
    }

    fn in_field(&self, outlines: &[Line]) -> bool {
        let points = outlines.iter().flat_map(|o| &o.points);
        let paper = |v: f64| v * self.sheet.scale;
        points.into_iter().all(|p| {
            let (x, y) = (paper(p.x), paper(p.y));
            x > FIELD.left && x < FIELD.right && y > FIELD.low && y < FIELD.high
        })
    }
}

/// Characters that hatching by a clipped field takes besides its outline.
const CLIPPED: usize = 150;

fn text(mark: &Mark, sheet: Sheet, around: Inherited) -> Element {
    let Mark::Text { class, at, height, start, upright, text } = mark else { return element("text", &[]) };
    let (x, y) = (number(at.x), number(-at.y));
    let mut words = text_element("text", &[("class", class), ("x", &x), ("y", &y)], text);
    let mut set = |name: &str, value: String| {
        words.get_attributes_mut().insert(name.to_string(), value.into());
    };
    set("font-size", number(height / CAPITALS));
    if *start {
        set("text-anchor", "start".into());
    }
    if *upright {
        set("transform", format!("rotate(-90 {x} {y})"));
    }
    around.style(&mut words, Pen::None, Fill::Ink, sheet);
    words
}

fn add_facts(element: &mut Element, facts: &[(&'static str, String)]) {
    for (name, value) in facts {
        element.get_attributes_mut().insert((*name).to_string(), clean(value).into());
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

/// Without the zero before the point, which no number needs.
fn short(units: i64) -> String {
    let text = thousandths(units);
    match (text.strip_prefix("0."), text.strip_prefix("-0.")) {
        (Some(rest), _) => format!(".{rest}"),
        (_, Some(rest)) => format!("-.{rest}"),
        _ => text,
    }
}

fn pair([x, y]: [i64; 2]) -> String {
    let (x, y) = (short(x), short(y));
    if y.starts_with('-') { format!("{x}{y}") } else { format!("{x} {y}") }
}

/// Level, upright, or a step that is told absolutely or from where the pen is.
fn shortest(from: [i64; 2], to: [i64; 2]) -> String {
    if from[1] == to[1] {
        return format!("H{}", short(to[0]));
    }
    if from[0] == to[0] {
        return format!("V{}", short(to[1]));
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
