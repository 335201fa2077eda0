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
    pub decks: Vec<ShelfArticle>,
    /// For each deck the name of its row on a guide.
    pub deck_rows: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShelfArticle {
    pub id: String,
    pub name: String,
    /// The name, with a size where that helps to find one's own.
    pub label: String,
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
    /// The plan of the guide first.
    pub ways: Vec<Way>,
    /// What it comes to on each deck of the choices; empty where nothing goes.
    pub decks: Vec<OnADeck>,
    /// The guide, then its pages for other bars.
    pub pages: Vec<ShelfPage>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct ShelfPage {
    pub href: String,
    /// The deck that its steps are for (index into the choices).
    pub deck: Option<usize>,
    /// It has one row for each deck.
    pub rows: bool,
}

/// What comes of it on one deck.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OnADeck {
    Goes,
    Measure,
    No,
    Unsettled,
}

impl OnADeck {
    fn letter(self) -> char {
        match self {
            OnADeck::Goes => 'g',
            OnADeck::Measure => 'm',
            OnADeck::No => 'n',
            OnADeck::Unsettled => 'u',
        }
    }
}

fn letters(all: &[OnADeck]) -> String {
    all.iter().map(|on| on.letter()).collect()
}

/// A plan that uses what is named here (index into the choices), and what it costs one who has that.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    pub headset: Option<usize>,
    pub clamp: Option<usize>,
    pub bars: Option<usize>,
    /// Looked for on this deck alone.
    pub deck: Option<usize>,
    /// What this very plan comes to on each deck of the choices.
    pub stands: Vec<OnADeck>,
    /// Index into the system's pages: the one whose plan it is, or is nearest to it.
    pub page: usize,
    /// In what the plan is another than the page's; empty: in nothing but the deck.
    pub differs: String,
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
    decks: &'a [ShelfArticle],
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
    pub fn of(book: &Book<'a>, shelf: &'a Shelf) -> ShelfView<'a> {
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
            decks: &shelf.decks,
            data,
        }
    }
}

/// Ways as lists, texts once: `[headset, clamp, bars, deck, measure, unpriced, minor, cost, buy, stands, page, differs]`, with -1
/// for nothing; pages as `[href, deck, rows]`.
fn data(shelf: &Shelf, book: &Book) -> Json {
    let mut texts: Vec<&str> = vec![];
    let mut place = |text| match texts.iter().position(|t| *t == text) {
        Some(place) => place,
        None => {
            texts.push(text);
            texts.len() - 1
        }
    };
    let index = |i: Option<usize>| i.map_or(-1, |i| i as i64);
    let mut forks = serde_json::Map::new();
    for fork in &shelf.forks {
        let mut systems = vec![];
        for system in &fork.systems {
            let mut ways = vec![];
            for w in &system.ways {
                let differs = if w.differs.is_empty() { -1 } else { place(&w.differs) as i64 };
                ways.push(json!([
                    index(w.headset),
                    index(w.clamp),
                    index(w.bars),
                    index(w.deck),
                    u8::from(w.measure),
                    w.unpriced,
                    w.minor,
                    place(&w.cost),
                    place(&w.buy),
                    letters(&w.stands),
                    w.page,
                    differs,
                ]));
            }
            let page = |page: &ShelfPage| json!([page.href, index(page.deck), u8::from(page.rows)]);
            systems.push(json!({
                "id": system.id, "name": system.name, "verdict": system.verdict, "words": system.words,
                "ways": ways, "decks": letters(&system.decks),
                "pages": system.pages.iter().map(page).collect::<Vec<_>>(),
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
    json!({ "forks": forks, "texts": texts, "rows": shelf.deck_rows })
}
