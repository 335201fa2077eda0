//! Coming from another system on the same fork, as finished text. Must not know how the two plans were found.
//!
//! The order of work undoes the old guide's steps backwards, then names the new guide's own steps. Where no one deck goes
//! with both plans, the new plan's own is bought and in the price. Minutes are the rule file's; when one step of the work has
//! none, no time is told.

use super::bench::{Bench, Book};
use super::decks::parts_beyond;
use super::other_steps;
use super::page::{ComingRow, Guide, NeedRow, OtherSteps, OwnDeckRow, PartLine};
use super::route::RouteTeller;
use super::steps::planned;
use super::supply;
use super::template::Template;
use crate::assembly::{ItemIx, Pick};
use crate::catalogue::{PartIx, VariantIx};
use crate::kinds::Known;
use crate::rules::{SlotIx, Step};
use crate::solve::{Answer, Article, Buy, Coming, OnOwnDeck, Source, Standing, picks_of};

/// A change from one plan to another.
#[derive(Clone, Debug)]
pub struct ComingBy<'a> {
    pub coming: Coming,
    /// Where it starts from.
    pub old: &'a Answer,
    /// What is cheaper on the rider's own deck, the cheapest first.
    pub own_deck: Vec<OwnDeckWay>,
    /// From the plan of the other guide's row of a deck, on which its own plan does not go.
    pub other_decks: Vec<OwnDeckWay>,
    /// Such rows from which no way was found.
    pub no_way_on: Vec<VariantIx>,
}

