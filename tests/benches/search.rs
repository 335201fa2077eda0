//! How long an answer takes, over markets made up by number and over the demo book, on one thread.
//!
//! `cargo bench --bench search` for markets of 10 parts in each slot; `-- 10 100 1000` for these sizes; `-- headset-solved` with
//! one part in each slot of the headset, or `-- all-free`, alone; `-- answers` for whole answers, which take long;
//! `-- demo` or `-- FORK/SYSTEM` for pairings of the demo book. Each market line: time per pairing to settle it (does
//! it go, with which best plan) at the median, the 90th in a hundred and the worst, what came of it, how many searches came
//! to their limit, and with `answers` the same times for whole answers (with alternatives, readings, reasons and wanted
//! parts). The last lines are the ratio to trying every combination, in the same run. Knows no rule of searching.
#[path = "../proof/book.rs"]
mod book;
#[path = "../proof/drafts.rs"]
mod drafts;
#[path = "../proof/market.rs"]
mod market;
#[path = "../proof/trying.rs"]
mod trying;

use benchleaf::assembly::Outcome;
use benchleaf::catalogue::VariantIx;
use benchleaf::solve::ShopStrengths;
use book::Book;
use market::{Like, Market, Sizes, market};
use std::time::{Duration, Instant};

const FORKS: usize = 12;
const SEED: u64 = 7;
const SYSTEM: &str = include_str!("../../content/systems/wide-shim.toml");
const HEADSET: &str = include_str!("../../content/headsets/integrated.toml");
const HEADSET_KINDS: [(&str, &[&str]); 5] = [
    ("crown-race", &["race-30", "race-30-tall"]),
    ("bearing", &["bearing-45", "bearing-45-stainless"]),
    ("deck", &["deck-curlew", "deck-dunlin", "deck-ruff"]),
    ("compression-ring", &["ring-standard", "ring-low"]),
    ("top-cap", &["top-cap-standard", "top-cap-tall"]),
];
/// Eight slots take these: one kind of shim stands in two of them.
const UPPER_KINDS: [(&str, &[&str]); 7] = [
    ("spacer", &["spacer-28-2", "spacer-28-5", "spacer-28-10", "spacer-25-2"]),
    ("shim", &["shim-alder", "shim-hazel", "shim-birch"]),
    ("star-nut", &["star-nut-22"]),
    ("clamp", &["clamp-hatch", "clamp-oriel"]),
    ("cap", &["cap-pan", "cap-plug"]),
    ("bolt", &["bolt-m8-30", "bolt-m8-35", "bolt-m8-40"]),
    ("bars", &["bars-broad", "bars-mere"]),
];
/// The demo book's part files that the parts above are copied from.
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
    let has = |word: &str| asked.iter().any(|a| a == word);
    let sizes = if sizes.is_empty() { &[10][..] } else { &sizes };
    for (word, slots, other) in [("headset-solved", 8, "all-free"), ("all-free", 14, "headset-solved")] {
        if has(word) || !has(other) {
            markets(sizes, slots, has("answers"));
        }
    }
    against_trying_all();
}

fn markets(sizes: &[usize], slots: usize, answers: bool) {
    let whole = if answers { " | whole answer: median      90th     worst" } else { "" };
    println!(
        "slots parts sizes    steerers   median ms  90th ms  worst ms  goes measure  no unfinished{whole}"
    );
    for (lengths, sizes_of) in [("gridded", Sizes::Gridded), ("distinct", Sizes::Distinct)] {
        for (steerers, hopeless) in [("near", false), ("short", true)] {
            let mut before: Option<f64> = None;
            for &parts in sizes {
                let made = Market { parts, forks: FORKS, sizes: sizes_of, hopeless, seed: SEED };
                let (median, told) = times(&book(slots, made), answers);
                let grown = before.map(|b| format!(" | {:.1} times the line above", median / b));
                println!(
                    "{slots:>5} {parts:>5} {lengths:<8} {steerers:<8} {told}{}",
                    grown.unwrap_or_default()
                );
                before = Some(median);
            }
        }
    }
}

/// `slots`: how many the market fills; of 8 the headset is solved, one part in each of its slots.
fn book(slots: usize, made: Market) -> Book {
    let like =
        |one: bool| move |&(kind, ids): &(&'static str, &'static [&'static str])| Like { kind, ids, one };
    let fork = Like { kind: "fork", ids: &["fork-heron", "fork-dipper", "fork-swift"], one: false };
    let headset = HEADSET_KINDS.iter().map(like(slots == 8));
    let kinds: Vec<Like> =
        std::iter::once(fork).chain(headset).chain(UPPER_KINDS.iter().map(like(false))).collect();
    Book::of_texts(&[
        ("content/shop.toml", include_str!("../../content/shop.toml")),
        ("content/systems/wide-shim.toml", SYSTEM),
        ("content/headsets/integrated.toml", HEADSET),
        ("parts/all.toml", &market(&TEMPLATES, &kinds, made)),
    ])
}

/// Median in milliseconds of settling, and the line that tells all.
fn times(book: &Book, answers: bool) -> (f64, String) {
    let strengths = ShopStrengths(&book.shop);
    let bench = book.bench(&strengths);
    let forks = || book.catalogue.of_kind("fork").map(|f| book.catalogue.part(f).variants[0]);
    let (times, settled) = timed(forks(), |fork| bench.settle(fork, 0));
    let count = |outcome| settled.iter().filter(|s| s.outcome == outcome && !s.unfinished).count();
    let mut told = format!(
        "{} {:>5} {:>7} {:>3} {:>10}",
        columns(&times),
        count(Some(Outcome::Pass)),
        count(Some(Outcome::Measure)),
        count(None),
        settled.iter().filter(|s| s.unfinished).count(),
    );
    if answers {
        let (times, _) = timed(forks(), |fork| bench.answer(fork, 0));
        told += &format!(" | {:>15}{}", "", columns(&times));
    }
    (at(&times, 50), told)
}

/// Times in order, and what was found.
fn timed<T>(
    forks: impl Iterator<Item = VariantIx>,
    look: impl Fn(VariantIx) -> T,
) -> (Vec<Duration>, Vec<T>) {
    let one = |fork| {
        let start = Instant::now();
        let found = look(fork);
        (start.elapsed(), found)
    };
    let (mut times, found): (Vec<Duration>, Vec<T>) = forks.map(one).unzip();
    times.sort();
    (times, found)
}

/// The time that this share of a hundred does not exceed, milliseconds.
fn at(times: &[Duration], share: usize) -> f64 {
    if times.is_empty() {
        return 0.;
    }
    times[(times.len() - 1) * share / 100].as_secs_f64() * 1e3
}

fn columns(times: &[Duration]) -> String {
    format!("{:>9.2} {:>9.2} {:>9.2}", at(times, 50), at(times, 90), at(times, 100))
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
        assert_eq!(trying::told(&book, &answer), trying::first_by_stock(stocked, all));
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
