//! `ids`: everything in a book that has an id, with its name. Knows only how it is laid out.

use super::args::{self, checked_book};
use super::clean_text::{clean, escaped_json};
use super::compile::{Unread, read_book, tell_errors};
use super::{Ending, say};
use crate::base::{Sources, suggest};
use crate::compile::{Listed, ids};
use crate::kinds;
use std::path::{Path, PathBuf};

const CONSEQUENCE: &str = "nothing listed";

pub fn run(typed: &args::Ids) -> Ending {
    let (sort, book) = match meant(typed) {
        Ok(meant) => meant,
        Err(ending) => return ending,
    };
    let book = match checked_book(&book) {
        Ok(book) => book,
        Err(ending) => return ending,
    };
    let files = match read_book(&book) {
        Ok(files) => files,
        Err(Unread::Book(problems)) => return tell_errors(&problems, &Sources::default(), CONSEQUENCE),
        Err(Unread::Told(ending)) => return ending,
    };
    let all = match ids(&files) {
        Ok(all) => all,
        Err(failed) => return tell_errors(&failed.problems, &failed.sources, CONSEQUENCE),
    };
    let Some(sort) = &sort else { return print(&all.iter().collect::<Vec<_>>(), typed.json) };
    let of = |listed: &&Listed| {
        listed.sort == *sort || listed.sort.trim_end_matches('s') == sort.trim_end_matches('s')
    };
    let found: Vec<&Listed> = all.iter().filter(of).collect();
    if !found.is_empty() {
        return print(&found, typed.json);
    }
    let mut sorts: Vec<&str> = all.iter().map(|listed| listed.sort.as_str()).collect();
    sorts.dedup();
    let ending = say::wrong_command(&format!("the book has nothing of the sort \"{sort}\""));
    say::message(&match suggest(sort, sorts.iter().copied()) {
        Some(near) => format!("do this: benchleaf ids {near}"),
        None => format!("do this: name one of: {}", sorts.join(", ")),
    });
    ending
}

/// Which sort, and which book: of what was typed what is a folder and no sort is the book.
fn meant(typed: &args::Ids) -> Result<(Option<String>, PathBuf), Ending> {
    let is_book = |word: &&String| !is_sort(word) && Path::new(word.as_str()).is_dir();
    let (books, sorts): (Vec<&String>, Vec<&String>) = typed.words.iter().partition(is_book);
    let books: Vec<PathBuf> = books.into_iter().map(PathBuf::from).chain(typed.book.clone()).collect();
    match (sorts.as_slice(), books.as_slice()) {
        ([] | [_], [] | [_]) => {
            let book = books.into_iter().next().unwrap_or_else(|| PathBuf::from("."));
            Ok((sorts.first().map(|sort| (*sort).clone()), book))
        }
        ([first, second, ..], _) => {
            let ending =
                say::wrong_command(&format!("one of {first} and {second} has to be a book's folder"));
            say::message("do this: benchleaf ids fork my-shop");
            Err(ending)
        }
        (_, several) => {
            let ending = say::wrong_command(&format!("{} books are named", several.len()));
            say::message("do this: name one of them");
            Err(ending)
        }
    }
}

fn is_sort(word: &str) -> bool {
    let singular = |word: &str| word.trim_end_matches('s').to_owned();
    let sorts = ["systems", "boxes"].into_iter().chain(kinds::all().iter().map(|kind| kind.name));
    sorts.into_iter().any(|sort| singular(sort) == singular(word))
}

fn print(all: &[&Listed], json: bool) -> Ending {
    let lines = if json { all.iter().map(|listed| line(listed)).collect() } else { table(all) };
    say::results(lines.iter().map(String::as_str), Ending::Done)
}

fn line(listed: &Listed) -> String {
    let Listed { sort, id, name, also } = listed;
    let json = serde_json::json!({ "sort": sort, "id": id, "name": name, "also": also });
    escaped_json(&json.to_string()).into_owned()
}

fn table(all: &[&Listed]) -> Vec<String> {
    let width = all.iter().map(|listed| listed.id.len()).max().unwrap_or(0);
    let mut lines = vec![];
    let mut sort = "";
    for listed in all {
        if listed.sort != sort {
            sort = &listed.sort;
            lines.push(format!("{sort}:"));
        }
        let also = if listed.also.is_empty() { String::new() } else { format!(" ({})", listed.also) };
        lines.push(clean(&format!("  {:<width$}  {}{also}", listed.id, listed.name)).into_owned());
    }
    lines
}
