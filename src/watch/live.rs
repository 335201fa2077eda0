//! What the pages that are open in a browser are told: which making of the site they are to show, and what is wrong with the
//! book. Holds the pages that are known before the rest of the site, until all are in place. Knows no network.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// Shared by all connections.
#[derive(Clone)]
pub struct Live(Arc<Shared>);

struct Shared {
    /// Another one in each run of the program.
    run: u128,
    now: Mutex<Now>,
    told: Condvar,
}

#[derive(Default)]
struct Now {
    /// One more for each thing told.
    number: u64,
    /// One more for each site with another page in it, of the pages that may be shown early.
    made: u64,
    /// The same of those that never were.
    rest: u64,
    /// Not in place yet, and may have to be taken back.
    early: Option<Site>,
    /// What was shown early last, so that a page knows whether it may be.
    early_paths: Option<BTreeSet<String>>,
    /// Of the book.
    wrong: Option<String>,
    /// Of the machine.
    trouble: Option<String>,
}

/// Path to bytes.
type Site = BTreeMap<String, Vec<u8>>;

/// All that a page has to know.
pub struct Told {
    pub number: u64,
    made: String,
    rest: String,
    /// The rest is still being made.
    behind: bool,
    wrong: Option<String>,
}

/// How a page is shown now.
pub struct Shown {
    /// Instead of what is in place.
    pub early: Option<Vec<u8>>,
    /// The event that tells of its making, and which that is now.
    pub hears: &'static str,
    pub made: String,
}

const MADE: &str = "made";
const REST: &str = "rest";

/// Whether the pages in place are others than before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pages {
    Others,
    Same,
}

impl Live {
    pub fn new() -> Live {
        let run = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_nanos());
        Live(Arc::new(Shared { run, now: Mutex::default(), told: Condvar::new() }))
    }

    fn now(&self) -> MutexGuard<'_, Now> {
        self.0.now.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn tell(&self, change: impl FnOnce(&mut Now)) {
        let mut now = self.now();
        change(&mut now);
        now.number += 1;
        self.0.told.notify_all();
    }

    /// These are known and will be in place soon, with others that are still being made. What was wrong with the book is mended.
    pub fn early(&self, pages: Site) {
        self.tell(|now| {
            now.made += 1;
            now.wrong = None;
            now.early_paths = Some(pages.keys().cloned().collect());
            now.early = Some(pages);
        });
    }

    /// The pages in place are those of the book: `all`.
    pub fn good(&self, pages: Pages, all: &Site) {
        self.tell(|now| {
            let early = now.early.take();
            let as_shown = |early: &Site| early.iter().all(|(path, page)| all.get(path) == Some(page));
            let others = u64::from(pages == Pages::Others);
            now.rest += others;
            match early {
                Some(early) => now.made += u64::from(!as_shown(&early)),
                None => now.made += others,
            }
            (now.wrong, now.trouble) = (None, None);
        });
    }

    /// The pages in place are those of an earlier book; why.
    pub fn wrong(&self, why: String) {
        self.tell(|now| {
            now.take_back();
            (now.wrong, now.trouble) = (Some(why), None);
        });
    }

    /// What the machine refuses, for as long as it does; nothing once it does not.
    pub fn trouble(&self, why: Option<String>) {
        self.tell(|now| {
            now.take_back();
            now.trouble = why;
        });
    }

    /// How the page of this path is shown, in whichever making of the site is there now.
    pub fn shown(&self, path: &str) -> Shown {
        let now = self.now();
        let early = now.early.as_ref().and_then(|early| early.get(path)).cloned();
        let rest = now.early_paths.as_ref().is_some_and(|paths| !paths.contains(path));
        let (hears, made) = if rest { (REST, now.rest) } else { (MADE, now.made) };
        Shown { early, hears, made: self.name(made) }
    }

    fn name(&self, made: u64) -> String {
        format!("{:x}-{made}", self.0.run)
    }

    /// Whatever was told after what was heard; nothing if that takes longer than `patience`.
    pub fn next(&self, heard: Option<u64>, patience: Duration) -> Option<Told> {
        let waiting = self.0.told.wait_timeout_while(self.now(), patience, |now| heard == Some(now.number));
        let (now, _) = waiting.unwrap_or_else(PoisonError::into_inner);
        (heard != Some(now.number)).then(|| Told {
            number: now.number,
            made: self.name(now.made),
            rest: self.name(now.rest),
            behind: now.early.is_some(),
            wrong: now.trouble.clone().or_else(|| now.wrong.clone()),
        })
    }
}

