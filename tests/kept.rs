//! What is kept from one run for the next never changes a page, and spares what it can: any sequence of changes to a book, each
//! compiled with what was kept and from nothing.

use std::cell::RefCell;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use benchleaf::base::BookFiles;
use benchleaf::built_in::RECORD;
use benchleaf::compile::{
    Compiled, Kept, Onlooker, Pages, Progress, Rendering, Work, compile_again, compile_showing, inspect,
};
use rayon::prelude::*;

use crate::made_up;
use crate::mutating;
use crate::small_demo;

/// Whoever finds the same.
const PROGRAM: [u8; 32] = [7; 32];

/// The run, and how many pairings were answered anew. What it shows early comes to the same bytes.
fn again(files: &BookFiles, kept: &Kept) -> (Compiled, usize) {
    let answered = AtomicUsize::new(0);
    let early: RefCell<Option<Pages>> = RefCell::default();
    let progress = |progress: Progress<'_>| {
        if let Progress::Done { work: Work::Answers, done: 1.., .. } = progress {
            answered.fetch_add(1, Ordering::Relaxed);
        }
    };
    let show = |pages| assert!(early.replace(Some(pages)).is_none(), "shown twice");
    let onlooker = Onlooker { show: &show, is_outdated: &|| false };
    let compiled = compile_showing(files, kept, &progress, Some(&onlooker));
    if let Some(early) = early.take().filter(|_| !compiled.problems.any_error()) {
        let same = |path: &&String| early.get(*path) == compiled.pages.get(*path);
        assert_eq!(early.keys().find(|path| !same(path)), None, "shown early and then another");
        let late: Vec<&String> = compiled.pages.keys().filter(|path| !early.contains_key(*path)).collect();
        assert!(late.iter().all(|path| LATE.contains(&path.as_str())), "{late:?}");
    }
    (compiled, answered.into_inner())
}

/// A page, and what is no page.
const LATE: [&str; 2] = ["what-i-have.html", RECORD];

fn assert_same(kept: &Compiled, clean: &Compiled, what: &dyn Fn() -> String) {
    let differ = |path: &&String| kept.pages.get(*path) != clean.pages.get(*path);
    let all = kept.pages.keys().chain(clean.pages.keys());
    assert_eq!(all.clone().find(differ), None, "{}", what());
    assert_eq!(format!("{:?}", kept.problems.0), format!("{:?}", clean.problems.0), "{}", what());
}

/// One change after the other: on a book that was broken by one, the next either mends it or breaks it further.
fn chain(begin: &BookFiles, seed: u64, steps: u64) -> (usize, usize) {
    let (mut kept, mut files, mut good) = (Kept::default(), begin.clone(), begin.clone());
    // Of a program that goes on.
    let going_on = Kept::default().remembering();
    let (mut spared, mut compiled) = (0, 0);
    for step in 0..steps {
        let (next, done) = mutating::mutated(&files, seed * 1_000 + step);
        // As from one process to the next.
        kept = Kept::from_bytes(&kept.to_bytes(PROGRAM), PROGRAM);
        let (with, anew) = again(&next, &kept);
        let begun_anew = Kept::default();
        let clean = again(&next, &begun_anew).0;
        if !clean.problems.any_error() {
            assert!(kept.to_bytes(PROGRAM) == begun_anew.to_bytes(PROGRAM), "{seed}, {step}: {done:?}");
        }
        assert_same(&with, &clean, &|| format!("{seed}, {step}: {done:?}"));
        assert_same(&again(&next, &going_on).0, &clean, &|| format!("{seed}, {step}, going on: {done:?}"));
        if !clean.problems.any_error() {
            assert!(going_on.to_bytes(PROGRAM) == kept.to_bytes(PROGRAM), "{seed}, {step}: {done:?}");
        }
        let broken = clean.problems.any_error();
        compiled += usize::from(!broken);
        spared += usize::from(!broken && anew == 0);
        // Whoever breaks a book undoes that, sooner or later.
        files = if broken && step % 3 != 0 { good.clone() } else { next };
        if !broken {
            good = files.clone();
        }
    }
    (compiled, spared)
}

