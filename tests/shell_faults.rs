//! The real program killed, stopped, refused by the machine, and run twice at once: what is left of the site. Long
//! runs: `cargo test --test program shell_faults:: -- --ignored --nocapture` (some minutes; each prints its counts).
#![cfg(unix)]

use crate::books;

use std::fs;
use std::os::unix::process::ExitStatusExt;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

use books::{Books, Disk, command, compile, files_of, pages_of, put, scraps_in, told};

/// Moments spread over a run, the same in every test run.
struct Moments(u64);

impl Moments {
    fn next(&mut self, up_to: Duration) -> Duration {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        up_to.mul_f64((self.0 >> 40) as f64 / (1u64 << 24) as f64)
    }
}

/// Waits for a moment in the run: every other time in the middle of its writing, else at any time after `from`.
fn wait_in_a_run(round: usize, from: Duration, length: Duration, into: &Path, moments: &mut Moments) {
    if round.is_multiple_of(2) {
        std::thread::sleep(from + moments.next(length.saturating_sub(from).mul_f64(1.1)));
        return;
    }
    let end = Instant::now() + 3 * length;
    while scraps_in(into).is_empty() && Instant::now() < end {
        std::thread::sleep(Duration::from_micros(50));
    }
    std::thread::sleep(moments.next(Duration::from_millis(8)));
}

/// How long a run takes here and now.
fn length_of_a_run(books: &Books) -> Duration {
    let begun = Instant::now();
    (0..2).for_each(|nth| assert!(compile(&books.book(nth), &books.folder()).status.success()));
    begun.elapsed() / 2
}

fn kill_many(times: usize) {
    let books = Books::new(2);
    let (into, length) = (books.folder(), length_of_a_run(&books));
    let (mut killed, mut mixed, mut with_scraps) = (0, 0, 0);
    let mut moments = Moments(7);
    for round in 0..times {
        let mut child = command(&books.book(round / 2 % 2), &into).spawn().unwrap();
        wait_in_a_run(round, Duration::ZERO, length, &into, &mut moments);
        child.kill().unwrap();
        killed += usize::from(child.wait().unwrap().signal() == Some(9));
        let site = pages_of(&into);
        books.assert_nothing_is_torn_or_lost(&site);
        mixed += usize::from(!books.is_one_whole_site(&site));
        with_scraps += usize::from(!scraps_in(&into).is_empty());
        if round % 5 == 4 {
            let next = compile(&books.book(round / 5 % 2), &into);
            assert!(next.status.success(), "{}", told(&next));
            assert_eq!(pages_of(&into), books.sites[round / 5 % 2]);
            assert_eq!(scraps_in(&into), Vec::<String>::new());
        }
    }
    println!(
        "{times} kills: {killed} hit a running program, {with_scraps} left scraps, {mixed} two sites mixed"
    );
    assert!(killed > times / 3, "{killed}");
}

#[test]
fn twenty_kills_tear_no_page_and_the_next_run_puts_all_right() {
    kill_many(20);
}

#[test]
#[ignore = "some minutes"]
fn a_thousand_kills_tear_no_page_and_the_next_run_puts_all_right() {
    kill_many(1_000);
}

fn send(signal: &str, child: &Child) {
    let kill = format!("kill -{signal} {} 2>/dev/null", child.id());
    Command::new("bash").args(["-c", &kill]).status().unwrap();
}

/// Ends with the signal's code or, where the program was done already, with 0.
fn stop_many(signal: &str, code: i32, times: usize) {
    let books = Books::new(2);
    let (into, length) = (books.folder(), length_of_a_run(&books));
    let (mut stopped, mut slowest) = (0, Duration::ZERO);
    let mut moments = Moments(11);
    for round in 0..times {
        let mut child = command(&books.book(round / 2 % 2), &into).spawn().unwrap();
        // Not before the program listens, which is a matter of a few milliseconds.
        wait_in_a_run(round, length.mul_f64(0.2), length, &into, &mut moments);
        send(signal, &child);
        let sent = Instant::now();
        if round % 3 == 0 {
            send(signal, &child);
        }
        let status = child.wait().unwrap();
        slowest = slowest.max(sent.elapsed());
        let early = status.signal().is_some() && books.is_one_whole_site(&pages_of(&into));
        assert!(early || [Some(0), Some(code)].contains(&status.code()), "{status}");
        stopped += usize::from(status.code() == Some(code));
        assert!(books.is_one_whole_site(&pages_of(&into)), "two sites are mixed");
        assert_eq!(scraps_in(&into), Vec::<String>::new());
    }
    println!("{times} times {signal}: {stopped} in time, the slowest ended after {slowest:?}");
    assert!(slowest < Duration::from_secs(2), "{slowest:?}");
}

#[test]
fn ctrl_c_ends_a_compile_at_once_with_130_and_leaves_one_whole_site() {
    stop_many("INT", 130, 12);
}

