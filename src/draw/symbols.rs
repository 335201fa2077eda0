//! What all drawings of a page share, defined once on it, in millimetres on paper: fields of hatching, heads of dimension
//! lines, way-up triangles, tools. A drawing taken out of its page lacks these, and nothing that is measured.
//! Must not know where any of them is used.

use super::hatch::{Hatch, PITCHES};
use super::scene::{Frame, NARROW, WIDE};
use super::write::number;
use std::fmt::Write;

/// What a field of hatching covers round the axis at height 0: more than any sheet, wherever that lies on it.
pub(super) const FIELD: Frame = Frame { left: -160.0, right: 160.0, low: -100.0, high: 260.0 };

/// Lines of the smallest piece of a field, and how often a piece is repeated in the next larger one.
const LINES: usize = 8;

/// At which heights the sign of a scooter's front has what, downwards from its left upper corner.
pub(super) struct FrontHeights {
    pub wheel: f64,
    /// Upper face of the crown.
    pub crown: f64,
    pub tube: [f64; 2],
    pub clamp: [f64; 2],
    pub crossbar: f64,
}

pub(super) const FRONT: FrontHeights =
    FrontHeights { wheel: 51.0, crown: 33.0, tube: [32.0, 22.0], clamp: [20.0, 13.0], crossbar: 1.0 };

/// Signs by name, each with its tip, its middle or its left upper corner at the origin.
const SIGNS: [(&str, &str); 6] = [
    // Crossbar, its tube, clamp, top cap, head tube, crown, legs, wheel, axle: heights as `FRONT` has them.
    (
        "sign-front",
        "<path stroke=\"#000\" stroke-width=\".8\" d=\"M1 1.2H23V3.8H1ZM10.7 3.8V13M13.3 3.8V13M8.8 13H15.2V20H8.8ZM9 20.6H15V22H9ZM9.6 22V32H14.4V22M6.5 33H17.5V36.5H6.5ZM7 36.5V45.5H9V36.5M15 36.5V45.5H17V36.5M10.3 39Q12 37 13.7 39V49Q12 51 10.3 49ZM9 43.8H10.3M13.7 43.8H15\"/>",
    ),
    // A head as long and wide as `HEAD` of dimension lines, pointing to the right.
    ("sign-head", "<path fill=\"#000\" d=\"M0 0L-2.5.6V-.6Z\"/>"),
    ("sign-way-up", "<path fill=\"#000\" d=\"M0 0L-3.2 1.4V-1.4Z\"/>"),
    // About its own middle; the mark in it is a hole.
    (
        "sign-changed",
        "<path fill=\"#000\" stroke=\"none\" fill-rule=\"evenodd\" d=\"M0-2.3L2.3 1.7H-2.3ZM-.3-.9L-.22.5H.22L.3-.9ZM-.28.8V1.3H.28V.8Z\"/>",
    ),
    (
        "sign-hex-key",
        "<path stroke=\"#000\" stroke-width=\"{wide}\" d=\"M11.5 4L10.5 5.73H8.5L7.5 4L8.5 2.27H10.5ZM.8 1.2H5V7.2\"/>",
    ),
    (
        "sign-spanner",
        "<path stroke=\"#000\" stroke-width=\"{wide}\" d=\"M11.5 4L10.5 5.73H8.5L7.5 4L8.5 2.27H10.5ZM9.5 1.9L7 1.4L5.2 3.2H.5M9.5 6.1L7 6.6L5.2 4.8H.5\"/>",
    ),
];

/// Its place among the page's fields, for hatching that has one.
pub(super) fn field(hatch: Hatch) -> Option<String> {
    let index = PITCHES.iter().position(|&pitch| (pitch - hatch.pitch).abs() < 1e-9)?;
    Some(format!("hatch-{}-{}", index + 1, if hatch.rising { "rising" } else { "falling" }))
}

/// The definitions, as an `svg` that takes no room: one on each page with drawings.
pub fn page_symbols() -> String {
    let mut text = String::from(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"symbols\" width=\"0\" height=\"0\" aria-hidden=\"true\">\
         <defs fill=\"none\" stroke-linecap=\"round\" stroke-linejoin=\"round\">",
    );
    for (index, &pitch) in PITCHES.iter().enumerate() {
        text.push_str(&hatching(&format!("hatch-{}", index + 1), pitch));
    }
    for (name, drawn) in SIGNS {
        let _ = write!(text, "<g id=\"{name}\">{}</g>", drawn.replace("{wide}", &number(WIDE)));
    }
    text.push_str("</defs></svg>");
    text
}

/// Lines at 45 degrees over the whole field, one of them through the origin, and the same falling.
fn hatching(name: &str, pitch: f64) -> String {
    let step = pitch * std::f64::consts::SQRT_2;
    let high = FIELD.height();
    // Whole pitches from the line through the origin to the field's left upper corner.
    let before = ((FIELD.high - FIELD.left) / step).ceil();
    let (first, across) = (FIELD.low - before * step, FIELD.width() + high + 2.0 * step);
    let mut lines = format!("M{} {}", number(first), number(-FIELD.low));
    for line in 0..LINES {
        if line > 0 {
            let _ = write!(lines, "m{} {}", number(step - high), number(high));
        }
        let _ = write!(lines, "l{0}-{0}", number(high));
    }
    let of_pieces = |id: &str, piece: &str, count: usize, wide: f64| {
        let uses = (0..count).map(|n| format!("<use href=\"#{piece}\" x=\"{}\"/>", number(n as f64 * wide)));
        format!("<g id=\"{id}\">{}</g>", uses.collect::<String>())
    };
    let (few, many) = (step * LINES as f64, step * (LINES * LINES) as f64);
    let count = (across / many).ceil() as usize;
    let view = [FIELD.left, -FIELD.high, FIELD.width(), high].map(number).join(" ");
    let symbol = |way: &str, turned: &str| {
        format!("<symbol id=\"{name}-{way}\" viewBox=\"{view}\"><use href=\"#{name}\"{turned}/></symbol>")
    };
    [
        format!(
            "<path id=\"{name}-a\" stroke-width=\"{}\" stroke-linecap=\"butt\" d=\"{lines}\"/>",
            number(NARROW)
        ),
        of_pieces(&format!("{name}-b"), &format!("{name}-a"), LINES, few),
        of_pieces(name, &format!("{name}-b"), count, many),
        symbol("rising", ""),
        symbol("falling", " transform=\"scale(-1 1)\""),
    ]
    .concat()
}
