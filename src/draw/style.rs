//! Pens and fills as SVG attributes. What most marks of a group have stands once on the group. Must not know shapes.

use super::scene::{Fill, Mark, NARROW, Pen, Sheet, WIDE};
use super::write::number;
use svg::node::element::Element;

const INK: &str = "#000";
const PAPER: &str = "#fff";
const NONE: &str = "none";

/// What a mark has without writing it, because something round it says so.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Inherited {
    stroke: &'static str,
    /// On paper.
    width: f64,
}

impl Inherited {
    /// What a drawing says at its root, besides these.
    pub fn at_root() -> Inherited {
        Inherited { stroke: NONE, width: NARROW }
    }

    /// What most of the marks in a group have; written on the group where that differs.
    pub fn shared(self, group: &mut Element, marks: &[Mark], sheet: Sheet) -> Inherited {
        let pens: Vec<Pen> = marks.iter().filter_map(pen).collect();
        let inked: Vec<f64> = pens.iter().filter(|&&p| stroke(p) == INK).filter_map(|&p| width(p)).collect();
        let mut own = self;
        if 2 * inked.len() > pens.len() {
            own.stroke = INK;
            let most = inked.iter().copied().max_by_key(|&w| inked.iter().filter(|&&o| o == w).count());
            own.width = most.unwrap_or(self.width);
        }
        if own.stroke != self.stroke {
            set(group, "stroke", own.stroke.into());
        }
        if own.width != self.width {
            set(group, "stroke-width", number(sheet.printed(own.width)));
        }
        own
    }

    pub fn style(self, element: &mut Element, pen: Pen, fill: Fill, sheet: Sheet) {
        match fill {
            Fill::None => {}
            Fill::Paper => set(element, "fill", PAPER.into()),
            Fill::Ink => set(element, "fill", INK.into()),
        }
        if stroke(pen) != self.stroke {
            set(element, "stroke", stroke(pen).into());
        }
        if let Some(width) = width(pen).filter(|&w| w != self.width) {
            set(element, "stroke-width", number(sheet.printed(width)));
        }
        // A halo goes round a wall, not over it: the thinner the wall, the more would be lost.
        if pen == Pen::Halo {
            set(element, "paint-order", "stroke".into());
        }
        let dashes: &[f64] = match pen {
            Pen::Chain => &[6.0, 1.0, 0.4, 1.0],
            Pen::Phantom => &[6.0, 1.0, 0.4, 1.0, 0.4, 1.0],
            Pen::Hidden => &[2.0, 1.0],
            _ => return,
        };
        let dashes: Vec<String> = dashes.iter().map(|&d| number(sheet.printed(d))).collect();
        set(element, "stroke-dasharray", dashes.join(" "));
    }
}

fn set(element: &mut Element, name: &str, value: String) {
    element.get_attributes_mut().insert(name.to_string(), value.into());
}

/// Of marks that are one element; groups say their own.
fn pen(mark: &Mark) -> Option<Pen> {
    match mark {
        Mark::Path { lines, .. } if lines.is_empty() => None,
        Mark::Path { pen, .. } | Mark::Circle { pen, .. } => Some(*pen),
        Mark::Hatched { .. } => Some(Pen::Narrow),
        Mark::Text { .. } | Mark::Sign { .. } => Some(Pen::None),
        Mark::Group { .. } | Mark::Clipped { .. } => None,
    }
}

fn stroke(pen: Pen) -> &'static str {
    match pen {
        Pen::None => NONE,
        Pen::Halo | Pen::Clear => PAPER,
        Pen::Wide | Pen::Narrow | Pen::Chain | Pen::Phantom | Pen::Hidden | Pen::Bold => INK,
    }
}

fn width(pen: Pen) -> Option<f64> {
    match pen {
        Pen::None => None,
        Pen::Wide => Some(WIDE),
        Pen::Narrow | Pen::Chain | Pen::Phantom | Pen::Hidden => Some(NARROW),
        Pen::Bold => Some(1.4 * WIDE),
        Pen::Halo => Some(1.5 * WIDE),
        Pen::Clear => Some(1.2 * WIDE),
    }
}
