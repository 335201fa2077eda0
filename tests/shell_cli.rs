//! The real program in temporary folders: exit codes, streams, what is told and what is left alone.

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::Duration;

use tempfile::TempDir;

fn benchleaf(args: &[&str]) -> Output {
    let mut program = assert_cmd::Command::new(env!("CARGO_BIN_EXE_benchleaf"));
    program.args(args).timeout(Duration::from_secs(60)).output().unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// A book with one slip on line 2 of `parts/bad.toml`, and an older site.
fn broken_book() -> TempDir {
    let home = tempfile::tempdir().unwrap();
    for folder in ["content", "parts", "public"] {
        fs::create_dir(home.path().join(folder)).unwrap();
    }
    fs::write(home.path().join("content/shop.toml"), "name = \"A bench\"\ncurrency = \"EUR\"\n").unwrap();
    fs::write(home.path().join("parts/bad.toml"), "[[part]]\nid = = \"a\u{1b}[31m\"\n").unwrap();
    fs::write(home.path().join("public/index.html"), "old").unwrap();
    home
}

#[test]
fn help_and_version_are_results() {
    for args in [["--help"], ["--version"]] {
        let output = benchleaf(&args);
        assert_eq!(code(&output), 0);
        assert!(out(&output).contains("benchleaf") && err(&output).is_empty());
    }
}

#[test]
fn ids_takes_a_sort_and_the_folder_of_a_book_in_either_order() {
    let home = tempfile::tempdir().unwrap();
    let book = home.path().join("shop");
    assert_eq!(
        code(&benchleaf(&["begin", text(&book), "--name", "A", "--currency", "EUR", "--units", "mm"])),
        0
    );
    let all = out(&benchleaf(&["ids", text(&book)]));
    assert!(all.starts_with("systems:") && all.contains("fork-lapwing"), "{all}");
    assert_eq!(all, out(&benchleaf(&["ids", "--book", text(&book)])));
    let forks = out(&benchleaf(&["ids", "forks", text(&book)]));
    assert!(forks.starts_with("fork:") && !forks.contains("systems:"), "{forks}");
    assert_eq!(forks, out(&benchleaf(&["ids", text(&book), "fork"])));
    let wrong = benchleaf(&["ids", "forks", "bolts"]);
    assert_eq!((code(&wrong), err(&wrong).contains("benchleaf ids fork my-shop")), (2, true));
}

#[test]
fn all_pairings_in_lines_of_json_are_those_asked_for_one_by_one_and_short_work_tells_no_progress() {
    let home = tempfile::tempdir().unwrap();
    let book = home.path().join("shop");
    benchleaf(&["begin", text(&book), "--name", "A", "--currency", "EUR", "--units", "mm"]);
    let all = benchleaf(&["pair", "--all", "--json", "--book", text(&book)]);
    let one = benchleaf(&["pair", "lapwing", "hic", "--json", "--book", text(&book)]);
    assert_eq!((code(&all), out(&all)), (0, out(&one)));
    assert_eq!(out(&one).lines().count(), 1);
    assert!(!err(&one).contains(" of 1"), "{}", err(&one));
}

#[test]
fn a_wrong_command_line_ends_with_2_and_says_so_on_standard_error() {
    let wrong: [&[&str]; 15] = [
        &[],
        &["bake"],
        &["compile", "--colour"],
        &["compile", "/nowhere/at/all"],
        &["inspect", "/nowhere/at/all"],
        &["pair"],
        &["pair", "a-fork"],
        &["pair", "a-fork", "a-system", "--all"],
        &["route"],
        &["route", "--from", "a-fork/a-system"],
        &["route", "--from", "heron", "--to", "fork-heron/plain", "--book", "tests/good/plain"],
        &["watch", "--poll", "never"],
        &["watch", "--poll", "0"],
        &["compile", "--threads", "0"],
        &["compile", "--threads", "1025"],
    ];
    for args in wrong {
        let output = benchleaf(args);
        assert_eq!(code(&output), 2, "{args:?}: {}", err(&output));
        assert!(out(&output).is_empty() && !err(&output).is_empty(), "{args:?}");
    }
}

#[test]
fn a_site_folder_in_the_book_is_refused_and_the_book_left_alone() {
    let home = broken_book();
    for into in [".", "content", "parts", "parts/site", ".."] {
        let output = benchleaf(&["compile", text(home.path()), "--into", text(&home.path().join(into))]);
        assert_eq!(code(&output), 2, "{into}");
        assert!(err(&output).contains("the site cannot go into"), "{}", err(&output));
    }
    assert_eq!(fs::read_dir(home.path().join("parts")).unwrap().count(), 1);
}

#[test]
fn a_folder_that_is_no_book_ends_with_1_and_names_what_is_missing() {
    let home = tempfile::tempdir().unwrap();
    for args in [["compile"], ["inspect"]] {
        let output = benchleaf(&[args[0], text(home.path())]);
        assert_eq!(code(&output), 1);
        let told = out(&output) + &err(&output);
        assert!(told.contains("error[book-missing]: this folder is no book"), "{told}");
        assert!(told.contains("`content` and `parts`") && told.contains("benchleaf begin"), "{told}");
    }
    assert_eq!(fs::read_dir(home.path()).unwrap().count(), 0);
}

#[test]
fn a_book_with_an_error_ends_with_1_shows_the_place_and_writes_nothing() {
    let home = broken_book();
    let output = benchleaf(&["compile", text(home.path())]);
    assert_eq!(code(&output), 1);
    assert!(out(&output).is_empty());
    let told = err(&output);
    assert!(told.contains("error[") && told.contains("parts/bad.toml:2:"), "{told}");
    assert!(told.trim_end().ends_with("; nothing written"), "{told}");
    assert!(!told.contains('\u{1b}'), "escapes of the book or colours, and no terminal: {told:?}");
    let site: Vec<_> =
        fs::read_dir(home.path().join("public")).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(site, ["index.html"]);
    assert_eq!(fs::read_to_string(home.path().join("public/index.html")).unwrap(), "old");
}

#[test]
fn inspect_gives_problems_as_results_and_as_json_lines_with_the_place() {
    let home = broken_book();
    let output = benchleaf(&["inspect", text(home.path())]);
    assert_eq!(code(&output), 1);
    assert!(out(&output).contains("parts/bad.toml:2:") && err(&output).is_empty());

    let output = benchleaf(&["inspect", text(home.path()), "--json"]);
    assert_eq!(code(&output), 1);
    let lines: Vec<serde_json::Value> =
        out(&output).lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let slip = lines.iter().find(|line| line["file"] == "parts/bad.toml").unwrap();
    assert_eq!((&slip["severity"], &slip["line"]), (&"error".into(), &2.into()));
    for key in ["severity", "code", "fact", "file", "line", "column", "text", "notes", "mend", "places"] {
        assert!(slip.get(key).is_some(), "{key}");
    }
}

#[test]
fn that_there_is_no_route_is_a_result_with_its_reason() {
    let ask =
        ["route", "--from", "fork-heron/plain", "--to", "fork-heron/plain", "--book", "tests/good/plain"];
    let plain = benchleaf(&ask);
    assert_eq!(code(&plain), 0, "{}", err(&plain));
    assert!(
        out(&plain).contains("There is no way from there") && !out(&plain).contains('\u{1b}'),
        "{}",
        out(&plain)
    );
    let json = benchleaf(&[&ask[..], &["--json"]].concat());
    let told: serde_json::Value = serde_json::from_str(&out(&json)).unwrap();
    assert!(
        told["cheapest"].is_null()
            && told["reason"].as_str().is_some_and(|r| r.contains("no set-up that goes"))
    );
}

#[test]
fn a_name_that_the_book_does_not_have_is_a_slip_with_the_nearest_one() {
    let names = [
        ("fork-herno/plain", "fork-heron"),
        ("fork-heron/plan", "try plain"),
        ("fork-heron:9/plain", "revision"),
        ("fork-heron/plain/shim-alder", "set of bars"),
    ];
    for (from, expected) in names {
        let output =
            benchleaf(&["route", "--from", from, "--to", "fork-heron/plain", "--book", "tests/good/plain"]);
        assert_eq!(code(&output), 2, "{from}: {}", err(&output));
        assert!(err(&output).contains(expected), "{from}: {}", err(&output));
    }
}

#[test]
fn pairing_in_a_broken_book_ends_with_1() {
    let home = broken_book();
    let output = benchleaf(&["pair", "--all", "--json", "--book", text(home.path())]);
    assert_eq!(code(&output), 1);
    assert!(out(&output).is_empty() && err(&output).contains("nothing paired"));
}

#[cfg(unix)]
#[test]
fn a_pipe_a_file_and_links_that_lead_nowhere_are_no_place_for_a_site() {
    use std::os::unix::fs::symlink;
    let home = broken_book();
    let at = |name: &str| home.path().join(name);
    assert!(Command::new("mkfifo").arg(at("pipe")).status().unwrap().success());
    symlink("ring", at("ring")).unwrap();
    symlink("nowhere", at("dangling")).unwrap();
    fs::write(at("file"), "f").unwrap();
    for (name, told) in [("pipe", "pipe"), ("ring", "link"), ("dangling", "link"), ("file", "file")] {
        let output = benchleaf(&["compile", text(home.path()), "--into", text(&at(name))]);
        assert_eq!(code(&output), 1, "{name}: {}", err(&output));
        assert!(err(&output).contains(&format!("it is a {told}")), "{}", err(&output));
    }
}

#[test]
fn four_thousand_parts_with_the_same_slip_are_told_soon_and_in_few_lines() {
    let home = broken_book();
    let part =
        |n: usize| format!("[[part]]\nid = \"shim-{n}\"\nkind = \"shim\"\nname = \"N\"\noutsied = \"30\"\n");
    fs::write(home.path().join("parts/bad.toml"), (0..4000).map(part).collect::<String>()).unwrap();
    let begun = std::time::Instant::now();
    let few = benchleaf(&["inspect", text(home.path())]);
    let each = benchleaf(&["inspect", text(home.path()), "--all"]);
    let json = benchleaf(&["inspect", text(home.path()), "--json"]);
    println!("three times: {:?}", begun.elapsed());
    assert!(begun.elapsed() < Duration::from_secs(30), "{:?}", begun.elapsed());
    assert!(few.stdout.len() < 10_000, "{}", out(&few));
    assert!(out(&few).contains("and 3995 more errors[field-unknown] like those above"), "{}", out(&few));
    assert_eq!(out(&each).matches("error[field-unknown]").count(), 4000);
    assert!(out(&json).lines().count() >= 4000);
}

#[cfg(unix)]
#[test]
fn a_reader_that_has_gone_away_is_no_failure() {
    let home = broken_book();
    let mut child = Command::new(env!("CARGO_BIN_EXE_benchleaf"))
        .args(["inspect", text(home.path())])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!((code(&output), err(&output).as_str()), (1, ""));
}

#[cfg(target_os = "linux")]
#[test]
fn results_that_cannot_be_written_end_with_3_and_the_cause() {
    let home = broken_book();
    let full = fs::File::options().write(true).open("/dev/full").unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_benchleaf"))
        .args(["inspect", text(home.path())])
        .stdout(full)
        .output()
        .unwrap();
    assert_eq!(code(&output), 3);
    assert!(err(&output).contains("because: "), "{}", err(&output));
}

#[test]
fn colours_come_when_forced_and_go_when_unwanted() {
    let home = broken_book();
    let told = |set: &[(&str, &str)]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_benchleaf"));
        command.args(["inspect", text(home.path())]).envs(set.iter().copied());
        out(&command.output().unwrap())
    };
    assert!(told(&[("CLICOLOR_FORCE", "1")]).contains("\u{1b}["));
    assert!(!told(&[("NO_COLOR", "1")]).contains('\u{1b}'));
}
