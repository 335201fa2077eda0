//! Turns the machine's notices of changed files into wakes. Never says what changed: notices get lost and lie.
//!
//! Folders are watched, not files. Reading gives notices, too; they are dropped. New folders are watched before each look.

use std::path::{Path, PathBuf};
use std::sync::mpsc::Sender;
use std::time::Duration;

use notify_debouncer_full::notify::{self, Event, EventKind, RecommendedWatcher, RecursiveMode};
use notify_debouncer_full::{DebounceEventResult, Debouncer, NoCache, new_debouncer_opt};

use super::Wake;
use crate::disk::{BOOK_FOLDERS, is_passing_name, real_path};

/// After the last notice of a file: an editor has finished its save by then, and nobody has felt it. Where it had not, the second
/// look finds the rest.
const SETTLE: Duration = Duration::from_millis(40);

/// Notices about one book, for as long as this lives. Network folders send none, without any error.
pub struct Notices {
    debouncer: Debouncer<RecommendedWatcher, NoCache>,
    home: PathBuf,
}

impl Notices {
    /// Fails if the machine has no notices to give, or no more watches.
    pub fn start(book: &Path, wakes: Sender<Wake>) -> notify::Result<Notices> {
        let home = real_path(book).ok_or_else(notify::Error::path_not_found)?;
        let place = home.clone();
        let on_notice = move |result: DebounceEventResult| {
            let look = match result {
                Ok(events) => events.iter().any(|event| is_about_the_book(event, &place)),
                // Notices were lost; the book itself still tells the truth.
                Err(_) => true,
            };
            if look {
                // Nobody receives any more: the loop is ending.
                let _ = wakes.send(Wake::Look);
            }
        };
        let debouncer =
            new_debouncer_opt(SETTLE, None, on_notice, NoCache::new(), notify::Config::default())?;
        let mut notices = Notices { debouncer, home };
        notices.watch_folders()?;
        Ok(notices)
    }

    /// Watches the book's folders as they are now. To be called before every look: folders come and go, and of a
    /// folder made in one go with its content the notices for the inner ones may never arrive.
    pub fn watch_folders(&mut self) -> notify::Result<()> {
        self.debouncer.watch(&self.home, RecursiveMode::NonRecursive)?;
        for folder in BOOK_FOLDERS.map(|name| self.home.join(name)) {
            if folder.is_dir() {
                self.debouncer.watch(&folder, RecursiveMode::Recursive)?;
            }
        }
        Ok(())
    }
}

/// Leaves out that somebody read a file (the looks themselves do), the site, and files that are no part of a book.
fn is_about_the_book(event: &Event, home: &Path) -> bool {
    if event.need_rescan() {
        return true;
    }
    !matches!(event.kind, EventKind::Access(_)) && event.paths.iter().any(|path| is_in_the_book(path, home))
}

fn is_in_the_book(path: &Path, home: &Path) -> bool {
    let Ok(inside) = path.strip_prefix(home) else { return false };
    let mut names = inside.iter().map(|name| name.to_string_lossy());
    names.next().is_some_and(|first| BOOK_FOLDERS.contains(&first.as_ref()))
        && names.all(|name| !is_passing_name(&name))
}

#[cfg(test)]
mod tests {
    use super::*;
    use notify::event::{AccessKind, CreateKind, Flag, ModifyKind};

    fn wakes(kind: EventKind, path: &str) -> bool {
        is_about_the_book(&Event::new(kind).add_path(PathBuf::from(path)), Path::new("/book"))
    }

    #[test]
    fn changes_in_the_book_wake_and_everything_else_does_not() {
        let (made, changed) = (EventKind::Create(CreateKind::File), EventKind::Modify(ModifyKind::Any));
        for path in
            ["/book/parts/a.toml", "/book/parts", "/book/content/deep/b.md", "/book/themes/plain/c.css"]
        {
            assert!(wakes(made, path) && wakes(changed, path), "{path}");
        }
        let aside = [
            "/book/public/index.html",
            "/book/parts/.a.swp",
            "/book/parts/a~",
            "/book",
            "/else/parts/a.toml",
        ];
        for path in aside {
            assert!(!wakes(made, path), "{path}");
        }
    }

    #[test]
    fn reading_never_wakes_and_lost_notices_always_do() {
        assert!(!wakes(EventKind::Access(AccessKind::Any), "/book/parts/a.toml"));
        let lost = Event::new(EventKind::Other).set_flag(Flag::Rescan);
        assert!(is_about_the_book(&lost, Path::new("/book")));
    }
}
