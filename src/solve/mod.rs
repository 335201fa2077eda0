//! Search over parts, ways up and spacers: verdict, funnel, wanted part. Must not know words.

mod answer;

pub use answer::{
    Alternative, Answer, Article, Buy, FunnelRow, FunnelStep, HeadTube, Instead, Leave, ReadWhat, Reading,
    Spend, Supply, Verdict, Wanted, WhyLeft,
};
