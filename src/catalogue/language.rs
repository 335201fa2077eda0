//! The language of a book, as a tag of BCP 47. Must not know any of its words.

use crate::base::{Problem, Problems, Table};

/// A tag of BCP 47, as far as its form goes.
pub(super) fn language(root: &Table, problems: &mut Problems) -> String {
    let Some(text) = root.text("language", problems) else { return "en".to_string() };
    let mut tags = text.value.split('-');
    let first =
        tags.next().is_some_and(|t| (2..=3).contains(&t.len()) && t.bytes().all(|b| b.is_ascii_lowercase()));
    let further = |t: &str| (1..=8).contains(&t.len()) && t.bytes().all(|b| b.is_ascii_alphanumeric());
    if !(first && tags.all(further)) {
        let plain = text.value.to_lowercase();
        let known = LANGUAGES.iter().find(|(_, names)| names.contains(&plain.as_str()));
        let tag = known.map_or("en", |(tag, _)| *tag);
        problems.push(
            Problem::error("language-misread", format!("\"{}\" is no language tag", text.value))
                .at(text.span, "")
                .note("expected a tag of BCP 47 in small letters: en, de, fr, pt-BR")
                .mend(format!("write language = \"{tag}\"")),
        );
    }
    text.value
}

/// Languages by their own names and their English ones.
const LANGUAGES: [(&str, &[&str]); 14] = [
    ("cs", &["čeština", "czech"]),
    ("da", &["dansk", "danish"]),
    ("de", &["deutsch", "german", "de"]),
    ("en", &["english", "eng", "en"]),
    ("es", &["español", "espanol", "spanish"]),
    ("fi", &["suomi", "finnish"]),
    ("fr", &["français", "francais", "french", "fr"]),
    ("it", &["italiano", "italian"]),
    ("ja", &["日本語", "japanese"]),
    ("nb", &["norsk", "norwegian"]),
    ("nl", &["nederlands", "dutch"]),
    ("pl", &["polski", "polish"]),
    ("pt", &["português", "portugues", "portuguese"]),
    ("sv", &["svenska", "swedish"]),
];
