//! `unpack`: tells what comes with the program, or writes one of these into a book, to be changed. Writes over nothing.

use std::path::Path;

use super::args::checked_book;
use super::clean_text::clean;
use super::{Ending, args, broken_machine, say};
use crate::base::{refused_id, suggest};
use crate::built_in::{HEADSET_FOLDER, HEADSETS, PIECES, SAFETY, SYSTEM_FOLDER, SYSTEMS, WORDS};
use crate::disk::{Lies, lies_at, make_folder_path, write_new};
use crate::site::built_in_theme;

/// Something that can be written out under one name.
struct Offer {
    sort: &'static str,
    name: String,
    about: String,
    /// Path in the book, text.
    files: Vec<(String, String)>,
}

pub fn run(typed: &args::Unpack) -> Ending {
    let offers = offers();
    let Some(name) = &typed.name else {
        return say::results(listing(&offers).iter().map(String::as_str), Ending::Done);
    };
    let Some(offer) = offers.iter().find(|offer| offer.name == *name) else {
        let near = suggest(name, offers.iter().map(|o| o.name.as_str()));
        let ending = say::wrong_command(&format!("nothing called \"{name}\" comes with the program"));
        say::message(&match near {
            Some(near) => format!("do this: benchleaf unpack {near}"),
            None => "do this: benchleaf unpack, without a name, tells what there is".into(),
        });
        return ending;
    };
    let book = match checked_book(&typed.book) {
        Ok(book) => book,
        Err(ending) => return ending,
    };
    match &typed.new_name {
        None => unpack(&book, offer),
        Some(new) => match renamed(offer, new) {
            Ok(offer) => unpack(&book, &offer),
            Err((fact, mend)) => {
                let ending = say::wrong_command(&fact);
                say::message(&format!("do this: {mend}"));
                ending
            }
        },
    }
}

/// A clamp system under another name: its own id and name, and no short name of the trade.
fn renamed(offer: &Offer, new: &str) -> Result<Offer, (String, String)> {
    let Some(refused) = refused_id(new) else {
        if !offer.files.iter().any(|(path, _)| path.starts_with(SYSTEM_FOLDER)) {
            return Err((format!("{} is no clamp system", offer.name), "leave --as out".into()));
        }
        let of = |text: &str, path: &str| {
            if path.ends_with(".toml") { rule_named(text, new) } else { prose_named(text, new) }
        };
        let files = offer.files.iter().map(|(path, text)| (path.replace(&offer.name, new), of(text, path)));
        return Ok(Offer {
            sort: offer.sort,
            name: new.into(),
            about: String::new(),
            files: files.collect(),
        });
    };
    let mend = refused.instead.map_or("give it another name".into(), |name| format!("--as {name}"));
    Err((format!("\"{new}\" cannot name a system: {}", refused.note), mend))
}

fn rule_named(text: &str, new: &str) -> String {
    let line = |line: &str| match line {
        _ if line.starts_with("name = ") => Some(format!("name = \"{}\"", titled(new))),
        _ if line.starts_with("short = ") => None,
        _ => Some(line.to_string()),
    };
    // Only the head: slots have names of their own.
    let head = text.find("\n[").unwrap_or(text.len());
    let lines: Vec<String> = text[..head].lines().filter_map(line).collect();
    lines.join("\n") + &text[head..]
}

fn prose_named(text: &str, new: &str) -> String {
    let rest = text.find('\n').unwrap_or(text.len());
    format!("# {}{}", titled(new), &text[rest..])
}

