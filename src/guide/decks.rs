//! What an answer comes to on each deck of the book. A deck is never promised more than was computed.

use super::bars::variant_id;
use super::bench::{Bench, Book};
use super::measuring;
use super::page::{DeckRow, Guide};
use super::route::RouteTeller;
use super::set_in;
use crate::assembly::{Outcome, Pick};
use crate::catalogue::VariantIx;
use crate::kinds::Known;
use crate::quantity::Currency;
use crate::solve::{Answer, HeldPlan, OwnPlan, Standing, StepsHold, Verdict, picks_of};

const LENGTH: &str = "head_tube_length";

/// The best plan on one deck, and what it costs where there is one.
#[derive(Clone, Debug)]
pub struct OnDeck {
    pub deck: VariantIx,
    pub plan: HeldPlan,
    pub own: Option<OwnPlan>,
    /// Where it is the plan of the answer: whether what its steps say holds there.
    pub steps: Option<StepsHold>,
    /// Where it is another, or the steps say something else: how it stands.
    pub standing: Option<Standing>,
}

/// Adds to each answer of the guide what it comes to on the decks. `found`: for each of `answers`, every deck of the book.
pub fn tell_decks(
    book: &Book,
    guide: &mut Guide,
    answers: &[Answer],
    currency: Currency,
    found: &[Vec<OnDeck>],
) {
    for told in &mut guide.answers {
        let bench = Bench::new(*book, &answers[told.answer]);
        let teller = RouteTeller { book: *book, currency, stops: &[] };
        let telling = Telling { bench, teller };
        told.decks = found[told.answer].iter().filter_map(|on| telling.row(on)).collect();
    }
}

struct Telling<'b> {
    bench: Bench<'b>,
    teller: RouteTeller<'b>,
}

impl Telling<'_> {
    fn row(&self, on: &OnDeck) -> Option<DeckRow> {
        let deck = self.bench.book.catalogue.variant(on.deck);
        let part = self.bench.part(deck.part);
        let length = deck.shape.dims.iter().find(|d| d.name == LENGTH)?;
        let told = self.as_it_stands(on).or_else(|| self.as_well(on));
        let (verdict, words) = told.unwrap_or_else(|| self.with_other_parts(on));
        Some(DeckRow {
            part_id: part.id.clone(),
            key: variant_id(&self.bench.book, on.deck),
            name: self.bench.book.variant_name(on.deck),
            head_tube: length.dimension.written.clone(),
            verdict,
            words,
        })
    }

    /// On this deck the very plan of the answer holds.
    fn as_it_stands(&self, on: &OnDeck) -> Option<(Verdict, String)> {
        let (words, steps) = (self.bench.words(), on.steps?);
        let (outcome, _) = on.plan.clone().found()?;
        let standing = on.standing.as_ref();
        let here = standing.filter(|_| !steps.depths || !steps.heights).and_then(|s| places(&self.bench, s));
        // The gap is told in the steps as well, as what is to be seen.
        let gap = standing.filter(|_| !steps.gap).and_then(|s| gap(&self.bench, s));
        let notes: Vec<String> = [here, gap].into_iter().flatten().collect();
        let notes = (!notes.is_empty()).then(|| words.joined("semicolon", &notes));
        let values: Vec<(&str, &str)> = notes.iter().map(|notes| ("depth", notes.as_str())).collect();
        Some(match outcome {
            Outcome::Pass => (Verdict::Goes, words.say("deck.goes", &values)),
            _ => (Verdict::Measure, words.word("deck.measure-as-said")),
        })
    }

    /// On this deck the plan of the answer serves as well as another one, which is as cheap or cheaper there.
    fn as_well(&self, on: &OnDeck) -> Option<(Verdict, String)> {
        let HeldPlan::Goes(picks) = &on.plan else { return None };
        let mut others = self.bench.answer.alternatives.iter();
        let swapped = others.find(|other| other.variant == on.deck && other.verdict == Verdict::Goes)?;
        let heights = (!swapped.heights_hold).then(|| set_in::heights_as_planned(&self.bench)).flatten();
        let depths = swapped.depths.iter().map(|&(item, depth)| set_in::with_other(&self.bench, item, depth));
        let notes: Vec<String> = depths.chain(heights).collect();
        let words = self.bench.words();
        let notes = (!notes.is_empty()).then(|| words.joined("semicolon", &notes));
        let mut told = self.other_parts(on, picks);
        told.extend(notes.map(|notes| ("depth", notes)));
        let values: Vec<(&str, &str)> = told.iter().map(|(name, text)| (*name, text.as_str())).collect();
        Some((Verdict::Goes, words.say("deck.goes-too", &values)))
    }

    fn with_other_parts(&self, on: &OnDeck) -> (Verdict, String) {
        let words = self.bench.words();
        let (picks, verdict, key) = match &on.plan {
            HeldPlan::Goes(picks) => (picks, Verdict::Goes, "deck.other-goes"),
            HeldPlan::Measure(picks) => (picks, Verdict::Measure, "deck.other-measure"),
            HeldPlan::No => return (Verdict::No, words.word("deck.no")),
            HeldPlan::Unsettled => return (Verdict::Measure, words.word("deck.unsettled")),
        };
        let mut told = self.other_parts(on, picks);
        let places = match &on.standing {
            Some(standing) => places(&self.bench, standing),
            None => set_in::only_as_planned(&self.bench),
        };
        told.extend(places.map(|depth| ("depth", depth)));
        let first = on.standing.as_ref().and_then(|standing| first_reading(&self.bench, standing));
        told.extend(first.map(|first| ("first", first)));
        let values: Vec<(&str, &str)> = told.iter().map(|(name, text)| (*name, text.as_str())).collect();
        (verdict, words.say(key, &values))
    }

    /// What these have that the plan has not, and what all of it costs.
    fn other_parts(&self, on: &OnDeck, picks: &[Pick]) -> Vec<(&'static str, String)> {
        let words = self.bench.words();
        let list = |names: Vec<String>| (!names.is_empty()).then(|| words.joined("comma", &names));
        let plan = picks_of(&self.bench.answer.stack);
        let book = &self.bench.book;
        let but = [Known::Deck];
        let (with, without) =
            (list(parts_beyond(book, picks, &plan, &but)), list(parts_beyond(book, &plan, picks, &but)));
        let buy = on.own.as_ref().filter(|own| !own.buy.is_empty()).map(|own| self.teller.articles(&own.buy));
        let cost = on.own.as_ref().map(|own| self.teller.money(own.cost));
        let told = [("with", with), ("without", without), ("buy", buy), ("cost", cost)];
        told.into_iter().filter_map(|(name, text)| Some((name, text?))).collect()
    }
}

