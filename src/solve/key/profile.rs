//! What a caliper may read on each fork of the book, and what is seen on it. Must not know thresholds.

use super::{Ask, Look};
use crate::catalogue::{Catalogue, VariantIx};
use crate::kinds::{BARE_LOOKS, BARE_READINGS, BARE_THREADS, BareReading, Shape, insert_is_closed};
use crate::quantity::{Caliper, Origin, Thread};

/// What one question gives on one fork.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gives {
    /// The question has no meaning on this fork.
    Nothing,
    /// It has an answer, but the book does not know it: any.
    Anything,
    Seen(bool),
    /// Whatever a caliper may read, its error included; nanometres.
    Reads {
        least: i64,
        most: i64,
        assumed: bool,
    },
}

/// A question with the error of its reading, nanometres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Question {
    pub ask: Ask,
    pub caliper: i64,
}

/// Forks that give the same to every question, with what they give, question by question.
#[derive(Clone, Debug)]
pub struct Profile {
    pub forks: Vec<VariantIx>,
    pub gives: Vec<Gives>,
}

pub struct Profiles {
    pub questions: Vec<Question>,
    pub all: Vec<Profile>,
}

pub fn profiles(catalogue: &Catalogue, caliper: Caliper, forks: &[VariantIx]) -> Profiles {
    let shapes: Vec<&Shape> = forks.iter().map(|&f| &catalogue.variant(f).shape).collect();
    let mut questions: Vec<Question> =
        looks(&shapes).into_iter().map(|look| Question { ask: Ask::See(look), caliper: 0 }).collect();
    questions.extend(BARE_READINGS.iter().map(|r| Question { ask: Ask::Read(r.field), caliper: 0 }));
    let mut all: Vec<Profile> = vec![];
    for (&fork, shape) in forks.iter().zip(&shapes) {
        let gives: Vec<Gives> = questions.iter_mut().map(|q| gives(shape, q, caliper)).collect();
        match all.iter_mut().find(|p| p.gives == gives) {
            Some(same) => same.forks.push(fork),
            None => all.push(Profile { forks: vec![fork], gives }),
        }
    }
    Profiles { questions, all }
}

/// Every look that some fork could answer otherwise than another.
fn looks(shapes: &[&Shape]) -> Vec<Look> {
    let mut looks: Vec<Look> = BARE_LOOKS.into_iter().map(Look::Has).collect();
    for surface in BARE_THREADS {
        let mut threads: Vec<Thread> = shapes.iter().filter_map(|s| thread_on(s, surface)).collect();
        threads.sort();
        threads.dedup();
        // With one thread in the book there is nothing to try; with two, one try tells both.
        let tried = threads.len().saturating_sub(1);
        looks.extend(threads.into_iter().take(tried).map(|thread| Look::Thread(surface, thread)));
    }
    looks.push(Look::InsertClosed);
    looks
}

fn thread_on(shape: &Shape, surface: &str) -> Option<Thread> {
    shape.features.threads.iter().find(|t| t.surface == surface).map(|t| t.thread)
}

/// Notes the caliper's error in the question when it first meets the size.
fn gives(shape: &Shape, question: &mut Question, caliper: Caliper) -> Gives {
    match question.ask {
        Ask::See(look) => seen(shape, look),
        Ask::Read(field) => match BARE_READINGS.iter().find(|r| r.field == field) {
            Some(reading) => reads(shape, reading, question, caliper),
            None => Gives::Nothing,
        },
    }
}

pub fn seen(shape: &Shape, look: Look) -> Gives {
    let seen = match look {
        Look::Has(surface) => Some(shape.has_surface(surface)),
        Look::Thread(surface, thread) => thread_on(shape, surface).map(|own| own == thread),
        Look::InsertClosed => insert_is_closed(shape),
    };
    seen.map_or(Gives::Nothing, Gives::Seen)
}

fn reads(shape: &Shape, reading: &BareReading, question: &mut Question, caliper: Caliper) -> Gives {
    if reading.carried_by.is_some_and(|surface| !shape.has_surface(surface)) {
        return Gives::Nothing;
    }
    let Some(dim) = shape.dims.iter().find(|d| d.name == reading.field) else { return Gives::Anything };
    question.caliper = caliper.uncertainty(dim.nature).as_nm();
    let ends = dim.ends();
    Gives::Reads {
        least: ends.least - question.caliper,
        most: ends.most + question.caliper,
        assumed: dim.dimension.origin == Origin::Assumed,
    }
}
