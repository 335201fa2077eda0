//! Routes that were asked for by name, and all those that pages tell. Must not know how a route is found or worded.

use super::book::Book;
use super::own;
use super::set_ups::SetUps;
use super::unknown;
use crate::base::{Problem, Problems, suggest};
use crate::catalogue::{PartIx, VariantIx};
use crate::guide::{RouteTeller, RouteText};
use crate::kinds::Known;
use crate::solve::{Answer, Best, NoRoute, RouteMap, SetUp, ShopStrengths};
use serde_json::json;

/// As typed: `FORK/SYSTEM`, with `FORK:REVISION` and `/BARS` where that matters.
pub struct RouteAsked {
    pub from: String,
    pub to: String,
    pub have: Vec<String>,
}

/// A place on the map that was named.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// Index into the book's forks.
    fork: usize,
    revision: Option<VariantIx>,
    system: usize,
    bars: Option<PartIx>,
}

/// What was asked, found in the book.
pub struct Asked {
    from: Spot,
    to: Spot,
    /// Parts owned besides, boxes unpacked.
    have: Vec<(VariantIx, u32)>,
    /// Of those, what a rider brings: the deck that it must go on.
    brought: Vec<VariantIx>,
}

pub fn asked(book: &Book, typed: &RouteAsked, problems: &mut Problems) -> Option<Asked> {
    let (from, to) = (spot(book, &typed.from, problems), spot(book, &typed.to, problems));
    let (mut have, mut brought) = (vec![], vec![]);
    for typed in &typed.have {
        let (owned, deck) = own::have(book, typed, problems);
        have.extend(owned);
        brought.extend(deck);
    }
    (problems.errors() == 0).then_some(())?;
    Some(Asked { from: from?, to: to?, have, brought })
}

fn spot(book: &Book, typed: &str, problems: &mut Problems) -> Option<Spot> {
    let mut pieces = typed.split('/');
    let (Some(fork), Some(system), bars, None) = (pieces.next(), pieces.next(), pieces.next(), pieces.next())
    else {
        problems.push(
            Problem::error("route-place-misread", format!("\"{typed}\" names no fork and clamp system"))
                .note("expected FORK/SYSTEM, or FORK:REVISION/SYSTEM/BARS where that matters")
                .mend("name a fork and a clamp system of the book, with a stroke between"),
        );
        return None;
    };
    let (fork, revision) = fork.split_once(':').map_or((fork, None), |(fork, rev)| (fork, Some(rev)));
    let (fork, system) = book.pair(fork, system, problems)?;
    let part = book.catalogue.part(book.forks[fork]);
    let named = |v: &VariantIx| book.catalogue.variant(*v).revision.as_ref().map_or("", |r| r.id.as_str());
    let variant = revision.and_then(|id| part.variants.iter().copied().find(|v| named(v) == id));
    if let Some(id) = revision.filter(|_| variant.is_none()) {
        let near = suggest(id, part.variants.iter().map(named));
        problems.push(unknown("route-revision-unknown", "revision of this fork", id, near));
        return None;
    }
    let Some(id) = bars else { return Some(Spot { fork, revision: variant, system, bars: None }) };
    let bars = book.catalogue.find(id).filter(|&p| book.catalogue.part(p).is(Known::Bars));
    if bars.is_none() {
        let all = book.catalogue.known_as(Known::Bars).map(|p| book.catalogue.part(p).id.as_str());
        problems.push(unknown("route-bars-unknown", "set of bars", id, suggest(id, all)));
        return None;
    }
    Some(Spot { fork, revision: variant, system, bars })
}

impl Spot {
    /// Set-ups that it may mean, in order.
    fn stops(&self, book: &Book, stops: &[SetUp], as_in_guide: bool) -> Vec<usize> {
        let fits = |s: &SetUp| {
            book.catalogue.variant(s.fork).part == book.forks[self.fork]
                && self.revision.is_none_or(|v| v == s.fork)
                && s.system == self.system
                && match self.bars {
                    Some(bars) => s.bars == Some(bars),
                    None => !as_in_guide || s.as_in_guide,
                }
        };
        (0..stops.len()).filter(|&i| fits(&stops[i])).collect()
    }

    /// "Heron fork with Wide shim", and why that is no set-up that goes.
    fn refusal(&self, book: &Book, answers: &[&Answer], key: &str) -> String {
        let fork = book.catalogue.part(book.forks[self.fork]);
        let system = book.words.system(&book.rules[self.system]);
        let names = [("fork", fork.name.as_str()), ("system", system.as_str())];
        if let Some(bars) = self.bars {
            let bars = &book.catalogue.part(bars).name;
            return book.words.say("route.bars-no", &[names[0], names[1], ("bars", bars)]);
        }
        let of_pair = |a: &&&Answer| {
            book.catalogue.variant(a.fork).part == book.forks[self.fork]
                && a.system == self.system
                && self.revision.is_none_or(|v| v == a.fork)
        };
        let mut keys: Vec<&str> =
            answers.iter().filter(of_pair).map(|a| crate::guide::verdict_key(a)).collect();
        keys.dedup();
        let verdict = match keys.as_slice() {
            [] => "verdict.no",
            [one] => one,
            _ => "verdict.depends",
        };
        let verdict = book.words.word(verdict);
        book.words.say(key, &[names[0], names[1], ("verdict", &verdict)])
    }
}

