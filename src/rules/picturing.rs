//! What a step says for its picture: which bolts, what is turned away from what, which view. Must not know how
//! anything is drawn.
//!
//! Nobody guesses from a sentence what its picture points out; a step says it (`benchleaf reference step` has all of them):
//!
//! | field | with | what |
//! |---|---|---|
//! | `closes = "clamp.upper-bore"` | `slot` | a bore that a `[[grip]]` is by: only the pinch bolts beside it are turned; left out, all of them |
//! | `away_from = ["shim", "clamp"]` | `slot` | the part's slit is turned away from the slots of these, where they have any: shown along the axis, and in line with them struck out |
//! | `upside_down = true` | `slot` | what is worked on is upside down |
//! | `view = "laid-out"` | no slot | all parts beside each other in the order of use |
//! | `view = "from-above"`, `turns = "bars"`, `to = "across"` | no slot | deck and wheel from above, and the part turned until it stands `across`, or with its slot to the `rear` or the `front` |

use super::names::{Names, Wanted};
use super::{Grip, Heading, Slot, SlotIx, Step, SurfaceRef, View};
use crate::base::{Entry, Problem, Problems, Table, Text, suggest};

/// Words and what they stand for.
pub const VIEWS: [&str; 2] = ["laid-out", "from-above"];
pub const TURNED_TO: [&str; 3] = ["rear", "front", "across"];
const HEADINGS: [(&str, Heading); 3] =
    [(TURNED_TO[0], Heading::Rear), (TURNED_TO[1], Heading::Front), (TURNED_TO[2], Heading::Across)];

pub struct Picturing {
    pub closes: Option<SurfaceRef>,
    pub away_from: Vec<SlotIx>,
    pub view: Option<View>,
    pub upside_down: bool,
}

/// A step with a slot shows that slot's part: `closes`, `away_from` and `upside_down` are said of it. One without may have a view of
/// its own. What belongs to the other sort is told, for it would change nothing.
pub fn read(
    table: &Table<'_, '_>,
    slot: Option<SlotIx>,
    names: &Names<'_>,
    problems: &mut Problems,
) -> Picturing {
    let slotted = table.get("slot").is_some();
    for key in ["view", "turns", "to"] {
        refuse(table.get(key).filter(|_| slotted), key, "shows its part going on", "take it out", problems);
    }
    for key in ["closes", "away_from", "upside_down"] {
        refuse(
            table.get(key).filter(|_| !slotted),
            key,
            "has no part of which it could be said",
            "add slot = …",
            problems,
        );
    }
    let closes = table.text("closes", problems);
    let closes = closes.and_then(|text| closed(&text, slot, names, problems));
    let away_from =
        table.texts("away_from", problems).iter().filter_map(|t| names.slot(t, problems)).collect();
    let view = if slotted { None } else { view(table, names, problems) };
    let upside_down = table.flag("upside_down", problems).unwrap_or(false);
    Picturing { closes, away_from, view, upside_down }
}

fn refuse(entry: Option<Entry<'_, '_>>, key: &str, why: &str, mend: &str, problems: &mut Problems) {
    let Some(entry) = entry else { return };
    problems.push(
        Problem::error("step-picture-misplaced", format!("{key} says nothing here: this step {why}"))
            .at(entry.key, "")
            .mend(mend),
    );
}

/// The bore is one of the step's own part.
fn closed(
    text: &Text,
    slot: Option<SlotIx>,
    names: &Names<'_>,
    problems: &mut Problems,
) -> Option<SurfaceRef> {
    let found = names.surface(text, Wanted::Bore, problems)?;
    let Some(own) = slot.filter(|own| *own != found.slot) else { return Some(found) };
    let own = &names.slots[own.0 as usize].name;
    problems.push(
        Problem::error(
            "closes-another",
            format!("this step works on the {own}, and {} is not its", text.value),
        )
        .at(text.span, "")
        .mend(format!("write \"{own}.…\", the bore that its bolts close")),
    );
    None
}

fn view(table: &Table<'_, '_>, names: &Names<'_>, problems: &mut Problems) -> Option<View> {
    let of = "a view from above";
    let word = table.text("view", problems);
    let (turns, to) = (table.text("turns", problems), table.text("to", problems));
    let Some(word) = word else {
        if turns.is_some() || to.is_some() {
            problems.push(crate::base::missing("view", "a step that turns something", table.span));
        }
        return None;
    };
    if !VIEWS.contains(&word.value.as_str()) {
        problems.push(no_choice(&word, &VIEWS));
        return None;
    }
    if word.value == "laid-out" {
        for (text, key) in [(&turns, "turns"), (&to, "to")] {
            let entry = text.as_ref().and_then(|_| table.get(key));
            refuse(entry, key, "shows all parts, and turns none", "take it out", problems);
        }
        return Some(View::LaidOut);
    }
    for (text, key) in [(&turns, "turns"), (&to, "to")] {
        if text.is_none() {
            problems.push(crate::base::missing(key, of, table.span));
        }
    }
    let turns = turns.and_then(|text| names.slot(&text, problems));
    let to = to?;
    let heading = HEADINGS.iter().find(|(name, _)| *name == to.value).map(|(_, heading)| *heading);
    if heading.is_none() {
        problems.push(no_choice(&to, &HEADINGS.map(|(name, _)| name)));
    }
    Some(View::FromAbove { turns: turns?, to: heading? })
}

fn no_choice(text: &Text, known: &[&'static str]) -> Problem {
    let near = suggest(&text.value, known.iter().copied());
    Problem::error("choice-unknown", format!("\"{}\" is no choice here", text.value))
        .at(text.span, "")
        .note(format!("expected one of: {}", known.join(", ")))
        .mend(near.map_or("write one of these".to_string(), |n| format!("write \"{n}\"")))
}

/// What a step closes must be what some grip closes: else no bolt of it holds anything.
pub fn check_closes(steps: &[Step], grips: &[Grip], slots: &[Slot], problems: &mut Problems) {
    let named = |surface: &SurfaceRef| format!("{}.{}", slots[surface.slot.0 as usize].name, surface.surface);
    for step in steps {
        let Some(closes) = step.closes.as_ref().filter(|c| grips.iter().all(|g| g.by != **c)) else {
            continue;
        };
        let known: Vec<String> = grips.iter().map(|g| named(&g.by)).collect();
        let near = suggest(&named(closes), known.iter().map(String::as_str));
        problems.push(
            Problem::error(
                "closes-no-grip",
                format!("no grip is by \"{}\", which this step closes", named(closes)),
            )
            .at(step.span, "this step")
            .note(match known.is_empty() {
                true => "this system has no grips".to_string(),
                false => format!("grips are by: {}", known.join(", ")),
            })
            .mend(near.map_or("name what a grip is by".to_string(), |n| format!("write closes = \"{n}\""))),
        );
    }
}