#[test]
fn any_sequence_of_changes_comes_to_the_pages_of_a_clean_run() {
    let books: Vec<BookFiles> =
        (1..).map(made_up::made_up).filter(|book| !inspect(book).0.any_error()).take(4).collect();
    let chains: Vec<(usize, usize)> =
        (0..6).into_par_iter().map(|seed| chain(&books[seed as usize % 4], seed + 1, 15)).collect();
    let compiled: usize = chains.iter().map(|c| c.0).sum();
    let spared: usize = chains.iter().map(|c| c.1).sum();
    println!("{compiled} of 90 compiled, {spared} of them without answering anything");
    assert!(compiled > 20 && spared > 8, "{compiled}, {spared}");
}

/// The book with this text for that in a file of it.
fn with(files: &BookFiles, path: &str, from: &str, to: &str) -> BookFiles {
    let text = String::from_utf8(files[path].clone()).unwrap();
    assert!(text.contains(from), "{path} has no {from}");
    let mut files = files.clone();
    files.insert(path.to_owned(), text.replacen(from, to, 1).into_bytes());
    files
}

#[test]
fn a_sentence_answers_nothing_anew_and_a_size_what_its_kind_has_a_place_in() {
    let mut begin = small_demo::files();
    let (parts, style) = ("parts/all.toml", "themes/bench/style.css");
    begin.insert(style.to_owned(), b"body { margin: 0 }\n".to_vec());
    begin.insert("content/pages/drawn.md".to_owned(), b"# Drawn\n\n![](/parts/cap-dish.html)\n".to_vec());
    let changes = [
        (style, "margin: 0", "margin: 1em", 0),
        ("content/pages/drawn.md", "# Drawn", "# Drawn parts", 0),
        ("content/systems/wide-shim.md", "\n\n", "\n\nSeen from the side.\n\n", 0),
        ("content/systems/wide-shim.toml", "say = \"Slide the {part} on", "say = \"Put the {part} on", 0),
        ("content/safety/before-you-ride.md", "\n", "\nRead this twice.\n\n", 0),
        ("content/words/en.toml", "scale = \"One unit", "scale = \"A unit", 0),
        ("content/systems/cap-in-clamp.toml", "summary = \"", "summary = \"In short: ", 0),
        (parts, "name = \"Heron fork\"", "name = \"Heron fork, long\"", 0),
        // Two forks with each of two systems; only one system has a place for a liner or for a bar sleeve.
        (parts, "length = \"64 ±0.2\"", "length = \"63 ±0.2\"", 2),
        (parts, "id = \"cap-dish\"", "id = \"cap-dish\" # to be counted", 0),
        (parts, "steerer_length = \"148.5 ±0.1\"", "steerer_length = \"148.4 ±0.1\"", 2),
        (parts, "length = \"50 ±0.15\"", "length = \"50 ±0.1\"", 4),
        ("content/systems/wide-shim.toml", "past = \"3\"", "past = \"3.5\"", 2),
        ("parts/stock.csv", "cap-dish,9.00,2", "cap-dish,9.50,2", 4),
        ("parts/stock.csv", "cap-dish,9.50,2", "sleeve-28,7.00,2\ncap-dish,9.50,2", 2),
        ("parts/stock.csv", "cap-dish,9.50,2", "cap-dish, 9.50 ,2", 0),
        (style, "margin: 1em", "margin: 0", 0),
        ("content/shop.toml", "town = ", "town = \"By the quay\" # ", 0),
        ("content/shop.toml", "outside = \"0.02\"", "outside = \"0.03\"", 4),
    ];
    let kept = Kept::default().remembering();
    let bytes = || kept.to_bytes(PROGRAM);
    assert_eq!(again(&begin, &kept).1, 4);
    let left = bytes();
    assert_eq!(again(&begin, &kept).1, 0, "nothing changed");
    assert!(left == bytes(), "the next run is left the same");
    let mut files = begin;
    for (path, from, to, expected) in changes {
        files = with(&files, path, from, to);
        let (compiled, anew) = again(&files, &kept);
        assert!(!compiled.problems.any_error(), "{to}: {:#?}", compiled.problems.0);
        assert_eq!(anew, expected, "{path}: {to}");
        let begun_anew = Kept::default();
        assert_same(&compiled, &compile_again(&files, &begun_anew, &|_| ()), &|| to.to_owned());
        assert!(bytes() == begun_anew.to_bytes(PROGRAM), "{to}");
    }
}

