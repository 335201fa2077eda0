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
    assert!(guide.contains("class=\"safety "), "the built-in cautions are on it");
    let shop = fs::read_to_string(home.path().join("book/content/shop.toml")).unwrap();
    let shop: toml::Table = shop.parse().unwrap();
    assert_eq!(shop["name"].as_str(), Some("Quay \"Wheels\" & co"));
    assert_eq!((shop["currency"].as_str(), shop["units"].as_str()), (Some("GBP"), Some("in")));
}

/// The page for whoever keeps the book: every kind with its caliper picture, every entry, linked from the front page.
#[test]
fn the_site_of_a_new_book_tells_what_may_be_written_and_shows_where_the_caliper_goes() {
    let home = begun(&[]);
    let output = benchleaf(home.path(), &["compile", "book"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let site = home.path().join("book/public");
    assert!(fs::read_to_string(site.join("index.html")).unwrap().contains("href=\"reference.html\""));
    let page = fs::read_to_string(site.join("reference.html")).unwrap();
    let parsed = scraper::Html::parse_document(&page);
    assert!(parsed.errors.is_empty(), "{:?}", parsed.errors);
    for topic in benchleaf::reference::topics() {
        let heading = format!("id=\"topic-{}\"", topic.name);
        assert_eq!(page.matches(&heading).count(), 1, "{heading}");
    }
    let drawings = scraper::Selector::parse("figure.drawing svg[data-drawing=part]").unwrap();
    assert_eq!(parsed.select(&drawings).count(), benchleaf::kinds::all().len());
    let ids: Vec<&str> = page.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    let mut once = ids.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), ids.len(), "an id stands twice");
}

/// Of a book that takes built-in rules the site remembers which; a newer program that brings others says so.
#[test]
fn a_built_in_rule_that_is_another_since_the_last_compile_is_told_with_the_answers_that_are_others() {
    let home = begun(&[]);
    let compile = || benchleaf(home.path(), &["compile", "book"]);
    assert!(!err(&compile()).contains("built-in-changed"));
    assert!(!err(&compile()).contains("built-in-changed"), "nothing changed");
    let change = |path: &str, from: &str, to: &str| {
        let path = home.path().join("book/public/data").join(path);
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains(from), "{text}");
        fs::write(&path, text.replacen(from, to, 1)).unwrap();
    };
    change("built-in.json", "wide-shim.toml\": \"", "wide-shim.toml\": \"0");
    change("pairings.json", "\"verdict\":\"goes\"", "\"verdict\":\"no\"");
    let told = err(&compile());
    assert!(told.contains("built-in-changed") && told.contains("content/systems/wide-shim.toml"), "{told}");
    assert!(told.contains("fork-lapwing with wide-shim: goes, was no"), "{told}");
    assert!(!err(&compile()).contains("built-in-changed"), "it is told once");
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
fn forks_and_systems_are_named_as_people_name_them() {
    let home = begun(&[]);
    let pair = |fork: &str, system: &str| benchleaf(home.path(), &["pair", fork, system, "--book", "book"]);
    for (fork, system) in
        [("lapwing", "hic"), ("Lapwing Fork", "wide shim"), ("lap", "w"), ("fork-lapwing", "wide-shim")]
    {
        let output = pair(fork, system);
        assert_eq!(code(&output), 0, "{fork} {system}: {}", err(&output));
        assert!(out(&output).starts_with("Lapwing fork with HIC (wide shim)\n"), "{}", out(&output));
    }
    let output = pair("lapwign", "quill");
    assert_eq!(code(&output), 2);
    assert!(
        err(&output).contains("try fork-lapwing") && err(&output).contains("wide-shim (Wide shim, HIC)"),
        "{}",
        err(&output)
    );
    let listed = out(&benchleaf(home.path(), &["ids", "fork", "--book", "book"]));
    assert_eq!(listed, "fork:\n  fork-lapwing  Lapwing fork (Ferrymead Forks)\n");
}

#[test]
fn a_pairing_is_told_in_a_screen_and_whole_where_that_is_asked_for() {
    let home = begun(&[]);
    let pair = |more: &[&str]| {
        out(&benchleaf(home.path(), &[&["pair", "lapwing", "hic", "--book", "book"], more].concat()))
    };
    let (brief, whole) = (pair(&[]), pair(&["--whole"]));
    for heading in ["\nTo buy\n", "\nSteps\n", "\nBefore you ride\n"] {
        assert!(brief.contains(heading) && whole.contains(heading), "{heading:?}: {brief}");
    }
    for heading in ["\nNumbers\n", "\nParts, bottom to top\n"] {
        assert!(!brief.contains(heading) && whole.contains(heading), "{heading:?}");
    }
    assert!(
        brief.contains("--whole tells the rest") && brief.lines().count() <= 60,
        "{}",
        brief.lines().count()
    );
}

