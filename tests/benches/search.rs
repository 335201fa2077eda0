//! How long an answer takes, over markets made up by number and over the demo book, on one thread.
//!
//! `cargo bench --bench search` for markets of 10 parts in each slot, some minutes; `-- 10 100 1000` for other sizes, which take long;
//! `-- demo` or `-- FORK/SYSTEM` for pairings of the demo book. Each market line: time per pairing (a whole answer,
//! with alternatives and reasons) at the median, the 90th in a hundred and the worst, what the answers were, and how
//! many searches came to their limit. The last lines are the ratio to trying every combination, in the same run.
//! Knows no rule of searching.
#[path = "../proof/book.rs"]
mod book;
#[path = "../proof/market.rs"]
mod market;
#[path = "../proof/trying.rs"]
mod trying;

use benchleaf::solve::{Answer, ShopStrengths, Verdict};
use book::Book;
use market::{Market, Sizes, market};
use std::time::{Duration, Instant};

const FORKS: usize = 12;
const SEED: u64 = 7;
const SYSTEM: &str = include_str!("../../content/systems/pulled-from-below.toml");
const HEADSET: &str = include_str!("../../content/headsets/integrated.toml");
const SMALL: [&str; 7] = ["fork", "washer", "riser", "spacer", "liner", "shim", "clamp"];
const WHOLE: [&str; 14] = [
    "fork",
    "crown-race",
    "bearing",
    "deck",
    "compression-ring",
    "top-cap",
    "spacer",
    "riser",
    "shim",
    "liner",
    "clamp",
    "bars",
    "star-nut",
    "bolt",
];
/// The demo book's part files that the kinds of [`WHOLE`] are copied from.
const TEMPLATES: [&str; 8] = [
    include_str!("../../parts/decks.toml"),
    include_str!("../../parts/forks/standard.toml"),
    include_str!("../../parts/headset/integrated.toml"),
    include_str!("../../parts/headset/spacers.toml"),
    include_str!("../../parts/upper/bars.toml"),
    include_str!("../../parts/upper/caps-and-bolts.toml"),
    include_str!("../../parts/upper/clamps.toml"),
    include_str!("../../parts/upper/shims.toml"),
];

fn main() {
    let asked: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with('-')).collect();
    let pairings: Vec<&String> = asked.iter().filter(|a| a.contains('/') || *a == "demo").collect();
    if !pairings.is_empty() {
        return demo(&pairings);
    }
    let sizes: Vec<usize> = asked.iter().filter_map(|a| a.parse().ok()).collect();
    markets(if sizes.is_empty() { &[10] } else { &sizes });
    against_trying_all();
}

fn markets(sizes: &[usize]) {
    println!("slots parts sizes    steerers   median ms  90th ms  worst ms   goes measure no  unfinished");
    for slots in [8, 14] {
        for (lengths, sizes_of) in [("gridded", Sizes::Gridded), ("distinct", Sizes::Distinct)] {
            for (steerers, hopeless) in [("near", false), ("far off", true)] {
                let mut before: Option<f64> = None;
                for &parts in sizes {
                    let made = Market { parts, forks: FORKS, sizes: sizes_of, hopeless, seed: SEED };
                    let book = if slots == 8 { small(made) } else { whole(made) };
                    let (median, told) = times(&book);
                    let grown = before.map(|b| format!("   {:.1} times the line above", median / b));
                    println!(
                        "{slots:>5} {parts:>5} {lengths:<8} {steerers:<8} {told}{}",
                        grown.unwrap_or_default()
                    );
                    before = Some(median);
                }
            }
        }
    }
}

fn small(made: Market) -> Book {
    let (parts, _) = trying::texts(SEED);
    let kinds: Vec<&str> = SMALL.into_iter().chain(["cap"]).collect();
    trying::book_of(trying::RULE, &market(&[&parts], &kinds, made), "id,on_hand\n")
}

fn whole(made: Market) -> Book {
    Book::of_texts(&[
        ("content/shop.toml", include_str!("../../content/shop.toml")),
        ("content/systems/pulled-from-below.toml", SYSTEM),
        ("content/headsets/integrated.toml", HEADSET),
        ("parts/all.toml", &market(&TEMPLATES, &WHOLE, made)),
    ])
}

/// Median in milliseconds, and the line that tells all.
fn times(book: &Book) -> (f64, String) {
    let strengths = ShopStrengths(&book.shop);
    let bench = book.bench(&strengths);
    let mut answers: Vec<(Duration, Answer)> = vec![];
    for fork in book.catalogue.of_kind("fork") {
        let start = Instant::now();
        let answer = bench.answer(book.catalogue.part(fork).variants[0], 0);
        answers.push((start.elapsed(), answer));
    }
    answers.sort_by_key(|a| a.0);
    let at = |share: usize| answers[(answers.len() - 1) * share / 100].0.as_secs_f64() * 1e3;
    let count = |verdict| answers.iter().filter(|a| a.1.verdict == verdict && !a.1.unfinished).count();
    let told = format!(
        "{:>10.2} {:>10.2} {:>10.2} {:>5} {:>5} {:>4} {:>8}",
        at(50),
        at(90),
        at(100),
        count(Verdict::Goes),
        count(Verdict::Measure),
        count(Verdict::No),
        answers.iter().filter(|a| a.1.unfinished).count(),
    );
    (at(50), told)
}

/// Books so small that every combination can be tried.
fn against_trying_all() {
    let (mut searched, mut tried) = (Duration::ZERO, Duration::ZERO);
    let books = 20;
    for seed in 0..books {
        let book = trying::book(seed);
        let (strengths, fork) = (ShopStrengths(&book.shop), book.variant("fork-a"));
        let start = Instant::now();
        let answer = book.bench(&strengths).answer(fork, 0);
        searched += start.elapsed();
        let start = Instant::now();
        let [stocked, all] = trying::by_trying_all(&book, fork);
        tried += start.elapsed();
        assert_eq!(trying::told(&book, &answer), stocked.or(all));
    }
    println!(
        "{books} small books: searched {:.1} ms each, every combination tried {:.1} ms each: {:.0} times quicker",
        searched.as_secs_f64() * 1e3 / books as f64,
        tried.as_secs_f64() * 1e3 / books as f64,
        tried.as_secs_f64() / searched.as_secs_f64(),
    );
}

fn demo(asked: &[&String]) {
    let book = Book::demo();
    let strengths = ShopStrengths(&book.shop);
    let bench = book.bench(&strengths);
    for fork in book.catalogue.of_kind("fork") {
        for system in 0..book.rules.len() {
            let name = format!("{}/{}", book.catalogue.part(fork).id, book.rules[system].id);
            if !asked.iter().any(|a| *a == "demo" || **a == name) {
                continue;
            }
            let start = Instant::now();
            let answers = bench.answers(fork, system);
            let ms = start.elapsed().as_secs_f64() * 1e3;
            for a in &answers {
                println!("{name:<32} {ms:>9.1} ms {:?} unfinished {}", a.verdict, a.unfinished);
            }
        }
    }
}
