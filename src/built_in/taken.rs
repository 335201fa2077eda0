//! A book with what it takes of the built-in files beside its own. Reads of the shop's file only what it asks for; what
//! is wrong there is told by the reader of that file.

use super::{File, HEADSET_FOLDER, HEADSETS, PIECES, SAFETY, SAFETY_FOLDER, SYSTEM_FOLDER, SYSTEMS};
use crate::base::{BookFiles, Document, Problem, Problems, Sources};
use std::borrow::Cow;
use std::collections::BTreeSet;

/// Pieces stand here among a book's files. Hidden: no file of a book's own is ever read from there.
const PIECES_FOLDER: &str = "parts/.built-in/";

/// The files of a book, its own and those it takes.
pub struct Taken<'f> {
    pub files: Cow<'f, BookFiles>,
    /// Paths of those that come with the program.
    paths: BTreeSet<String>,
}

/// What the shop's file asks for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct AskedFor {
    pub systems: Vec<String>,
    pub pieces: Vec<String>,
}

/// The table `[built_in]` of a shop's file, read past lines that are no TOML: a slip elsewhere takes no system away.
pub fn asked_for(shop: &str) -> AskedFor {
    let (mut sources, mut unheard) = (Sources::default(), Problems::default());
    let file = sources.add("", shop);
    let document = Document::parse(&sources, file, &mut unheard);
    let table = document.root().get("built_in").and_then(|entry| entry.table(&mut unheard));
    let mut list = |key| -> Vec<String> {
        let texts = table.as_ref().map(|table| table.texts(key, &mut unheard));
        texts.into_iter().flatten().map(|text| text.value).collect()
    };
    AskedFor { systems: list("systems"), pieces: list("pieces") }
}

