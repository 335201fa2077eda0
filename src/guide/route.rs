//! Routes from one set-up to another as finished text, and as data. Must not know how a route is found.

use serde_json::{Value as Json, json};

use super::bench::Book;
use super::page::PartLine;
use super::words::capital;
use crate::catalogue::{OnHand, VariantIx};
use crate::kinds::Known;
use crate::quantity::{Currency, Money};
use crate::solve::{Article, Best, Cost, Counts, Move, NoRoute, Route, SetUp};

/// One way, ready to be read.
#[derive(Clone, Debug, PartialEq)]
pub struct RouteText {
    pub best: Best,
    /// "€51.00 in 2 changes"
    pub summary: String,
    pub cost: String,
    /// Articles without a price, then smallest coins: less is cheaper.
    pub rank: (u32, i64),
    pub changes: usize,
    /// The start first.
    pub stops: Vec<StopText>,
    /// "On Tern deck"; `None` where nothing is brought.
    pub brought: Option<String>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct StopText {
    pub fork_id: String,
    pub fork: String,
    pub revision: Option<String>,
    pub system_id: String,
    pub system: String,
    pub bars_id: Option<String>,
    pub bars: Option<String>,
    /// "Start: …", "Change the bars to …"
    pub what: String,
    /// "to buy: …"
    pub buy: Vec<PartLine>,
    /// Of this change; empty at the start.
    pub cost: String,
    /// Everything it is built with.
    pub parts: Vec<PartLine>,
}

/// Everything that routes are told from.
#[derive(Clone, Copy)]
pub struct RouteTeller<'a> {
    pub book: Book<'a>,
    pub currency: Currency,
    pub stops: &'a [SetUp],
}

