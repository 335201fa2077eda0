//! What to say of text that is no TOML, and how to read on past it. Knows no field.

use std::ops::Range;

use toml::de::DeTable;

use super::{Problem, Span};

/// The line that holds a byte, without its end.
pub(super) fn line_of(text: &str, at: usize) -> Range<usize> {
    let at = at.min(text.len());
    let start = text.as_bytes()[..at].iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
    let end = text.as_bytes()[at..].iter().position(|b| *b == b'\n').map_or(text.len(), |i| at + i);
    start..end
}

/// Where nothing stands at the very place, the rest of its line, or all of it.
pub(super) fn shown(text: &str, at: &Range<usize>, line: Range<usize>) -> Range<usize> {
    if !at.is_empty() {
        return at.clone();
    }
    let rest = text.get(at.start..line.end).unwrap_or("").trim_end();
    if !rest.is_empty() {
        return at.start..at.start + rest.len();
    }
    let whole = text.get(line.clone()).unwrap_or("");
    line.start + (whole.len() - whole.trim_start().len())..line.start + whole.trim_end().len()
}

/// The parser stops at some errors, and what follows would seem not to be there. So the broken lines are taken for
/// blank ones of the same length, as often as it takes; places stay what they are.
pub(super) fn without_lines(text: &str, broken: &[Range<usize>]) -> String {
    let mut readable = text.to_string();
    let mut broken = broken.to_vec();
    for _ in 0..50 {
        let mut bytes = readable.into_bytes();
        for at in &broken {
            let lines = line_of(text, at.start).start..line_of(text, at.end).end;
            bytes[lines].iter_mut().filter(|b| !matches!(**b, b'\n' | b'\r')).for_each(|b| *b = b' ');
        }
        // Whole lines of one text are replaced, so it stays UTF-8.
        readable = String::from_utf8(bytes).unwrap_or_default();
        let (_, errors) = DeTable::parse_recoverable(&readable);
        if errors.is_empty() {
            break;
        }
        broken = errors.iter().map(|e| e.span().unwrap_or(0..0)).collect();
    }
    readable
}

pub(super) fn syntax_problem(span: Span, message: &str, line: &str) -> Problem {
    let (fact, expected) = message.split_once(", expected ").map_or((message, None), |(f, e)| (f, Some(e)));
    let problem = Problem::error("toml-syntax", fact).at(span, "not TOML from here");
    let problem = match expected {
        Some(expected) if expected != "nothing" => problem.note(format!("expected {expected}")),
        _ => problem,
    };
    let line = line.split('#').next().unwrap_or("").trim();
    let (key, value) = line.split_once('=').map_or((line, ""), |(key, value)| (key.trim(), value.trim()));
    let bare = !value.is_empty() && !value.contains(['"', '\'', '[', '{']);
    problem.mend(match fact {
        "duplicate key" => "keep one of the two lines".into(),
        "unexpected key or value" if line.ends_with(',') => {
            "take the comma at the end of the line out".into()
        }
        "key with no value" => "write = between the name and its value".into(),
        "invalid basic string" if line.matches('"').count() % 2 == 1 => {
            "close the quote at the end of the text".into()
        }
        "string values must be quoted" if bare => format!("write {key} = \"{value}\""),
        "invalid float" if bare => "write one number with one decimal point, or a size in quotes".into(),
        _ => "write the line as key = \"value\"; texts stand between quotes".into(),
    })
}

/// `[part]`, where each of several entries has `[[part]]`.
pub(super) fn is_lone_header(line: &str) -> bool {
    let line = line.trim();
    line.starts_with('[')
        && !line.starts_with("[[")
        && line.split('#').next().is_some_and(|l| l.trim().ends_with(']'))
}

pub(super) fn of_lone_header(problem: Problem, text: &str, at: usize) -> Problem {
    let line = text.get(line_of(text, at)).unwrap_or("").split('#').next().unwrap_or("").trim();
    let name = line.trim_matches(['[', ']', ' ']);
    let twice = problem.fact == "duplicate key";
    if !twice {
        return problem;
    }
    let problem = Problem { fact: format!("[{name}] stands a second time"), ..problem };
    problem
        .note("an entry of which there may be several has two brackets on either side, each time")
        .mend(format!("write [[{name}]], here and wherever [{name}] stands"))
}
