//! What can be typed. Checks form only; whether the folders are any good is found out by those who use them.

use std::path::{Path, PathBuf};
use std::time::Duration;

use clap::{Args, Parser, Subcommand, value_parser};

use super::clean_text::clean;
use super::{Ending, examples, say};
use crate::publish::{Fault, Theirs, check_target};

/// More than any machine has cores; each takes memory.
const MOST_THREADS: i64 = 1_024;

/// Whoever makes a package says in `BENCHLEAF_BUILD` which build it is: `0.1.0 (spring)`.
const VERSION: &str = match option_env!("BENCHLEAF_BUILD") {
    Some(build) => build,
    None => env!("CARGO_PKG_VERSION"),
};

/// Compiles part data and clamp-system rules into a site of fit guides.
#[derive(Debug, Parser)]
#[command(version = VERSION, about, arg_required_else_help = true, disable_help_subcommand = true)]
#[command(after_help = examples::ALL)]
pub struct Asked {
    #[command(subcommand)]
    pub command: Command,
    /// Worker threads [default: one for each core, or what RAYON_NUM_THREADS says]
    #[arg(long, value_name = "N", global = true, value_parser = value_parser!(u16).range(1..=MOST_THREADS))]
    pub threads: Option<u16>,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Write a new book with one fork and one clamp system, to be changed into your own
    Begin(Begin),
    /// Compile a book into its site
    Compile(Compile),
    /// Compile, then again whenever the book changes; Ctrl-C ends it
    Watch(Watch),
    /// Tell everything wrong or doubtful in a book, without writing
    Inspect(Inspect),
    /// Tell whether a fork and a clamp system go together, and how
    Pair(Pair),
    /// Tell the cheapest way and the one of fewest changes from one set-up to another
    Route(Route),
    /// List the ids of a book's systems, parts and boxes, with their names
    Ids(Ids),
    /// Tell what may be written in a book's files: a kind of part, an entry of a rule file, a setting
    Reference(Reference),
    /// Tell what comes with the program, or write one of these into a book, to be changed
    Unpack(Unpack),
    /// Write the completions of a shell to standard output
    Completions(Completions),
    /// Write the manual page to standard output
    Manual,
}

#[derive(Debug, Args)]
#[command(after_help = examples::REFERENCE)]
pub struct Reference {
    /// A kind, an entry, a setting or any field; left out, all there is is listed
    #[arg(value_name = "NAME")]
    pub name: Option<String>,
    /// One field of it
    #[arg(value_name = "FIELD")]
    pub field: Option<String>,
    /// The JSON Schema of one sort of file, for editors
    #[arg(long, value_name = "FILE", conflicts_with = "name", value_parser = crate::reference::SCHEMAS)]
    pub schema: Option<String>,
}

