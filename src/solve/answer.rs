//! What the search found for one fork and one clamp system: indexes and numbers, no words.
//!
//! Must not know how anything is said or drawn.

use super::boxed::InBox;
use crate::assembly::{Check, ItemIx, Stack, Value};
use crate::base::{Label, label};
use crate::catalogue::{BoxIx, PartIx, VariantIx};
use crate::quantity::Money;
use crate::rules::SlotIx;
use serde::{Deserialize, Serialize};

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Verdict {
    Goes,
    Measure,
    No,
}

/// How a pairing that goes (or may go) is supplied.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Supply {
    /// Everything is in the fork's own box (what the rider brings aside).
    AsBoxed,
    ExtraParts,
    PermanentChange,
}

/// The answer for one fork in one of its revisions.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Answer {
    pub fork: VariantIx,
    /// What it takes to be in boxes that do not say which revision of a part they hold; sorted. It holds for that
    /// alone, and there is an answer for everything else that may be in there.
    pub boxed: Vec<InBox>,
    /// Index into the rules.
    pub system: usize,
    pub verdict: Verdict,
    pub supply: Option<Supply>,
    /// The plan; for `No` the nearest attempt.
    pub stack: Stack,
    /// How far each pushed item can go down before it meets the fork, in drop order; nothing for `No`.
    pub gaps: Vec<(ItemIx, Value)>,
    /// Items that go on either way up, in drop order: turned over, in any combination, they change nothing told.
    pub either_way: Vec<ItemIx>,
    pub buy: Vec<Buy>,
    /// From which owned box each used part is taken.
    pub take: Vec<(VariantIx, BoxIx)>,
    /// What stays in the boxes (owned and bought).
    pub leave: Vec<Leave>,
    pub spend: Spend,
    /// Parts that could stand in a slot instead, all else equal.
    pub alternatives: Vec<Alternative>,
    /// Of those that look as if they would serve, what does not.
    pub unfit: Vec<Unfit>,
    /// The plan that would be best if everything were in stock, when the stock list made another one best.
    pub if_in_stock: Option<Box<Instead>>,
    /// What is on hand gives a plan, too, but one to be measured first, where the answer goes for certain and waits for
    /// something that is not on hand.
    pub if_on_hand: Option<Box<Instead>>,
    /// What is changed for good in this plan; without it nothing goes.
    pub changes: Vec<ChangedPart>,
    /// Beside a plan without a change: what a change would do instead, where it is worth telling.
    pub last_resort: Option<Box<LastResort>>,
    pub head_tube: Vec<HeadTube>,
    pub readings: Vec<Reading>,
    /// For `Measure`: what can be tried by hand, beside the readings and where there are none.
    pub tries: Vec<TryOut>,
    /// For `No`: demands that cannot hold together; take any one away and something would go.
    pub reason: Vec<Check>,
    /// False: whether fewer of these would already be a contradiction was not settled.
    pub reason_smallest: bool,
    /// For `No`: slot by slot, how the candidates thin out.
    pub funnel: Vec<FunnelRow>,
    pub wanted: Vec<Wanted>,
    /// The search came to its limit: then `No` is not proved and must be said so.
    pub unfinished: bool,
}

