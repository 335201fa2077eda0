//! Holds the conventions that a machine can hold: the one direction, sizes, first lines, the map in the guide.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

use walkdir::WalkDir;

const MOST_LINES: usize = 450;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn read(path: &str) -> String {
    fs::read_to_string(root().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// Text files of the project with one of these endings, by path from its root, in order. Never empty.
fn files(folders: &[&str], endings: &[&str]) -> Vec<(String, String)> {
    let mut found = vec![];
    for folder in folders {
        let walk = WalkDir::new(root().join(folder)).sort_by_file_name().into_iter();
        let ours = walk.filter_entry(|entry| entry.file_name() != "node_modules").flatten();
        for entry in ours.filter(|entry| entry.file_type().is_file()) {
            let path = entry.path().strip_prefix(root()).unwrap().to_str().unwrap().replace('\\', "/");
            if endings.iter().any(|ending| path.ends_with(ending)) {
                found.push((path.clone(), read(&path)));
            }
        }
    }
    assert!(!found.is_empty(), "no files in {folders:?}");
    found
}

/// The folders of `src` that are there.
fn source_folders() -> BTreeSet<String> {
    let entries = fs::read_dir(root().join("src")).unwrap().flatten();
    entries.filter(|e| e.path().is_dir()).map(|e| e.file_name().to_str().unwrap().to_string()).collect()
}

/// The one direction as `src/lib.rs` tells it: the names in backquotes in its opening lines.
fn direction() -> Vec<String> {
    let text = read("src/lib.rs");
    let opening: String = text.lines().take_while(|line| line.starts_with("//!")).collect();
    let names: Vec<String> = opening.split('`').skip(1).step_by(2).map(str::to_string).collect();
    assert!(names.len() > 5, "src/lib.rs names its folders in order: {names:?}");
    names
}

/// The code of a file without comments and without its tests: a module in braces stands last, one in a file of its
/// own has a name that ends in `tests`.
fn code(text: &str) -> String {
    let mut lines: Vec<&str> = vec![];
    let mut all = text.lines().peekable();
    while let Some(line) = all.next() {
        let module = all.peek().filter(|next| line == "#[cfg(test)]" && next.starts_with("mod "));
        match module {
            Some(module) if module.ends_with('{') => break,
            _ => lines.push(line.split("//").next().unwrap_or("")),
        }
    }
    lines.join("\n")
}

fn is_test_file(path: &str) -> bool {
    path.ends_with("tests.rs") || (path.starts_with("src/") && path.contains("/tests/"))
}

fn first_name(text: &str) -> &str {
    text.split(|c: char| !c.is_alphanumeric() && c != '_').next().unwrap_or("")
}

/// Names that stand directly after `prefix`, in braces too: `crate::{base, disk::x}` gives `base` and `disk`.
fn names_after<'a>(code: &'a str, prefix: &str) -> Vec<&'a str> {
    let mut names = vec![];
    for (at, _) in code.match_indices(prefix) {
        let rest = &code[at + prefix.len()..];
        let whole_path =
            at == 0 || !code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == ':');
        if !whole_path {
            continue;
        }
        match rest.strip_prefix('{') {
            None => names.push(first_name(rest)),
            Some(group) => names.extend(group_heads(group)),
        }
    }
    names
}

/// The first names of the entries of a `{…}` group whose opening brace has been taken.
fn group_heads(group: &str) -> Vec<&str> {
    let (mut depth, mut start, mut heads) = (0, 0, vec![]);
    for (at, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth > 0 => depth -= 1,
            ',' | '}' if depth == 0 => {
                heads.push(first_name(group[start..at].trim_start()));
                start = at + 1;
                if c == '}' {
                    break;
                }
            }
            _ => {}
        }
    }
    heads
}

/// Folders of `src` that a file reaches, by `crate::` or by enough `super::`.
fn reached(path: &str, text: &str) -> Vec<String> {
    let code = code(text);
    let inside = path.strip_prefix("src/").unwrap_or(path);
    let levels = inside.matches('/').count() + usize::from(!inside.ends_with("mod.rs"));
    let mut names = names_after(&code, "crate::");
    names.extend(names_after(&code, &"super::".repeat(levels)));
    names.into_iter().filter(|name| *name != "super").map(str::to_string).collect()
}

