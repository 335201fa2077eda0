//! Books whose headset seats are of other angles than 45 degrees, made so that everything stands as high as before: heights of
//! cones are scaled, and what lies beside them takes up the difference. Knows no expected value.
#![allow(dead_code, reason = "each proof uses its own share of this")]

use benchleaf::assembly::Pick;

use super::book::{Book, files_in};

/// Half angles, degrees, of what the inner rings sit on and of what the outer rings sit in.
#[derive(Clone, Copy, Debug)]
pub struct Angles {
    pub inner: f64,
    pub outer: f64,
}

pub const BOTH_45: Angles = Angles { inner: 45.0, outer: 45.0 };

/// How far apart, in radius, a bearing's mouth and a race's gauge are, its mouth and a ring's or a threaded race's gauge,
/// and a head tube's seat and the edge of a bearing's chamfer, in the books that are changed here.
const RACE: f64 = 0.65;
const RING: f64 = 0.15;
const THREADED: f64 = 0.55;
const SEAT: f64 = 1.875;

/// The parts' text with every angle of 45 degrees that belongs to a headset changed to these.
pub fn angled(parts: &str, angles: Angles) -> String {
    let steep = |degrees: f64| 1.0 / degrees.to_radians().tan();
    let (inner, outer) = (steep(angles.inner), steep(angles.outer));
    let blocks = parts.split("[[part]]").map(|block| {
        let is = |kind: &str| block.contains(&format!("kind = \"{kind}\""));
        let mut block = block.to_string();
        if is("crown-race") && has_angle(&block, "angle") {
            lie(&mut block, "angle", angles.inner, &[("cone_height", &|h| h * inner)]);
            change(&mut block, "flange_height", &|h| h + RACE * (1.0 - inner));
        } else if is("fork") && has_angle(&block, "race_angle") {
            lie(&mut block, "race_angle", angles.inner, &[("race_height", &|h| h * inner)]);
            change(&mut block, "race_base", &|h| h + RACE * (1.0 - inner));
        } else if is("compression-ring") && has_angle(&block, "angle") {
            lie(&mut block, "angle", angles.inner, &[("cone_height", &|h| h * inner)]);
            change(&mut block, "rim_height", &|h| h + RING * (1.0 - inner));
        } else if is("threaded-race") && has_angle(&block, "angle") {
            lie(&mut block, "angle", angles.inner, &[("cone_height", &|h| h * inner)]);
            change(&mut block, "height", &|h| h + THREADED * (1.0 - inner));
        } else if is("bearing") && has_angle(&block, "outer_angle") {
            lie(&mut block, "inner_angle", angles.inner, &[("inner_chamfer", &|h| h * inner)]);
            lie(&mut block, "outer_angle", angles.outer, &[("outer_chamfer", &|h| h * outer)]);
        } else if is("deck") && has_angle(&block, "seat_angle") {
            lie(&mut block, "seat_angle", angles.outer, &[("seat_depth", &|h| h + SEAT * (1.0 - outer))]);
        }
        block
    });
    blocks.collect::<Vec<_>>().join("[[part]]")
}

fn has_angle(block: &str, field: &str) -> bool {
    block.contains(&format!("\n{field} = \"45\""))
}

/// The angle, and the sizes that go with it.
fn lie(block: &mut String, field: &str, degrees: f64, sizes: &[(&str, &dyn Fn(f64) -> f64)]) {
    *block = block.replace(&format!("\n{field} = \"45\""), &format!("\n{field} = \"{degrees:.3}\""));
    for (field, of) in sizes {
        change(block, field, of);
    }
}

/// Writes a size anew, to the micrometre, its deviations as they are.
fn change(block: &mut String, field: &str, of: &dyn Fn(f64) -> f64) {
    let start = format!("\n{field} = \"");
    let from = block.find(&start).unwrap_or_else(|| panic!("no {field} in {block}")) + start.len();
    let to = from + block[from..].find(|c: char| !c.is_ascii_digit() && c != '.').unwrap();
    let size: f64 = block[from..to].parse().unwrap();
    block.replace_range(from..to, &format!("{:.3}", of(size)));
}

/// The demo book at these angles.
pub fn demo_at(angles: Angles) -> Book {
    let mut files = files_in(std::path::Path::new(env!("CARGO_MANIFEST_DIR")), &["content", "parts"]);
    for (_, text) in
        files.iter_mut().filter(|(path, _)| path.starts_with("parts/") && path.ends_with(".toml"))
    {
        *text = angled(std::str::from_utf8(text).unwrap(), angles).into_bytes();
    }
    Book::read(&files)
}

/// Slots and parts of the usual build of the seventh system.
pub const USUAL: [(&str, &str); 10] = [
    ("fork", "fork"),
    ("crown-race", "race"),
    ("lower-bearing", "bearing"),
    ("head-tube", "deck"),
    ("upper-bearing", "bearing"),
    ("ring", "ring"),
    ("top-cap", "top-cap"),
    ("shim", "shim"),
    ("cap", "cap"),
    ("bolt", "bolt"),
];

/// The usual build, in drop order.
pub fn usual(book: &Book) -> Vec<Pick> {
    let pick = |&(slot, part): &(&str, &str)| Pick {
        slot: book.rules[0].find(slot).unwrap(),
        variant: book.variant(part),
        turned: slot == "lower-bearing",
    };
    let mut picks: Vec<Pick> = USUAL.iter().map(pick).collect();
    picks.sort_by_key(|p| p.slot);
    picks
}
