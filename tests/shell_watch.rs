//! A book being edited while it is watched, with a compile of the test's own: one page with the parts' text.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use benchleaf::base::{BookFiles, Problem, Problems, Sources};
use benchleaf::compile::Compiled;
use benchleaf::publish::Theirs;
use benchleaf::watch::{News, Notices, Wake, Watched, keep_compiled};
use tempfile::TempDir;

const LONG: Duration = Duration::from_secs(20);
/// Longer than notices need to settle and the second look to come.
const STILL: Duration = Duration::from_millis(1500);

/// `broken` anywhere in a part is an error; else the page holds every part's text.
fn compile(files: &BookFiles) -> Compiled {
    let mut text = String::new();
    let mut problems = Problems::default();
    for (path, bytes) in files {
        let part = String::from_utf8_lossy(bytes);
        if part.contains("broken") {
            problems.push(Problem::error("broken", format!("{path} is broken")));
        }
        text.push_str(&part);
    }
    let pages = [("index.html".to_string(), text.into_bytes())].into();
    Compiled { pages, problems, sources: Sources::default(), given_up: false }
}

/// A watch running on a thread of its own.
struct Watching {
    home: TempDir,
    wakes: Sender<Wake>,
    news: Receiver<String>,
    compiles: std::sync::Arc<AtomicUsize>,
    thread: Option<JoinHandle<bool>>,
}

impl Watching {
    fn start(poll: Option<Duration>) -> Watching {
        let home = tempfile::tempdir().unwrap();
        for folder in ["content", "parts"] {
            fs::create_dir(home.path().join(folder)).unwrap();
        }
        fs::write(home.path().join("parts/a.toml"), "one").unwrap();
        Watching::start_in(home, poll)
    }

    fn start_in(home: TempDir, poll: Option<Duration>) -> Watching {
        let (wakes, woken) = channel();
        let (tell, news) = channel();
        let compiles = std::sync::Arc::new(AtomicUsize::new(0));
        let counter = compiles.clone();
        let (book, sender) = (home.path().to_path_buf(), wakes.clone());
        let thread = std::thread::spawn(move || {
            let watched = Watched::new(&book, &book.join("public"), poll, Theirs::Stay);
            let mut notices = poll.is_none().then(|| Notices::start(&book, sender).unwrap());
            let mut before_look = || {
                if let Some(notices) = &mut notices {
                    notices.watch_folders().unwrap();
                }
            };
            let count = |files: &BookFiles| {
                counter.fetch_add(1, Ordering::SeqCst);
                compile(files)
            };
            let mut tell = |news: News<'_>| tell.send(headline(&news)).unwrap();
            keep_compiled(&watched, &woken, &mut before_look, &count, &mut tell).is_ok()
        });
        Watching { home, wakes, news, compiles, thread: Some(thread) }
    }

    fn path(&self, inside: &str) -> PathBuf {
        self.home.path().join(inside)
    }

    /// In one step, as most editors save: no look ever meets half of it.
    fn save(&self, inside: &str, text: &str) {
        let beside = self.home.path().join("beside");
        fs::write(&beside, text).unwrap();
        fs::rename(beside, self.path(inside)).unwrap();
    }

    fn page(&self) -> String {
        fs::read_to_string(self.path("public/index.html")).unwrap()
    }

    fn next(&self) -> String {
        self.news.recv_timeout(LONG).expect("news within the time allowed")
    }

    /// Takes in news until the page reads so: an editor's save may be seen in more than one step.
    fn until_page_is(&self, text: &str) {
        let end = Instant::now() + LONG;
        while self.page() != text {
            assert!(Instant::now() < end, "the page still reads {:?}", self.page());
            let _ = self.news.recv_timeout(Duration::from_millis(50));
        }
        while self.news.recv_timeout(STILL).is_ok() {}
    }

    fn stop(mut self) -> bool {
        self.wakes.send(Wake::Stop).unwrap();
        self.thread.take().unwrap().join().unwrap()
    }
}

fn headline(news: &News<'_>) -> String {
    match news {
        News::Renewed { mended: false, .. } => "renewed".into(),
        News::Renewed { mended: true, .. } => "mended".into(),
        News::Broken { problems, .. } => format!("broken: {}", problems.0[0].fact),
        News::Unread(_) => "unread".into(),
        News::ReadAgain => "read again".into(),
        News::Unpublished(_) => "unpublished".into(),
    }
}

#[test]
fn a_run_that_was_given_up_is_begun_again_and_only_the_second_is_told() {
    let home = tempfile::tempdir().unwrap();
    for folder in ["content", "parts"] {
        fs::create_dir(home.path().join(folder)).unwrap();
    }
    fs::write(home.path().join("parts/a.toml"), "one").unwrap();
    let (wakes, woken) = channel();
    let (compiles, mut told) = (AtomicUsize::new(0), vec![]);
    let first_gives_up = |files: &BookFiles| match compiles.fetch_add(1, Ordering::SeqCst) {
        0 => Compiled { pages: [].into(), given_up: true, ..compile(files) },
        _ => compile(files),
    };
    let watched = Watched::new(home.path(), &home.path().join("public"), None, Theirs::Stay);
    let mut tell = |news: News<'_>| {
        told.push(headline(&news));
        wakes.send(Wake::Stop).unwrap();
    };
    assert!(keep_compiled(&watched, &woken, &mut || (), &first_gives_up, &mut tell).is_ok());
    assert_eq!((told, compiles.into_inner()), (vec!["renewed".to_string()], 2));
    assert!(home.path().join("public/index.html").exists());
}

