//! Pages put into a real folder: whole or not at all, nothing outside, nobody else's files touched.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

use benchleaf::publish::{Fault, LEDGER_NAME, PublishTrouble, Theirs, check_target};
use walkdir::WalkDir;

type Pages = BTreeMap<String, Vec<u8>>;

/// How many were written, unchanged and removed.
fn publish(into: &Path, pages: &Pages) -> Result<(usize, usize, usize), PublishTrouble> {
    let done = benchleaf::publish::publish(into, pages, Theirs::Stay)?;
    Ok((done.written.len(), done.unchanged, done.removed.len()))
}

fn pages(list: &[(&str, &str)]) -> Pages {
    list.iter().map(|(path, text)| (path.to_string(), text.as_bytes().to_vec())).collect()
}

/// Everything in a folder but the ledger, as "path=text" or "path/", in order.
fn look(into: &Path) -> Vec<String> {
    let walk = WalkDir::new(into).min_depth(1).sort_by_file_name().into_iter().map(|entry| entry.unwrap());
    let shown = walk.map(|entry| {
        let path = entry.path().strip_prefix(into).unwrap().to_str().unwrap().to_string();
        if entry.file_type().is_dir() {
            format!("{path}/")
        } else {
            format!("{path}={}", fs::read_to_string(entry.path()).unwrap())
        }
    });
    shown.filter(|line| !line.starts_with(LEDGER_NAME)).collect()
}

fn age(path: &Path) -> SystemTime {
    let old = SystemTime::now() - Duration::from_secs(86_400);
    fs::File::options().write(true).open(path).unwrap().set_modified(old).unwrap();
    fs::metadata(path).unwrap().modified().unwrap()
}

#[test]
fn pages_appear_with_their_folders_and_are_counted() {
    let home = tempfile::tempdir().unwrap();
    let into = home.path().join("new/site");
    let first = publish(&into, &pages(&[("index.html", "i"), ("guides/a/b.html", "b")])).unwrap();
    assert_eq!(first, (2, 0, 0));
    assert_eq!(look(&into), ["guides/", "guides/a/", "guides/a/b.html=b", "index.html=i"]);
}

#[cfg(unix)]
#[test]
fn pages_are_readable_by_everyone() {
    use std::os::unix::fs::PermissionsExt;
    let home = tempfile::tempdir().unwrap();
    publish(home.path(), &pages(&[("index.html", "i")])).unwrap();
    let mode = fs::metadata(home.path().join("index.html")).unwrap().permissions().mode();
    assert_eq!(mode & 0o777, 0o644);
}

#[test]
fn an_unchanged_page_keeps_its_time_stamp_and_a_changed_one_does_not() {
    let home = tempfile::tempdir().unwrap();
    publish(home.path(), &pages(&[("a.html", "a"), ("b.html", "b"), ("c.html", "c")])).unwrap();
    let paths: Vec<PathBuf> = ["a.html", "b.html", "c.html"].map(|name| home.path().join(name)).into();
    let then: Vec<SystemTime> = paths.iter().map(|path| age(path)).collect();
    let again =
        publish(home.path(), &pages(&[("a.html", "a"), ("b.html", "x"), ("c.html", "longer")])).unwrap();
    assert_eq!(again, (2, 1, 0));
    let now: Vec<SystemTime> = paths.iter().map(|p| fs::metadata(p).unwrap().modified().unwrap()).collect();
    assert_eq!(now[0], then[0]);
    assert!(now[1] > then[1] && now[2] > then[2]);
}

