//! A book read and checked as a whole. Must not know how its parts are read.

use super::unknown;
use crate::assembly::Readies;
use crate::base::{BookFiles, Problems, Sources, add_text, suggest};
use crate::catalogue::{Catalogue, PartIx, Shop, read_catalogue, read_shop};
use crate::guide::{self, Words, check_rule_sentences};
use crate::rules::{Rule, read_rules};
use crate::solve::{Bench, Rider, ShopStrengths, allow_changes};

/// The kind of part that has a page per system.
const FORK: &str = "fork";

pub struct Book {
    pub shop: Shop,
    pub catalogue: Catalogue,
    pub rules: Vec<Rule>,
    pub words: Words,
    /// Index into the catalogue, by id.
    pub forks: Vec<PartIx>,
    pub readies: Readies,
}

/// `None` when there is any error.
pub fn read_book(files: &BookFiles, sources: &mut Sources, problems: &mut Problems) -> Option<Book> {
    let shop = read_shop(files, sources, problems);
    let rules = read_rules(files, sources, problems);
    let catalogue = shop.as_ref().and_then(|shop| read_catalogue(files, shop, sources, problems));
    let words = read_words(files, shop.as_ref(), sources, problems);
    for rule in rules.iter().flatten() {
        check_rule_sentences(rule, &words, problems);
    }
    if problems.any_error() {
        return None;
    }
    let (mut catalogue, rules) = (catalogue?, rules?);
    allow_changes(&mut catalogue, &rules);
    let forks: Vec<PartIx> = catalogue.of_kind(FORK).collect();
    let readies = Readies::of(&catalogue, &rules);
    Some(Book { shop: shop?, catalogue, rules, words, forks, readies })
}

/// The words of the book's own language over the built-in ones.
fn read_words(
    files: &BookFiles,
    shop: Option<&Shop>,
    sources: &mut Sources,
    problems: &mut Problems,
) -> Words {
    let Some(shop) = shop else { return Words::own() };
    let path = format!("content/words/{}.toml", shop.language);
    let file = files.get(&path).and_then(|bytes| add_text(&path, bytes, sources, problems));
    match file {
        Some(file) => Words::read(sources, file, &shop.language, problems),
        None => Words::own_in(&shop.language),
    }
}

impl Book {
    /// Every fork with every system: fork-major.
    pub fn pairs(&self) -> Vec<(usize, usize)> {
        (0..self.forks.len()).flat_map(|f| (0..self.rules.len()).map(move |s| (f, s))).collect()
    }

    /// One pair by ids.
    pub fn pair(&self, fork: &str, system: &str, problems: &mut Problems) -> Option<(usize, usize)> {
        let f = self.forks.iter().position(|&p| self.catalogue.part(p).id == fork);
        let s = self.rules.iter().position(|r| r.id == system);
        if f.is_none() {
            let near = suggest(fork, self.forks.iter().map(|&p| self.catalogue.part(p).id.as_str()));
            problems.push(unknown("pair-fork-unknown", "fork", fork, near));
        }
        if s.is_none() {
            let near = suggest(system, self.rules.iter().map(|r| r.id.as_str()));
            problems.push(unknown("pair-system-unknown", "clamp system", system, near));
        }
        Some((f?, s?))
    }

    pub fn telling(&self) -> guide::Book<'_> {
        let caliper = self.shop.defaults.caliper;
        guide::Book { catalogue: &self.catalogue, rules: &self.rules, words: &self.words, caliper }
    }

    pub fn bench<'a>(&'a self, strengths: &'a ShopStrengths<'a>) -> Bench<'a> {
        Bench {
            catalogue: &self.catalogue,
            rules: &self.rules,
            readies: &self.readies,
            effort: None,
            rider: Rider::default(),
            currency: self.shop.currency,
            caliper: self.shop.defaults.caliper,
            bolts: strengths,
        }
    }
}
