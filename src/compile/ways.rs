//! One fork with one system, and what of a deck, a headset, a clamp and bars a rider has: the cheapest plan that uses those, and
//! on which decks it stands.
//!
//! Each plan without a deck of the rider's own is tried on every deck as it is. A search of its own for a deck, with clamp and bars
//! or without, there is only where the cheapest plan of all does not stand on it. What the plans cost with a box or a shim in hand
//! beside is in `in_hand.rs`. What is not looked for is not told. Must not know the page.

use super::book::Book;
use super::in_hand::InHand;
use super::kept::Kept;
use crate::assembly::{Outcome, Pick};
use crate::catalogue::{OnHand, VariantIx};
use crate::guide::{RouteTeller, parts_beyond};
use crate::kinds::{self, Known};
use crate::site::{OnADeck, Way};
use crate::solve::{Aim, Answer, Article, Bench, Held, HeldPlan, InBox, OwnPlan, Verdict, picks_of};
use std::collections::HashMap;

/// What may be ticked, each revision for itself: the rider has one of them.
pub(super) struct Choices {
    pub headsets: Vec<InHand>,
    pub clamps: Vec<VariantIx>,
    pub bars: Vec<VariantIx>,
    pub decks: Vec<VariantIx>,
    /// By variant: it can be bought.
    pub sold: Vec<bool>,
}

impl Choices {
    fn is_sold(&self, variant: VariantIx) -> bool {
        self.sold.get(variant.0 as usize).copied().unwrap_or(false)
    }
}

/// Kinds of the parts through which the push is taken up.
fn path_kinds(book: &Book) -> Vec<&'static str> {
    let steps = book.rules.iter().flat_map(|rule| rule.path.iter().map(move |step| rule.slot(step.slot)));
    let mut kinds: Vec<&'static str> =
        steps.filter(|slot| !slot.brought).flat_map(|slot| slot.kinds.iter().copied()).collect();
    kinds.retain(|kind| !kinds::is(kind, Known::Fork));
    kinds.sort_unstable();
    kinds.dedup();
    kinds
}

/// A page of the pairing, with the plans that it shows.
pub(super) struct PageFor {
    pub href: String,
    pub plans: Vec<Vec<Pick>>,
    /// The sets of bars that it is for.
    pub bars: Vec<VariantIx>,
    /// It tells of one answer, and so has one row for each deck.
    pub rows: bool,
}

/// Places in the choices.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Ticked {
    /// Or another box, or a shim.
    pub headset: Option<usize>,
    pub clamp: Option<usize>,
    pub bars: Option<usize>,
    pub deck: Option<usize>,
}

pub(super) struct Ways<'a> {
    pub book: &'a Book,
    pub kept: &'a Kept,
    pub bench: &'a Bench<'a>,
    pub choices: &'a Choices,
    pub answer: &'a Answer,
    pub pages: &'a [PageFor],
    /// Nothing is taken to be in boxes that do not say it.
    pub certain: bool,
}

pub(super) type Plan = (Outcome, Vec<Pick>);

/// Places of a clamp and of bars.
pub(super) type Beside = (Option<usize>, Option<usize>);

/// What is found so far.
#[derive(Default)]
pub(super) struct Found {
    pub ways: Vec<Way>,
    pub plans: Vec<(Ticked, Plan)>,
    /// What is ticked where nothing goes for certain, as searches have shown.
    measured: Vec<Ticked>,
    /// Clamp and bars with which nothing goes on any deck.
    pub refused: Vec<Beside>,
    stands: HashMap<Vec<Pick>, Vec<OnADeck>>,
}

pub(super) fn on_a_deck(outcome: Outcome) -> OnADeck {
    match outcome {
        Outcome::Pass => OnADeck::Goes,
        Outcome::Measure => OnADeck::Measure,
        Outcome::Fail => OnADeck::No,
    }
}

