//! What an assembled stack comes out as: plain numbers, nothing chosen, nothing worded.
//!
//! Heights are nanometres above the crown-race seat, diameters nanometres. Every [`Value`] holds for all parts
//! within their tolerances. Must not know how parts were chosen.

use crate::base::{Label, label};
use crate::catalogue::VariantIx;
use crate::kinds::Taper;
use crate::quantity::{Ends, Form, Origin, PropertyClass};
use crate::rules::SlotIx;
use serde::{Deserialize, Serialize};

/// One physical thing in the stack. Index into [`Stack::items`]; 0 is the fork.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct ItemIx(pub u16);

/// A dimension of one item: two spacers of the same article have one each.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ItemDim {
    pub item: ItemIx,
    pub name: String,
    pub ends: Ends,
    pub origin: Origin,
    /// As the author wrote it.
    pub written: String,
}

/// A quantity with its sound range. `form` only where it is one linear form in every case.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Value {
    pub nominal: i64,
    pub least: i64,
    pub most: i64,
    pub form: Option<Form>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Stack {
    pub dims: Vec<ItemDim>,
    /// In drop order.
    pub items: Vec<Placed>,
    /// From the pulled part down to the fork along the nominal supports.
    pub pushed: Vec<ItemIx>,
    pub checks: Vec<Check>,
    /// Windows of chosen heights.
    pub windows: Vec<Window>,
    /// True when unsure comparisons were so many that cases were merged: then nothing is called sure.
    pub merged: bool,
    /// Comparisons that real parts decide one way or the other, and by which the stack comes together in more than one
    /// way: whether the form is over 0. Each once, in the order in which they arose.
    pub open: Vec<Form>,
}

