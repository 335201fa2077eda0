//! Pages that are open in the preview: what is added to them and only there, what they are told, and how many may listen. The real
//! program watching a book, and how soon it ends.

use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use benchleaf::watch::{Live, Pages, Preview};
use tempfile::TempDir;

use crate::books::{files_of, put};

const LONG: Duration = Duration::from_secs(60);

fn site() -> (TempDir, Preview) {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("index.html"), "<html><body>old </body> <p>hello</p></BODY></html>\n")
        .unwrap();
    fs::write(home.path().join("bare.html"), "<p>bare").unwrap();
    let preview = Preview::start("127.0.0.1:0", home.path()).unwrap();
    (home, preview)
}

fn get(address: SocketAddr, target: &str) -> String {
    let mut stream = TcpStream::connect(address).unwrap();
    stream.set_read_timeout(Some(LONG)).unwrap();
    write!(stream, "GET {target} HTTP/1.1\r\nHost: {address}\r\n\r\n").unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer
}

fn body(answer: &str) -> &str {
    answer.split_once("\r\n\r\n").unwrap().1
}

/// An open page.
struct Page(BufReader<TcpStream>);

impl Page {
    fn open(address: SocketAddr) -> Page {
        let mut stream = TcpStream::connect(address).unwrap();
        stream.set_read_timeout(Some(LONG)).unwrap();
        write!(stream, "GET /.benchleaf-preview/news HTTP/1.1\r\nHost: {address}\r\n\r\n").unwrap();
        let mut page = Page(BufReader::new(stream));
        while !page.line().is_empty() {}
        page
    }

    /// Without its end; empty at the end of everything, too.
    fn line(&mut self) -> String {
        let mut line = String::new();
        let _ = self.0.read_line(&mut line);
        line.trim_end().to_string()
    }

    /// Its name and its text.
    fn event(&mut self) -> (String, String) {
        let (mut name, mut data) = (String::new(), vec![]);
        let end = Instant::now() + LONG;
        loop {
            assert!(Instant::now() < end, "nothing was told but that somebody is there");
            let line = self.line();
            match line.split_once(": ") {
                Some(("event", told)) => name = told.to_string(),
                Some(("data", told)) => data.push(told.to_string()),
                _ if !name.is_empty() => return (name, data.join("\n")),
                _ => assert!(line == ":" || line.is_empty(), "{line:?}"),
            }
        }
    }

    fn events(&mut self, count: usize) -> Vec<(String, String)> {
        (0..count).map(|_| self.event()).collect()
    }

    fn is_closed(&mut self) -> bool {
        let mut rest = vec![];
        self.0.get_ref().set_read_timeout(Some(Duration::from_secs(2))).unwrap();
        self.0.read_to_end(&mut rest).is_ok()
    }
}

#[test]
fn a_page_has_one_script_more_where_it_is_shown_and_its_file_has_not() {
    let (home, preview) = site();
    let before = files_of(home.path());
    let added = format!(
        "<script src=\"/.benchleaf-preview/fresh.js\" data-hears=\"made\" data-made=\"{}\"></script>",
        preview.live.shown("index.html").made
    );
    let whole = format!("<html><body>old </body> <p>hello</p>{added}</BODY></html>\n");
    assert_eq!(body(&get(preview.address, "/")), whole);
    assert_eq!(body(&get(preview.address, "/bare.html")), format!("<p>bare{added}"));
    let nothing = get(preview.address, "/nothing.html");
    assert!(nothing.starts_with("HTTP/1.1 404 ") && nothing.contains(&added), "{nothing}");
    assert!(get(preview.address, "/.benchleaf-preview/fresh.js").contains("new EventSource("));
    assert_eq!(files_of(home.path()), before);
}

