//! Both sides of wanted parts: a part drawn from the ranges told is put into the book and it goes; one just outside of
//! any range is put in and it does not. Over small books made up by number, and books of another system that want one
//! part. Knows nothing of how the ranges were found.

use crate::book;
use crate::seventh;
use crate::trying;

use benchleaf::base::BookFiles;
use benchleaf::quantity::Length;
use benchleaf::solve::{Answer, ShopStrengths, Verdict, Wanted};
use book::{Book, Numbers};
use rayon::prelude::*;
use trying::{RULE, texts};

const PARTS: &str = "parts/all.toml";
const MM: i64 = 1_000_000;

fn files(texts: &[(&str, &str)]) -> BookFiles {
    texts.iter().map(|(path, text)| (path.to_string(), text.as_bytes().to_vec())).collect()
}

fn answer(book: &Book, fork: &str) -> Answer {
    let strengths = ShopStrengths(&book.shop);
    book.bench(&strengths).answer(book.variant(fork), 0)
}

/// As the range of a part is written: exact to the nanometre.
fn written((least, most): (i64, i64)) -> String {
    format!("{} +{}/0", Length::nm(least).to_mm(6), Length::nm(most - least).to_mm(6))
}

/// The wanted part with these sizes, as text: the part it is like with its own sizes replaced.
fn part_text(parts: &str, like: &str, wanted: &Wanted, sizes: &[(i64, i64)]) -> String {
    let start = format!("[[part]]\nid = \"{like}\"\n");
    let from = parts.find(&start).unwrap_or_else(|| panic!("no part {like}"));
    let to = parts[from..].find("\n\n").map_or(parts.len(), |end| from + end);
    let mut lines: Vec<String> = parts[from..to].lines().map(str::to_string).collect();
    let own =
        |name: &str| ["id", "price", "loose"].contains(&name) || wanted.ranges.iter().any(|r| r.0 == name);
    lines.retain(|line| line.split_once(" = ").is_none_or(|(name, _)| !own(name)));
    lines.insert(1, "id = \"put-in\"\nprice = \"5.00\"".to_string());
    lines.extend(wanted.ranges.iter().zip(sizes).map(|(r, &s)| format!("{} = \"{}\"", r.0, written(s))));
    format!("\n\n{}\n", lines.join("\n"))
}

/// Whether it goes with that part in the book; `None` when there can be no such part. The stock list is left out: a
/// plan on hand that must be measured is told before one that goes and has to be ordered.
fn goes_with(files: &BookFiles, fork: &str, part: &str) -> Option<bool> {
    let mut files = files.clone();
    files.remove("parts/stock.csv");
    files.get_mut(PARTS).unwrap().extend(part.as_bytes());
    let book = Book::read_or_problems(&files).ok()?;
    let answer = answer(&book, fork);
    assert!(!answer.unfinished);
    Some(answer.verdict == Verdict::Goes && answer.changes.is_empty())
}

/// How many books were looked at, and parts put in.
#[derive(Clone, Copy, Debug, Default)]
struct Count {
    no: usize,
    wanted: usize,
    several: usize,
    inside: usize,
    outside: usize,
}

impl Count {
    fn and(self, other: Count) -> Count {
        Count {
            no: self.no + other.no,
            wanted: self.wanted + other.wanted,
            several: self.several + other.several,
            inside: self.inside + other.inside,
            outside: self.outside + other.outside,
        }
    }
}

fn both_sides(files: &BookFiles, fork: &str, seed: u64) -> Count {
    let book = Book::read(files);
    let answer = answer(&book, fork);
    let mut count = Count { no: usize::from(answer.verdict == Verdict::No), ..Count::default() };
    assert!(answer.wanted.is_empty() || (answer.verdict == Verdict::No && !answer.unfinished), "{seed}");
    let parts = String::from_utf8(files[PARTS].clone()).unwrap();
    for wanted in &answer.wanted {
        let like = book.catalogue.part_of(wanted.like.unwrap()).id.clone();
        let told = format!("book {seed}: {wanted:?} like {like}");
        let goes = |sizes: &[(i64, i64)]| goes_with(files, fork, &part_text(&parts, &like, wanted, sizes));
        // An open end is tried far out.
        let ranges: Vec<(i64, i64)> =
            wanted.ranges.iter().map(|r| (r.1.unwrap_or(1), r.2.unwrap_or(300 * MM))).collect();
        count.wanted += 1;
        count.several += usize::from(ranges.len() > 1);
        for sizes in draws(&ranges, seed) {
            // Far out along an open end there may be no such part at all.
            let found = goes(&sizes);
            assert_ne!(found, Some(false), "{told}: inside, {sizes:?}");
            count.inside += usize::from(found.is_some());
        }
        for (at, range) in wanted.ranges.iter().enumerate() {
            for beyond in range.1.map(|least| least - 1).into_iter().chain(range.2.map(|most| most + 1)) {
                let mut sizes = ranges.clone();
                sizes[at] = (beyond, beyond);
                let goes = goes(&sizes);
                assert_ne!(goes, Some(true), "{told}: outside, {sizes:?}");
                count.outside += usize::from(goes.is_some());
            }
        }
    }
    count
}