/// `tall-shim` as "Tall shim".
fn titled(name: &str) -> String {
    let words = name.replace('-', " ");
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

fn unpack(book: &Path, offer: &Offer) -> Ending {
    let there = offer.files.iter().find(|(path, _)| lies_at(&book.join(path)) != Lies::Nothing);
    if let Some((path, _)) = there {
        let ending = say::wrong_command(&format!("the book has {path} already; nothing was written"));
        say::message("do this: change that file; it stands in the place of the built-in one");
        return ending;
    }
    for (path, text) in &offer.files {
        let path = book.join(path);
        let folder = path.parent().map_or(Ok(()), |folder| make_folder_path(folder, &mut vec![]));
        if let Err(trouble) = folder.and_then(|()| write_new(&path, text.as_bytes())) {
            return broken_machine::tell("the file could not be written", &trouble);
        }
    }
    let lines =
        offer.files.iter().map(|(path, _)| clean(&book.join(path).display().to_string()).into_owned());
    let mut lines: Vec<String> = lines.collect();
    let stands = crate::built_in::system_names().contains(&offer.name.as_str());
    lines.push(match stands || !offer.files.iter().any(|(path, _)| path.starts_with(SYSTEM_FOLDER)) {
        true => "from now on these stand in the place of the built-in ones".into(),
        false => "a system of the book's own, which shop.toml need not list: change its name, its summary, its rules, and its \
                  prose in the .md file. If it replaces a built-in system, take that out of systems = […] in content/shop.toml"
            .into(),
    });
    say::results(lines.iter().map(String::as_str), Ending::Done)
}

fn listing(offers: &[Offer]) -> Vec<String> {
    let mut lines = vec![];
    let mut sort = "";
    for offer in offers {
        if offer.sort != sort {
            sort = offer.sort;
            lines.extend([String::new(), format!("{sort}:")]);
        }
        lines.push(format!("  {:<20} {}", offer.name, offer.about));
    }
    lines.remove(0);
    lines.extend([
        String::new(),
        "A book takes systems and pieces by their names in content/shop.toml:".into(),
        String::new(),
        "  [built_in]".into(),
        "  systems = [\"wide-shim\"]".into(),
        "  pieces = [\"headset\", \"spacers\"]".into(),
        String::new(),
        "`benchleaf unpack NAME --book BOOK` writes one into the book, to be changed.".into(),
    ]);
    lines
}

fn offers() -> Vec<Offer> {
    let mut all = vec![];
    let owned = |(path, text): &(&str, &str)| (path.to_string(), text.to_string());
    for name in crate::built_in::system_names() {
        let of = format!("{SYSTEM_FOLDER}{name}.");
        let files: Vec<_> = SYSTEMS.iter().filter(|f| f.0.starts_with(&of)).map(owned).collect();
        let rule = files.iter().find(|(path, _)| path.ends_with(".toml")).map_or("", |f| f.1.as_str());
        all.push(Offer {
            sort: "clamp systems, for systems = […]",
            name: name.into(),
            about: summary(rule),
            files,
        });
    }
    for set in &PIECES {
        all.push(Offer {
            sort: "pieces of usual sizes, for pieces = […]",
            name: set.name.into(),
            about: set.about.into(),
            files: vec![(format!("parts/{}.toml", set.name), set.text())],
        });
    }
    for file in &HEADSETS {
        let name = file.0.trim_start_matches(HEADSET_FOLDER).trim_end_matches(".toml");
        all.push(Offer {
            sort: "headsets that the systems draw in, taken with them",
            name: name.into(),
            about: file.1.lines().next().unwrap_or("").trim_start_matches(['#', ' ']).into(),
            files: vec![owned(file)],
        });
    }
    let sort = "texts and looks, taken unless the book has its own";
    let theme = built_in_theme().into_iter().map(|(path, text)| (path, text.to_string())).collect();
    for (name, about, files) in [
        ("safety", "the cautions on every guide", SAFETY.iter().map(owned).collect::<Vec<_>>()),
        ("words", "every sentence that a guide is made of", WORDS.iter().map(owned).collect()),
        ("theme", "templates, style sheet and script of the pages", theme),
    ] {
        all.push(Offer { sort, name: name.into(), about: about.into(), files });
    }
    all
}

/// What a rule file says of its system in one sentence.
fn summary(rule: &str) -> String {
    let line = rule.lines().find_map(|line| line.strip_prefix("summary = "));
    line.unwrap_or("").trim_matches('"').to_string()
}
