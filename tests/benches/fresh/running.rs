//! The program, and what it is measured against, run and timed. Knows no figure that is hoped for.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

const PROGRAM: &str = env!("CARGO_BIN_EXE_benchleaf");
/// Beyond it something hangs.
const LONG: Duration = Duration::from_secs(3 * 3600);

/// What a clean compile took.
pub struct Clean {
    pub seconds: f64,
    /// Bytes; 0 where the machine does not tell.
    pub memory: u64,
    /// So many guides that go, do not, and so on.
    pub verdicts: String,
}

pub fn seconds_of(command: &mut Command) -> f64 {
    let begun = Instant::now();
    let ended = command.stdout(Stdio::null()).stderr(Stdio::null()).status().expect("it can be run");
    let took = begun.elapsed().as_secs_f64();
    assert!(ended.success(), "{command:?}: {ended}");
    took
}

/// With a book for its last word.
pub fn program(words: &[&str], book: &Path) -> f64 {
    seconds_of(Command::new(PROGRAM).args(words).arg("--book").arg(book))
}

pub fn compile(book: &Path) -> f64 {
    seconds_of(Command::new(PROGRAM).arg("compile").arg(book))
}

/// Into a folder that is not there yet.
pub fn copy(from: &Path, to: &Path) -> f64 {
    seconds_of(Command::new("cp").arg("-r").arg(from).arg(to))
}

/// The first compile of a book, with the most memory that it took.
pub fn clean(book: &Path) -> Clean {
    let begun = Instant::now();
    let mut program = Command::new(PROGRAM)
        .arg("compile")
        .arg(book)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program can be run");
    let status = format!("/proc/{}/status", program.id());
    let mut memory = 0;
    let ended = loop {
        // The figure only grows, and is gone with the process.
        let now = fs::read_to_string(&status).unwrap_or_default();
        let line = now.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kilobytes = line.and_then(|line| line.trim().strip_suffix(" kB")?.parse::<u64>().ok());
        memory = memory.max(kilobytes.unwrap_or(0) << 10);
        if let Some(ended) = program.try_wait().expect("it is a process of ours") {
            break ended;
        }
        std::thread::sleep(Duration::from_millis(5));
    };
    let seconds = begun.elapsed().as_secs_f64();
    assert!(ended.success(), "{}: {ended}", book.display());
    Clean { seconds, memory, verdicts: verdicts(&book.join("public/data/pairings.json")) }
}

fn verdicts(pairings: &Path) -> String {
    let text = fs::read_to_string(pairings).expect("the site has its data");
    let count = |verdict: &str| {
        let ends = [format!("\"verdict\":\"{verdict}\"")];
        // The pairing's own stands first on its line.
        let own = |line: &&str| {
            line.find("\"verdict\":").is_some_and(|at| ends.iter().any(|end| line[at..].starts_with(end)))
        };
        text.lines().filter(own).count()
    };
    let all = ["goes", "measure", "no", "depends", "unsettled"]
        .map(|verdict| format!("{} {verdict}", count(verdict)));
    all.join(", ")
}

/// Builds once, and gives the command that finds nothing to do. `None`: there is no `ninja`.
pub fn ninja(book: &Path) -> Option<impl Fn() -> Command + use<>> {
    Command::new("ninja").arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status().ok()?;
    let folder = book.with_extension("ninja");
    fs::create_dir_all(&folder).expect("a folder for scratch files");
    let paths = |root: &Path| -> Vec<String> {
        let all = walkdir::WalkDir::new(root).sort_by_file_name().into_iter().flatten();
        let files = all.filter(|entry| entry.file_type().is_file());
        files.filter_map(|entry| Some(entry.path().to_str()?.to_string())).collect()
    };
    let inputs: Vec<String> =
        ["content", "parts", "themes"].iter().flat_map(|name| paths(&book.join(name))).collect();
    let outputs = paths(&book.join("public")).len();
    let first = inputs.first().expect("a book has files");
    let mut text = String::from("rule copy\n  command = cp $in_first $out\n");
    for at in 0..outputs {
        let rest = inputs[1..].join(" ");
        text += &format!("build out/{at}.html: copy {first} | {rest}\n  in_first = {first}\n");
    }
    fs::write(folder.join("build.ninja"), text).expect("room on the disk");
    let command = move || {
        let mut command = Command::new("ninja");
        command.arg("-C").arg(&folder);
        command
    };
    seconds_of(&mut command());
    Some(command)
}