#[test]
fn only_what_was_written_earlier_is_removed() {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join(".gitkeep"), "").unwrap();
    fs::create_dir(home.path().join("parts")).unwrap();
    publish(home.path(), &pages(&[("index.html", "i"), ("parts/a.html", "a"), ("forks/deep/b.html", "b")]))
        .unwrap();
    fs::write(home.path().join("parts/mine.txt"), "m").unwrap();
    fs::create_dir(home.path().join("empty")).unwrap();
    let done = publish(home.path(), &pages(&[("index.html", "i")])).unwrap();
    assert_eq!(done, (0, 1, 2));
    assert_eq!(look(home.path()), [".gitkeep=", "empty/", "index.html=i", "parts/", "parts/mine.txt=m"]);
}

#[test]
fn a_folder_that_was_there_before_stays_though_it_becomes_empty() {
    let home = tempfile::tempdir().unwrap();
    fs::create_dir(home.path().join("theirs")).unwrap();
    publish(home.path(), &pages(&[("theirs/a.html", "a"), ("ours/a.html", "a")])).unwrap();
    publish(home.path(), &pages(&[])).unwrap();
    assert_eq!(look(home.path()), ["theirs/"]);
}

#[test]
fn a_page_may_become_a_folder_and_a_folder_a_page() {
    let home = tempfile::tempdir().unwrap();
    publish(home.path(), &pages(&[("a", "1"), ("b/c/d.html", "2")])).unwrap();
    publish(home.path(), &pages(&[("a/x.html", "3"), ("b", "4")])).unwrap();
    assert_eq!(look(home.path()), ["a/", "a/x.html=3", "b=4"]);
}

#[test]
fn a_page_path_leading_outside_stops_everything_before_the_first_write() {
    for bad in ["../out.html", "/out.html", "a/../../out.html", "a\\b.html", LEDGER_NAME] {
        let home = tempfile::tempdir().unwrap();
        let into = home.path().join("site");
        let error = publish(&into, &pages(&[("a.html", "a"), (bad, "x")])).unwrap_err();
        assert!(matches!(error, PublishTrouble::PageOutside(page) if page == bad));
        assert!(!into.exists());
    }
}

#[test]
fn a_forged_ledger_removes_nothing_outside_the_folder() {
    let home = tempfile::tempdir().unwrap();
    let into = home.path().join("site");
    let kept = home.path().join("kept.txt");
    fs::create_dir(&into).unwrap();
    fs::write(&kept, "k").unwrap();
    let forged = format!("../kept.txt\n{}\na/../../kept.txt\n../\n", kept.display());
    fs::write(into.join(LEDGER_NAME), forged).unwrap();
    assert_eq!(publish(&into, &pages(&[])).unwrap().2, 0);
    assert!(kept.exists());
}

#[cfg(unix)]
#[test]
fn links_in_the_folder_are_neither_written_through_nor_removed_through() {
    use std::os::unix::fs::symlink;
    let home = tempfile::tempdir().unwrap();
    let (into, outside) = (home.path().join("site"), home.path().join("outside"));
    fs::create_dir(&outside).unwrap();
    fs::write(outside.join("a.html"), "theirs").unwrap();
    publish(&into, &pages(&[("guides/a.html", "a"), ("b.html", "b")])).unwrap();
    fs::remove_dir_all(into.join("guides")).unwrap();
    symlink(&outside, into.join("guides")).unwrap();
    fs::remove_file(into.join("b.html")).unwrap();
    symlink(outside.join("a.html"), into.join("b.html")).unwrap();

    let refused = publish(&into, &pages(&[("guides/a.html", "new"), ("b.html", "b")])).unwrap_err();
    assert!(matches!(refused, PublishTrouble::Blocked(_)), "{refused}");
    publish(&into, &pages(&[("b.html", "mine")])).unwrap();
    assert_eq!(fs::read_to_string(outside.join("a.html")).unwrap(), "theirs");
    assert_eq!(fs::read_to_string(into.join("b.html")).unwrap(), "mine");
}

