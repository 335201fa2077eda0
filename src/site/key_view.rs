//! What the page of the key to an unknown fork shows. Must not know a template, nor how the key was found.

use serde::Serialize;

use super::index_view::GuideLink;
use super::links::{KEY, fork_path};
use super::pages::Book;
use crate::guide::{AnswerText, ClassText, KeyText, QuestionText, To};

#[derive(Serialize)]
pub(super) struct KeyView<'a> {
    about: &'a [String],
    questions: Vec<QuestionView<'a>>,
    classes: Vec<ClassView<'a>>,
}

#[derive(Serialize)]
struct QuestionView<'a> {
    number: usize,
    ask: &'a str,
    is_reading: bool,
    text: &'a str,
    caliper: Option<&'a str>,
    note: Option<&'a str>,
    answers: Vec<AnswerView<'a>>,
}

#[derive(Serialize)]
struct AnswerView<'a> {
    text: &'a str,
    seen: Option<&'static str>,
    from: Option<i64>,
    below: Option<i64>,
    /// Exactly one of these two.
    question: Option<usize>,
    class: Option<ClassLink<'a>>,
}

/// A class by its letter, for a place on the key's page.
#[derive(Serialize)]
pub(super) struct ClassLink<'a> {
    letter: &'a str,
    name: &'a str,
    href: String,
}

#[derive(Serialize)]
struct ClassView<'a> {
    letter: &'a str,
    name: &'a str,
    readings: Vec<RangeView<'a>>,
    looks: &'a [String],
    forks: Vec<ClassForkView<'a>>,
}

#[derive(Serialize)]
struct RangeView<'a> {
    name: &'a str,
    range: &'a str,
}

#[derive(Serialize)]
struct ClassForkView<'a> {
    name: &'a str,
    tell: Option<&'a str>,
    href: String,
    guides: Vec<GuideLink<'a>>,
}

impl<'a> KeyView<'a> {
    pub fn of(book: &'a Book<'a>) -> KeyView<'a> {
        let key = &book.key;
        KeyView {
            about: &key.about,
            questions: key.questions.iter().map(|q| QuestionView::of(key, q)).collect(),
            classes: key.classes.iter().map(|c| ClassView::of(book, c)).collect(),
        }
    }
}

impl<'a> QuestionView<'a> {
    fn of(key: &'a KeyText, question: &'a QuestionText) -> QuestionView<'a> {
        QuestionView {
            number: question.number,
            ask: &question.ask,
            is_reading: question.is_reading,
            text: &question.text,
            caliper: question.caliper.as_deref(),
            note: question.note.as_deref(),
            answers: question.answers.iter().map(|a| AnswerView::of(key, a)).collect(),
        }
    }
}

impl<'a> AnswerView<'a> {
    fn of(key: &'a KeyText, answer: &'a AnswerText) -> AnswerView<'a> {
        let (question, class) = match answer.to {
            To::Question(number) => (Some(number), None),
            To::Class(index) => (None, key.classes.get(index).map(ClassLink::to)),
        };
        AnswerView {
            text: &answer.text,
            seen: answer.seen,
            from: answer.from,
            below: answer.below,
            question,
            class,
        }
    }
}

impl<'a> ClassLink<'a> {
    fn to(class: &'a ClassText) -> ClassLink<'a> {
        let href = format!("{KEY}#class-{}", class.letter);
        ClassLink { letter: &class.letter, name: &class.name, href }
    }

    /// Every class that some revision of the fork is in.
    pub fn of_fork(key: &'a KeyText, fork: &str) -> Vec<ClassLink<'a>> {
        let holds = |c: &&ClassText| c.forks.iter().any(|f| f.part_id == fork);
        key.classes.iter().filter(holds).map(ClassLink::to).collect()
    }
}

impl<'a> ClassView<'a> {
    fn of(book: &'a Book<'a>, class: &'a ClassText) -> ClassView<'a> {
        let fork = |fork: &'a crate::guide::ClassFork| ClassForkView {
            name: &fork.name,
            tell: fork.tell.as_deref(),
            href: fork_path(&fork.part_id),
            guides: book.guides_where(|g| g.fork_id == fork.part_id),
        };
        ClassView {
            letter: &class.letter,
            name: &class.name,
            readings: class.readings.iter().map(|(name, range)| RangeView { name, range }).collect(),
            looks: &class.looks,
            forks: class.forks.iter().map(fork).collect(),
        }
    }
}
