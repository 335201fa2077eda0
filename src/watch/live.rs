//! What the pages that are open in a browser are told: which making of the site they are to show, and what is wrong with the
//! book. Knows no network.

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
    /// One more for each site with another page in it.
    made: u64,
    /// Of the book.
    wrong: Option<String>,
    /// Of the machine.
    trouble: Option<String>,
}

/// All that a page has to know.
pub struct Told {
    pub number: u64,
    made: String,
    wrong: Option<String>,
}

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

    /// The pages in place are those of the book.
    pub fn good(&self, pages: Pages) {
        self.tell(|now| {
            now.made += u64::from(pages == Pages::Others);
            (now.wrong, now.trouble) = (None, None);
        });
    }

    /// The pages in place are those of an earlier book; why.
    pub fn wrong(&self, why: String) {
        self.tell(|now| (now.wrong, now.trouble) = (Some(why), None));
    }

    /// What the machine refuses, for as long as it does; nothing once it does not.
    pub fn trouble(&self, why: Option<String>) {
        self.tell(|now| now.trouble = why);
    }

    /// Which making of the site is in place.
    pub fn made_now(&self) -> String {
        let made = self.now().made;
        self.name(made)
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
            wrong: now.trouble.clone().or_else(|| now.wrong.clone()),
        })
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
        let wrong = self.wrong.iter().map(|why| event("wrong", why));
        std::iter::once(event("made", &self.made)).chain(wrong).collect()
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
        let made = format!("event: made\ndata: {}\n\n", live.made_now());
        let wrong = "event: wrong\ndata: one\ndata: \ndata: event: made\ndata: two\n\n";
        assert_eq!(second.events(), made + wrong);
    }

    #[test]
    fn a_mended_book_with_the_same_pages_is_the_same_making_and_another_run_is_another() {
        let live = Live::new();
        let before = live.made_now();
        live.wrong("x".into());
        live.trouble(Some("y".into()));
        assert!(live.next(None, SOON).unwrap().events().contains("data: y\n"));
        live.trouble(None);
        assert!(live.next(None, SOON).unwrap().events().contains("data: x\n"));
        live.good(Pages::Same);
        assert_eq!(live.made_now(), before);
        assert!(!live.next(None, SOON).unwrap().events().contains("wrong"));
        live.good(Pages::Others);
        assert_ne!(live.made_now(), before);
        std::thread::sleep(SOON);
        assert_ne!(Live::new().made_now(), before);
    }
}
