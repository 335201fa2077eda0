//! Drawings a mechanic can build from: a scene in millimetres first, then SVG.
//!
//! Reads an assembled stack at nominal dimensions. Decides nothing about fit. Must not know solving or pages.
//!
//! # What holds of every drawing
//!
//! Whatever stands beside a figure goes through the one placement of `labels.rs`. The letter of a detail stands by its ring
//! (`ring_letters.rs`), and beside the figure only where no place there is clear. A new text needs words in `DrawWords`, and
//! a place that `tests/proof/legible.rs` finds clear: it measures the letters as they are drawn, over stacks made from seeds
//! (`tests/clear.rs`) and over a whole site (`tests/drawn_site.rs`).
//! The size of paper is `PAPER` in `assembled.rs`, which says what becomes of letters in print.
//!
//! What the drawings of a page share stands on it once (`symbols.rs`). A hatched part shows its field through its own
//! outline, or has its lines written out where that is shorter; every cut outline is a closed path of its own. Pens that most
//! marks of a group share stand on the group (`style.rs`), so a style sheet that looks for `[stroke]` must look at groups,
//! too. What goes on now is a group `part now` in the section; seen from outside, its marks have the class `fresh`. The path
//! data of the `svg` crate is 32-bit: `d` is written with our own numbers (`write.rs`).
//!
//! Threads are drawn by ISO 6410-1: narrow root line, wide limit of the thread, hatching to the crest, the bolt over the nut;
//! along the axis, three quarters of a circle. Details are drawn of the closing gap, the smallest clearance, the engaged
//! thread, the ring's seat and a seat on a shelf, in this order, as many as find room (`deciding.rs`). A closing gap that is
//! too long for a detail has its dimension in the section itself.
//!
//! In the section a long head tube is broken where nothing begins or ends, so that all else is drawn larger; not where that
//! would hide something that is told (`broken.rs`). What stands under the break is moved up, and its groups say by how much.
//! Beside a step and the section stands the whole front of a scooter, a sign with a frame about the place (`whereabouts.rs`).
//!
//! A step shows its part away from its place (a part whose depth is told: where it is set), or in its place where it is there already and only worked on. What more it
//! shows the rule file's step says (`src/rules/picturing.rs`): bolts (`step.rs`), cuts (`cut_ways.rs`), all parts
//! (`laid_out.rs`), a view from above (`turned.rs`), all of it upside down (heights are then below nothing, and a part's
//! group has `data-upside-down`). The picture of what does not go magnifies the check that the page opens with (`lead`;
//! without one the first failed check that has a size) and rings the others. A part that is changed for good has a warning
//! triangle at its number, and its change a picture of its own (`change.rs`). A clamp's ears and pinch bolts are signs: of
//! their shape the data has only heights, slot, key and reach; so are deck and wheel from above.
//!
//! # How drawings are looked at
//!
//! | what | how |
//! |---|---|
//! | two thousand made plans | `cargo test --lib two_thousand -- --ignored` |
//! | every pairing of the demo book against its drawing | `cargo test --test library drawings:: -- --ignored` |
//! | every drawing on every page of a site | `BENCHLEAF_SITE=FOLDER cargo test --test library drawn_site:: -- --ignored --nocapture`; without the folder the demo book is compiled first |
//! | new golden pictures after a wanted change | `BENCHLEAF_NEW_PICTURES=FOLDER cargo test --lib golden`, look at each, copy to `tests/data/drawings/` |
//! | how fast, and against writing the same bytes | `cargo bench --bench drawings` |

mod along_axis;
mod assembled;
mod broken;
mod change;
mod checkable;
mod clash;
mod contact;
mod cut_ways;
mod deciding;
mod depth;
mod detail;
mod dimension;
mod exploded;
mod fastener;
mod figure;
mod gap;
mod hatch;
mod knurl;
mod labels;
mod laid_out;
mod outline;
mod part;
mod piece;
mod reference;
mod ring_letters;
mod scene;
mod signs;
mod solid;
mod step;
mod style;
mod symbols;
mod trim;
mod turned;
mod upgrade_map;
mod whereabouts;
mod write;

#[cfg(test)]
mod tests;

pub use upgrade_map::{MapEdge, MapNode, MapShape, UpgradeMap, upgrade_map};

use crate::assembly::{ItemIx, Stack};
use crate::catalogue::Catalogue;
use crate::rules::{Rule, Step, View};
pub use deciding::{Deciding, deciding};
pub use part::{PartInput, PartWords, part, part_alone};
pub use symbols::page_symbols;

