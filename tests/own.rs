//! What a rider says to have is answered as if the book had nothing else in its place: `pair` with a deck, bars, parts.

use benchleaf::assembly::Outcome;
use benchleaf::base::BookFiles;
use benchleaf::catalogue::VariantIx;
use benchleaf::compile::{Kept, OneTyped, OwnTyped, RouteAsked, Which, compile, pair, route};
use benchleaf::solve::{Bench, Rider, ShopStrengths};
use scraper::{Html, Selector};
use serde_json::Value as Json;

use crate::book::{self, Book};
use crate::small_demo;

const PARTS: &str = "parts/all.toml";
const PAIRS: [(&str, &str); 2] = [("fork-heron", "wide-shim"), ("fork-tern", "cap-in-clamp")];
const DECKS: [&str; 2] = ["deck-curlew", "deck-dunlin"];
const BARS: [&str; 3] = ["bars-mere", "bars-broad", "bars-fen"];

fn answered(files: &BookFiles, (fork, system): (&str, &str), own: OwnTyped) -> Json {
    let which = Which::One(OneTyped { fork: fork.to_owned(), system: system.to_owned(), own });
    let found = pair(files, &Kept::default(), which).unwrap_or_else(|c| panic!("{:#?}", c.problems.0));
    serde_json::from_str(&found[0].json).unwrap()
}

fn blocks(files: &BookFiles) -> Vec<String> {
    let text = String::from_utf8(files[PARTS].clone()).unwrap();
    text.split("[[part]]\n").skip(1).map(|block| format!("[[part]]\n{block}")).collect()
}

/// The book without these parts.
fn without(files: &BookFiles, gone: &[&str]) -> BookFiles {
    let is_gone = |block: &String| gone.iter().any(|id| block.contains(&format!("id = \"{id}\"\n")));
    let kept: String = blocks(files).into_iter().filter(|block| !is_gone(block)).collect();
    let mut files = files.clone();
    files.insert(PARTS.to_owned(), kept.into_bytes());
    files
}

fn parts_of(answer: &Json) -> Vec<(String, String)> {
    let text = |placed: &Json, key: &str| placed[key].as_str().unwrap_or_default().to_owned();
    let placed = answer["placed"].as_array().unwrap();
    placed.iter().map(|p| (text(p, "part"), text(p, "way_up"))).collect()
}

#[test]
fn an_answer_for_a_deck_is_that_of_a_book_with_no_other_deck() {
    let files = small_demo::files();
    let mut verdicts = vec![];
    for of in PAIRS {
        let rows = answered(&files, of, OwnTyped::default())["decks"].clone();
        for deck in DECKS {
            let own = OwnTyped { deck: Some(deck.to_owned()), ..OwnTyped::default() };
            let with = answered(&files, of, own);
            let others: Vec<&str> = DECKS.into_iter().filter(|other| *other != deck).collect();
            let alone = answered(&without(&files, &others), of, OwnTyped::default());
            let about = format!("{of:?} on {deck}");
            assert_eq!(with["own"]["deck"], deck, "{about}");
            assert_eq!(with["verdict"], alone["verdict"], "{about}");
            if with["verdict"] != "no" {
                assert_eq!(parts_of(&with), parts_of(&alone), "{about}");
                assert_eq!(with["buy"], alone["buy"], "{about}");
            }
            // And so does the guide's table of decks say.
            for row in rows.as_array().unwrap().iter().filter(|row| row["deck"] == deck) {
                assert_eq!(row["verdict"], with["verdict"], "{about}: {row}");
            }
            verdicts.push(with["verdict"].clone());
        }
    }
    assert!(verdicts.iter().any(|v| v == "goes"), "{verdicts:?}");
}

