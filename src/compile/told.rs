//! All that a book comes to before it is laid out: its pairings told, routes, what riders have, drawings. Told anew only where a
//! file is another than in the last run, of those that are read for it. Must not know theme and prose.
//!
//! It is kept whole, not guide by guide. A guide names other forks (that have what its own lacks, that go on a deck on which
//! its own does not, that go where it says no), so with a key of less than the book it could be wrong.

use super::book::Book;
use super::doubtful;
use super::drawings;
use super::kept::Kept;
use super::made_from::Sorted;
use super::pairings::{self, Pairing};
use super::progress::{Count, Heeded, Work};
use super::{Progress, reference, set_ups, shelf, upgrades};
use crate::base::{BookFiles, Problems};
use crate::guide::{Guide, MeasureRow};
use crate::site::{Drawing, ForkUpgrades, GuideForBars, Reference, RoutesFrom, Shelf};
use crate::solve::{Answer, Rider};
use rayon::prelude::*;
use std::sync::Arc;

type Sum = [u8; 32];

/// As a site takes it, field by field.
pub struct Told {
    pub guides: Vec<Guide>,
    pub drawings: Vec<Vec<Drawing>>,
    /// What the drawings of each pairing were made from besides its guide.
    drawn_from: Vec<Sum>,
    pub for_bars: Vec<GuideForBars>,
    pub upgrades: Vec<ForkUpgrades>,
    /// `None` while it is being worked out, and where that was given up.
    pub shelf: Option<Shelf>,
    pub part_drawings: Vec<Option<String>>,
    /// Of each pairing.
    pub json: Vec<String>,
    pub measuring: Vec<MeasureRow>,
    pub reference: Option<Reference>,
}

/// As [`tell`], unless the last run told the same; where it did, nothing is asked or decided.
pub fn tell_again(
    (book, files): (&Book, &BookFiles),
    kept: &Kept,
    progress: &(dyn Fn(Progress<'_>) + Sync),
    looking_on: LookingOn<'_>,
    problems: &mut Problems,
) -> Arc<Told> {
    let from = made_from(files);
    let (told, found) = kept.last_told(&from).unwrap_or_else(|| {
        let mut found = Problems::default();
        let drawer = Drawer { book, files, sorted: &Sorted::of(book, files), last: kept.last_of_all() };
        let told = Arc::new(tell(&drawer, kept, progress, looking_on, &mut found).0);
        if told.shelf.is_some() {
            kept.remember_told(from, &told, &found);
        }
        (told, found)
    });
    let new: Vec<_> = found.0.into_iter().filter(|problem| !problems.0.contains(problem)).collect();
    problems.0.extend(new);
    told
}

/// Of all files but those that only the look of a site is made from.
fn made_from(files: &BookFiles) -> Sum {
    sum(files
        .iter()
        .filter(|(path, _)| !is_look(path))
        .map(|(path, bytes)| (path.as_str(), bytes.as_slice())))
}

/// Of all that the templates are filled with, and of the templates. What lies in a theme beside these is laid into the site as it
/// is: only which files these are counts.
pub fn pages_made_from(files: &BookFiles) -> Sum {
    let laid = |path: &str| path.starts_with("themes/") && !path.ends_with(".html");
    sum(files.iter().map(|(path, bytes)| (path.as_str(), if laid(path) { &[] } else { bytes.as_slice() })))
}

fn sum<'f>(files: impl Iterator<Item = (&'f str, &'f [u8])>) -> Sum {
    let mut sum = blake3::Hasher::new();
    for text in files.flat_map(|(path, bytes)| [path.as_bytes(), bytes]) {
        sum.update(&(text.len() as u64).to_le_bytes()).update(text);
    }
    *sum.finalize().as_bytes()
}

/// Themes and prose, which are read for the pages alone.
fn is_look(path: &str) -> bool {
    path.starts_with("themes/")
        || ["content/safety/", "content/pages/", "content/systems/"]
            .iter()
            .any(|folder| path.starts_with(folder) && path.ends_with(".md"))
}

/// Draws what the last run has not drawn.
pub struct Drawer<'a> {
    pub book: &'a Book,
    pub files: &'a BookFiles,
    pub sorted: &'a Sorted,
    /// Whatever it was made from.
    pub last: Option<Arc<Told>>,
}

