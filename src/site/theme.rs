//! A theme: Tera templates, a style sheet and whatever files lie beside them. Must not know what pages say.
//!
//! The default theme is built into the program; a book's theme folder replaces it file by file, so that a shop
//! may change one template only. Templates are the files that end in `.html`; in them all values are escaped.
//!
//! `tera` has its `preserve_order`, or output would differ from run to run. It refuses nesting, recursion and circles; what
//! never ends, or takes all memory, is seen from outside (`src/cli/template_guard.rs`).

use std::collections::BTreeMap;
use std::io::{ErrorKind as ErrorKindOfWriting, Write};

use tera::{Context, ErrorKind, Tera};

use super::prose::source_file;
use crate::base::{BookFiles, FileId, Problem, Problems, Sources, Span, refused_file_name};

/// More than any theme has: an include or a parent is a level of the program's stack.
const MOST_TEMPLATES: usize = 200;

/// A template of a million letters is no template.
const MOST_SOURCE: usize = 1 << 20;

/// The largest guide takes a fiftieth of it.
const MOST_PAGE: usize = 32 << 20;

/// Name of the theme that is built in.
pub const BUILT_IN: &str = "bench";

macro_rules! built_in {
    ($($name:literal),* $(,)?) => { [$(($name, include_str!(concat!("../../themes/bench/", $name)))),*] };
}

const BENCH: [(&str, &str); 21] = built_in![
    "answer.html",
    "base.html",
    "box.html",
    "components.html",
    "fork.html",
    "forks.html",
    "guide.html",
    "index.html",
    "key.html",
    "labels.html",
    "measuring.html",
    "part.html",
    "parts.html",
    "prose.html",
    "reference.html",
    "style.css",
    "system.html",
    "systems.html",
    "upgrades.html",
    "what-i-have.html",
    "what-i-have.js",
];

/// The built-in theme's files as a book would have them: path in the book, text.
pub fn built_in_theme() -> Vec<(String, &'static str)> {
    BENCH.iter().map(|(name, text)| (format!("themes/{BUILT_IN}/{name}"), *text)).collect()
}

#[derive(Clone)]
pub struct Theme {
    tera: Tera,
    /// Everything that is no template, to be laid under `theme/` as it is.
    pub assets: BTreeMap<String, Vec<u8>>,
    /// Where the templates of the book are, by name; built-in ones have no place.
    places: BTreeMap<String, FileId>,
}

/// The theme `name` of the book. `None` with at least one error in `problems` when it cannot be used.
pub fn read_theme(
    files: &BookFiles,
    name: &str,
    sources: &mut Sources,
    problems: &mut Problems,
) -> Option<Theme> {
    let folder = format!("themes/{name}/");
    let own: Vec<(&str, &[u8])> =
        files.iter().filter_map(|(path, b)| Some((path.strip_prefix(&folder)?, b.as_slice()))).collect();
    if own.is_empty() && name != BUILT_IN {
        problems.push(unknown_theme(files, name));
        return None;
    }
    let (mut texts, mut assets) = built_in();
    let mut places = BTreeMap::new();
    for (inner, bytes) in own {
        if let Some(refused) = inner.split('/').find_map(refused_file_name) {
            problems.push(
                Problem::error("theme-file-name", "a file of the theme cannot be laid into the site")
                    .in_file(format!("{folder}{inner}"))
                    .note(refused.note)
                    .mend("rename the file"),
            );
        } else if inner.ends_with(".html") && bytes.len() > MOST_SOURCE {
            problems.push(too_large(&format!("{folder}{inner}"), "a template of more than 1 MB"));
        } else if !inner.ends_with(".html") {
            assets.insert(inner.to_string(), bytes.to_vec());
        } else if let Some(file) = source_file(sources, &format!("{folder}{inner}"), bytes, problems) {
            places.insert(inner.to_string(), file);
            texts.insert(inner.to_string(), sources.get(file).text.clone());
        }
    }
    if texts.len() > MOST_TEMPLATES {
        problems.push(too_large(&folder, &format!("a theme of more than {MOST_TEMPLATES} templates")));
        return None;
    }
    assemble(texts, assets, places, problems)
}

fn too_large(path: &str, what: &str) -> Problem {
    Problem::error("theme-large", format!("{what} is not read")).in_file(path).mend("make it smaller")
}

fn built_in() -> (BTreeMap<String, String>, BTreeMap<String, Vec<u8>>) {
    let (mut texts, mut assets) = (BTreeMap::new(), BTreeMap::new());
    for (name, text) in BENCH {
        if name.ends_with(".html") {
            texts.insert(name.to_string(), text.to_string());
        } else {
            assets.insert(name.to_string(), text.as_bytes().to_vec());
        }
    }
    (texts, assets)
}

