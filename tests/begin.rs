//! The real program in an empty folder: a book is begun, compiles at once, and takes what comes with the program.

use std::fs;
use std::path::Path;
use std::process::Output;
use std::time::Duration;

use tempfile::TempDir;

fn benchleaf(home: &Path, args: &[&str]) -> Output {
    let mut program = assert_cmd::Command::new(env!("CARGO_BIN_EXE_benchleaf"));
    program.current_dir(home).args(args).timeout(Duration::from_secs(120)).output().unwrap()
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

fn begun(args: &[&str]) -> TempDir {
    let home = tempfile::tempdir().unwrap();
    let output = benchleaf(home.path(), &[&["begin", "book"], args].concat());
    assert_eq!(code(&output), 0, "{}", err(&output));
    home
}

#[test]
fn a_book_that_was_begun_compiles_at_once_and_its_guide_goes() {
    let home = begun(&["--name", "Quay \"Wheels\" & co", "--currency", "gbp", "--units", "in"]);
    let output = benchleaf(home.path(), &["compile", "book"]);
    assert_eq!((code(&output), err(&output).contains("warning")), (0, false), "{}", err(&output));
    let guide =
        fs::read_to_string(home.path().join("book/public/guides/fork-lapwing/wide-shim.html")).unwrap();
    assert!(guide.contains("data-verdict=\"goes\""), "the guide goes");
    assert!(guide.contains("class=\"safety\""), "the built-in cautions are on it");
    let shop = fs::read_to_string(home.path().join("book/content/shop.toml")).unwrap();
    let shop: toml::Table = shop.parse().unwrap();
    assert_eq!(shop["name"].as_str(), Some("Quay \"Wheels\" & co"));
    assert_eq!((shop["currency"].as_str(), shop["units"].as_str()), (Some("GBP"), Some("in")));
}

#[test]
fn its_prices_are_right_in_a_currency_without_decimals() {
    let home = begun(&["--currency", "JPY"]);
    let output = benchleaf(home.path(), &["inspect", "book"]);
    assert_eq!((code(&output), out(&output).as_str()), (0, "no errors, no warnings\n"), "{}", err(&output));
}

#[test]
fn nothing_is_ever_written_over() {
    let home = begun(&[]);
    let before = fs::read(home.path().join("book/content/shop.toml")).unwrap();
    for dir in ["book", "book/content/shop.toml"] {
        let output = benchleaf(home.path(), &["begin", dir, "--name", "Another"]);
        assert_eq!(code(&output), 2, "{dir}");
        assert!(err(&output).contains("is there already; nothing was written"), "{}", err(&output));
    }
    assert_eq!(fs::read(home.path().join("book/content/shop.toml")).unwrap(), before);
}

#[test]
fn a_folder_with_other_things_in_it_may_become_a_book() {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("notes.txt"), "mine").unwrap();
    assert_eq!(code(&benchleaf(home.path(), &["begin", "."])), 0);
    assert_eq!(fs::read_to_string(home.path().join("notes.txt")).unwrap(), "mine");
    assert!(home.path().join("parts/forks.toml").is_file());
}

#[test]
fn a_wrong_currency_or_unit_is_told_before_anything_is_written() {
    for wrong in [["--currency", "EURO"], ["--units", "feet"], ["--name", " "]] {
        let home = tempfile::tempdir().unwrap();
        let output = benchleaf(home.path(), &[&["begin", "book"], &wrong[..]].concat());
        assert_eq!(code(&output), 2, "{wrong:?}");
        assert!(!home.path().join("book").exists());
    }
}

#[test]
fn what_comes_with_the_program_is_listed_and_written_out_once() {
    let home = begun(&[]);
    let listed = out(&benchleaf(home.path(), &["unpack"]));
    for name in ["wide-shim", "locknut", "headset", "spacers", "safety", "words", "theme"] {
        assert!(listed.contains(&format!("  {name} ")), "{name} is not in\n{listed}");
        assert_eq!(code(&benchleaf(home.path(), &["unpack", name, "--book", "book"])), 0, "{name}");
    }
    for path in ["content/systems/wide-shim.toml", "content/words/en.toml", "themes/bench/guide.html"] {
        let own = fs::read(home.path().join("book").join(path)).unwrap();
        assert_eq!(own, fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap(), "{path}");
    }
    assert_eq!(code(&benchleaf(home.path(), &["unpack", "wide-shim", "--book", "book"])), 2);
    let near = benchleaf(home.path(), &["unpack", "wide-shin"]);
    assert_eq!(code(&near), 2);
    assert!(err(&near).contains("benchleaf unpack wide-shim"), "{}", err(&near));
    // The book goes on as before with its own files, and a part of its own takes the place of the built-in one.
    let inspected = benchleaf(home.path(), &["inspect", "book", "--quick"]);
    assert_eq!((code(&inspected), out(&inspected).as_str()), (0, "no errors, no warnings\n"));
}

#[test]
fn a_part_of_the_books_own_takes_the_place_of_a_built_in_one() {
    let home = begun(&[]);
    let own = "[[part]]\nid = \"race-30\"\nkind = \"crown-race\"\nname = \"Our race\"\nloose = true\nbore = \"30 +0.03/+0\"\n\
               flange_outside = \"40 ±0.1\"\nflange_height = \"1.5 ±0.03\"\ncone_gauge = \"34.6 ±0.03\"\n\
               cone_height = \"2 ±0.05\"\nangle = \"45\"\n";
    fs::write(home.path().join("book/parts/own.toml"), own).unwrap();
    let paired = out(&benchleaf(home.path(), &["pair", "fork-lapwing", "wide-shim", "--book", "book"]));
    assert!(paired.contains("Our race") && !paired.contains("Crown race 30"), "{paired}");
}

#[test]
fn a_system_that_does_not_come_with_the_program_is_told_with_the_near_one() {
    let home = begun(&[]);
    let shop = home.path().join("book/content/shop.toml");
    let text =
        fs::read_to_string(&shop).unwrap().replace("systems = [\"wide-shim\"]", "systems = [\"wide-shimm\"]");
    fs::write(&shop, text).unwrap();
    let told = out(&benchleaf(home.path(), &["inspect", "book", "--quick"]));
    assert!(told.contains("built-in-unknown") && told.contains("write \"wide-shim\""), "{told}");
}
