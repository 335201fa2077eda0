//! What an answer comes to on each deck of the book. A deck is never promised more than was computed.

use super::bars::variant_id;
use super::bench::{Bench, Book};
use super::measuring;
use super::other_steps;
use super::page::{DeckRow, Guide, OtherSteps};
use super::route::RouteTeller;
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
    /// Where it is another, and the plan of the answer serves there as well: how that stands.
    pub as_well: Option<Standing>,
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

/// What a row says, and what the steps say otherwise there.
struct Said {
    verdict: Verdict,
    words: String,
    steps: Vec<OtherSteps>,
}

impl Telling<'_> {
    fn row(&self, on: &OnDeck) -> Option<DeckRow> {
        let deck = self.bench.book.catalogue.variant(on.deck);
        let part = self.bench.part(deck.part);
        let length = deck.shape.dims.iter().find(|d| d.name == LENGTH)?;
        let said = self.as_it_stands(on).or_else(|| self.as_well(on));
        let Said { verdict, words, steps } = said.unwrap_or_else(|| self.with_other_parts(on));
        Some(DeckRow {
            part_id: part.id.clone(),
            key: variant_id(&self.bench.book, on.deck),
            name: self.bench.book.variant_name(on.deck),
            head_tube: length.dimension.written.clone(),
            verdict,
            words,
            steps,
        })
    }

    /// On this deck the very plan of the answer holds.
    fn as_it_stands(&self, on: &OnDeck) -> Option<Said> {
        let words = self.bench.words();
        on.steps?;
        let (outcome, _) = on.plan.clone().found()?;
        let steps: Vec<OtherSteps> = self.steps(on.standing.as_ref(), true, None).into_iter().collect();
        let (verdict, key) = match (outcome, steps.is_empty()) {
            (Outcome::Pass, true) => (Verdict::Goes, "deck.goes"),
            (Outcome::Pass, false) => (Verdict::Goes, "deck.goes-figures"),
            (_, true) => (Verdict::Measure, "deck.measure-as-said"),
            (_, false) => (Verdict::Measure, "deck.measure-figures"),
        };
        Some(Said { verdict, words: words.word(key), steps })
    }

    /// On this deck the plan of the answer serves as well as another one, which is as cheap or cheaper there.
    fn as_well(&self, on: &OnDeck) -> Option<Said> {
        let HeldPlan::Goes(picks) = &on.plan else { return None };
        let words = self.bench.words();
        let own = self.steps(Some(on.as_well.as_ref()?), true, Some("deck.with-own"));
        let others = self.steps(on.standing.as_ref(), false, Some("deck.with-others"));
        let told = self.other_parts(on, picks);
        let values: Vec<(&str, &str)> = told.iter().map(|(name, text)| (*name, text.as_str())).collect();
        let steps = own.into_iter().chain(others).collect();
        Some(Said { verdict: Verdict::Goes, words: words.say("deck.goes-too", &values), steps })
    }

    fn with_other_parts(&self, on: &OnDeck) -> Said {
        let words = self.bench.words();
        let (picks, verdict, key) = match &on.plan {
            HeldPlan::Goes(picks) => (picks, Verdict::Goes, "deck.other-goes"),
            HeldPlan::Measure(picks) => (picks, Verdict::Measure, "deck.other-measure"),
            HeldPlan::No => {
                return Said { verdict: Verdict::No, words: words.word("deck.no"), steps: vec![] };
            }
            HeldPlan::Unsettled => {
                let words = words.word("deck.unsettled");
                return Said { verdict: Verdict::Measure, words, steps: vec![] };
            }
        };
        let mut told = self.other_parts(on, picks);
        let first = on.standing.as_ref().and_then(|standing| first_reading(&self.bench, standing));
        told.extend(first.map(|first| ("first", first)));
        let values: Vec<(&str, &str)> = told.iter().map(|(name, text)| (*name, text.as_str())).collect();
        let steps = self.steps(on.standing.as_ref(), false, None).into_iter().collect();
        Said { verdict, words: words.say(key, &values), steps }
    }

    /// `same`: it has the answer's own parts. `with`: key of the words for which plan it is.
    fn steps(&self, standing: Option<&Standing>, same: bool, with: Option<&str>) -> Option<OtherSteps> {
        let there = other_steps::standing(self.bench.answer, standing?, same);
        let lines = other_steps::lines(&self.bench, &Bench { answer: &there, ..self.bench });
        let with = with.map(|key| self.bench.words().word(key));
        (!lines.is_empty()).then_some(OtherSteps { with, lines })
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

/// What is to be read or tried of that plan before all else, and what of it is good.
fn first_reading(bench: &Bench<'_>, standing: &Standing) -> Option<String> {
    let answer = other_steps::standing(bench.answer, standing, false);
    measuring::in_short(&Bench { answer: &answer, ..*bench })
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