#[test]
fn an_answer_for_bars_is_that_of_a_book_with_no_other_bars_and_they_are_not_bought() {
    let files = small_demo::files();
    let mut verdicts = vec![];
    for of in PAIRS {
        for bars in BARS {
            let own = OwnTyped { bars: Some(bars.to_owned()), ..OwnTyped::default() };
            let with = answered(&files, of, own);
            let others: Vec<&str> = BARS.into_iter().filter(|other| *other != bars).collect();
            let alone = answered(&without(&files, &others), of, OwnTyped::default());
            let about = format!("{of:?} with {bars}");
            assert_eq!(with["verdict"], alone["verdict"], "{about}");
            let bought = |answer: &Json| answer["buy"].as_array().unwrap().clone();
            assert!(bought(&with).iter().all(|b| b["id"] != bars), "{about}: {}", with["buy"]);
            if with["verdict"] != "no" {
                assert!(parts_of(&with).iter().any(|(part, _)| part == bars), "{about}");
                // And everything else as there.
                let else_bought: Vec<Json> = bought(&alone).into_iter().filter(|b| b["id"] != bars).collect();
                assert_eq!(bought(&with), else_bought, "{about}");
                // They lie in no box.
                let used = with["use"].as_array().unwrap();
                assert!(used.iter().all(|u| u["id"] != bars || u["from"].is_null()), "{about}: {used:?}");
            }
            verdicts.push(with["verdict"].clone());
        }
    }
    assert!(verdicts.iter().any(|v| v == "goes") && verdicts.iter().any(|v| v == "no"), "{verdicts:?}");
}

#[test]
fn what_a_rider_has_is_not_bought() {
    let files = small_demo::files();
    let of = ("fork-heron", "wide-shim");
    let bought = |answer: &Json| -> Vec<String> {
        let all = answer["buy"].as_array().unwrap();
        let each = |b: &Json| {
            let (id, count) = (b["id"].as_str().unwrap(), b["count"].as_u64().unwrap());
            vec![id.to_owned(); count as usize]
        };
        all.iter().flat_map(each).collect()
    };
    let before = bought(&answered(&files, of, OwnTyped::default()));
    assert!(before.len() > 1, "{before:?}");
    let own = OwnTyped { have: before.clone(), ..OwnTyped::default() };
    assert_eq!(bought(&answered(&files, of, own)), Vec::<String>::new());
}

fn number(way: &Json, place: usize) -> i64 {
    way[place].as_i64().unwrap()
}

/// A way of the page of what a rider has, as it is on that deck: to be measured, articles without a price, cents. `None`: it does
/// not stand there.
pub fn way_on(way: &Json, deck: i64) -> Option<(bool, i64, i64)> {
    let measure = match number(way, 3) {
        own if own == deck => number(way, 4) == 1,
        -1 => match way[9].as_str().unwrap().as_bytes()[deck as usize] {
            b'g' => false,
            b'm' => true,
            _ => return None,
        },
        _ => return None,
    };
    Some((measure, number(way, 5), number(way, 6)))
}

/// What that page tells: the best of the ways that need no more than this clamp, these bars and this deck.
fn looked_up(system: &Json, [clamp, bars, deck]: [i64; 3]) -> Option<(bool, i64, i64)> {
    let needs_no_more = |way: &&Json| {
        let needs = [(0, -1), (1, clamp), (2, bars)];
        needs.iter().all(|&(place, ticked)| number(way, place) < 0 || number(way, place) == ticked)
    };
    let ways = system["ways"].as_array().unwrap().iter().filter(needs_no_more);
    ways.filter_map(|way| way_on(way, deck)).min()
}