#[derive(Debug, Args)]
#[command(after_help = examples::IDS)]
pub struct Ids {
    /// Only these: systems, boxes, or a kind of part such as fork; and the book's folder, if it is not this one
    #[arg(value_name = "SORT, BOOK", num_args = 0..=2)]
    pub words: Vec<String>,
    /// The book's folder
    #[arg(long, value_name = "BOOK")]
    pub book: Option<PathBuf>,
    /// One JSON object a line
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
#[command(after_help = examples::COMPLETIONS)]
pub struct Completions {
    #[arg(value_name = "SHELL")]
    pub shell: clap_complete::Shell,
}

#[derive(Debug, Args)]
#[command(after_help = examples::BEGIN)]
pub struct Begin {
    /// The new book's folder; nothing in it is written over
    #[arg(value_name = "DIR")]
    pub dir: PathBuf,
    /// The shop's name [default: asked for on a terminal, else "My shop"]
    #[arg(long, value_name = "NAME")]
    pub name: Option<String>,
    /// Currency of its prices, an ISO 4217 code [default: asked for on a terminal, else EUR]
    #[arg(long, value_name = "CODE")]
    pub currency: Option<String>,
    /// Units shown on the pages, mm or in [default: asked for on a terminal, else mm]
    #[arg(long, value_name = "UNITS")]
    pub units: Option<String>,
}

#[derive(Debug, Args)]
#[command(after_help = examples::UNPACK)]
pub struct Unpack {
    /// What is written out; left out, all there is is told
    #[arg(value_name = "NAME")]
    pub name: Option<String>,
    /// Of a clamp system: write it under another name, to be made into one of your own
    #[arg(long = "as", value_name = "NEW", requires = "name")]
    pub new_name: Option<String>,
    /// The book's folder
    #[arg(long, value_name = "BOOK", default_value = ".")]
    pub book: PathBuf,
}

#[derive(Debug, Args)]
#[command(after_help = examples::ROUTE)]
pub struct Route {
    /// What the rider has: FORK/SYSTEM, or FORK:REVISION/SYSTEM/BARS
    #[arg(long, value_name = "FORK/SYSTEM")]
    pub from: String,
    /// What the rider wants, written in the same way
    #[arg(long, value_name = "FORK/SYSTEM")]
    pub to: String,
    /// A part or box that the rider has besides; a deck: the one it must go on
    #[arg(long, value_name = "PART", num_args = 1..)]
    pub have: Vec<String>,
    /// The deck that all of it must go on
    #[arg(long, value_name = "DECK")]
    pub deck: Option<String>,
    /// The bars that the rider has now
    #[arg(long, value_name = "BARS")]
    pub bars: Option<String>,
    /// The book's folder
    #[arg(long, value_name = "BOOK", default_value = ".")]
    pub book: PathBuf,
    /// One JSON object
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct Places {
    /// The book's folder
    #[arg(value_name = "BOOK", default_value = ".")]
    pub book: PathBuf,
    /// Where the site goes [default: BOOK/public]
    #[arg(long, value_name = "DIR")]
    pub into: Option<PathBuf>,
    /// Replace files in the site's folder that Benchleaf did not write, where pages have their names
    #[arg(long)]
    pub take_over: bool,
}

#[derive(Debug, Args)]
#[command(after_help = examples::COMPILE)]
pub struct Compile {
    #[command(flatten)]
    pub places: Places,
    /// Tell of one page, by its path in the site, what it is made from and what this run did about it
    #[arg(long, value_name = "PAGE")]
    pub why: Option<String>,
    /// One JSON object
    #[arg(long, requires = "why")]
    pub json: bool,
}

#[derive(Debug, Args)]
#[command(after_help = examples::WATCH)]
pub struct Watch {
    #[command(flatten)]
    pub places: Places,
    /// Serve the site to this machine only, for example at 127.0.0.1:8080
    #[arg(long, value_name = "ADDR")]
    pub preview: Option<String>,
    /// Look every so many seconds as well; for network folders, which send no notice of changes
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    pub poll: Option<Duration>,
}

#[derive(Debug, Args)]
#[command(after_help = examples::INSPECT)]
pub struct Inspect {
    /// The book's folder
    #[arg(value_name = "BOOK", default_value = ".")]
    pub book: PathBuf,
    /// One JSON object a line for each problem
    #[arg(long)]
    pub json: bool,
    /// Only what is wrong in the files: no pairing is answered
    #[arg(long)]
    pub quick: bool,
    /// Tell each problem, however many are alike
    #[arg(long)]
    pub all: bool,
}

#[derive(Debug, Args)]
#[command(after_help = examples::PAIR)]
pub struct Pair {
    /// A fork of the book: its id, its name, or a beginning that no other has
    #[arg(value_name = "FORK", required_unless_present = "all", requires = "system")]
    pub fork: Option<String>,
    /// A clamp system of the book: its id, name or short name, or a beginning that no other has
    #[arg(value_name = "SYSTEM")]
    pub system: Option<String>,
    /// Every fork with every system
    #[arg(long, conflicts_with_all = ["fork", "system"])]
    pub all: bool,
    /// The deck that it goes on
    #[arg(long, value_name = "DECK", conflicts_with = "all")]
    pub deck: Option<String>,
    /// The bars that go on it; the rider has them
    #[arg(long, value_name = "BARS", conflicts_with = "all")]
    pub bars: Option<String>,
    /// Parts and boxes that the rider has besides
    #[arg(long, value_name = "PART", num_args = 1.., conflicts_with = "all")]
    pub have: Vec<String>,
    /// The book's folder
    #[arg(long, value_name = "BOOK", default_value = ".")]
    pub book: PathBuf,
    /// One JSON object a line for each pairing
    #[arg(long)]
    pub json: bool,
    /// Tell everything that the guide has, not what fits a screen
    #[arg(long)]
    pub whole: bool,
}

/// Up to a day, in seconds or parts of them.
fn seconds(typed: &str) -> Result<Duration, String> {
    let number: f64 = typed.parse().map_err(|_| "not a number of seconds".to_string())?;
    if (0.05..=86_400.0).contains(&number) {
        Ok(Duration::from_secs_f64(number))
    } else {
        Err("from 0.05 to 86400 seconds".into())
    }
}

/// The folders of a run, as they are used: both checked.
#[derive(Debug)]
pub struct Folders {
    pub book: PathBuf,
    pub into: PathBuf,
    pub theirs: Theirs,
}

impl Places {
    /// Says what is wrong with the folders, if anything.
    pub fn checked(&self) -> Result<Folders, Ending> {
        let book = checked_book(&self.book)?;
        let into = self.into.clone().unwrap_or_else(|| site_of(&book));
        check_target(&book, &into).map_err(|refused| {
            let wrong = say::wrong_command(&refused.to_string());
            if refused.fault == Fault::InTheWay { Ending::BookHasErrors } else { wrong }
        })?;
        let theirs = if self.take_over { Theirs::Replace } else { Theirs::Stay };
        Ok(Folders { book, into, theirs })
    }
}

/// Where a book's site goes unless another folder is named.
pub fn site_of(book: &Path) -> PathBuf {
    book.join("public")
}

/// A book that is not there at all is a slip of the command line, not of the book.
pub fn checked_book(book: &Path) -> Result<PathBuf, Ending> {
    if book.is_dir() {
        return Ok(book.to_path_buf());
    }
    let shown = book.display();
    let what = match book.exists() {
        true => format!("{shown} is a file, and a book is a folder"),
        false => format!("there is no folder {shown}"),
    };
    let ending = say::wrong_command(&what);
    if let Some(home) = book_around(book) {
        say::message(&clean(&format!("do this: name the book's own folder, {}", home.display())));
    } else if !book.exists() {
        say::message(&clean(&format!("do this: benchleaf begin {shown} writes a new book there")));
    }
    Err(ending)
}

/// The nearest folder above that looks like a book.
pub fn book_around(inside: &Path) -> Option<PathBuf> {
    let real = std::path::absolute(inside).ok()?;
    let found =
        real.ancestors().skip(1).find(|folder| NEEDED.iter().all(|name| folder.join(name).is_dir()))?;
    // As it was typed, where the book lies on that way.
    let typed = inside.ancestors().find(|typed| std::path::absolute(typed).is_ok_and(|t| t == found));
    Some(typed.filter(|t| !t.as_os_str().is_empty()).unwrap_or(found).to_path_buf())
}

const NEEDED: [&str; 2] = ["content", "parts"];