impl Now {
    /// What was shown early is not so.
    fn take_back(&mut self) {
        self.made += u64::from(self.early.take().is_some());
    }
}

impl Default for Live {
    fn default() -> Live {
        Live::new()
    }
}

impl Told {
    /// As server-sent events (HTML Living Standard, 9.2).
    pub fn events(&self) -> String {
        let made = [event(MADE, &self.made), event(REST, &self.rest)];
        let behind = self.behind.then(|| event("behind", REST));
        let wrong = self.wrong.iter().map(|why| event("wrong", why));
        made.into_iter().chain(behind).chain(wrong).collect()
    }
}

fn event(name: &str, data: &str) -> String {
    let lines: String = data.split(['\r', '\n']).map(|line| format!("data: {line}\n")).collect();
    format!("event: {name}\n{lines}\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    const SOON: Duration = Duration::from_millis(5);

    #[test]
    fn who_has_heard_all_waits_and_who_has_not_is_told_how_it_is_now() {
        let live = Live::new();
        let first = live.next(None, SOON).unwrap();
        assert!(live.next(Some(first.number), SOON).is_none());
        live.wrong("one\r\nevent: made\rtwo".into());
        let second = live.next(Some(first.number), SOON).unwrap();
        let now = live.shown("a.html").made;
        let made = format!("event: made\ndata: {now}\n\nevent: rest\ndata: {now}\n\n");
        let wrong = "event: wrong\ndata: one\ndata: \ndata: event: made\ndata: two\n\n";
        assert_eq!(second.events(), made + wrong);
    }

    #[test]
    fn a_mended_book_with_the_same_pages_is_the_same_making_and_another_run_is_another() {
        let live = Live::new();
        let before = live.shown("a.html").made;
        live.wrong("x".into());
        live.trouble(Some("y".into()));
        assert!(live.next(None, SOON).unwrap().events().contains("data: y\n"));
        live.trouble(None);
        assert!(live.next(None, SOON).unwrap().events().contains("data: x\n"));
        live.good(Pages::Same, &Site::new());
        assert_eq!(live.shown("a.html").made, before);
        assert!(!live.next(None, SOON).unwrap().events().contains("wrong"));
        live.good(Pages::Others, &Site::new());
        assert_ne!(live.shown("a.html").made, before);
        std::thread::sleep(SOON);
        assert_ne!(Live::new().shown("a.html").made, before);
    }

    fn site(pages: &[(&str, &str)]) -> Site {
        pages.iter().map(|(path, page)| (path.to_string(), page.as_bytes().to_vec())).collect()
    }

    #[test]
    fn what_was_shown_early_and_comes_so_is_no_other_making_and_the_rest_is() {
        let live = Live::new();
        live.early(site(&[("a.html", "new")]));
        let early = live.shown("a.html");
        assert_eq!((early.early.as_deref(), early.hears), (Some("new".as_bytes()), "made"));
        let rest = live.shown("rest.html");
        assert_eq!((rest.early, rest.hears), (None, "rest"));
        assert!(live.next(None, SOON).unwrap().events().contains("event: behind\n"));
        live.good(Pages::Others, &site(&[("a.html", "new"), ("rest.html", "new")]));
        assert!(!live.next(None, SOON).unwrap().events().contains("behind"));
        let now = live.shown("a.html");
        assert_eq!((now.early, now.made), (None, early.made));
        assert_ne!(live.shown("rest.html").made, rest.made);
    }

    #[test]
    fn a_fresh_page_of_a_mended_book_is_not_called_the_last_good_one() {
        let live = Live::new();
        live.wrong("a slip".into());
        live.early(site(&[("a.html", "mended")]));
        assert!(!live.next(None, SOON).unwrap().events().contains("event: wrong"));
    }

    #[test]
    fn what_was_shown_early_and_comes_to_nothing_or_another_page_is_another_making() {
        let after = |then: &dyn Fn(&Live)| {
            let live = Live::new();
            live.early(site(&[("a.html", "new")]));
            let early = live.shown("a.html").made;
            then(&live);
            let now = live.shown("a.html");
            now.early.is_none() && now.made != early
        };
        assert!(after(&|live| live.wrong("x".into())));
        assert!(after(&|live| live.trouble(Some("x".into()))));
        assert!(after(&|live| live.good(Pages::Others, &site(&[("a.html", "newer")]))));
    }
}
