//! What a rider says to have is answered as if the book had nothing else in its place: `pair` with a deck, bars, parts.

use benchleaf::base::BookFiles;
use benchleaf::compile::{Kept, OneTyped, OwnTyped, Which, pair};
use serde_json::Value as Json;

#[path = "proof/book.rs"]
mod book;
#[path = "proof/small_demo.rs"]
mod small_demo;

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
        (row["verdict"].as_str().unwrap().to_owned(), row["text"].as_str().unwrap().to_owned())
    };
    assert_eq!(told("deck-curlew"), ("goes".to_owned(), "goes".to_owned()));
    let (verdict, text) = told("deck-dunlin");
    assert_eq!(verdict, "goes", "{text}");
    assert!(
        text.contains("clamp") && text.contains("closing gap") && text.contains("inside the end"),
        "{text}"
    );
}