impl<'f> Taken<'f> {
    /// A system or set of pieces is taken where the shop's file asks for it; a headset where a rule file draws in it;
    /// the cautions where the book has none. A book's own file of the same path stands in its place.
    pub fn of(files: &'f BookFiles) -> Taken<'f> {
        let shop = files.get("content/shop.toml").map(|bytes| String::from_utf8_lossy(bytes));
        let asked = shop.map(|text| asked_for(&text)).unwrap_or_default();
        let mut taken = Taken { files: Cow::Borrowed(files), paths: BTreeSet::new() };
        for name in &asked.systems {
            for ending in ["toml", "md"] {
                taken.add_of(&SYSTEMS, &format!("{SYSTEM_FOLDER}{name}.{ending}"));
            }
        }
        for name in drawn_in(&taken.files) {
            taken.add_of(&HEADSETS, &format!("{HEADSET_FOLDER}{name}.toml"));
        }
        for set in PIECES.iter().filter(|set| asked.pieces.iter().any(|name| name == set.name)) {
            taken.add(format!("{PIECES_FOLDER}{}.toml", set.name), set.text());
        }
        let cautions = files.keys().any(|path| path.starts_with(SAFETY_FOLDER) && path.ends_with(".md"));
        for (path, text) in SAFETY.iter().filter(|_| !cautions) {
            taken.add((*path).to_string(), (*text).to_string());
        }
        taken
    }

    fn add_of(&mut self, among: &[File], path: &str) {
        let found = among.iter().find(|file| file.0 == path);
        if let Some((path, text)) = found {
            self.add((*path).to_string(), (*text).to_string());
        }
    }

    fn add(&mut self, path: String, text: String) {
        if !self.files.contains_key(&path) {
            self.files.to_mut().insert(path.clone(), text.into_bytes());
            self.paths.insert(path);
        }
    }

    /// Paths of the files that come with the program, in order.
    pub fn paths(&self) -> impl Iterator<Item = &str> {
        self.paths.iter().map(String::as_str)
    }

    fn holds(&self, problem: &Problem, sources: &Sources) -> Option<String> {
        let of = |p: &crate::base::Place| sources.get(p.span.file).path.clone();
        problem.places.first().map(of).filter(|path| self.paths.contains(path))
    }

    /// Says of what is wrong or doubtful in a built-in file where that file is, and how to change it. That a book has no
    /// use for one of these is no doubt about the book.
    pub fn tell(&self, problems: &mut Problems, sources: &Sources) {
        if self.paths.is_empty() {
            return;
        }
        problems.0.retain(|p| !(p.code == "part-unused" && self.holds(p, sources).is_some()));
        for problem in &mut problems.0 {
            let Some(path) = self.holds(problem, sources) else { continue };
            let name = unpacked_as(&path);
            let note = format!(
                "this file comes with the program; `benchleaf unpack {name}` writes it into the book, to be changed"
            );
            if !problem.notes.contains(&note) {
                problem.notes.push(note);
            }
        }
    }
}

/// The name by which such a file is written out into a book.
pub fn unpacked_as(path: &str) -> &str {
    match path.starts_with(SAFETY_FOLDER) {
        true => "safety",
        false => path.rsplit('/').next().and_then(|name| name.split('.').next()).unwrap_or(path),
    }
}

/// True of pieces: a part of the book's own with the same id stands in the place of such a part.
pub fn is_piece(path: &str) -> bool {
    path.starts_with(PIECES_FOLDER)
}

/// Names of headsets that rule files draw in and the book may not have.
fn drawn_in(files: &BookFiles) -> BTreeSet<String> {
    let rules = files.iter().filter(|(path, _)| path.starts_with(SYSTEM_FOLDER) && path.ends_with(".toml"));
    rules.filter_map(|(_, bytes)| headset_of(&String::from_utf8_lossy(bytes))).collect()
}

/// The line stands at the top of a rule file, before its first table.
fn headset_of(rule: &str) -> Option<String> {
    let head: Vec<&str> = rule.lines().take_while(|line| !line.trim_start().starts_with('[')).collect();
    let table = head.join("\n").parse::<toml::Table>().ok()?;
    table.get("headset")?.as_str().map(str::to_string)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn book(files: &[(&str, &str)]) -> BookFiles {
        files.iter().map(|(path, text)| (path.to_string(), text.as_bytes().to_vec())).collect()
    }

    #[test]
    fn a_book_takes_what_its_shop_asks_for_and_the_headset_that_comes_with_it() {
        let shop = "[built_in]\nsystems = [\"wide-shim\"]\npieces = [\"headset\"]\n";
        let files = book(&[("content/shop.toml", shop)]);
        let taken = Taken::of(&files);
        let paths: Vec<&str> = taken.paths().collect();
        assert_eq!(
            paths,
            [
                "content/headsets/integrated.toml",
                "content/safety/before-you-ride.md",
                "content/safety/before-you-start.md",
                "content/safety/where-nothing-is-built.md",
                "content/systems/wide-shim.md",
                "content/systems/wide-shim.toml",
                "parts/.built-in/headset.toml",
            ]
        );
    }

    #[test]
    fn a_slip_elsewhere_in_the_shops_file_takes_no_system_away() {
        for shop in [
            "name = Quay\n[built_in]\nsystems = [\"wide-shim\"]\n",
            "[built_in]\nsystems = \"wide-shim\"\n[caliper]\noutside = = 1\n",
        ] {
            assert_eq!(asked_for(shop).systems, ["wide-shim"], "{shop}");
        }
    }

    #[test]
    fn a_file_of_the_books_own_stands_in_the_place_of_the_built_in_one() {
        let shop = "[built_in]\nsystems = [\"wide-shim\"]\n";
        let own = [("content/shop.toml", shop), ("content/systems/wide-shim.toml", "name = \"Ours\"\n")];
        let files = book(&[&own[..], &[("content/safety/ours.md", "# Ours\n")]].concat());
        let taken = Taken::of(&files);
        assert_eq!(taken.paths().collect::<Vec<_>>(), ["content/systems/wide-shim.md"]);
        assert_eq!(taken.files["content/systems/wide-shim.toml"], b"name = \"Ours\"\n");
    }

    #[test]
    fn a_book_that_asks_for_nothing_takes_only_the_cautions() {
        let files = book(&[("content/shop.toml", "name = \"Bench\"\n")]);
        assert!(Taken::of(&files).paths().all(|path| path.starts_with(SAFETY_FOLDER)));
    }
}
