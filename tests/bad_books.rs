//! Small books with a mistake or two in each, and beside each what the author is told. Every file of the books is in
//! the repository; what a book leaves out comes from the one good book.
//!
//! `BENCHLEAF_GOLDEN=write cargo test --test library bad_books::` writes the texts anew: read them before keeping them.

use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

use benchleaf::base::{BookFiles, Problem, Problems, Severity, Sources};
use benchleaf::compile::inspect;
use walkdir::WalkDir;

/// A book replaces each of these as a whole.
const GROUPS: [&str; 4] = ["content/shop.toml", "content/systems/", "content/headsets/", "parts/"];

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join(name)
}

fn files_in(folder: &Path) -> BookFiles {
    let entries = WalkDir::new(folder).sort_by_file_name().into_iter().flatten();
    let files = entries.filter(|entry| entry.file_type().is_file()).map(|entry| {
        let path = entry.path().strip_prefix(folder).unwrap().to_str().unwrap().replace('\\', "/");
        (path, fs::read(entry.path()).unwrap())
    });
    files.collect()
}

fn book(name: &str) -> BookFiles {
    let own = files_in(&folder("bad").join(name));
    let replaced =
        |path: &str| GROUPS.iter().any(|g| path.starts_with(g) && own.keys().any(|o| o.starts_with(g)));
    let mut files = files_in(&folder("good/plain"));
    files.retain(|path, _| !replaced(path));
    files.extend(own);
    files
}

fn plain(problems: &Problems, sources: &Sources) -> String {
    problems.0.iter().map(|problem| format!("{}\n", told(problem, sources))).collect()
}

fn told(problem: &Problem, sources: &Sources) -> String {
    let severity = match problem.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    };
    let mut text = format!("{severity}[{}]: {}\n", problem.code, problem.fact);
    for place in &problem.places {
        let (line, column) = sources.line_column(place.span);
        let path = &sources.get(place.span.file).path;
        let here = format!("  {path}:{line}:{column}  {}  {}", sources.text_at(place.span), place.label);
        writeln!(text, "{}", here.trim_end()).unwrap();
    }
    if let Some(path) = &problem.path {
        writeln!(text, "  {path}").unwrap();
    }
    for note in &problem.notes {
        writeln!(text, "  {note}").unwrap();
    }
    if !problem.mend.is_empty() {
        writeln!(text, "  do this: {}", problem.mend).unwrap();
    }
    text
}

/// The one door: the book's problems against the text beside it.
fn check(name: &str) -> Result<(), String> {
    let (problems, sources) = inspect(&book(name));
    let now = plain(&problems, &sources);
    let golden = folder("bad").join(format!("{name}.txt"));
    if std::env::var("BENCHLEAF_GOLDEN").as_deref() == Ok("write") {
        fs::write(&golden, &now).unwrap();
    }
    let kept = fs::read_to_string(&golden).unwrap_or_default();
    match problems.any_error() && now == kept {
        true => Ok(()),
        false => Err(format!("{name}: told\n{now}\nbut {} has\n{kept}", golden.display())),
    }
}

#[test]
fn every_bad_book_is_told_as_its_text_says() {
    let entries = fs::read_dir(folder("bad")).unwrap().flatten();
    let mut names: Vec<String> = entries
        .filter(|entry| entry.path().is_dir())
        .map(|entry| entry.file_name().to_str().unwrap().to_string())
        .collect();
    names.sort();
    assert!(names.len() >= 20, "{names:?}");
    let wrong: Vec<String> = names.iter().filter_map(|name| check(name).err()).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_text_has_its_book() {
    for entry in fs::read_dir(folder("bad")).unwrap().flatten() {
        let path = entry.path();
        assert!(path.is_dir() || path.with_extension("").is_dir(), "{} has no book", path.display());
    }
}

#[test]
fn the_good_book_that_the_bad_ones_stand_on_has_nothing_wrong() {
    let (problems, sources) = inspect(&files_in(&folder("good/plain")));
    assert_eq!(plain(&problems, &sources), "");
}