impl Drawer<'_> {
    /// Sizes and shapes are in what the answer is made from, names in the guide; of the words, the system and the headsets every
    /// letter counts.
    fn made_from(&self, (fork, system): (usize, usize)) -> Sum {
        let rule = format!("content/systems/{}.toml", self.book.rules[system].id);
        let read = |path: &str| {
            path == rule || path.starts_with("content/words/") || path.starts_with("content/headsets/")
        };
        let files = self.files.iter().filter(|(path, _)| read(path));
        let files = files.map(|(path, bytes)| (path.as_str(), bytes.as_slice()));
        let answer = self.sorted.pairing(self.book, self.book.forks[fork], system);
        let language = self.book.shop.language.as_bytes();
        sum(files.chain([("", answer.bytes().as_slice()), ("", language)]))
    }

    /// Of the page of a pairing, or for other bars of that pairing.
    fn draw(&self, from: Sum, told: &Pairing) -> Vec<Drawing> {
        let known = self.last.as_deref().and_then(|last| last.drawn(from, &told.guide));
        known.unwrap_or_else(|| {
            drawings::drawings(self.book, &self.book.rules[told.system], &told.guide, &told.answers)
        })
    }
}

impl Told {
    /// The drawings of this very guide, where they were made from the same.
    fn drawn(&self, from: Sum, guide: &Guide) -> Option<Vec<Drawing>> {
        let named = |other: &Guide| (&other.fork_id, &other.system_id) == (&guide.fork_id, &guide.system_id);
        let of = self.guides.iter().position(named).filter(|&of| self.drawn_from.get(of) == Some(&from))?;
        if self.guides[of] == *guide {
            return self.drawings.get(of).cloned();
        }
        let own = self.for_bars.iter().find(|own| own.of == of && own.guide == *guide)?;
        Some(own.drawings.clone())
    }
}

/// What is given all but the shelf, before that is worked out, for that takes longer than all the rest and no other page tells of
/// it; and whether to give it up.
type LookingOn<'l> = (&'l dyn Fn(&Told, &Problems), &'l (dyn Fn() -> bool + Sync));

/// With the pairings that it is told from.
pub fn tell(
    drawer: &Drawer<'_>,
    kept: &Kept,
    progress: &(dyn Fn(Progress<'_>) + Sync),
    (early, is_outdated): LookingOn<'_>,
    problems: &mut Problems,
) -> (Told, Vec<Pairing>) {
    let (book, sorted) = (drawer.book, drawer.sorted);
    let pairs = book.pairs();
    let drawn_from: Vec<Sum> = pairs.iter().map(|&pair| drawer.made_from(pair)).collect();
    let answers = pairings::answers_again(book, &pairs, (sorted, kept), progress);
    let count = Count::of(Work::Decks, pairs.len(), progress);
    let pairings = pairings::told(book, (kept, Rider::default()), &pairs, answers, Some(&count), problems);
    let other_bars = pairings::for_bars(book, (kept, sorted), &pairs, &pairings, progress, problems);
    let page = |(of, told): (usize, Pairing)| {
        let drawings = drawer.draw(drawn_from[of], &told);
        (GuideForBars { of, guide: told.guide, drawings }, told.answers)
    };
    let (for_bars, of_bars): (Vec<GuideForBars>, Vec<Vec<Answer>>) =
        other_bars.into_par_iter().map(page).unzip();
    let guides: Vec<Guide> = pairings.iter().map(|p| p.guide.clone()).collect();
    let answers: Vec<&Answer> = pairings.iter().flat_map(|p| &p.answers).collect();
    let stops = set_ups::set_ups(book, kept, &answers, &Count::of(Work::SetUps, answers.len(), progress));
    let upgrades = upgrades::upgrades(book, &guides, &stops);
    let count = Count::of(Work::Drawings, pairings.len(), progress);
    let drawings =
        pairings.par_iter().zip(&drawn_from).map(|(told, from)| count.one(drawer.draw(*from, told)));
    let mut told = Told {
        drawings: drawings.collect(),
        drawn_from: drawn_from.clone(),
        json: pairings.iter().map(|p| p.json.clone()).collect(),
        measuring: doubtful::measuring_list(book, &pairings),
        part_drawings: drawings::part_drawings(book),
        reference: reference::reference(book),
        guides,
        for_bars,
        upgrades,
        shelf: None,
    };
    early(&told, problems);
    told.shelf = shelf_of((book, kept), &answers, &told, &of_bars, Heeded { progress, is_outdated });
    (told, pairings)
}

fn shelf_of(
    (book, kept): (&Book, &Kept),
    answers: &[&Answer],
    told: &Told,
    of_bars: &[Vec<Answer>],
    heeded: Heeded<'_>,
) -> Option<Shelf> {
    let routes: Vec<(String, Vec<RoutesFrom>)> =
        told.upgrades.iter().map(|u| (u.fork_id.clone(), u.routes.clone())).collect();
    let own: Vec<(&GuideForBars, &[Answer])> =
        told.for_bars.iter().zip(of_bars).map(|(own, answers)| (own, answers.as_slice())).collect();
    shelf::shelf((book, kept), answers, (&told.guides, &own), &routes, heeded)
}