#[test]
fn when_a_folder_cannot_be_made_the_old_pages_stay() {
    let home = tempfile::tempdir().unwrap();
    publish(home.path(), &pages(&[("index.html", "old")])).unwrap();
    fs::write(home.path().join("guides"), "a file of somebody's").unwrap();
    let error = publish(home.path(), &pages(&[("index.html", "new"), ("guides/a.html", "a")])).unwrap_err();
    assert!(error.to_string().contains("guides"), "{error}");
    assert_eq!(look(home.path()), ["guides=a file of somebody's", "index.html=old"]);
}

#[test]
fn a_folder_of_somebodys_where_a_page_must_be_is_told_before_anything_is_written() {
    let home = tempfile::tempdir().unwrap();
    publish(home.path(), &pages(&[("index.html", "old"), ("n/own.html", "old")])).unwrap();
    fs::create_dir_all(home.path().join("m.html/theirs")).unwrap();
    fs::write(home.path().join("n/theirs.txt"), "t").unwrap();
    let wanted =
        pages(&[("a.html", "a"), ("index.html", "new"), ("m.html", "m"), ("n", "n"), ("z.html", "z")]);
    let error = publish(home.path(), &wanted).unwrap_err();
    let PublishTrouble::Blocked(blocked) = &error else { panic!("{error}") };
    assert_eq!(blocked.iter().map(|b| b.path.as_str()).collect::<Vec<_>>(), ["m.html", "n"]);
    let left = ["index.html=old", "m.html/", "m.html/theirs/", "n/", "n/own.html=old", "n/theirs.txt=t"];
    assert_eq!(look(home.path()), left);
}

#[test]
fn files_of_others_stay_until_the_user_says_so() {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("index.html"), "theirs").unwrap();
    fs::write(home.path().join("same.html"), "s").unwrap();
    fs::write(home.path().join("aside.html"), "theirs").unwrap();
    let wanted = pages(&[("index.html", "ours"), ("a.html", "a"), ("same.html", "s")]);
    let error = publish(home.path(), &wanted).unwrap_err();
    assert!(matches!(&error, PublishTrouble::Theirs(files) if files == &["index.html"]), "{error}");
    assert_eq!(look(home.path()), ["aside.html=theirs", "index.html=theirs", "same.html=s"]);
    assert!(!home.path().join(LEDGER_NAME).exists());
    benchleaf::publish::publish(home.path(), &wanted, Theirs::Replace).unwrap();
    assert_eq!(look(home.path()), ["a.html=a", "aside.html=theirs", "index.html=ours", "same.html=s"]);
    publish(home.path(), &pages(&[("index.html", "newer")])).unwrap();
    assert_eq!(look(home.path()), ["aside.html=theirs", "index.html=newer"]);
}

#[test]
fn nothing_of_a_run_lies_about_afterwards_and_what_a_killed_one_left_is_cleared_away() {
    let home = tempfile::tempdir().unwrap();
    publish(home.path(), &pages(&[("a.html", "1"), ("b/c.html", "1")])).unwrap();
    let shelf = home.path().join(".benchleaf-new");
    fs::create_dir_all(shelf.join("deep")).unwrap();
    fs::write(shelf.join("deep/new-0"), "half").unwrap();
    fs::write(home.path().join(".benchleaf-lock"), "1\n").unwrap();
    publish(home.path(), &pages(&[("a.html", "2"), ("b/c.html", "1")])).unwrap();
    let names = fs::read_dir(home.path()).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<String> = names.collect();
    names.sort();
    assert_eq!(names, [LEDGER_NAME, "a.html", "b"]);
}

#[test]
fn a_run_that_fails_takes_away_the_folders_that_it_made() {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("file"), "f").unwrap();
    publish(&home.path().join("file/site"), &pages(&[("a.html", "a")])).unwrap_err();
    assert_eq!(look(home.path()), ["file=f"]);
}

