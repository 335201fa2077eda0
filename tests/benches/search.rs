//! How long an answer takes. Knows no rule of searching.
#[path = "../proof/book.rs"]
mod book;

use benchleaf::solve::ShopStrengths;
use book::Book;
use std::time::Instant;

fn main() {
    let book = Book::demo();
    let strengths = ShopStrengths(&book.shop);
    let bench = book.bench(&strengths);
    let only: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with('-')).collect();
    for fork in book.catalogue.of_kind("fork") {
        for system in 0..book.rules.len() {
            let name = format!("{}/{}", book.catalogue.part(fork).id, book.rules[system].id);
            if !only.is_empty() && !only.contains(&name) {
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
