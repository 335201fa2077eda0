//! Reads a book whole, as it is at one moment. Knows which folders count, not what is in them.

use std::fs;
use std::io::{ErrorKind, Read};
use std::path::Path;

use walkdir::{DirEntry, WalkDir};

use super::names::{BOOK_FOLDERS, is_book_file, is_passing_name, is_picture};
use super::{DiskTrouble, MachineTrouble};
use crate::base::{BookFiles, Problem};

/// The folders without which there is no book.
const NEEDED: [&str; 2] = ["content", "parts"];

/// No file of a book comes near it.
const MOST_BYTES: u64 = 64 << 20;

/// Every file of the book in `content/`, `parts/` and `themes/`, passing files left out. The same on every machine: paths
/// with `/`, in byte order. A file that nothing reads is there by its name alone, without its bytes; pictures are not. A file that vanishes between the listing and the reading counts as never there.
///
/// Refused, all told at once: a missing `content` or `parts`, paths that are not UTF-8, links that lead out of
/// the book (never followed), to nothing or round in a ring, files larger than any of a book.
pub fn snapshot(book: &Path) -> Result<BookFiles, DiskTrouble> {
    let mut refused = vec![];
    let missing: Vec<&str> = NEEDED.into_iter().filter(|name| !book.join(name).is_dir()).collect();
    if missing.len() == NEEDED.len() {
        refused.push(no_book(book));
    } else {
        refused.extend(missing.into_iter().map(missing_folder));
    }
    let home = fs::canonicalize(book).map_err(MachineTrouble::at("finding the book", book));
    let home = match home {
        Ok(home) => home,
        Err(_) if !refused.is_empty() => return Err(DiskTrouble::Book(refused)),
        Err(trouble) => return Err(trouble.into()),
    };
    let mut files = BookFiles::new();
    for name in BOOK_FOLDERS {
        if home.join(name).is_dir() {
            read_folder(&home, name, &mut files, &mut refused)?;
        }
    }
    if refused.is_empty() { Ok(files) } else { Err(DiskTrouble::Book(refused)) }
}

/// Neither of the two is there: another folder is meant, or none was begun.
fn no_book(folder: &Path) -> Problem {
    let around = std::path::absolute(folder).ok();
    let around = around.as_deref().into_iter().flat_map(Path::ancestors).skip(1);
    let around = around.into_iter().find(|above| NEEDED.iter().all(|name| above.join(name).is_dir()));
    let problem = Problem::error("book-missing", "this folder is no book")
        .in_file("./")
        .note("a book is a folder with `content` and `parts` in it");
    match around {
        Some(book) => problem.mend(format!("name the book's own folder: {}", book.display())),
        None => problem.mend("name the book's own folder, or write a new one with `benchleaf begin FOLDER`"),
    }
}

fn missing_folder(name: &str) -> Problem {
    Problem::error("book-folder-missing", format!("the book has no folder `{name}`"))
        .in_file(format!("{name}/"))
        .note("a book is a folder with `content` and `parts` in it")
        .mend(format!("make the folder `{name}`, or name the book's own folder on the command line"))
}

fn read_folder(
    home: &Path,
    name: &str,
    files: &mut BookFiles,
    refused: &mut Vec<Problem>,
) -> Result<(), MachineTrouble> {
    // A book's own folder may itself be a link: it is judged like any other.
    if !leads_inside(home, &home.join(name)) {
        refused.push(link_outside(name));
        return Ok(());
    }
    let mut walk = WalkDir::new(home.join(name)).follow_links(true).sort_by_file_name().into_iter();
    while let Some(step) = walk.next() {
        let entry = match step {
            Ok(entry) => entry,
            Err(error) => {
                refused.extend(walk_problem(home, error)?);
                continue;
            }
        };
        if entry.depth() > 0 && is_passing_name(&entry.file_name().to_string_lossy()) {
            skip(&mut walk, &entry);
            continue;
        }
        let Some(path) = inside_path(home, entry.path()) else {
            refused.push(path_not_text(home, entry.path()));
            skip(&mut walk, &entry);
            continue;
        };
        if entry.path_is_symlink() && !leads_inside(home, entry.path()) {
            refused.push(link_outside(&path));
            skip(&mut walk, &entry);
            continue;
        }
        if !entry.file_type().is_file() || is_picture(&path) && !is_book_file(&path) {
            continue;
        }
        if !is_book_file(&path) {
            // Known by its name, so that it can be told that nothing reads it.
            files.insert(path, vec![]);
            continue;
        }
        match read_up_to(entry.path(), MOST_BYTES) {
            Ok(Some(bytes)) => drop(files.insert(path, bytes)),
            Ok(None) => refused.push(too_large(&path)),
            Err(gone) if gone.kind() == ErrorKind::NotFound => {}
            Err(cause) => return Err(MachineTrouble::new("reading", entry.path(), cause)),
        }
    }
    Ok(())
}