#[test]
fn the_reading_of_imports_sees_groups_and_supers() {
    let text = "use crate::{base::{A, B}, disk};\nuse super::super::watch::X;\nuse super::super::super::no;\n// crate::cli\n";
    assert_eq!(reached("src/draw/scene.rs", text), ["base", "disk", "watch"]);
    assert_eq!(reached("src/draw/mod.rs", "pub use super::cli::Y;"), ["cli"]);
    assert_eq!(reached("src/cli/pair.rs", "use super::compile::Z;"), Vec::<String>::new());
}

#[test]
fn every_folder_of_src_has_its_place_in_the_one_direction() {
    let order = direction();
    for folder in source_folders() {
        assert!(order.contains(&folder), "src/lib.rs does not name `{folder}` in its order");
    }
}

#[test]
fn a_folder_imports_only_from_those_before_it() {
    let order = direction();
    let place = |name: &str| order.iter().position(|folder| folder == name);
    let mut backwards = vec![];
    for (path, text) in files(&["src"], &[".rs"]) {
        let Some(own) = path.split('/').nth(1).and_then(place) else { continue };
        for name in reached(&path, &text) {
            if place(&name).is_some_and(|other| other > own) {
                backwards.push(format!("{path} imports `{name}`"));
            }
        }
    }
    assert!(backwards.is_empty(), "{backwards:#?}");
}