impl RouteTeller<'_> {
    pub fn route(&self, route: &Route, best: Best) -> RouteText {
        let words = self.book.words;
        let start = self.stop(route.from, words.word("route.start"), vec![], String::new());
        let later = route.change.iter().map(|change| {
            let buy = change.buy.iter().map(|&(article, count)| self.article(article, count)).collect();
            self.stop(change.to, self.what(change, route), buy, self.money(change.cost))
        });
        let (cost, changes) = (self.money(route.cost()), route.count());
        let deck = self.new_deck(route);
        let mut values = vec![("cost", cost.as_str())];
        values.extend(deck.as_deref().map(|deck| ("deck", deck)));
        RouteText {
            best,
            summary: words.counted("route.summary", changes as u32, &values),
            stops: std::iter::once(start).chain(later).collect(),
            brought: self.brought(&route.brought),
            cost,
            rank: (route.cost().unpriced, route.cost().minor),
            changes,
        }
    }

    /// "Change the fork: Heron fork; the bars: Broad bars"
    fn what(&self, change: &Move, route: &Route) -> String {
        let (words, stop, what) = (self.book.words, &self.stops[change.to], change.what);
        let deck = what.deck.then(|| route.brought.first().map(|list| self.names(list))).flatten();
        let all = [
            ("fork", what.fork.then(|| self.fork_name(stop))),
            ("system", what.system.then(|| self.rule_name(stop))),
            ("bars", what.bars.then(|| self.bars_name(stop))),
            ("deck", deck),
        ];
        let piece = |(key, name): &(&str, Option<String>)| {
            let name = name.as_deref()?;
            Some(words.say(&format!("route.replaced.{key}"), &[("name", name)]))
        };
        let list: Vec<String> = all.iter().filter_map(piece).collect();
        words.say("route.change-all", &[("list", &words.joined("semicolon", &list))])
    }

    /// "Dunlin deck, €89.00": a price that has it in says so.
    fn new_deck(&self, route: &Route) -> Option<String> {
        let bought = route.change.iter().flat_map(|change| &change.buy);
        let deck = |article: &Article| match article {
            Article::Part(part) => self.book.catalogue.part_of(*part).is(Known::Deck),
            Article::Box(_) => false,
        };
        let &(article, count) = bought.into_iter().find(|bought| deck(&bought.0))?;
        let line = self.article(article, count);
        let texts: Vec<String> = [line.name, line.text].into_iter().filter(|t| !t.is_empty()).collect();
        Some(self.book.words.joined("comma", &texts))
    }

    /// Why there is no way, as one sentence.
    pub fn none(&self, why: NoRoute) -> String {
        let words = self.book.words;
        match why {
            NoRoute::NothingBroughtFits => words.word("route.no-deck"),
            NoRoute::NotSold => words.word("route.not-sold"),
            NoRoute::Unsettled => words.word("route.unsettled"),
        }
    }

    pub fn money(&self, cost: Cost) -> String {
        let words = self.book.words;
        let known = Money::minor(cost.minor, self.currency).shown(words.language());
        match (cost.unpriced, cost.minor) {
            (0, 0) => words.word("route.free"),
            (0, _) => known,
            (_, 0) => words.word("need.no-price"),
            _ => words.say("need.unpriced", &[("spend", &known)]),
        }
    }

    /// "Crake fork (revision 2 (autumn 2025))"
    pub fn fork_named(&self, variant: VariantIx) -> String {
        let name = &self.book.catalogue.part_of(variant).name;
        match self.revision(variant) {
            Some(revision) => {
                self.book.words.say("route.revision", &[("fork", name), ("revision", &revision)])
            }
            None => name.clone(),
        }
    }

    /// "Quay spacer (€2.00), 2 × Alder shim (€8.00 each)"
    pub fn articles(&self, articles: &[(Article, u32)]) -> String {
        let words = self.book.words;
        let one = |&(article, count): &(Article, u32)| {
            let line = self.article(article, count);
            match line.text.is_empty() {
                true => line.name,
                false => words.say("item.named", &[("word", &line.name), ("name", &line.text)]),
            }
        };
        words.joined("comma", &articles.iter().map(one).collect::<Vec<_>>())
    }

    /// "Heron fork with Wide shim, Broad bars"
    pub fn stop_name(&self, stop: usize) -> String {
        let stop = &self.stops[stop];
        let (fork, system, bars) = (self.fork_name(stop), self.rule_name(stop), self.bars_name(stop));
        let mut values = vec![("fork", fork.as_str()), ("system", &system)];
        if !bars.is_empty() {
            values.push(("bars", &bars));
        }
        self.book.words.say("route.stop", &values)
    }

    /// "Heron fork with Wide shim"
    pub fn pair_name(&self, stop: usize) -> String {
        let stop = &self.stops[stop];
        let values = [("fork", &*self.fork_name(stop)), ("system", &*self.rule_name(stop))];
        self.book.words.say("route.stop", &values)
    }

    fn stop(&self, index: usize, what: String, buy: Vec<PartLine>, cost: String) -> StopText {
        let stop = &self.stops[index];
        let fork = self.book.catalogue.part_of(stop.fork);
        let rule = &self.book.rules[stop.system];
        let bars = stop.bars.map(|bars| self.book.catalogue.part(bars));
        StopText {
            fork_id: fork.id.clone(),
            fork: fork.name.clone(),
            revision: self.revision(stop.fork),
            system_id: rule.id.clone(),
            system: self.book.words.system(rule),
            bars_id: bars.map(|b| b.id.clone()),
            bars: bars.map(|b| b.name.clone()),
            what,
            buy,
            cost,
            parts: self.parts(stop),
        }
    }

    fn parts(&self, stop: &SetUp) -> Vec<PartLine> {
        let mut counts = Counts::new();
        for &variant in &stop.variants {
            *counts.entry(self.book.catalogue.as_made(variant)).or_insert(0) += 1;
        }
        let of = |(&part, &count): (&VariantIx, &u32)| self.article(Article::Part(part), count);
        counts.iter().map(of).collect()
    }

    /// "2 × Quay spacer", with its price and stock where it is to be bought.
    fn article(&self, article: Article, count: u32) -> PartLine {
        let (catalogue, words) = (self.book.catalogue, self.book.words);
        let (id, name, price, on_hand) = match article {
            Article::Part(ix) => {
                let part = catalogue.part_of(ix);
                (&part.id, self.book.variant_name(ix), part.price, part.on_hand)
            }
            Article::Box(ix) => {
                let the_box = catalogue.the_box(ix);
                (&the_box.id, the_box.name.clone(), the_box.price, the_box.on_hand)
            }
        };
        let name = match count {
            1 => name,
            _ => words.say("item.several", &[("count", &count.to_string()), ("name", &name)]),
        };
        let of_all = |shown: String| match count {
            1 => shown,
            _ => words.say("need.each", &[("price", &shown)]),
        };
        let mut text: Vec<String> = price.map(|p| of_all(p.shown(words.language()))).into_iter().collect();
        text.extend((on_hand == OnHand::Count(0)).then(|| words.word("stock.none")));
        PartLine { part_id: id.clone(), name, text: words.joined("comma", &text) }
    }

    fn fork_name(&self, stop: &SetUp) -> String {
        self.fork_named(stop.fork)
    }

    fn revision(&self, fork: VariantIx) -> Option<String> {
        let revision = self.book.catalogue.variant(fork).revision.as_ref()?;
        let mut values = vec![("id", revision.id.as_str())];
        values.extend(revision.since.as_deref().map(|since| ("since", since)));
        Some(self.book.words.say("revision.label", &values))
    }

    fn rule_name(&self, stop: &SetUp) -> String {
        self.book.words.system(&self.book.rules[stop.system])
    }

    fn bars_name(&self, stop: &SetUp) -> String {
        stop.bars.map_or_else(String::new, |bars| self.book.catalogue.part(bars).name.clone())
    }

    fn names(&self, parts: &[VariantIx]) -> String {
        let names: Vec<String> = parts.iter().map(|&v| self.book.catalogue.part_of(v).name.clone()).collect();
        self.book.words.joined("plus", &names)
    }

    fn brought(&self, brought: &[Vec<VariantIx>]) -> Option<String> {
        let words = self.book.words;
        let mut names: Vec<String> =
            brought.iter().map(|list| self.names(list)).filter(|n| !n.is_empty()).collect();
        names.dedup();
        if names.is_empty() {
            return None;
        }
        Some(words.say("route.decks", &[("list", &words.joined("comma", &names))]))
    }
}