/// Nothing if there is more: then no more than that is ever held.
fn read_up_to(path: &Path, most: u64) -> std::io::Result<Option<Vec<u8>>> {
    let file = fs::File::open(path)?;
    let length = file.metadata()?.len();
    let mut bytes = Vec::with_capacity(usize::try_from(length.min(most)).unwrap_or(0));
    let read = if length > most { length } else { file.take(most + 1).read_to_end(&mut bytes)? as u64 };
    Ok((read <= most).then_some(bytes))
}

fn too_large(path: &str) -> Problem {
    Problem::error("file-large", "this file is larger than any file of a book, and is not read")
        .in_file(path)
        .note("expected 64 MB at most")
        .mend("take it out of the book")
}

/// Leaves a folder unread. Of a file there is nothing to leave (the walk would leave its folder instead).
fn skip(walk: &mut walkdir::IntoIter, entry: &DirEntry) {
    if entry.file_type().is_dir() {
        walk.skip_current_dir();
    }
}

/// The path inside the book with `/`; nothing if it is not UTF-8.
fn inside_path(home: &Path, path: &Path) -> Option<String> {
    let inside = path.strip_prefix(home).ok()?;
    let names: Option<Vec<&str>> = inside.iter().map(|name| name.to_str()).collect();
    Some(names?.join("/"))
}

fn lossy_path(home: &Path, path: &Path) -> String {
    path.strip_prefix(home).unwrap_or(path).to_string_lossy().replace('\\', "/")
}

fn leads_inside(home: &Path, path: &Path) -> bool {
    fs::canonicalize(path).is_ok_and(|end| end.starts_with(home))
}

/// Links that go nowhere or in a ring are the author's; a file that has just gone is nobody's; the rest is the machine's.
fn walk_problem(home: &Path, error: walkdir::Error) -> Result<Option<Problem>, MachineTrouble> {
    let path = error.path().unwrap_or(home).to_path_buf();
    let passing = path.file_name().is_some_and(|name| is_passing_name(&name.to_string_lossy()));
    let is_link = fs::symlink_metadata(&path).is_ok_and(|about| about.file_type().is_symlink());
    let shown = lossy_path(home, &path);
    if passing {
        return Ok(None);
    }
    if error.loop_ancestor().is_some() {
        let fact = "this link leads back to a folder it lies in";
        return Ok(Some(Problem::error("link-ring", fact).in_file(shown).mend("remove the link")));
    }
    let cause = error.into_io_error().unwrap_or_else(|| ErrorKind::Other.into());
    match cause.kind() {
        ErrorKind::NotFound if is_link => {
            let fact = "this link leads to nothing";
            Ok(Some(Problem::error("link-broken", fact).in_file(shown).mend("mend the link or remove it")))
        }
        ErrorKind::NotFound => Ok(None),
        _ => Err(MachineTrouble::new("looking into", &path, cause)),
    }
}

fn link_outside(path: &str) -> Problem {
    Problem::error("link-outside", "this link leads out of the book and is not followed")
        .in_file(path)
        .mend("put a copy of the file into the book instead")
}

fn path_not_text(home: &Path, path: &Path) -> Problem {
    Problem::error("path-not-utf8", "this file's name is not UTF-8 text")
        .in_file(lossy_path(home, path))
        .mend("give the file a name in UTF-8; plain letters, digits and hyphens work everywhere")
}