/// Finished text that goes with a drawing; nothing is worded here.
#[derive(Clone, Copy, Debug, Default)]
pub struct DrawWords<'a> {
    pub title: &'a str,
    pub description: &'a str,
    /// One line a part, bottom to top.
    pub reading_order: &'a [String],
    /// Assembled: what is printed under the magnified detail of each size of [`deciding`]: name, value, limits.
    /// Empty: no detail is drawn.
    pub gap: &'a str,
    pub clearance: &'a str,
    pub engagement: &'a str,
    pub ring_seat: &'a str,
    pub shelf: &'a str,
    /// Assembled: the head tube's height above its dimension line, as one reads it, and its limit below.
    pub head_tube: &'a str,
    pub head_tube_limit: &'a str,
    /// Why-not picture: for each check of the stack what is told of it where it fails. The one whose place is magnified
    /// is printed under it; none of another.
    pub why: &'a [String],
    /// Which of these the page opens with: its place is the magnified one. None: the first that has a size.
    pub lead: Option<usize>,
    /// Step picture: which way up the part goes ("lipped end down"); empty: nothing is printed.
    pub way: &'a str,
    /// Step picture: how deep the part is set into another ("20 mm (give or take 0.5 mm)"); empty: no dimension is drawn.
    pub depth: &'a str,
    /// Step picture: tool and size ("5 mm hex key"); empty: nothing is printed.
    pub tool: &'a str,
    /// What the warning triangle at the number of a part says that is changed for good first; empty: there is no such
    /// triangle. And, in the picture of the change, the size that the part comes to.
    pub changed: &'a str,
    pub changed_size: &'a str,
    /// Exploded view: what the small triangles say ("this end tells which way up"); empty: nothing is printed.
    pub mark: &'a str,
}

#[derive(Clone, Copy, Debug)]
pub struct DrawInput<'a> {
    pub stack: &'a Stack,
    pub rule: &'a Rule,
    pub catalogue: &'a Catalogue,
    /// Part numbers as in the parts table. An item without one is drawn without a reference.
    pub numbers: &'a [(ItemIx, usize)],
    /// The end by which the way up of an item is told, as placed: true for the upper one. An item without one goes on
    /// either way up, or nobody could have it the wrong way up.
    pub told_ends: &'a [(ItemIx, bool)],
    pub words: DrawWords<'a>,
    /// Makes ids unique on a page.
    pub id_prefix: &'a str,
}

/// Half section of the assembled stack: left of the axis cut, right of it seen from outside.
pub fn assembled(input: &DrawInput) -> String {
    write::svg(&assembled::scene(input, assembled::Extra::Deciding), input)
}

/// The assembled half section of a stack that does not go: for each failed check, metal in the same place filled
/// solid, or the place where the parts should meet, ringed.
pub fn why_not(input: &DrawInput) -> String {
    write::svg(&assembled::scene(input, assembled::Extra::WhyNot), input)
}

/// The parts apart along the axis, in assembly order; where that gets too high, in two columns, bottom to top,
/// left to right. Each part's group says how far it was moved: `data-lift`, `data-aside` (on a path where a long
/// part's ends were moved together: then they differ).
pub fn exploded(input: &DrawInput) -> String {
    write::svg(&exploded::scene(input), input)
}

/// One step: what is there already in narrow outline, what goes on now bold, a little away from its place.
/// Items that have no landing are left out; without `now` the picture shows what is there. Where `now` is there already
/// it is shown bold in its place; what goes into a part that is not there yet is shown at that part alone.
pub fn step(input: &DrawInput, already: &[ItemIx], now: ItemIx) -> String {
    write::svg(&step::scene(input, already, now, None), input)
}

/// The same, with what the step itself says of its picture: which of a clamp's bolts are turned, each pointed at; from
/// whose cuts the part's own is turned away, shown along the axis and, struck out, in line with them.
pub fn step_of(input: &DrawInput, told: &Step, already: &[ItemIx], now: ItemIx) -> String {
    write::svg(&step::scene(input, already, now, Some(told)), input)
}

/// The picture of a step that puts no part on. `order`: all items in the order in which they are used. Nothing where
/// nothing of it is drawn.
pub fn view(input: &DrawInput, view: View, order: &[ItemIx]) -> Option<String> {
    let scene = match view {
        View::LaidOut => laid_out::scene(input, order),
        View::FromAbove { turns, to } => turned::scene(input, turns, to),
    };
    scene.map(|scene| write::svg(&scene, input))
}

/// The whole front of a scooter, small, with a frame about where an item is, or about all that the section shows.
/// `upside_down`: as the scooter stands while it is worked on. Nothing of a stack without a head tube.
pub fn whereabouts(input: &DrawInput, item: Option<ItemIx>, upside_down: bool) -> Option<String> {
    whereabouts::svg(input, item, upside_down)
}

/// The step in which a part is changed for good, before anything is built. Nothing for a part as it was made.
pub fn change(input: &DrawInput, now: ItemIx) -> Option<String> {
    change::scene(input, now).map(|scene| write::svg(&scene, input))
}
