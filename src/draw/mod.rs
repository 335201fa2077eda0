//! Drawings a mechanic can build from: a scene in millimetres first, then SVG.
//!
//! Reads an assembled stack at nominal dimensions. Decides nothing about fit. Must not know solving or pages.

mod assembled;
mod figure;
mod hatch;
mod labels;
mod outline;
mod piece;
mod reference;
mod scene;
mod solid;
mod trim;
mod write;

#[cfg(test)]
mod sample;
#[cfg(test)]
mod tests;

use crate::assembly::{ItemIx, Stack};
use crate::catalogue::Catalogue;
use crate::rules::Rule;

/// Finished text that goes with a drawing; nothing is worded here.
#[derive(Clone, Copy, Debug, Default)]
pub struct DrawWords<'a> {
    pub title: &'a str,
    pub description: &'a str,
    /// One line a part, bottom to top.
    pub reading_order: &'a [String],
}

#[derive(Clone, Copy, Debug)]
pub struct DrawInput<'a> {
    pub stack: &'a Stack,
    pub rule: &'a Rule,
    pub catalogue: &'a Catalogue,
    /// Part numbers as in the parts table. An item without one is drawn without a reference.
    pub numbers: &'a [(ItemIx, usize)],
    pub words: DrawWords<'a>,
    /// Makes ids unique on a page.
    pub id_prefix: &'a str,
}

/// Half section of the assembled stack: left of the axis cut, right of it seen from outside.
pub fn assembled(input: &DrawInput) -> String {
    write::svg(&assembled::scene(input), input)
}
