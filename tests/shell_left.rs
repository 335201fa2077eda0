//! A site that lies there as a run of the same program left it, of the very same book: nothing is done, and whatever is not so is
//! seen and mended.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;
use std::time::Duration;

use benchleaf::publish::{Theirs, leave, publish, untouched, write_found};
use tempfile::TempDir;

use crate::books::{files_of, pages_of, put};

const FROM: [u8; 32] = [1; 32];

/// A site of two pages, as a run leaves it.
fn site() -> (TempDir, PathBuf) {
    let home = tempfile::tempdir().unwrap();
    let into = home.path().join("site");
    let pages = [("index.html", "i"), ("guides/a/b.html", "b")];
    let pages = pages.map(|(page, text)| (page.to_string(), text.as_bytes().to_vec())).into();
    publish(&into, &pages, Theirs::Stay).unwrap();
    write_found(&into, b"found").unwrap();
    leave(&into, FROM, &pages, "two warnings").unwrap();
    (home, into)
}

#[test]
fn a_site_as_it_was_left_is_known_with_what_was_told_of_it() {
    let (_home, into) = site();
    let untouched = untouched(&into, FROM).unwrap();
    assert_eq!(untouched.pages, ["guides/a/b.html", "index.html"]);
    assert_eq!(untouched.told, "two warnings");
}

type Change = Box<dyn Fn(&Path)>;

#[cfg(unix)]
fn link_instead(into: &Path, name: &str) {
    fs::rename(into.join(name), into.join("aside")).unwrap();
    std::os::unix::fs::symlink("aside", into.join(name)).unwrap();
}

fn add(into: &Path, name: &str, text: &str) {
    let old = fs::read(into.join(name)).unwrap();
    fs::write(into.join(name), [&old, text.as_bytes()].concat()).unwrap();
}

#[test]
fn another_source_and_any_change_of_what_lies_there_are_seen() {
    let (_home, into) = site();
    assert_eq!(untouched(&into, [2; 32]), None);
    let changes: Vec<(&str, Change)> = vec![
        ("a page edited", Box::new(|into| fs::write(into.join("index.html"), "j").unwrap())),
        ("a page deleted", Box::new(|into| fs::remove_file(into.join("guides/a/b.html")).unwrap())),
        ("a folder deleted", Box::new(|into| fs::remove_dir_all(into.join("guides")).unwrap())),
        ("a page too many", Box::new(|into| add(into, ".benchleaf-written", "more.html\n"))),
        ("no ledger", Box::new(|into| fs::remove_file(into.join(".benchleaf-written")).unwrap())),
        ("what was found is gone", Box::new(|into| fs::remove_file(into.join(".benchleaf-found")).unwrap())),
        ("what was found is other", Box::new(|into| add(into, ".benchleaf-found", "x"))),
        ("the record is longer", Box::new(|into| add(into, ".benchleaf-left", "x"))),
        ("the record is gone", Box::new(|into| fs::remove_file(into.join(".benchleaf-left")).unwrap())),
        #[cfg(unix)]
        ("a link for a page", Box::new(|into| link_instead(into, "index.html"))),
        #[cfg(unix)]
        ("a link for a folder", Box::new(|into| link_instead(into, "guides"))),
    ];
    for (what, change) in changes {
        let (_home, into) = site();
        change(&into);
        assert_eq!(untouched(&into, FROM), None, "{what}");
    }
    for at in (0..fs::read(into.join(".benchleaf-left")).unwrap().len()).step_by(11) {
        let (_home, into) = site();
        let mut torn = fs::read(into.join(".benchleaf-left")).unwrap();
        torn[at] ^= 1;
        fs::write(into.join(".benchleaf-left"), torn).unwrap();
        assert_eq!(untouched(&into, FROM), None, "byte {at}");
    }
}

/// A copy of a small book, with something to warn about.
fn book() -> TempDir {
    let home = tempfile::tempdir().unwrap();
    for (path, bytes) in files_of(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/good/plain")) {
        put(&home.path().join(path), &bytes);
    }
    put(&home.path().join("content/nobody-reads-this.txt"), b"x");
    home
}