#[test]
fn a_broken_book_keeps_the_last_good_page_and_a_mended_one_renews_it() {
    let watching = Watching::start(None);
    assert_eq!(watching.next(), "renewed");
    assert_eq!(watching.page(), "one");
    watching.save("parts/a.toml", "broken");
    assert_eq!(watching.next(), "broken: parts/a.toml is broken");
    assert_eq!(watching.page(), "one");
    watching.save("parts/a.toml", "two");
    assert_eq!(watching.next(), "mended");
    assert_eq!(watching.page(), "two");
    assert!(watching.stop());
}

#[test]
fn a_folder_made_in_one_go_with_its_files_is_seen_and_so_are_later_changes_in_it() {
    let watching = Watching::start(None);
    assert_eq!(watching.next(), "renewed");
    fs::create_dir_all(watching.path("parts/b/deep/er")).unwrap();
    fs::write(watching.path("parts/b/deep/er/b.toml"), " two").unwrap();
    watching.until_page_is("one two");
    fs::write(watching.path("parts/b/deep/er/b.toml"), " three").unwrap();
    watching.until_page_is("one three");
    fs::remove_dir_all(watching.path("parts/b")).unwrap();
    watching.until_page_is("one");
    assert!(watching.stop());
}

#[test]
fn saves_by_renaming_are_seen_every_time() {
    let watching = Watching::start(None);
    assert_eq!(watching.next(), "renewed");
    for text in ["two", "three", "four"] {
        fs::write(watching.path("parts/.a.tmp"), text).unwrap();
        fs::rename(watching.path("parts/.a.tmp"), watching.path("parts/a.toml")).unwrap();
        watching.until_page_is(text);
    }
    assert!(watching.stop());
}

#[test]
fn a_folder_of_the_book_taken_away_and_brought_back_is_told_and_seen() {
    let watching = Watching::start(None);
    assert_eq!(watching.next(), "renewed");
    fs::rename(watching.path("parts"), watching.path("aside")).unwrap();
    assert_eq!(watching.next(), "broken: the book has no folder `parts`");
    assert_eq!(watching.page(), "one");
    fs::rename(watching.path("aside"), watching.path("parts")).unwrap();
    assert_eq!(watching.next(), "mended");
    fs::write(watching.path("parts/a.toml"), "two").unwrap();
    watching.until_page_is("two");
    assert!(watching.stop());
}

#[test]
fn same_content_passing_files_and_the_site_itself_compile_nothing() {
    let watching = Watching::start(None);
    assert_eq!(watching.next(), "renewed");
    watching.save("parts/a.toml", "one");
    fs::write(watching.path("parts/.a.toml.swp"), "x").unwrap();
    fs::write(watching.path("parts/a.toml~"), "x").unwrap();
    fs::write(watching.path("public/theirs.html"), "x").unwrap();
    assert!(watching.news.recv_timeout(STILL).is_err());
    assert_eq!(watching.compiles.load(Ordering::SeqCst), 1);
    assert!(watching.stop());
}

#[test]
fn polling_sees_changes_without_any_notice() {
    let watching = Watching::start(Some(Duration::from_millis(50)));
    assert_eq!(watching.next(), "renewed");
    fs::write(watching.path("parts/a.toml"), "two").unwrap();
    watching.until_page_is("two");
    assert!(watching.stop());
}

#[test]
fn a_machine_that_fails_at_the_start_ends_the_watch_and_one_that_fails_later_does_not() {
    let home = tempfile::tempdir().unwrap();
    fs::create_dir(home.path().join("content")).unwrap();
    fs::create_dir(home.path().join("parts")).unwrap();
    fs::write(home.path().join("parts/a.toml"), "one").unwrap();
    block(home.path());
    let mut watching = Watching::start_in(home, None);
    assert_eq!(watching.next(), "unpublished");
    assert!(!watching.thread.take().unwrap().join().unwrap());

    let watching = Watching::start(None);
    assert_eq!(watching.next(), "renewed");
    fs::remove_dir_all(watching.path("public")).unwrap();
    block(watching.home.path());
    watching.save("parts/a.toml", "two");
    assert_eq!(watching.next(), "unpublished");
    fs::remove_file(watching.path("public")).unwrap();
    assert_eq!(watching.next(), "mended");
    assert_eq!(watching.page(), "two");
    assert!(watching.stop());
}

#[test]
fn a_machine_that_goes_on_failing_makes_nothing_compile_again_and_is_told_once() {
    let watching = Watching::start(Some(Duration::from_millis(20)));
    assert_eq!(watching.next(), "renewed");
    fs::remove_dir_all(watching.path("public")).unwrap();
    block(watching.home.path());
    watching.save("parts/a.toml", "two");
    assert_eq!(watching.next(), "unpublished");
    std::thread::sleep(Duration::from_millis(2500));
    assert_eq!(watching.compiles.load(Ordering::SeqCst), 2);
    watching.save("parts/a.toml", "three");
    std::thread::sleep(Duration::from_millis(500));
    assert_eq!(watching.compiles.load(Ordering::SeqCst), 3, "a change is tried at once");
    fs::remove_file(watching.path("public")).unwrap();
    assert_eq!(watching.next(), "mended");
    assert_eq!((watching.page(), watching.compiles.load(Ordering::SeqCst)), ("three".into(), 3));
    assert!(watching.stop());
}

/// A file where the site's folder must be.
fn block(home: &Path) {
    fs::write(home.join("public"), "in the way").unwrap();
}
