//! Everything that the pages of the demo book say of a deck, of bars and of bars on a deck, held to the answer of a book that
//! has nothing else in their place. Must not know how the pages come to it.
//!
//! `cargo test --release --test library own_demo:: -- --ignored --nocapture`; of a site that is there already with
//! `BENCHLEAF_SITE`.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::path::Path;

use benchleaf::assembly::Outcome;
use benchleaf::base::BookFiles;
use benchleaf::catalogue::VariantIx;
use benchleaf::compile::compile;
use benchleaf::solve::{Bench, Rider, Settled, ShopStrengths};
use rayon::prelude::*;
use scraper::{ElementRef, Html, Selector};
use serde_json::Value as Json;

use crate::book::{self, Book};
use crate::own::{way_on, without_in};

/// A book with no other deck, no other bars: ids of these, where one is said.
type Only = (Option<String>, Option<String>);

/// What one place of a page says.
struct Said {
    place: String,
    /// `FORK`, or `FORK:REVISION`.
    fork: String,
    system: String,
    only: Only,
    /// `goes`, `measure`, `no`, `depends` or `unsettled`.
    verdict: String,
    /// Articles without a price, and cents; where a price is told.
    price: Option<(u32, i64)>,
}

impl fmt::Display for Said {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Said { place, fork, system, only, verdict, price } = self;
        write!(to, "{place}: {fork} with {system}, {only:?}: {verdict} {price:?}")
    }
}

fn selected<'p>(of: ElementRef<'p>, css: &str) -> Vec<ElementRef<'p>> {
    of.select(&Selector::parse(css).unwrap()).collect()
}

fn text_of(of: ElementRef<'_>) -> String {
    of.text().collect()
}

/// What stands before the words of a row: its mark; and whether the words are that the search came to its limit.
fn mark(row: ElementRef<'_>) -> String {
    if text_of(row).contains("not settled") {
        return "unsettled".to_owned();
    }
    let marks = selected(row, ".mark");
    let classes = marks[0].value().classes();
    classes.filter_map(|class| class.strip_prefix("mark-")).next().unwrap().to_owned()
}

/// The rows of decks, and of bars, of a guide, or of its page for other bars. Of several answers the rows are not told apart here.
fn on_guide(path: &str, page: &str, bars_by_page: &BTreeMap<String, String>) -> Vec<Said> {
    let html = Html::parse_document(page);
    let root = html.root_element();
    let [article] = selected(root, "article.guide")[..] else { panic!("{path}") };
    let attribute = |name: &str| article.value().attr(name).unwrap().to_owned();
    let (fork, system) = (attribute("data-fork"), attribute("data-system"));
    let bars = path.split('/').nth(3).map(|name| bars_by_page[name.trim_end_matches(".html")].clone());
    let said = |only: Only, row| Said {
        place: path.to_owned(),
        fork: fork.clone(),
        system: system.clone(),
        only,
        verdict: mark(row),
        price: None,
    };
    let mut all = vec![];
    for row in selected(root, "tr[id^=on-]") {
        let deck = row.value().id().unwrap()["on-".len()..].to_owned();
        all.push(said((Some(deck), bars.clone()), row));
    }
    for row in selected(root, "section.other-bars tbody tr") {
        let link = selected(row, "th a")[0].value().attr("href").unwrap();
        let id = link.rsplit('/').next().unwrap().trim_end_matches(".html");
        all.push(said((None, Some(id.to_owned())), row));
    }
    all
}

