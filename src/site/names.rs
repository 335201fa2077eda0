//! Kinds, places, dimensions and surfaces as the book's words say them. Must not know pages.

use crate::guide::{Words, capital};
use crate::rules::{Rule, SlotIx, SurfaceRef};

/// What the book has no word for is said by its own name.
#[derive(Clone, Copy)]
pub struct Names<'a>(pub &'a Words);

impl Names<'_> {
    /// "shim"
    pub fn kind(self, kind: &str) -> String {
        self.first(&format!("kind.{kind}.one"), kind)
    }

    /// "Shims", as a heading.
    pub fn kinds(self, kind: &str) -> String {
        capital(&self.first(&format!("kind.{kind}.many"), kind))
    }

    /// "Outside diameter", as the head of a row.
    pub fn dim(self, name: &str) -> String {
        capital(&self.first(&format!("dim.{name}"), name))
    }

    /// "upper bearing"
    pub fn slot(self, rule: &Rule, slot: SlotIx) -> String {
        self.slot_named(&rule.slot(slot).name)
    }

    pub fn slot_named(self, name: &str) -> String {
        self.first(&format!("slot.{name}"), name)
    }

    /// "steerer", or the place alone where the surface has no name of its own on the bench.
    pub fn surface(self, rule: &Rule, at: &SurfaceRef) -> String {
        let kind = rule.slot(at.slot).kinds.first().copied().unwrap_or("");
        let named = self.0.first(&[&format!("surface.{kind}.{}", at.surface)]);
        named.unwrap_or_else(|| self.slot(rule, at.slot))
    }

    fn first(self, key: &str, name: &str) -> String {
        self.0.first(&[key]).unwrap_or_else(|| name.replace(['-', '_'], " "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_without_a_word_is_said_as_it_is() {
        let words = Words::own();
        let names = Names(&words);
        assert_eq!(names.kinds("bars"), "Sets of bars");
        assert_eq!(names.kind("top-cap"), "top cap");
        assert_eq!(names.dim("pinch-1"), "Pinch 1");
    }
}
