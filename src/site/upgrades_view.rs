//! A fork's upgrade page: its map, the same as a table, and routes to other forks. Must not know a template, nor
//! word anything.

use serde::Serialize;

use super::else_view::OtherStepsView;
use super::index_view::Named;
use super::links::{fork_path, guide_path, part_path, safe};
use super::pages::Book;
use crate::guide::{ComingRow, OwnDeckRow, PartLine, RouteText, StopText};

/// The finished upgrades of one fork.
#[derive(Clone, Debug, PartialEq)]
pub struct ForkUpgrades {
    pub fork_id: String,
    /// A whole `<svg>` element whose links count from a page one folder down.
    pub map: String,
    pub edges: Vec<Edge>,
    pub routes: Vec<RoutesFrom>,
    /// Said beside the routes where a better one may have been left out.
    pub incomplete: Option<String>,
}

/// A direct change between two systems of the fork.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Edge {
    pub from: String,
    pub to: String,
    pub cost: String,
    /// Nothing to buy.
    pub free: bool,
    pub revision: Option<String>,
    pub bars_too: bool,
    /// A new deck that the cost has in it, with its price.
    pub new_deck: Option<String>,
    /// From the site's root.
    pub href: String,
}

#[derive(Clone, Debug, PartialEq)]
pub struct RoutesFrom {
    pub system_id: String,
    /// Of the fork, by id, where it has any.
    pub revision: Option<String>,
    /// For what lies in boxes that do not say it, as one label.
    pub boxed: Option<String>,
    /// "Heron fork with Wide shim"
    pub name: String,
    pub rows: Vec<RouteRow>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct RouteRow {
    pub fork_id: String,
    pub system_id: String,
    pub goal: String,
    pub fork: String,
    /// Cheapest, then fewest changes; or why there is none.
    pub routes: Result<[RouteText; 2], String>,
}

/// Where a guide tells how to come from a system.
pub fn coming_anchor(several: bool, place: usize, row: &ComingRow) -> String {
    let answer = if several { format!("answer-{}-", place + 1) } else { String::new() };
    let revision = row.revision.as_deref().map(|r| format!("-{}", safe(r))).unwrap_or_default();
    format!("{answer}from-{}{revision}", safe(&row.system_id))
}

#[derive(Serialize)]
pub(super) struct UpgradesView<'a> {
    fork: Named<'a>,
    map: &'a str,
    systems: Vec<String>,
    /// As many rows as systems are left, each with as many cells as systems are reached.
    table: Vec<TableRow<'a>>,
    routes: Vec<FromView<'a>>,
    incomplete: Option<&'a str>,
    bars_too: bool,
    deck_too: bool,
}

#[derive(Serialize)]
struct TableRow<'a> {
    system: String,
    cells: Vec<Vec<Cell<'a>>>,
}

#[derive(Serialize)]
struct Cell<'a> {
    to: String,
    edge: &'a Edge,
}

#[derive(Serialize)]
struct FromView<'a> {
    anchor: String,
    name: &'a str,
    forks: Vec<ForkRoutes<'a>>,
}

#[derive(Serialize)]
struct ForkRoutes<'a> {
    fork: &'a str,
    /// What the cheapest way to any of its set-ups comes to.
    cheapest: Option<&'a str>,
    goals: Vec<GoalView<'a>>,
}

#[derive(Serialize)]
struct GoalView<'a> {
    anchor: String,
    goal: &'a str,
    href: String,
    none: Option<&'a str>,
    /// One when the cheapest way is also one of fewest changes.
    ways: Vec<WayView<'a>>,
}

#[derive(Serialize)]
struct WayView<'a> {
    best: &'static str,
    summary: &'a str,
    brought: Option<&'a str>,
    stops: Vec<StopView<'a>>,
}

#[derive(Serialize)]
struct StopView<'a> {
    what: &'a str,
    cost: &'a str,
    href: String,
    buy: Vec<LineView<'a>>,
}

