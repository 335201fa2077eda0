//! Clamp systems as rule files: slots, sleeves, presses, threads, grips, the path of the push, phrases.
//!
//! A system is data: nothing here knows one by name. Uses `kinds` for the surface names that a rule may
//! mention. Must not know any particular part.
//!
//! Invariants: every slot, surface and step a rule mentions exists; slots stand in drop order; the pulled slot
//! is required; `after` has no circle; no check is left out by silence (`left_out`). A rule with an error in it does not exist.
//!
//! # Adding a clamp system
//!
//! A system is a rule file `content/systems/NAME.toml`, never Rust, with its prose in `NAME.md` beside it. It draws in a
//! headset (`content/headsets/`), lists its slots in drop order, names every sleeve, press, thread, grip, slit and size it
//! asks for, and its steps in bench order. `benchleaf unpack wide-shim --as NAME` writes one to begin with; `benchleaf
//! reference` tells every entry, and `left_out` what may not be left unsaid. One of the demo book comes with the program:
//! list it in `src/built_in/mod.rs`. `tests/proof/seventh.toml` is a system that only the tests know.
//!
//! What holds and what closes is told entry by entry; nothing of it is guessed, and `tests/held.rs` has a fact for each:
//!
//! | entry | says |
//! |---|---|
//! | `past` of a `[[grip]]` | so far a slit reaches past the axis of each pinch bolt, in each layer but the innermost; a layer that lies so close that its wall gives (`springs` of its sleeve) needs no slit (`src/assembly/split.rs`) |
//! | `bare`, `unbridged` of a `[[slit]]` | so much of it may show above the clamp; so much of it may lie beyond either end of what bridges it (`src/assembly/slits.rs`) |
//! | `put_on = "chosen"` with `host`, `by_hand` of a `[[slot]]` | set by hand at a height in a window, so far off either way; where it is neither pressed nor screwed in, its step says how it is `held` |
//! | `put_on = "loose"` with `host` | held by nothing: every check holds wherever it lies between its stops (`src/assembly/loose.rs`) |
//! | `may_touch` of a `[[slot]]` | slots that may carry it as well as those in `rests_on`: a cap over two shims of one length |
//! | the second figure of `gap` | a wish: told where it is exceeded, never a check |
//! | `reach` of a step with `{tool}` in its `say` | a hex key comes in straight from there, past all that earlier steps put on (`src/assembly/key_way.rs`) |

mod absurd;
#[cfg(test)]
pub mod book_for_tests;
mod changes;
mod kept;
// A flat table, a key a line.
#[rustfmt::skip]
pub mod layouts;
mod left_out;
mod lists;
mod names;
mod picturing;
mod reading;
mod slots;
mod steps;

pub use absurd::{MOST_ITEMS, MOST_SLOTS};
pub use reading::read_rules;
pub use steps::{CHANGE_PLACES, PLACES};

use crate::base::Span;
use crate::quantity::{Dimension, Length, Nature};
use serde::{Deserialize, Serialize};

/// Index into [`Rule::slots`]: drop order, parts that may be lifted along the pile (a plain clamp) last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct SlotIx(pub u16);

