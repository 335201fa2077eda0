//! The page on which a rider ticks what is there: the choices, and all answers as data to be looked up. Must not know
//! how an answer was found.

use serde::Serialize;
use serde_json::{Value as Json, json};

use super::pages::Book;

/// Everything that the page may have to say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shelf {
    pub forks: Vec<ShelfFork>,
    pub headsets: Vec<ShelfArticle>,
    pub clamps: Vec<ShelfArticle>,
    pub bars: Vec<ShelfArticle>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShelfArticle {
    pub id: String,
    pub name: String,
}

/// A fork in one of its revisions.
#[derive(Clone, Debug, PartialEq)]
pub struct ShelfFork {
    /// `FORK`, or `FORK:REVISION`.
    pub id: String,
    pub part_id: String,
    pub name: String,
    pub tell: Option<String>,
    pub systems: Vec<ShelfSystem>,
    pub goals: Vec<ShelfGoal>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct ShelfSystem {
    pub id: String,
    pub name: String,
    /// `goes`, `change`, `measure`, `no` or `unsettled`, with nothing but the fork's own box.
    pub verdict: &'static str,
    pub words: String,
    pub href: String,
    /// The plan of the guide first.
    pub ways: Vec<Way>,
    /// Bars (index into the choices) for which the plan has a page of its own.
    pub pages: Vec<BarsPage>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct BarsPage {
    pub bars: usize,
    pub href: String,
}

/// A plan that uses what is named here (index into the choices), and what it costs one who has that.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    pub headset: Option<usize>,
    pub clamp: Option<usize>,
    pub bars: Option<usize>,
    pub measure: bool,
    pub unpriced: u32,
    /// Smallest coins.
    pub minor: i64,
    pub cost: String,
    /// What is to be bought; empty for nothing.
    pub buy: String,
}

/// A way on to another fork.
#[derive(Clone, Debug, PartialEq)]
pub struct ShelfGoal {
    /// System it starts from.
    pub from: String,
    pub goal: String,
    pub cheapest: String,
    pub fewest: Option<String>,
    pub href: String,
}

#[derive(Serialize)]
pub(super) struct ShelfView<'a> {
    forks: Vec<ForkChoice<'a>>,
    headsets: &'a [ShelfArticle],
    clamps: &'a [ShelfArticle],
    bars: &'a [ShelfArticle],
    /// Safe to be put into a script element.
    data: String,
}

#[derive(Serialize)]
struct ForkChoice<'a> {
    id: &'a str,
    name: &'a str,
    tell: Option<&'a str>,
    href: String,
}

impl<'a> ShelfView<'a> {
    pub fn of(book: &Book<'a>) -> ShelfView<'a> {
        let shelf = book.input.shelf;
        let choice = |f: &'a ShelfFork| ForkChoice {
            id: &f.id,
            name: &f.name,
            tell: f.tell.as_deref(),
            href: super::links::fork_path(&f.part_id),
        };
        // In a script element nothing may look like a tag; the same text, told otherwise.
        let data = data(shelf, book).to_string().replace('<', "\\u003c");
        ShelfView {
            forks: shelf.forks.iter().map(choice).collect(),
            headsets: &shelf.headsets,
            clamps: &shelf.clamps,
            bars: &shelf.bars,
            data,
        }
    }
}

/// Ways as lists, texts once: `[headset, clamp, bars, measure, unpriced, minor, cost, buy]`, with -1 for nothing.
fn data(shelf: &Shelf, book: &Book) -> Json {
    let mut texts: Vec<&str> = vec![];
    let mut place = |text| match texts.iter().position(|t| *t == text) {
        Some(place) => place,
        None => {
            texts.push(text);
            texts.len() - 1
        }
    };
    let mut forks = serde_json::Map::new();
    for fork in &shelf.forks {
        let mut systems = vec![];
        for system in &fork.systems {
            let index = |i: Option<usize>| i.map_or(-1, |i| i as i64);
            let ways: Vec<Json> = system
                .ways
                .iter()
                .map(|w| {
                    json!([
                        index(w.headset),
                        index(w.clamp),
                        index(w.bars),
                        u8::from(w.measure),
                        w.unpriced,
                        w.minor,
                        place(&w.cost),
                        place(&w.buy),
                    ])
                })
                .collect();
            systems.push(json!({
                "id": system.id, "name": system.name, "verdict": system.verdict, "words": system.words,
                "href": system.href, "ways": ways,
                "pages": system.pages.iter().map(|p| (p.bars.to_string(), Json::from(p.href.as_str()))).collect::<serde_json::Map<_, _>>(),
            }));
        }
        let mut goals = vec![];
        for g in &fork.goals {
            goals.push(json!([
                g.from,
                g.goal,
                place(&g.cheapest),
                g.fewest.as_deref().map(&mut place),
                g.href
            ]));
        }
        let edges = book.input.upgrades.iter().filter(|u| u.fork_id == fork.part_id).flat_map(|u| &u.edges);
        let edges: Vec<Json> = edges.map(|e| json!([e.from, e.to, e.cost, e.href])).collect();
        forks.insert(fork.id.clone(), json!({ "systems": systems, "goals": goals, "edges": edges }));
    }
    json!({ "forks": forks, "texts": texts })
}
