//! A guide as finished text and plain public fields: what the site prints, what the terminal prints, what
//! the data file carries. No HTML, no SVG. Text is plain (never markup) and comes from the book's words.

use crate::assembly::{ItemIx, Outcome};
use crate::solve::{Supply, Verdict};

/// One fork with one clamp system, ready to be read.
#[derive(Clone, Debug, PartialEq)]
pub struct Guide {
    pub fork_id: String,
    pub fork_name: String,
    pub system_id: String,
    pub system_name: String,
    pub system_short: Vec<String>,
    /// Of all answers where they agree. Where it depends, of the one that promises least: never to be told as the
    /// pairing's own.
    pub verdict: Verdict,
    pub supply: Option<Supply>,
    /// It depends on the revision of the fork, or of a part in a box: each of `answers` stands by itself.
    pub depends: bool,
    /// "Goes with extra parts".
    pub verdict_words: String,
    /// One or two plain sentences: the answer as said over the counter.
    pub summary: String,
    /// One for each revision of the fork, or of parts in boxes, whose answer differs; one entry when all agree.
    pub answers: Vec<GuideAnswer>,
    /// Where revisions with the same plan are told as one although numbers differ: each by itself. For data.
    pub apart: Vec<GuideAnswer>,
    pub before_riding: Vec<String>,
    /// The bars that it is told for, where these are not the cheapest.
    pub with_bars: Option<ForBars>,
    /// What it comes to with each set of bars of the book; empty where it is told for some already.
    pub bars: Vec<BarsRow>,
}

/// The answer for one revision (or for all where they agree).
#[derive(Clone, Debug, PartialEq)]
pub struct GuideAnswer {
    /// Index into the answers handed to the drawing side (the same order as solved).
    pub answer: usize,
    /// What it is told for, as one label: "revision 2 (spring 2026)". `None`: for all there are.
    pub revision: Option<RevisionText>,
    /// The same one by one: the fork's first, then of parts in boxes.
    pub revisions: Vec<RevisionText>,
    pub verdict: Verdict,
    pub supply: Option<Supply>,
    pub verdict_words: String,
    pub summary: String,
    /// What is the same for all revisions it is told for, and what differs; empty for one revision.
    pub same: Vec<String>,
    /// Before all else: what has to be changed for good.
    pub change: Option<ChangeText>,
    /// Opens the page when the verdict is *measure first*.
    pub measuring: Vec<MeasuringStep>,
    pub steps: Vec<GuideStep>,
    pub parts: Vec<PartRow>,
    pub need: Vec<NeedRow>,
    pub use_from: Vec<UseRow>,
    pub leave: Vec<LeaveRow>,
    /// "24.50 €", empty when nothing is to be bought.
    pub spend: String,
    pub in_stock_note: Option<String>,
    /// What is on hand goes only if measured; the answer has to be ordered.
    pub on_hand_note: Option<String>,
    pub numbers: Vec<NumberRow>,
    /// For *does not go*: first the one plain sentence, then the facts that cannot hold together.
    pub reason: Vec<String>,
    /// Then slot by slot.
    pub funnel: Vec<String>,
    pub wanted: Vec<String>,
    pub head_tube: Vec<String>,
    /// The range of `head_tube` in which the plan's own head tube is, without its parts.
    pub head_tube_here: Option<String>,
    pub decks: Vec<DeckRow>,
    pub alternatives: Vec<AlternativeRow>,
    /// The last of the alternatives: what a change for good would do instead.
    pub last_resort: Option<ChangeText>,
    /// Everything that was only assumed and matters.
    pub assumed: Vec<String>,
    /// Checks that rest on a trial with very parts in hand, not on sizes.
    pub tried: Vec<String>,
    pub unfinished: Option<String>,
    /// From each other system of the fork that has a plan; none where nothing goes.
    pub coming: Vec<ComingRow>,
    /// What is asked first.
    pub glance: Glance,
}

/// What a rider asks first of an answer, and what the steps need.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Glance {
    /// What the rider brings and the bars: the answer is for these. Empty where nothing goes.
    pub built_on: Vec<PartLine>,
    /// In order of use, each once.
    pub tools: Vec<String>,
    /// Where the book gives the time of every step.
    pub minutes: Option<String>,
    /// Whether it is work for hand tools, for presses, or for a workshop.
    pub skill: String,
    /// What is to be bought costs so much, in hundredths of the currency: for sorting. `None`: a price is missing.
    pub cost: Option<i64>,
    /// What may be cut and what not: stands before the first step.
    pub cutting: Option<Caution>,
    /// Index of the check that the reason opens with, in the order of `numbers`; `None` where it is none of them.
    pub lead: Option<usize>,
    /// Lengths of head tube that go, in millimetres, with what is added; in the order of `head_tube`.
    pub head_tube: Vec<HeadTubeRange>,
}

