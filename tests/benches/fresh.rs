//! How long it takes until pages are those of the book, each time against something else done in the same run, turn by turn.
//!
//! `cargo bench --bench fresh` prints the table for the demo book; `-- 270` for a book of so many guides, made of the demo book's
//! parts (`many.rs`); `-- 90 270` besides, how time and memory grow from the first to the second, of which nothing is watched.
//! `-- write 900 FOLDER` writes such a book into a folder and ends. Each figure is the median of [`ROUNDS`] or more, but for a clean
//! compile, which is made once, and an edit that answers dozens of pairings anew, made there and back. Needs a machine with `cp`;
//! what needs `ninja` is left out where there is none. Knows no rule of compiling.

#[path = "../proof/book.rs"]
mod book;
#[path = "fresh/many.rs"]
mod many;
#[path = "fresh/running.rs"]
mod running;

use running::{Clean, Watching, clean, compile, copy, ninja, program, seconds_of};
use std::fs;
use std::path::{Path, PathBuf};

const ROUNDS: usize = 5;
const DEMO: usize = 90;

const GUIDE: &str = "guides/fork-heron/wide-shim.html";
/// What is edited: file, what stands there, what stands there instead, and a page on which it is seen.
struct Edit {
    what: &'static str,
    path: &'static str,
    texts: [&'static str; 2],
    page: &'static str,
    /// There and back.
    rounds: usize,
}

const EDITS: [Edit; 5] = [
    Edit {
        what: "a line of the style sheet",
        path: "themes/bench/style.css",
        texts: ["body {", "body { /* wide */"],
        page: "theme/style.css",
        rounds: 3,
    },
    Edit {
        what: "a sentence of the cautions, on every guide",
        path: "content/safety/before-you-ride.md",
        texts: ["\n\n", "\n\nRead this twice.\n\n"],
        page: GUIDE,
        rounds: 3,
    },
    Edit {
        what: "a sentence of a clamp system",
        path: "content/systems/wide-shim.toml",
        texts: ["say = \"Slide the {part} on", "say = \"Put the {part} on"],
        page: GUIDE,
        rounds: 3,
    },
    Edit {
        what: "the size of a fork, 6 guides",
        path: "parts/forks/standard.toml",
        texts: ["steerer_length = \"148.5 ±0.1\"", "steerer_length = \"148.6 ±0.1\""],
        page: GUIDE,
        rounds: 3,
    },
    Edit {
        what: "the size of a shim, in every system that has a place for shims",
        path: "parts/upper/shims.toml",
        texts: ["length = \"50 ±0.1\"", "length = \"50 ±0.12\""],
        page: "parts/shim-alder.html",
        rounds: 1,
    },
];

fn main() {
    let asked: Vec<String> = std::env::args().skip(1).filter(|word| !word.starts_with('-')).collect();
    if let [write, guides, folder] = asked.as_slice()
        && write == "write"
    {
        let guides = guides.parse().expect("how many guides");
        return many::put(Path::new(folder), &many::many(guides)).expect("the book can be written");
    }
    let sizes: Vec<usize> = asked.iter().map(|word| word.parse().expect("how many guides")).collect();
    // Left there: whoever wipes so many files makes the next ones slow for minutes.
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("fresh-{}", std::process::id()));
    println!("| what | takes | against | takes | times |\n|---|---|---|---|---|");
    let mut before: Option<(usize, Clean)> = None;
    for guides in if sizes.is_empty() { vec![DEMO] } else { sizes } {
        let book = written(&home, guides);
        let made = at_rest(&book, guides);
        unanswered(&written(&home.join("unanswered"), guides), guides);
        if before.is_none() {
            watched(&book);
        }
        if let Some((fewer, less)) = &before {
            grown((*fewer, less), (guides, &made));
        }
        before = Some((guides, made));
    }
}

/// With the theme among its files, so that a line of it can be edited.
fn written(home: &Path, guides: usize) -> PathBuf {
    let book = home.join(format!("book-{guides}"));
    let mut files = many::many(guides);
    files.extend(book::files_in(Path::new(env!("CARGO_MANIFEST_DIR")), &["themes"]));
    many::put(&book, &files).expect("the book can be written");
    book
}