#[test]
fn completions_and_the_manual_page_come_from_the_program_itself() {
    let home = tempfile::tempdir().unwrap();
    for (args, expected) in [
        (&["completions", "bash"][..], "_benchleaf()"),
        (&["completions", "fish"], "complete -c benchleaf"),
        (&["manual"], ".TH benchleaf 1"),
    ] {
        let output = benchleaf(home.path(), args);
        assert_eq!(code(&output), 0);
        assert!(out(&output).contains(expected) && out(&output).contains("inspect"), "{args:?}");
    }
}

#[test]
fn a_slip_in_the_name_of_a_folder_is_told_with_the_book_that_is_meant() {
    let home = begun(&[]);
    for (typed, expected) in [
        ("book/parts/forks.toml", "name the book's own folder, book"),
        ("book/parts", "name the book's own folder: "),
        ("nowhere", "benchleaf begin nowhere"),
    ] {
        let told = benchleaf(home.path(), &["inspect", typed]);
        assert!(matches!(code(&told), 1 | 2), "{typed}");
        let told = err(&told) + &out(&told);
        assert!(told.contains(expected), "{typed}: {told}");
    }
}

#[test]
fn inspect_finds_a_dead_link_as_compile_does() {
    let home = begun(&[]);
    fs::create_dir_all(home.path().join("book/content/pages")).unwrap();
    fs::write(home.path().join("book/content/pages/a.md"), "# A\n\n[x](parts/nothing.html)\n").unwrap();
    for command in ["inspect", "compile"] {
        let output = benchleaf(home.path(), &[command, "book"]);
        assert_eq!(code(&output), 1, "{command}");
        assert!((out(&output) + &err(&output)).contains("prose-link-dead"), "{command}");
    }
}

#[test]
fn a_book_of_a_later_format_is_refused_with_what_to_do() {
    let home = begun(&[]);
    let shop = home.path().join("book/content/shop.toml");
    let text = fs::read_to_string(&shop).unwrap().replace("format = 1", "format = 2");
    fs::write(&shop, text + "\n[something.new]\nx = 1\n").unwrap();
    let output = benchleaf(home.path(), &["compile", "book"]);
    assert_eq!(code(&output), 1);
    assert!(
        err(&output).contains("book-format-later") && err(&output).contains("use a newer Benchleaf"),
        "{}",
        err(&output)
    );
    assert!(!err(&output).contains("field-unknown"), "{}", err(&output));
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
fn a_built_in_system_under_another_name_is_the_start_of_one_of_the_books_own() {
    let home = begun(&[]);
    let unpack =
        |name: &str, new: &str| benchleaf(home.path(), &["unpack", name, "--as", new, "--book", "book"]);
    let output = unpack("wide-shim", "tall-shim");
    assert_eq!(code(&output), 0, "{}", err(&output));
    let paired = out(&benchleaf(home.path(), &["pair", "lapwing", "tall", "--book", "book"]));
    assert!(paired.starts_with("Lapwing fork with Tall shim\nGoes"), "{paired}");
    assert_eq!(code(&unpack("wide-shim", "Tall Shim")), 2);
    assert_eq!(code(&unpack("spacers", "rings")), 2);
}

#[test]
fn a_part_that_nobody_can_buy_and_a_fork_that_goes_with_nothing_are_told_with_why() {
    let home = begun(&[]);
    let forks = home.path().join("book/parts/forks.toml");
    let text = fs::read_to_string(&forks).unwrap();
    let own =
        text[text.find("\n[[part]]\n").unwrap()..].replace("lapwing", "snipe").replace("Lapwing", "Snipe");
    fs::write(&forks, text.clone() + "\n" + &own.replace("148.5 ±0.1", "136.5 measured")).unwrap();
    let shim =
        "id;name;inside;outside;length;slot\nshim-own;Own shim;28,65 +0,08/+0;31,75 +0/-0,05;38,0;3,1\n";
    fs::write(home.path().join("book/parts/shims.csv"), shim).unwrap();
    let told = err(&benchleaf(home.path(), &["compile", "book"]));
    assert!(told.contains("part-cannot-be-had") && told.contains("nobody can buy shim-own"), "{told}");
    let told = out(&benchleaf(home.path(), &["inspect", "book"]));
    assert!(
        told.contains("Snipe fork goes with no clamp system") && told.contains("note: HIC (wide shim): No"),
        "{told}"
    );
}

#[test]
fn a_part_of_the_books_own_takes_the_place_of_a_built_in_one() {
    let home = begun(&[]);
    let own = "[[part]]\nid = \"race-30\"\nkind = \"crown-race\"\nname = \"Our race\"\nloose = true\nbore = \"30 +0.03/+0\"\n\
               flange_outside = \"40 ±0.1\"\nflange_height = \"1.5 ±0.03\"\ncone_gauge = \"34.6 ±0.03\"\n\
               cone_height = \"2 ±0.05\"\nangle = \"45\"\n";
    fs::write(home.path().join("book/parts/own.toml"), own).unwrap();
    let paired = out(&benchleaf(home.path(), &["pair", "fork-lapwing", "wide-shim", "--book", "book"]));
    assert!(paired.contains("Our race") && !paired.contains("Crown race 30 mm"), "{paired}");
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