/// Hazard, what happens, how to avoid it, under one of the signal words of ISO 3864-2.
#[derive(Clone, Debug, PartialEq)]
pub struct Caution {
    /// `warning`, `caution` or `notice`.
    pub signal: &'static str,
    /// The same as the book says it.
    pub word: String,
    pub text: String,
}

/// For drawing to scale; the words stand in [`GuideAnswer::head_tube`].
#[derive(Clone, Debug, PartialEq)]
pub struct HeadTubeRange {
    pub least_mm: f64,
    pub most_mm: f64,
    pub as_planned: bool,
}

/// A permanent change with everything that must stand beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct ChangeText {
    /// "WARNING: a change that cannot be undone"
    pub warning: String,
    /// Why it is the last resort.
    pub why: String,
    /// What is done to which part, one sentence each.
    pub done: Vec<String>,
    /// What is lost by it.
    pub lost: Vec<String>,
    /// What the plan without a change costs more, or that there is none.
    pub no_cut: String,
    /// For a plan that is not shown in full: what it is made of.
    pub plan: Option<String>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct RevisionText {
    pub part_id: String,
    pub id: String,
    /// "2 (spring 2026)"
    pub label: String,
    /// "revision 2", for where there is little room.
    pub short: String,
    /// How to tell on the bench.
    pub tell: Option<String>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct MeasuringStep {
    pub text: String,
    pub go: String,
    pub no_go: Option<String>,
    pub undecided: Option<String>,
    /// It needs parts that have yet to be bought.
    pub new_parts: bool,
}

#[derive(Clone, Debug, PartialEq)]
pub struct GuideStep {
    /// From 1.
    pub number: usize,
    /// Rule step id: stable anchor.
    pub id: String,
    pub text: String,
    /// The same for other revisions of the fork, where it differs there.
    pub also: Vec<String>,
    /// Said before a step that cannot be undone.
    pub warning: Option<String>,
    pub feel: Option<String>,
    /// How the part is kept where it was set, where nothing but the mechanic holds it.
    pub held: Option<String>,
    pub item: Option<ItemIx>,
    /// Number in the parts table.
    pub part_number: Option<usize>,
    pub way: Option<String>,
    pub tool: Option<String>,
    pub torque: Option<String>,
    /// How deep the part is set, as the step says it.
    pub depth: Option<String>,
    pub reach: Option<String>,
    /// About this step, each told once in a guide.
    pub cautions: Vec<Caution>,
    /// What its picture says of the size that a part is brought to.
    pub changed_size: Option<String>,
    /// Items on the bench build before this step, in placing order (for the step picture).
    pub already: Vec<ItemIx>,
}

/// One row of the parts table; numbers are those of the drawing, bottom to top.
#[derive(Clone, Debug, PartialEq)]
pub struct PartRow {
    pub number: usize,
    pub item: ItemIx,
    pub part_id: String,
    pub name: String,
    pub slot: String,
    pub kind: String,
    pub way: Option<String>,
    /// The end that `way` is about, as placed: true for the upper one.
    pub told_end: Option<bool>,
    pub revision: Option<RevisionText>,
    /// What it is made into first, for good.
    pub changed: Option<String>,
    /// Where it comes from: "Heron fork box", "to buy", "rider's own". Empty where nothing goes.
    pub from: String,
    pub source: PartSource,
}

/// Where a part of a plan comes from; ids of boxes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum PartSource {
    /// Nothing goes, and nothing is taken.
    #[default]
    None,
    Box(String),
    BoughtBox(String),
    Bought,
    Own,
}

