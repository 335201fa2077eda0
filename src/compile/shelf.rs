//! What a rider has, and what goes with it: every answer that the page for it may have to give, computed here for each fork
//! (each revision) and system. The page only looks up. Must not know the page, nor how a plan for what is ticked is found.
//!
//! A plan found with less in hand bounds the search with more. `themes/bench/what-i-have.js` finds the cheapest way among
//! those whose headset, clamp and bars are ticked or not needed, and that stand on the deck ticked. A way leads to the page
//! whose plan it is (on it to the row of the deck, `on-DECK`, where the steps are for another), and tells in what it is
//! another. Nothing there knows what fits. Of a box or a shim beside a deck only what the known plans cost with it is told:
//! where the plan told is not the cheapest of all, the page says so. A way that no search found is not told, and never reads
//! as "goes".
//! `tests/browser/persons.test.mjs` holds its decks to the guides' rows.

use super::book::Book;
use super::in_hand::{InHand, in_hand};
use super::kept::Kept;
use super::progress::{Count, Heeded, Work};
use super::ways::{Choices, PageFor, Ways};
use crate::assembly::Pick;
use crate::catalogue::VariantIx;
use crate::guide::{Guide, RouteTeller, variant_id, verdict_key};
use crate::kinds::Known;
use crate::site::{
    GuideForBars, RoutesFrom, Shelf, ShelfArticle, ShelfFork, ShelfGoal, ShelfPage, ShelfSystem,
    for_bars_path, guide_path,
};
use crate::solve::{Answer, Bench, ShopStrengths, Supply, Verdict, picks_of};
use rayon::prelude::*;

/// The guides of the pairings, and the pages for other bars with their answers.
type Pages<'p> = (&'p [Guide], &'p [(&'p GuideForBars, &'p [Answer])]);

/// `None`: given up, for it is outdated.
pub fn shelf(
    (book, kept): (&Book, &Kept),
    answers: &[&Answer],
    guides: Pages<'_>,
    routes: &[(String, Vec<RoutesFrom>)],
    heeded: Heeded<'_>,
) -> Option<Shelf> {
    let strengths = ShopStrengths(&book.shop);
    let bench = book.bench(&strengths);
    let choices = Choices {
        headsets: in_hand(book),
        clamps: made(book, Known::Clamp),
        bars: made(book, Known::Bars),
        decks: made(book, Known::Deck),
        sold: bench.sold(),
    };
    let pairs: Vec<&[&Answer]> = answers.chunk_by(|a, b| (a.fork, a.system) == (b.fork, b.system)).collect();
    let count = Count::of(Work::Have, pairs.len(), heeded.progress);
    let system = |pair: &&[&Answer]| {
        let system =
            (!(heeded.is_outdated)()).then(|| system((book, kept), &bench, &choices, pair, guides))?;
        Some(count.one((pair[0].fork, system)))
    };
    let systems: Vec<(VariantIx, ShelfSystem)> = pairs.par_iter().map(system).collect::<Option<_>>()?;
    let mut forks: Vec<ShelfFork> = vec![];
    for (variant, system) in systems {
        let fork = fork(book, variant, routes);
        match forks.iter_mut().find(|f| f.id == fork.id) {
            Some(known) => known.systems.push(system),
            None => forks.push(ShelfFork { systems: vec![system], ..fork }),
        }
    }
    let part = |&ix: &VariantIx| article(book, ix, None);
    let bars = |&ix: &VariantIx| article(book, ix, Some(("shelf.bars", "outside")));
    let deck = |&ix: &VariantIx| article(book, ix, Some(("shelf.deck", "head_tube_length")));
    let thing = |thing: &InHand| match *thing {
        InHand::Box(ix) => {
            let the_box = book.catalogue.the_box(ix);
            ShelfArticle { id: the_box.id.clone(), name: the_box.name.clone(), label: the_box.name.clone() }
        }
        InHand::Part(ix) => article(book, ix, None),
    };
    Some(Shelf {
        forks,
        headsets: choices.headsets.iter().map(thing).collect(),
        clamps: choices.clamps.iter().map(part).collect(),
        bars: choices.bars.iter().map(bars).collect(),
        decks: choices.decks.iter().map(deck).collect(),
        deck_rows: choices.decks.iter().map(|&deck| variant_id(&book.telling(), deck)).collect(),
    })
}

