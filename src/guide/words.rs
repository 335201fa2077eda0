//! The sentences a rider reads, by key: our own, and a book's own over them. Must not know when which is said.

use std::collections::BTreeMap;

use super::template::{Fault, Template};
use crate::base::{Document, Entry, FileId, Problem, Problems, Sources, Span, suggest};
use crate::rules::Rule;

const OWN: &str = include_str!("../../content/words/en.toml");

/// Sections in which a book may add names of its own.
const OPEN: [&str; 4] = ["slot", "dim", "surface", "lost"];

/// Sentences and single words. Every key of our own is there, in the book's language or else in English.
#[derive(Clone, Debug, PartialEq)]
pub struct Words {
    language: String,
    texts: BTreeMap<String, Template>,
}

/// What a sentence's places are filled with. A place not in the list has no value.
pub type Values<'a> = &'a [(&'a str, &'a str)];

impl Words {
    /// The English words that every book starts from.
    pub fn own() -> Words {
        Words::own_with_problems().0
    }

    /// The same for a book in another language that has no words of its own: prices are written as there.
    pub fn own_in(language: &str) -> Words {
        Words { language: language.to_owned(), ..Words::own() }
    }

    fn own_with_problems() -> (Words, Problems) {
        let mut sources = Sources::default();
        let file = sources.add("content/words/en.toml", OWN);
        let mut problems = Problems::default();
        let texts = leaves(&sources, file, &mut problems)
            .into_iter()
            .filter_map(|leaf| Some((leaf.key, Template::read(&leaf.text).ok()?)))
            .collect();
        (Words { language: "en".to_owned(), texts }, problems)
    }

    /// The book's own words over ours, key by key. Refused, each at its place: a key that nothing reads, a place
    /// that the sentence is never given, a bracket without its partner.
    pub fn read(sources: &Sources, file: FileId, language: &str, problems: &mut Problems) -> Words {
        let own = Words::own();
        let mut words = Words { language: language.to_owned(), texts: own.texts.clone() };
        for leaf in leaves(sources, file, problems) {
            if let Some(template) = own.accept(&leaf, problems) {
                words.texts.insert(leaf.key, template);
            }
        }
        words
    }

    fn accept(&self, leaf: &Leaf, problems: &mut Problems) -> Option<Template> {
        let known = self.texts.get(&leaf.key);
        if known.is_none() && !OPEN.iter().any(|section| leaf.is_in(section)) {
            let fact = format!("nothing reads the words `{}`", leaf.key);
            let problem = Problem::error("words-key-unknown", fact).at(leaf.key_span, "this key");
            let near = suggest(&leaf.key, self.texts.keys().map(String::as_str));
            problems.push(match near {
                Some(near) => problem.mend(format!("write `{near}`")),
                None => problem.mend("take the line out"),
            });
            return None;
        }
        let template = match Template::read(&leaf.text) {
            Ok(template) => template,
            Err(fault) => {
                problems.push(faulty("words-bracket", &fault).at(leaf.span, "in this sentence"));
                return None;
            }
        };
        let allowed: Vec<&str> = known.map(|t| t.places()).unwrap_or_default();
        let strange = template.places().into_iter().find(|place| !allowed.contains(place)).map(str::to_owned);
        match strange {
            Some(place) => {
                problems.push(unknown_place("words-place-unknown", &place, &allowed).at(leaf.span, "here"));
                None
            }
            None => Some(template),
        }
    }

    /// Tag of the language these are in, as the book names it.
    pub fn language(&self) -> &str {
        &self.language
    }

    pub fn has(&self, key: &str) -> bool {
        self.texts.contains_key(key)
    }

    /// Names in a section, in order.
    pub fn keys_in(&self, section: &str) -> Vec<&str> {
        let inside = |key: &'_ String| key.strip_prefix(section)?.strip_prefix('.').map(str::len);
        self.texts.keys().filter_map(|key| Some(&key[key.len() - inside(key)?..])).collect()
    }

    /// The sentence, filled. A key or value that is not there shows as `{…}`: tests look for it.
    pub fn say(&self, key: &str, values: Values) -> String {
        self.try_say(key, values).unwrap_or_else(|what| format!("{{{what}}}"))
    }

    /// The first of these sentences that there is and that can be filled.
    pub fn first_said(&self, keys: &[&str], values: Values) -> Option<String> {
        keys.iter().find_map(|key| self.try_say(key, values).ok())
    }

