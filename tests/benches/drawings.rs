//! How fast drawings are made, and how that compares with writing the same bytes. Knows no rule of drawing.
//!
//! `cargo bench --bench drawings`. Standard library only: one number a line, best of several rounds.

#[path = "../proof/book.rs"]
mod book;

use benchleaf::assembly::{ItemIx, Stack};
use benchleaf::catalogue::Variant;
use benchleaf::draw::{DrawInput, DrawWords, PartInput, PartWords, assembled, exploded, part, step_of, view};
use benchleaf::rules::{Rule, Step};
use benchleaf::solve::ShopStrengths;
use book::Book;
use std::hint::black_box;
use std::time::{Duration, Instant};

const ROUNDS: usize = 5;
const ROUND: Duration = Duration::from_millis(600);

/// Seconds a run of `work`, the best of the rounds.
fn seconds(mut work: impl FnMut()) -> f64 {
    let mut best = f64::MAX;
    for _ in 0..ROUNDS {
        let (start, mut runs) = (Instant::now(), 0u32);
        while start.elapsed() < ROUND {
            work();
            runs += 1;
        }
        best = best.min(start.elapsed().as_secs_f64() / f64::from(runs.max(1)));
    }
    best
}

fn of_stack(book: &Book, rule: &Rule, stack: &Stack) -> Vec<String> {
    let numbers: Vec<(ItemIx, usize)> = (0..stack.items.len()).map(|i| (ItemIx(i as u16), i + 1)).collect();
    let words = DrawWords {
        title: "title",
        description: "description",
        gap: "Closing gap 2.57 to 4.22 mm",
        clearance: "Smallest clearance 0.05 to 0.20 mm",
        engagement: "Thread engaged 11.80 to 12.20 mm",
        ..DrawWords::default()
    };
    let input = DrawInput {
        stack,
        rule,
        catalogue: &book.catalogue,
        numbers: &numbers,
        told_ends: &[],
        words,
        id_prefix: "a-",
    };
    let all: Vec<ItemIx> = numbers.iter().map(|&(item, _)| item).collect();
    let own = |told: &Step| -> Vec<String> {
        let in_slot = |now: &&ItemIx| Some(stack.items[usize::from(now.0)].slot) == told.slot;
        let one = |now: &ItemIx| step_of(&input, told, &all[..usize::from(now.0)], *now);
        let alone = told.view.and_then(|shown| view(&input, shown, &all));
        all.iter().filter(in_slot).map(one).chain(alone).collect()
    };
    let steps = rule.steps.iter().flat_map(own);
    [assembled(&input), exploded(&input)].into_iter().chain(steps).collect()
}

fn of_parts(book: &Book) -> Vec<String> {
    let words = PartWords { title: "title", description: "description", dims: &[] };
    let one = |variant: &Variant| {
        part(&PartInput { part: book.catalogue.part(variant.part), variant, words, id_prefix: "p-" })
    };
    book.catalogue.variants.iter().filter_map(one).collect()
}

fn tell(name: &str, made: f64, drawings: &[String]) {
    let bytes: usize = drawings.iter().map(String::len).sum();
    let folder = tempfile::tempdir().expect("a folder for scratch files");
    let written = seconds(|| {
        for (index, svg) in drawings.iter().enumerate() {
            std::fs::write(folder.path().join(index.to_string()), svg).expect("room on the disk");
        }
    });
    let count = drawings.len() as f64;
    println!(
        "{name:<10} {:>8.0} drawings/s {:>8.0} bytes each {:>8.1} MB/s {:>6.2} times as long as writing them to files",
        count / made,
        bytes as f64 / count,
        bytes as f64 / made / 1e6,
        made / written
    );
}

fn main() {
    let book = Book::demo();
    let strengths = ShopStrengths(&book.shop);
    let system = book.system("wide-shim");
    let answer = book.bench(&strengths).answer(book.variant("fork-heron"), system);
    let rule = &book.rules[system];
    let all = of_stack(&book, rule, &answer.stack);
    let made = seconds(|| drop(black_box(of_stack(&book, rule, &answer.stack))));
    tell("guide", made, &all);
    let parts = of_parts(&book);
    let made = seconds(|| drop(black_box(of_parts(&book))));
    tell("parts", made, &parts);
}
