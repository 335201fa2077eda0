//! Books that a slip, a hurry or malice changed (`proof/mutating.rs`): each is compiled, or told what is wrong with it, within
//! limits on work, messages and pages, and nothing panics. Every finding stays as a book under `tests/bad` or a test here.
//!
//! `BENCHLEAF_MUTANTS=FROM..TO cargo test --test library mutants:: -- --ignored --nocapture` looks at those numbers again.

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::process::Command;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use benchleaf::base::{BookFiles, Problem};
use benchleaf::compile::{Compiled, compile, inspect};
use rayon::prelude::*;

use crate::book;
use crate::made_up;
use crate::mutating;
use crate::small_demo;

use made_up::made_up;
use mutating::mutated;

/// No book of this size takes so long on a machine that does something else as well: a good one takes 0.02 to 0.6 s.
const LONGEST: Duration = Duration::from_secs(60);
/// What a book's messages come to at most, for each letter of it and beside that.
const MOST_TOLD: (usize, usize) = (4, 200_000);
/// Pages of a small book.
const MOST_PAGES: usize = 40_000_000;
/// As the program's own threads have it.
const STACK: usize = 16 << 20;

/// The books that are changed. The demo's share comes less often: it takes twenty times as long.
struct Books {
    made_up: Vec<BookFiles>,
    of_the_demo: BookFiles,
    /// One in so many is of the demo.
    demo_one_in: u64,
}

impl Books {
    fn new(demo_one_in: u64) -> Books {
        // Parts made up at random may come out the same: such a book has an error before anything is changed.
        let good = |book: &BookFiles| !inspect(book).0.any_error();
        let made_up = (1..).map(made_up).filter(good).take(4).collect();
        Books { made_up, of_the_demo: small_demo::files(), demo_one_in }
    }

    fn mutant(&self, seed: u64) -> (BookFiles, Vec<String>) {
        let demo = seed.is_multiple_of(self.demo_one_in);
        let book = if demo { &self.of_the_demo } else { &self.made_up[(seed % 4) as usize] };
        mutated(book, seed)
    }
}

/// What became of a book: pages or messages.
enum Came {
    Good,
    Told,
}

/// Everything that is promised of any book at all. `Err`: what was broken.
fn looked_at(files: &BookFiles) -> Result<Came, String> {
    let begun = Instant::now();
    let compiled = catch_unwind(AssertUnwindSafe(|| compile(files, &|_| ()))).map_err(|_| "panics")?;
    let took = begun.elapsed();
    if took > LONGEST {
        return Err(format!("takes {took:?}"));
    }
    let Compiled { pages, problems, sources, .. } = compiled;
    let letters: usize = files.values().map(Vec::len).sum();
    let told: usize = problems.0.iter().map(length).sum();
    if told > MOST_TOLD.0 * letters + MOST_TOLD.1 {
        return Err(format!("{told} letters of messages"));
    }
    for problem in &problems.0 {
        if problem.fact.trim().is_empty() || problem.code.is_empty() {
            return Err(format!("an empty message: {problem:?}"));
        }
        for place in &problem.places {
            let text = &sources.get(place.span.file).path;
            let (line, column) = sources.line_column(place.span);
            if line == 0 || column == 0 || !files.contains_key(text) {
                return Err(format!("a place that is not there: {problem:?}"));
            }
        }
    }
    let size: usize = pages.values().map(Vec::len).sum();
    match problems.any_error() {
        true if !pages.is_empty() => Err("pages of a book with errors".to_string()),
        true => Ok(Came::Told),
        false if !pages.contains_key("index.html") || !pages.contains_key("data/pairings.json") => {
            Err("neither pages nor an error".to_string())
        }
        false if size > MOST_PAGES => Err(format!("{size} bytes of pages")),
        false => Ok(Came::Good),
    }
}

fn length(problem: &Problem) -> usize {
    let places: usize = problem.places.iter().map(|place| place.label.len()).sum();
    let notes: usize = problem.notes.iter().map(String::len).sum();
    problem.fact.len() + problem.mend.len() + places + notes
}

/// Good ones, told ones, and the slowest with its number.
struct Counts {
    good: usize,
    told: usize,
    slowest: (Duration, u64),
}

