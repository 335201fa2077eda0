//! What is doubtful in a book, from its answered pairings. Must not know what a doubt is.

use super::book::Book;
use super::pairings::Pairing;
use crate::base::Problem;
use crate::guide::{Doubter, MeasureRow};
use crate::solve::{Answer, ShopStrengths, doubts, to_measure};

pub fn doubts_of(book: &Book, pairings: &[Pairing]) -> Vec<Problem> {
    let (strengths, answers) = (ShopStrengths(&book.shop), answers(pairings));
    let found = doubts(&book.bench(&strengths), &book.shop, &answers);
    doubter(book, &answers).problems(&found)
}

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
