//! Names in a rule file looked up: slots, surfaces, conditions. Must not know files.

use super::{Condition, Slot, SlotIx, SurfaceRef};
use crate::base::{Problem, Problems, Text, suggest};
use crate::kinds::{self, Kind};

/// The slots a rule file may name.
pub struct Names<'a> {
    pub slots: &'a [Slot],
}

impl Names<'_> {
    pub fn find(&self, name: &str) -> Option<SlotIx> {
        self.slots.iter().position(|s| s.name == name).map(|i| SlotIx(i as u16))
    }

    pub fn slot(&self, text: &Text, problems: &mut Problems) -> Option<SlotIx> {
        self.slot_named(&text.value, text, problems)
    }

    fn slot_named(&self, name: &str, text: &Text, problems: &mut Problems) -> Option<SlotIx> {
        let found = self.find(name);
        if found.is_none() {
            let near = suggest(name, self.slots.iter().map(|s| s.name.as_str()));
            let mend = near.map_or("name a slot that is there".to_string(), |n| format!("write \"{n}\""));
            let known: Vec<&str> = self.slots.iter().map(|s| s.name.as_str()).collect();
            problems.push(
                Problem::error("slot-unknown", format!("there is no slot \"{name}\""))
                    .at(text.span, "")
                    .note(format!("slots: {}", known.join(", ")))
                    .mend(mend),
            );
        }
        found
    }

    /// `slot.surface`: the surface must be one that some kind of that slot has.
    pub fn surface(&self, text: &Text, problems: &mut Problems) -> Option<SurfaceRef> {
        let Some((slot_name, surface)) = text.value.split_once('.') else {
            problems.push(
                Problem::error("surface-misread", format!("\"{}\" names no surface", text.value))
                    .at(text.span, "")
                    .note("expected SLOT.SURFACE, like shim.inside")
                    .mend("write the slot, a dot and the surface"),
            );
            return None;
        };
        let slot = self.slot_named(slot_name, text, problems)?;
        let kinds: Vec<&Kind> =
            self.slots[slot.0 as usize].kinds.iter().filter_map(|k| kinds::find(k)).collect();
        let known: Vec<&'static str> = kinds.iter().flat_map(|k| k.surfaces).map(|(name, _)| *name).collect();
        if let Some(surface) = known.iter().find(|s| **s == surface) {
            return Some(SurfaceRef { slot, surface });
        }
        let mend = suggest(surface, known.iter().copied())
            .map_or("name a surface of that kind".to_string(), |n| format!("write \"{slot_name}.{n}\""));
        problems.push(
            Problem::error(
                "surface-unknown",
                format!("nothing in the slot \"{slot_name}\" has a surface \"{surface}\""),
            )
            .at(text.span, "")
            .note(format!("surfaces there: {}", known.join(", ")))
            .mend(mend),
        );
        None
    }

    /// `SLOT`: filled; `no SLOT`: empty.
    pub fn condition(&self, text: &Text, problems: &mut Problems) -> Option<Condition> {
        match text.value.strip_prefix("no ") {
            Some(name) => self.slot_named(name.trim(), text, problems).map(Condition::Empty),
            None => self.slot(text, problems).map(Condition::Filled),
        }
    }
}