fn look_at(books: &Books, seeds: std::ops::Range<u64>) -> Counts {
    let pool = rayon::ThreadPoolBuilder::new().stack_size(STACK).build().expect("threads");
    let slowest = Mutex::new((Duration::ZERO, 0));
    let of = |seed: u64| {
        let (files, done) = books.mutant(seed);
        let begun = Instant::now();
        let came = looked_at(&files);
        let mut slowest = slowest.lock().unwrap_or_else(|broken| broken.into_inner());
        *slowest = (*slowest).max((begun.elapsed(), seed));
        came.map_err(|broken| format!("{seed}: {broken}\n  {}", done.join("\n  ")))
    };
    let all: Vec<Result<Came, String>> = pool.install(|| seeds.into_par_iter().map(of).collect());
    let broken: Vec<&String> = all.iter().filter_map(|came| came.as_ref().err()).collect();
    assert!(broken.is_empty(), "{} books:\n{}", broken.len(), list(&broken));
    let good = all.iter().filter(|came| matches!(came, Ok(Came::Good))).count();
    Counts { good, told: all.len() - good, slowest: slowest.into_inner().expect("no panic") }
}

fn list(broken: &[&String]) -> String {
    broken.iter().take(40).map(|text| format!("{text}\n")).collect()
}

#[test]
fn a_thousand_changed_books_are_compiled_or_told_what_is_wrong() {
    let counts = look_at(&Books::new(100), 0..1_000);
    println!("{} good, {} told, the slowest is {:?}", counts.good, counts.told, counts.slowest);
    // A mutator that breaks everything, or nothing, tries nothing.
    assert!(counts.good > 300 && counts.told > 300, "{} good, {} told", counts.good, counts.told);
}

#[test]
#[ignore = "hours"]
fn a_hundred_thousand_changed_books_are_compiled_or_told_what_is_wrong() {
    let asked = std::env::var("BENCHLEAF_MUTANTS").unwrap_or_else(|_| "2000..102000".to_string());
    let ends = asked.split_once("..").and_then(|(from, to)| Some((from.parse().ok()?, to.parse().ok()?)));
    let (from, to): (u64, u64) = ends.expect("BENCHLEAF_MUTANTS=FROM..TO");
    let books = Books::new(10);
    let (mut at, mut good) = (from, 0);
    while at < to {
        let next = to.min(at + 1_000);
        let counts = look_at(&books, at..next);
        good += counts.good;
        let (took, seed) = counts.slowest;
        println!("{at}..{next}: {good} good so far; the slowest is {seed}, {took:?}");
        at = next;
    }
}

/// Whatever is told, the program ends with 1, says something, and the pages of the good book stay as they were.
#[test]
fn a_changed_book_that_has_errors_leaves_the_old_pages() {
    let home = tempfile::tempdir().unwrap();
    let (folder, site) = (home.path().join("book"), home.path().join("site"));
    let books = Books::new(u64::MAX);
    put(&folder, &books.made_up[0]);
    let run = || {
        let program = env!("CARGO_BIN_EXE_benchleaf");
        Command::new(program).arg("compile").arg(&folder).arg("--into").arg(&site).output().unwrap()
    };
    assert_eq!(run().status.code(), Some(0));
    let old = book::files_in(&site, &["."]);
    assert!(old.len() > 10);
    let mut failed = 0;
    for seed in (4..).step_by(4) {
        let (files, done) = books.mutant(seed);
        if matches!(looked_at(&files), Ok(Came::Good)) || !could_lie_on_a_disk(&files) {
            continue;
        }
        fs::remove_dir_all(&folder).unwrap();
        put(&folder, &files);
        let ended = run();
        assert_eq!(ended.status.code(), Some(1), "{seed}: {done:?}");
        assert!(!ended.stderr.is_empty() && ended.stderr.len() < 300_000, "{seed}: {done:?}");
        assert!(book::files_in(&site, &["."]) == old, "{seed}: {done:?}");
        failed += 1;
        if failed == 40 {
            break;
        }
    }
}

fn could_lie_on_a_disk(files: &BookFiles) -> bool {
    files.keys().all(|path| path.is_ascii() && !path.contains("CON"))
}

fn put(folder: &Path, files: &BookFiles) {
    for (path, bytes) in files {
        let path = folder.join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
}

#[test]
fn the_books_that_are_changed_are_good() {
    let books = Books::new(1);
    for book in books.made_up.iter().chain([&books.of_the_demo]) {
        let compiled = compile(book, &|_| ());
        assert!(!compiled.problems.any_error(), "{:#?}", compiled.problems.0);
        assert!(!compiled.pages.is_empty());
    }
}