#[test]
fn a_deck_a_clamp_and_bars_in_hand_are_answered_as_by_a_search_that_has_just_these() {
    let files = small_demo::files_with(&["clamp-oriel", "clamp-flume", "clamp-cotter", "deck-bittern"]);
    let page = compile(&files, &|_| {}).pages.remove("what-i-have.html").unwrap();
    let html = Html::parse_document(std::str::from_utf8(&page).unwrap());
    let one = |css: &str| html.select(&Selector::parse(css).unwrap()).collect::<Vec<_>>();
    let data: Json = serde_json::from_str(&one("#shelf-data")[0].text().collect::<String>()).unwrap();
    let ids = |css: &str| -> Vec<String> {
        one(css)
            .iter()
            .map(|o| o.value().attr("value").unwrap().to_owned())
            .filter(|id| !id.is_empty())
            .collect()
    };
    let (decks, bars, clamps) = (ids("#has-deck option"), ids("#has-bars option"), ids("#has-clamp option"));
    let book = Book::read(&files);
    let strengths = ShopStrengths(&book.shop);
    let place = |i: usize, all: &[String]| (i < all.len()).then(|| book.variant(&all[i]));
    let (mut goes, mut own_alone) = (0, 0);
    for fork in ["fork-heron", "fork-tern"] {
        for system in data["forks"][fork]["systems"].as_array().unwrap() {
            let rule = book.rules.iter().position(|rule| rule.id == system["id"].as_str().unwrap()).unwrap();
            for (d, deck) in decks.iter().enumerate() {
                // One past the last: none.
                for (c, b) in (0..=clamps.len()).flat_map(|c| (0..=bars.len()).map(move |b| (c, b))) {
                    let own: Vec<(VariantIx, u32)> =
                        [place(c, &clamps), place(b, &bars)].into_iter().flatten().map(|v| (v, 1)).collect();
                    let uses = [book.variant(deck)];
                    let bench = Bench { rider: Rider { owns: &own, uses: &uses }, ..book.bench(&strengths) };
                    let settled = bench.settle(book.variant(fork), rule);
                    let number = |i: usize, all: &[String]| if i < all.len() { i as i64 } else { -1 };
                    let ticked = [number(c, &clamps), number(b, &bars), d as i64];
                    let told = looked_up(system, ticked);
                    let about = format!("{fork}, {}, clamp, bars, deck {ticked:?}", system["id"]);
                    assert!(!settled.unfinished, "{about}");
                    let best = settled.cost.filter(|_| !settled.changed).map(|cost| {
                        (settled.outcome != Some(Outcome::Pass), i64::from(cost.unpriced), cost.minor)
                    });
                    assert_eq!(told, best, "{about}");
                    goes += usize::from(told.is_some());
                    let without = looked_up(system, [-1, ticked[1], ticked[2]]);
                    own_alone += usize::from(ticked[0] >= 0 && told != without);
                }
            }
        }
    }
    assert!(goes > 40 && own_alone > 10, "{goes} go, {own_alone} by the clamp in hand");
}

#[test]
fn what_is_not_in_the_book_or_has_no_place_is_told_with_the_next_thing_to_type() {
    let files = small_demo::files();
    let told = |own: OwnTyped| {
        let which =
            Which::One(OneTyped { fork: "fork-heron".to_owned(), system: "wide-shim".to_owned(), own });
        let refused = pair(&files, &Kept::default(), which).err().expect("refused");
        refused.problems.0.iter().map(|p| format!("{}: {}", p.code, p.fact)).collect::<Vec<_>>()
    };
    let deck = |id: &str| OwnTyped { deck: Some(id.to_owned()), ..OwnTyped::default() };
    assert_eq!(told(deck("deck-curlw")), ["own-part-unknown: the book has no deck \"deck-curlw\""]);
    assert_eq!(told(deck("bars-mere")), ["own-part-unknown: the book has no deck \"bars-mere\""]);
    let two = OwnTyped { have: vec!["deck-dunlin".to_owned()], ..deck("deck-curlew") };
    assert_eq!(told(two), ["own-no-place: wide-shim has no place for deck-dunlin and deck-curlew"]);
}

