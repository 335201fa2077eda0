//! Nothing is left lying about: a part inside another is pressed in, screwed in, kept there by a hand as its step says, or loose.
//!
//! Must not know any particular part.

use super::lists::Gathered;
use super::{PutOn, Slot, SlotIx, Step};
use crate::base::{Problem, Problems};

pub fn check(slots: &[Slot], all: &Gathered, steps: &[Step], problems: &mut Problems) {
    for (index, slot) in slots.iter().enumerate() {
        let own = SlotIx(index as u16);
        let PutOn::Chosen(choice) = slot.put_on else { continue };
        if slot.host.is_none() || choice.into.is_none() {
            continue;
        }
        let pressed = all.presses.iter().any(|press| press.wall.slot == own);
        let mine = |list: &[super::SurfaceRef]| list.iter().any(|s| s.slot == own);
        let host = |list: &[super::SurfaceRef]| list.iter().any(|s| Some(s.slot) == slot.host);
        let screwed =
            all.threads.iter().any(|t| mine(&t.male) && host(&t.female) || mine(&t.female) && host(&t.male));
        let held = steps.iter().any(|step| step.slot == Some(own) && step.held.is_some());
        if !pressed && !screwed && !held {
            problems.push(
                Problem::error("nothing-holds", format!("nothing holds what is in \"{}\"", slot.name))
                    .at(slot.span, "set at a chosen height, and neither pressed nor screwed in")
                    .note("what lies loose slides while the clamp is tightened, and may end where it bridges nothing")
                    .mend("say held = \"how it is kept there\" in the step that sets it, or write put_on = \"loose\""),
            );
        }
    }
    lifted_over_chosen(slots, all, problems);
}

/// A clamp that may be lifted holds nothing whose own height is chosen: either alone has a window, both together do not.
fn lifted_over_chosen(slots: &[Slot], all: &Gathered, problems: &mut Problems) {
    let chosen = |slot: SlotIx| matches!(slots[slot.0 as usize].put_on, PutOn::Chosen(_));
    for grip in all.grips.iter().filter(|grip| chosen(grip.by.slot)) {
        for layer in grip.layers.iter().filter(|layer| chosen(layer.slot)) {
            let (clamp, held) = (&slots[grip.by.slot.0 as usize].name, &slots[layer.slot.0 as usize].name);
            problems.push(
                Problem::error("both-chosen", format!("the heights of {clamp} and {held} are both chosen"))
                    .at(grip.span, "and this grip holds the one with the other")
                    .mend("give one of them a place: put_on = \"from-above\" or \"loose\""),
            );
        }
    }
}