impl<'a> ComingBy<'a> {
    pub fn from(coming: Coming, old: &'a Answer) -> ComingBy<'a> {
        ComingBy { coming, old, own_deck: vec![], other_decks: vec![], no_way_on: vec![] }
    }
}

#[derive(Clone, Debug)]
pub struct OwnDeckWay {
    pub own: OnOwnDeck,
    /// How its plan stands on each of its decks.
    pub stands: Vec<Standing>,
}

/// Adds to each answer of the guide how to come from the other systems. `found`: for each of `answers`, the changes to it. An
/// answer that stands for several revisions says which one a row is for,
/// unless it is the same for all.
pub fn coming_from(book: &Book, guide: &mut Guide, answers: &[Answer], found: &[Vec<ComingBy<'_>>]) {
    let whose = told_by(guide, answers);
    for told in &mut guide.answers {
        let numbers: Vec<(&str, Option<ItemIx>, usize)> =
            told.steps.iter().map(|s| (s.id.as_str(), s.item, s.number)).collect();
        let rows = |index: usize| -> Vec<ComingRow> {
            let tell = |by: &ComingBy<'_>| {
                let (old, new) = (Bench::new(*book, by.old), Bench::new(*book, &answers[index]));
                let row = Telling { old, new, coming: &by.coming }.row(&numbers);
                let from_plan = picks_of(&by.old.stack);
                // Where the scooter is built as the other guide has it; on another deck only this guide's parts are known.
                let kept = |own: &OwnDeckWay| own_deck(&new, own, &from_plan, "coming.own-deck");
                let other =
                    |own: &OwnDeckWay| own_deck(&new, own, &picks_of(&new.answer.stack), "coming.from-row");
                let none: Vec<String> = by.no_way_on.iter().map(|&deck| book.variant_name(deck)).collect();
                let list = book.words.joined("comma", &none);
                ComingRow {
                    own_deck: by.own_deck.iter().map(kept).collect(),
                    other_decks: by.other_decks.iter().map(other).collect(),
                    no_way_on: (!none.is_empty())
                        .then(|| book.words.say("coming.no-way-on", &[("list", &list)])),
                    ..row
                }
            };
            let by_system = found[index].chunk_by(|a, b| a.old.system == b.old.system);
            by_system.flat_map(|of| of_system(book, of, of.iter().map(tell).collect())).collect()
        };
        let stands_for = (0..answers.len()).filter(|&i| whose[i] == Some(told.answer));
        let all: Vec<(usize, Vec<ComingRow>)> = stands_for.map(|i| (i, rows(i))).collect();
        told.coming = if all.windows(2).all(|pair| pair[0].1 == pair[1].1) {
            all.into_iter().next().map_or_else(Vec::new, |(_, rows)| rows)
        } else {
            labelled(book, answers, all)
        };
    }
}

/// From one system, where what lies in the boxes may make several old plans: told once where it is the same from each.
fn of_system(book: &Book, of: &[ComingBy<'_>], rows: Vec<ComingRow>) -> Vec<ComingRow> {
    if rows.windows(2).all(|pair| pair[0] == pair[1]) {
        return rows.into_iter().take(1).collect();
    }
    let with = |(row, by): (ComingRow, &ComingBy<'_>)| {
        let revision = super::telling_apart::joined(book, &Bench::new(*book, by.old).revisions());
        ComingRow { revision: revision.map(|r| r.label), ..row }
    };
    rows.into_iter().zip(of).map(with).collect()
}

/// For each of the answers, the told one that stands for it: itself, or the last one told before it.
fn told_by(guide: &Guide, answers: &[Answer]) -> Vec<Option<usize>> {
    let told = |i: &usize| guide.answers.iter().any(|t| t.answer == *i);
    (0..answers.len()).map(|i| (0..=i).rev().find(told)).collect()
}

fn labelled(book: &Book, answers: &[Answer], all: Vec<(usize, Vec<ComingRow>)>) -> Vec<ComingRow> {
    let label = |index: usize| {
        let bench = Bench::new(*book, &answers[index]);
        super::telling_apart::joined(book, &bench.revisions()).map(|r| r.label)
    };
    let with = |(index, rows): (usize, Vec<ComingRow>)| {
        let revision = label(index);
        rows.into_iter()
            .map(move |row| ComingRow { revision: row.revision.clone().or(revision.clone()), ..row })
    };
    let mut rows: Vec<ComingRow> = all.into_iter().flat_map(with).collect();
    rows.sort_by(|a, b| a.system_name.cmp(&b.system_name));
    rows
}

/// On the rider's own deck: in what it is another plan than `from`, and what it costs.
fn own_deck(new: &Bench, OwnDeckWay { own, stands }: &OwnDeckWay, from: &[Pick], key: &str) -> OwnDeckRow {
    let (words, book) = (new.words(), &new.book);
    let pick = |&variant: &VariantIx| Pick { slot: SlotIx(0), variant, turned: false };
    let picks: Vec<Pick> = own.variants.iter().map(pick).collect();
    let but = [Known::Deck];
    let (with, without) = (parts_beyond(book, &picks, from, &but), parts_beyond(book, from, &picks, &but));
    let names = |deck: &Vec<VariantIx>| {
        let names: Vec<String> = deck.iter().map(|&v| book.variant_name(v)).collect();
        words.joined("plus", &names)
    };
    let each: Vec<String> = own.decks.iter().map(names).collect();
    let steps = stands.iter().zip(&each).filter_map(|(standing, deck)| {
        let there = other_steps::standing(new.answer, standing, false);
        let lines = other_steps::lines(new, &Bench { answer: &there, ..*new });
        let with = words.say("coming.on-deck", &[("deck", deck)]);
        (!lines.is_empty()).then_some(OtherSteps { with: Some(with), lines })
    });
    let steps = steps.collect();
    let decks = words.joined("comma", &each);
    let teller = RouteTeller { book: *book, currency: own.spend.known.currency(), stops: &[] };
    let list = |names: &[String]| (!names.is_empty()).then(|| words.joined("comma", names));
    let buy = (!own.buy.is_empty()).then(|| teller.articles(&own.buy));
    let spend = teller.money(own.cost);
    let told = [("with", list(&with)), ("without", list(&without)), ("buy", buy)];
    let mut values = vec![("decks", decks.as_str()), ("spend", spend.as_str())];
    values.extend(told.iter().filter_map(|(name, text)| Some((*name, text.as_deref()?))));
    let id = |&variant: &VariantIx| book.catalogue.part_of(variant).id.clone();
    let bought = |&(article, count): &(Article, u32)| match article {
        Article::Part(part) => (id(&part), count),
        Article::Box(of) => (book.catalogue.the_box(of).id.clone(), count),
    };
    OwnDeckRow {
        decks: own.decks.iter().flatten().map(id).collect(),
        text: words.say(key, &values),
        buy: own.buy.iter().map(bought).collect(),
        bars: own.bars,
        steps,
        names: decks,
        spend,
    }
}

struct Telling<'a> {
    old: Bench<'a>,
    new: Bench<'a>,
    coming: &'a Coming,
}

/// Steps of the work with their time; `None` as soon as the book does not give it for one of them.
struct Work {
    tools: Vec<String>,
    minutes: Option<u32>,
}

/// One action of taking apart.
#[derive(PartialEq)]
struct Undone<'a> {
    key: &'static str,
    /// The rule's own sentence for it.
    say: Option<&'a str>,
    part: String,
    /// Of a clamp that closes in two places: which one.
    at: Option<String>,
    tool: Option<String>,
}