#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// File name without its ending.
    pub id: String,
    pub name: String,
    /// Trade short names.
    pub short: Vec<String>,
    /// One sentence.
    pub summary: String,
    /// Markdown beside the rule file, as written.
    pub prose: String,
    pub slots: Vec<Slot>,
    pub sleeves: Vec<Sleeve>,
    pub presses: Vec<Press>,
    pub threads: Vec<ThreadPair>,
    pub grips: Vec<Grip>,
    pub slits: Vec<SlitRule>,
    pub stand_outs: Vec<StandOut>,
    pub sizes: Vec<SizeRule>,
    /// The part that the bolt (or the race's own thread) pulls or pushes down.
    pub pulled: SlotIx,
    /// From the ring (or threaded race) down to the fork, in order.
    pub path: Vec<PathStep>,
    pub limits: Limits,
    /// Changes to parts that cannot be undone and that this system allows as a last resort.
    pub changes: Vec<Change>,
    /// In bench order: file order, moved only as `after` asks.
    pub steps: Vec<Step>,
    /// Looks and tests before the ride, in order.
    pub before_riding: Vec<Phrase>,
    pub span: Span,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Slot {
    pub name: String,
    /// Kinds that may stand here.
    pub kinds: Vec<&'static str>,
    /// Fewest and most items; `least` 0 makes it optional.
    pub least: u8,
    pub most: u8,
    pub put_on: PutOn,
    /// Ways up that may be used. Both false is refused.
    pub as_drawn: bool,
    pub turned: bool,
    /// The rider brings it (a deck): any in the book, at no cost.
    pub brought: bool,
    /// Columns that stand still when the bars turn; `["*"]` is the whole part.
    pub still: Vec<String>,
    /// Slots it may rest on; empty: any.
    pub rests_on: Vec<SlotIx>,
    /// Of these, slots that may carry it as well without harm, but not alone where nothing is pushed through it.
    pub may_touch: Vec<SlotIx>,
    /// Is inside the item in this slot: set in it (star nut), or lying loose in it (sleeve in the bars).
    pub host: Option<SlotIx>,
    /// Place in the rule file's drop order. Slots of parts that may be lifted stand last in [`Rule::slots`], since
    /// nothing rests on them; this keeps what is below and above them.
    pub order: u16,
    pub span: Span,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PutOn {
    /// The fork: everything else is placed on it.
    Fixed,
    FromAbove,
    FromBelow,
    /// From above, turning on a thread until it lands.
    Threaded,
    /// From above, pressed on a seat until it lands.
    Pressed,
    /// Lies loose inside its host, which is a later slot: nothing holds it, so it is anywhere between what is below it
    /// and what stops it above.
    Loose,
    /// A height is chosen inside a window: along the pile (no host) or inside a host.
    Chosen(Choice),
}

/// What bounds a chosen height besides the parts it must not touch and the checks it must pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Choice {
    /// Which end of the host it goes in by; `None`: it stands on the pile like any part but may be lifted.
    pub into: Option<End>,
    /// Least and greatest distance of the near face inside the host's end.
    pub depth_least: Length,
    pub depth_most: Option<Length>,
    /// How far off, either way, a hand may be that sets and holds it there.
    pub by_hand: Length,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    Top,
    Bottom,
}

/// `slot.surface`.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct SurfaceRef {
    pub slot: SlotIx,
    pub surface: &'static str,
}

/// A bore over an outside, checked by name: diametral clearance and length of overlap.
#[derive(Clone, Debug, PartialEq)]
pub struct Sleeve {
    pub outer: SurfaceRef,
    /// The first that the plan has (slot filled, surface there) counts.
    pub inner: Vec<SurfaceRef>,
    pub clearance_least: Length,
    pub clearance_most: Length,
    pub overlap_least: Option<Length>,
    /// A split outer part springs open by this much (diameter) to pass over.
    pub springs: Length,
    pub span: Span,
}

/// A wall pressed on a seat takes the seat's diameter. For a star nut the part's own `fits` range is the limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Press {
    pub wall: SurfaceRef,
    pub seat: Vec<SurfaceRef>,
    /// Interference before pressing; `None`: the part says which seats it fits.
    pub tightness: Option<(Length, Length)>,
    pub span: Span,
}

/// A male thread in its mate.
#[derive(Clone, Debug, PartialEq)]
pub struct ThreadPair {
    pub male: Vec<SurfaceRef>,
    pub female: Vec<SurfaceRef>,
    /// Engaged length needed; `None`: computed from both materials.
    pub engagement_least: Option<Length>,
    /// Least travel left before the end of the male part meets something fixed.
    pub spare_least: Option<Length>,
    pub span: Span,
}

/// A clamp holding layers together.
#[derive(Clone, Debug, PartialEq)]
pub struct Grip {
    pub by: SurfaceRef,
    /// From the outside in; layers whose slot is empty are passed over. Each neighbouring pair is a sleeve.
    pub layers: Vec<GripLayer>,
    /// How far a slit must reach past the axis of each pinch bolt to close there.
    pub past: Length,
    pub span: Span,
}

#[derive(Clone, Debug, PartialEq)]
pub struct GripLayer {
    pub slot: SlotIx,
    /// Length of it that must be held.
    pub least: Option<Length>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct SlitRule {
    pub slot: SlotIx,
    pub wanted: bool,
    /// Where none is wanted, a part in this slot that bridges it.
    pub bridged_by: Option<SlotIx>,
    /// So much of the slit may lie beyond either end of what bridges it.
    pub unbridged: Length,
    /// So much of the slit may show above the clamp; `None`: any length.
    pub bare: Option<Length>,
    pub span: Span,
}

/// How much of a surface must stand above whatever is beneath the first of these slots' tops.
#[derive(Clone, Debug, PartialEq)]
pub struct StandOut {
    pub surface: Vec<SurfaceRef>,
    /// The first filled of these; with several items the highest.
    pub above: Vec<SlotIx>,
    pub least: Length,
    pub span: Span,
}

/// What a system takes: a surface that must be there, of a diameter between two limits.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeRule {
    /// The first that the plan has counts.
    pub surface: Vec<SurfaceRef>,
    pub least: Length,
    pub most: Length,
    pub span: Span,
}

