//! A book read from a real disk: what counts, what is passed over, what is refused.

use std::fs;
use std::path::Path;

use benchleaf::base::BookFiles;
use benchleaf::disk::{DiskTrouble, snapshot};
use tempfile::TempDir;

fn book(files: &[(&str, &str)]) -> TempDir {
    let home = tempfile::tempdir().unwrap();
    for folder in ["content", "parts"] {
        fs::create_dir(home.path().join(folder)).unwrap();
    }
    for (path, text) in files {
        put(home.path(), path, text);
    }
    home
}

fn put(home: &Path, path: &str, text: &str) {
    let path = home.join(path);
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, text).unwrap();
}

fn read(home: &Path) -> BookFiles {
    snapshot(home).unwrap()
}

/// Codes and files of what the author is told.
fn refused(home: &Path) -> Vec<(&'static str, String)> {
    match snapshot(home) {
        Err(DiskTrouble::Book(problems)) => {
            problems.into_iter().map(|p| (p.code, p.path.unwrap_or_default())).collect()
        }
        Err(DiskTrouble::Machine(trouble)) => panic!("the machine failed: {trouble}"),
        Ok(files) => panic!("not refused: {:?}", files.keys()),
    }
}

#[test]
fn a_snapshot_holds_the_three_folders_by_path_and_nothing_else() {
    let home = book(&[
        ("parts/deep/er/shims.toml", "a"),
        ("parts/b.toml", "b"),
        ("content/shop.toml", "c"),
        ("themes/plain/page.html", "d"),
        ("public/index.html", "no"),
        ("readme.md", "no"),
    ]);
    let files = read(home.path());
    let paths: Vec<&str> = files.keys().map(String::as_str).collect();
    assert_eq!(
        paths,
        ["content/shop.toml", "parts/b.toml", "parts/deep/er/shims.toml", "themes/plain/page.html"]
    );
    assert_eq!(files["parts/deep/er/shims.toml"], b"a");
}

#[test]
fn passing_files_and_hidden_folders_are_not_in_a_snapshot_but_their_neighbours_are() {
    let home = book(&[
        ("parts/.a.toml.swp", "no"),
        ("parts/.#a.toml", "no"),
        ("parts/a.toml~", "no"),
        ("parts/#a.toml#", "no"),
        ("parts/.git/config", "no"),
        ("parts/a.toml", "yes"),
        ("parts/z.toml", "yes"),
    ]);
    assert_eq!(read(home.path()).into_keys().collect::<Vec<_>>(), ["parts/a.toml", "parts/z.toml"]);
}

#[test]
fn a_folder_with_neither_is_no_book_and_one_that_is_missing_is_named() {
    let home = tempfile::tempdir().unwrap();
    assert_eq!(refused(home.path()), [("book-missing", "./".into())]);
    fs::create_dir(home.path().join("content")).unwrap();
    fs::write(home.path().join("parts"), "a file is no folder").unwrap();
    assert_eq!(refused(home.path()), [("book-folder-missing", "parts/".into())]);
}

#[test]
fn a_file_that_nothing_reads_is_known_by_its_name_alone() {
    let home =
        book(&[("parts/stock.xlsx", "long"), ("content/saftey/a.MD", "long"), ("parts/photo.JPG", "no")]);
    let files = read(home.path());
    assert_eq!(files.keys().collect::<Vec<_>>(), ["content/saftey/a.MD", "parts/stock.xlsx"]);
    assert!(files.values().all(|bytes| bytes.is_empty()));
}

#[test]
fn what_is_not_the_books_is_not_read_and_a_file_larger_than_any_of_a_book_is_refused() {
    let home = book(&[("parts/a.toml", "a"), ("parts/photo.jpg", "no"), ("themes/plain/logo.png", "yes")]);
    let huge = |name: &str| fs::File::create(home.path().join(name)).unwrap().set_len(3 << 30).unwrap();
    huge("parts/ride.mp4");
    assert_eq!(read(home.path()).into_keys().collect::<Vec<_>>(), ["parts/a.toml", "themes/plain/logo.png"]);
    huge("parts/b.toml");
    assert_eq!(refused(home.path()), [("file-large", "parts/b.toml".into())]);
}

#[cfg(unix)]
mod links {
    use super::*;
    use std::os::unix::ffi::OsStrExt;
    use std::os::unix::fs::symlink;

    #[test]
    fn a_link_inside_the_book_is_read_and_one_leaving_it_never_is() {
        let outside = tempfile::tempdir().unwrap();
        put(outside.path(), "secret.toml", "secret");
        let home = book(&[("parts/a.toml", "a")]);
        symlink("a.toml", home.path().join("parts/b.toml")).unwrap();
        assert_eq!(read(home.path())["parts/b.toml"], b"a");
        symlink(outside.path(), home.path().join("parts/folder")).unwrap();
        symlink(outside.path().join("secret.toml"), home.path().join("parts/file.toml")).unwrap();
        let told = refused(home.path());
        assert_eq!(
            told,
            [("link-outside", "parts/file.toml".into()), ("link-outside", "parts/folder".into())]
        );
    }

    #[test]
    fn a_book_folder_that_is_itself_a_link_leaving_the_book_is_refused() {
        let outside = tempfile::tempdir().unwrap();
        let home = tempfile::tempdir().unwrap();
        fs::create_dir(home.path().join("content")).unwrap();
        symlink(outside.path(), home.path().join("parts")).unwrap();
        assert_eq!(refused(home.path()), [("link-outside", "parts".into())]);
    }

    #[test]
    fn a_link_to_nothing_and_a_ring_of_links_are_told_and_end() {
        let home = book(&[("parts/a.toml", "a")]);
        symlink("nowhere", home.path().join("parts/b.toml")).unwrap();
        symlink("..", home.path().join("parts/ring")).unwrap();
        let told = refused(home.path());
        assert!(told.contains(&("link-broken", "parts/b.toml".into())), "{told:?}");
        assert!(told.iter().any(|(code, _)| *code == "link-ring"), "{told:?}");
    }

    #[test]
    fn an_editors_lock_that_links_to_nothing_is_passed_over() {
        let home = book(&[("parts/a.toml", "a")]);
        symlink("somebody@somewhere.1234", home.path().join("parts/.#a.toml")).unwrap();
        assert_eq!(read(home.path()).len(), 1);
    }

    #[test]
    fn a_name_that_is_not_utf8_is_refused_and_the_rest_still_looked_at() {
        let home = book(&[]);
        let name = std::ffi::OsStr::from_bytes(b"shim\xff.toml");
        fs::write(home.path().join("parts").join(name), "x").unwrap();
        symlink("/dev", home.path().join("parts/z")).unwrap();
        let codes: Vec<&str> = refused(home.path()).into_iter().map(|(code, _)| code).collect();
        assert_eq!(codes, ["path-not-utf8", "link-outside"]);
    }
}