#[derive(Serialize)]
pub(super) struct LineView<'a> {
    pub part: Named<'a>,
    pub text: &'a str,
}

impl<'a> LineView<'a> {
    pub fn of(book: &Book<'a>, line: &'a PartLine) -> LineView<'a> {
        LineView {
            part: Named { name: &line.name, href: book.links.article(&line.part_id) },
            text: &line.text,
        }
    }
}

/// Of a route from a fork's system to a pairing of another fork.
pub fn route_anchor(from: &RoutesFrom, fork: &str, system: &str) -> String {
    format!("{}-to-{}-{}", start_anchor(from), safe(fork), safe(system))
}

fn start_anchor(from: &RoutesFrom) -> String {
    let more = |text: &Option<String>| text.as_deref().map(|r| format!("-{}", safe(r))).unwrap_or_default();
    format!("{}{}{}", safe(&from.system_id), more(&from.revision), more(&from.boxed))
}

impl<'a> UpgradesView<'a> {
    pub fn of(book: &Book<'a>, index: usize) -> UpgradesView<'a> {
        let upgrades = &book.input.upgrades[index];
        let catalogue = book.input.catalogue;
        let fork = catalogue.find(&upgrades.fork_id).map(|ix| catalogue.part(ix));
        let rule = |id: &str| book.input.rules.iter().find(|r| r.id == id);
        let name_of = |id: &str| rule(id).map_or_else(String::new, |r| book.input.words.system(r));
        let ids = |key: fn(&Edge) -> &str| -> Vec<&'a str> {
            let rules = book.input.rules.iter().map(|r| r.id.as_str());
            rules.filter(|id| upgrades.edges.iter().any(|e| key(e) == *id)).collect()
        };
        let (from, to) = (ids(|e| &e.from), ids(|e| &e.to));
        let cell = |a: &str, b: &str| -> Vec<Cell<'a>> {
            let edges = upgrades.edges.iter().filter(|e| e.from == a && e.to == b);
            edges.map(|edge| Cell { to: name_of(&edge.to), edge }).collect()
        };
        let row =
            |a: &&'a str| TableRow { system: name_of(a), cells: to.iter().map(|b| cell(a, b)).collect() };
        UpgradesView {
            fork: Named {
                name: fork.map_or("", |f| f.name.as_str()),
                href: Some(fork_path(&upgrades.fork_id)),
            },
            map: &upgrades.map,
            systems: to.iter().map(|id| name_of(id)).collect(),
            table: from.iter().map(row).collect(),
            routes: upgrades.routes.iter().map(|r| FromView::of(book, r)).collect(),
            incomplete: upgrades.incomplete.as_deref(),
            bars_too: upgrades.edges.iter().any(|e| e.bars_too),
            deck_too: upgrades.edges.iter().any(|e| e.new_deck.is_some()),
        }
    }
}

impl<'a> FromView<'a> {
    fn of(book: &Book<'a>, from: &'a RoutesFrom) -> FromView<'a> {
        let goals = |rows: &'a [RouteRow]| ForkRoutes {
            fork: &rows[0].fork,
            cheapest: cheapest(rows),
            goals: rows.iter().map(|row| GoalView::of(book, from, row)).collect(),
        };
        FromView {
            anchor: format!("from-{}", start_anchor(from)),
            name: &from.name,
            forks: from.rows.chunk_by(|a, b| a.fork_id == b.fork_id).map(goals).collect(),
        }
    }
}

/// The first of equals.
fn cheapest(rows: &[RouteRow]) -> Option<&str> {
    let ways = rows.iter().filter_map(|row| row.routes.as_ref().ok());
    ways.map(|[cheapest, _]| cheapest).min_by_key(|way| way.rank).map(|way| way.summary.as_str())
}