#[test]
fn a_deck_that_goes_but_not_with_the_figures_of_the_steps_says_so() {
    let mut files = small_demo::files();
    let text = String::from_utf8(files[PARTS].clone()).unwrap();
    // The steerer comes five millimetres less high out of it, and so the clamp may stand less high.
    let taller = text.replace("head_tube_length = \"92 ±0.1\"", "head_tube_length = \"100 ±0.1\"");
    assert_ne!(text, taller);
    files.insert(PARTS.to_owned(), taller.into_bytes());
    let of = ("fork-heron", "wide-shim");
    let guide = answered(&files, of, OwnTyped::default());
    let told = |deck: &str| {
        let rows = guide["decks"].as_array().unwrap();
        let row = rows.iter().find(|row| row["deck"] == deck).unwrap();
        let lines =
            row["steps"].as_array().into_iter().flatten().flat_map(|of| of["lines"].as_array().unwrap());
        let steps: Vec<String> = lines.map(|line| line.as_str().unwrap().to_owned()).collect();
        (row["verdict"].as_str().unwrap().to_owned(), row["text"].as_str().unwrap().to_owned(), steps)
    };
    assert_eq!(told("deck-curlew"), ("goes".to_owned(), "goes".to_owned(), vec![]));
    let (verdict, text, steps) = told("deck-dunlin");
    assert_eq!(verdict, "goes", "{text}");
    assert_ne!(text, "goes");
    // The clamp, the closing gap, and the star nut.
    for other in ["the foot of the clamp", "down to the steerer's end", "the Star nut 22 mm M8"] {
        assert!(steps.iter().any(|step| step.contains(other)), "{other}: {steps:#?}");
    }
}

/// The demo book with two of its forks, and the systems they are asked for.
fn two_forks() -> BookFiles {
    let forks = ["fork-egret", "fork-heron"];
    let systems = ["slim-shim", "cap-in-clamp", "wide-shim"];
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = book::files_in(root, &["content", "parts"]);
    let system = |path: &str| systems.iter().any(|id| path.starts_with(&format!("content/systems/{id}.")));
    files.retain(|path, _| {
        (!path.starts_with("content/systems/") || system(path))
            && !["content/headsets/threaded.toml", "parts/tried.toml", "parts/stock.csv"]
                .contains(&path.as_str())
    });
    let all = book::Book::demo();
    let ids = all.catalogue.of_kind("fork").map(|part| all.catalogue.part(part).id.clone());
    let gone: Vec<String> = ids.filter(|id| !forks.contains(&id.as_str())).collect();
    without_in(&files, &gone.iter().collect::<Vec<_>>())
}

/// What the cheapest route costs in cents, and how many things it replaces.
fn cheapest(files: &BookFiles, kept: &Kept, (from, to): (&str, &str), have: &[&str]) -> Option<(i64, usize)> {
    let have = have.iter().map(|id| (*id).to_owned()).collect();
    let asked = RouteAsked { from: from.to_owned(), to: to.to_owned(), have };
    let found = route(files, kept, &asked, &|_| {}).unwrap_or_else(|c| panic!("{:#?}", c.problems.0));
    let found: Json = serde_json::from_str(&found.json).unwrap();
    let best = found.get("cheapest").filter(|best| !best.is_null())?;
    let digits: String = best["cost"].as_str()?.chars().filter(char::is_ascii_digit).collect();
    Some((digits.parse().unwrap_or(0), best["changes"].as_u64()? as usize))
}

#[test]
fn a_front_end_bought_whole_is_a_move_and_no_route_is_dearer() {
    let files = two_forks();
    let (cost, changes) =
        cheapest(&files, &Kept::default(), ("fork-egret/slim-shim", "fork-heron/wide-shim"), &[]).unwrap();
    let book = book::Book::read(&files);
    let whole = book.catalogue.boxes.iter().find(|b| b.id == "box-heron").unwrap();
    assert!(cost <= whole.price.unwrap().as_minor(), "{cost}");
    assert!((2..=4).contains(&changes), "fork and system at least, {changes}");
}

/// The start on a deck on which the guide's plan does not stand has other parts, and so another price.
#[test]
fn a_way_to_another_system_stays_on_one_deck_and_costs_the_same_where_that_deck_is_named() {
    let (files, kept) = (two_forks(), Kept::default());
    let way = ("fork-egret/slim-shim", "fork-egret/cap-in-clamp");
    let best = cheapest(&files, &kept, way, &[]).expect("there is a way on one deck");
    for deck in ["deck-curlew", "deck-ruff"] {
        assert_eq!(cheapest(&files, &kept, way, &[deck]), Some(best), "{deck}");
    }
    for deck in ["deck-dunlin", "deck-plover", "deck-sandpiper"] {
        assert!(cheapest(&files, &kept, way, &[deck]).is_some(), "{deck}");
    }
    assert_eq!(cheapest(&files, &kept, way, &["deck-bittern"]), None, "the start does not go on it");
}