#[test]
fn sigterm_ends_a_compile_at_once_with_143_and_leaves_one_whole_site() {
    stop_many("TERM", 143, 12);
}

#[test]
#[ignore = "a minute or two"]
fn two_hundred_stops_leave_one_whole_site_each() {
    stop_many("INT", 130, 100);
    stop_many("TERM", 143, 100);
}

#[test]
fn a_first_run_that_is_stopped_or_fails_leaves_no_folder() {
    let books = Books::new(2);
    let (into, length) = (books.home.path().join("new/deep/site"), length_of_a_run(&books));
    let mut moments = Moments(3);
    for _ in 0..12 {
        let mut child = command(&books.book(0), &into).spawn().unwrap();
        std::thread::sleep(length.mul_f64(0.2) + moments.next(length));
        send("TERM", &child);
        child.wait().unwrap();
        if into.exists() {
            assert!(books.is_one_whole_site(&pages_of(&into)));
            assert_eq!(scraps_in(&into), Vec::<String>::new());
        } else {
            assert!(!books.home.path().join("new").exists(), "empty folders are left");
        }
        let _ = fs::remove_dir_all(books.home.path().join("new"));
    }
    let little_room = "trap '' XFSZ; ulimit -f 1; exec \"$0\" compile \"$1\" --into \"$2\"";
    let full = Command::new("bash")
        .args(["-c", little_room, env!("CARGO_BIN_EXE_benchleaf")])
        .args([&books.book(0), &into])
        .stdout(Stdio::null())
        .output()
        .unwrap();
    assert_eq!(full.status.code(), Some(3), "{}", told(&full));
    assert!(!books.home.path().join("new").exists());
}

#[test]
fn two_and_three_compilers_at_once_leave_the_whole_site_of_one() {
    let books = Books::new(3);
    let into = books.folder();
    for round in 0..8 {
        let count = 2 + round % 2;
        let children: Vec<Child> =
            (0..count).map(|nth| command(&books.book(nth), &into).spawn().unwrap()).collect();
        for child in children {
            let output = child.wait_with_output().unwrap();
            assert!(output.status.success(), "{}", told(&output));
        }
        assert!(books.is_one_whole_site(&pages_of(&into)), "two sites are mixed");
        assert_eq!(scraps_in(&into), Vec::<String>::new());
    }
}

/// As somebody whom the folder's rights bind: root is bound by none.
fn bound_by_rights(command: &mut Command, home: &Path) {
    use std::os::unix::process::CommandExt;
    let nobody = 65_534;
    let is_root = Command::new("id").arg("-u").output().unwrap().stdout == b"0\n";
    if is_root {
        let owned = Command::new("chown").arg("-R").arg(nobody.to_string()).arg(home).status().unwrap();
        assert!(owned.success());
        command.uid(nobody);
    }
}

#[test]
fn where_one_page_cannot_be_replaced_all_others_stay_as_they_were() {
    use std::os::unix::fs::PermissionsExt;
    let books = Books::new(2);
    let into = books.folder();
    assert!(compile(&books.book(0), &into).status.success());
    let rights = |folder: &str, mode| {
        fs::set_permissions(into.join(folder), fs::Permissions::from_mode(mode)).unwrap();
    };
    for folder in ["systems", "forks", "guides/fork-heron"] {
        // A program that nobody may run where it lies is run from beside its books.
        let program = books.home.path().join("benchleaf");
        fs::copy(env!("CARGO_BIN_EXE_benchleaf"), &program).unwrap();
        let mut command = Command::new(&program);
        command.arg("compile").arg(books.book(1)).arg("--into").arg(&into);
        command.stdout(Stdio::null()).stderr(Stdio::piped());
        bound_by_rights(&mut command, books.home.path());
        rights(folder, 0o555);
        let output = command.output().unwrap();
        rights(folder, 0o755);
        assert_eq!(output.status.code(), Some(3), "{}", told(&output));
        assert!(
            told(&output).contains("putting in place") && told(&output).contains(folder),
            "{}",
            told(&output)
        );
        assert!(!told(&output).contains("not everything could be put back"), "{}", told(&output));
        assert_eq!(pages_of(&into), books.sites[0]);
        assert_eq!(scraps_in(&into), Vec::<String>::new());
    }
    let next = compile(&books.book(1), &into);
    assert!(next.status.success(), "{}", told(&next));
    assert_eq!(pages_of(&into), books.sites[1]);
}

