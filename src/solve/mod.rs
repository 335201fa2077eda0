//! Search over parts, ways up and spacers: verdict, funnel, wanted part. Must not know words.
//!
//! # How the search works
//!
//! `search.rs` says what is looked for, `walk.rs` fills the slots in drop order, `complete.rs` looks at what is then a plan.
//! What is on hand comes before what has to be ordered, unless it must be measured first and the other goes for certain.
//! First it looks for a plan that goes; only when there is none, for one to be measured; last of all for one with a permanent
//! change (`changing.rs`). `tests/brute_force.rs` holds verdict, spend, parts and ids against trying everything. What makes
//! it quick, each with its proof:
//!
//! - **A quick look** (`src/assembly/glance/`) finds what could at best come of a growing stack, in plain numbers: at three
//!   real builds (`tall.rs`) and between ends. It bounds the closing gap over everything that may still come: `sorted.rs`
//!   sorts the candidates of each slot, `standing.rs` works out how high they may stand on each other, `above.rs`, from the
//!   pulled part down, how much room each leaves. `tests/glance.rs`: it never finds worse than the full judgement.
//! - **Aside** (`aside.rs`): a small search with everything left aside that rests on slots which fill up heights. Where it
//!   finds nothing, nothing goes.
//! - **In parts** (`parts.rs`): a search that does not end within `IN_ONE` items strikes out, in the two slots on which the
//!   price hangs most, what is impossible; looks for some plan; and with that as a bound goes through the candidates of those
//!   slots one by one, cheapest first. `tests/brute_force.rs` goes in parts from the first item on in half of its books.
//! - **Judged last** (`rounds.rs`): quick looks alone find the best plan, and that one is judged in full.
//! - **What must come** (`must.rs`): where a fastener is sure to come and one slot alone may have what it screws into, that
//!   slot has to be filled, and is bought for.
//! - **Narrowing** (`glance/narrow.rs`, `held.rs`, `overlaps.rs`): once the pile below is known, parts that could not close,
//!   be gripped or be overlapped there are left out of the slots to come.
//! - **Heights that are chosen** (`glance/heights.rs`): every bound on them that surely counts is kept as the stack grows; where
//!   two leave none between them, nothing that comes later makes one.
//! - **Room for the clamp** (`glance/clamp_room.rs`) and **between tube and gap** (`glance/floors.rs`): a clamp must find its
//!   height over what goes on below it; what rests on the ring must clear what stands still, which lifts it.
//! - **Blame** (`src/assembly/blame.rs`): a failure names the slots it rests on. Where a slot is not among them the search
//!   goes back past it, and contents that lead nowhere are kept (`nogood.rs`), those first that let the search go back
//!   furthest. Where there is no height for a part whose height is chosen, the two bounds that leave none are to blame.
//! - **Purchases** (`purse.rs`) are priced once for each set of missing parts, and bounded by the cheapest way to fill the
//!   slots still to come. The first candidate that costs too much ends its slot (`dear.rs`). A failure tells apart slots by
//!   what they hold and slots by no more than what that costs (`grounds.rs`): of the latter every dearer part fails, too.
//! - **What searches share**: `Ground` keeps what depends on the candidates alone; what follows from a rule alone
//!   (`glance/rule.rs`), which parts are the same to every check (`alike.rs`) and the diameters of all walls (`diameters.rs`)
//!   are worked out once for the book. Lists of candidates that take no diameter from another part are sorted once by each
//!   rule (`Kept` in `sorted.rs`).
//!
//! # Where it ends
//!
//! A search looks at a fixed number of items at most (`Limits` in `rounds.rs`, less for what a rider holds in `holding.rs`;
//! an item built in full counts for `IN_FULL`). One that comes to its end is marked `unfinished` everywhere: a *no* is then
//! shown as "Not settled", and a plan may not be the cheapest. Beside that all the work of one answer is counted
//! (`effort.rs`). What a search remembers is bounded as well: purchases (`MOST_KNOWN` and `MOST_CHOICES` in `purse.rs`, which
//! forgets and works out again), contents that lead nowhere (`MOST_PICKS` in `nogood.rs`), cases of a stack (`MOST_CASES`).
//! All these are counts, never a clock, so the same book comes to the same pages on any machine.
//!
//! How long it all takes: `cargo bench --bench search -- demo` for every pairing of the demo book, with `10 100 1000` for
//! markets of so many parts in each slot, and against trying every combination; `answers` adds whole answers.
//!
//! # Set-ups and routes
//!
//! There is a set-up for each answer that goes (`as_in_guide`), one for each other set of bars that is possible there, with
//! the cheapest plan that uses them, and one for each deck on which none of these goes (`src/compile/set_ups.rs`).
//! `tests/routes.rs` holds routes against filling every basket for every goal, `tests/own.rs` what comes from another system
//! to `route`.
//!
//! Memory comes from `mimalloc`, for a search makes thousands of short lists; without its `no_thp` one answer in a while
//! waits for a large page of memory.

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
