//! The key to an unknown fork, on the demo book: whatever a caliper reads on a real fork, the key and its printed page
//! lead it to its own class. Knows no search.

use crate::book;

use std::collections::BTreeMap;

use benchleaf::base::BookFiles;
use benchleaf::catalogue::VariantIx;
use benchleaf::guide::{self, KeyText, QuestionText, To, Words, key_text};
use benchleaf::kinds::{BARE_READINGS, Shape, insert_is_closed};
use benchleaf::solve::{ForkKey, KeyEnd, Look, fork_key};
use book::{Book, Numbers};

/// What a caliper shows on one real fork: each size somewhere in its tolerance, read with an error. Now and then
/// both at an end.
fn readings(book: &Book, fork: VariantIx, numbers: &mut Numbers) -> BTreeMap<&'static str, i64> {
    let shape = &book.catalogue.variant(fork).shape;
    let corner = numbers.one_in(3);
    let mut pick = |least: i64, most: i64| match corner {
        true if numbers.one_in(2) => least,
        true => most,
        false => numbers.between(least, most),
    };
    let mut read = BTreeMap::new();
    for reading in BARE_READINGS {
        if let Some(dim) = shape.dims.iter().find(|d| d.name == reading.field) {
            let error = book.shop.defaults.caliper.uncertainty(dim.nature).as_nm();
            let real = pick(dim.dimension.least().as_nm(), dim.dimension.most().as_nm());
            read.insert(reading.field, real + pick(-error, error));
        }
    }
    read
}

fn see(shape: &Shape, look: Look) -> bool {
    match look {
        Look::Has(surface) => shape.has_surface(surface),
        Look::Thread(surface, thread) => {
            shape.features.threads.iter().any(|t| t.surface == surface && t.thread == thread)
        }
        Look::InsertClosed => insert_is_closed(shape).expect("asked only where there is an insert"),
    }
}

fn forks(book: &Book) -> Vec<VariantIx> {
    book.catalogue.of_kind("fork").flat_map(|p| book.catalogue.part(p).variants.clone()).collect()
}

/// Leads every fork so many times; panics where one arrives in a class that it is not in.
fn lead_all(book: &Book, key: &ForkKey, times: usize) -> usize {
    let mut numbers = Numbers(2);
    let mut led = 0;
    for fork in forks(book) {
        let shape = &book.catalogue.variant(fork).shape;
        for _ in 0..times {
            let read = readings(book, fork, &mut numbers);
            let asked = |field: &str| *read.get(field).expect("asked only where the fork has it");
            let class = key.led(|look| see(shape, look), asked).expect("every finding leads somewhere");
            let own = key.classes[class].forks.contains(&fork);
            assert!(own, "{} with {read:?}", book.catalogue.part_of(fork).id);
            led += 1;
        }
    }
    led
}

#[test]
fn every_fork_of_the_book_is_led_to_its_own_class_ten_thousand_times() {
    let book = Book::demo();
    let key = fork_key(&book.catalogue, book.shop.defaults.caliper);
    assert!(forks(&book).len() >= 14);
    assert_eq!(lead_all(&book, &key, 10_000), forks(&book).len() * 10_000);
}

#[test]
fn the_key_of_the_book_is_proved_shortest_and_parts_nearly_every_fork() {
    let book = Book::demo();
    let key = fork_key(&book.catalogue, book.shop.defaults.caliper);
    assert!(key.proved_shortest);
    assert!(key.most_steps <= 4, "{} questions", key.most_steps);
    let alone = key.classes.iter().filter(|c| c.forks.len() == 1).count();
    assert!(alone >= 12, "{alone} forks are told from all others");
}

#[test]
fn a_fork_of_a_class_reads_within_what_the_page_says_to_compare() {
    let book = Book::demo();
    let key = fork_key(&book.catalogue, book.shop.defaults.caliper);
    let mut numbers = Numbers(3);
    for class in &key.classes {
        assert!(class.readings.len() >= 3, "{class:?}");
        for &fork in &class.forks {
            let shape = &book.catalogue.variant(fork).shape;
            for _ in 0..100 {
                let read = readings(&book, fork, &mut numbers);
                assert!(class.readings.iter().all(|r| (r.least..=r.most).contains(&read[r.field])));
            }
            assert!(class.looks.iter().all(|&(look, seen)| see(shape, look) == seen));
        }
    }
}