impl Answer {
    /// The same for another revision of the fork that is made to the same measures.
    pub(super) fn for_revision(&self, fork: VariantIx) -> Answer {
        let mut answer = Answer { fork, ..self.clone() };
        for placed in answer.stack.items.iter_mut().filter(|p| p.variant == self.fork) {
            placed.variant = fork;
        }
        answer
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Article {
    /// Loose, in the revision that is asked for.
    Part(VariantIx),
    Box(BoxIx),
}

impl Article {
    pub(super) fn a_box(self) -> Option<BoxIx> {
        match self {
            Article::Box(the_box) => Some(the_box),
            Article::Part(_) => None,
        }
    }
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Buy {
    pub article: Article,
    pub count: u32,
    pub price: Option<Money>,
    /// Which parts of the plan it supplies.
    pub for_parts: Vec<VariantIx>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Spend {
    pub known: Money,
    /// Articles without a price.
    pub unpriced: u32,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Leave {
    pub part: PartIx,
    /// Where the part has several, and it is known which one lies there.
    pub revision: Option<VariantIx>,
    pub of: BoxIx,
    pub count: u32,
    pub why: WhyLeft,
}

/// Why a part stays in its box, computed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum WhyLeft {
    /// No slot of this system takes its kind.
    NoPlace,
    /// Another part already stands in the slot it could fill.
    SlotFilled(SlotIx, PartIx),
    /// Put in that slot instead, this check would not pass.
    WouldFail(SlotIx, Box<Check>, Option<VariantIx>),
    /// It would do, but nothing needs it.
    NotNeeded(SlotIx),
    /// More of them than needed.
    Spare,
}

/// Another part in a slot, all else as planned, and the check that it fails.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Unfit {
    pub slot: SlotIx,
    pub variant: VariantIx,
    pub check: Box<Check>,
    /// Where it fails by what carries a part: what that is.
    pub carried_by: Option<VariantIx>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Alternative {
    pub slot: SlotIx,
    pub variant: VariantIx,
    /// The way up it was tried.
    pub turned: bool,
    /// It serves either way up, with the same closing gap.
    pub either_way: bool,
    pub verdict: Verdict,
    /// Its own price when bought loose.
    pub price: Option<Money>,
    pub in_stock: bool,
    /// Closing gap with it, least and most.
    pub gap: Option<(i64, i64)>,
    /// Parts set into another that may not sit everywhere where they may in the plan, and how deep they may sit with it.
    pub depths: Vec<(ItemIx, (i64, i64))>,
    /// What the plan's steps say of all other chosen heights (a clamp's) holds with it.
    pub heights_hold: bool,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Instead {
    pub parts: Vec<VariantIx>,
    pub spend: Spend,
    pub missing: Vec<Article>,
}

/// A part of a plan that is changed for good before it goes on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ChangedPart {
    /// The part as changed; what it is made from stands in the catalogue.
    pub variant: VariantIx,
    pub slot: SlotIx,
    /// Number of the change in the rules.
    pub change: usize,
    /// For a size brought to another.
    pub size: Option<NewSize>,
}

/// There is a length: the plan was found with one of the change's own, and told is what serves as well all round it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct NewSize {
    /// Dimension name.
    #[serde(with = "label")]
    pub name: Label,
    pub from: i64,
    /// What is aimed at: the middle of the window.
    pub to: i64,
    /// Whatever length is aimed at in here, and missed by at most `within`, the plan goes.
    pub least: i64,
    pub most: i64,
    pub within: i64,
}

/// A plan with a permanent change, told beside the better one without.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LastResort {
    pub verdict: Verdict,
    pub changes: Vec<ChangedPart>,
    /// Everything it is made of, in drop order.
    pub parts: Vec<VariantIx>,
    pub spend: Spend,
    /// Something would have to be bought for it.
    pub anything_to_buy: bool,
    /// What the plan without a change costs more; under zero where it costs less. `None` where prices are missing.
    pub no_cut_extra: Option<Money>,
    /// What the plan without a change needs and is not on hand.
    pub waits_for: Vec<Article>,
}

/// Head-tube lengths for which everything holds, with these risers and spacers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HeadTube {
    pub least: i64,
    pub most: i64,
    pub with: Vec<VariantIx>,
    /// With those of the plan itself.
    pub as_planned: bool,
}

/// A reading to take before buying or building, with its three zones.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    pub what: ReadWhat,
    /// Goes when the reading lies in here (caliper error already taken off).
    pub go_from: Option<i64>,
    pub go_to: Option<i64>,
    /// Certainly does not go at or below / at or above these.
    pub no_below: Option<i64>,
    pub no_above: Option<i64>,
    /// Caliper uncertainty for this kind of reading.
    pub caliper: i64,
    pub order: u32,
    /// Whether this one reading settles the matter: every open check, where it lies in one of the two zones.
    pub decides: bool,
    /// The open checks that it is about; index into the stack's checks.
    pub checks: Vec<usize>,
    /// Thousandths of the range that the reading can have in neither zone, rounded up.
    pub undecided: u32,
    pub then: Then,
    /// What would spare this reading and all others.
    pub longer: Option<Longer>,
}

/// A part of the plan that, made so much longer, settles it: then the plan goes for certain.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Longer {
    pub item: ItemIx,
    /// Its length then, in nanometres.
    pub to: i64,
}

/// What goes for certain when the reading lies where this plan does not, by the zone.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Then {
    pub below: Option<Next>,
    pub above: Option<Next>,
}

/// The plan with one slot filled otherwise; either list may be empty.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Next {
    pub slot: SlotIx,
    pub out: Vec<VariantIx>,
    pub put: Vec<VariantIx>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum ReadWhat {
    /// A dimension of an item of the plan: index into the stack's dims.
    Dim(u32),
    /// Two dimensions added, or the other taken from the one.
    Pair { one: u32, other: u32, sum: bool },
    /// How far a part that is screwed into one of chosen height reaches into what that is set in: what the height has to leave
    /// room for. Read off the part itself and the dry build, one length less another.
    Reach { item: ItemIx, into: ItemIx, chosen: ItemIx },
    /// A depth or height on the dry build: the value of a check (index into the stack's checks).
    DryBuild(usize),
}

/// Something to try with the parts in hand: it is so or it is not, and no size is read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TryOut {
    pub what: TryWhat,
    /// The open checks that it settles; index into the stack's checks.
    pub checks: Vec<usize>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum TryWhat {
    /// The one part slides on the other by hand and does not wobble: the sleeve of this check.
    Slides(usize),
    /// What this check asks for is seen on the dry build.
    Seen(usize),
    /// Every check, on the dry build: the stack comes together in more ways than were followed.
    DryBuild,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FunnelRow {
    pub slot: SlotIx,
    /// Parts of its kinds in the book; of the first slot, the fork alone.
    pub in_book: u32,
    /// Those that can be had: owned, sold, or in a box that is sold.
    pub can_be_had: u32,
    /// What each named demand leaves, in the order applied.
    pub left: Vec<FunnelStep>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FunnelStep {
    pub demand: crate::assembly::Demand,
    pub left: u32,
    /// Of those that fall out here, the nearest: which, and by how much (nanometres) it misses.
    pub nearest: Option<(VariantIx, i64)>,
}

/// A part that is not in the book and would make it go.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Wanted {
    pub slot: SlotIx,
    #[serde(with = "label")]
    pub kind: Label,
    /// Field name and the range its real value must lie in; an open end is no limit.
    pub ranges: Vec<(String, Option<i64>, Option<i64>)>,
    /// The part of the book that it is like in everything else.
    pub like: Option<VariantIx>,
}
