//! Why a page is as it is, as lines or as JSON. Knows how it is laid out, decides nothing.

use serde_json::json;

use super::clean_text::{clean, escaped_json};
use super::compile::tell_errors;
use super::{Ending, say};
use crate::base::{BookFiles, Problems, Sources};
use crate::compile::{Decision, Kept, Pair, Why, find_page, why};
use crate::publish::Published;

/// What was typed.
pub struct Asked<'a> {
    pub page: &'a str,
    pub json: bool,
}

/// The run that is asked about.
pub struct Run<'a> {
    pub files: &'a BookFiles,
    pub kept: &'a Kept,
    /// All of the site.
    pub pages: &'a [String],
}

/// So many answers are told one by one.
const MOST_ANSWERS: usize = 12;
/// So many things of a file are named.
const MOST_WHATS: usize = 6;

/// `published`: nothing where the run had nothing to do.
pub fn tell(run: &Run<'_>, published: Option<&Published>, asked: &Asked<'_>) -> Ending {
    let page = match find_page(asked.page, run.pages.iter()) {
        Ok(page) => page,
        Err(problem) => {
            tell_errors(&Problems(vec![*problem]), &Sources::default(), "no page is told of");
            return Ending::CommandLineWrong;
        }
    };
    // The book has no errors: it was compiled.
    let Some(why) = why(run.files, run.kept, page) else { return Ending::BookHasErrors };
    let written = published.map(|published| published.written.iter().any(|written| written == page));
    let lines = if asked.json { vec![json_line(page, written, &why)] } else { lines(page, written, &why) };
    say::results(lines.iter().map(String::as_str), Ending::Done)
}

fn lines(page: &str, written: Option<bool>, why: &Why) -> Vec<String> {
    let mut lines = vec![format!("{page}: {}", made(written))];
    if !why.answers.is_empty() {
        lines.extend(answers("answers on it", &why.answers));
        if !why.others.is_empty() {
            lines.extend(answers("answers that decide which other forks it names", &why.others));
        }
        if why.closes_with_sum {
            lines.push("it closes with a sum of all answers: the book has no edition of its own".into());
        }
        lines.push("these answers are made from:".into());
        for (path, whats) in &why.made_from {
            let what = match whats.len() {
                0 => String::new(),
                _ => format!(": {}", some(whats.iter().map(String::as_str), MOST_WHATS)),
            };
            lines.push(format!("  {path}{}{what}", built_in(why, path)));
        }
    }
    lines.push("and the page shows names, sentences and prose from:".into());
    lines.extend(why.shown_with.iter().map(|path| format!("  {path}{}", built_in(why, path))));
    lines.into_iter().map(|line| clean(&line).into_owned()).collect()
}

/// Those found anew first, the very first of them before all.
fn answers(what: &str, all: &[(Pair, Decision)]) -> Vec<String> {
    let anew = all.iter().filter(|(_, decision)| *decision != Decision::Kept).count();
    let mut told: Vec<_> = all.iter().enumerate().collect();
    told.sort_by_key(|(at, (_, decision))| (*at > 0 && *decision == Decision::Kept, *at));
    let mut lines = vec![format!("{what}: {}, {anew} of them found anew in this run", all.len())];
    for (_, ((fork, system), decision)) in told.iter().take(MOST_ANSWERS) {
        lines.push(format!("  {fork} with {system}: {}", decided(decision)));
    }
    let more = told.len().saturating_sub(MOST_ANSWERS);
    lines.extend((more > 0).then(|| format!("  and {more} more")));
    lines
}

/// Every run that has anything to do renders every page; its bytes decide whether it is written.
fn made(written: Option<bool>) -> &'static str {
    match written {
        None => "not made again; nothing that any page is made from has changed, and all lie in place",
        Some(true) => "made again and written; other bytes were in place, or none",
        Some(false) => "made again and not written; the same bytes are in place",
    }
}

fn decided(decision: &Decision) -> String {
    match decision {
        Decision::Kept => "kept; all that it is made from is as it was".into(),
        Decision::NothingKept => "found anew; no run of this program left it".into(),
        Decision::Others(pieces) if pieces.is_empty() => {
            "found anew; something that it was made from is gone".into()
        }
        Decision::Others(pieces) => {
            format!("found anew; new or changed: {}", some(pieces.iter().map(String::as_str), MOST_WHATS))
        }
    }
}

fn some<'a>(all: impl ExactSizeIterator<Item = &'a str>, most: usize) -> String {
    let more = all.len().saturating_sub(most);
    let first = all.take(most).collect::<Vec<_>>().join(", ");
    if more == 0 { first } else { format!("{first}, and {more} more") }
}

fn built_in(why: &Why, path: &str) -> &'static str {
    if why.built_in.contains(path) { " (comes with the program)" } else { "" }
}

fn json_line(page: &str, written: Option<bool>, why: &Why) -> String {
    let answer = |((fork, system), decision): &((String, String), Decision)| {
        let (found, because) = match decision {
            Decision::Kept => ("kept", vec![]),
            Decision::NothingKept => ("anew", vec![]),
            Decision::Others(pieces) => ("anew", pieces.clone()),
        };
        json!({ "fork": fork, "system": system, "found": found, "because": because })
    };
    let [answers, others] = [&why.answers, &why.others].map(|all| all.iter().map(answer).collect::<Vec<_>>());
    let made = match written {
        None => "nothing to do",
        Some(true) => "written",
        Some(false) => "unchanged",
    };
    let json = json!({
        "page": page, "made": made, "answers": answers, "others": others,
        "closes_with_sum": why.closes_with_sum, "made_from": why.made_from,
        "shown_with": why.shown_with, "built_in": why.built_in,
    });
    escaped_json(&json.to_string()).into_owned()
}