#[test]
fn only_the_outer_folders_touch_files_clocks_or_streams() {
    let outer = ["disk", "publish", "watch", "cli"];
    let effects = ["std::net", "std::time", "std::env", "std::process", "println!", "eprintln!", "print!("];
    let mut found = vec![];
    for (path, text) in files(&["src"], &[".rs"]) {
        let folder = path.split('/').nth(1).unwrap_or("");
        if folder != "disk" && code(&text).contains("std::fs") {
            found.push(format!("{path}: only `disk` uses std::fs"));
        }
        if is_test_file(&path) || outer.contains(&folder) || folder.ends_with(".rs") {
            continue;
        }
        let code = code(&text);
        found.extend(effects.iter().filter(|e| code.contains(**e)).map(|effect| format!("{path}: {effect}")));
    }
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn files_stay_short() {
    let all = files(&["src", "tests"], &[".rs", ".mjs", "tests/run"]);
    let long: Vec<String> = all
        .iter()
        .map(|(path, text)| (path, text.lines().count()))
        .filter(|(_, lines)| *lines > MOST_LINES)
        .map(|(path, lines)| format!("{path}: {lines} lines"))
        .collect();
    assert!(long.is_empty(), "{long:#?}");
}

#[test]
fn every_rust_file_opens_with_what_it_knows() {
    let silent: Vec<String> = files(&["src", "tests"], &[".rs"])
        .into_iter()
        .filter(|(_, text)| !text.starts_with("//! "))
        .map(|(path, _)| path)
        .collect();
    assert!(silent.is_empty(), "{silent:#?}");
}

#[test]
fn nothing_in_src_panics_on_purpose_outside_tests() {
    let panics = [".unwrap()", ".expect(\"", "todo!", "unimplemented!", "panic!(", "dbg!("];
    let mut found = vec![];
    for (path, text) in files(&["src"], &[".rs"]) {
        if is_test_file(&path) {
            continue;
        }
        let code = code(&text);
        found.extend(panics.iter().filter(|p| code.contains(**p)).map(|panic| format!("{path}: {panic}")));
    }
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn no_file_names_a_place_on_somebodys_machine() {
    let mut all = files(&["src", "tests", ".ci"], &[".rs", ".mjs", ".json", "run", ".npmrc"]);
    for folder in ["content", "parts", "themes"].into_iter().filter(|f| root().join(f).is_dir()) {
        all.extend(files(&[folder], &[".toml", ".md", ".html", ".css", ".js", ".csv"]));
    }
    all.extend(["README.md", "DEVELOPERS.md", "Cargo.toml"].map(|path| (path.to_string(), read(path))));
    // Put together here, so that this file does not name them either.
    let places = ["home", "root", "work", "tmp", "Users"].map(|name| format!("/{name}/"));
    let mut found = vec![];
    for (path, text) in &all {
        found.extend(
            places.iter().filter(|place| text.contains(*place)).map(|place| format!("{path}: {place}")),
        );
    }
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn the_lock_file_of_the_browser_tests_keeps_no_download_addresses() {
    let lock = read("tests/browser/package-lock.json");
    assert!(lock.contains("integrity") && !lock.contains("\"resolved\"") && !lock.contains("://"));
}

#[test]
fn the_map_in_the_guide_names_every_folder_and_every_dependency() {
    let guide = read("DEVELOPERS.md");
    for folder in source_folders() {
        assert!(
            guide.contains(&format!("| `src/{folder}/` |")),
            "DEVELOPERS.md's map does not name src/{folder}/"
        );
    }
    let manifest: toml::Table = read("Cargo.toml").parse().unwrap();
    for section in ["dependencies", "dev-dependencies"] {
        for name in manifest[section].as_table().unwrap().keys() {
            assert!(guide.contains(&format!("`{name}`")), "DEVELOPERS.md does not say why {name} is there");
        }
    }
}

#[test]
fn there_is_one_test_command_and_everybody_names_it() {
    assert!(read("README.md").contains("\nbash tests/run\n"));
    let ci = read(".ci/run");
    // How things are built is its own affair, what is run is not.
    let set_up = |line: &&str| line.starts_with('#') || line.starts_with("export CARGO_");
    let commands: Vec<&str> = ci.lines().filter(|line| !set_up(line)).collect();
    assert_eq!(commands, ["set -euo pipefail", "cd \"$(dirname \"$0\")/..\"", "exec bash tests/run"]);
}

#[test]
fn no_kind_is_known_by_name_outside_the_table_of_kinds() {
    // A word of these may be a place in a sentence or a key of the data, too; compared, listed or asked for it is a kind.
    let kinds = benchleaf::kinds::all().iter().map(|kind| format!("\"{}\"", kind.name));
    let kinds: Vec<String> = kinds.collect();
    let known_by = |line: &str, name: &str| {
        let after = |before: &str| line.contains(&format!("{before}{name}"));
        let plain = ["fork", "deck", "bars"].iter().all(|word| name != format!("\"{word}\""));
        ["== ", "!= ", "of_kind(", "Some(", "str = ", "; 1] = [", "=> Some("].iter().any(|b| after(b))
            || (plain && line.contains(name))
    };
    let mut found = vec![];
    for (path, text) in files(&["src"], &[".rs"]) {
        if path.starts_with("src/kinds/") || is_test_file(&path) {
            continue;
        }
        for line in code(&text).lines() {
            found.extend(
                kinds.iter().filter(|name| known_by(line, name)).map(|name| format!("{path}: {name}")),
            );
        }
    }
    assert_eq!(
        found,
        Vec::<String>::new(),
        "what the program knows of a kind is a mark on it: src/kinds/table.rs"
    );
}

#[test]
fn every_test_file_is_in_one_of_the_two_programs() {
    let programs = ["tests/library.rs", "tests/program.rs"].map(read);
    let names: Vec<String> = fs::read_dir(root().join("tests"))
        .unwrap()
        .flatten()
        .filter_map(|entry| Some(entry.file_name().to_str()?.strip_suffix(".rs")?.to_string()))
        .filter(|name| name != "library" && name != "program")
        .collect();
    assert!(names.len() > 20, "{names:?}");
    for name in names {
        let line = format!("mod {name};");
        let times = programs.iter().flat_map(|text| text.lines()).filter(|l| *l == line).count();
        assert_eq!(times, 1, "tests/{name}.rs is run by tests/library.rs or tests/program.rs");
    }
}
