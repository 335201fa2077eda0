//! Which way up a part goes on, in words that a hand can follow, and which of its ends the words are about.
//! Must not know how it was found that both ways do.

use super::bench::Bench;
use super::steps::uses;
use crate::assembly::ItemIx;
use crate::kinds::{EndMark, Shape, telling_end};
use crate::rules::{PutOn, SlotIx};
use crate::solve::Alternative;

impl Bench<'_> {
    pub fn either_way(&self, ix: ItemIx) -> bool {
        self.answer.either_way.contains(&ix)
    }

    /// "lipped end up"; `None` where either way up will do, and for parts that nobody could have the wrong way up.
    pub fn way(&self, ix: ItemIx) -> Option<String> {
        let mark = self.told_mark(ix)?;
        Some(self.way_words(&mark, self.item(ix).turned))
    }

    /// The end that the words of [`Bench::way`] are about, as placed: true for the upper one.
    pub fn told_end(&self, ix: ItemIx) -> Option<bool> {
        Some(self.told_mark(ix)?.at_top != self.item(ix).turned)
    }

    /// Never nothing: for a sentence that says which way up.
    pub(super) fn way_in_a_sentence(&self, ix: ItemIx) -> String {
        self.way(ix).unwrap_or_else(|| self.words().word("way.either"))
    }

    /// Of a part that would do instead, where the words of the step are not already those.
    pub(super) fn way_instead(&self, other: &Alternative) -> Option<String> {
        let shape = &self.variant(other.variant).shape;
        if !self.is_told(other.slot, shape) {
            return None;
        }
        let way = match other.either_way {
            true => self.words().word("way.either"),
            false => self.way_words(&telling_end(shape), other.turned),
        };
        let now = self.in_slot(other.slot).next().map(|(item, _)| self.way_in_a_sentence(item));
        Some(way).filter(|way| now.as_ref() != Some(way))
    }

    fn told_mark(&self, ix: ItemIx) -> Option<EndMark> {
        let shape = &self.variant_of(ix).shape;
        let told = self.is_told(self.item(ix).slot, shape) && !self.either_way(ix);
        told.then(|| telling_end(shape))
    }

    /// Its kind has a mark for its ends, its place may be taken either way up, or the step that puts it on speaks of it.
    fn is_told(&self, slot: SlotIx, shape: &Shape) -> bool {
        let place = self.rule.slot(slot);
        let spoken_of = || self.rule.steps.iter().any(|s| s.slot == Some(slot) && uses(s, "way"));
        let marked = || !shape.features.marks.is_empty();
        place.put_on != PutOn::Fixed && ((place.as_drawn && place.turned) || marked() || spoken_of())
    }

    fn way_words(&self, mark: &EndMark, turned: bool) -> String {
        let side = if mark.at_top != turned { "up" } else { "down" };
        let key = format!("way.{}.{side}", mark.feature);
        let Some((here, there)) = mark.reads else { return self.words().word(&key) };
        let (here, there) = (self.lengths().exact(here), self.lengths().exact(there));
        let mut values = vec![("length", here.as_str())];
        values.extend((!mark.plain).then_some(("other", there.as_str())));
        self.words().say(&key, &values)
    }
}
