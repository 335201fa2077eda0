//! Pairings as data and as text: one that is asked for, or every one in order. Must not know how one is judged.

use super::book::{Book, read_book};
use super::kept::Kept;
use super::made_from::Sorted;
use super::own::{self, Own, OwnTyped};
use super::pairings::{self, Pairing};
use super::progress::{Count, Work};
use super::{Compiled, Progress, brief, stream};
use crate::base::{BookFiles, Problems, Sources};
use crate::built_in::Taken;
use crate::guide::Guide;
use crate::solve::{Rider, Verdict};
use std::ops::ControlFlow;

/// One pairing as data and as text.
pub struct Paired {
    /// One line of JSON.
    pub json: String,
    /// Readable plan, plain.
    pub text: String,
    /// Of it the answer, what to measure and buy, and the steps; empty where that is all of it.
    pub brief: String,
    /// Lines of the text that say a verdict.
    pub tones: Vec<(String, Tone)>,
}

/// A verdict or heading that a terminal may show in colour: a whole line of the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    Goes,
    Measure,
    No,
    Depends,
    Heading,
}

/// Which pairings are asked for.
pub enum Which {
    All,
    One(OneTyped),
}

/// One pairing as it was typed.
pub struct OneTyped {
    pub fork: String,
    pub system: String,
    /// What the rider has: deck and bars are used, whatever it costs.
    pub own: OwnTyped,
}

/// One pairing or all; `Err` holds the problems when the book has errors or the ids are not in it.
pub fn pair(files: &BookFiles, kept: &Kept, which: Which) -> Result<Vec<Paired>, Compiled> {
    let mut all = vec![];
    match which {
        Which::All => pair_all(files, kept, &|_| (), &mut |pair| all.push(pair))?,
        Which::One(typed) => all.extend(pair_one(files, kept, &typed, &|_| ())?),
    }
    Ok(all)
}

/// Every fork with every system, in order, each handed over as soon as it and all before it are told. Where a pairing cannot be
/// told, `Err` holds the problems, and what comes after it is not handed over.
pub fn pair_all(
    files: &BookFiles,
    kept: &Kept,
    progress: &(dyn Fn(Progress<'_>) + Sync),
    take: &mut dyn FnMut(Paired),
) -> Result<(), Compiled> {
    let (mut problems, mut sources) = (Problems::default(), Sources::default());
    let taken = Taken::of(files);
    let files = &*taken.files;
    if let Some(book) = read_book(files, &mut sources, &mut problems) {
        let count = Count::of(Work::Answers, book.pairs().len(), progress);
        stream::hand_over(&book, (&Sorted::of(&book, files), kept), &count, &mut |pairings, found| {
            problems.0.extend(found.0);
            if problems.any_error() {
                return ControlFlow::Break(());
            }
            pairings.into_iter().for_each(|told| take(paired(&book, told, None)));
            ControlFlow::Continue(())
        });
    }
    ending(&taken, problems, sources)
}

/// The one that was asked for.
pub fn pair_one(
    files: &BookFiles,
    kept: &Kept,
    typed: &OneTyped,
    progress: &(dyn Fn(Progress<'_>) + Sync),
) -> Result<Option<Paired>, Compiled> {
    let (mut problems, mut sources) = (Problems::default(), Sources::default());
    let taken = Taken::of(files);
    let files = &*taken.files;
    let book = read_book(files, &mut sources, &mut problems);
    let asked = book.as_ref().and_then(|book| asked(book, typed, &mut problems));
    let done = match (&book, &asked) {
        (Some(book), Some(Asked { pairs, own: None, .. })) => {
            let answers = pairings::answers_again(book, pairs, (&Sorted::of(book, files), kept), progress);
            pairings::told(book, (kept, Rider::default()), pairs, answers, None, &mut problems)
        }
        (Some(book), Some(Asked { pairs, own: Some(own), .. })) => {
            let answers = pairings::answers(book, pairs, own.rider(), progress);
            pairings::told(book, (&Kept::default(), own.rider()), pairs, answers, None, &mut problems)
        }
        _ => Vec::new(),
    };
    ending(&taken, problems, sources)?;
    let Some((book, asked)) = book.zip(asked) else { return Ok(None) };
    let wanted = done.into_iter().find(|told| told.system == asked.system);
    Ok(wanted.map(|told| paired(&book, told, Some(&typed.own))))
}

fn ending(taken: &Taken<'_>, mut problems: Problems, sources: Sources) -> Result<(), Compiled> {
    taken.tell(&mut problems, &sources);
    problems.sort(&sources);
    if problems.any_error() { Err(Compiled::failed(problems, sources)) } else { Ok(()) }
}

fn paired(book: &Book, told: Pairing, own: Option<&OwnTyped>) -> Paired {
    let json = match own.filter(|own| !own.is_nothing()) {
        Some(own) => with_own(&told.json, own),
        None => told.json,
    };
    let (brief, left_out) = brief::brief(&told.text, &book.words);
    let brief = if left_out { brief } else { String::new() };
    Paired { tones: tones(&told.guide), json, text: told.text, brief }
}

/// What is to be answered, in numbers of the book.
struct Asked {
    pairs: Vec<(usize, usize)>,
    /// The only one that is told.
    system: usize,
    /// What the rider said to have.
    own: Option<Own>,
}

fn asked(book: &Book, one: &OneTyped, problems: &mut Problems) -> Option<Asked> {
    let OneTyped { fork, system, own: typed } = one;
    let own = own::own(book, typed, problems);
    let pair = book.pair(fork, system, problems);
    let (own, (fork, system)) = (own?, pair?);
    if typed.is_nothing() {
        // With its neighbours: a guide tells how to come from them.
        let pairs = (0..book.rules.len()).map(|system| (fork, system)).collect();
        return Some(Asked { pairs, system, own: None });
    }
    let has_places = own.has_places(book, system, problems);
    has_places.then_some(Asked { pairs: vec![(fork, system)], system, own: Some(own) })
}

/// With what was said to be there, so that whoever reads it knows what it is an answer to.
fn with_own(json: &str, own: &OwnTyped) -> String {
    let mut pairing: serde_json::Value = serde_json::from_str(json).unwrap_or_default();
    pairing["own"] = own.json();
    pairing.to_string()
}

fn tones(guide: &Guide) -> Vec<(String, Tone)> {
    let tone = |verdict| match verdict {
        Verdict::Goes => Tone::Goes,
        Verdict::Measure => Tone::Measure,
        Verdict::No => Tone::No,
    };
    let answers = guide.answers.iter().map(|a| (a.verdict_words.clone(), tone(a.verdict)));
    let head = if guide.depends { Tone::Depends } else { tone(guide.verdict) };
    std::iter::once((guide.verdict_words.clone(), head)).chain(answers).collect()
}