impl Work {
    fn add(&mut self, tools: Vec<String>, minutes: Option<u32>) {
        self.minutes = self.minutes.zip(minutes).map(|(a, b)| a + b);
        for tool in tools {
            if !self.tools.contains(&tool) {
                self.tools.push(tool);
            }
        }
    }
}

impl Telling<'_> {
    fn row(&self, numbers: &[(&str, Option<ItemIx>, usize)]) -> ComingRow {
        let words = self.new.words();
        let mut work = Work { tools: vec![], minutes: Some(0) };
        let undo = self.undo(&mut work);
        let build = self.build(numbers, &mut work);
        let minutes = work.minutes.filter(|m| *m > 0);
        let anything = !self.coming.buy.is_empty();
        ComingRow {
            system_id: self.old.rule.id.clone(),
            system_name: self.old.system(),
            revision: None,
            take_off: self.take_off(),
            keep: self.keep(),
            add: self.add(),
            need: self.coming.buy.iter().map(|buy| supply::need_row(&self.new, buy)).collect(),
            spend: match anything {
                true => supply::spend(&self.new, &self.coming.spend, true),
                false => words.word("coming.nothing"),
            },
            new_deck: self.new_deck(),
            tools: work.tools,
            minutes: minutes.map(|m| words.counted("coming.minutes", m, &[])),
            undo,
            then: self.then(&build),
            build,
            brought: self.brought(),
            own_deck: vec![],
            other_decks: vec![],
            no_way_on: None,
        }
    }

    /// A price that has a deck in it hides it unless that is said beside it.
    fn new_deck(&self) -> Option<String> {
        let deck = |buy: &&Buy| match buy.article {
            Article::Part(part) => self.new.book.catalogue.part_of(part).is(Known::Deck),
            Article::Box(_) => false,
        };
        let row = |buy| supply::need_row(&self.new, buy);
        let decks = self.coming.buy.iter().filter(deck).map(row);
        let named = |row: NeedRow| {
            let texts: Vec<String> = [row.name].into_iter().chain(row.price).collect();
            self.new.words().joined("comma", &texts)
        };
        let names: Vec<String> = decks.map(named).collect();
        (!names.is_empty()).then(|| self.new.words().joined("semicolon", &names))
    }

    fn line(&self, part: PartIx, key: &str) -> PartLine {
        let part = self.new.part(part);
        PartLine { part_id: part.id.clone(), name: part.name.clone(), text: self.new.words().word(key) }
    }

    /// Alike lines as one: "3 × Quay spacer".
    fn grouped(&self, lines: impl Iterator<Item = PartLine>) -> Vec<PartLine> {
        let mut counted: Vec<(PartLine, u32)> = vec![];
        for line in lines {
            match counted.iter_mut().find(|(known, _)| *known == line) {
                Some((_, count)) => *count += 1,
                None => counted.push((line, 1)),
            }
        }
        let named = |(line, count): (PartLine, u32)| match count {
            1 => line,
            _ => PartLine { name: supply::several(&self.new, count, &line.name), ..line },
        };
        counted.into_iter().map(named).collect()
    }

    fn part(bench: &Bench, item: ItemIx) -> PartIx {
        bench.variant_of(item).part
    }

    fn take_off(&self) -> Vec<PartLine> {
        let driven = |item: &ItemIx| self.old.rule.driven_into(self.old.item(*item).slot).is_some();
        let off = self.coming.off.iter().filter(|(_, again)| !again).map(|o| o.0);
        let line = |item: ItemIx| {
            let key = match driven(&item) {
                true if self.host_goes(item) => "coming.left-in",
                true => "coming.driven-out",
                false => "coming.spare",
            };
            self.line(Self::part(&self.old, item), key)
        };
        self.grouped(off.map(line))
    }

    /// What it is driven into comes off and goes on no more: it may stay in there.
    fn host_goes(&self, item: ItemIx) -> bool {
        let Some(host) = self.old.rule.driven_into(self.old.item(item).slot) else { return false };
        let gone = |(off, again): &(ItemIx, bool)| !again && self.old.item(*off).slot == host;
        self.coming.off.iter().any(gone)
    }

    fn keep(&self) -> Vec<PartLine> {
        let set_in = |s: &(ItemIx, ItemIx)| super::set_in::stays((&self.old, s.0), (&self.new, s.1));
        let word = |key| self.new.words().word(key);
        let stays = self.coming.stays.iter();
        let stays = stays.map(|s| (s.1, set_in(s).unwrap_or_else(|| word("coming.stays"))));
        let again = |on: &&(ItemIx, Source)| on.1 == Source::Again;
        let again = self.coming.on.iter().filter(again).map(|o| (o.0, word("coming.again")));
        let all = stays.chain(again);
        let own = all.filter(|(item, _)| !self.new.rule.slot(self.new.item(*item).slot).brought);
        let line = |(item, text)| PartLine { text, ..self.line(Self::part(&self.new, item), "coming.stays") };
        self.grouped(own.map(line))
    }

    fn add(&self) -> Vec<PartLine> {
        let told = |on: &(ItemIx, Source)| {
            let key = match on.1 {
                Source::Owned => "coming.owned",
                Source::Bought => "coming.bought",
                Source::Again | Source::Brought => return None,
            };
            Some(self.line(Self::part(&self.new, on.0), key))
        };
        self.grouped(self.coming.on.iter().filter_map(told))
    }

    /// The old steps backwards: what was done last is undone first.
    fn undo(&self, work: &mut Work) -> Vec<String> {
        let planned = planned(&self.old);
        let comes_off =
            |item: ItemIx| self.coming.off.iter().any(|o| o.0 == item) && !self.stays_driven(item);
        let first = |at: usize| !planned[..at].iter().any(|p| p.1 == planned[at].1);
        let mut actions: Vec<(Undone<'_>, u32)> = vec![];
        for (at, &(step, item)) in planned.iter().enumerate().rev() {
            let Some(item) = item.filter(|&i| comes_off(i)) else { continue };
            let tool = self.tool(step, item);
            if !first(at) && tool.is_none() {
                continue;
            }
            work.add(tool.iter().cloned().collect(), step.minutes_undone);
            let action = self.undone(step, item, first(at), tool);
            match actions.last_mut() {
                Some((last, count)) if *last == action => *count += 1,
                _ => actions.push((action, 1)),
            }
        }
        actions.into_iter().map(|(action, count)| self.action(&action, count)).collect()
    }

    fn stays_driven(&self, item: ItemIx) -> bool {
        self.old.rule.driven_into(self.old.item(item).slot).is_some() && self.host_goes(item)
    }

    fn tool(&self, step: &Step, item: ItemIx) -> Option<String> {
        super::steps::uses(step, "tool").then(|| self.old.tool(item)).flatten()
    }

    fn undone<'s>(&self, step: &'s Step, item: ItemIx, off: bool, tool: Option<String>) -> Undone<'s> {
        let driven = self.old.rule.driven_into(self.old.item(item).slot).is_some();
        let key = match (off, driven) {
            (true, true) => "coming.drive-out",
            (true, false) => "coming.off",
            (false, _) => "coming.slacken",
        };
        let tool = tool.filter(|_| !driven);
        let at = self.place_of(step).filter(|_| key == "coming.slacken");
        let say = step.undo.as_deref().filter(|_| key == "coming.off");
        Undone { key, say, part: self.old.part_of(item).name.clone(), at, tool }
    }

    /// "upper half", where the same part is closed in another place, too.
    fn place_of(&self, step: &Step) -> Option<String> {
        let closes = step.closes.as_ref()?;
        let others = self.old.rule.steps.iter().filter_map(|s| s.closes.as_ref());
        let several = others.filter(|other| other.slot == closes.slot).any(|other| other != closes);
        let key = format!("half.{}", closes.surface);
        several.then(|| self.old.words().first(&[&key])).flatten()
    }

    fn action(&self, action: &Undone<'_>, count: u32) -> String {
        let part = match count {
            1 => action.part.clone(),
            _ => supply::several(&self.old, count, &action.part),
        };
        let own = action.say.and_then(|say| Template::read(say).ok());
        let value = |name: &str| match name {
            "part" => Some(part.clone()),
            _ => action.tool.clone(),
        };
        if let Some(said) = own.and_then(|own| own.fill(&value).ok()) {
            return said;
        }
        let mut values = vec![("part", part.as_str())];
        values.extend(action.at.as_deref().map(|at| ("at", at)));
        values.extend(action.tool.as_deref().map(|tool| ("tool", tool)));
        self.new.words().say(action.key, &values)
    }

    /// Numbers of the guide's own steps that are still to be done.
    fn build(&self, numbers: &[(&str, Option<ItemIx>, usize)], work: &mut Work) -> Vec<usize> {
        let goes_on = |item: ItemIx| self.coming.on.iter().any(|o| o.0 == item);
        let mut found = vec![];
        for (step, item) in planned(&self.new) {
            let wanted = match item {
                Some(item) => goes_on(item),
                None => !found.is_empty(),
            };
            let number = numbers.iter().find(|n| n.0 == step.id && n.1 == item).map(|n| n.2);
            if let Some(number) = number.filter(|_| wanted) {
                let tools = item.map_or_else(Vec::new, |item| super::glance::tools_of(&self.new, step, item));
                work.add(tools, step.minutes);
                found.push(number);
            }
        }
        found
    }

    /// "Then steps 8, 10 to 14 of this guide."
    fn then(&self, build: &[usize]) -> String {
        let words = self.new.words();
        let runs = build.chunk_by(|a, b| b - a == 1).map(|run| match run {
            [one] => one.to_string(),
            [first, .., last] => {
                words.say("coming.run", &[("first", &first.to_string()), ("last", &last.to_string())])
            }
            [] => String::new(),
        });
        let list = words.joined("comma", &runs.collect::<Vec<_>>());
        words.counted("coming.then", build.len() as u32, &[("list", &list)])
    }

    /// Only where the deck of one plan is not that of the other.
    fn brought(&self) -> Option<String> {
        let name = |list: &Vec<crate::catalogue::VariantIx>| {
            let names: Vec<String> =
                list.iter().map(|&v| self.new.book.catalogue.part_of(v).name.clone()).collect();
            self.new.words().joined("plus", &names)
        };
        let mut names: Vec<String> = self.coming.brought.iter().map(name).collect();
        names.dedup();
        match names.as_slice() {
            [] if self.coming.brought_priced => Some(self.new.words().word("coming.other-deck")),
            [] => Some(self.new.words().word("coming.other-deck-unsold")),
            [one] if one.is_empty() => None,
            _ => {
                let list = self.new.words().joined("comma", &names);
                Some(self.new.words().say("coming.decks", &[("list", &list)]))
            }
        }
    }
}
