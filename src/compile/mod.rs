//! The whole pipeline as one pure function: sources in, pages and problems out. No files, no clocks.
//!
//! It is pure so that the watcher, the tests and a terminal all call the same function.
//!
//! # What is kept
//!
//! What is kept from one run to the next is keyed by what it was made from; nobody who keeps it knows how it is found.
//!
//! | what | made from | where it is kept | knows |
//! |---|---|---|---|
//! | answers of a pairing | its pieces: rule, shop, headsets, boxes, the ids, its own fork, the parts for whose kind the system has a place, their rows of the stock list; no sentences | `.benchleaf-found`, from run to run | `made_from.rs` |
//! | plans for what a rider holds; what is found of any plan (on which decks it stands, whether it goes for certain) | the same, and the question | the same | `kept.rs`, `findings.rs` |
//! | all that is told: guides, routes, drawings, what riders have | every file but themes and prose | memory of `watch` | `told.rs` |
//! | drawings of a guide, for the next telling | the guide word for word, what its answer is made from, the words, its system, the headsets | memory of `watch` | `told.rs` |
//! | rendered pages | every file but those that lie in a theme beside its templates | memory of `watch` | `told.rs` |
//! | that there is nothing to do at all | program, book, and each page in place | `.benchleaf-left` | `src/publish/left.rs` |
//!
//! What was asked of a plan is left for the next run only where this one asked it. So no question may be asked only because
//! something was not known: then two runs of one book would leave different files. `tests/kept.rs` holds that a run with
//! something kept comes to the pages of a clean one; `Kept::decide` decides and remembers why (`tests/edits.rs`).
//! `tests/mutants.rs` compiles books that a slip changed, within limits on time, messages and pages; `tests/memory.rs` bounds
//! the memory. `cargo bench --bench fresh` measures how soon a page is fresh, each figure against something else of the same
//! run.

mod book;
mod brief;
mod coming;
mod decks;
mod doubtful;
mod drawings;
mod edits;
mod families;
mod findings;
mod in_hand;
mod kept;
mod made_from;
mod named;
mod on_deck;
mod own;
mod pair;
mod pairings;
mod progress;
mod reference;
mod routes;
mod set_ups;
mod shelf;
mod step_drawings;
mod stream;
mod told;
mod unread;
mod upgrades;
mod ways;
mod why;

use crate::base::{BookFiles, Problem, Problems, Sources};
use crate::built_in::{RECORD, Taken};
pub use crate::site::Rendering;
use crate::site::{BookProse, SiteInput, Theme, read_prose, read_theme, site_watched};
use crate::solve::Answer;
pub use book::Listed;
use book::{Book, read_book};
pub use edits::{Edit, What, edits};
pub use kept::{Decision, Kept, Pair};
use made_from::Sorted;
pub use own::OwnTyped;
pub use pair::{OneTyped, Paired, Tone, Which, pair, pair_all, pair_one};
use progress::Count;
pub use progress::Work;
pub use routes::RouteAsked;
use std::collections::BTreeMap;
use told::Told;
pub use why::{Why, find_page, why};

/// Path under the site's folder to bytes.
pub type Pages = BTreeMap<String, Vec<u8>>;

const NEVER: fn() -> bool = || false;

/// What a run came to.
pub struct Compiled {
    /// Empty when there are errors.
    pub pages: Pages,
    pub problems: Problems,
    pub sources: Sources,
    /// It came to nothing, for the book is another by now.
    pub given_up: bool,
}

/// Who looks at the pages while a run is under way.
pub struct Onlooker<'a> {
    /// Is given, as soon as they are known, all pages but *what I have*, which takes longer than all the others; not where they are
    /// those of the last run, or something is wrong. They may have to be taken back: an error may still be found.
    pub show: &'a dyn Fn(Pages),
    /// The book is another by now. Asked from any thread, often.
    pub is_outdated: &'a (dyn Fn() -> bool + Sync),
}

