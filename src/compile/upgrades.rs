//! What a fork's upgrade page is made of: its map, and the routes from each of its set-ups to other forks.
//! Must not know how the page looks.

use super::book::Book;
use super::routes::both;
use super::set_ups::SetUps;
use crate::draw::{MapEdge, MapNode, MapShape, UpgradeMap, upgrade_map};
use crate::guide::{ComingRow, Guide, GuideAnswer, RouteTeller};
use crate::kinds::Known;
use crate::site::{Edge, ForkUpgrades, RouteRow, RoutesFrom, coming_anchor, guide_path};
use crate::solve::{RouteMap, SetUp, ShopStrengths, Verdict};
use rayon::prelude::*;

/// Pages that link to guides lie one folder down.
const UP: &str = "../";

/// One for each fork, in the order of the book.
pub fn upgrades(book: &Book, guides: &[Guide], stops: &SetUps) -> Vec<ForkUpgrades> {
    let of_fork = |&part: &crate::catalogue::PartIx| {
        let id = &book.catalogue.part(part).id;
        let own: Vec<&Guide> = guides.iter().filter(|g| g.fork_id == *id).collect();
        let edges = edges(book, &own);
        ForkUpgrades {
            fork_id: id.clone(),
            map: map(book, &own, &edges),
            edges,
            routes: routes(book, id, &own, guides, stops),
            incomplete: (!stops.complete).then(|| book.words.word("route.incomplete")),
        }
    };
    book.forks.par_iter().map(of_fork).collect()
}

fn rows(guide: &Guide) -> impl Iterator<Item = (usize, &GuideAnswer, &ComingRow)> {
    let answers = guide.answers.iter().enumerate();
    answers.flat_map(|(place, answer)| answer.coming.iter().map(move |row| (place, answer, row)))
}

fn edges(book: &Book, guides: &[&Guide]) -> Vec<Edge> {
    let mut found = vec![];
    for guide in guides {
        for (place, answer, row) in rows(guide) {
            let revision = row.revision.clone().or(answer.revision.as_ref().map(|r| r.label.clone()));
            let is_bars =
                |id: &str| book.catalogue.find(id).is_some_and(|p| book.catalogue.part(p).is(Known::Bars));
            let anchor = coming_anchor(guide.answers.len() > 1, place, row);
            // What is told there first.
            let own = row.own_deck.first();
            found.push(Edge {
                from: row.system_id.clone(),
                to: guide.system_id.clone(),
                cost: own.map_or(&row.spend, |own| &own.spend).clone(),
                free: own.map_or(row.need.is_empty(), |own| own.buy.is_empty()),
                revision,
                bars_too: own
                    .map_or_else(|| row.add.iter().any(|line| is_bars(&line.part_id)), |own| own.bars),
                new_deck: row.new_deck.clone().filter(|_| own.is_none()),
                href: format!("{}#{anchor}", guide_path(&guide.fork_id, &guide.system_id)),
            });
        }
    }
    found
}

fn map(book: &Book, guides: &[&Guide], edges: &[Edge]) -> String {
    let shape = |guide: &Guide| match guide.verdict {
        _ if guide.depends => MapShape::Depends,
        Verdict::Goes => MapShape::Goes,
        Verdict::Measure => MapShape::Measure,
        Verdict::No if guide.answers.iter().any(|a| a.unfinished.is_some()) => MapShape::Unsettled,
        Verdict::No => MapShape::No,
    };
    let mut order: Vec<&Guide> = guides.to_vec();
    // What goes stands together; where nothing leads stands last.
    let linked = |g: &Guide| edges.iter().any(|e| e.to == g.system_id || e.from == g.system_id);
    order.sort_by_key(|g| (!linked(g), g.verdict));
    let node = |g: &&Guide| MapNode {
        // The boxes of the map are narrow: the trade name alone, where there is one.
        name: g.system_short.first().unwrap_or(&g.system_name).clone(),
        verdict: g.verdict_words.clone(),
        shape: shape(g),
        href: format!("{UP}{}", guide_path(&g.fork_id, &g.system_id)),
    };
    let place = |id: &str| order.iter().position(|g| g.system_id == id);
    let mut drawn: Vec<MapEdge> = vec![];
    for edge in edges {
        let (Some(from), Some(to)) = (place(&edge.from), place(&edge.to)) else { continue };
        if !drawn.iter().any(|e| (e.from, e.to) == (from, to)) {
            let cost = match edge.new_deck {
                Some(_) => book.words.say("route.map-deck", &[("cost", &edge.cost)]),
                None => edge.cost.clone(),
            };
            let bars_too = edge.bars_too;
            drawn.push(MapEdge { from, to, cost, bars_too, href: format!("{UP}{}", edge.href) });
        }
    }
    let fork = guides.first().map_or("", |g| g.fork_name.as_str());
    let title = book.words.say("route.map", &[("fork", fork)]);
    upgrade_map(&UpgradeMap { title, nodes: order.iter().map(node).collect(), edges: drawn }, "map")
}

/// From each set-up of the fork that goes as in its guide to every pairing of another fork.
fn routes(book: &Book, fork: &str, own: &[&Guide], guides: &[Guide], known: &SetUps) -> Vec<RoutesFrom> {
    let (strengths, stops) = (ShopStrengths(&book.shop), known.all.as_slice());
    let mut map = RouteMap::new(book.bench(&strengths), stops, known.complete);
    let teller = RouteTeller { book: book.telling(), currency: book.shop.currency, stops };
    let fork_of = |stop: &SetUp| &book.catalogue.part_of(stop.fork).id;
    let system_of = |stop: &SetUp| &book.rules[stop.system].id;
    let mut found = vec![];
    for from in own {
        let starts = (0..stops.len()).filter(|&i| {
            stops[i].as_in_guide && fork_of(&stops[i]) == fork && *system_of(&stops[i]) == from.system_id
        });
        for start in starts {
            let others = guides.iter().filter(|g| g.fork_id != fork);
            let rows = others.filter_map(|goal| {
                let goals: Vec<usize> = (0..stops.len())
                    .filter(|&i| {
                        *fork_of(&stops[i]) == goal.fork_id && *system_of(&stops[i]) == goal.system_id
                    })
                    .collect();
                let first = goals.first()?;
                let routes = both(&mut map, start, &[], &goals, None);
                Some(RouteRow {
                    fork_id: goal.fork_id.clone(),
                    system_id: goal.system_id.clone(),
                    goal: teller.pair_name(*first),
                    fork: goal.fork_name.clone(),
                    routes: routes
                        .map(|r| r.map(|(best, route)| teller.route(&route, best)))
                        .map_err(|why| teller.none(why)),
                })
            });
            let rows: Vec<RouteRow> = rows.collect();
            let revision = book.catalogue.variant(stops[start].fork).revision.as_ref();
            let (boxed, pair) = (book.telling().boxed_label(&stops[start].boxed), teller.pair_name(start));
            let name = boxed
                .as_ref()
                .map(|boxed| book.words.say("route.with-boxed", &[("pair", &pair), ("boxed", boxed)]));
            found.push(RoutesFrom {
                system_id: from.system_id.clone(),
                revision: revision.map(|r| r.id.clone()),
                boxed,
                name: name.unwrap_or(pair),
                rows,
            });
        }
    }
    found
}