/// "€76.20" as cents; words for nothing as none.
fn cents(money: &Json) -> i64 {
    let digits: String = money.as_str().unwrap().chars().filter(char::is_ascii_digit).collect();
    digits.parse().unwrap_or(0)
}

#[test]
fn coming_from_another_system_and_a_route_have_one_price_and_the_cheaper_deck_is_told_first() {
    let (files, kept) = (two_forks(), Kept::default());
    let systems = ["slim-shim", "cap-in-clamp", "wide-shim"];
    let (mut rows, mut on_own_deck) = (0, 0);
    let fork = "fork-egret";
    for to in systems {
        let which = OneTyped { fork: fork.to_owned(), system: to.to_owned(), own: OwnTyped::default() };
        let told = pair(&files, &kept, Which::One(which)).unwrap_or_else(|c| panic!("{:#?}", c.problems.0));
        let guide: Json = serde_json::from_str(&told[0].json).unwrap();
        for row in guide["coming_from"].as_array().unwrap() {
            let from = row["system"].as_str().unwrap();
            let way = (format!("{fork}/{from}"), format!("{fork}/{to}"));
            let Some((cost, _)) = cheapest(&files, &kept, (&way.0, &way.1), &[]) else { continue };
            let own = row["own_deck"].as_array().unwrap();
            let first = own.first().map_or(&row["spend"], |own| &own["spend"]);
            assert_eq!(cents(first), cost, "{way:?}: {row}");
            rows += 1;
            for own in own {
                assert!(cents(&own["spend"]) < cents(&row["spend"]), "{way:?}: {own}");
                let decks = own["decks"].as_array().unwrap();
                for deck in decks.iter().take(1) {
                    let on_it = cheapest(&files, &kept, (&way.0, &way.1), &[deck.as_str().unwrap()]);
                    assert_eq!(on_it.map(|found| found.0), Some(cents(&own["spend"])), "{way:?}: {own}");
                }
                // The terminal tells the same sentence before what the guide's plan would take.
                let lines: String = told[0].text.split_whitespace().collect::<Vec<_>>().join(" ");
                let own: String =
                    own["text"].as_str().unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
                assert!(lines.contains(&own), "{own}\n{}", told[0].text);
                on_own_deck += 1;
            }
        }
    }
    assert!(rows > 2 && on_own_deck > 0, "{rows} rows, {on_own_deck} on the own deck");
}

/// The book without these parts, in whatever file they stand; boxes come without them, and not at all without their fork.
pub fn without_in(files: &BookFiles, gone: &[&String]) -> BookFiles {
    let mut files = files.clone();
    for (path, bytes) in files.iter_mut().filter(|(path, _)| path.starts_with("parts/")) {
        let text = String::from_utf8(std::mem::take(bytes)).unwrap();
        let names = |text: &str| gone.iter().any(|id| text.contains(&format!("\"{id}\"")));
        let row = |text: &str| gone.iter().any(|id| text.starts_with(&format!("{id},")));
        let fork =
            |text: &str| gone.iter().any(|id| id.starts_with("fork-") && text.contains(&format!("\"{id}\"")));
        let kept = if path.ends_with(".toml") {
            let lines =
                |block: &str| block.split('\n').filter(|line| !names(line)).collect::<Vec<_>>().join("\n");
            let block = |block: &str| match block.starts_with("box]]") {
                true => (!fork(block)).then(|| lines(block)),
                false => (!names(block)).then(|| block.to_owned()),
            };
            text.split("\n[[").filter_map(block).collect::<Vec<_>>().join("\n[[")
        } else {
            text.split('\n').filter(|line| !row(line)).collect::<Vec<_>>().join("\n")
        };
        *bytes = kept.into_bytes();
    }
    files
}