/// How far the run has come. Told from any thread; what is told of pages is told on the thread that renders them.
#[derive(Clone, Copy, Debug)]
pub enum Progress<'a> {
    /// The book is read and has no errors; what is asked about its values is told before anything is worked out from them.
    Read {
        problems: &'a Problems,
        sources: &'a Sources,
    },
    /// So many of all are done of this work; 0 when it begins.
    Done {
        work: Work,
        done: usize,
        total: usize,
    },
    Page(Rendering<'a>),
    /// The same of pages that are shown early and made once more.
    Early(Rendering<'a>),
}

/// Compiles a book. `progress` is told of every pairing done, from any thread.
pub fn compile(files: &BookFiles, progress: &(dyn Fn(Progress<'_>) + Sync)) -> Compiled {
    compile_again(files, &Kept::default(), progress)
}

/// The same, byte for byte; pairings that are made from the same as in the run before are not answered anew.
pub fn compile_again(files: &BookFiles, kept: &Kept, progress: &(dyn Fn(Progress<'_>) + Sync)) -> Compiled {
    compile_showing(files, kept, progress, None)
}

/// The same with somebody looking on: given up once the book is another while *what I have* is worked out.
pub fn compile_showing(
    files: &BookFiles,
    kept: &Kept,
    progress: &(dyn Fn(Progress<'_>) + Sync),
    onlooker: Option<&Onlooker<'_>>,
) -> Compiled {
    let (mut problems, mut sources) = (Problems::default(), Sources::default());
    let taken = Taken::of(files);
    let files = &*taken.files;
    let book = read_book(files, &mut sources, &mut problems);
    let look = read_look(files, book.as_ref(), &mut sources, &mut problems);
    let mut pages = Pages::new();
    if let (Some(book), Some(look)) = (&book, &look) {
        problems.0.extend(doubtful::cannot_be_had(book));
        taken.tell(&mut problems, &sources);
        problems.sort(&sources);
        progress(Progress::Read { problems: &problems, sources: &sources });
        let early = |told: &Told, problems: &Problems| {
            let Some(onlooker) = onlooker.filter(|_| !problems.any_error()) else { return };
            let pages = site_of(book, look, told, &|rendering| progress(Progress::Early(rendering)));
            let _ = pages.map(|pages| kept.differ_from_last(&pages).then(|| (onlooker.show)(pages)));
        };
        let is_outdated =
            onlooker.map_or(&NEVER as &(dyn Fn() -> bool + Sync), |looking| looking.is_outdated);
        let told = told::tell_again((book, files), kept, progress, (&early, is_outdated), &mut problems);
        if told.shelf.is_none() {
            kept.give_up();
            return Compiled { pages, problems, sources, given_up: true };
        }
        match site_again(book, files, kept, (look, &told), &|rendering| progress(Progress::Page(rendering))) {
            Ok(files) => pages = files,
            Err(found) => problems.0.extend(found.0),
        }
        pages.extend(taken.record().map(|record| (RECORD.to_string(), record)));
    }
    taken.tell(&mut problems, &sources);
    problems.sort(&sources);
    if problems.any_error() {
        pages.clear();
    }
    Compiled { pages, problems, sources, given_up: false }
}

impl Compiled {
    /// Without pages.
    fn failed(problems: Problems, sources: Sources) -> Compiled {
        Compiled { pages: Pages::new(), problems, sources, given_up: false }
    }
}

/// Theme and prose.
struct Look {
    theme: Theme,
    prose: BookProse,
}

fn read_look(
    files: &BookFiles,
    book: Option<&Book>,
    sources: &mut Sources,
    problems: &mut Problems,
) -> Option<Look> {
    let prose = read_prose(files, sources, problems);
    unread::tell(files, book.map(|book| book.shop.language.as_str()), problems);
    let theme = read_theme(files, &book?.shop.default_theme, sources, problems);
    if problems.any_error() { None } else { Some(Look { theme: theme?, prose }) }
}

/// As [`site_of`]; where only files are others that lie in the site as they are, the pages are those of the last run.
fn site_again(
    book: &Book,
    files: &BookFiles,
    kept: &Kept,
    (look, told): (&Look, &Told),
    tell: &(dyn Fn(Rendering<'_>) + Sync),
) -> Result<Pages, Problems> {
    let from = told::pages_made_from(files);
    if let Some(mut pages) = kept.last_pages(&from) {
        pages.extend(look.theme.laid());
        return Ok(pages);
    }
    let pages = site_of(book, look, told, tell)?;
    kept.remember_pages(from, &pages);
    Ok(pages)
}

fn site_of(
    book: &Book,
    look: &Look,
    told: &Told,
    tell: &(dyn Fn(Rendering<'_>) + Sync),
) -> Result<Pages, Problems> {
    let input = SiteInput {
        shop: &book.shop,
        catalogue: &book.catalogue,
        rules: &book.rules,
        words: &book.words,
        guides: &told.guides,
        drawings: &told.drawings,
        for_bars: &told.for_bars,
        upgrades: &told.upgrades,
        shelf: told.shelf.as_ref(),
        part_drawings: &told.part_drawings,
        pairings: &told.json,
        measuring: &told.measuring,
        reference: told.reference.as_ref(),
        prose: &look.prose,
        theme: &look.theme,
    };
    site_watched(&input, tell)
}

/// Everything wrong or doubtful in the data.
pub fn inspect(files: &BookFiles) -> (Problems, Sources) {
    let (mut problems, mut sources) = (Problems::default(), Sources::default());
    let taken = Taken::of(files);
    let files = &*taken.files;
    let book = read_book(files, &mut sources, &mut problems);
    read_look(files, book.as_ref(), &mut sources, &mut problems);
    taken.tell(&mut problems, &sources);
    problems.sort(&sources);
    (problems, sources)
}

/// As [`inspect`]; of a book without errors every pairing is answered, and what is doubtful stands behind what is
/// wrong, in the order in which it is worth looking at.
pub fn inspect_thoroughly(
    files: &BookFiles,
    kept: &Kept,
    progress: &(dyn Fn(Progress<'_>) + Sync),
) -> (Problems, Sources) {
    let (mut problems, mut sources) = (Problems::default(), Sources::default());
    let taken = Taken::of(files);
    let files = &*taken.files;
    let book = read_book(files, &mut sources, &mut problems);
    let look = read_look(files, book.as_ref(), &mut sources, &mut problems);
    let mut doubts = Problems::default();
    if let (Some(book), Some(look), false) = (&book, &look, problems.any_error()) {
        let drawer = told::Drawer { book, files, sorted: &Sorted::of(book, files), last: None };
        let (told, pairings) = told::tell(&drawer, kept, progress, (&|_, _| (), &NEVER), &mut problems);
        // What a compile would refuse is found by making the pages: a template that fails, a link that leads nowhere.
        if let Err(found) = site_of(book, look, &told, &|rendering| progress(Progress::Page(rendering))) {
            problems.0.extend(found.0);
        }
        let count = Count::of(Work::Doubts, 1, progress);
        doubts = Problems(doubtful::doubts_of(book, &pairings));
        taken.tell(&mut doubts, &sources);
        count.one(());
    }
    taken.tell(&mut problems, &sources);
    problems.sort(&sources);
    problems.0.extend(doubts.0);
    (problems, sources)
}

/// Everything in the book that has an id; `Err` holds the problems when the book has errors.
pub fn ids(files: &BookFiles) -> Result<Vec<Listed>, Compiled> {
    let (mut problems, mut sources) = (Problems::default(), Sources::default());
    let taken = Taken::of(files);
    let book = read_book(&taken.files, &mut sources, &mut problems);
    taken.tell(&mut problems, &sources);
    problems.sort(&sources);
    match book {
        Some(book) => Ok(book.ids()),
        None => Err(Compiled::failed(problems, sources)),
    }
}

/// Routes between two set-ups; `Err` holds the problems when the book has errors or names are not in it. That there
/// is no route is a result.
pub fn route(
    files: &BookFiles,
    kept: &Kept,
    typed: &RouteAsked,
    progress: &(dyn Fn(Progress<'_>) + Sync),
) -> Result<Paired, Compiled> {
    let (mut problems, mut sources) = (Problems::default(), Sources::default());
    let taken = Taken::of(files);
    let files = &*taken.files;
    let book = read_book(files, &mut sources, &mut problems);
    let asked = book.as_ref().and_then(|book| routes::asked(book, typed, &mut problems));
    taken.tell(&mut problems, &sources);
    problems.sort(&sources);
    let (Some(book), Some(asked)) = (&book, asked) else {
        return Err(Compiled::failed(problems, sources));
    };
    let solved = pairings::answers_again(book, &asked.pairs(), (&Sorted::of(book, files), kept), progress);
    let answers: Vec<&Answer> = solved.iter().flatten().collect();
    let stops = set_ups::set_ups(book, kept, &answers, &Count::of(Work::SetUps, answers.len(), progress));
    let found = asked.find(book, &answers, &stops);
    let text = found.text(book);
    let headings = text.lines().filter(|l| !l.is_empty() && !l.starts_with(' '));
    let tones = headings.map(|l| (l.to_string(), Tone::Heading)).collect();
    Ok(Paired { json: found.json(typed), text, brief: String::new(), tones })
}

/// An id that the command line named and the book does not have.
fn unknown(code: &'static str, what: &str, id: &str, near: Option<&str>) -> Problem {
    let problem = Problem::error(code, format!("the book has no {what} \"{id}\""));
    match near {
        Some(near) => problem.mend(format!("try {near}")),
        None => problem.mend(format!("name a {what} of the book")),
    }
}
