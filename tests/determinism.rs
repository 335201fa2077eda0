//! The same book gives the same bytes: again, and on any number of threads. Knows nothing of what is in them.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

use benchleaf::base::BookFiles;
use benchleaf::compile::{Kept, OneTyped, OwnTyped, Progress, Which, Work, compile, pair, pair_all};
use walkdir::WalkDir;

fn files_in(folder: &str, files: &mut BookFiles) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    for entry in WalkDir::new(&root).into_iter().flatten().filter(|e| e.file_type().is_file()) {
        let path = entry.path().strip_prefix(&root).unwrap().to_str().unwrap().replace('\\', "/");
        files.insert(path, fs::read(entry.path()).unwrap());
    }
}

/// Two forks, two systems (one with a headset, so that cases split), boxes and a choice of parts.
fn book() -> BookFiles {
    let mut files = BookFiles::new();
    files_in("tests/good/plain", &mut files);
    let own: [(&str, &str); 3] = [
        ("content/headsets/integrated.toml", include_str!("../content/headsets/integrated.toml")),
        ("content/systems/seventh.toml", include_str!("proof/seventh.toml")),
        ("parts/bench.toml", include_str!("proof/bench.toml")),
    ];
    files.extend(
        own.map(|(path, text)| (path.to_string(), text.replace("material = \"steel\"\n", "").into_bytes())),
    );
    let boxed = "[[box]]\nid = \"box-fork\"\nname = \"Box\"\nprice = \"99.00\"\nholds = [\"fork\", \"race\", \"ring\"]\n";
    files.insert("parts/boxes.toml".into(), boxed.as_bytes().to_vec());
    files
}

fn compiled_on(threads: usize) -> BTreeMap<String, Vec<u8>> {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    let compiled = pool.install(|| compile(&book(), &|_| ()));
    assert!(!compiled.problems.any_error(), "{:#?}", compiled.problems.0);
    compiled.pages
}

/// Which files differ, by name: a page's bytes say little.
fn differing(a: &BTreeMap<String, Vec<u8>>, b: &BTreeMap<String, Vec<u8>>) -> Vec<String> {
    let names = a.keys().chain(b.keys()).filter(|name| a.get(*name) != b.get(*name));
    names.cloned().collect()
}

#[test]
fn a_book_compiled_again_and_on_other_threads_gives_the_same_bytes() {
    let first = compiled_on(1);
    assert!(first.len() > 10, "{:?}", first.keys());
    for threads in [1, 2, 2] {
        assert_eq!(differing(&first, &compiled_on(threads)), Vec::<String>::new(), "{threads} threads");
    }
}

const FORKS: usize = 12;

fn many_forks() -> BookFiles {
    let mut files = BookFiles::new();
    files_in("tests/good/plain", &mut files);
    let one = String::from_utf8(files["parts/forks.toml"].clone()).unwrap();
    let fork =
        |n: usize| one.replace("fork-heron", &format!("fork-{n:02}")).replace("Heron", &format!("Heron {n}"));
    let forks: String = (1..FORKS).map(fork).collect();
    files.insert("parts/more-forks.toml".into(), forks.into_bytes());
    files
}

/// The lines, and how many answers beyond those handed over there were at most.
fn streamed_on(threads: usize, files: &BookFiles) -> (Vec<String>, usize) {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    let answered = AtomicUsize::new(0);
    let (mut lines, mut under_way) = (vec![], 0);
    let progress = |progress: Progress<'_>| {
        if let Progress::Done { work: Work::Answers, done, .. } = progress {
            answered.fetch_max(done, Ordering::Relaxed);
        }
    };
    let told = pool.install(|| {
        pair_all(files, &Kept::default(), &progress, &mut |pair| {
            under_way = under_way.max(answered.load(Ordering::Relaxed) - lines.len());
            lines.push(pair.json);
        })
    });
    assert!(told.is_ok());
    (lines, under_way)
}

#[test]
fn pairings_come_in_order_as_asked_for_singly_and_only_a_few_are_under_way_at_once() {
    let files = many_forks();
    let (lines, under_way) = streamed_on(1, &files);
    assert_eq!(lines.len(), FORKS);
    assert!(under_way < FORKS / 2, "{under_way} of {FORKS} were answered before they could be handed over");
    for threads in [2, 3] {
        assert!(streamed_on(threads, &files).0 == lines, "{threads} threads");
    }
    let single = |fork: &str| {
        let own = OwnTyped { deck: None, bars: None, have: vec![] };
        let typed = OneTyped { fork: fork.to_owned(), system: "plain".to_owned(), own };
        pair(&files, &Kept::default(), Which::One(typed)).ok().expect("an answer").remove(0).json
    };
    assert_eq!(
        (&lines[0], &lines[4], &lines[11]),
        (&single("fork-01"), &single("fork-05"), &single("fork-heron"))
    );
}
