//! A book of one system that only the tests know, with one part or two for every slot, and its texts written anew.
//! Knows no expected value.
#![allow(dead_code, reason = "each proof uses its own share of this")]

use super::book::Book;

pub const SHOP: &str = "name = \"Quay Bench\"\ncurrency = \"EUR\"\n[materials]\nsteel = { strength = 600 }\n";
pub const PARTS: &str = include_str!("bench.toml");
pub const SYSTEM: &str = include_str!("seventh.toml");
const HEADSET: &str = include_str!("../../content/headsets/integrated.toml");

/// The part's text with one field written anew or added; `value` as it stands in the file.
pub fn with(parts: &str, part: &str, field: &str, value: &str) -> String {
    let from = parts.find(&format!("id = \"{part}\"")).unwrap_or_else(|| panic!("no part {part}"));
    let to = parts[from..].find("\n\n").map_or(parts.len(), |end| from + end);
    let mut lines: Vec<String> = parts[from..to].lines().map(str::to_string).collect();
    lines.retain(|line| !line.starts_with(&format!("{field} =")));
    lines.push(format!("{field} = {value}"));
    format!("{}{}\n{}", &parts[..from], lines.join("\n"), &parts[to..])
}

/// The same for a size as it is written.
pub fn with_size(parts: &str, part: &str, field: &str, written: &str) -> String {
    with(parts, part, field, &format!("\"{written}\""))
}

pub fn book_of(parts: &str) -> Book {
    book_with(SHOP, SYSTEM, parts)
}

pub fn book_with(shop: &str, system: &str, parts: &str) -> Book {
    Book::of_texts(&[
        ("content/shop.toml", shop),
        ("content/headsets/integrated.toml", HEADSET),
        ("content/systems/seventh.toml", system),
        ("parts/all.toml", parts),
    ])
}
