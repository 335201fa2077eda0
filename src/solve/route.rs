//! The cheapest route and the one of fewest changes from one set-up that goes to another, over set-ups that go.
//!
//! A change replaces one of three things: the fork, the clamp system or the bars; the other two stay as they are,
//! and everything else on the bench follows from the next plan. Where the bars do not go with another system on the
//! same fork, they change with it in one go, which counts as two changes: no stop between could be ridden. Nothing is thrown away: a change costs the cheapest
//! purchase of what the next plan needs and is not owned yet, boxes bought whole, and what it brings is owned from
//! then on; only what was driven into something (a star nut) and is driven out again is lost. A route costs the sum of its changes. What the rider brings (a deck) is the same at all its stops. Revisions of a part
//! count apart; a box that does not say which one it holds is not counted on for any.
//!
//! Exact: best-first over what is stood on and owned, with the cheapest purchase of all that the goal still needs
//! as the bound; that bound never promises too much, for the changes still to come must buy those parts, too. Of
//! equal routes the one with fewer changes (or less to spend), then the one through earlier set-ups. Must not know
//! words, nor how a set-up was found.

use super::answer::Article;
use super::bench::Bench;
use super::boxed::{Taken, Unsaid};
use super::changed::{Changed, apart, changed};
use super::set_up::SetUp;
use super::supply::{Cost, Counts, Supplies};
use crate::catalogue::VariantIx;
use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap, HashMap, HashSet};

/// States stood on before a search is given up.
const LIMIT: usize = 100_000;

/// What a route is best in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Best {
    Cheapest,
    FewestChanges,
}

/// What a rider has at the start.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Shelf {
    pub owned: Counts,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Index into the set-ups.
    pub to: usize,
    pub what: Changed,
    pub cost: Cost,
    pub buy: Vec<(Article, u32)>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    pub from: usize,
    pub changes: Vec<Change>,
    pub cost: Cost,
    /// Brought things with which every stop goes as planned. Never empty.
    pub brought: Vec<Vec<VariantIx>>,
}

impl Route {
    /// Changes in all: one that carries the bars with it counts twice.
    pub fn count(&self) -> usize {
        self.changes.iter().map(|change| change.what.count()).sum()
    }

    pub fn last(&self) -> usize {
        self.changes.last().map_or(self.from, |change| change.to)
    }
}

/// Why there is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoRoute {
    /// From the start so many set-ups (itself among them) can be reached, and the goal is none of them.
    NotReached { reached: usize },
    /// Single changes lead there, but no one thing that the rider brings goes with every stop.
    NothingBroughtFits,
    /// What the goal needs can be bought nowhere.
    NotSold,
    /// A search came to its limit, for set-ups or for a way, before every way was tried.
    Unsettled,
}

/// The set-ups of a book as a map: what may follow what, and what it costs.
pub struct RouteMap<'a> {
    bench: Bench<'a>,
    /// What can be bought, and what boxes bring.
    sold: Supplies<'a>,
    stops: &'a [SetUp],
    /// Every set-up that goes is among the stops.
    complete: bool,
    needs: Vec<Counts>,
    next: Vec<Vec<(usize, Changed)>>,
    /// Of each part that some stop needs, how many can matter.
    useful: Counts,
    /// By what is missing, and whether only what is on hand may be bought.
    purchases: HashMap<(Vec<(u32, u32)>, bool), Purchase>,
}

/// `None`: cannot be bought.
type Purchase = Option<(Cost, Vec<(Article, u32)>)>;

/// A way that led to a stop. Ordered by what the best is asked for, so that the first to reach the goal is it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Way {
    bound: (i64, i64, i64),
    stops: Vec<usize>,
    changes: usize,
    spent: Cost,
    state: State,
}

/// What decides how it can go on.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
struct State {
    at: usize,
    owned: Counts,
    brought: Vec<Vec<VariantIx>>,
}

