//! Steps, need, use, leave, reasons: finished text and plain public fields. No HTML, no SVG.
//!
//! [`Words`] are read once a book; [`guide`] tells the answers of one fork with one system; [`plain`] and
//! [`pairing_json`] are the same guide for a terminal and as data. No sentence stands in Rust: all are in
//! `content/words` and in rule files.
//!
//! # What a guide page says, and in which order
//!
//! By what is asked first: the answer with its deck, bars, price, time and tools, the picture beside it; what is needed, by
//! where it comes from (`sources` in `src/site/glance_view.rs`); the dangers; the steps; the looks before the ride. Below
//! that all is folded: other decks, other parts, the last resort, coming from another system, and what the shop asks. Folded
//! parts are printed only where they are open. A page that says no opens with what fails, then what goes on this fork,
//! cheapest first.
//!
//! A caution stands at its step: `glance.rs` finds from the rule whether a step presses, drives, closes a clamp or cuts, and
//! tells each once in a guide. What may be cut is said once, too: nothing, the one cut of the plan, or, beside a last resort,
//! none in these steps.
//!
//! `tests/browser/agree.test.mjs` holds that no two places give different numbers for one thing, `length.test.mjs` words and
//! screens of every guide page and sheets of print, `words.test.mjs` that no sentence repeats or contradicts another.
//! `BENCHLEAF_EVERY_PAGE=1` prints all guides and compares all places.
//!
//! # How the words are made
//!
//! - A system is called by its trade name first, then by what it is: `Words::system`, "HIC (wide shim)".
//! - Several parts of one name in one place are the first, the second, the third (`own_name` in `bench.rs`).
//! - A reading is of a size that exists: a part's own, or what its entry in `[measure]` (`dry-…`, `reach`) says how to take
//!   on the dry build. Where a longer bolt would spare it, that is said (`src/solve/longer.rs`).
//! - A miss from a millimetre on is told to the tenth; sizes and limits keep their hundredths (`lengths.rs`).
//!   `src/site/typeset.rs` keeps a unit on the line of its number.
//! - Another plan of a pairing, on another deck, is told by the guide's own steps (`other_steps.rs`): whatever a step has filled in
//!   but the deck's name is compared, so that no figure is worked by that is another plan's.
//! - Revisions that come to the same plan are told once, with what differs (`revisions.rs`); in JSON each stands by itself.
//!   Where answers differ, and not all are *no*, the pairing *depends* (`Guide::depends`): `verdict` of such a guide is that
//!   of the answer that promises least and is told nowhere as the pairing's own (`head_word` in `src/site/numbers.rs`).
//!
//! The rules of wording are in DEVELOPERS.md, under "Words".

mod bars;
mod bench;
#[cfg(test)]
mod beside_tests;
mod build;
mod changing;
mod coming;
mod data;
mod data_coming;
#[cfg(test)]
mod data_tests;
mod data_words;
mod decks;
mod doubts;
mod forces;
mod funnel;
mod gaps;
mod glance;
mod head_tube;
mod in_the_way;
mod key;
mod lengths;
mod measuring;
mod numbers;
mod other_steps;
mod page;
mod reason;
mod revisions;
mod route;
#[cfg(test)]
mod sample_for_tests;
mod set_in;
mod steps;
mod supply;
mod supposed;
mod telling_apart;
mod template;
#[cfg(test)]
mod tests;
mod text;
mod ways;
mod words;

pub use bars::{ComesTo, WithBars, tell_bars, variant_id};
pub use bench::Book;
pub use build::{guide, guide_with_problems, verdict_key};
pub use coming::{ComingBy, OwnDeckWay, coming_from};
pub use data::pairing_json;
pub use decks::{OnDeck, parts_beyond, tell_decks};
pub use doubts::{Doubter, MeasureRow};
pub use key::{AnswerText, ClassFork, ClassText, KeyText, QuestionText, To, key_text};
pub use numbers::is_ample_gap;
pub use page::{
    AlternativeRow, BarsRow, Caution, ChangeText, ComingRow, DeckRow, ForBars, Glance, Guide, GuideAnswer,
    GuideStep, HeadTubeRange, LeaveRow, MeasuringStep, NeedRow, NumberRow, OtherSteps, OwnDeckRow, PartLine,
    PartRow, PartSource, RevisionText, UseRow,
};
pub use route::{RouteTeller, RouteText, StopText};
pub use steps::check_rule_sentences;
pub use text::{WIDTH, plain, wrapped};
pub use words::{Values, Words};