impl RouteText {
    pub fn json(&self) -> Json {
        let line = |l: &PartLine| json!({ "id": l.part_id, "name": l.name, "text": l.text });
        let stop = |s: &StopText| {
            json!({
                "fork": s.fork_id, "fork_revision": s.revision, "system": s.system_id, "bars": s.bars_id,
                "what": s.what, "cost": s.cost,
                "buy": s.buy.iter().map(line).collect::<Vec<_>>(),
                "parts": s.parts.iter().map(line).collect::<Vec<_>>(),
            })
        };
        json!({
            "changes": self.changes, "cost": self.cost, "summary": self.summary, "on": self.brought,
            "stops": self.stops.iter().map(stop).collect::<Vec<_>>(),
        })
    }

    /// Lines for a terminal: each a mark (how far in) and a text.
    pub fn lines(&self, words: &super::words::Words) -> Vec<(&'static str, String)> {
        let heading = match self.best {
            Best::Cheapest => "route.cheapest",
            Best::FewestChanges => "route.fewest",
        };
        let mut lines = vec![("", words.say(heading, &[("summary", &self.summary)]))];
        for (number, stop) in self.stops.iter().enumerate() {
            let text = match stop.cost.as_str() {
                "" => stop.what.clone(),
                cost => words.say("route.change", &[("what", &stop.what), ("cost", cost)]),
            };
            lines.push(("  ", format!("{number}. {text}")));
            let list = |lines: &[PartLine]| {
                let one = |l: &PartLine| match l.text.is_empty() {
                    true => l.name.clone(),
                    false => words.say("item.named", &[("word", &l.name), ("name", &l.text)]),
                };
                words.joined("comma", &lines.iter().map(one).collect::<Vec<_>>())
            };
            if !stop.buy.is_empty() {
                lines.push(("     ", words.say("route.buy", &[("list", &list(&stop.buy))])));
            }
            let names: Vec<PartLine> =
                stop.parts.iter().map(|l| PartLine { text: String::new(), ..l.clone() }).collect();
            lines.push(("     ", words.say("route.parts", &[("list", &list(&names))])));
        }
        lines.extend(self.brought.iter().map(|b| ("  ", capital(b))));
        lines
    }
}
