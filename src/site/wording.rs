//! Names of kinds, dimensions, places and tools in the book's own words. Must not word a sentence.

use crate::guide::Words;
use crate::kinds::{Drive, Knurl};
use crate::rules::{Rule, SlotIx, SurfaceRef};

#[derive(Clone, Copy)]
pub struct Wording<'a>(pub &'a Words);

impl Wording<'_> {
    /// "shim"
    pub fn kind(&self, kind: &str) -> String {
        self.named(&format!("kind.{kind}.one"), kind)
    }

    /// "Shims"
    pub fn kinds(&self, kind: &str) -> String {
        capital(&self.named(&format!("kind.{kind}.many"), kind))
    }

    /// "Outside diameter"
    pub fn dim(&self, name: &str) -> String {
        capital(&self.named(&format!("dim.{name}"), name))
    }

    /// "upper bearing"
    pub fn slot(&self, rule: &Rule, slot: SlotIx) -> String {
        let name = &rule.slot(slot).name;
        self.named(&format!("slot.{name}"), name)
    }

    /// What a rule means by a surface: "steerer", or the place itself.
    pub fn surface(&self, rule: &Rule, at: &SurfaceRef) -> String {
        let kind = rule.slot(at.slot).kinds.first().copied().unwrap_or("");
        let own = self.0.first(&[&format!("surface.{kind}.{}", at.surface)]);
        own.unwrap_or_else(|| self.slot(rule, at.slot))
    }

    /// "5 mm hex key"
    pub fn tool(&self, drive: &Drive) -> String {
        let size = self.0.say("length.value", &[("value", &drive.size.to_string())]);
        let own = format!("tool.{}", drive.tool.replace(' ', "-"));
        let said = self.0.first_said(&[&own, "tool.other"], &[("size", &size), ("tool", drive.tool)]);
        said.unwrap_or(size)
    }

    /// "diamond knurl"
    pub fn knurl(&self, knurl: Knurl) -> String {
        self.named(&format!("knurl.{}", knurl.word()), knurl.word())
    }

    fn named(&self, key: &str, name: &str) -> String {
        self.0.first(&[key]).unwrap_or_else(|| name.replace(['-', '_'], " "))
    }
}

/// The first letter large, all others as they are.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(char::to_uppercase);
    first.into_iter().flatten().chain(letters).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_and_dimensions_have_the_books_own_words() {
        let words = Words::own();
        assert_eq!(Wording(&words).kinds("compression-ring"), "Compression rings");
        assert_eq!(Wording(&words).dim("steerer_outside"), "Outside of the steerer");
        assert_eq!(Wording(&words).dim("pinch-1"), "Height of the first pinch bolt");
    }
}