impl Stack {
    /// The window of a part that the check is about, where its height is chosen.
    pub fn chosen(&self, check: &Check) -> Option<&Window> {
        self.windows.iter().find(|window| check.about.contains(&window.item))
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum PutOnWord {
    Fixed,
    FromAbove,
    FromBelow,
    Threaded,
    Pressed,
    Chosen,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Placed {
    /// `fork`, `spacer-2`: slot name, numbered from the second item of a slot on.
    pub name: String,
    pub slot: SlotIx,
    pub variant: VariantIx,
    pub turned: bool,
    pub put_on: PutOnWord,
    pub rides_with: Option<ItemIx>,
    /// The whole part stands still.
    pub still: bool,
    #[serde(with = "label::list")]
    pub still_columns: Vec<Label>,
    /// Height of its bottom; `None`: nothing beneath.
    pub landing: Option<Value>,
    pub rests_on: Vec<Support>,
    /// As placed: already turned, seated and pressed. Forms over [`Stack::dims`], from the part's bottom.
    pub columns: Vec<PlacedColumn>,
    /// Overall height, bottom to top.
    pub height: Form,
    pub mates: Vec<MateWith>,
    /// Lengthwise cuts as placed (heights from the part's bottom).
    pub cuts: Vec<PlacedCut>,
    /// Pinch-bolt axes, heights from the part's bottom as placed.
    pub pinches: Vec<Form>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PlacedCut {
    #[serde(with = "label")]
    pub column: Label,
    pub width: Form,
    pub from: Form,
    pub to: Form,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PlacedColumn {
    #[serde(with = "label")]
    pub name: Label,
    pub start: Form,
    pub segments: Vec<PlacedSegment>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PlacedSegment {
    pub length: Form,
    pub bore: PlacedWall,
    pub outside: PlacedWall,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PlacedWall {
    #[serde(with = "label")]
    pub surface: Label,
    /// At the bottom and the top as placed.
    pub diameter: [Form; 2],
    pub taper: Option<Taper>,
    /// Male thread: root diameter, seen by its own mate's thread only.
    pub root: Option<Form>,
}

/// What a part touches from above (or from below).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Support {
    pub item: ItemIx,
    #[serde(with = "label")]
    pub column: Label,
    /// The touched surface: the wall's name for a cone, `top` or `bottom` for a flat face.
    #[serde(with = "label")]
    pub surface: Label,
    /// The column of the part itself that touches.
    #[serde(with = "label")]
    pub own_column: Label,
    pub contact: Contact,
    /// In every case.
    pub certain: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Contact {
    Flat,
    /// Cones of equal half angle.
    Cone,
    /// An edge on a cone or two unequal cones: no seat.
    Edge,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MateWith {
    pub item: ItemIx,
    pub how: Mating,
    /// Own surface.
    #[serde(with = "label")]
    pub surface: Label,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Mating {
    Thread,
    Press,
    SplitRing,
}

/// Where a chosen height may lie, whatever the real parts are within tolerance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Window {
    pub item: ItemIx,
    /// Height of the item's bottom: lowest and highest that always serve; `lowest > highest` when only a
    /// height picked for the parts in hand serves.
    pub lowest: i64,
    pub highest: i64,
    /// For one set in a host: distance of its near face inside the host's end, least and most.
    pub depth: Option<(i64, i64)>,
    /// What carries it let down all the way, and how far above that it may be set, least and most: a rule on the bench reads it,
    /// whatever height the rest of the pile comes to.
    pub over: Option<(ItemIx, i64, i64)>,
}

/// Which requirement a check belongs to. The number is the index in the rule's own list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Demand {
    SleeveClearance(u16),
    SleeveOverlap(u16),
    Tightness(u16),
    Lands(SlotIx),
    RestsOn(SlotIx),
    Seat(SlotIx),
    Path,
    GapLeast,
    RingCloses(SlotIx),
    Still,
    ThreadMatch(u16),
    Engagement(u16),
    Spare(u16),
    Height(SlotIx),
    GripLength(u16),
    GripPinch(u16),
    GripCloses(u16),
    /// A layer's slit reaches past each pinch bolt of the grip.
    SlitReach(u16),
    Slit(u16),
    /// How much of a slit shows above the clamp.
    SlitBare(u16),
    /// Nothing but a step holds it: it must not wander out of its place.
    Kept(SlotIx),
    /// A straight way for the key.
    KeyWay(SlotIx),
    StandsOut(u16),
    Insertion(SlotIx),
    Size(u16),
}

impl Demand {
    /// Depends on how high parts stand; the others on nothing but which parts there are.
    pub fn is_of_heights(self) -> bool {
        match self {
            Demand::SleeveClearance(_)
            | Demand::Tightness(_)
            | Demand::RingCloses(_)
            | Demand::ThreadMatch(_)
            | Demand::GripCloses(_)
            | Demand::Slit(_)
            | Demand::Size(_) => false,
            Demand::SleeveOverlap(_)
            | Demand::Lands(_)
            | Demand::RestsOn(_)
            | Demand::Seat(_)
            | Demand::Path
            | Demand::GapLeast
            | Demand::Still
            | Demand::Engagement(_)
            | Demand::Spare(_)
            | Demand::Height(_)
            | Demand::GripLength(_)
            | Demand::GripPinch(_)
            | Demand::SlitReach(_)
            | Demand::SlitBare(_)
            | Demand::Kept(_)
            | Demand::KeyWay(_)
            | Demand::StandsOut(_)
            | Demand::Insertion(_) => true,
        }
    }

    /// Stable word for data files and for looking up the book's own words.
    pub fn word(self) -> &'static str {
        match self {
            Demand::SleeveClearance(_) => "sleeve-clearance",
            Demand::SleeveOverlap(_) => "sleeve-overlap",
            Demand::Tightness(_) => "press-tightness",
            Demand::Lands(_) => "lands",
            Demand::RestsOn(_) => "rests-on",
            Demand::Seat(_) => "seat-width",
            Demand::Path => "load-path",
            Demand::GapLeast => "closing-gap",
            Demand::RingCloses(_) => "ring-closing",
            Demand::Still => "still-clearance",
            Demand::ThreadMatch(_) => "thread-match",
            Demand::Engagement(_) => "thread-engagement",
            Demand::Spare(_) => "bottoming",
            Demand::Height(_) => "chosen-height",
            Demand::GripLength(_) => "grip-length",
            Demand::GripPinch(_) => "pinch-support",
            Demand::GripCloses(_) => "clamp-closing",
            Demand::SlitReach(_) => "slit-reach",
            Demand::Slit(_) => "slit",
            Demand::SlitBare(_) => "slit-bare",
            Demand::Kept(_) => "kept-in-place",
            Demand::KeyWay(_) => "key-way",
            Demand::StandsOut(_) => "stand-out",
            Demand::Insertion(_) => "insertion",
            Demand::Size(_) => "size",
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Outcome {
    Pass,
    Measure,
    Fail,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Check {
    pub demand: Demand,
    pub about: Vec<ItemIx>,
    /// Surfaces compared, outer then inner, where the check is about two walls.
    #[serde(with = "label::list")]
    pub surfaces: Vec<Label>,
    /// Nanometres. `None` for checks that are not a number (a thread matches or not).
    pub value: Option<Value>,
    pub least: Option<i64>,
    pub most: Option<i64>,
    pub outcome: Outcome,
    /// Dimensions that are only assumed and matter here; index into [`Stack::dims`].
    pub assumes: Vec<u32>,
    /// What the data does not say, and what it was taken for here.
    pub supposes: Vec<Supposed>,
    /// The recorded trial that settles it; index into the catalogue's trials.
    pub tried: Option<usize>,
}

/// A datum that the book lacks, taken for what is worst for the check of all that the trade uses.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Supposed {
    BoltClass { of: ItemIx, class: PropertyClass },
    NutMaterial { of: ItemIx, material: String },
}
