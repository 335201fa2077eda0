//! Steps, need, use, leave, reasons: finished text and plain public fields. No HTML, no SVG.
//!
//! [`Words`] are read once a book; [`guide`] tells the answers of one fork with one system; [`plain`] and
//! [`pairing_json`] are the same guide for a terminal and as data. No sentence stands in Rust: all are in
//! `content/words` and in rule files.

mod bars;
mod bench;
#[cfg(test)]
mod beside_tests;
mod build;
mod changing;
mod coming;
mod data;
#[cfg(test)]
mod data_tests;
mod data_words;
mod decks;
mod doubts;
mod forces;
mod funnel;
mod glance;
mod head_tube;
mod in_the_way;
mod key;
mod lengths;
mod measuring;
mod numbers;
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
pub use coming::{ComingBy, coming_from};
pub use data::pairing_json;
pub use decks::{OnDeck, parts_beyond, tell_decks};
pub use doubts::{Doubter, MeasureRow};
pub use key::{AnswerText, ClassFork, ClassText, KeyText, QuestionText, To, key_text};
pub use numbers::is_ample_gap;
pub use page::{
    AlternativeRow, BarsRow, Caution, ChangeText, ComingRow, DeckRow, ForBars, Glance, Guide, GuideAnswer,
    GuideStep, HeadTubeRange, LeaveRow, MeasuringStep, NeedRow, NumberRow, OwnDeckRow, PartLine, PartRow,
    PartSource, RevisionText, UseRow,
};
pub use route::{RouteTeller, RouteText, StopText};
pub use steps::check_rule_sentences;
pub use text::{WIDTH, plain, wrapped};
pub use words::{Values, Words};
