//! Placeholder of the pipeline: its interface only, so that the outer folders build before the core lands.

use std::collections::BTreeMap;

use crate::base::{BookFiles, Problem, Problems, Sources, Span};

pub struct Compiled {
    /// Path under the site's folder to bytes. Empty when there are errors.
    pub pages: BTreeMap<String, Vec<u8>>,
    pub problems: Problems,
    pub sources: Sources,
}

pub struct Progress {
    pub done: usize,
    pub total: usize,
}

pub struct Paired {
    pub json: String,
    pub text: String,
}

pub enum Which {
    All,
    One { fork: String, system: String },
}

pub fn compile(files: &BookFiles, progress: &dyn Fn(Progress)) -> Compiled {
    let (problems, sources) = inspect(files);
    progress(Progress { done: 1, total: 1 });
    let mut pages = BTreeMap::new();
    if !problems.any_error() {
        let list: Vec<&str> = sources.iter().map(|(_, s)| s.path.as_str()).collect();
        pages.insert("index.html".into(), format!("<!doctype html><p>{}</p>\n", list.join(" ")).into_bytes());
    }
    Compiled { pages, problems, sources }
}

pub fn inspect(files: &BookFiles) -> (Problems, Sources) {
    let (mut problems, mut sources) = (Problems::default(), Sources::default());
    for (path, bytes) in files {
        let Ok(text) = String::from_utf8(bytes.clone()) else {
            problems.push(Problem::error("file-not-text", "this file is not UTF-8 text").in_file(path));
            continue;
        };
        let file = sources.add(path, text.clone());
        if !path.ends_with(".toml") {
            continue;
        }
        for error in toml::de::DeTable::parse_recoverable(&text).1 {
            let span = Span::new(file, error.span().unwrap_or(0..0));
            problems.push(Problem::error("toml-syntax", error.message()).at(span, "here"));
        }
    }
    (problems, sources)
}

pub fn pair(files: &BookFiles, which: Which) -> Result<Vec<Paired>, Compiled> {
    let (mut problems, sources) = inspect(files);
    if let Which::One { fork, .. } = which {
        problems.push(Problem::error("pair-fork-unknown", format!("no fork has the id `{fork}`")));
    }
    if problems.any_error() {
        return Err(Compiled { pages: BTreeMap::new(), problems, sources });
    }
    Ok(vec![])
}
