//! Ends the program where a template of the theme never comes to its end, or takes all memory: nothing inside such a
//! template can be stopped. Knows no template.
//!
//! Memory that a template takes is seen on Linux only. The theme itself is held to its size, its pages to theirs
//! (`src/site/theme.rs`); `tests/shell_faults.rs` has both.

use std::collections::HashMap;
use std::process::exit;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::{self, ThreadId};
use std::time::Duration;

use super::clean_text::clean;
use super::{Ending, say};
use crate::compile::{Progress, Rendering};
use crate::disk::memory_in_use;

const LOOK: Duration = Duration::from_millis(20);
/// In looks, 20 seconds: the largest guide takes a tenth of one. A program that sleeps does not look, either.
const MOST_LOOKS: u32 = 1_000;
/// Beyond what was in use when the first page was begun.
const MOST_MEMORY: u64 = 2 << 30;

/// On guard until dropped.
pub struct TemplateGuard {
    pages: Arc<Mutex<Pages>>,
    ended: Arc<AtomicBool>,
}

/// The pages being rendered, by thread, with how often each was seen so.
#[derive(Default)]
struct Pages {
    now: HashMap<ThreadId, (String, u32)>,
    memory_before: Option<u64>,
}

impl TemplateGuard {
    pub fn set() -> TemplateGuard {
        let guard = TemplateGuard { pages: Arc::default(), ended: Arc::default() };
        let (pages, ended) = (Arc::clone(&guard.pages), Arc::clone(&guard.ended));
        // Without a thread to spare there is no guard, and all else goes on.
        let _ = thread::Builder::new().name("template guard".into()).spawn(move || {
            while !ended.load(Ordering::Relaxed) {
                thread::sleep(LOOK);
                let found = pages.lock().unwrap_or_else(PoisonError::into_inner).look(memory_in_use);
                found.into_iter().for_each(|trouble| end(&trouble));
            }
        });
        guard
    }

    pub fn hear(&self, progress: Progress<'_>) {
        let (Progress::Page(rendering) | Progress::Early(rendering)) = progress else { return };
        let mut pages = self.pages.lock().unwrap_or_else(PoisonError::into_inner);
        match rendering {
            Rendering::All(_) => {}
            Rendering::Begun(page) => {
                pages.memory_before = pages.memory_before.or_else(memory_in_use);
                pages.now.insert(thread::current().id(), (page.to_string(), 0));
            }
            Rendering::Ended => drop(pages.now.remove(&thread::current().id())),
        }
    }
}

impl Drop for TemplateGuard {
    fn drop(&mut self) {
        self.ended.store(true, Ordering::Relaxed);
    }
}

impl Pages {
    /// What is wrong, if anything is.
    fn look(&mut self, memory: impl Fn() -> Option<u64>) -> Option<String> {
        for (page, looks) in self.now.values_mut() {
            *looks += 1;
            if *looks > MOST_LOOKS {
                return Some(format!("the template of {page} does not come to its end"));
            }
        }
        let (page, _) = self.now.values().max_by_key(|(_, looks)| *looks)?;
        let more = memory()?.saturating_sub(self.memory_before?);
        (more > MOST_MEMORY).then(|| format!("the template of {page} takes more than 2 GB of memory"))
    }
}

fn end(trouble: &str) {
    say::message(&clean(&format!("error[theme-endless]: {trouble}")));
    say::message("do this: look at the loops of the template and of those that it includes");
    say::message("1 error; nothing written");
    exit(i32::from(Ending::BookHasErrors.code()));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pages() -> Pages {
        let now = [(thread::current().id(), ("guides/a.html".to_string(), 0))].into();
        Pages { now, memory_before: Some(1 << 30) }
    }

    #[test]
    fn a_page_that_is_never_done_is_found_after_its_time() {
        let mut pages = pages();
        assert!((0..MOST_LOOKS).all(|_| pages.look(|| None).is_none()));
        assert!(pages.look(|| None).is_some_and(|told| told.contains("guides/a.html")));
    }

    #[test]
    fn memory_counts_from_where_rendering_began_and_only_while_pages_are_rendered() {
        let mut pages = pages();
        assert_eq!(pages.look(|| Some(3 << 30)), None);
        assert!(pages.look(|| Some((3 << 30) + 1)).is_some_and(|told| told.contains("2 GB")));
        pages.now.clear();
        assert_eq!(pages.look(|| Some(9 << 30)), None);
    }
}
