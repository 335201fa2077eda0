//! Files in a book's folders that nothing reads: named, each with what it was most likely meant to be. Knows which paths
//! the readers take, nothing of what is in them.

use crate::base::{BookFiles, Problem, Problems, suggest};

const FOLDERS: [&str; 5] = ["systems", "headsets", "safety", "pages", "words"];

/// `language` is the shop's, where it could be read: of words only its own are.
pub fn tell(files: &BookFiles, language: Option<&str>, problems: &mut Problems) {
    for path in files.keys().filter(|path| !is_read(path, files, language)) {
        problems.push(
            Problem::warning("file-unread", "nothing reads this file")
                .in_file(path.clone())
                .mend(mend(path, files)),
        );
    }
}

fn is_read(path: &str, files: &BookFiles, language: Option<&str>) -> bool {
    let Some((folder, rest)) = path.split_once('/') else { return false };
    let directly = |ending: &str| rest.strip_suffix(ending).is_some_and(|name| name.split('/').count() == 2);
    match (folder, rest.split('/').next().unwrap_or("")) {
        ("themes", _) => rest.contains('/'),
        ("parts", _) if path.to_lowercase() == "parts/stock.csv" => path == "parts/stock.csv",
        ("parts", _) => rest.ends_with(".toml") || rest.ends_with(".csv"),
        ("content", "shop.toml") => true,
        ("content", "systems") if directly(".md") => files.contains_key(&path.replace(".md", ".toml")),
        ("content", "systems" | "headsets") => rest.ends_with(".toml"),
        ("content", "safety" | "pages") => directly(".md"),
        ("content", "words") => language.is_none_or(|tag| rest == format!("words/{tag}.toml")),
        _ => false,
    }
}

fn mend(path: &str, files: &BookFiles) -> String {
    let lower = path.to_lowercase();
    let rename = |to: &str| format!("rename it to {to}");
    let fixed = ["content/shop.toml", "parts/stock.csv"];
    let bare = ["toml", "md", "csv"]
        .iter()
        .find_map(|end| lower.strip_suffix(&format!(".{end}.txt")).map(|b| (b.len(), *end)));
    if let Some((length, end)) = bare {
        return rename(&format!("{}.{end}", &path[..length]));
    }
    if let Some(near) = fixed.into_iter().find(|known| *known == lower) {
        return rename(near);
    }
    if [".toml", ".md", ".csv"].iter().any(|end| lower.ends_with(end) && !path.ends_with(end)) {
        return rename(&lower);
    }
    if [".xlsx", ".xls", ".ods", ".numbers", ".xlsm"].iter().any(|end| lower.ends_with(end)) {
        return "save it as CSV: prices as parts/stock.csv, parts as a file after their kind, such as parts/shims.csv".into();
    }
    of_content(path, files)
        .unwrap_or_else(|| "move it out of the book, or into a folder and format that is read".into())
}

/// What is meant by a file of `content/` in a place where none is read.
fn of_content(path: &str, files: &BookFiles) -> Option<String> {
    let rest = path.strip_prefix("content/")?;
    let Some((folder, name)) = rest.split_once('/') else {
        let near = suggest(rest, ["shop.toml"]).filter(|_| !files.contains_key("content/shop.toml"));
        return match (near, rest.ends_with(".md")) {
            (Some(near), _) => Some(format!("rename it to content/{near}")),
            (None, true) => {
                Some(format!("move it to content/pages/{rest}, or to content/safety/ if it is a caution"))
            }
            (None, false) => None,
        };
    };
    if !FOLDERS.contains(&folder) {
        let near = suggest(folder, FOLDERS)?;
        return Some(format!("move it to content/{near}/{name}"));
    }
    if folder == "systems" && name.ends_with(".md") {
        let rules = files.keys().filter_map(|p| p.strip_prefix("content/systems/")?.strip_suffix(".toml"));
        let near = suggest(name.strip_suffix(".md")?, rules);
        return Some(match near {
            Some(near) => format!("rename it to {near}.md, after its rule file"),
            None => "name it after the rule file that it is about".into(),
        });
    }
    if folder == "words" {
        return Some("name it after the language of content/shop.toml, or set language there".into());
    }
    name.contains('/').then(|| format!("move it to content/{folder}/ itself"))
}
