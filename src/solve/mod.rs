//! Search over parts, ways up and spacers: verdict, funnel, wanted part. Must not know words.

mod alone;
mod alternatives;
mod answer;
mod bench;
mod bolts;
mod candidates;
mod doubt;
mod head_tube;
mod key;
mod leave;
mod nogood;
mod purse;
mod readings;
mod reason;
mod search;
mod supply;

pub use answer::{
    Alternative, Answer, Article, Buy, FunnelRow, FunnelStep, HeadTube, Instead, Leave, ReadWhat, Reading,
    Spend, Supply, Verdict, Wanted, WhyLeft,
};
pub use bench::Bench;
pub use bolts::ShopStrengths;
pub use doubt::{Doubts, Pair, ToMeasure, TorqueOver, Unused, WhyUnused, doubts, to_measure};
pub use key::{Ask, ClassReading, ForkKey, Found, KeyClass, KeyEnd, KeyQuestion, Look, fork_key};
