//! A book read and checked as a whole. Must not know how its parts are read.

use super::named::{self, Called};
use crate::assembly::Readies;
use crate::base::{BookFiles, Problems, Sources, add_text};
use crate::catalogue::{Catalogue, Part, PartIx, Shop, read_catalogue, read_shop};
use crate::guide::{self, Words, check_rule_sentences};
use crate::kinds::{self, Known};
use crate::rules::{Rule, read_rules};
use crate::solve::{Bench, IN_ONE, Rider, ShopStrengths, allow_changes};

pub struct Book {
    pub shop: Shop,
    pub catalogue: Catalogue,
    pub rules: Vec<Rule>,
    pub words: Words,
    /// Index into the catalogue, by id.
    pub forks: Vec<PartIx>,
    pub readies: Readies,
}

/// Something that has an id.
pub struct Listed {
    /// `systems`, a kind of part, `boxes`.
    pub sort: String,
    pub id: String,
    pub name: String,
    /// Its maker; of a system its short names.
    pub also: String,
}

pub(super) fn called(part: &Part) -> Called {
    let maker = part.maker.iter().map(|maker| format!("{maker} {}", part.name));
    Called { id: part.id.clone(), names: std::iter::once(part.name.clone()).chain(maker).collect() }
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
    let forks: Vec<PartIx> = catalogue.known_as(Known::Fork).collect();
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

    /// One pair, each as a person may name it.
    pub fn pair(&self, fork: &str, system: &str, problems: &mut Problems) -> Option<(usize, usize)> {
        let forks: Vec<Called> = self.forks.iter().map(|&p| called(self.catalogue.part(p))).collect();
        let systems: Vec<Called> = self
            .rules
            .iter()
            .map(|r| Called {
                id: r.id.clone(),
                names: std::iter::once(&r.name).chain(&r.short).cloned().collect(),
            })
            .collect();
        let mut one = |typed, what, codes, among: &[Called]| {
            named::find(typed, what, codes, among).map_err(|problem| problems.push(*problem)).ok()
        };
        let f = one(fork, "fork", ["pair-fork-unknown", "pair-fork-ambiguous"], &forks);
        let s = one(system, "clamp system", ["pair-system-unknown", "pair-system-ambiguous"], &systems);
        Some((f?, s?))
    }

    /// Everything that has an id, sort by sort.
    pub fn ids(&self) -> Vec<Listed> {
        let mut all: Vec<Listed> = self
            .rules
            .iter()
            .map(|r| Listed {
                sort: "systems".into(),
                id: r.id.clone(),
                name: r.name.clone(),
                also: r.short.join(", "),
            })
            .collect();
        for kind in kinds::all() {
            all.extend(self.catalogue.of_kind(kind.name).map(|ix| {
                let part = self.catalogue.part(ix);
                let also = part.maker.clone().unwrap_or_default();
                Listed { sort: kind.name.into(), id: part.id.clone(), name: part.name.clone(), also }
            }));
        }
        all.extend(self.catalogue.boxes.iter().map(|b| Listed {
            sort: "boxes".into(),
            id: b.id.clone(),
            name: b.name.clone(),
            also: b.maker.clone().unwrap_or_default(),
        }));
        all
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
            in_one: IN_ONE,
            cut_saves: self.shop.cut_saves.as_minor(),
            rider: Rider::default(),
            currency: self.shop.currency,
            caliper: self.shop.defaults.caliper,
            bolts: strengths,
        }
    }
}
