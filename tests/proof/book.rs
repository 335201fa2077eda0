//! Books for the proofs: read from a folder or from texts, with a number source of their own. Knows no search.
#![allow(dead_code, reason = "each proof uses its own share of this")]

use std::fs;
use std::path::Path;

use benchleaf::assembly::{Readies, Setting};
use benchleaf::base::{BookFiles, Problems, Sources};
use benchleaf::catalogue::{Catalogue, Shop, VariantIx, read_catalogue, read_shop};
use benchleaf::rules::{Rule, read_rules};
use benchleaf::solve::{Bench, IN_ONE, Rider, ShopStrengths, allow_changes};
use walkdir::WalkDir;

pub struct Book {
    pub shop: Shop,
    pub catalogue: Catalogue,
    pub rules: Vec<Rule>,
    pub readies: Readies,
}

impl Book {
    pub fn read(files: &BookFiles) -> Book {
        Book::read_or_problems(files).unwrap_or_else(|problems| panic!("{:#?}", problems.0))
    }

    /// For books that may have parts in them that cannot be.
    pub fn read_or_problems(files: &BookFiles) -> Result<Book, Problems> {
        let (mut sources, mut problems) = (Sources::default(), Problems::default());
        let shop = read_shop(files, &mut sources, &mut problems);
        let rules = read_rules(files, &mut sources, &mut problems);
        let catalogue = shop.as_ref().and_then(|s| read_catalogue(files, s, &mut sources, &mut problems));
        if problems.any_error() {
            return Err(problems);
        }
        let (mut catalogue, rules) = (catalogue.unwrap(), rules.unwrap());
        allow_changes(&mut catalogue, &rules);
        let readies = Readies::of(&catalogue, &rules);
        Ok(Book { shop: shop.unwrap(), catalogue, rules, readies })
    }

    /// The book in the repository's root.
    pub fn demo() -> Book {
        Book::read(&files_in(Path::new(env!("CARGO_MANIFEST_DIR")), &["content", "parts"]))
    }

    pub fn of_texts(texts: &[(&str, &str)]) -> Book {
        Book::read(&texts.iter().map(|(path, text)| (path.to_string(), text.as_bytes().to_vec())).collect())
    }

    pub fn system(&self, id: &str) -> usize {
        self.rules.iter().position(|r| r.id == id).unwrap_or_else(|| panic!("no system {id}"))
    }

    /// The only variant, or the first.
    pub fn variant(&self, id: &str) -> VariantIx {
        let part = self.catalogue.find(id).unwrap_or_else(|| panic!("no part {id}"));
        self.catalogue.part(part).variants[0]
    }

    pub fn bench<'a>(&'a self, strengths: &'a ShopStrengths<'a>) -> Bench<'a> {
        Bench {
            catalogue: &self.catalogue,
            rules: &self.rules,
            currency: self.shop.currency,
            caliper: self.shop.defaults.caliper,
            bolts: strengths,
            readies: &self.readies,
            effort: None,
            in_one: IN_ONE,
            cut_saves: 0,
            rider: Rider::default(),
        }
    }

    pub fn setting<'a>(&'a self, system: usize, strengths: &'a ShopStrengths<'a>) -> Setting<'a> {
        Setting {
            rule: &self.rules[system],
            catalogue: &self.catalogue,
            bolts: strengths,
            waived: &[],
            exact: &[],
        }
    }
}

/// Files under these folders of `root`, by path from it.
pub fn files_in(root: &Path, folders: &[&str]) -> BookFiles {
    let mut files = BookFiles::new();
    for folder in folders {
        let entries = WalkDir::new(root.join(folder)).sort_by_file_name().into_iter().flatten();
        for entry in entries.filter(|e| e.file_type().is_file()) {
            let path = entry.path().strip_prefix(root).unwrap().to_str().unwrap().replace('\\', "/");
            files.insert(path, fs::read(entry.path()).unwrap());
        }
    }
    files
}

/// The same numbers on every machine (the splitmix64 step).
pub struct Numbers(pub u64);

impl Numbers {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From least to most, both included.
    pub fn between(&mut self, least: i64, most: i64) -> i64 {
        least + (self.next() % (most - least + 1) as u64) as i64
    }

    pub fn below(&mut self, count: usize) -> usize {
        (self.next() % count as u64) as usize
    }

    pub fn one_in(&mut self, count: u64) -> bool {
        self.next().is_multiple_of(count)
    }
}