#[test]
fn another_run_in_the_same_folder_is_waited_for() {
    let home = tempfile::tempdir().unwrap();
    let all: Vec<Pages> =
        (0..8).map(|n| (0..30).map(|p| (format!("f{n}/{p}"), vec![n; 50])).collect()).collect();
    std::thread::scope(|scope| {
        for wanted in &all {
            scope.spawn(|| {
                (0..5).for_each(|_| {
                    publish(home.path(), wanted).unwrap();
                })
            });
        }
    });
    let mut found = vec![];
    for entry in WalkDir::new(home.path()).into_iter().map(|e| e.unwrap()).filter(|e| e.file_type().is_file())
    {
        let path = entry.path().strip_prefix(home.path()).unwrap().to_str().unwrap().to_string();
        found.push((path, fs::read(entry.path()).unwrap()));
    }
    let found: Pages = found.into_iter().filter(|(path, _)| path != LEDGER_NAME).collect();
    assert!(all.contains(&found), "{:?}", found.keys());
}

/// Run by the next test in a process of its own, which may write only small files.
#[cfg(unix)]
#[test]
#[ignore = "only inside a_full_disk_leaves_the_old_pages"]
fn child_with_little_room() {
    let Some(into) = std::env::var_os("BENCHLEAF_TEST_INTO") else { return };
    let big = "x".repeat(100_000);
    let error = publish(Path::new(&into), &pages(&[("a.html", "new"), ("z.html", &big)])).unwrap_err();
    let cause = std::error::Error::source(&error).unwrap().to_string();
    fs::write(Path::new(&into).join("told.txt"), format!("{error}: {cause}")).unwrap();
}

#[cfg(unix)]
#[test]
fn a_full_disk_leaves_the_old_pages_and_no_scraps() {
    let home = tempfile::tempdir().unwrap();
    publish(home.path(), &pages(&[("a.html", "old"), ("z.html", "old")])).unwrap();
    let status = std::process::Command::new("bash")
        .args([
            "-c",
            "trap '' XFSZ; ulimit -f 8; exec \"$0\" --exact shell_publish::child_with_little_room --ignored",
        ])
        .arg(std::env::current_exe().unwrap())
        .env("BENCHLEAF_TEST_INTO", home.path())
        // What it prints must not count: it may go into a file that is large already.
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .status();
    assert!(status.unwrap().success());
    let told = fs::read_to_string(home.path().join("told.txt")).unwrap();
    assert!(told.starts_with("writing ") && told.contains("z.html"), "{told}");
    fs::remove_file(home.path().join("told.txt")).unwrap();
    assert_eq!(look(home.path()), ["a.html=old", "z.html=old"]);
}

#[test]
fn a_site_cannot_go_over_its_own_book() {
    let home = tempfile::tempdir().unwrap();
    let book = home.path().join("book");
    for folder in ["content", "parts/deep", "public"] {
        fs::create_dir_all(book.join(folder)).unwrap();
    }
    let bad = [
        ".",
        "..",
        "content",
        "parts",
        "parts/deep",
        "parts/new",
        "themes",
        "src",
        "public/../parts",
        "../book",
        "x/..",
    ];
    for into in bad {
        assert!(check_target(&book, &book.join(into)).is_err(), "{into}");
    }
    for into in ["public", "public/inner", "new/site", "../beside", "contents"] {
        assert!(check_target(&book, &book.join(into)).is_ok(), "{into}");
    }
    fs::write(book.join("file"), "").unwrap();
    assert_eq!(check_target(&book, &book.join("file")).unwrap_err().fault, Fault::InTheWay);
}

#[cfg(unix)]
#[test]
fn a_link_does_not_get_a_site_into_the_book() {
    let home = tempfile::tempdir().unwrap();
    fs::create_dir_all(home.path().join("book/parts")).unwrap();
    let link = home.path().join("link");
    std::os::unix::fs::symlink(home.path().join("book/parts"), &link).unwrap();
    assert!(check_target(&home.path().join("book"), &link).is_err());
    assert!(check_target(&home.path().join("book"), &link.join("site")).is_err());
}