#[test]
fn an_open_page_is_told_how_it_is_and_then_of_every_change() {
    let (_home, preview) = site();
    let live: &Live = &preview.live;
    let mut page = Page::open(preview.address);
    let made_now = || live.shown("index.html").made;
    assert_eq!(page.events(2), ["made", "rest"].map(|name| (name.to_string(), made_now())));
    live.wrong("error: one\n  two".into());
    assert_eq!(page.events(3)[2], ("wrong".into(), "error: one\n  two".into()));
    let old = made_now();
    live.good(Pages::Others, &BTreeMap::new());
    let told = page.events(2).swap_remove(0);
    assert!(told == ("made".into(), made_now()) && told.1 != old, "{told:?}");
    // Who comes late hears it all at once.
    live.wrong("three".into());
    let mut late = Page::open(preview.address);
    assert_eq!(late.events(3)[2], ("wrong".into(), "three".into()));
}

#[test]
fn a_page_that_is_known_early_is_shown_and_not_written_and_one_that_is_not_says_that_it_is_behind() {
    let (home, preview) = site();
    let before = files_of(home.path());
    let mut page = Page::open(preview.address);
    page.events(2);
    preview.live.early(BTreeMap::from([("index.html".to_string(), b"<p>fresh".to_vec())]));
    assert_eq!(page.events(3).pop().unwrap().0, "behind");
    let (early, bare) = (get(preview.address, "/"), get(preview.address, "/bare.html"));
    assert!(early.contains("<p>fresh<script") && early.contains("data-hears=\"made\""), "{early}");
    assert!(bare.contains("<p>bare<script") && bare.contains("data-hears=\"rest\""), "{bare}");
    assert_eq!(files_of(home.path()), before);
    preview.live.wrong("another page fails".into());
    assert!(get(preview.address, "/").contains("hello"), "taken back");
}

#[test]
fn pages_that_listen_keep_nobody_out_and_the_oldest_goes_where_they_are_too_many() {
    let (_home, preview) = site();
    let mut pages: Vec<Page> = (0..40)
        .map(|_| {
            let mut page = Page::open(preview.address);
            page.events(2);
            page
        })
        .collect();
    let begun = Instant::now();
    for _ in 0..5 {
        assert!(get(preview.address, "/").contains("hello"));
    }
    assert!(begun.elapsed() < Duration::from_secs(4), "{:?}", begun.elapsed());
    preview.live.good(Pages::Others, &BTreeMap::new());
    assert_eq!(pages.pop().unwrap().event().1, preview.live.shown("index.html").made);
    assert!(pages.remove(0).is_closed());
}

#[test]
fn others_hear_no_news() {
    let (_home, preview) = site();
    let mut stream = TcpStream::connect(preview.address).unwrap();
    stream.set_read_timeout(Some(LONG)).unwrap();
    stream.write_all(b"GET /.benchleaf-preview/news HTTP/1.1\r\nHost: other.example\r\n\r\n").unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    assert!(answer.starts_with("HTTP/1.1 421 ") && !answer.contains("made"), "{answer}");
}

/// The real program at work on a copy of a small book. Ends with the test.
struct Watch {
    home: TempDir,
    child: Child,
    lines: Receiver<String>,
}

impl Watch {
    fn start() -> Watch {
        let home = tempfile::tempdir().unwrap();
        for (path, bytes) in files_of(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/good/plain")) {
            put(&home.path().join(path), &bytes);
        }
        let mut command = Command::new(env!("CARGO_BIN_EXE_benchleaf"));
        command.arg("watch").arg(home.path()).args(["--preview", "127.0.0.1:0"]);
        command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let (say, lines) = channel();
        let spoken = BufReader::new(child.stderr.take().unwrap()).lines();
        std::thread::spawn(move || spoken.map_while(Result::ok).all(|line| say.send(line).is_ok()));
        Watch { home, child, lines }
    }

    /// The next line that has this in it.
    fn line(&self, wanted: &str) -> String {
        loop {
            let line = self.lines.recv_timeout(LONG).unwrap_or_else(|_| panic!("no line with {wanted}"));
            if line.contains(wanted) {
                return line;
            }
        }
    }

