//! What a rider has, and what goes with it: every answer that the page for it may have to give, computed here.
//!
//! For each fork (each revision), system, and choice of a headset, a clamp and a set of bars that can play a part
//! there, the cheapest plan that uses those. The page only looks up. Must not know the page.

use super::Progress;
use super::book::Book;
use super::kept::Kept;
use super::progress::{Count, Work};
use crate::assembly::{Outcome, Pick};
use crate::catalogue::{BoxIx, VariantIx};
use crate::guide::{BarsRow, Guide, RouteTeller, verdict_key};
use crate::kinds::{self, Known};
use crate::site::{
    BarsPage, RoutesFrom, Shelf, ShelfArticle, ShelfFork, ShelfGoal, ShelfSystem, Way, for_bars_path,
    guide_path,
};
use crate::solve::{
    Aim, Answer, Bench, Cost, Held, HeldPlan, InBox, OwnPlan, SetUp, ShopStrengths, Supply, Verdict, picks_of,
};
use rayon::prelude::*;

/// What may be ticked.
struct Choices {
    headsets: Vec<BoxIx>,
    /// Each revision for itself: the rider has one of them.
    clamps: Vec<VariantIx>,
    bars: Vec<VariantIx>,
}

pub fn shelf(
    book: &Book,
    kept: &Kept,
    answers: &[&Answer],
    guides: &[Guide],
    routes: &[(String, Vec<RoutesFrom>)],
    progress: &(dyn Fn(Progress<'_>) + Sync),
) -> Shelf {
    let strengths = ShopStrengths(&book.shop);
    let bench = book.bench(&strengths);
    let choices =
        Choices { headsets: headsets(book), clamps: made(book, Known::Clamp), bars: made(book, Known::Bars) };
    let pairs: Vec<&[&Answer]> = answers.chunk_by(|a, b| (a.fork, a.system) == (b.fork, b.system)).collect();
    let count = Count::of(Work::Have, pairs.len(), progress);
    let systems: Vec<(VariantIx, ShelfSystem)> = pairs
        .par_iter()
        .map(|pair| count.one((pair[0].fork, system((book, kept), &bench, &choices, pair, guides))))
        .collect();
    let mut forks: Vec<ShelfFork> = vec![];
    for (variant, system) in systems {
        let fork = fork(book, variant, routes);
        match forks.iter_mut().find(|f| f.id == fork.id) {
            Some(known) => known.systems.push(system),
            None => forks.push(ShelfFork { systems: vec![system], ..fork }),
        }
    }
    let part = |&ix: &VariantIx| {
        let (part, revision) = (book.catalogue.part_of(ix), &book.catalogue.variant(ix).revision);
        let id = revision.as_ref().map_or_else(|| part.id.clone(), |r| format!("{}:{}", part.id, r.id));
        ShelfArticle { id, name: book.telling().variant_name(ix) }
    };
    let a_box = |&ix: &BoxIx| {
        let the_box = book.catalogue.the_box(ix);
        ShelfArticle { id: the_box.id.clone(), name: the_box.name.clone() }
    };
    Shelf {
        forks,
        headsets: choices.headsets.iter().map(a_box).collect(),
        clamps: choices.clamps.iter().map(part).collect(),
        bars: choices.bars.iter().map(part).collect(),
    }
}

fn made(book: &Book, known: Known) -> Vec<VariantIx> {
    book.catalogue.variants_known_as(known).collect()
}

/// Boxes without a fork that hold something of the way the push takes through the headset.
fn headsets(book: &Book) -> Vec<BoxIx> {
    let kinds = path_kinds(book);
    let holds = |b: &BoxIx, wanted: &dyn Fn(&str) -> bool| {
        book.catalogue.the_box(*b).holds.iter().any(|h| wanted(book.catalogue.part(h.part).kind))
    };
    let all = (0..book.catalogue.boxes.len()).map(|i| BoxIx(i as u32));
    all.filter(|b| holds(b, &|kind| kinds.contains(&kind)) && !holds(b, &|kind| kinds::is(kind, Known::Fork)))
        .collect()
}

fn path_kinds(book: &Book) -> Vec<&'static str> {
    let steps = book.rules.iter().flat_map(|rule| rule.path.iter().map(move |step| rule.slot(step.slot)));
    let mut kinds: Vec<&'static str> =
        steps.filter(|slot| !slot.brought).flat_map(|slot| slot.kinds.iter().copied()).collect();
    kinds.retain(|kind| !crate::kinds::is(kind, Known::Fork));
    kinds.sort_unstable();
    kinds.dedup();
    kinds
}

fn fork(book: &Book, variant: VariantIx, routes: &[(String, Vec<RoutesFrom>)]) -> ShelfFork {
    let part = book.catalogue.part_of(variant);
    let revision = book.catalogue.variant(variant).revision.as_ref();
    let teller = RouteTeller { book: book.telling(), currency: book.shop.currency, stops: &[] };
    let own = routes.iter().filter(|(id, _)| *id == part.id).flat_map(|(_, from)| from);
    let mine = |from: &&RoutesFrom| from.revision.as_ref() == revision.map(|r| &r.id);
    // What is in a box that does not say it the page does not ask.
    let own = own.filter(mine).filter(|from| from.boxed.is_none());
    let goals = own.flat_map(|from| {
        from.rows.iter().filter_map(|row| {
            let [cheapest, fewest] = row.routes.as_ref().ok()?;
            let anchor = crate::site::route_anchor(from, &row.fork_id, &row.system_id);
            Some(ShelfGoal {
                from: from.system_id.clone(),
                goal: row.goal.clone(),
                cheapest: cheapest.summary.clone(),
                fewest: (cheapest.changes != fewest.changes).then(|| fewest.summary.clone()),
                href: format!("{}#{anchor}", crate::site::upgrades_path(&part.id)),
            })
        })
    });
    ShelfFork {
        id: match revision {
            Some(revision) => format!("{}:{}", part.id, revision.id),
            None => part.id.clone(),
        },
        part_id: part.id.clone(),
        name: teller.fork_named(variant),
        tell: revision.and_then(|r| r.tell.clone()),
        goals: goals.collect(),
        systems: vec![],
    }
}

/// `answers`: of one revision of the fork; several where boxes do not say which revision of a part they hold.
fn system(
    (book, kept): (&Book, &Kept),
    bench: &Bench<'_>,
    choices: &Choices,
    answers: &[&Answer],
    guides: &[Guide],
) -> ShelfSystem {
    let worst = |a: &&&Answer| (a.verdict, a.supply, a.unfinished);
    let answer = answers.iter().max_by_key(worst).copied().unwrap_or(answers[0]);
    let depends = answers.iter().any(|a| (a.verdict, a.supply) != (answer.verdict, answer.supply));
    let rule = &book.rules[answer.system];
    let verdict = match answer.verdict {
        _ if depends => "depends",
        Verdict::Goes if answer.supply == Some(Supply::PermanentChange) => "change",
        Verdict::Goes => "goes",
        Verdict::Measure => "measure",
        Verdict::No if answer.unfinished => "unsettled",
        Verdict::No => "no",
    };
    let ways = match answer.verdict {
        // Whatever is in the boxes: the page cannot ask, the guide does.
        _ if answers.len() > 1 => Ways { book, kept, bench, choices, answer, certain: true }.all(),
        // Proved: nothing in the book goes, whoever owns it; or not settled, whoever owns it.
        Verdict::No => vec![],
        // Told with its guide alone: there the warning stands first.
        _ if answer.supply == Some(Supply::PermanentChange) => vec![],
        _ => Ways { book, kept, bench, choices, answer, certain: false }.all(),
    };
    ShelfSystem {
        id: rule.id.clone(),
        name: book.words.system(rule),
        verdict,
        words: book.words.word(if depends { "verdict.depends" } else { verdict_key(answer) }),
        href: guide_path(&book.catalogue.part_of(answer.fork).id, &rule.id),
        ways,
        pages: pages(book, choices, answer, guides),
    }
}

/// The pages that the pairing's guide has for other bars.
fn pages(book: &Book, choices: &Choices, answer: &Answer, guides: &[Guide]) -> Vec<BarsPage> {
    let (fork, system) = (&book.catalogue.part_of(answer.fork).id, &book.rules[answer.system].id);
    let own = guides.iter().filter(|g| (&g.fork_id, &g.system_id) == (fork, system)).flat_map(|g| &g.bars);
    let page = |row: &BarsRow| {
        let bars = choices.bars.iter().position(|&bars| book.telling().variant_name(bars) == row.name)?;
        Some(BarsPage { bars, href: for_bars_path(fork, system, row.page.as_ref()?) })
    };
    own.filter_map(page).collect()
}

struct Ways<'a> {
    book: &'a Book,
    kept: &'a Kept,
    bench: &'a Bench<'a>,
    choices: &'a Choices,
    answer: &'a Answer,
    /// Nothing is taken to be in boxes that do not say it.
    certain: bool,
}