/// The whole ranges, both corners, and parts with and without a tolerance somewhere inside.
fn draws(ranges: &[(i64, i64)], seed: u64) -> Vec<Vec<(i64, i64)>> {
    let mut numbers = Numbers(seed);
    let mut all = vec![
        ranges.to_vec(),
        ranges.iter().map(|r| (r.0, r.0)).collect(),
        ranges.iter().map(|r| (r.1, r.1)).collect(),
    ];
    for exact in [true, false, false] {
        let mut draw = |&(least, most): &(i64, i64)| {
            let (one, other) = (numbers.between(least, most), numbers.between(least, most));
            if exact { (one, one) } else { (one.min(other), one.max(other)) }
        };
        all.push(ranges.iter().map(&mut draw).collect());
    }
    all
}

/// In every third book the gap's limits are so near each other that no pile meets both, in every third the grip asks
/// for more than many clamps have.
fn small_book(seed: u64) -> BookFiles {
    let narrow = RULE.replace("gap = [\"1\", \"5\"]", "gap = [\"2.4\", \"3.6\"]");
    let long = RULE.replace("{ slot = \"fork\", least = \"20\" }", "{ slot = \"fork\", least = \"44\" }");
    let rule = [RULE, &narrow, &long][(seed % 3) as usize];
    let (parts, stock) = texts(seed);
    files(&[
        ("content/shop.toml", "name = \"Quay Bench\"\ncurrency = \"EUR\"\n"),
        ("content/systems/capped.toml", rule),
        (PARTS, &parts),
        ("parts/stock.csv", &stock),
    ])
}

fn run(books: u64) {
    let one = |seed: u64| both_sides(&small_book(seed), "fork-a", seed);
    let count = (0..books).into_par_iter().map(one).reduce(Count::default, Count::and);
    println!("{books} books: {count:?}");
    assert!(count.wanted as u64 * 20 >= books, "{count:?}");
    assert!(count.inside >= 6 * count.wanted && count.outside >= count.wanted, "{count:?}");
}

#[test]
fn a_part_inside_the_ranges_goes_and_one_just_outside_does_not() {
    run(120);
}

/// The long run: `cargo test --test library wanted:: -- --ignored`.
#[test]
#[ignore = "1,500 books take some minutes"]
fn both_sides_of_wanted_parts_in_1500_books() {
    run(1_500);
}

#[test]
fn where_one_part_of_a_build_is_wrong_a_right_one_is_told() {
    let wrong = [
        ("shim", "inside", "30 +0.1/0"),
        ("shim", "length", "20 ±0.05"),
        ("top-cap", "skirt_depth", "6 ±0.03"),
        ("cap", "hole", "5 ±0.1"),
    ];
    let (mut count, mut named) = (Count::default(), 0);
    for (seed, (part, field, size)) in wrong.into_iter().enumerate() {
        let parts = seventh::with_size(seventh::PARTS, part, field, size);
        let files = files(&[
            ("content/shop.toml", seventh::SHOP),
            ("content/headsets/integrated.toml", include_str!("../content/headsets/integrated.toml")),
            ("content/systems/seventh.toml", seventh::SYSTEM),
            (PARTS, &parts),
        ]);
        let book = Book::read(&files);
        let told = answer(&book, "fork");
        println!("{part}.{field}: {:?} {:?}", told.verdict, told.wanted);
        named += told.wanted.iter().filter(|w| w.ranges.iter().any(|r| r.0 == field)).count();
        count = count.and(both_sides(&files, "fork", seed as u64));
    }
    println!("{count:?}");
    assert_eq!((count.no, count.wanted), (wrong.len(), wrong.len()));
    // Another part may do as well, and be less unlike one that there is.
    assert!(named + 1 >= count.wanted, "only {named} name the wrong size");
    assert!(count.outside >= wrong.len(), "{count:?}");
}
