//! Names in a rule file looked up: slots, surfaces, conditions. Must not know files.

use super::{Condition, Slot, SlotIx, SurfaceRef};
use crate::base::{Problem, Problems, Span, Text, suggest};
use crate::kinds::{self, Kind, Role};

/// What a rule needs a surface to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// Goes over something.
    Bore,
    /// Goes inside something.
    Outside,
    MaleThread,
    FemaleThread,
    /// Bore or outside.
    Either,
}

impl Wanted {
    fn takes(self, role: Role) -> bool {
        match self {
            Wanted::Bore => role.is_bore(),
            Wanted::Outside => !role.is_bore(),
            Wanted::MaleThread => role == Role::MaleThread,
            Wanted::FemaleThread => role == Role::FemaleThread,
            Wanted::Either => true,
        }
    }

    fn words(self) -> &'static str {
        match self {
            Wanted::Bore => "a bore",
            Wanted::Outside => "an outside",
            Wanted::MaleThread => "a male thread",
            Wanted::FemaleThread => "a female thread",
            Wanted::Either => "a wall",
        }
    }
}

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

    /// `slot.surface`: the surface must be one that some kind of that slot has, and be what the rule needs.
    pub fn surface(&self, text: &Text, wanted: Wanted, problems: &mut Problems) -> Option<SurfaceRef> {
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
        let there = || kinds.iter().flat_map(|k| k.surfaces);
        if kinds.is_empty() {
            // The slot's own kinds could not be read: told there.
            return None;
        }
        match there().find(|(name, _)| *name == surface) {
            Some((name, _)) if there().any(|(n, role)| n == name && wanted.takes(*role)) => {
                Some(SurfaceRef { slot, surface: name })
            }
            found => {
                let fitting =
                    there().filter(|(_, role)| wanted.takes(*role)).map(|(name, _)| *name).collect();
                problems.push(surface_problem(text, slot_name, surface, wanted, found.map(|f| f.1), fitting));
                None
            }
        }
    }

    /// A column that some kind of the slot has.
    pub fn column(&self, text: &Text, slot: SlotIx, problems: &mut Problems) -> Option<String> {
        let slot = &self.slots[slot.0 as usize];
        let kinds = slot.kinds.iter().filter_map(|k| kinds::find(k));
        let known: Vec<&str> = kinds.flat_map(|k| k.columns).copied().collect();
        if known.is_empty() || known.contains(&text.value.as_str()) {
            return Some(text.value.clone());
        }
        let near = suggest(&text.value, known.iter().copied());
        problems.push(
            Problem::error(
                "column-unknown",
                format!("nothing in {} has a column \"{}\"", slot.name, text.value),
            )
            .at(text.span, "")
            .note(format!("columns there: {}", known.join(", ")))
            .mend(
                near.map_or("name one of these, or leave it out".to_string(), |n| format!("write \"{n}\"")),
            ),
        );
        None
    }

    /// A press that gives no tightness needs parts that say which bores they fit.
    pub fn fits_needed(&self, wall: &SurfaceRef, at: Span, problems: &mut Problems) {
        let slot = &self.slots[wall.slot.0 as usize];
        let says = |name: &&&str| kinds::find(name).is_some_and(|k| k.field("fits_bore_least").is_some());
        if let Some(kind) = slot.kinds.iter().find(|k| !says(k)) {
            problems.push(
                Problem::error("field-missing", "a press needs tight")
                    .at(at, "tight is missing")
                    .note(format!("a {kind} does not say itself which seats it fits"))
                    .mend("add tight = [\"least\", \"most\"], the interference in mm"),
            );
        }
    }

    /// `SLOT`: filled; `no SLOT`: empty.
    pub fn condition(&self, text: &Text, problems: &mut Problems) -> Option<Condition> {
        match text.value.strip_prefix("no ") {
            Some(name) => self.slot_named(name.trim(), text, problems).map(Condition::Empty),
            None => self.slot(text, problems).map(Condition::Filled),
        }
    }
}

/// The surface is not there (`role` is `None`), or is of another sort than the rule needs.
fn surface_problem(
    text: &Text,
    slot: &str,
    surface: &str,
    wanted: Wanted,
    role: Option<Role>,
    mut fitting: Vec<&'static str>,
) -> Problem {
    fitting.dedup();
    let problem = match role {
        Some(role) => Problem::error(
            "surface-unfit",
            format!("{slot}.{surface} is {}, where {} belongs", role.word(), wanted.words()),
        ),
        None => Problem::error(
            "surface-unknown",
            format!("nothing in the slot \"{slot}\" has a surface \"{surface}\""),
        ),
    };
    let near = suggest(surface, fitting.iter().copied());
    let note = match fitting.is_empty() {
        true => format!("{slot} has no surface that is {}", wanted.words()),
        false => format!("surfaces of {slot} that fit here: {}", fitting.join(", ")),
    };
    let mend = near.map_or("name a surface that fits".to_string(), |n| format!("write \"{slot}.{n}\""));
    problem.at(text.span, "").note(note).mend(mend)
}