/// The program watching a book, with its preview open.
pub struct Watching {
    program: Child,
    address: String,
    /// Lines of results, one for each time that the site is that of the book again.
    results: Receiver<Instant>,
    /// What an open page is told, one that is not the last to be known: which making of it there is.
    made: Receiver<(Instant, String)>,
    last: String,
}

/// Seconds after the file was saved.
pub struct Seen {
    /// An open page was told, asked, and got what was saved.
    pub first: f64,
    /// The program said that all is done.
    pub all: f64,
}

impl Watching {
    pub fn begin(book: &Path) -> Watching {
        let mut program = Command::new(PROGRAM)
            .args(["watch", "--preview", "127.0.0.1:0"])
            .arg(book)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program can be run");
        let (tell, results) = channel();
        let lines = BufReader::new(program.stdout.take().expect("it is piped"));
        std::thread::spawn(move || {
            lines.lines().map_while(Result::ok).try_for_each(|_| tell.send(Instant::now()))
        });
        let mut messages =
            BufReader::new(program.stderr.take().expect("it is piped")).lines().map_while(Result::ok);
        let address = messages.find_map(|line| {
            let (_, rest) = line.split_once("preview at http://")?;
            Some(rest.split_once('/')?.0.to_string())
        });
        std::thread::spawn(move || messages.for_each(drop));
        let address = address.expect("it says where the preview is");
        results.recv_timeout(LONG).expect("a first compile");
        let (tell, made) = channel();
        let mut news = BufReader::new(asked(&address, "/.benchleaf-preview/news"));
        std::thread::spawn(move || {
            let (mut line, mut event) = (String::new(), String::new());
            while news.read_line(&mut line).is_ok_and(|length| length > 0) {
                match line.trim_end().split_once(": ") {
                    Some(("event", name)) => event = name.to_string(),
                    Some(("data", made)) if event == "made" => {
                        let _ = tell.send((Instant::now(), made.to_string()));
                    }
                    _ => {}
                }
                line.clear();
            }
        });
        let last = made.recv_timeout(LONG).expect("an open page is told how it is").1;
        Watching { program, address, results, made, last }
    }

    /// Saves a file with one text in the place of another, and waits until a page shows it and all is done.
    pub fn edit(&mut self, book: &Path, path: &str, (from, to): (&str, &str), page: &str) -> Seen {
        // The second look after the change before, and notices of reading, are over.
        std::thread::sleep(Duration::from_millis(1_200));
        while self.results.try_recv().is_ok() {}
        let file = book.join(path);
        let before = fs::read_to_string(&file).expect("a file of the book");
        assert!(before.contains(from), "{path} has no {from}");
        let saved = Instant::now();
        fs::write(&file, before.replacen(from, to, 1)).expect("a file of the book");
        let first = loop {
            let (_, made) = self.made.recv_timeout(LONG).expect("an open page is told");
            if made != self.last {
                self.last = made;
                let mut answer = vec![];
                asked(&self.address, &format!("/{page}")).read_to_end(&mut answer).expect("an answer");
                assert!(answer.starts_with(b"HTTP/1.1 200"), "{page}");
                break saved.elapsed().as_secs_f64();
            }
        };
        let done = self.results.recv_timeout(LONG).expect("it says when it is done");
        Seen { first, all: (done - saved).as_secs_f64() }
    }
}

fn asked(address: &str, target: &str) -> TcpStream {
    let mut stream = TcpStream::connect(address).expect("the preview answers");
    write!(stream, "GET {target} HTTP/1.1\r\nHost: {address}\r\n\r\n").expect("the preview listens");
    stream
}

impl Drop for Watching {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}
