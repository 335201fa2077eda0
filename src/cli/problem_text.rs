//! Problems as text for a person: the line in the author's file, the numbers, one next action. Decides nothing.

use std::collections::{BTreeMap, HashMap};

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{Annotation, AnnotationKind, Group, Level, Origin, Renderer, Snippet};

use super::clean_text::clean;
use super::source_lines::SourceLines;
use crate::base::{FileId, Place, Problem, Problems, Severity, Sources};

/// How much is told of problems that are alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// The first few of each code, and how many more there are.
    Folded,
    Each,
}

/// Of problems that are alike one cause makes them all, and nobody reads more.
const HANDFUL: usize = 5;

/// Places further apart than this, in lines, are shown apart.
const NEAR: usize = 40;

/// Every problem, an empty line after each. With colour codes: the stream takes them out where they are not wanted.
pub fn render_all(problems: &Problems, sources: &Sources, told: Told) -> String {
    let mut texts = Texts { sources, prepared: HashMap::new() };
    let mut seen: HashMap<(Severity, &str), usize> = HashMap::new();
    let mut text = String::new();
    for problem in &problems.0 {
        let count = seen.entry((problem.severity, problem.code)).or_default();
        *count += 1;
        if told == Told::Each || *count <= HANDFUL {
            text.push_str(&render(problem, &mut texts));
            text.push_str("\n\n");
        }
    }
    if told == Told::Folded {
        let mut more: Vec<_> = seen.into_iter().filter(|&(_, count)| count > HANDFUL).collect();
        more.sort_unstable();
        more.iter()
            .for_each(|&((severity, code), count)| text.push_str(&folded(severity, code, count - HANDFUL)));
    }
    text
}

fn folded(severity: Severity, code: &str, more: usize) -> String {
    let noun = match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    };
    let these = if more == 1 { "it" } else { "them all" };
    format!(
        "and {}[{code}] like those above; `benchleaf inspect --all` tells {these}\n\n",
        counted(more, &format!("more {noun}"))
    )
}

/// "3 errors, 1 warning"; "no errors" where there is nothing.
pub fn count_line(problems: &Problems) -> String {
    let of = |severity| problems.0.iter().filter(|problem| problem.severity == severity).count();
    match (of(Severity::Error), of(Severity::Warning)) {
        (0, 0) => "no errors, no warnings".into(),
        (0, warnings) => format!("no errors, {}", counted(warnings, "warning")),
        (errors, 0) => counted(errors, "error"),
        (errors, warnings) => format!("{}, {}", counted(errors, "error"), counted(warnings, "warning")),
    }
}

fn counted(count: usize, noun: &str) -> String {
    format!("{count} {noun}{}", if count == 1 { "" } else { "s" })
}

fn render(problem: &Problem, texts: &mut Texts) -> String {
    texts.prepare(problem);
    let level = match problem.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let mut group = level.primary_title(clean(&problem.fact)).id(problem.code).elements(
        // The file of the first place leads; further files follow in order.
        snippets(problem, texts),
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

/// The files that problems are in, each made ready once, however many problems it has.
struct Texts<'s> {
    sources: &'s Sources,
    prepared: HashMap<FileId, SourceLines>,
}

impl Texts<'_> {
    fn prepare(&mut self, problem: &Problem) {
        for place in &problem.places {
            let file = place.span.file;
            self.prepared.entry(file).or_insert_with(|| SourceLines::of(&self.sources.get(file).text));
        }
    }
}

type Marked<'a> = (AnnotationKind, &'a Place);

fn snippets<'a>(problem: &'a Problem, texts: &'a Texts) -> Vec<Snippet<'a, Annotation<'a>>> {
    let mut by_file: BTreeMap<(bool, FileId), Vec<Marked>> = BTreeMap::new();
    let lead = problem.places.first().map(|place| place.span.file);
    for (nth, place) in problem.places.iter().enumerate() {
        let kind = if nth == 0 { AnnotationKind::Primary } else { AnnotationKind::Context };
        let file = place.span.file;
        by_file.entry((Some(file) != lead, file)).or_default().push((kind, place));
    }
    by_file.into_iter().flat_map(|((_, file), places)| of_one_file(file, places, texts)).collect()
}

