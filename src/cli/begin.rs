//! `begin`: a small book that works, written into a folder in which nothing of it is yet. Writes over nothing.

use std::io::{BufRead, IsTerminal, Write, stderr, stdin};
use std::path::{Path, PathBuf};

use super::clean_text::clean;
use super::{Ending, args, broken_machine, say};
use crate::disk::{
    BOOK_FOLDERS, Lies, MachineTrouble, lies_at, make_folder_path, remove_empty_folder, remove_file,
    write_new,
};
use crate::quantity::Currency;
use crate::reference::{SCHEMAS, schema};

/// Path, what is in it, text with the places `{name}`, `{currency}`, `{units}`.
const FILES: [(&str, &str, &str); 4] = [
    ("content/shop.toml", "the shop: its name is on every page", include_str!("begin/shop.toml")),
    ("parts/forks.toml", "one fork: put your own in its place", include_str!("begin/forks.toml")),
    ("parts/front-end.toml", "what goes on it", include_str!("begin/front-end.toml")),
    ("parts/stock.csv", "prices, and what is on hand", include_str!("begin/stock.csv")),
];

/// For editors: the first line of each file names the one that it follows.
const SCHEMA_FOLDER: &str = "schemas";

const NAME: &str = "My shop";
const CURRENCY: &str = "EUR";
const UNITS: &str = "mm";

pub fn run(typed: &args::Begin) -> Ending {
    let home = &typed.dir;
    if let Some(there) = in_the_way(home) {
        say::message(&clean(&format!("error: {} is there already; nothing was written", there.display())));
        say::message("do this: name a new folder");
        return Ending::CommandLineWrong;
    }
    let answers = match Answers::gather(typed) {
        Ok(answers) => answers,
        Err(wrong) => return say::wrong_command(&wrong),
    };
    let mut made = Made::default();
    let texts = FILES.iter().map(|(path, _, text)| (path.to_string(), answers.fill(text)));
    let schemas = SCHEMAS.iter().map(|name| (format!("{SCHEMA_FOLDER}/{name}.json"), schema(name)));
    for (path, text) in texts.chain(schemas) {
        if let Err(trouble) = made.write(home, &path, &text) {
            made.undo();
            return broken_machine::tell("the book could not be written", &trouble);
        }
    }
    say::results(told(home, &answers).iter().map(String::as_str), Ending::Done)
}

/// The first thing that lies where the book would go.
fn in_the_way(home: &Path) -> Option<PathBuf> {
    match lies_at(home) {
        Lies::Nothing => None,
        Lies::Folder | Lies::Link if home.is_dir() => {
            let own = BOOK_FOLDERS.iter().chain([&SCHEMA_FOLDER]).map(|name| home.join(name));
            own.into_iter().find(|path| lies_at(path) != Lies::Nothing)
        }
        _ => Some(home.to_path_buf()),
    }
}

/// What was written so far.
#[derive(Default)]
struct Made {
    folders: Vec<PathBuf>,
    files: Vec<PathBuf>,
}

impl Made {
    fn write(&mut self, home: &Path, path: &str, text: &str) -> Result<(), MachineTrouble> {
        let path = home.join(path);
        if let Some(folder) = path.parent() {
            make_folder_path(folder, &mut self.folders)?;
        }
        write_new(&path, text.as_bytes())?;
        self.files.push(path);
        Ok(())
    }

    /// As far as it goes: what cannot be removed is left.
    fn undo(&self) {
        for file in &self.files {
            let _ = remove_file(file);
        }
        for folder in self.folders.iter().rev() {
            let _ = remove_empty_folder(folder);
        }
    }
}

struct Answers {
    name: String,
    currency: String,
    units: String,
}

impl Answers {
    /// From the command line; what is not there is asked for on a terminal, and taken as usual elsewhere.
    fn gather(typed: &args::Begin) -> Result<Answers, String> {
        let asks = stdin().is_terminal() && stderr().is_terminal();
        let answer = |given: &Option<String>, question, usual, check: fn(&str) -> Result<String, String>| {
            match given {
                Some(given) => check(given),
                None if asks => Ok(ask(question, usual, check)),
                None => Ok(usual.to_string()),
            }
        };
        Ok(Answers {
            name: answer(&typed.name, "name of the shop", NAME, checked_name)?,
            currency: answer(&typed.currency, "currency of its prices", CURRENCY, checked_currency)?,
            units: answer(&typed.units, "units to show, mm or in", UNITS, checked_units)?,
        })
    }

    fn fill(&self, text: &str) -> String {
        let quoted = |text: &str| toml::Value::from(text).to_string();
        text.replace("{name}", &quoted(&self.name))
            .replace("{currency}", &quoted(&self.currency))
            .replace("{units}", &quoted(&self.units))
    }
}

/// Until there is an answer that will do; nothing typed is the usual one.
fn ask(question: &str, usual: &str, check: fn(&str) -> Result<String, String>) -> String {
    loop {
        let _ = write!(stderr(), "{question} [{usual}]: ").and_then(|()| stderr().flush());
        let mut line = String::new();
        let read = stdin().lock().read_line(&mut line).unwrap_or(0);
        let typed = line.trim();
        if read == 0 || typed.is_empty() {
            return usual.to_string();
        }
        match check(typed) {
            Ok(answer) => return answer,
            Err(wrong) => say::message(&clean(&wrong)),
        }
    }
}

fn checked_name(typed: &str) -> Result<String, String> {
    let name = typed.trim();
    if name.is_empty() || name.contains(crate::base::is_unsafe) {
        return Err("the name of the shop has to be one line of text".into());
    }
    Ok(name.to_string())
}

fn checked_currency(typed: &str) -> Result<String, String> {
    let code = typed.trim().to_uppercase();
    Currency::read(&code)
        .map(|currency| currency.code().to_string())
        .map_err(|wrong| format!("{}; expected {}", wrong.fact, wrong.expected))
}

fn checked_units(typed: &str) -> Result<String, String> {
    match typed.trim().to_lowercase().as_str() {
        "mm" | "millimetres" | "millimeters" => Ok("mm".into()),
        "in" | "inch" | "inches" => Ok("in".into()),
        other => Err(format!("\"{other}\" are no units here; expected mm or in")),
    }
}

/// What was written and what to do next.
fn told(home: &Path, answers: &Answers) -> Vec<String> {
    let shown = clean(&home.display().to_string()).into_owned();
    let mut lines = vec![format!("{shown}: a book of one fork and one clamp system")];
    lines.extend(FILES.iter().map(|(path, what, _)| format!("  {path:<22} {what}")));
    lines.push(format!("  {:<22} for editors: what may be written", format!("{SCHEMA_FOLDER}/")));
    lines.push(String::new());
    let chosen =
        format!("{}, prices in {}, sizes shown in {}", answers.name, answers.currency, answers.units);
    lines.push(format!("{}; content/shop.toml says so", clean(&chosen)));
    lines.push(String::new());
    lines.push("next:".into());
    let next = [
        (format!("compile {shown}"), format!("then open {shown}/public/index.html")),
        ("reference fork".into(), "tells what each line of a fork means".into()),
        (format!("inspect {shown}"), "tells what is wrong or doubtful, and what to do about it".into()),
        ("unpack".into(), "tells what else comes with the program".into()),
    ];
    let width = next.iter().map(|(command, _)| command.chars().count()).max().unwrap_or(0);
    lines.extend(next.iter().map(|(command, what)| format!("  benchleaf {command:<width$}   {what}")));
    lines
}