/// The two best routes, or the sentence that says why there is none.
pub struct Found {
    pub title: String,
    pub routes: Result<[RouteText; 2], String>,
    /// No search for set-ups of the two ends came to its limit: nothing better was left out.
    pub complete: bool,
}

impl Asked {
    /// Both ends: a route is one move, and nothing between is passed.
    pub fn pairs(&self) -> Vec<(usize, usize)> {
        let mut pairs: Vec<(usize, usize)> =
            [&self.from, &self.to].iter().map(|spot| (spot.fork, spot.system)).collect();
        pairs.sort_unstable();
        pairs.dedup();
        pairs
    }

    pub fn find(&self, book: &Book, answers: &[&Answer], known: &SetUps) -> Found {
        let stops = known.all.as_slice();
        let teller = RouteTeller { book: book.telling(), currency: book.shop.currency, stops };
        let (starts, goals) = (self.starts(book, stops), self.to.stops(book, stops, false));
        let name = |spot: &Spot, stops: &[usize]| match stops.first() {
            Some(&stop) if spot.bars.is_some() => teller.stop_name(stop),
            _ => spot.name(book),
        };
        let title = book
            .words
            .say("route.title", &[("from", &name(&self.from, &starts)), ("to", &name(&self.to, &goals))]);
        let routes = match (starts.first(), goals.is_empty()) {
            (None, _) => Err(self.from.refusal(book, answers, "route.from-no")),
            (_, true) => Err(self.to.refusal(book, answers, "route.to-no")),
            (Some(&from), false) => self.routes(book, known, from, &goals, &teller),
        };
        Found { title, routes, complete: known.complete }
    }

    /// As in the guide; on a deck that was named and that the guide's plan does not go on, as it goes on that.
    fn starts(&self, book: &Book, stops: &[SetUp]) -> Vec<usize> {
        let as_in_guide = self.from.stops(book, stops, true);
        let on_it = |&stop: &usize| {
            stops[stop].brought.iter().any(|brought| self.brought.iter().all(|v| brought.contains(v)))
        };
        if as_in_guide.iter().any(on_it) {
            return as_in_guide.into_iter().filter(on_it).collect();
        }
        let others: Vec<usize> = self.from.stops(book, stops, false).into_iter().filter(on_it).collect();
        if others.is_empty() { as_in_guide } else { others }
    }

    fn routes(
        &self,
        book: &Book,
        known: &SetUps,
        from: usize,
        goals: &[usize],
        teller: &RouteTeller<'_>,
    ) -> Result<[RouteText; 2], String> {
        let strengths = ShopStrengths(&book.shop);
        let mut map = RouteMap::new(book.bench(&strengths), &known.all, known.complete);
        let brought = Some(self.brought.as_slice()).filter(|b| !b.is_empty());
        both(&mut map, from, &self.have, goals, brought)
            .map(|routes| routes.map(|(best, route)| teller.route(&route, best)))
            .map_err(|why| teller.none(why))
    }
}

/// Cheapest and fewest changes.
pub fn both(
    map: &mut RouteMap<'_>,
    from: usize,
    have: &[(VariantIx, u32)],
    goals: &[usize],
    brought: Option<&[VariantIx]>,
) -> Result<[(Best, crate::solve::Route); 2], NoRoute> {
    let shelf = map.shelf(from, have).ok_or(NoRoute::NotSold)?;
    let cheapest = map.route(from, &shelf, goals, brought, Best::Cheapest)?;
    let fewest = map.route(from, &shelf, goals, brought, Best::FewestChanges)?;
    Ok([(Best::Cheapest, cheapest), (Best::FewestChanges, fewest)])
}

impl Spot {
    fn name(&self, book: &Book) -> String {
        let fork = &book.catalogue.part(book.forks[self.fork]).name;
        book.words
            .say("route.stop", &[("fork", fork), ("system", &book.words.system(&book.rules[self.system]))])
    }
}

impl Found {
    pub fn json(&self, typed: &RouteAsked) -> String {
        let (cheapest, fewest, reason) = match &self.routes {
            Ok([cheapest, fewest]) => (Some(cheapest.json()), Some(fewest.json()), None),
            Err(why) => (None, None, Some(why)),
        };
        json!({
            "format": 1, "from": typed.from, "to": typed.to, "have": typed.have,
            "cheapest": cheapest, "fewest": fewest, "reason": reason, "complete": self.complete,
        })
        .to_string()
    }

    pub fn text(&self, book: &Book) -> String {
        let mut lines = vec![("", self.title.clone())];
        match &self.routes {
            Err(why) => lines.push(("", why.clone())),
            Ok([cheapest, fewest]) if cheapest.stops == fewest.stops => {
                lines.push(("", String::new()));
                let mut both = cheapest.lines(&book.words);
                both[0].1 = book.words.say("route.both", &[("summary", &cheapest.summary)]);
                lines.extend(both);
            }
            Ok(both) => {
                for route in both {
                    lines.push(("", String::new()));
                    lines.extend(route.lines(&book.words));
                }
            }
        }
        if self.routes.is_ok() && !self.complete {
            lines.extend([("", String::new()), ("", book.words.word("route.incomplete"))]);
        }
        crate::guide::wrapped(&lines, &book.words)
    }
}