fn at_rest(book: &Path, guides: usize) -> Clean {
    let made = clean(book);
    let mut copied = copying(book, "rest");
    let copying: Vec<f64> = (0..ROUNDS).map(|_| copied()).collect();
    println!("| {guides} guides: {} |  |  |  |  |", made.verdicts);
    row(&format!("{guides} guides, clean"), made.seconds, "`cp -r` of the site", median(copying));
    nothing_changed(book, guides);
    let [route, ids] = by_turns([
        &mut || program(&["route", "--from", "fork-heron/wide-shim", "--to", "fork-tern/cap-in-clamp"], book),
        &mut || program(&["ids"], book),
    ]);
    row(&format!("{guides} guides, a route, answers kept"), route, "`ids`, which reads the book alone", ids);
    made
}

/// Of a book that was never compiled, so that nothing is kept.
fn unanswered(book: &Path, guides: usize) {
    let ends = [["fork-heron", "wide-shim"], ["fork-tern", "cap-in-clamp"]];
    let [from, to] = ends.map(|end| end.join("/"));
    let [route, both] =
        by_turns([&mut || program(&["route", "--from", &from, "--to", &to], book), &mut || {
            ends.iter().map(|[fork, system]| program(&["pair", fork, system], book)).sum()
        }]);
    row(&format!("{guides} guides, a route, nothing kept"), route, "`pair` of its two ends", both);
}

/// Each time into another folder: after a mass delete files are made slowly.
fn copying(book: &Path, name: &str) -> impl FnMut() -> f64 {
    let (site, beside, name) = (book.join("public"), book.to_path_buf(), name.to_string());
    let mut copies = 0;
    move || {
        copies += 1;
        copy(&site, &beside.with_extension(format!("{name}-{copies}")))
    }
}

fn watched(book: &Path) {
    let mut copied = copying(book, "watched");
    let mut watching = Watching::begin(book);
    for edit in &EDITS {
        let (mut first, mut all, mut against) = (vec![], vec![], vec![]);
        for _ in 0..edit.rounds {
            for [from, to] in [edit.texts, [edit.texts[1], edit.texts[0]]] {
                let seen = watching.edit(book, edit.path, (from, to), edit.page);
                first.push(seen.first);
                all.push(seen.all);
                against.push(copied());
            }
        }
        let against = median(against);
        row(
            &format!("watch, {}: first fresh page", edit.what),
            median(first),
            "`cp -r` of the site",
            against,
        );
        row("… all done, what was found written down", median(all), "`cp -r` of the site", against);
    }
}

fn nothing_changed(book: &Path, guides: usize) {
    let what = format!("{guides} guides, nothing changed, new process");
    let Some(ninja) = ninja(book) else {
        println!("| {what} | not measured: there is no `ninja` here |  |  |  |");
        return;
    };
    let [ours, theirs] = by_turns([&mut || compile(book), &mut || seconds_of(&mut ninja())]);
    row(&what, ours, "`ninja`, as many outputs, each of all files of the book", theirs);
}

/// Each done [`ROUNDS`] times in turn, after once for nothing.
fn by_turns<const N: usize>(mut work: [&mut dyn FnMut() -> f64; N]) -> [f64; N] {
    for one in &mut work {
        one();
    }
    let mut times: [Vec<f64>; N] = std::array::from_fn(|_| vec![]);
    for _ in 0..ROUNDS {
        for (one, times) in work.iter_mut().zip(&mut times) {
            times.push(one());
        }
    }
    times.map(median)
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn row(what: &str, takes: f64, against: &str, other: f64) {
    println!("| {what} | {} | {against} | {} | {:.2} |", told(takes), told(other), takes / other);
}

fn told(seconds: f64) -> String {
    if seconds < 1.0 { format!("{:.0} ms", seconds * 1e3) } else { format!("{seconds:.1} s") }
}

fn grown((fewer, less): (usize, &Clean), (guides, more): (usize, &Clean)) {
    let name = |guides| format!("{guides} guides, clean");
    row(&name(guides), more.seconds, &name(fewer), less.seconds);
    let megabytes = |bytes: u64| format!("{} MB", bytes >> 20);
    let times = more.memory as f64 / less.memory.max(1) as f64;
    println!(
        "| {guides} guides, most memory | {} | {fewer} guides | {} | {times:.2} |",
        megabytes(more.memory),
        megabytes(less.memory)
    );
    assert!(fs::metadata("/proc/self/status").is_err() || more.memory > 0);
}