#[derive(Clone, Debug, PartialEq)]
pub struct PathStep {
    pub slot: SlotIx,
    /// Column the push must come in by and go out by; `None`: any.
    pub enters: Option<String>,
    pub leaves: Option<String>,
    /// May be left out when the slot is empty.
    pub optional: bool,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    pub gap_least: Length,
    /// A wish, not a check: what the most may be follows from what is gripped, engaged and overlapped.
    pub gap_wish: Option<Length>,
    /// Width of a seat after drift.
    pub seat_least: Length,
    /// Distance of turning from standing parts.
    pub still_least: Length,
}

/// Something that may be done to a part for good, where nothing goes without. Metal only ever comes off.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    pub id: String,
    /// A slot of one part, never of what the rider brings.
    pub slot: SlotIx,
    pub made: Made,
    /// How it is done; filled in like a step.
    pub say: String,
    pub feel: Option<String>,
    /// What is lost by it: keys of the book's words.
    pub lost: Vec<String>,
    pub minutes: Option<u32>,
    pub span: Span,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Made {
    /// A size brought to one of the lengths from `least` to `most`, `step` apart, and exact to `within`. An outside or
    /// a height gets smaller by it, a bore or a depth greater.
    Size { field: &'static str, nature: Nature, least: Length, most: Length, step: Length, within: Length },
    /// Something that the part did not have: sizes of a group of fields.
    Feature(Vec<(&'static str, Dimension)>),
}

/// One action on the bench.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    pub id: String,
    /// The slot whose item goes on now, if any: one step an item.
    pub slot: Option<SlotIx>,
    pub when: Vec<Condition>,
    /// `{part}`, `{way}`, `{under}`, `{tool}`, `{torque}`, `{depth}`, … are filled in by the guide.
    pub say: String,
    /// What to feel or see before going on.
    pub feel: Option<String>,
    /// Where the fastener or part is reached from: `above`, `below`, `side`.
    pub reach: Option<String>,
    /// The bore that is closed on what it holds: of a clamp's bolts those beside it are turned. `None`: all of them.
    pub closes: Option<SurfaceRef>,
    /// How the part is kept where it was set while the clamp is tightened, where nothing else holds it.
    pub held: Option<String>,
    /// How its part comes off again, where there is more to that than taking it off.
    pub undo: Option<String>,
    /// Slots of parts from whose own cuts this part's cut is turned away.
    pub away_from: Vec<SlotIx>,
    /// What the picture of a step shows that puts no part on; `None`: it has none.
    pub view: Option<View>,
    /// What is worked on is held or stood upside down then, and its picture shows it so.
    pub upside_down: bool,
    /// How long it takes, and how long it takes to undo it, where the book says so.
    pub minutes: Option<u32>,
    pub minutes_undone: Option<u32>,
    pub span: Span,
}

/// A picture that is not of one part going on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// All parts beside each other, in the order in which they are used.
    LaidOut,
    /// Deck and front wheel from above, and the part that is turned until it stands as it should.
    FromAbove { turns: SlotIx, to: Heading },
}

/// How something stands to the way one rides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Heading {
    /// A clamp's slot with its bolts, or a slit, straight back.
    Rear,
    /// The same, straight ahead.
    Front,
    /// Bars square to the front wheel.
    Across,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Condition {
    Filled(SlotIx),
    Empty(SlotIx),
}

/// A sentence with the conditions under which it is said.
#[derive(Clone, Debug, PartialEq)]
pub struct Phrase {
    pub when: Vec<Condition>,
    pub say: String,
}

impl Rule {
    pub fn slot(&self, ix: SlotIx) -> &Slot {
        &self.slots[ix.0 as usize]
    }

    /// The slot of the part that this slot's part is driven into, never to be used again once it is out.
    pub fn driven_into(&self, ix: SlotIx) -> Option<SlotIx> {
        let pressed = self.presses.iter().any(|press| press.wall.slot == ix);
        self.slot(ix).host.filter(|_| pressed)
    }

    pub fn find(&self, name: &str) -> Option<SlotIx> {
        self.slots.iter().position(|s| s.name == name).map(|i| SlotIx(i as u16))
    }
}

#[cfg(test)]
mod tests;
mod usual;
