//! The cheapest way and the one of fewest changes from one set-up that goes to another.
//!
//! A way is one move. It replaces any of four things: the fork, the clamp system, the bars and what the rider brings (a
//! deck), and each counts as a change; everything else on the bench follows from the next plan. Nothing is thrown away: a
//! move costs the cheapest purchase of what the next plan needs and is not owned yet, boxes bought whole; only what was
//! driven into something (a star nut) and is driven out again is lost. A deck is replaced only where no one deck goes with
//! both plans. Revisions of a part count apart; a box that does not say which one it holds is not counted on for any.
//!
//! Over stops between nothing is gained: whatever they need is bought as well, and each thing that differs is replaced at least once. Of
//! equal ways the one with fewer changes (or less to spend), then the one to the earlier set-up. Must not know words, nor how a
//! set-up was found.

use super::answer::{Article, Spend};
use super::bench::Bench;
use super::boxed::{Taken, Unsaid};
use super::changed::{Changed, changed};
use super::set_up::SetUp;
use super::supply::{Cost, Counts, Supplies};
use crate::catalogue::VariantIx;
use std::collections::HashMap;

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
pub struct Move {
    /// Index into the set-ups.
    pub to: usize,
    pub what: Changed,
    pub cost: Cost,
    pub buy: Vec<(Article, u32)>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    pub from: usize,
    /// `None`: it is there already.
    pub change: Option<Move>,
    /// Brought things with which start and goal go as planned; of those bought anew, the one that is. Never empty.
    pub brought: Vec<Vec<VariantIx>>,
}

impl Route {
    pub fn count(&self) -> usize {
        self.change.as_ref().map_or(0, |change| change.what.count())
    }

    pub fn cost(&self) -> Cost {
        self.change.as_ref().map_or_else(Cost::default, |change| change.cost)
    }
}

/// Why there is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoRoute {
    /// The start or the goal does not go with what the rider says to bring.
    NothingBroughtFits,
    /// What the goal needs can be bought nowhere.
    NotSold,
    /// A search for set-ups came to its limit before every one was tried.
    Unsettled,
}

/// The set-ups of a book as a map: what leads from one to another costs.
pub struct RouteMap<'a> {
    bench: Bench<'a>,
    stops: &'a [SetUp],
    /// Every set-up that goes is among the stops.
    complete: bool,
    needs: Vec<Counts>,
    /// What can be bought by somebody who has nothing.
    nobody: Supplies<'a>,
    /// By what is missing, and whether only what is on hand may be bought.
    purchases: HashMap<(Vec<(u32, u32)>, bool), Purchase>,
}

/// `None`: cannot be bought.
type Purchase = Option<(Cost, Vec<(Article, u32)>)>;

