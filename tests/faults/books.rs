//! Small books, the real program at work on them, and what it leaves in a site's folder. Knows no fault.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use tempfile::TempDir;
use walkdir::WalkDir;

pub type Site = BTreeMap<String, Vec<u8>>;

/// Small books whose pages all differ, and each of which has a page that the others have not.
pub struct Books {
    pub home: TempDir,
    pub sites: Vec<Site>,
}

impl Books {
    pub fn new(count: usize) -> Books {
        let home = tempfile::tempdir().unwrap();
        let plain = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/good/plain");
        let mut sites = vec![];
        for nth in 0..count {
            let book = home.path().join(format!("book-{nth}"));
            for (path, bytes) in files_of(&plain) {
                put(&book.join(path), &bytes);
            }
            let shop = fs::read_to_string(book.join("content/shop.toml")).unwrap();
            let shop = shop.replace("Quay Bench", &format!("Bench {nth}"));
            put(&book.join("content/shop.toml"), shop.as_bytes());
            put(&book.join(format!("content/pages/only-{nth}.md")), b"# Only here\n");
            let into = home.path().join(format!("site-{nth}"));
            assert!(compile(&book, &into).status.success());
            sites.push(pages_of(&into));
        }
        Books { home, sites }
    }

    pub fn book(&self, nth: usize) -> PathBuf {
        self.home.path().join(format!("book-{nth}"))
    }

    pub fn folder(&self) -> PathBuf {
        self.home.path().join("into")
    }

    /// Every page is one of some book, whole, and no page that all books have is missing.
    pub fn assert_nothing_is_torn_or_lost(&self, site: &Site) {
        for (path, bytes) in site {
            assert!(self.sites.iter().any(|s| s.get(path) == Some(bytes)), "{path} is torn");
        }
        for path in self.sites[0].keys().filter(|path| self.sites.iter().all(|s| s.contains_key(*path))) {
            assert!(site.contains_key(path), "{path} is lost");
        }
    }

    pub fn is_one_whole_site(&self, site: &Site) -> bool {
        self.sites.contains(site)
    }
}

pub fn put(path: &Path, bytes: &[u8]) {
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, bytes).unwrap();
}

pub fn files_of(folder: &Path) -> Site {
    files_called(folder, |_| true)
}

fn files_called(folder: &Path, called: impl Fn(&str) -> bool) -> Site {
    let entries = WalkDir::new(folder).into_iter().map(|entry| entry.unwrap());
    let files = entries.filter(|entry| !entry.file_type().is_dir()).filter_map(|entry| {
        let path = entry.path().strip_prefix(folder).unwrap().to_str().unwrap().to_string();
        called(&path).then(|| (path, fs::read(entry.path()).unwrap()))
    });
    files.collect()
}

pub fn is_own(path: &str) -> bool {
    path.starts_with(".benchleaf-")
}

/// What a run keeps for itself is not looked into: while it writes, that comes and goes.
pub fn pages_of(into: &Path) -> Site {
    if into.exists() { files_called(into, |path| !is_own(path)) } else { Site::new() }
}

/// What a run keeps for itself and should have cleared away.
pub fn scraps_in(into: &Path) -> Vec<String> {
    if !into.exists() {
        return vec![];
    }
    let names = fs::read_dir(into).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap());
    let stays = |name: &str| [".benchleaf-written", ".benchleaf-found", ".benchleaf-left"].contains(&name);
    names.filter(|name| is_own(name) && !stays(name)).collect()
}

/// A run that has all its work to do: what would spare it that is taken away.
pub fn command(book: &Path, into: &Path) -> Command {
    let _ = fs::remove_file(into.join(".benchleaf-left"));
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchleaf"));
    command.args(["compile", "--threads", "2"]).arg(book).arg("--into").arg(into);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped());
    command
}

pub fn compile(book: &Path, into: &Path) -> Output {
    command(book, into).output().unwrap()
}

pub fn told(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// A small file system of its own in a folder; gone when dropped.
pub struct Disk(pub PathBuf);

impl Disk {
    pub fn mount(at: &Path) -> Option<Disk> {
        fs::create_dir_all(at).unwrap();
        let mount = ["-t", "tmpfs", "-o", "size=4m,nr_inodes=400", "tmpfs"];
        Command::new("mount").args(mount).arg(at).status().unwrap().success().then(|| Disk(at.to_path_buf()))
    }

    /// Leaves room for so many more.
    pub fn limit(&self, option: &str, column: &str, more: u64, unit: u64) {
        let df =
            Command::new("df").args(["--block-size=1", &format!("--output={column}")]).arg(&self.0).output();
        let used: u64 =
            String::from_utf8(df.unwrap().stdout).unwrap().lines().nth(1).unwrap().trim().parse().unwrap();
        self.remount(&format!("{option}={}", used + more * unit));
    }

    pub fn remount(&self, options: &str) {
        let done = Command::new("mount").args(["-o", &format!("remount,{options}")]).arg(&self.0).status();
        assert!(done.unwrap().success(), "{options}");
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}
