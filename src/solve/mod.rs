//! Search over parts, ways up and spacers: verdict, funnel, wanted part. Must not know words.

mod alone;
mod alternatives;
mod answer;
mod bench;
mod bolts;
mod candidates;
mod coming;
mod head_tube;
mod holding;
mod leave;
mod nogood;
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
pub use holding::{Held, HeldPlan, OwnPlan};
pub use route::{Best, Change, Changed, NoRoute, Route, RouteMap, Shelf};
pub use set_up::{SetUp, picks_of};
pub use supply::{Cost, Counts};