impl<'a> RouteMap<'a> {
    /// `complete`: no set-up that goes is missing; else that there is no way is never said for certain. Quadratic in
    /// the set-ups.
    pub fn new(bench: Bench<'a>, stops: &'a [SetUp], complete: bool) -> RouteMap<'a> {
        let needs: Vec<Counts> = stops.iter().map(|stop| stop.needs(&bench)).collect();
        let useful = useful(stops, &needs);
        let neighbours = |a: &SetUp| {
            // With the bars that are there, on this very fork.
            let keeps = |system| stops.iter().any(|c| (c.fork, c.system, c.bars) == (a.fork, system, a.bars));
            let real = |what: &Changed, b: &SetUp| *what != Changed::SystemAndBars || !keeps(b.system);
            let change = |(i, b): (usize, &SetUp)| {
                changed(&bench, a, b).filter(|what| real(what, b)).map(|what| (i, what))
            };
            stops.iter().enumerate().filter_map(change).collect()
        };
        let next = stops.iter().map(neighbours).collect();
        let sold = bench.nothing_owned(false);
        RouteMap { bench, sold, stops, complete, needs, next, useful, purchases: HashMap::new() }
    }

    /// What a rider owns who stands at a stop: the fork's own box, everything bought for the plan, and `more`.
    pub fn shelf(&mut self, stop: usize, more: &[(VariantIx, u32)]) -> Option<Shelf> {
        let start = &self.stops[stop];
        let taken = Taken { assumed: &start.boxed, unsaid: Unsaid::Nothing };
        let with = |in_stock_only| self.bench.supplies(start.fork, more, in_stock_only, taken);
        let (supplies, needs) = (with(false), &self.needs[stop]);
        let (_, articles) = with(true).cheapest(needs).or_else(|| supplies.cheapest(needs))?;
        let mut owned = supplies.owned.clone();
        add(&supplies, &mut owned, &articles);
        Some(Shelf { owned })
    }

    /// The cheapest way to buy what is missing: in stock where that can be, else with what must be ordered.
    pub fn purchase(&mut self, needs: &Counts, owned: &Counts) -> Purchase {
        self.bought(needs, owned, true).or_else(|| self.bought(needs, owned, false))
    }

    fn bought(&mut self, needs: &Counts, owned: &Counts, in_stock_only: bool) -> Purchase {
        let short = |(part, count): (&VariantIx, &u32)| {
            let missing = count.saturating_sub(owned.get(part).copied().unwrap_or(0));
            (missing > 0).then_some((part.0, missing))
        };
        let missing: Vec<(u32, u32)> = needs.iter().filter_map(short).collect();
        let bench = self.bench;
        let known = self.purchases.entry((missing, in_stock_only)).or_insert_with_key(|(missing, _)| {
            let all: Counts = missing.iter().map(|&(part, count)| (VariantIx(part), count)).collect();
            bench.nothing_owned(in_stock_only).cheapest(&all)
        });
        known.clone()
    }

    /// The best route from a stop to any of the goals; with both the same, a route without changes.
    ///
    /// `brought`: what the rider brings, if that is known; else anything with which the start goes.
    pub fn route(
        &mut self,
        from: usize,
        shelf: &Shelf,
        goals: &[usize],
        brought: Option<&[VariantIx]>,
        best: Best,
    ) -> Result<Route, NoRoute> {
        self.route_here(from, shelf, goals, brought, best).map_err(|why| match why {
            NoRoute::NotReached { .. } | NoRoute::NothingBroughtFits if !self.complete => NoRoute::Unsettled,
            why => why,
        })
    }

    /// Over the stops that are there.
    fn route_here(
        &mut self,
        from: usize,
        shelf: &Shelf,
        goals: &[usize],
        brought: Option<&[VariantIx]>,
        best: Best,
    ) -> Result<Route, NoRoute> {
        let all_brought = self.stops[from].brought.iter();
        let brought: Vec<Vec<VariantIx>> = all_brought
            .filter(|b| brought.is_none_or(|only| only.iter().all(|v| b.contains(v))))
            .cloned()
            .collect();
        if brought.is_empty() {
            return Err(NoRoute::NothingBroughtFits);
        }
        let start = State { at: from, owned: shelf.owned.clone(), brought };
        self.reachable(&start, goals)?;
        let mut done: HashSet<State> = HashSet::new();
        let first = self.way((vec![from], 0), Cost::default(), start, goals, best);
        let mut open: BinaryHeap<Reverse<Way>> = first.map(Reverse).into_iter().collect();
        while let Some(Reverse(way)) = open.pop() {
            if goals.contains(&way.state.at) {
                return Ok(self.told(&way, shelf));
            }
            if !done.insert(way.state.clone()) {
                continue;
            }
            if done.len() > LIMIT {
                return Err(NoRoute::Unsettled);
            }
            for (to, what) in self.next[way.state.at].clone() {
                let Some((state, cost)) = self.step(&way.state, to) else { continue };
                if done.contains(&state) {
                    continue;
                }
                let stops = way.stops.iter().copied().chain([to]).collect();
                let gone = (stops, way.changes + what.count());
                open.extend(self.way(gone, sum(way.spent, cost), state, goals, best).map(Reverse));
            }
        }
        Err(NoRoute::NotReached { reached: done.len() })
    }

    fn step(&mut self, from: &State, to: usize) -> Option<(State, Cost)> {
        let brought = self.brought_at(from, to);
        if brought.is_empty() {
            return None;
        }
        let mut owned = self.kept(&from.owned, from.at, to);
        let (cost, articles) = self.purchase(&self.needs[to].clone(), &owned)?;
        add(&self.sold, &mut owned, &articles);
        self.forget_useless(&mut owned);
        Some((State { at: to, owned, brought }, cost))
    }

    /// More of a part than any stop needs buys nothing more, unless it can be lost: without that, states that differ in
    /// nothing that matters are the same.
    fn forget_useless(&self, owned: &mut Counts) {
        owned.retain(|part, count| {
            let most = self.useful.get(part).copied().unwrap_or(0);
            *count = (*count).min(most);
            *count > 0
        });
    }

    /// Without what is driven out on the way.
    fn kept(&self, owned: &Counts, from: usize, to: usize) -> Counts {
        let mut kept = owned.clone();
        let mut still = self.stops[to].set_in.clone();
        for set in &self.stops[from].set_in {
            if let Some(place) = still.iter().position(|s| s == set) {
                still.remove(place);
            } else if let Some(count) = kept.get_mut(&set.0) {
                *count = count.saturating_sub(1);
            }
        }
        kept.retain(|_, count| *count > 0);
        kept
    }

    /// With its bound: what is spent and changed so far and must still be. `None`: the goals can never be bought.
    fn way(
        &mut self,
        (stops, changes): (Vec<usize>, usize),
        spent: Cost,
        state: State,
        goals: &[usize],
        best: Best,
    ) -> Option<Way> {
        let mut least: Option<(Cost, usize)> = None;
        for &goal in goals {
            // Whatever is in stock: a bound must not be too high.
            let needs = self.needs[goal].clone();
            let Some((cost, _)) = self.bought(&needs, &state.owned, false) else { continue };
            let still = apart(&self.bench, &self.stops[state.at], &self.stops[goal]);
            least = Some(least.map_or((cost, still), |(c, n)| (c.min(cost), n.min(still))));
        }
        let (to_spend, to_change) = least?;
        let cost = sum(spent, to_spend);
        let (unpriced, all) = (i64::from(cost.unpriced), (changes + to_change) as i64);
        let bound = match best {
            Best::Cheapest => (unpriced, cost.minor, all),
            Best::FewestChanges => (all, unpriced, cost.minor),
        };
        Some(Way { bound, stops, changes, spent, state })
    }

    /// The way walked again, with its purchases.
    fn told(&mut self, way: &Way, shelf: &Shelf) -> Route {
        let mut owned = shelf.owned.clone();
        let mut changes = Vec::new();
        for pair in way.stops.windows(2) {
            let what = self.next[pair[0]].iter().find(|n| n.0 == pair[1]).map(|n| n.1);
            owned = self.kept(&owned, pair[0], pair[1]);
            let bought = self.purchase(&self.needs[pair[1]].clone(), &owned);
            if let (Some(what), Some((cost, buy))) = (what, bought) {
                add(&self.sold, &mut owned, &buy);
                changes.push(Change { to: pair[1], what, cost, buy });
            }
        }
        Route { from: way.stops[0], changes, cost: way.spent, brought: way.state.brought.clone() }
    }

    /// Whether there is any route at all, prices aside: what can be bought never grows less on the way.
    fn reachable(&mut self, start: &State, goals: &[usize]) -> Result<(), NoRoute> {
        let can_be_had: Vec<bool> = (0..self.stops.len())
            .map(|stop| self.purchase(&self.needs[stop].clone(), &start.owned).is_some())
            .collect();
        if !goals.iter().any(|&goal| can_be_had[goal]) {
            return Err(NoRoute::NotSold);
        }
        let mut seen = HashSet::new();
        let mut stops = BTreeSet::new();
        let mut open = vec![State { owned: Counts::new(), ..start.clone() }];
        while let Some(state) = open.pop() {
            if goals.contains(&state.at) {
                return Ok(());
            }
            if !seen.insert(state.clone()) {
                continue;
            }
            stops.insert(state.at);
            for &(to, _) in self.next[state.at].iter().filter(|n| can_be_had[n.0]) {
                let brought = self.brought_at(&state, to);
                open.extend((!brought.is_empty()).then(|| State { at: to, brought, ..state.clone() }));
            }
        }
        Err(match self.linked(start.at, goals, &can_be_had) {
            true => NoRoute::NothingBroughtFits,
            false => NoRoute::NotReached { reached: stops.len() },
        })
    }

    /// By single changes alone, whatever is brought and had.
    fn linked(&self, from: usize, goals: &[usize], can_be_had: &[bool]) -> bool {
        let mut reached = BTreeSet::from([from]);
        let mut open = vec![from];
        while let Some(at) = open.pop() {
            for &(to, _) in self.next[at].iter().filter(|n| can_be_had[n.0]) {
                if reached.insert(to) {
                    open.push(to);
                }
            }
        }
        goals.iter().any(|goal| reached.contains(goal))
    }

    fn brought_at(&self, from: &State, to: usize) -> Vec<Vec<VariantIx>> {
        from.brought.iter().filter(|b| self.stops[to].brought.contains(b)).cloned().collect()
    }
}

/// Of a part that is never driven into another, the most that any stop needs; of one that may be lost, any number.
fn useful(stops: &[SetUp], needs: &[Counts]) -> Counts {
    let mut useful = Counts::new();
    for (&part, &count) in needs.iter().flatten() {
        let lost = stops.iter().flat_map(|stop| &stop.set_in).any(|set| set.0 == part);
        let most = useful.entry(part).or_insert(0);
        *most = if lost { u32::MAX } else { count.max(*most) };
    }
    useful
}

fn sum(a: Cost, b: Cost) -> Cost {
    Cost { unpriced: a.unpriced + b.unpriced, minor: a.minor.saturating_add(b.minor) }
}

/// What was bought, unpacked, as far as it is known what was in it.
pub(super) fn add(supplies: &Supplies<'_>, owned: &mut Counts, articles: &[(Article, u32)]) {
    for &(article, times) in articles {
        match article {
            Article::Part(variant) => *owned.entry(variant).or_insert(0) += times,
            Article::Box(b) => {
                for nth in 0..times {
                    for &(variant, count) in supplies.brings(b, nth > 0) {
                        *owned.entry(variant).or_insert(0) += count;
                    }
                }
            }
        }
    }
}