fn assemble(
    texts: BTreeMap<String, String>,
    assets: BTreeMap<String, Vec<u8>>,
    places: BTreeMap<String, FileId>,
    problems: &mut Problems,
) -> Option<Theme> {
    let mut theme = Theme { tera: Tera::default(), assets, places };
    theme.tera.set_escape_fn(escape);
    theme.tera.register_filter("css_text", |text: String, _: tera::Kwargs, _: &tera::State| css_text(&text));
    let mut bad: Vec<Problem> = vec![];
    for (name, text) in &texts {
        let alone = Tera::default().add_raw_template(name, text);
        bad.extend(
            alone.err().filter(|e| matches!(e.kind(), ErrorKind::SyntaxError(_))).map(|e| theme.problem(&e)),
        );
    }
    if bad.is_empty() {
        bad.extend(theme.tera.add_raw_templates(&texts).err().map(|e| theme.problem(&e)));
    }
    let sound = bad.is_empty();
    bad.into_iter().for_each(|p| problems.push(p));
    sound.then_some(theme)
}

impl Theme {
    /// Everything that is no template, by its path in the site.
    pub fn laid(&self) -> impl Iterator<Item = (String, Vec<u8>)> {
        self.assets.iter().map(|(name, bytes)| (format!("theme/{name}"), bytes.clone()))
    }

    pub fn render(&self, template: &str, context: &Context) -> Result<Vec<u8>, Box<Problem>> {
        let mut page = Bounded { page: vec![], full: false };
        let rendered = self.tera.render_to(template, context, &mut page);
        if page.full {
            return Err(Box::new(
                Problem::error("theme-endless", format!("a page of {template} grows past 32 MB"))
                    .note("a loop in the template, or in one that it includes, writes without end")
                    .mend("look at the loops of the template"),
            ));
        }
        rendered.map_err(|e| Box::new(self.problem(&e)))?;
        Ok(page.page)
    }

    /// What went wrong in a template, at its place in the book where it has one.
    fn problem(&self, error: &tera::Error) -> Problem {
        let (code, report) = match error.kind() {
            ErrorKind::SyntaxError(report) => ("theme-syntax", report),
            ErrorKind::RenderingError(report) => ("theme-render", report),
            other => return Problem::error("theme-broken", other.to_string()),
        };
        let fact = report.message().lines().next().unwrap_or("").to_string();
        let mend = theme_mend(&fact, report.filename());
        let problem = Problem::error(code, fact).mend(mend);
        match self.places.get(report.filename()) {
            Some(&file) => problem.at(Span::new(file, report.span().range.clone()), "here"),
            None => problem.note(format!("in the built-in template {}", report.filename())),
        }
    }
}

/// What to do about a template that cannot be read or filled in.
fn theme_mend(fact: &str, template: &str) -> String {
    if let Some((field, fields)) =
        fact.strip_prefix("Field `").and_then(|rest| rest.split_once("` is not defined. Available fields: "))
        && let Some(near) = crate::base::suggest(field, fields.split(", "))
    {
        return format!("write {near}");
    }
    let first = match fact.contains("end of input") {
        true => "close what is open: {% endif %}, {% endfor %}, {% endblock %} or }}",
        false => "mend the template at this place",
    };
    format!(
        "{first}; without the file {template} the built-in one is used, `benchleaf unpack theme` shows it"
    )
}

/// A page being written, refused once it is larger than any page.
struct Bounded {
    page: Vec<u8>,
    full: bool,
}

impl Write for Bounded {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.full |= self.page.len() + bytes.len() > MOST_PAGE;
        if self.full {
            return Err(ErrorKindOfWriting::FileTooLarge.into());
        }
        self.page.extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

fn unknown_theme(files: &BookFiles, name: &str) -> Problem {
    let mut there: Vec<&str> = files
        .keys()
        .filter_map(|path| path.strip_prefix("themes/")?.split_once('/').map(|(n, _)| n))
        .collect();
    there.push(BUILT_IN);
    there.sort_unstable();
    there.dedup();
    Problem::error("theme-unknown", format!("the book has no theme `{name}`"))
        .note(format!("there are: {}", there.join(", ")))
        .mend(match crate::base::suggest(name, there.iter().copied()) {
            Some(near) => format!("write default_theme = \"{near}\""),
            None => format!("make a folder themes/{name} or name another theme"),
        })
}

/// Text as it may stand between quotes in a style sheet inside a page: all but letters, digits, spaces and harmless signs
/// as an escape (CSS Syntax Level 3, 4.3.7).
pub(super) fn css_text(text: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || " .,;:()·–×".contains(c);
    text.chars().map(|c| if plain(c) { c.to_string() } else { format!("\\{:06x}", u32::from(c)) }).collect()
}

/// Also escapes the apostrophe, so that a template may quote attributes either way.
fn escape(text: &str, out: &mut dyn Write) -> std::io::Result<()> {
    let mut done = 0;
    for (at, byte) in text.bytes().enumerate() {
        let entity: &[u8] = match byte {
            b'&' => b"&amp;",
            b'<' => b"&lt;",
            b'>' => b"&gt;",
            b'"' => b"&quot;",
            b'\'' => b"&#39;",
            _ => continue,
        };
        out.write_all(&text.as_bytes()[done..at])?;
        out.write_all(entity)?;
        done = at + 1;
    }
    out.write_all(&text.as_bytes()[done..])
}