impl<'a> GoalView<'a> {
    fn of(book: &Book<'a>, from: &'a RoutesFrom, row: &'a RouteRow) -> GoalView<'a> {
        let ways = match &row.routes {
            Err(_) => vec![],
            Ok([cheapest, fewest]) if cheapest.stops == fewest.stops => {
                vec![WayView::of(book, "both", cheapest)]
            }
            Ok([cheapest, fewest]) => {
                vec![WayView::of(book, "cheapest", cheapest), WayView::of(book, "fewest", fewest)]
            }
        };
        GoalView {
            anchor: route_anchor(from, &row.fork_id, &row.system_id),
            goal: &row.goal,
            href: guide_path(&row.fork_id, &row.system_id),
            none: row.routes.as_ref().err().map(String::as_str),
            ways,
        }
    }
}

impl<'a> WayView<'a> {
    fn of(book: &Book<'a>, best: &'static str, route: &'a RouteText) -> WayView<'a> {
        let stop = |stop: &'a StopText| StopView {
            what: &stop.what,
            cost: &stop.cost,
            href: guide_path(&stop.fork_id, &stop.system_id),
            buy: stop.buy.iter().map(|line| LineView::of(book, line)).collect(),
        };
        let stops = route.stops.iter().skip(1).map(stop).collect();
        WayView { best, summary: &route.summary, brought: route.brought.as_deref(), stops }
    }
}

/// How to come from another system, on a guide page.
#[derive(Serialize)]
pub(super) struct ComingView<'a> {
    anchor: String,
    system: Named<'a>,
    revision: Option<&'a str>,
    take_off: Vec<LineView<'a>>,
    keep: Vec<LineView<'a>>,
    add: Vec<LineView<'a>>,
    need: Vec<BuyView<'a>>,
    spend: &'a str,
    new_deck: Option<&'a str>,
    tools: &'a [String],
    minutes: Option<&'a str>,
    undo: &'a [String],
    then: &'a str,
    brought: Option<&'a str>,
    own_deck: Vec<OwnDeckView<'a>>,
    other_decks: Vec<OwnDeckView<'a>>,
    no_way_on: Option<&'a str>,
}

#[derive(Serialize)]
struct OwnDeckView<'a> {
    names: &'a str,
    spend: &'a str,
    text: &'a str,
    steps: Vec<OtherStepsView<'a>>,
}

#[derive(Serialize)]
struct BuyView<'a> {
    article: Named<'a>,
    count: u32,
    price: Option<&'a str>,
    stock: Option<&'a str>,
}

impl<'a> ComingView<'a> {
    pub fn of(
        book: &Book<'a>,
        fork: &str,
        several: bool,
        place: usize,
        row: &'a ComingRow,
    ) -> ComingView<'a> {
        let lines = |lines: &'a [PartLine]| lines.iter().map(|l| LineView::of(book, l)).collect();
        let buy = |n: &'a crate::guide::NeedRow| BuyView {
            article: Named { name: &n.name, href: Some(part_path(&n.id)) },
            count: n.count,
            price: n.price.as_deref(),
            stock: n.stock.as_deref(),
        };
        let own_deck = |own: &'a OwnDeckRow| OwnDeckView {
            names: &own.names,
            spend: &own.spend,
            text: &own.text,
            steps: own.steps.iter().map(OtherStepsView::of).collect(),
        };
        ComingView {
            anchor: coming_anchor(several, place, row),
            system: Named { name: &row.system_name, href: Some(guide_path(fork, &row.system_id)) },
            revision: row.revision.as_deref(),
            take_off: lines(&row.take_off),
            keep: lines(&row.keep),
            add: lines(&row.add),
            need: row.need.iter().map(buy).collect(),
            spend: &row.spend,
            new_deck: row.new_deck.as_deref(),
            tools: &row.tools,
            minutes: row.minutes.as_deref(),
            undo: &row.undo,
            then: &row.then,
            brought: row.brought.as_deref(),
            own_deck: row.own_deck.iter().map(own_deck).collect(),
            other_decks: row.other_decks.iter().map(own_deck).collect(),
            no_way_on: row.no_way_on.as_deref(),
        }
    }
}