#[test]
#[ignore = "mounts small file systems, which only root may"]
fn disks_with_little_room_or_few_inodes_keep_the_old_site_whole() {
    let books = Books::new(2);
    let disk = Disk::mount(&books.home.path().join("disk")).expect("only root may mount");
    let into = disk.0.join("site");
    let (mut refused, mut done) = (0, 0);
    for (option, column, unit) in [("nr_inodes", "iused", 1), ("size", "used", 4096)] {
        for more in 0..60 {
            disk.remount("size=4m,nr_inodes=400");
            let _ = fs::remove_dir_all(&into);
            if more % 2 == 0 {
                assert!(compile(&books.book(0), &into).status.success());
            }
            let before = pages_of(&into);
            disk.limit(option, column, more, unit);
            let output = compile(&books.book(1), &into);
            assert_eq!(scraps_in(&into), Vec::<String>::new());
            if output.status.success() {
                done += 1;
                assert_eq!(pages_of(&into), books.sites[1]);
            } else {
                refused += 1;
                assert_eq!(output.status.code(), Some(3), "{}", told(&output));
                assert_eq!(pages_of(&into), before, "{}", told(&output));
                assert!(more % 2 == 0 || !into.exists(), "an empty folder is left");
            }
        }
    }
    println!("120 small disks: {refused} were too small, {done} were not");
    assert!(refused > 30 && done > 30, "{refused} {done}");
}

#[test]
fn a_page_of_somebodys_is_named_and_stays_until_it_may_be_taken_over() {
    let books = Books::new(1);
    let into = books.folder();
    put(&into.join("index.html"), b"my own");
    let refused = compile(&books.book(0), &into);
    assert_eq!(refused.status.code(), Some(2), "{}", told(&refused));
    assert!(
        told(&refused).contains("    index.html\n") && told(&refused).contains("--take-over"),
        "{}",
        told(&refused)
    );
    assert_eq!(files_of(&into), [("index.html".to_string(), b"my own".to_vec())].into());
    let taken = command(&books.book(0), &into).arg("--take-over").output().unwrap();
    assert!(taken.status.success(), "{}", told(&taken));
    assert_eq!(pages_of(&into), books.sites[0]);
}

#[test]
fn a_watch_ends_with_0_on_every_signal_and_leaves_its_site_whole() {
    let books = Books::new(1);
    for signal in ["INT", "TERM"] {
        // With a site of before the signal could come before the program listens.
        let _ = fs::remove_dir_all(books.folder());
        let mut command = Command::new(env!("CARGO_BIN_EXE_benchleaf"));
        command.arg("watch").arg(books.book(0)).arg("--into").arg(books.folder());
        let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        let end = Instant::now() + Duration::from_secs(20);
        while pages_of(&books.folder()) != books.sites[0] {
            assert!(Instant::now() < end, "no site");
            std::thread::sleep(Duration::from_millis(20));
        }
        send(signal, &child);
        send(signal, &child);
        let ended = child.wait().unwrap();
        assert_eq!(ended.code(), Some(0), "{signal}: {ended}");
        assert_eq!(pages_of(&books.folder()), books.sites[0]);
        assert_eq!(scraps_in(&books.folder()), Vec::<String>::new());
    }
}

/// The book with one template of its own.
fn with_template(books: &Books, text: &str) -> Output {
    put(&books.book(0).join("themes/bench/systems.html"), text.as_bytes());
    compile(&books.book(0), &books.folder())
}

#[test]
fn templates_that_go_on_and_on_are_refused_and_nothing_is_written() {
    let books = Books::new(1);
    let writes =
        "{% for a in range(end=90000) %}{% for b in range(end=9000) %}and on {% endfor %}{% endfor %}";
    let calls = "{% component again(n: integer) %}{{ <again n={n + 1} /> }}{% endcomponent again %}{{ <again n={1} /> }}";
    let nested = "{% if true %}".repeat(3000) + &"{% endif %}".repeat(3000);
    let brackets = format!("{{{{ {}1{} }}}}", "(".repeat(20_000), ")".repeat(20_000));
    let cases =
        [(writes, "grows past 32 MB"), (calls, "recursion"), (&nested, "nest"), (&brackets, "theme-syntax")];
    for (template, expected) in cases {
        let output = with_template(&books, template);
        assert_eq!(output.status.code(), Some(1), "{expected}: {}", told(&output));
        assert!(told(&output).contains(expected), "{expected}: {}", told(&output));
        assert!(!books.folder().exists());
    }
}

#[test]
#[ignore = "half a minute, and 2 GB of memory"]
fn templates_that_never_end_or_take_all_memory_end_with_a_message() {
    let books = Books::new(1);
    let idle = "{% for a in range(end=90000) %}{% for b in range(end=90000) %}{% endfor %}{% endfor %}";
    let doubles =
        format!("{{% set x = 'ten letters' %}}{}{{{{ x | length }}}}", "{% set x = x ~ x %}".repeat(40));
    for (template, expected) in [(idle, "does not come to its end"), (doubles.as_str(), "2 GB of memory")] {
        let output = with_template(&books, template);
        assert_eq!(output.status.code(), Some(1), "{}", told(&output));
        assert!(told(&output).contains(expected), "{}", told(&output));
        assert!(!books.folder().exists());
    }
}
