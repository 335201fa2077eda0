//! Search over parts, ways up and spacers: verdict, funnel, wanted part. Must not know words.

mod alone;
mod alternatives;
mod answer;
mod aside;
mod bench;
mod bolts;
mod boxed;
mod candidates;
mod changed;
mod changing;
mod closer;
mod coming;
mod complete;
mod dear;
mod depends;
mod doubt;
mod effort;
mod either;
mod grounds;
mod head_tube;
mod holding;
mod key;
mod leave;
mod longer;
mod must;
mod next_plan;
mod nogood;
mod own_deck;
mod parts;
mod piles;
mod purse;
mod readings;
mod reason;
mod rider;
mod rounds;
mod route;
mod search;
mod set_up;
mod settle;
mod showing;
mod standing;
mod supply;
mod trial;
mod tries;
mod walk;
mod wanted;
mod zones;

pub use alternatives::StepsHold;
pub use answer::{
    Alternative, Answer, Article, Buy, ChangedPart, FunnelRow, FunnelStep, HeadTube, Instead, LastResort,
    Leave, Longer, NewSize, Next, ReadWhat, Reading, Spend, Supply, Then, TryOut, TryWhat, Unfit, Verdict,
    Wanted, WhyLeft,
};
pub use bench::Bench;
pub use bolts::ShopStrengths;
pub use boxed::{InBox, Whose};
pub use changed::Changed;
pub use changing::allow_changes;
pub use coming::{Coming, FindBrought, Source};
pub use doubt::{Doubts, Pair, ToMeasure, TorqueOver, Unused, WhyUnused, doubts, to_measure};
pub use effort::Effort;
pub use head_tube::shortest_head_tube;
pub use holding::{Aim, Held, HeldPlan, OwnPlan, Question};
pub use key::{Ask, ClassReading, ForkKey, Found, KeyClass, KeyEnd, KeyQuestion, Look, fork_key};
pub use own_deck::OnOwnDeck;
pub use parts::IN_ONE;
pub use reason::demands;
pub use rider::Rider;
pub use route::{Best, Move, NoRoute, Route, RouteMap, Shelf};
pub use set_up::{SetUp, picks_of};
pub use settle::Settled;
pub use standing::Standing;
pub use supply::{Cost, Counts};
