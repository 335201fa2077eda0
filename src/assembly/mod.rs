//! One stack in, numbers out: half-sections, landings, clearances, load path, checks.
//!
//! Uses `quantity`, `kinds`, `catalogue`, `rules`. Must not choose parts.
//!
//! # How bounds are found
//!
//! Every height is a linear form (`quantity/form.rs`). Where a comparison is open the stack is followed both ways, a *case*
//! each (`case.rs`), and what is told is the hull over the cases. Within a case a form is bounded over those parts only for
//! which everything decided holds, all at once (`given.rs`). The most that the least of several forms can be is found in the
//! same way, and open faces of a gap are looked at each way they can turn out (`push.rs`).
//!
//! A cone's line is told by its gauge (`piece.rs`), so that cone lands on equal cone without a common diameter. A face that
//! may touch as high as what carries, between other columns, is another support and is followed both ways.
//!
//! Wider than need be, but true: the least room beside a cone (each of its ends for itself, `still.rs`), more open
//! comparisons in one distance than `MOST_QUESTIONS` (`push.rs`), more bearing on one form than `MOST_COMPARISONS`
//! (`given.rs`), more chains of guides between two parts than `MOST` (`drift.rs`). A stack of more than `MOST_CASES` is
//! judged "to be measured"; the quick look (`glance/`) may still refuse it for certain.
//!
//! | held by | what |
//! |---|---|
//! | `tests/exact.rs` | where one support is certain, real parts at both ends of every landing, gap and clearance; where ranges cross, the hull equals linear programmes |
//! | `tests/ends.rs` | both ends of every told interval are attained by real parts |
//! | `tests/angles.rs` | cones of any equal angles come to what those of 45 degrees do; unequal cones do not seat |
//! | `tests/sampling.rs` | parts at random never fall outside; a million: `cargo test --release --test library sampling:: -- --ignored` |
//! | `tests/builds.rs` | real builds judged a second time contradict nothing that is said of all |
//!
//! # Adding a check
//!
//! Follow one that is like it through every file: `grep -rniE "StandsOut|stand_?out" src tests content themes` shows a list
//! of the rule file over two slots and their heights. `cargo check --tests` tells more than `cargo check`: literals of `Rule`
//! stand in tests as well.
//!
//! | what | where | asked for by |
//! |---|---|---|
//! | its name, a stable word, whether it is of heights | `Demand`, `word` and `is_of_heights` in `report.rs` | the compiler |
//! | its value in every case, added to the ledger | `check_items.rs` for one item, `judge.rs` for the whole stack, or a file of its own that `judge.rs` calls (`key_way.rs`, `slits.rs`) | |
//! | which slots it rests on, so that the search goes back no further than it must; `ALL` is always true, and needed where a part lies loose | `slots` in `blame.rs` | the compiler |
//! | what it is about, for sentences | `src/guide/numbers.rs` | the compiler |
//! | that it can be part of a reason | `demands` in `src/solve/reason.rs`; a check that is not there is never said to stand in the way | nothing |
//! | its words: the name, what is said where it fails too little or too much, what thins candidates out | `check.WORD`, `lead.WORD-little` and `-much`, `[funnel]`, `measure.dry-WORD` in `content/words/en.toml`; without a lead or a funnel a common sentence is taken | `[check]` by a test in `src/guide/words.rs`, whose list it joins by hand |
//! | the group in which a guide lists it | `GROUPS` in `src/site/number_view.rs`, by the beginning of its word | nothing |
//! | that a dry build shows it | `seen_on_dry_build` in `src/solve/readings.rs`, where it does | nothing |
//! | an entry of rule files that asks for it | `src/rules/`: struct and field in `mod.rs`, `Gathered` and `gather` in `lists.rs`, `reading.rs`, layout and `ALL` in `layouts.rs`, `absurd.rs`, `usual.rs` with `LIMITS` of `src/kinds/plausible.rs`; where silence would leave it out, `left_out/` | `tests/left_out.rs` takes each entry out |
//! | a quick look at it, where that saves time | `glance/checks.rs`, called from `glance/mod.rs`: never worse than the full judgement | `tests/glance.rs` |
//! | that a part alone fails it | `src/solve/alone.rs`, which thins the candidates before any stack is built | `tests/brute_force.rs` |
//! | a second judgement of it | `tests/proof/hand/`, from the model alone; a fact of it in `tests/held.rs`; `asks_no_less` in `tests/proof/entries.rs`; a bad book for each new message | `tests/builds.rs` |
//! | the page of the system | `src/site/system_view.rs`, and `limit_name` in `themes/bench/labels.html` | nothing |
//!
//! What nobody tells:
//!
//! - The place of the variant in `Demand` is the order in which checks are kept and told.
//! - `judge` has all checks; `early` (same file) has what can be said as soon as an item is on, and must stay a failure
//!   whatever comes later.
//! - A chosen height has no bottom: refuse such a slot in `src/rules/lists.rs`, or give a `Bounding` (`choose.rs`). What lies
//!   loose has two heights (`loose::lies`).
//! - See to `comes_of_others` in `src/guide/reason.rs`, and to `said` in `numbers.rs` where `about` is not in the order of
//!   the sentence.
//! - A quick look asks once for what cannot be. It has to say no, not "Not settled", of what a pair of parts rules out; else
//!   it needs a look ahead (`narrow.rs`, `above.rs`).

mod blame;
mod build;
mod case;
mod check_items;
mod choose;
mod drift;
mod export;
mod given;
mod glance;
mod grip;
mod judge;
mod key_way;
mod land;
mod ledger;
mod links;
mod loose;
mod meet;
mod multipliers;
mod piece;
mod place;
mod push;
mod report;
mod rims;
mod set_in;
mod slits;
mod split;
mod still;
mod way_down;
mod zone;

pub use blame::{ALL, Blame, Slots, bit};
pub use build::{Build, Pick, Setting};
pub use export::{assemble, assemble_knowing, seat_dims, stack};
pub use glance::{Alike, Glance, Learned, Look, NameIx, Narrowed, OfRule, Outline, Readies};
pub use judge::{Early, Judgement, early, judge, worst};
pub use place::{alike_at_nominal, alike_turned};
pub use push::gaps;
pub use report::{
    Check, Contact, Demand, ItemDim, ItemIx, MateWith, Mating, Outcome, Placed, PlacedColumn, PlacedCut,
    PlacedSegment, PlacedWall, PutOnWord, Stack, Support, Supposed, Value, Window,
};
pub use way_down::{rings, way_down};

/// Strengths of materials and the engagement they ask for, from the shop's data.
pub trait Strengths {
    /// Engaged length of thread needed so that the bolt breaks before the thread strips. A class or material that the
    /// data does not give is the one that is worst for this; `None`: the limits of such a thread are not known.
    fn engagement_needed(
        &self,
        male: &crate::kinds::Shape,
        female: &crate::kinds::Shape,
    ) -> Option<crate::quantity::Length>;

    /// Which class and which material were taken for want of a datum.
    fn supposed(
        &self,
        _male: &crate::kinds::Shape,
        _female: &crate::kinds::Shape,
    ) -> (Option<crate::quantity::PropertyClass>, Option<String>) {
        (None, None)
    }
}