/// What the page of what a rider has looks up for each deck, for each set of bars, and for both.
fn on_shelf(page: &str) -> Vec<Said> {
    let html = Html::parse_document(page);
    let root = html.root_element();
    let data: Json = serde_json::from_str(&text_of(selected(root, "#shelf-data")[0])).unwrap();
    let choices = |css: &str| -> Vec<Option<String>> {
        let options = selected(root, css).into_iter().map(|o| o.value().attr("value").unwrap().to_owned());
        options.map(|id| (!id.is_empty()).then_some(id)).collect()
    };
    let (decks, bars) = (choices("#has-deck option"), choices("#has-bars option"));
    let mut all = vec![];
    for (fork, told) in data["forks"].as_object().unwrap() {
        for system in told["systems"].as_array().unwrap() {
            if system["decks"] == "" {
                continue;
            }
            for (d, deck) in decks.iter().enumerate() {
                for (b, bars) in bars.iter().enumerate() {
                    let said = looked_up(system, d as i64 - 1, b as i64 - 1);
                    let on_deck = deck.as_ref().map(|_| system["decks"].as_str().unwrap().as_bytes()[d - 1]);
                    let verdict = match (said, on_deck) {
                        (Some(way), _) if way.0 => "measure",
                        (Some(_), _) => "goes",
                        (None, Some(b'u')) => "unsettled",
                        (None, _) => "no",
                    };
                    all.push(Said {
                        place: "what-i-have.html".to_owned(),
                        fork: fork.clone(),
                        system: system["id"].as_str().unwrap().to_owned(),
                        only: (deck.clone(), bars.clone()),
                        verdict: verdict.to_owned(),
                        price: said.map(|way| (way.1, way.2)),
                    });
                }
            }
        }
    }
    all
}

/// The best way with these bars (-1: whatever is cheapest) on that deck: to be measured, without a price, cents.
fn looked_up(system: &Json, deck: i64, bars: i64) -> Option<(bool, u32, i64)> {
    let ways = system["ways"].as_array().unwrap().iter();
    let number = |way: &Json, place: usize| way[place].as_i64().unwrap();
    let found = ways.filter(|way| number(way, 0) < 0 && number(way, 1) < 0 && number(way, 2) == bars);
    let there = found.filter_map(|way| way_on(way, deck));
    there.min().map(|(measure, unpriced, cents)| (measure, unpriced as u32, cents))
}

/// What a book with nothing else in their place comes to: for each fork in each revision and each system.
fn alone(files: &BookFiles, all: &Book, only: &Only) -> BTreeMap<(String, String), Settled> {
    let gone = |kind: &str, keep: &Option<String>| -> Vec<String> {
        let ids = all.catalogue.of_kind(kind).map(|part| all.catalogue.part(part).id.clone());
        let keep = keep.as_ref().map(|id| id.split(':').next().unwrap_or_default().to_owned());
        ids.filter(|id| keep.as_ref().is_some_and(|keep| keep != id)).collect()
    };
    let gone = [gone("deck", &only.0), gone("bars", &only.1)].concat();
    let book = Book::read(&without_in(files, &gone.iter().collect::<Vec<_>>()));
    let strengths = ShopStrengths(&book.shop);
    // The rider's own bars are in no price.
    let bars: Vec<VariantIx> = only.1.iter().map(|id| book.variant(id)).collect();
    let owns: Vec<(VariantIx, u32)> = bars.iter().map(|&bars| (bars, 1)).collect();
    let bench = Bench { rider: Rider { owns: &owns, uses: &[] }, ..book.bench(&strengths) };
    let forks = book.catalogue.of_kind("fork").flat_map(|part| book.catalogue.part(part).variants.clone());
    let pairs: Vec<(VariantIx, usize)> =
        forks.flat_map(|fork| (0..book.rules.len()).map(move |system| (fork, system))).collect();
    let settle = |&(fork, system): &(VariantIx, usize)| {
        let revision = book.catalogue.variant(fork).revision.as_ref();
        let id = &book.catalogue.part_of(fork).id;
        let fork_id = revision.map_or_else(|| id.clone(), |r| format!("{id}:{}", r.id));
        ((fork_id, book.rules[system].id.clone()), bench.settle(fork, system))
    };
    pairs.par_iter().map(settle).collect()
}

fn word(settled: &Settled) -> &'static str {
    match settled.outcome {
        Some(_) if settled.changed => "change",
        Some(Outcome::Pass) => "goes",
        Some(_) => "measure",
        None if settled.unfinished => "unsettled",
        None => "no",
    }
}

