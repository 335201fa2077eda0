//! Problems as one JSON object a line, for editors and scripts. Same facts as the text, nothing left out.

use serde::Serialize;

use super::clean_text::escaped_json;
use crate::base::{Place, Problem, Severity, Sources};

#[derive(Serialize)]
struct ProblemLine<'a> {
    severity: &'static str,
    code: &'a str,
    fact: &'a str,
    /// Of the first place; null where the whole book is meant.
    file: Option<&'a str>,
    /// One-based; columns count characters. Null where a file has no readable text.
    line: Option<usize>,
    column: Option<usize>,
    text: Option<&'a str>,
    notes: &'a [String],
    mend: &'a str,
    places: Vec<PlaceLine<'a>>,
}

#[derive(Serialize)]
struct PlaceLine<'a> {
    file: &'a str,
    line: usize,
    column: usize,
    text: &'a str,
    label: &'a str,
}

pub fn line(problem: &Problem, sources: &Sources) -> String {
    let places: Vec<PlaceLine<'_>> = problem.places.iter().map(|place| place_line(place, sources)).collect();
    let first = places.first();
    let line = ProblemLine {
        severity: match problem.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
        },
        code: problem.code,
        fact: &problem.fact,
        file: first.map(|place| place.file).or(problem.path.as_deref()),
        line: first.map(|place| place.line),
        column: first.map(|place| place.column),
        text: first.map(|place| place.text),
        notes: &problem.notes,
        mend: &problem.mend,
        places,
    };
    // Strings and numbers alone cannot fail to become JSON; an empty line would be seen at once.
    escaped_json(&serde_json::to_string(&line).unwrap_or_default()).into_owned()
}

fn place_line<'a>(place: &'a Place, sources: &'a Sources) -> PlaceLine<'a> {
    let (line, column) = sources.line_column(place.span);
    let file = &sources.get(place.span.file).path;
    PlaceLine { file, line, column, text: sources.text_at(place.span), label: &place.label }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Span;

    #[test]
    fn a_problem_is_one_line_of_json_with_its_place() -> Result<(), serde_json::Error> {
        let mut sources = Sources::default();
        let file = sources.add("parts/a.toml", "id = 1\nbore = \"\u{9b}\"\n");
        let problem =
            Problem::warning("odd", "odd bore").at(Span::new(file, 7..11), "here").note("n").mend("m");
        let text = line(&problem, &sources);
        let json: serde_json::Value = serde_json::from_str(&text)?;
        assert_eq!(json["severity"], "warning");
        assert_eq!((&json["line"], &json["column"]), (&2.into(), &1.into()));
        assert_eq!((&json["file"], &json["text"]), (&"parts/a.toml".into(), &"bore".into()));
        assert_eq!(json["places"][0]["label"], "here");
        assert!(!text.contains('\n'));
        Ok(())
    }

    #[test]
    fn what_a_terminal_does_not_bear_is_escaped_and_means_the_same() -> Result<(), serde_json::Error> {
        let problem = Problem::error("odd", "a\u{9b}b\u{202e}c\u{1b}d\u{7f}").in_file("x/");
        let text = line(&problem, &Sources::default());
        assert!(!text.contains(crate::base::is_unsafe));
        let json: serde_json::Value = serde_json::from_str(&text)?;
        assert_eq!(json["fact"], "a\u{9b}b\u{202e}c\u{1b}d\u{7f}");
        assert_eq!((&json["file"], &json["line"]), (&"x/".into(), &serde_json::Value::Null));
        Ok(())
    }
}