/// Follows the printed text by its stable words alone.
fn follow(text: &KeyText, book: &Book, fork: VariantIx, read: &BTreeMap<&'static str, i64>) -> usize {
    let shape = &book.catalogue.variant(fork).shape;
    let mut at = 1;
    loop {
        let question: &QuestionText = &text.questions[at - 1];
        let (how, what) = question.ask.split_once(' ').expect("how and what");
        let answer = question.answers.iter().find(|answer| match how {
            "read" => {
                let reading = read[what];
                answer.from.is_none_or(|f| f <= reading) && answer.below.is_none_or(|b| reading < b)
            }
            _ => {
                let seen = match what {
                    "insert-closed" => insert_is_closed(shape) == Some(true),
                    surface => shape.has_surface(surface),
                };
                answer.seen == Some(if seen { "yes" } else { "no" })
            }
        });
        match answer.expect("an answer for everything").to {
            To::Question(number) => at = number,
            To::Class(class) => return class,
        }
    }
}

#[test]
fn the_printed_text_leads_as_the_key_does() {
    let book = Book::demo();
    let words = Words::own();
    let told = guide::Book {
        catalogue: &book.catalogue,
        rules: &book.rules,
        words: &words,
        caliper: book.shop.defaults.caliper,
    };
    let text = key_text(&told, book.shop.defaults.caliper);
    let mut numbers = Numbers(4);
    for fork in forks(&book) {
        let id = &book.catalogue.part_of(fork).id;
        for _ in 0..200 {
            let read = readings(&book, fork, &mut numbers);
            let class = &text.classes[follow(&text, &book, fork, &read)];
            assert!(class.forks.iter().any(|f| f.part_id == *id), "{id}: {}", class.name);
        }
    }
    let all = format!("{text:?}");
    assert!(!all.contains('{') || !all.contains("{key."), "a sentence is missing: {all}");
}

/// Small books of forks made by number, nearly equal ones among them.
fn generated(numbers: &mut Numbers) -> Book {
    let mut parts = String::new();
    for fork in 0..numbers.between(1, 9) {
        let slim = numbers.one_in(2);
        let size = |n: &mut Numbers, from: i64, step: i64| {
            let value = from + step * n.between(0, 6);
            let written = format!("{}.{:02}", value / 100, value % 100);
            match n.below(3) {
                0 => format!("\"{written}\""),
                1 => format!("\"{written} ±0.1\""),
                _ => format!("\"{written} +0/-{}\"", ["0.02", "0.3", "1.2"][n.below(3)]),
            }
        };
        let outside = if slim { "25.4 +0/-0.05" } else { "28.6 +0/-0.05" };
        parts += &format!(
            "[[part]]\nid = \"fork-{fork}\"\nkind = \"fork\"\nname = \"Fork {fork}\"\nseat_height = \"6 ±0.1\"\n\
             crown_height = 30\nbottom_thickness = 8\nseat_diameter = \"30.1 +0.05/+0\"\nsteerer_outside = \"{outside}\"\n"
        );
        parts += &format!("crown_outside = {}\n", size(numbers, 4_400, 10));
        parts += &format!("steerer_bore = {}\n", size(numbers, 1_960, 12));
        parts += &format!("steerer_length = {}\n", size(numbers, 14_850, 40));
        if numbers.one_in(3) {
            parts += "bottom_bore = \"8.5 ±0.1\"\n";
        }
        if slim && numbers.one_in(2) {
            let thread = ["M6", "M8", "M10"][numbers.below(3)];
            parts += &format!("insert_thread = \"{thread}\"\ninsert_length = \"15 ±0.2\"\n");
            parts += &format!("insert_depth = {}\n", size(numbers, 1_000, 25));
            if numbers.one_in(2) {
                parts += "insert_blind = true\ninsert_floor = \"3 ±0.2\"\n";
            }
        }
    }
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/good/plain");
    let mut files: BookFiles = book::files_in(&root, &["content"]);
    files.insert("parts/forks.toml".into(), parts.into_bytes());
    Book::read(&files)
}

#[test]
fn every_fork_of_generated_books_is_led_to_its_own_class() {
    let mut numbers = Numbers(17);
    let (mut led, mut parted) = (0, 0);
    for _ in 0..150 {
        let book = generated(&mut numbers);
        let key = fork_key(&book.catalogue, book.shop.defaults.caliper);
        led += lead_all(&book, &key, 40);
        parted += usize::from(key.classes.len() > 1);
        assert!(matches!(key.start, Some(KeyEnd::Question(_) | KeyEnd::Class(_))));
    }
    assert!(led >= 10_000 && parted >= 100, "{led} led, {parted} keys that part forks");
}