impl Ways<'_> {
    /// The ways, and what the pairing comes to on each deck.
    pub fn all(&self) -> (Vec<Way>, Vec<OnADeck>) {
        let mut found = Found::default();
        let (clamps, bars) = (
            self.possible(Known::Clamp, &self.choices.clamps),
            self.possible(Known::Bars, &self.choices.bars),
        );
        let headsets = self.headsets();
        self.on_any_deck((&clamps, &bars), &headsets, &mut found);
        let decks = (0..self.choices.decks.len())
            .map(|deck| self.on_deck(deck, (&clamps, &bars), &mut found))
            .collect();
        self.priced_in_hand(&headsets, &mut found);
        (found.ways, decks)
    }

    /// Things in hand of which something may stand between fork and pulled part, and a plan is looked for.
    fn headsets(&self) -> Vec<usize> {
        let kinds = path_kinds(self.book);
        let possible = self.bench.possible(self.answer.fork, self.answer.system, &kinds);
        let useful = |thing: &InHand| {
            let brings = thing.brings(self.bench);
            matches!(thing, InHand::Box(_)) && brings.iter().any(|piece| possible.contains(&piece.0))
        };
        (0..self.choices.headsets.len()).filter(|&h| useful(&self.choices.headsets[h])).collect()
    }

    /// None of them, then each that this fork and system leave possible.
    fn possible(&self, known: Known, all: &[VariantIx]) -> Vec<Option<usize>> {
        let there = self.bench.possible(self.answer.fork, self.answer.system, &kinds::known_as(known));
        std::iter::once(None).chain((0..all.len()).filter(|&i| there.contains(&all[i])).map(Some)).collect()
    }

    fn on_any_deck(
        &self,
        (clamps, bars): (&[Option<usize>], &[Option<usize>]),
        headsets: &[usize],
        found: &mut Found,
    ) {
        let mut nothing_to_gain = false;
        for &clamp in clamps {
            for &bars in bars {
                // Where the plan costs nothing anyhow, more in hand cannot make it cheaper: only whether the
                // rider's own clamp, or bars, can be used is still worth telling.
                if nothing_to_gain && clamp.is_some() && bars.is_some() {
                    continue;
                }
                if self.is_refused(&found.refused, (clamp, bars)) {
                    found.refused.push((clamp, bars));
                    continue;
                }
                let ticked = Ticked { clamp, bars, ..Ticked::default() };
                let plan = self.cheapest(ticked, found);
                if plan == HeldPlan::No {
                    found.refused.push((clamp, bars));
                }
                let Some(plan) = plan.found() else { continue };
                found.plans.push((ticked, plan.clone()));
                let Some(way) = self.way(ticked, &plan, found) else { continue };
                let free = (way.unpriced, way.minor) == (0, 0);
                nothing_to_gain |= free && !way.measure && clamp.is_none() && bars.is_none();
                let price = (way.measure, way.unpriced, way.minor);
                found.ways.push(way);
                if free || nothing_to_gain {
                    continue;
                }
                for &h in headsets {
                    let with = Ticked { headset: Some(h), ..ticked };
                    let at_best = self.at_best(with, found);
                    let better = self.plan(with, std::slice::from_ref(&plan), at_best).found();
                    let Some(better) = better else { continue };
                    let way = self.way(with, &better, found);
                    found.ways.extend(way.filter(|w| (w.measure, w.unpriced, w.minor) < price));
                }
            }
        }
    }

    /// Nothing goes with these: or not with one of them alone, for the other could have been bought as well.
    pub(super) fn is_refused(&self, refused: &[Beside], (clamp, bars): Beside) -> bool {
        refused.contains(&(clamp, bars))
            || self.bars_sold(bars) && refused.contains(&(clamp, None))
            || self.clamp_sold(clamp) && refused.contains(&(None, bars))
    }

    pub(super) fn ticked(way: &Way) -> Ticked {
        Ticked { headset: way.headset, clamp: way.clamp, bars: way.bars, deck: way.deck }
    }

    pub(super) fn is_free(way: &Way) -> bool {
        (way.unpriced, way.minor) == (0, 0)
    }

    /// The cheapest plan that uses what is ticked.
    pub(super) fn cheapest(&self, ticked: Ticked, found: &mut Found) -> HeldPlan {
        let less = [Ticked { clamp: None, ..ticked }, Ticked { bars: None, ..ticked }];
        let same = less.into_iter().filter(|less| *less != ticked).find_map(|less| {
            let plan = found.plans.iter().find(|(of, _)| *of == less)?.1.clone();
            self.buys_the_rest(&plan, less, ticked).then_some(plan)
        });
        match same {
            Some((Outcome::Pass, picks)) => HeldPlan::Goes(picks),
            Some((_, picks)) => HeldPlan::Measure(picks),
            None => {
                let at_best = self.at_best(ticked, found);
                let plan = self.plan(ticked, &self.known(ticked, found), at_best);
                // Where the search is given up early, what is in stock may have been looked through alone.
                let whole = ticked.clamp.is_none() && !self.answer.unfinished || at_best == Outcome::Measure;
                if matches!(plan, HeldPlan::Measure(_)) && whole {
                    found.measured.push(ticked);
                }
                plan
            }
        }
    }

    /// To use more that could have been bought makes no plan better.
    fn at_best(&self, ticked: Ticked, found: &Found) -> Outcome {
        let within = |less: &Ticked| {
            let same = |less: Option<usize>, more, sold: bool| less == more || less.is_none() && sold;
            let pieces = || ticked.headset.map(|h| self.choices.headsets[h].brings(self.bench));
            let boxed = || pieces().into_iter().flatten().all(|(piece, _)| self.choices.is_sold(piece));
            same(less.deck, ticked.deck, true)
                && same(less.clamp, ticked.clamp, self.clamp_sold(ticked.clamp))
                && same(less.bars, ticked.bars, self.bars_sold(ticked.bars))
                && same(less.headset, ticked.headset, boxed())
        };
        if found.measured.iter().any(within) { Outcome::Measure } else { Outcome::Pass }
    }

    /// What is ticked more is bought for the best plan with less, loose and from stock: to have it saves its price with this plan,
    /// and no more than that with any other.
    fn buys_the_rest(&self, plan: &Plan, less: Ticked, ticked: Ticked) -> bool {
        let fixed = self.held(less).0;
        let buys = self.own_plan(less, &plan.1).map(|own| own.buy).unwrap_or_default();
        let in_stock = |part| self.book.catalogue.part_of(part).on_hand != OnHand::Count(0);
        let mut more = self.held(ticked).0.into_iter().filter(|part| !fixed.contains(part));
        more.all(|part| in_stock(part) && buys.iter().any(|(article, _)| *article == Article::Part(part)))
    }

    /// Plans that use what is ticked, found with less in hand.
    fn known(&self, ticked: Ticked, found: &Found) -> Vec<Plan> {
        let (fixed, _) = self.held(ticked);
        let uses = |plan: &Plan| fixed.iter().all(|&own| plan.1.iter().any(|p| p.variant == own));
        found.plans.iter().map(|(_, plan)| plan).filter(|plan| uses(plan)).cloned().collect()
    }

    fn boxed(&self) -> &[InBox] {
        if self.certain { &[] } else { &self.answer.boxed }
    }

    fn clamp_sold(&self, clamp: Option<usize>) -> bool {
        clamp.is_none_or(|c| self.choices.is_sold(self.choices.clamps[c]))
    }

    fn bars_sold(&self, bars: Option<usize>) -> bool {
        bars.is_none_or(|b| self.choices.is_sold(self.choices.bars[b]))
    }

    /// What of the ticked things the plan must use, and everything ticked with boxes unpacked. In the order in which the pages of
    /// the pairing ask, so that the same is asked once.
    fn held(&self, ticked: Ticked) -> (Vec<VariantIx>, Vec<(VariantIx, u32)>) {
        let all = [
            (ticked.deck, &self.choices.decks),
            (ticked.clamp, &self.choices.clamps),
            (ticked.bars, &self.choices.bars),
        ];
        let own: Vec<VariantIx> = all.iter().filter_map(|(place, parts)| Some(parts[(*place)?])).collect();
        let mut owned: Vec<(VariantIx, u32)> = own.iter().map(|&part| (part, 1)).collect();
        if let Some(headset) = ticked.headset {
            owned.extend(self.choices.headsets[headset].brings(self.bench));
        }
        (own, owned)
    }

    /// The cheapest plan that uses the ticked deck, clamp and bars.
    fn plan(&self, ticked: Ticked, known: &[Plan], at_best: Outcome) -> HeldPlan {
        if ticked == Ticked::default() && !self.certain {
            let picks = picks_of(&self.answer.stack);
            return match self.answer.verdict {
                Verdict::Goes => HeldPlan::Goes(picks),
                Verdict::Measure => HeldPlan::Measure(picks),
                Verdict::No => HeldPlan::No,
            };
        }
        let (fixed, owned) = self.held(ticked);
        let known: Vec<(Outcome, &[Pick])> = known.iter().map(|(o, picks)| (*o, picks.as_slice())).collect();
        // Without clamp and headset the pages of the pairing ask the same.
        let aim = if ticked.clamp.or(ticked.headset).is_none() { Aim::Whole } else { Aim::Advice };
        let held = Held { owned: &owned, boxed: self.boxed(), fixed: &fixed, known: &known, at_best, aim };
        self.kept.plan(self.bench, self.answer.fork, self.answer.system, &held)
    }

    /// What it costs; `None` where something missing cannot be bought.
    pub(super) fn own_plan(&self, ticked: Ticked, picks: &[Pick]) -> Option<OwnPlan> {
        let pair = (self.answer.fork, self.answer.system);
        self.kept.own_plan(self.bench, pair, picks, &self.held(ticked).1, self.boxed())
    }

    /// `None` where something missing cannot be bought.
    pub(super) fn way(&self, ticked: Ticked, (outcome, picks): &Plan, found: &mut Found) -> Option<Way> {
        let OwnPlan { cost, buy } = self.own_plan(ticked, picks)?;
        let teller = RouteTeller { book: self.book.telling(), currency: self.book.shop.currency, stops: &[] };
        let (page, differs) = self.page(picks);
        Some(Way {
            headset: ticked.headset,
            clamp: ticked.clamp,
            bars: ticked.bars,
            deck: ticked.deck,
            stands: self.stands(picks, found).to_vec(),
            page,
            differs,
            measure: *outcome == Outcome::Measure,
            unpriced: cost.unpriced,
            minor: cost.minor,
            cost: teller.money(cost),
            buy: teller.articles(&buy),
        })
    }

    /// What this very plan comes to on each deck.
    pub(super) fn stands<'f>(&self, picks: &[Pick], found: &'f mut Found) -> &'f [OnADeck] {
        found.stands.entry(picks.to_vec()).or_insert_with(|| {
            let pair = (self.answer.fork, self.answer.system);
            let on_decks = self.kept.on_decks(self.bench, pair, picks, &self.choices.decks);
            on_decks.into_iter().map(|o| o.map_or(OnADeck::No, on_a_deck)).collect()
        })
    }

    /// The page whose plan it is, or is nearest to it; and in what it differs but for the deck. Empty: in nothing.
    fn page(&self, picks: &[Pick]) -> (usize, String) {
        let kind = |v: VariantIx| self.book.catalogue.part_of(v).kind;
        let bars = picks.iter().map(|p| p.variant).find(|&v| kinds::is(kind(v), Known::Bars));
        let place = bars.and_then(|bars| self.pages.iter().position(|page| page.bars.contains(&bars)));
        let place = place.unwrap_or(0);
        let own = self.pages.get(place).is_some_and(|page| bars.is_none_or(|bars| page.bars.contains(&bars)));
        // Bars of the family that the page is for are told there.
        let passed: &[Known] = if own { &[Known::Deck, Known::Bars] } else { &[Known::Deck] };
        let counted = |picks: &[Pick]| -> Vec<Pick> {
            picks
                .iter()
                .filter(|p| !passed.iter().any(|&known| kinds::is(kind(p.variant), known)))
                .copied()
                .collect()
        };
        let told = self.book.telling();
        let texts = self.pages.get(place).into_iter().flat_map(|page| &page.plans).map(|plan| {
            if counted(plan) == counted(picks) {
                return String::new();
            }
            let with = parts_beyond(&told, picks, plan, passed);
            let without = parts_beyond(&told, plan, picks, passed);
            let list = |names: Vec<String>| (!names.is_empty()).then(|| told.words.joined("comma", &names));
            let lists = [("with", list(with)), ("without", list(without))];
            let values: Vec<(&str, &str)> =
                lists.iter().filter_map(|(name, text)| Some((*name, text.as_deref()?))).collect();
            let key = match &lists {
                [(_, None), (_, None)] => "shelf.other-way",
                [(_, None), _] => "shelf.without",
                _ => "shelf.with",
            };
            told.words.say(key, &values)
        });
        (place, texts.min_by_key(String::len).unwrap_or_default())
    }
}