/// `size`: words for the label and the dimension that stands in it, by which the rider's own is found among the others.
fn article(book: &Book, ix: VariantIx, size: Option<(&str, &str)>) -> ShelfArticle {
    let (part, variant) = (book.catalogue.part_of(ix), book.catalogue.variant(ix));
    let revision = variant.revision.as_ref();
    let name = book.telling().variant_name(ix);
    let label = size.and_then(|(key, dim)| {
        let dim = variant.shape.dims.iter().find(|d| d.name == dim)?;
        let size = dim.dimension.nominal.to_mm(1);
        Some(book.words.say(key, &[("name", &name), ("size", size.trim_end_matches(".0"))]))
    });
    ShelfArticle {
        id: revision.map_or_else(|| part.id.clone(), |r| format!("{}:{}", part.id, r.id)),
        label: label.unwrap_or_else(|| name.clone()),
        name,
    }
}

fn made(book: &Book, known: Known) -> Vec<VariantIx> {
    book.catalogue.variants_known_as(known).collect()
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
    guides: Pages<'_>,
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
    let pages = pages(book, choices, answers, guides);
    let ways = |certain| Ways { book, kept, bench, choices, answer, pages: &pages, certain }.all();
    let (ways, decks) = match answer.verdict {
        // Whatever is in the boxes: the page cannot ask, the guide does.
        _ if answers.len() > 1 => ways(true),
        // Proved: nothing in the book goes, whoever owns it; or not settled, whoever owns it.
        Verdict::No => (vec![], vec![]),
        // Told with its guide alone: there the warning stands first.
        _ if answer.supply == Some(Supply::PermanentChange) => (vec![], vec![]),
        _ => ways(false),
    };
    let own_deck = |page: &PageFor| {
        let deck = |plan: &Vec<Pick>| choices.decks.iter().position(|d| plan.iter().any(|p| p.variant == *d));
        let all: Vec<Option<usize>> = page.plans.iter().map(deck).collect();
        all.first().copied().flatten().filter(|first| all.iter().all(|deck| *deck == Some(*first)))
    };
    let page = |page: &PageFor| ShelfPage { href: page.href.clone(), deck: own_deck(page), rows: page.rows };
    ShelfSystem {
        id: rule.id.clone(),
        name: book.words.system(rule),
        verdict,
        words: words(book, answer, depends),
        ways,
        decks,
        pages: pages.iter().map(page).collect(),
    }
}

/// The verdict; of what is cut for one deck also for which.
fn words(book: &Book, answer: &Answer, depends: bool) -> String {
    let verdict = book.words.word(if depends { "verdict.depends" } else { verdict_key(answer) });
    let is_deck = |v: &VariantIx| book.catalogue.part_of(*v).is(Known::Deck);
    let deck = answer.stack.items.iter().map(|placed| placed.variant).find(is_deck);
    match deck.filter(|_| !depends && answer.supply == Some(Supply::PermanentChange)) {
        Some(deck) => {
            let deck = book.telling().variant_name(deck);
            book.words.say("shelf.change", &[("verdict", &verdict), ("deck", &deck)])
        }
        None => verdict,
    }
}

/// The guide of the pairing, then the pages that it has for other bars, each with what it tells of this revision of the fork.
fn pages(book: &Book, choices: &Choices, answers: &[&Answer], (guides, own): Pages<'_>) -> Vec<PageFor> {
    let (fork, system) = (answers[0].fork, answers[0].system);
    let (fork_id, system_id) = (&book.catalogue.part_of(fork).id, &book.rules[system].id);
    let Some(of) = guides.iter().position(|g| (&g.fork_id, &g.system_id) == (fork_id, system_id)) else {
        return vec![];
    };
    let guide = &guides[of];
    let named = |page: Option<&String>| -> Vec<VariantIx> {
        let rows = guide.bars.iter().filter(|row| row.page.as_ref() == page && row.verdict != Verdict::No);
        let bars = |name: &String| choices.bars.iter().find(|b| book.telling().variant_name(**b) == *name);
        rows.filter_map(|row| bars(&row.name)).copied().collect()
    };
    let plans = |all: &mut dyn Iterator<Item = &Answer>| -> Vec<Vec<Pick>> {
        all.filter(|a| a.fork == fork && a.verdict != Verdict::No).map(|a| picks_of(&a.stack)).collect()
    };
    let main = PageFor {
        href: guide_path(fork_id, system_id),
        plans: plans(&mut answers.iter().copied()),
        bars: named(None),
        rows: guide.answers.len() == 1,
    };
    let own = own.iter().filter(|(page, _)| page.of == of).filter_map(|(page, told)| {
        let name = &page.guide.with_bars.as_ref()?.page;
        Some(PageFor {
            href: for_bars_path(fork_id, system_id, name),
            plans: plans(&mut told.iter()),
            bars: named(Some(name)),
            rows: page.guide.answers.len() == 1,
        })
    });
    std::iter::once(main).chain(own).collect()
}