    fn address(&self) -> SocketAddr {
        let line = self.line("preview at http://");
        line.split("http://").nth(1).unwrap().split('/').next().unwrap().parse().unwrap()
    }

    fn path(&self, inside: &str) -> PathBuf {
        self.home.path().join(inside)
    }

    /// In one step, so that no look meets half of it.
    fn edit(&self, inside: &str, from: &str, to: &str) {
        let text = fs::read_to_string(self.path(inside)).unwrap();
        assert!(text.contains(from), "{inside} has no {from}");
        fs::write(self.path("beside"), text.replacen(from, to, 1)).unwrap();
        fs::rename(self.path("beside"), self.path(inside)).unwrap();
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Whatever was made before the page was opened is one event; waits for the making that has this in its page.
fn until_it_reads(address: SocketAddr, page: &mut Page, text: &str) {
    while !get(address, "/parts/shim-alder.html").contains(text) {
        page.event();
    }
}

#[test]
fn a_watched_book_tells_its_open_pages_and_the_terminal_what_was_edited() {
    let watch = Watch::start();
    let address = watch.address();
    let mut page = Page::open(address);
    until_it_reads(address, &mut page, "Alder");
    watch.edit("parts/shims.toml", "outside = \"31.8\"", "outside = \"31.75\"");
    let line = watch.line("Alder");
    assert!(line.ends_with(": parts/shims.toml Alder outside 31.8 to 31.75"), "{line}");
    assert!(line.contains(" page"), "{line}");
    assert!(watch.line("written: ").contains(".html"));
    until_it_reads(address, &mut page, "31.75");

    // What is on disk: what the preview adds has the number of the last making, which is told a moment after the page is there.
    let on_disk = || fs::read_to_string(watch.path("public/parts/shim-alder.html")).unwrap();
    let good = on_disk();
    watch.edit("parts/shims.toml", "outside", "outsied");
    while !matches!(page.event(), (name, why) if name == "wrong" && why.contains("parts/shims.toml:")) {}
    assert_eq!(on_disk(), good, "the last good page stays");
    assert!(get(address, "/parts/shim-alder.html").contains(">31.75<"));
    watch.edit("parts/shims.toml", "outsied = \"31.75\"", "outside = \"31.7\"");
    until_it_reads(address, &mut page, ">31.7<");
    assert!(!on_disk().contains("benchleaf-preview"));
}

/// How long the program needs to end after Ctrl-C.
#[cfg(unix)]
fn time_to_end(mut watch: Watch) -> Duration {
    let begun = Instant::now();
    let told = Command::new("kill").args(["-INT", &watch.child.id().to_string()]).status().unwrap();
    assert!(told.success());
    assert_eq!(watch.child.wait().unwrap().code(), Some(0));
    begun.elapsed()
}

/// The best of some: a machine that is busy with other things makes any of them longer.
#[cfg(unix)]
#[test]
fn ctrl_c_ends_a_watch_within_100_ms_whatever_it_is_doing() {
    let waiting = || {
        let watch = Watch::start();
        let address = watch.address();
        let mut page = Page::open(address);
        until_it_reads(address, &mut page, "Alder");
        // With a page that listens, and one that says nothing.
        let idle = TcpStream::connect(address).unwrap();
        let time = time_to_end(watch);
        drop((page, idle));
        time
    };
    let working = |after: u64| {
        let watch = Watch::start();
        watch.line("watching ");
        std::thread::sleep(Duration::from_millis(after));
        time_to_end(watch)
    };
    let waited = (0..3).map(|_| waiting()).min().unwrap();
    let worked = (0..10).map(|nth| working(nth * 25)).collect::<Vec<_>>();
    println!("waiting: {waited:?}; at work: {worked:?}");
    let mut in_order = worked.clone();
    in_order.sort_unstable();
    let limit = Duration::from_millis(100);
    assert!(waited < limit && in_order[6] < limit, "{waited:?}, {worked:?}");
}