/// Only the lines that are shown are handed on; those with the first place lead.
fn of_one_file<'a>(
    file: FileId,
    mut places: Vec<Marked<'a>>,
    texts: &'a Texts,
) -> Vec<Snippet<'a, Annotation<'a>>> {
    let Some(lines) = texts.prepared.get(&file) else { return vec![] };
    let first_line = |&(_, place): &Marked| lines.around(place.span.range()).start;
    places.sort_by_key(|(_, place)| place.span);
    let mut groups: Vec<&[Marked]> = places.chunk_by(|a, b| first_line(b) - first_line(a) <= NEAR).collect();
    groups.sort_by_key(|group| !group.iter().any(|(kind, _)| *kind == AnnotationKind::Primary));
    let snippet = |group: &[Marked<'a>]| {
        let shown = group.iter().map(|(_, place)| lines.around(place.span.range()));
        let shown = shown.reduce(|a, b| a.start.min(b.start)..a.end.max(b.end)).unwrap_or(0..0);
        let mark = |&(kind, place): &Marked<'a>| {
            kind.span(lines.inside(place.span.range(), &shown)).label(clean(&place.label))
        };
        Snippet::source(lines.text(&shown))
            .line_start(shown.start + 1)
            .path(clean(&texts.sources.get(file).path))
            .annotations(group.iter().map(mark).collect::<Vec<_>>())
    };
    groups.into_iter().map(snippet).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Span;

    fn one(problem: &Problem, sources: &Sources) -> String {
        render(problem, &mut Texts { sources, prepared: HashMap::new() })
    }

    fn plain(problem: &Problem, sources: &Sources) -> String {
        anstream::adapter::strip_str(&one(problem, sources)).to_string()
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
        let codes = anstream::adapter::strip_str(&one(&problem, &sources)).to_string();
        assert!(!codes.contains(crate::base::is_unsafe), "{codes:?}");
        let coloured = one(&problem, &sources);
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

    #[test]
    fn places_far_apart_are_shown_with_their_own_lines_and_the_first_place_leads() {
        let mut sources = Sources::default();
        let text: String = (1..=500).map(|n| format!("line {n}\n")).collect();
        let file = sources.add("a.toml", text.clone());
        let at = |line: &str| {
            let start = text.find(&format!("{line}\n")).unwrap_or(0);
            Span::new(file, start..start + line.len())
        };
        let problem = Problem::error("twice", "t").at(at("line 444"), "again").at(at("line 7"), "first");
        let told = plain(&problem, &sources);
        let (again, first) = (told.find("a.toml:444:1"), told.find("a.toml:7:1"));
        assert!(again.is_some() && again < first, "{told}");
        assert!(!told.contains("line 100") && told.contains("| line 7"), "{told}");
    }

    #[test]
    fn problems_that_are_alike_are_folded_after_a_handful_with_their_count() {
        let mut problems = Problems::default();
        (0..4000).for_each(|n| problems.push(Problem::error("field-unknown", format!("fact {n}"))));
        problems.push(Problem::warning("odd", "odd one"));
        let folded = render_all(&problems, &Sources::default(), Told::Folded);
        let folded = anstream::adapter::strip_str(&folded).to_string();
        assert!(
            folded.contains("fact 4") && !folded.contains("fact 5") && folded.contains("odd one"),
            "{folded}"
        );
        assert!(folded.contains("and 3995 more errors[field-unknown] like those above"), "{folded}");
        let each = render_all(&problems, &Sources::default(), Told::Each);
        assert!(each.contains("fact 3999") && !each.contains("like those above"));
    }
}