    /// The words under a key without places.
    pub fn word(&self, key: &str) -> String {
        self.say(key, &[])
    }

    /// The words of the first key that there is.
    pub fn first(&self, keys: &[&str]) -> Option<String> {
        keys.iter().find(|key| self.has(key)).map(|key| self.word(key))
    }

    /// The sentence for so many of a thing: `KEY.none` where there is one, `KEY.one`, else `KEY.many`.
    pub fn counted(&self, key: &str, count: u32, values: Values) -> String {
        let form = match count {
            0 if self.has(&format!("{key}.none")) => "none",
            1 => "one",
            _ => "many",
        };
        let number = count.to_string();
        let mut all = vec![("count", number.as_str())];
        all.extend_from_slice(values);
        self.say(&format!("{key}.{form}"), &all)
    }

    /// Joins with `list.KEY`.
    pub fn joined(&self, key: &str, texts: &[String]) -> String {
        texts.join(&self.word(&format!("list.{key}")))
    }

    /// A clamp system as shops call it, then what it is: "HIC (wide shim)". The name alone where it has no short one.
    pub fn system(&self, rule: &Rule) -> String {
        match rule.short.first() {
            None => rule.name.clone(),
            Some(short) => self.say("item.named", &[("word", &capital(short)), ("name", &small(&rule.name))]),
        }
    }

    fn try_say(&self, key: &str, values: Values) -> Result<String, String> {
        let template = self.texts.get(key).ok_or_else(|| key.to_owned())?;
        template.fill(&|name| values.iter().find(|(n, _)| *n == name).map(|(_, v)| (*v).to_owned()))
    }
}

/// First letter large: for a sentence that was put together.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// First letter small, for inside a sentence; a name in capitals stays as it is.
fn small(name: &str) -> String {
    let mut letters = name.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(first), Some(second)) if !second.is_uppercase() => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => name.to_owned(),
    }
}

/// A sentence in a rule file that cannot be read, or names a place that is never filled.
pub fn check_sentence(text: &str, allowed: &[&str], span: Span, problems: &mut Problems) {
    match Template::read(text) {
        Err(fault) => problems.push(faulty("sentence-bracket", &fault).at(span, "in this sentence")),
        Ok(template) => {
            if let Some(place) = template.places().into_iter().find(|place| !allowed.contains(place)) {
                problems.push(unknown_place("sentence-place-unknown", place, allowed).at(span, "here"));
            }
        }
    }
}

fn faulty(code: &'static str, fault: &Fault) -> Problem {
    Problem::error(code, fault.fact.clone()).mend(fault.mend)
}

fn unknown_place(code: &'static str, place: &str, allowed: &[&str]) -> Problem {
    let problem = Problem::error(code, format!("`{{{place}}}` is never filled in here"));
    let problem = match allowed {
        [] => problem.note("this sentence has nothing to be filled in"),
        _ => problem.note(format!("may be used: {{{}}}", allowed.join("} {"))),
    };
    match suggest(place, allowed.iter().copied()) {
        Some(near) => problem.mend(format!("write `{{{near}}}`")),
        None => problem.mend("take it out; for a printed bracket write it twice"),
    }
}

struct Leaf {
    key: String,
    text: String,
    span: Span,
    key_span: Span,
}

impl Leaf {
    fn is_in(&self, section: &str) -> bool {
        self.key.strip_prefix(section).is_some_and(|rest| rest.starts_with('.'))
    }
}