/// Every place that says something else, and how many say the same, of verdicts and of prices.
fn held(said: &[Said], answers: &BTreeMap<(String, String), Settled>) -> (Vec<String>, [usize; 3]) {
    let (mut wrong, mut counts) = (vec![], [0; 3]);
    for said in said {
        // A guide that has one answer for all revisions is true of each.
        let of_fork = |id: &String| *id == said.fork || id.split(':').next() == Some(&said.fork);
        let own: Vec<_> =
            answers.iter().filter(|((fork, system), _)| of_fork(fork) && *system == said.system).collect();
        let differs = own.windows(2).any(|two| word(two[0].1) != word(two[1].1));
        for ((fork, _), settled) in own {
            let alone = if differs { "depends" } else { word(settled) };
            if said.verdict == "unsettled" || alone == "unsettled" {
                counts[2] += 1;
                continue;
            }
            // Where what is in a box decides, the page asks for what goes whatever is in it.
            if settled.cost.is_none() && settled.outcome.is_some() {
                counts[2] += 1;
                continue;
            }
            let price = settled.cost.map(|cost| (cost.unpriced, cost.minor));
            let other_price = said.price.is_some() && said.price != price;
            if said.verdict != alone || other_price {
                wrong.push(format!("{said}; {fork} alone: {alone} {price:?} {}", settled.unfinished));
            }
            counts[0] += 1;
            counts[1] += usize::from(said.price.is_some());
        }
    }
    (wrong, counts)
}

/// Run it as `cargo test --release --test library own_demo:: -- --ignored --nocapture`.
#[test]
#[ignore = "a quarter of an hour in release: every pairing answered in books of each deck and set of bars alone"]
fn the_demo_book_says_of_each_deck_and_set_of_bars_what_a_book_with_nothing_else_says() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let pages: BTreeMap<String, String> = match std::env::var_os("BENCHLEAF_SITE") {
        Some(folder) => {
            let of = |folder: &Path, path: &str| book::files_in(folder, &[path]);
            let mut files = of(Path::new(&folder), "guides");
            let shelf = std::fs::read(Path::new(&folder).join("what-i-have.html")).unwrap();
            files.insert("what-i-have.html".to_owned(), shelf);
            files.into_iter().map(|(path, bytes)| (path, String::from_utf8(bytes).unwrap())).collect()
        }
        None => {
            let files = book::files_in(root, &["content", "parts", "themes"]);
            let pages = compile(&files, &|_| {}).pages.into_iter();
            pages.filter_map(|(path, bytes)| Some((path, String::from_utf8(bytes).ok()?))).collect()
        }
    };
    let files = book::files_in(root, &["content", "parts"]);
    let all = Book::read(&files);
    let bars_by_page: BTreeMap<String, String> = all
        .catalogue
        .of_kind("bars")
        .flat_map(|part| all.catalogue.part(part).variants.iter().map(move |&v| (part, v)))
        .map(|(part, v)| {
            let id = all.catalogue.part(part).id.clone();
            match &all.catalogue.variant(v).revision {
                Some(r) => (format!("{id}-{}", r.id), format!("{id}:{}", r.id)),
                None => (id.clone(), id),
            }
        })
        .collect();
    let guides = pages.iter().filter(|(path, _)| path.starts_with("guides/"));
    let mut said: Vec<Said> = guides.flat_map(|(path, page)| on_guide(path, page, &bars_by_page)).collect();
    println!("{} said on guides", said.len());
    said.extend(on_shelf(&pages["what-i-have.html"]));
    println!("{} said in all", said.len());
    let mut by_only: BTreeMap<Only, Vec<Said>> = BTreeMap::new();
    for said in said {
        by_only.entry(said.only.clone()).or_default().push(said);
    }
    let (mut wrong, mut counts) = (BTreeSet::new(), [0; 3]);
    for (only, said) in &by_only {
        let (here, held) = held(said, &alone(&files, &all, only));
        println!("{only:?}: {held:?} held, {} wrong", here.len());
        here.iter().for_each(|line| println!("  {line}"));
        wrong.extend(here);
        (0..3).for_each(|i| counts[i] += held[i]);
    }
    println!("verdicts {}, prices {}, not settled or open {}", counts[0], counts[1], counts[2]);
    assert!(wrong.is_empty(), "{} wrong: {wrong:#?}", wrong.len());
    assert!(counts[0] > 2_000 && counts[1] > 700);
}