fn compile(book: &Path, more: &[&str]) -> Output {
    let mut program = assert_cmd::Command::new(env!("CARGO_BIN_EXE_benchleaf"));
    program.arg("compile").arg(book).args(more).timeout(Duration::from_secs(60)).output().unwrap()
}

fn texts(output: &Output) -> (String, String) {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    (text(&output.stdout), text(&output.stderr))
}

const NOTHING: &str = "nothing to do: ";

#[test]
fn a_second_compile_does_nothing_says_so_and_warns_as_the_first_did() {
    let book = book();
    let (_, first) = texts(&compile(book.path(), &[]));
    assert!(first.contains("nobody-reads-this.txt") && !first.contains(NOTHING), "{first}");
    let then = files_of(&book.path().join("public"));
    let (out, second) = texts(&compile(book.path(), &[]));
    assert!(out.contains(" 0 written, ") && out.contains(" unchanged, 0 removed"), "{out}");
    let (warned, said) = second.split_once(NOTHING).expect("it says that there is nothing to do");
    assert_eq!((warned, said.lines().count()), (first.as_str(), 1));
    assert_eq!(files_of(&book.path().join("public")), then);
}

#[test]
fn an_edited_a_deleted_and_a_forgotten_page_are_mended_and_an_edited_book_is_compiled() {
    let book = book();
    let public = book.path().join("public");
    compile(book.path(), &[]);
    let good = pages_of(&public);
    let index = public.join("index.html");
    for spoil in [
        (&|| fs::write(&index, "mine").unwrap()) as &dyn Fn(),
        &|| fs::remove_file(&index).unwrap(),
        &|| fs::remove_dir_all(public.join("parts")).unwrap(),
        &|| fs::remove_dir_all(&public).unwrap(),
    ] {
        spoil();
        let output = compile(book.path(), &[]);
        assert!(output.status.success() && !texts(&output).1.contains(NOTHING));
        assert_eq!(pages_of(&public), good);
        assert!(texts(&compile(book.path(), &[])).1.contains(NOTHING));
    }
    let edited = fs::read_to_string(book.path().join("parts/shims.toml")).unwrap() + "# counted\n";
    put(&book.path().join("parts/shims.toml"), edited.as_bytes());
    assert!(!texts(&compile(book.path(), &[])).1.contains(NOTHING), "a comment may be shown one day");
    put(&book.path().join("parts/shims.toml"), b"id = = 1");
    assert_eq!(compile(book.path(), &[]).status.code(), Some(1));
    assert_eq!(pages_of(&public), good);
}

#[test]
fn why_tells_of_a_page_what_it_is_made_from_and_what_the_run_did() {
    let book = book();
    let guide = "guides/fork-heron/plain.html";
    let first = texts(&compile(book.path(), &["--why", guide])).0;
    assert!(first.starts_with(&format!("{guide}: made again and written")), "{first}");
    assert!(
        first.contains("  fork-heron with plain: found anew; no run of this program left it\n"),
        "{first}"
    );
    assert!(first.contains("  parts/shims.toml: shim-alder\n"), "{first}");

    // With nothing to do the same is told of the same walk.
    let again = texts(&compile(book.path(), &["--why", "fork-heron/plain"])).0;
    assert!(again.starts_with(&format!("{guide}: not made again")), "{again}");
    assert!(again.contains("  fork-heron with plain: kept; "), "{again}");

    let shims = book.path().join("parts/shims.toml");
    let edited = fs::read_to_string(&shims).unwrap().replace("outside = \"31.8\"", "outside = \"31.75\"");
    put(&shims, edited.as_bytes());
    let part = "parts/shim-alder.html";
    let json = texts(&compile(book.path(), &["--why", part, "--json"])).0;
    let told: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!((&told["page"], &told["answers"][0]["found"]), (&part.into(), &"anew".into()));
    assert_eq!(told["answers"][0]["because"], serde_json::json!(["parts/shims.toml shim-alder"]));
    assert_eq!(told["made"], "written");

    let (out, err) = texts(&compile(book.path(), &["--why", "guides/fork-heron/plian.html"]));
    assert!(out.is_empty() && err.contains("error[why-page-unknown]") && err.contains(guide), "{out}{err}");
    let several = compile(book.path(), &["--why", "parts/"]);
    assert_eq!(several.status.code(), Some(2));
}