impl Ways<'_> {
    fn all(&self) -> Vec<Way> {
        let (fork, system) = (self.answer.fork, self.answer.system);
        let path = path_kinds(self.book);
        let possible = |kinds: &[&str]| self.bench.possible(fork, system, kinds);
        let (clamps, bars, headset) = (
            possible(&kinds::known_as(Known::Clamp)),
            possible(&kinds::known_as(Known::Bars)),
            possible(&path),
        );
        let of = |all: &[VariantIx], there: &[VariantIx]| -> Vec<Option<usize>> {
            let own = (0..all.len()).filter(|&i| there.contains(&all[i])).map(Some);
            std::iter::once(None).chain(own).collect()
        };
        let clamps = of(&self.choices.clamps, &clamps);
        let bars = of(&self.choices.bars, &bars);
        let useful = |b: &BoxIx| self.bench.brings(*b).iter().any(|piece| headset.contains(&piece.0));
        let headsets: Vec<usize> =
            (0..self.choices.headsets.len()).filter(|&h| useful(&self.choices.headsets[h])).collect();
        let mut found = vec![];
        let mut nothing_to_gain = false;
        // Alone with these nothing goes: then nothing goes with one more thing that could have been bought as well.
        let mut refused: Vec<(Option<usize>, Option<usize>)> = vec![];
        let mut plans: Vec<(Outcome, Vec<Pick>)> = vec![];
        for &clamp in &clamps {
            for &bars in &bars {
                // Where the plan costs nothing anyhow, more in hand cannot make it cheaper: only whether the
                // rider's own clamp, or bars, can be used is still worth telling.
                if nothing_to_gain && clamp.is_some() && bars.is_some() {
                    continue;
                }
                if self.bars_sold(bars) && refused.contains(&(clamp, None))
                    || self.clamp_sold(clamp) && refused.contains(&(None, bars))
                {
                    continue;
                }
                let known: Vec<_> = plans.iter().filter(|p| self.uses(&p.1, clamp, bars)).collect();
                let plan = self.plan(None, clamp, bars, &known);
                if plan == HeldPlan::No {
                    refused.push((clamp, bars));
                }
                let Some(plan) = plan.found() else { continue };
                plans.push(plan.clone());
                let Some(way) = self.way(None, clamp, bars, &plan) else { continue };
                let free = (way.unpriced, way.minor) == (0, 0);
                nothing_to_gain |= free && !way.measure && clamp.is_none() && bars.is_none();
                let price = (way.measure, way.unpriced, way.minor);
                found.push(way);
                if free || nothing_to_gain {
                    continue;
                }
                let with = headsets.iter().filter_map(|&h| {
                    let better = self.plan(Some(h), clamp, bars, &[&plan]).found()?;
                    self.way(Some(h), clamp, bars, &better)
                });
                found.extend(with.filter(|w| (w.measure, w.unpriced, w.minor) < price));
            }
        }
        found
    }

    fn boxed(&self) -> &[InBox] {
        if self.certain { &[] } else { &self.answer.boxed }
    }

    fn clamp_sold(&self, clamp: Option<usize>) -> bool {
        clamp.is_none_or(|c| self.bench.sold(self.choices.clamps[c]))
    }

    fn bars_sold(&self, bars: Option<usize>) -> bool {
        bars.is_none_or(|b| self.bench.sold(self.choices.bars[b]))
    }

    /// What of the ticked things the plan must use, and everything ticked with boxes unpacked.
    fn held(
        &self,
        headset: Option<usize>,
        clamp: Option<usize>,
        bars: Option<usize>,
    ) -> (Vec<VariantIx>, Vec<(VariantIx, u32)>) {
        let clamp = clamp.map(|c| self.choices.clamps[c]);
        let own: Vec<VariantIx> = clamp.into_iter().chain(bars.map(|b| self.choices.bars[b])).collect();
        let mut owned: Vec<(VariantIx, u32)> = own.iter().map(|&part| (part, 1)).collect();
        if let Some(headset) = headset {
            owned.extend(self.bench.brings(self.choices.headsets[headset]));
        }
        (own, owned)
    }

    fn uses(&self, picks: &[Pick], clamp: Option<usize>, bars: Option<usize>) -> bool {
        let (fixed, _) = self.held(None, clamp, bars);
        fixed.iter().all(|&own| picks.iter().any(|p| p.variant == own))
    }

    /// The cheapest plan that uses the ticked clamp and bars; `known`: plans that use them, found with less in hand.
    fn plan(
        &self,
        headset: Option<usize>,
        clamp: Option<usize>,
        bars: Option<usize>,
        known: &[&(Outcome, Vec<Pick>)],
    ) -> HeldPlan {
        if (headset, clamp, bars) == (None, None, None) && !self.certain {
            let picks = picks_of(&self.answer.stack);
            return match self.answer.verdict {
                Verdict::Goes => HeldPlan::Goes(picks),
                Verdict::Measure => HeldPlan::Measure(picks),
                Verdict::No => HeldPlan::No,
            };
        }
        let (fixed, owned) = self.held(headset, clamp, bars);
        let known: Vec<(Outcome, &[Pick])> = known.iter().map(|(o, picks)| (*o, picks.as_slice())).collect();
        let held =
            Held { owned: &owned, boxed: self.boxed(), fixed: &fixed, known: &known, aim: Aim::Advice };
        self.kept.plan(self.bench, self.answer.fork, self.answer.system, &held)
    }

    /// `None` where something missing cannot be bought.
    fn way(
        &self,
        headset: Option<usize>,
        clamp: Option<usize>,
        bars: Option<usize>,
        (outcome, picks): &(Outcome, Vec<Pick>),
    ) -> Option<Way> {
        let (_, owned) = self.held(headset, clamp, bars);
        let (fork, system) = (self.answer.fork, self.answer.system);
        let OwnPlan { cost, buy } = self.bench.own_plan(fork, system, picks, &owned, self.boxed())?;
        Some(self.told(headset, clamp, bars, *outcome == Outcome::Measure, cost, &buy))
    }

    fn told(
        &self,
        headset: Option<usize>,
        clamp: Option<usize>,
        bars: Option<usize>,
        measure: bool,
        cost: Cost,
        buy: &[(crate::solve::Article, u32)],
    ) -> Way {
        let stops: &[SetUp] = &[];
        let teller = RouteTeller { book: self.book.telling(), currency: self.book.shop.currency, stops };
        Way {
            headset,
            clamp,
            bars,
            measure,
            unpriced: cost.unpriced,
            minor: cost.minor,
            cost: teller.money(cost),
            buy: teller.articles(buy),
        }
    }
}