#[derive(Clone, Debug, PartialEq)]
pub struct NeedRow {
    pub id: String,
    /// Part or box page it links to.
    pub is_box: bool,
    pub name: String,
    pub count: u32,
    pub price: Option<String>,
    pub stock: Option<String>,
    /// What it supplies.
    pub supplies: Vec<String>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct UseRow {
    pub part_id: String,
    pub name: String,
    pub box_id: Option<String>,
    pub text: String,
}

#[derive(Clone, Debug, PartialEq)]
pub struct LeaveRow {
    pub part_id: String,
    pub name: String,
    pub box_id: String,
    pub why: String,
}

/// Every check: value, limit, outcome.
#[derive(Clone, Debug, PartialEq)]
pub struct NumberRow {
    /// Stable word of the check.
    pub check: &'static str,
    /// "Clearance of the shim over the steerer"
    pub what: String,
    /// "0.05 to 0.25 mm"
    pub value: String,
    /// "0 to 0.30 mm", "at least 30 mm"
    pub limit: String,
    pub outcome: Outcome,
    pub outcome_words: String,
    /// Assumed dimensions behind it, and what was taken for want of a datum.
    pub assumes: Vec<String>,
    /// The trial it rests on.
    pub tried: Option<String>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct DeckRow {
    pub part_id: String,
    /// The part with its revision, as a name for its place on a page.
    pub key: String,
    pub name: String,
    /// Head tube of this deck as written.
    pub head_tube: String,
    pub verdict: Verdict,
    pub words: String,
    /// What the steps say otherwise there.
    pub steps: Vec<OtherSteps>,
}

/// What the steps of a guide say otherwise for another plan.
#[derive(Clone, Debug, PartialEq)]
pub struct OtherSteps {
    /// For what, where that has to be said: "With the parts of this guide".
    pub with: Option<String>,
    /// Each with its place among the guide's own, in bench order.
    pub lines: Vec<String>,
}

/// A set of bars with a page of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct ForBars {
    /// Its name in the folder of the pairing.
    pub page: String,
    pub name: String,
}

#[derive(Clone, Debug, PartialEq)]
pub struct BarsRow {
    pub part_id: String,
    pub name: String,
    pub verdict: Verdict,
    pub words: String,
    /// Where a page of its own tells the plan: its name in the folder of the pairing.
    pub page: Option<String>,
    /// The search came to its limit.
    pub unsettled: bool,
    /// Revisions differ: `verdict` is never to be told then.
    pub depends: bool,
}

#[derive(Clone, Debug, PartialEq)]
pub struct AlternativeRow {
    pub slot: String,
    pub part_id: String,
    pub name: String,
    pub verdict: Verdict,
    pub text: String,
}

/// How to come from another system on the same fork.
#[derive(Clone, Debug, PartialEq)]
pub struct ComingRow {
    /// The system come from.
    pub system_id: String,
    pub system_name: String,
    /// Where it is so for one revision of the fork only.
    pub revision: Option<String>,
    /// No longer used.
    pub take_off: Vec<PartLine>,
    pub keep: Vec<PartLine>,
    pub add: Vec<PartLine>,
    pub need: Vec<NeedRow>,
    /// "24.50 €", or the words that say there is nothing to buy.
    pub spend: String,
    /// "Dunlin deck, 89.00 €": what of that is for a deck, which no scooter that comes from there has.
    pub new_deck: Option<String>,
    /// In order of use, each once.
    pub tools: Vec<String>,
    /// Where the book gives the time of every step.
    pub minutes: Option<String>,
    /// In order.
    pub undo: Vec<String>,
    /// Numbers of this guide's steps that follow.
    pub build: Vec<usize>,
    /// The same as a sentence.
    pub then: String,
    /// With which decks both plans go, or that there is none.
    pub brought: Option<String>,
    /// What is cheaper on the rider's own deck, the cheapest first: to be told before all else.
    pub own_deck: Vec<OwnDeckRow>,
    /// From other decks, built as their rows in the other guide say; and those from which no way was found.
    pub other_decks: Vec<OwnDeckRow>,
    pub no_way_on: Option<String>,
}

/// A plan of the pairing, other than the guide's, on decks on which the scooter stands already.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnDeckRow {
    /// Part ids.
    pub decks: Vec<String>,
    /// The same by name.
    pub names: String,
    /// "24.50 €", or the words that say there is nothing to buy.
    pub spend: String,
    /// A whole sentence or two: decks, price, what is other than in the guide, what to buy.
    pub text: String,
    /// Ids of parts and boxes, and how many.
    pub buy: Vec<(String, u32)>,
    /// The bars are others than before, too.
    pub bars: bool,
    /// What the steps say otherwise, deck by deck.
    pub steps: Vec<OtherSteps>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct PartLine {
    pub part_id: String,
    pub name: String,
    pub text: String,
}