impl<'a> RouteMap<'a> {
    /// `complete`: no set-up that goes is missing; else that there is no way is never said for certain.
    pub fn new(bench: Bench<'a>, stops: &'a [SetUp], complete: bool) -> RouteMap<'a> {
        let needs: Vec<Counts> = stops.iter().map(|stop| stop.needs(&bench)).collect();
        RouteMap {
            bench,
            stops,
            complete,
            needs,
            nobody: bench.nothing_owned(false),
            purchases: HashMap::new(),
        }
    }

    pub(super) fn stops(&self) -> &'a [SetUp] {
        self.stops
    }

    pub(super) fn spend(&self, cost: Cost) -> Spend {
        self.nobody.spend(cost)
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
        let nobody = &self.nobody;
        let known = self.purchases.entry((missing, in_stock_only)).or_insert_with_key(|(missing, _)| {
            let all: Counts = missing.iter().map(|&(part, count)| (VariantIx(part), count)).collect();
            Supplies { in_stock_only, ..nobody.clone() }.cheapest(&all)
        });
        known.clone()
    }

    /// The best way from a stop to any of the goals; with both the same, none is needed.
    ///
    /// `brought`: what the rider brings and keeps, if that is known; else anything with which the start goes.
    pub fn route(
        &mut self,
        from: usize,
        shelf: &Shelf,
        goals: &[usize],
        brought: Option<&[VariantIx]>,
        best: Best,
    ) -> Result<Route, NoRoute> {
        self.route_here(from, shelf, goals, brought, best).map_err(|why| match why {
            NoRoute::NothingBroughtFits if !self.complete => NoRoute::Unsettled,
            why => why,
        })
    }

    /// To the set-ups that are there.
    fn route_here(
        &mut self,
        from: usize,
        shelf: &Shelf,
        goals: &[usize],
        brought: Option<&[VariantIx]>,
        best: Best,
    ) -> Result<Route, NoRoute> {
        let has = |b: &&Vec<VariantIx>| brought.is_none_or(|only| only.iter().all(|v| b.contains(v)));
        let here: Vec<Vec<VariantIx>> = self.stops[from].brought.iter().filter(has).cloned().collect();
        if here.is_empty() {
            return Err(NoRoute::NothingBroughtFits);
        }
        if goals.contains(&from) {
            return Ok(Route { from, change: None, brought: here });
        }
        let mut fits = false;
        let mut found: Option<(Rank, Route)> = None;
        for &to in goals {
            let Some(what) = changed(&self.bench, &self.stops[from], &self.stops[to]) else { continue };
            let common: Vec<Vec<VariantIx>> =
                here.iter().filter(|b| self.stops[to].brought.contains(b)).cloned().collect();
            if common.is_empty() && brought.is_some() {
                continue;
            }
            fits = true;
            let found_here = if common.is_empty() {
                self.with_another_deck((from, to), what, shelf)
            } else {
                self.moved((from, to), what, shelf, &[]).map(|change| (change, common))
            };
            let Some((change, brought)) = found_here else { continue };
            let rank = rank(&change, best);
            if found.as_ref().is_none_or(|(known, _)| rank < *known) {
                found = Some((rank, Route { from, change: Some(change), brought }));
            }
        }
        match found {
            Some((_, route)) => Ok(route),
            None if fits => Err(NoRoute::NotSold),
            None => Err(NoRoute::NothingBroughtFits),
        }
    }

    /// The cheapest of what can be brought to the goal; it is bought.
    fn with_another_deck(
        &mut self,
        way: (usize, usize),
        what: Changed,
        shelf: &Shelf,
    ) -> Option<(Move, Vec<Vec<VariantIx>>)> {
        let all = self.stops[way.1].brought.clone();
        let moves = all.into_iter().filter_map(|brought| {
            let what = Changed { deck: true, ..what };
            Some((self.moved(way, what, shelf, &brought)?, vec![brought]))
        });
        let all: Vec<(Move, Vec<Vec<VariantIx>>)> = moves.collect();
        all.into_iter().min_by_key(|(change, _)| rank(change, Best::Cheapest))
    }

    /// `more`: needed beside the plan.
    fn moved(
        &mut self,
        (from, to): (usize, usize),
        what: Changed,
        shelf: &Shelf,
        more: &[VariantIx],
    ) -> Option<Move> {
        let mut needs = self.needs[to].clone();
        for &part in more {
            *needs.entry(self.bench.catalogue.as_made(part)).or_insert(0) += 1;
        }
        let (cost, buy) = self.purchase(&needs, &self.kept(&shelf.owned, from, to))?;
        Some(Move { to, what, cost, buy })
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
}

/// Articles without a price, money and changes, in the order that matters, then the set-up.
type Rank = (i64, i64, i64, usize);

fn rank(change: &Move, best: Best) -> Rank {
    let (unpriced, minor) = (i64::from(change.cost.unpriced), change.cost.minor);
    let count = change.what.count() as i64;
    match best {
        Best::Cheapest => (unpriced, minor, count, change.to),
        Best::FewestChanges => (count, unpriced, minor, change.to),
    }
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