#[test]
fn all_pages_but_one_are_shown_before_that_one_is_worked_out_and_only_where_one_is_another() {
    let (events, kept) = (Mutex::new(vec![]), Kept::default().remembering());
    let run = |files: &BookFiles| {
        let hear = |progress: Progress<'_>| match progress {
            Progress::Done { work: Work::Have, done: 0, .. } => {
                events.lock().unwrap().push("what riders have")
            }
            Progress::Early(Rendering::Begun("what-i-have.html")) => panic!("it is not known"),
            _ => {}
        };
        let show = |pages: Pages| {
            assert!(pages.contains_key("guides/fork-heron/wide-shim.html"));
            events.lock().unwrap().push("shown");
        };
        let onlooker = Onlooker { show: &show, is_outdated: &|| false };
        assert!(!compile_showing(files, &kept, &hear, Some(&onlooker)).problems.any_error());
        std::mem::take(&mut *events.lock().unwrap())
    };
    let files = small_demo::files();
    assert_eq!(run(&files), ["shown", "what riders have"]);
    let id = "id = \"cap-dish\"";
    let remarked = with(&files, "parts/all.toml", id, &format!("{id} # to be counted"));
    assert_eq!(run(&remarked), ["what riders have"], "no page is another");
    let named = with(&remarked, "parts/all.toml", "\"Heron fork\"", "\"Heron fork, long\"");
    assert_eq!(run(&named), ["shown", "what riders have"]);
}

#[test]
fn a_run_that_is_outdated_is_given_up_while_what_riders_have_is_worked_out_and_nothing_kept_is_lost_by_it() {
    let files = small_demo::files();
    let other = with(&files, "parts/all.toml", "length = \"50 ±0.15\"", "length = \"50 ±0.1\"");
    let kept = Kept::default().remembering();
    again(&files, &kept);
    let (asked, shown) = (AtomicUsize::new(0), Mutex::new(0));
    // One pairing is worked out first.
    let outdated = || asked.fetch_add(1, Ordering::Relaxed) > 0;
    let onlooker = Onlooker { show: &|_| *shown.lock().unwrap() += 1, is_outdated: &outdated };
    let given_up = compile_showing(&other, &kept, &|_| (), Some(&onlooker));
    assert!(given_up.given_up && given_up.pages.is_empty() && !given_up.problems.any_error());
    assert_eq!(*shown.lock().unwrap(), 1);
    // Begun again, with what it had found and all that the run before it had.
    let (compiled, anew) = again(&other, &kept);
    assert_eq!(anew, 0);
    let begun_anew = Kept::default();
    assert_same(&compiled, &again(&other, &begun_anew).0, &|| "begun again".to_owned());
    assert!(kept.to_bytes(PROGRAM) == begun_anew.to_bytes(PROGRAM));
    // And back, after another one was given up.
    asked.store(0, Ordering::Relaxed);
    assert!(compile_showing(&files, &kept, &|_| (), Some(&onlooker)).given_up);
    let first = Kept::default();
    assert_same(&again(&files, &kept).0, &again(&files, &first).0, &|| "and back".to_owned());
    assert!(kept.to_bytes(PROGRAM) == first.to_bytes(PROGRAM));
}

#[test]
fn what_another_program_found_or_what_is_not_as_it_was_written_is_answered_anew() {
    let files = small_demo::files();
    let kept = Kept::default();
    let clean = again(&files, &kept).0;
    let bytes = kept.to_bytes(PROGRAM);
    let anew = |bytes: &[u8], program| {
        let (compiled, anew) = again(&files, &Kept::from_bytes(bytes, program));
        assert_same(&compiled, &clean, &|| format!("{} bytes", bytes.len()));
        anew
    };
    assert_eq!(anew(&bytes, PROGRAM), 0);
    assert_eq!(anew(&bytes, [8; 32]), 4);
    assert_eq!(anew(&[], PROGRAM), 4);
    assert_eq!(anew(&bytes[..bytes.len() - 1], PROGRAM), 4);
    for at in (0..bytes.len()).step_by(bytes.len() / 7) {
        let mut torn = bytes.clone();
        torn[at] ^= 1;
        assert_eq!(anew(&torn, PROGRAM), 4, "byte {at}");
    }
}
