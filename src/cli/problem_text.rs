//! Problems as text for a person: the line in the author's file, the numbers, one next action. Decides nothing.

use std::collections::BTreeMap;
use std::ops::Range;

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};

use super::clean_text::clean;
use crate::base::{FileId, Place, Problem, Problems, Severity, Sources};

/// Every problem, an empty line after each. With colour codes: the stream takes them out where they are not wanted.
pub fn render_all(problems: &Problems, sources: &Sources) -> String {
    problems.0.iter().map(|problem| format!("{}\n\n", render(problem, sources))).collect()
}

/// "3 errors, 1 warning"; "no errors" where there is nothing.
pub fn count_line(problems: &Problems) -> String {
    let of = |severity| problems.0.iter().filter(|problem| problem.severity == severity).count();
    let counted = |count: usize, noun: &str| format!("{count} {noun}{}", if count == 1 { "" } else { "s" });
    match (of(Severity::Error), of(Severity::Warning)) {
        (0, 0) => "no errors, no warnings".into(),
        (0, warnings) => format!("no errors, {}", counted(warnings, "warning")),
        (errors, 0) => counted(errors, "error"),
        (errors, warnings) => format!("{}, {}", counted(errors, "error"), counted(warnings, "warning")),
    }
}

fn render(problem: &Problem, sources: &Sources) -> String {
    let level = match problem.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let mut group = level.primary_title(clean(&problem.fact)).id(problem.code).elements(
        // The file of the first place leads; further files follow in order.
        snippets(problem, sources),
    );
    if let (true, Some(path)) = (problem.places.is_empty(), &problem.path) {
        group = group.element(Origin::path(clean(path)));
    }
    group = group.elements(problem.notes.iter().map(|note| Level::NOTE.message(clean(note))));
    if !problem.mend.is_empty() {
        group = group.element(Level::HELP.with_name("do this").message(clean(&problem.mend)));
    }
    let report: [Group<'_>; 1] = [group];
    Renderer::styled().decor_style(DecorStyle::Ascii).render(&report)
}

fn snippets<'a>(
    problem: &'a Problem,
    sources: &'a Sources,
) -> Vec<Snippet<'a, annotate_snippets::Annotation<'a>>> {
    let mut by_file: BTreeMap<(bool, FileId), Vec<(AnnotationKind, &Place)>> = BTreeMap::new();
    let lead = problem.places.first().map(|place| place.span.file);
    for (nth, place) in problem.places.iter().enumerate() {
        let kind = if nth == 0 { AnnotationKind::Primary } else { AnnotationKind::Context };
        let file = place.span.file;
        by_file.entry((Some(file) != lead, file)).or_default().push((kind, place));
    }
    let one_file = |((_, file), places): ((bool, FileId), Vec<(AnnotationKind, &'a Place)>)| {
        let source = sources.get(file);
        let mark = |(kind, place): (AnnotationKind, &'a Place)| {
            kind.span(inside(&source.text, place.span.range())).label(clean(&place.label))
        };
        Snippet::source(clean(&source.text))
            .path(clean(&source.path))
            .annotations(places.into_iter().map(mark).collect::<Vec<_>>())
    };
    by_file.into_iter().map(one_file).collect()
}

/// Kept within the text and on whole characters, so that a wrong place can never stop a message.
fn inside(text: &str, range: Range<usize>) -> Range<usize> {
    let start = text.floor_char_boundary(range.start.min(text.len()));
    start..text.ceil_char_boundary(range.end.clamp(start, text.len()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Span;

    fn plain(problem: &Problem, sources: &Sources) -> String {
        anstream::adapter::strip_str(&render(problem, sources)).to_string()
    }

    #[test]
    fn a_problem_shows_its_lines_its_numbers_and_one_next_action() {
        let mut sources = Sources::default();
        let shims = sources.add("parts/shims.toml", "[[part]]\nid = \"a\"\noutside = \"30.10\"\n");
        let clamps = sources.add("parts/clamps.toml", "bore = \"31.90\"\n");
        let problem = Problem::error("fit-shim-thin", "no shim fills this clamp")
            .at(Span::new(shims, 18..35), "over a 25.4 steerer")
            .at(Span::new(clamps, 0..14), "closes to 31.20")
            .note("gap left 1.05 .. 1.15 mm; allowed 0.00 .. 0.30 mm")
            .mend("list a shim 31.20 to 31.85 outside, or another clamp");
        let text = plain(&problem, &sources);
        for piece in [
            "error[fit-shim-thin]: no shim fills this clamp",
            "parts/shims.toml:3:1",
            "outside = \"30.10\"",
            "over a 25.4 steerer",
            "parts/clamps.toml:1:1",
            "closes to 31.20",
            "note: gap left 1.05 .. 1.15 mm; allowed 0.00 .. 0.30 mm",
            "do this: list a shim 31.20 to 31.85 outside, or another clamp",
        ] {
            assert!(text.contains(piece), "{piece:?} is not in\n{text}");
        }
    }

    #[test]
    fn escapes_in_a_book_never_reach_the_terminal() {
        let mut sources = Sources::default();
        let file = sources.add("a\u{1b}[2J.toml", "x = \"\u{1b}]0;evil\u{7}\u{9b}31m\"\r\n");
        let problem = Problem::error("odd", "fact \u{1b}[31m")
            .at(Span::new(file, 4..40), "label \u{1b}[1m")
            .note("note \u{1b}[1m\u{202e}")
            .mend("mend \u{1b}[1m");
        let codes = anstream::adapter::strip_str(&render(&problem, &sources)).to_string();
        assert!(!codes.contains(super::super::clean_text::is_unsafe), "{codes:?}");
        let coloured = render(&problem, &sources);
        assert!(!coloured.contains("\u{1b}]") && !coloured.contains("\u{1b}[2J"), "{coloured:?}");
    }

    #[test]
    fn a_place_beyond_the_text_or_inside_a_character_still_gives_a_message() {
        let mut sources = Sources::default();
        let file = sources.add("a.toml", "é = 1");
        for range in [1..2, 0..900, 900..901, 5..5, 6..6] {
            let problem = Problem::error("odd", "somewhere").at(Span::new(file, range), "");
            assert!(plain(&problem, &sources).contains("error[odd]: somewhere"));
        }
    }

    #[test]
    fn the_count_line_counts_each_kind() {
        let mut problems = Problems::default();
        assert_eq!(count_line(&problems), "no errors, no warnings");
        problems.push(Problem::warning("w", "w"));
        assert_eq!(count_line(&problems), "no errors, 1 warning");
        problems.push(Problem::error("e", "e"));
        problems.push(Problem::error("e", "e"));
        assert_eq!(count_line(&problems), "2 errors, 1 warning");
    }
}