/// Where the chosen heights of that plan are; `None` where nothing is chosen.
fn places(bench: &Bench<'_>, standing: &Standing) -> Option<String> {
    let answer = as_it_stands(bench, standing);
    let bench = Bench { answer: &answer, ..*bench };
    let all: Vec<String> = set_in::chosen(&bench);
    (!all.is_empty()).then(|| bench.words().joined("comma", &all))
}

/// The gap to be seen there.
fn gap(bench: &Bench<'_>, standing: &Standing) -> Option<String> {
    let answer = as_it_stands(bench, standing);
    let gap = super::steps::gap(&Bench { answer: &answer, ..*bench }, None)?;
    Some(bench.words().say("deck.gap", &[("gap", &gap)]))
}

/// What is to be read or tried of that plan before all else, and what of it is good.
fn first_reading(bench: &Bench<'_>, standing: &Standing) -> Option<String> {
    let answer = as_it_stands(bench, standing);
    measuring::in_short(&Bench { answer: &answer, ..*bench })
}

fn as_it_stands(bench: &Bench<'_>, standing: &Standing) -> Answer {
    let Standing { stack, readings, tries } = standing.clone();
    Answer { stack, readings, tries, ..bench.answer.clone() }
}

/// Names of the parts that the one plan has and the other has not, as often as it has more of them; none of these kinds.
pub fn parts_beyond(book: &Book, picks: &[Pick], other: &[Pick], but: &[Known]) -> Vec<String> {
    let mut left: Vec<VariantIx> = other.iter().map(|p| p.variant).collect();
    let more = picks
        .iter()
        .map(|p| p.variant)
        .filter(|v| !but.iter().any(|&known| book.catalogue.part_of(*v).is(known)));
    let more = more.filter(|v| match left.iter().position(|l| l == v) {
        Some(at) => {
            left.swap_remove(at);
            false
        }
        None => true,
    });
    let mut counted: Vec<(VariantIx, usize)> = vec![];
    for variant in more {
        match counted.iter_mut().find(|known| known.0 == variant) {
            Some(known) => known.1 += 1,
            None => counted.push((variant, 1)),
        }
    }
    let told = |(variant, count): (VariantIx, usize)| match (count, book.variant_name(variant)) {
        (1, name) => name,
        (count, name) => book.words.say("item.several", &[("count", &count.to_string()), ("name", &name)]),
    };
    counted.into_iter().map(told).collect()
}
