//! What the program takes of the machine's memory at most: for one answer of the worst book found, and for the whole demo book.
//! Read from the process while it runs, so on Linux alone.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use benchleaf::base::BookFiles;

use crate::small_demo;

/// One answer, whatever the book.
const MOST_OF_AN_ANSWER: u64 = 200 << 20;
/// The demo book on two threads, pages and all.
const MOST_OF_THE_DEMO: u64 = 400 << 20;

/// The most that the program takes with these words, in bytes, and what it prints; `None`: this machine does not tell.
fn taken_by(words: &[&str], home: &Path) -> Option<(u64, String)> {
    if !Path::new("/proc/self/status").exists() {
        println!("no /proc here: memory is not looked at");
        return None;
    }
    let printed = home.join("printed");
    let mut program = Command::new(env!("CARGO_BIN_EXE_benchleaf"))
        .args(words)
        .stdout(fs::File::create(&printed).unwrap())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let status = format!("/proc/{}/status", program.id());
    let mut most = 0;
    // The figure only grows, and is gone with the process.
    let ended = loop {
        let now = fs::read_to_string(&status).unwrap_or_default();
        let line = now.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kilobytes = line.and_then(|line| line.trim().strip_suffix(" kB")?.parse::<u64>().ok());
        most = most.max(kilobytes.unwrap_or(0) << 10);
        if let Some(ended) = program.try_wait().unwrap() {
            break ended;
        }
        std::thread::sleep(Duration::from_millis(5));
    };
    assert!(ended.success(), "{words:?}: {ended}");
    assert!(most > 1 << 20, "{most}");
    Some((most, fs::read_to_string(printed).unwrap()))
}

fn put(folder: &Path, files: &BookFiles) {
    for (path, bytes) in files {
        let path = folder.join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
}

/// A share of the demo book with two hundred spacers of its own lengths, nine of which may stand on each other: a hundred thousand
/// times more piles than can be tried, each of another price.
fn two_hundred_spacers() -> BookFiles {
    let mut files = small_demo::files();
    let spacers: String = (0..200)
        .map(|n| {
            format!(
                "[[part]]\nid = \"spacer-{n}\"\nkind = \"spacer\"\nname = \"Spacer {n}\"\nbore = \"28.8 +0.1/0\"\n\
                 outside = \"36\"\nlength = \"{}.{} ±0.05\"\nprice = \"{}.00\"\n",
                1 + n / 10,
                n % 10,
                1 + n % 7
            )
        })
        .collect();
    files.insert("parts/spacers.toml".to_string(), spacers.into_bytes());
    files.remove("content/systems/cap-in-clamp.toml");
    files.remove("content/systems/cap-in-clamp.md");
    let wide = "content/systems/wide-shim.toml";
    let rule = String::from_utf8(files[wide].clone()).unwrap();
    let many = rule.replace("count = [0, 3]", "count = [0, 9]");
    assert!(many != rule);
    files.insert(wide.to_string(), many.into_bytes());
    files
}

#[test]
fn an_answer_among_two_hundred_spacers_nine_at_a_time_stays_in_bounds() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("book");
    put(&folder, &two_hundred_spacers());
    let book = folder.to_str().unwrap();
    let words = ["pair", "fork-tern", "wide-shim", "--json", "--threads", "1", "--book", book];
    let Some((most, printed)) = taken_by(&words, home.path()) else { return };
    println!("{} MB", most >> 20);
    assert!(most < MOST_OF_AN_ANSWER, "{} MB", most >> 20);
    let answer: serde_json::Value = serde_json::from_str(&printed).unwrap();
    assert!(answer["verdict"].is_string());
}

#[test]
#[ignore = "a minute and a half"]
fn the_whole_demo_book_stays_in_bounds() {
    let home = tempfile::tempdir().unwrap();
    let (book, site) = (env!("CARGO_MANIFEST_DIR"), home.path().join("site"));
    let words = ["compile", book, "--into", site.to_str().unwrap(), "--threads", "2"];
    let Some((most, _)) = taken_by(&words, home.path()) else { return };
    println!("{} MB", most >> 20);
    assert!(most < MOST_OF_THE_DEMO, "{} MB", most >> 20);
    assert!(site.join("index.html").exists());
}