/// Every text of the file under its dotted key.
fn leaves(sources: &Sources, file: FileId, problems: &mut Problems) -> Vec<Leaf> {
    fn walk(prefix: &str, entries: Vec<(String, Entry)>, found: &mut Vec<Leaf>, problems: &mut Problems) {
        for (name, entry) in entries {
            let key = if prefix.is_empty() { name } else { format!("{prefix}.{name}") };
            if entry.is_table() {
                let inner = entry.table(problems).map(|t| t.all()).unwrap_or_default();
                walk(&key, inner, found, problems);
            } else if let Some(text) = entry.text(problems) {
                found.push(Leaf { key, text: text.value, span: entry.span, key_span: entry.key });
            }
        }
    }
    let document = Document::parse(sources, file, problems);
    let mut found = vec![];
    walk("", document.root().all(), &mut found, problems);
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (Words, Problems, Sources) {
        let mut sources = Sources::default();
        let file = sources.add("content/words/de.toml", text);
        let mut problems = Problems::default();
        let words = Words::read(&sources, file, "de", &mut problems);
        (words, problems, sources)
    }

    fn only(text: &str) -> (Problem, String) {
        let (_, problems, sources) = read(text);
        assert_eq!(problems.0.len(), 1, "{problems:?}");
        let problem = problems.0[0].clone();
        let at = sources.text_at(problem.places[0].span).to_owned();
        (problem, at)
    }

    #[test]
    fn every_sentence_of_our_own_can_be_read() {
        let (words, problems) = Words::own_with_problems();
        assert_eq!(problems.0, []);
        let mut sources = Sources::default();
        let file = sources.add("content/words/en.toml", OWN);
        for leaf in leaves(&sources, file, &mut Problems::default()) {
            assert!(words.has(&leaf.key), "{}", leaf.key);
        }
    }

    #[test]
    fn every_kind_mark_and_dimension_has_words() {
        use crate::kinds::{END_FEATURES, UNTOLD};
        let words = Words::own();
        let mut keys = vec![];
        for kind in crate::kinds::all() {
            keys.extend(["one", "many"].map(|form| format!("kind.{}.{form}", kind.name)));
            for mark in kind.marks.iter().chain(&END_FEATURES).chain([&UNTOLD]) {
                keys.extend(["up", "down"].map(|side| format!("way.{mark}.{side}")));
            }
            let dimension =
                |f: &&crate::kinds::Field| matches!(f.what, crate::kinds::FieldType::Dimension(_));
            keys.extend(kind.fields.iter().filter(dimension).map(|field| format!("dim.{}", field.name)));
        }
        keys.retain(|key| !words.has(key));
        assert_eq!(keys, Vec::<String>::new());
    }

    #[test]
    fn every_check_has_a_name() {
        use crate::assembly::Demand::*;
        let slot = crate::rules::SlotIx(0);
        let words = Words::own();
        let by_slot = [
            Lands(slot),
            RestsOn(slot),
            Seat(slot),
            RingCloses(slot),
            Height(slot),
            Insertion(slot),
            Kept(slot),
            KeyWay(slot),
        ];
        let by_number = [
            SleeveClearance(0),
            SleeveOverlap(0),
            Tightness(0),
            ThreadMatch(0),
            Engagement(0),
            Spare(0),
            GripLength(0),
            GripPinch(0),
            GripCloses(0),
            SlitReach(0),
            Slit(0),
            SlitBare(0),
            StandsOut(0),
            Size(0),
        ];
        for demand in by_slot.into_iter().chain(by_number).chain([Path, GapLeast, Still]) {
            assert!(words.has(&format!("check.{}", demand.word())), "{}", demand.word());
        }
    }

    #[test]
    fn a_books_words_take_the_place_of_ours_key_by_key() {
        let (words, problems, _) = read("[verdict]\ngoes = \"Passt\"\n[slot]\nthin-shim = \"dünne Hülse\"\n");
        assert_eq!(problems.0, []);
        assert_eq!(words.word("verdict.goes"), "Passt");
        assert_eq!(words.word("verdict.no"), "Does not go");
        assert_eq!(words.word("slot.thin-shim"), "dünne Hülse");
        assert_eq!(words.language(), "de");
    }

    #[test]
    fn an_unknown_key_is_told_with_the_nearest_one() {
        let (problem, at) = only("[verdict]\ngose = \"Passt\"\n");
        assert_eq!((problem.code, at.as_str()), ("words-key-unknown", "gose"));
        assert_eq!(problem.mend, "write `verdict.goes`");
    }

    #[test]
    fn a_place_that_is_never_filled_is_told_with_the_nearest_one() {
        let (problem, at) = only("[length]\nrange = \"{leest} bis {most} mm\"\n");
        assert_eq!((problem.code, at.as_str()), ("words-place-unknown", "\"{leest} bis {most} mm\""));
        assert_eq!(problem.mend, "write `{least}`");
    }

    #[test]
    fn a_refused_sentence_leaves_ours_standing() {
        let (words, problems, _) = read("[verdict]\ngoes = \"Passt {\"\n");
        assert_eq!(problems.0.len(), 1);
        assert_eq!(words.word("verdict.goes"), "Goes");
    }

    #[test]
    fn a_count_chooses_the_form() {
        let words = Words::own();
        let say = |n| words.counted("funnel.start", n, &[("kind", "shims")]);
        assert_eq!([say(0), say(9)], ["no shims in the book", "9 shims in the book"]);
    }
}
