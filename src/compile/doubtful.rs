//! What is doubtful in a book, from its answered pairings. Must not know what a doubt is.

use super::book::Book;
use super::pairings::Pairing;
use crate::base::Problem;
use crate::catalogue::{Part, PartIx};
use crate::guide::{Doubter, MeasureRow};
use crate::kinds::{self, Known};
use crate::solve::{Answer, ShopStrengths, doubts, to_measure};

pub fn doubts_of(book: &Book, pairings: &[Pairing]) -> Vec<Problem> {
    let (strengths, answers) = (ShopStrengths(&book.shop), answers(pairings));
    let found = doubts(&book.bench(&strengths), &book.shop, &answers);
    let mut problems = doubter(book, &answers).problems(&found);
    why_not(book, pairings, &mut problems);
    problems
}

/// A fork that goes with nothing is told with what each system says of it in a line, and with the part that would change most:
/// the one that would do for the first system which lacks no more than a part.
fn why_not(book: &Book, pairings: &[Pairing], problems: &mut [Problem]) {
    for problem in problems.iter_mut().filter(|p| p.code == "fork-unused") {
        let at = problem.places.first().map(|place| place.span);
        let fork = book.forks.iter().map(|ix| book.catalogue.part(*ix)).find(|fork| Some(fork.span) == at);
        let of = |p: &&Pairing| fork.is_some_and(|fork| p.guide.fork_id == fork.id);
        let own: Vec<&Pairing> = pairings.iter().filter(of).collect();
        problem.notes.extend(own.iter().map(|p| format!("{}: {}", p.guide.system_name, p.guide.summary)));
        let wanted = own.iter().find_map(|p| {
            let part = p.guide.answers.iter().flat_map(|answer| &answer.wanted).next()?;
            Some((p.guide.system_name.as_str(), part.as_str()))
        });
        problem.notes.push(match wanted {
            Some((system, part)) => {
                book.words.say("doubt.fork-wanted", &[("system", system), ("part", part)])
            }
            None => book.words.word("doubt.fork-no-part"),
        });
    }
}

/// Parts that nobody can buy, told together: neither sold loose nor in a box, nor what the rider brings or rides.
pub fn cannot_be_had(book: &Book) -> Option<Problem> {
    let brought = |kind: &str| {
        let slots = book.rules.iter().flat_map(|rule| &rule.slots);
        kinds::is(kind, Known::Fork)
            || slots.into_iter().any(|slot| slot.brought && slot.kinds.contains(&kind))
    };
    let lost = |(index, part): &(usize, &Part)| {
        let ix = PartIx(*index as u32);
        !part.loose && !brought(part.kind) && book.catalogue.boxes_with(ix).next().is_none()
    };
    let lost: Vec<&Part> =
        book.catalogue.parts.iter().enumerate().filter(lost).map(|(_, part)| part).collect();
    let first = lost.first()?;
    let fact = match lost.len() {
        1 => format!("nobody can buy {}: no plan will have it", first.id),
        count => format!("nobody can buy {count} parts of the book: no plan will have them"),
    };
    let problem = Problem::warning("part-cannot-be-had", fact);
    let problem =
        lost.iter().take(TOLD).fold(problem, |problem, part| problem.at(part.span, part.id.clone()));
    let problem = problem.note("they have no price, do not say loose = true, and are in no box");
    Some(
        problem
            .mend("write a price or loose = true, give them a row in parts/stock.csv, or list them in a box"),
    )
}

/// More places than this nobody looks at one by one.
const TOLD: usize = 5;

pub fn measuring_list(book: &Book, pairings: &[Pairing]) -> Vec<MeasureRow> {
    let (strengths, answers) = (ShopStrengths(&book.shop), answers(pairings));
    let list = to_measure(&book.bench(&strengths), &answers);
    doubter(book, &answers).measuring_list(&list)
}

fn answers(pairings: &[Pairing]) -> Vec<&[Answer]> {
    pairings.iter().map(|p| p.answers.as_slice()).collect()
}

fn doubter<'a>(book: &'a Book, answers: &[&'a [Answer]]) -> Doubter<'a> {
    let telling = book.telling();
    Doubter::new(telling, &book.shop, answers)
}
