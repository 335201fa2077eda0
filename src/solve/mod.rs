//! Search over parts, ways up and spacers: verdict, funnel, wanted part. Must not know words.

mod alone;
mod alternatives;
mod answer;
mod bench;
mod bolts;
mod candidates;
mod coming;
mod doubt;
mod head_tube;
mod holding;
mod key;
mod leave;
mod nogood;
mod purse;
mod readings;
mod reason;
mod route;
mod search;
mod set_up;
mod supply;

pub use answer::{
    Alternative, Answer, Article, Buy, FunnelRow, FunnelStep, HeadTube, Instead, Leave, ReadWhat, Reading,
    Spend, Supply, Verdict, Wanted, WhyLeft,
};
pub use bench::Bench;
pub use bolts::ShopStrengths;
pub use coming::{Coming, Source};
pub use doubt::{Doubts, Pair, ToMeasure, TorqueOver, Unused, WhyUnused, doubts, to_measure};
pub use head_tube::shortest_head_tube;
pub use holding::{Held, HeldPlan, OwnPlan};
pub use key::{Ask, ClassReading, ForkKey, Found, KeyClass, KeyEnd, KeyQuestion, Look, fork_key};
pub use route::{Best, Change, Changed, NoRoute, Route, RouteMap, Shelf};
pub use set_up::{SetUp, picks_of};
pub use supply::{Cost, Counts};
