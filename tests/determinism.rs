//! The same book gives the same bytes: again, and on any number of threads. Knows nothing of what is in them.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use benchleaf::base::BookFiles;
use benchleaf::compile::compile;
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
