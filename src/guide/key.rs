//! The key to an unknown fork as finished text: questions, answers, and what each class must agree with. Must not
//! compute the key.

use super::bench::Book;
use super::lengths::Lengths;
use super::words::Words;
use crate::catalogue::VariantIx;
use crate::quantity::Caliper;
use crate::solve::{Ask, ForkKey, Found, KeyClass, KeyEnd, KeyQuestion, Look, fork_key};

/// The whole key, ready to be printed.
#[derive(Clone, Debug, PartialEq)]
pub struct KeyText {
    /// How much it asks at most and on average; whether it is the shortest; how far the caliper must open.
    pub about: Vec<String>,
    pub questions: Vec<QuestionText>,
    pub classes: Vec<ClassText>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct QuestionText {
    /// From 1.
    pub number: usize,
    /// Stable: `see thread`, `try insert-thread M8`, `read steerer_length`.
    pub ask: String,
    pub is_reading: bool,
    pub text: String,
    /// How far the caliper may be off, for a reading.
    pub caliper: Option<String>,
    pub note: Option<String>,
    pub answers: Vec<AnswerText>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct AnswerText {
    pub text: String,
    /// Stable: `yes`, `no`, or nothing for a reading.
    pub seen: Option<&'static str>,
    /// Nanometres: `from` included, `below` not.
    pub from: Option<i64>,
    pub below: Option<i64>,
    pub to: To,
}

#[derive(Clone, Debug, PartialEq)]
pub enum To {
    /// Number of a question.
    Question(usize),
    /// Index into the classes.
    Class(usize),
}

#[derive(Clone, Debug, PartialEq)]
pub struct ClassText {
    /// `A`, `B`, … `Z`, `AA`: in the order in which the key reaches them.
    pub letter: String,
    /// "Heron fork or Dipper fork, revision 2"
    pub name: String,
    pub forks: Vec<ClassFork>,
    /// Size and range that a caliper must read on it.
    pub readings: Vec<(String, String)>,
    pub looks: Vec<String>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct ClassFork {
    pub part_id: String,
    pub name: String,
    /// How to tell its revision from the others, where the data says.
    pub tell: Option<String>,
}

pub fn key_text(book: &Book, caliper: Caliper) -> KeyText {
    let key = fork_key(book.catalogue, caliper);
    let teller = Teller { book, words: book.words, lengths: Lengths { words: book.words } };
    KeyText {
        about: teller.about(&key),
        questions: key.questions.iter().enumerate().map(|(i, q)| teller.question(i, q)).collect(),
        classes: key.classes.iter().enumerate().map(|(i, c)| teller.class(i, c)).collect(),
    }
}

struct Teller<'a> {
    book: &'a Book<'a>,
    words: &'a Words,
    lengths: Lengths<'a>,
}

impl Teller<'_> {
    fn about(&self, key: &ForkKey) -> Vec<String> {
        let tenths = (key.all_steps * 10 + key.forks / 2).checked_div(key.forks).unwrap_or(0);
        let average = format!("{}{}{}", tenths / 10, self.words.word("number.decimal"), tenths % 10);
        let most = u32::try_from(key.most_steps).unwrap_or(u32::MAX);
        let mut about = vec![self.words.counted("key.most", most, &[("average", &average)])];
        if key.most_steps > 0 {
            let proof = if key.proved_shortest { "key.shortest" } else { "key.unproved" };
            about.push(self.words.word(proof));
        }
        let bounds = key.questions.iter().flat_map(|q| &q.answers).filter_map(|(found, _)| match found {
            Found::Reads { from, .. } => *from,
            Found::Seen(_) => None,
        });
        about.extend(bounds.max().map(|reach| {
            let reach = self.lengths.exact(reach);
            self.words.say("key.reach", &[("reach", &reach)])
        }));
        about
    }

    fn question(&self, index: usize, question: &KeyQuestion) -> QuestionText {
        let (ask, text) = match question.ask {
            Ask::See(Look::Thread(surface, thread)) => {
                let thread = thread.to_string();
                let text = self.words.say(&format!("key.try.{surface}"), &[("thread", &thread)]);
                (format!("try {surface} {thread}"), text)
            }
            Ask::See(look) => {
                let name = look_name(look);
                (format!("see {name}"), self.words.word(&format!("key.see.{name}")))
            }
            Ask::Read(field) => (format!("read {field}"), self.words.word(&format!("key.read.{field}"))),
        };
        let is_reading = matches!(question.ask, Ask::Read(_));
        let off = self.lengths.exact(question.caliper);
        QuestionText {
            number: index + 1,
            ask,
            is_reading,
            text,
            caliper: is_reading.then(|| self.words.say("key.caliper", &[("caliper", &off)])),
            note: question.assumed.then(|| self.words.word("key.assumed")),
            answers: question.answers.iter().map(|&(found, end)| self.answer(found, end)).collect(),
        }
    }

    fn answer(&self, found: Found, end: KeyEnd) -> AnswerText {
        let to = match end {
            KeyEnd::Question(index) => To::Question(index + 1),
            KeyEnd::Class(index) => To::Class(index),
        };
        match found {
            Found::Seen(seen) => {
                let word = if seen { "yes" } else { "no" };
                let text = self.words.word(&format!("key.{word}"));
                AnswerText { text, seen: Some(word), from: None, below: None, to }
            }
            Found::Reads { from, below } => {
                AnswerText { text: self.zone(from, below), seen: None, from, below, to }
            }
        }
    }

    fn zone(&self, from: Option<i64>, below: Option<i64>) -> String {
        let (from, below) = (from.map(|v| self.lengths.exact(v)), below.map(|v| self.lengths.exact(v)));
        let key = match (&from, &below) {
            (Some(_), Some(_)) => "key.between",
            (Some(_), None) => "key.from",
            _ => "key.under",
        };
        let mut values = vec![];
        values.extend(from.as_deref().map(|v| ("from", v)));
        values.extend(below.as_deref().map(|v| ("below", v)));
        self.words.say(key, &values)
    }

    fn class(&self, index: usize, class: &KeyClass) -> ClassText {
        let forks: Vec<ClassFork> = class.forks.iter().map(|&f| self.fork(f)).collect();
        let names: Vec<String> = forks.iter().map(|f| f.name.clone()).collect();
        let dim = |field: &str| self.words.first(&[&format!("dim.{field}")]).unwrap_or(field.to_owned());
        ClassText {
            letter: letter(index),
            name: names.join(&self.words.word("key.or")),
            forks,
            readings: class
                .readings
                .iter()
                .map(|r| (dim(r.field), self.lengths.outward(r.least, r.most)))
                .collect(),
            looks: class.looks.iter().map(|&(look, seen)| self.fact(look, seen)).collect(),
        }
    }

    fn fork(&self, fork: VariantIx) -> ClassFork {
        let part = self.book.catalogue.part_of(fork);
        let revision = self.book.catalogue.variant(fork).revision.as_ref();
        let mut values = vec![("name", part.name.as_str())];
        values.extend(revision.map(|r| ("revision", r.id.as_str())));
        ClassFork {
            part_id: part.id.clone(),
            name: self.words.say("key.fork", &values),
            tell: revision.and_then(|r| r.tell.clone()),
        }
    }

    fn fact(&self, look: Look, seen: bool) -> String {
        let side = if seen { "yes" } else { "no" };
        match look {
            Look::Thread(_, thread) => {
                self.words.say(&format!("key.fact.try.{side}"), &[("thread", &thread.to_string())])
            }
            look => self.words.word(&format!("key.fact.{}.{side}", look_name(look))),
        }
    }
}

fn look_name(look: Look) -> &'static str {
    match look {
        Look::Has(surface) | Look::Thread(surface, _) => surface,
        Look::InsertClosed => "insert-closed",
    }
}

/// `A` to `Z`, then `AA`.
fn letter(index: usize) -> String {
    let last = char::from(b'A' + (index % 26) as u8);
    match index / 26 {
        0 => last.to_string(),
        before => format!("{}{last}", letter(before - 1)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kinds::{BARE_LOOKS, BARE_READINGS, BARE_THREADS};

    #[test]
    fn everything_that_can_be_asked_of_a_fork_has_words() {
        let words = Words::own();
        let mut keys: Vec<String> =
            BARE_READINGS.iter().map(|reading| format!("key.read.{}", reading.field)).collect();
        keys.extend(BARE_THREADS.iter().map(|surface| format!("key.try.{surface}")));
        for look in BARE_LOOKS.iter().copied().chain(["insert-closed"]) {
            keys.push(format!("key.see.{look}"));
            keys.extend(["yes", "no"].map(|side| format!("key.fact.{look}.{side}")));
        }
        keys.retain(|key| !words.has(key));
        assert_eq!(keys, Vec::<String>::new());
    }

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!([0, 25, 26, 52].map(letter), ["A", "Z", "AA", "BA"]);
    }
}
