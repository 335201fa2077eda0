//! The preview server and the real program watching: what is served, what is refused, how it ends.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use benchleaf::watch::{NoPreview, Preview};
use tempfile::TempDir;

fn site() -> (TempDir, SocketAddr) {
    let home = tempfile::tempdir().unwrap();
    let site = home.path().join("site");
    fs::create_dir_all(site.join("guides")).unwrap();
    fs::write(home.path().join("secret.txt"), "secret").unwrap();
    fs::write(site.join("index.html"), "<p>hello</p>").unwrap();
    fs::write(site.join("guides/a.svg"), "<svg/>").unwrap();
    fs::write(site.join(".hidden"), "secret").unwrap();
    let preview = Preview::start("127.0.0.1:0", &site).unwrap();
    (home, preview.address)
}

fn send(address: SocketAddr, request: &[u8]) -> String {
    let mut stream = TcpStream::connect(address).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    // The server may answer and close before it has everything.
    let _ = stream.write_all(request);
    let mut answer = vec![];
    let _ = stream.read_to_end(&mut answer);
    String::from_utf8(answer).unwrap()
}

fn get(address: SocketAddr, target: &str) -> String {
    send(address, format!("GET {target} HTTP/1.1\r\nHost: {address}\r\n\r\n").as_bytes())
}

#[test]
fn pages_come_with_their_kind_and_are_never_stored() {
    let (_home, address) = site();
    let answer = get(address, "/");
    assert!(answer.starts_with("HTTP/1.1 200 OK\r\n") && answer.contains("\r\n\r\n<p>hello</p>"), "{answer}");
    assert!(answer.contains("Content-Type: text/html; charset=utf-8\r\n"));
    assert!(answer.contains("Cache-Control: no-store\r\n"));
    let svg = get(address, "/guides/a.svg");
    assert!(svg.contains("Content-Type: image/svg+xml\r\n") && svg.contains("Content-Length: 6\r\n"));
    assert!(svg.ends_with("\r\n\r\n<svg/>"), "{svg}");
    for target in ["/", "/guides/a.svg"] {
        let body = get(address, target).split_once("\r\n\r\n").unwrap().1.len();
        let head = send(address, format!("HEAD {target} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes());
        assert!(head.contains(&format!("Content-Length: {body}\r\n")) && head.ends_with("\r\n\r\n"));
    }
}

#[test]
fn nothing_outside_the_site_is_served() {
    let (home, address) = site();
    #[cfg(unix)]
    std::os::unix::fs::symlink("../secret.txt", home.path().join("site/link.txt")).unwrap();
    let targets =
        ["/../secret.txt", "/%2e%2e/secret.txt", "/guides/..%2f..%2fsecret.txt", "/link.txt", "/.hidden"];
    for target in targets.into_iter().chain(["/guides", "/guides/", "/nothing.html"]) {
        let answer = get(address, target);
        assert!(answer.starts_with("HTTP/1.1 404 ") && !answer.contains("secret"), "{target}: {answer}");
    }
    assert!(home.path().join("secret.txt").exists());
}

#[test]
fn other_methods_long_heads_and_other_hosts_are_refused() {
    let (_home, address) = site();
    assert!(send(address, b"POST / HTTP/1.1\r\nHost: localhost\r\n\r\n").contains("Allow: GET, HEAD\r\n"));
    assert!(send(address, b"GET / HTTP/1.1\r\nHost: other.example\r\n\r\n").starts_with("HTTP/1.1 421 "));
    let mut long = b"GET / HTTP/1.1\r\nHost: localhost\r\nX: ".to_vec();
    long.resize(9 * 1024, b'x');
    assert!(send(address, &long).starts_with("HTTP/1.1 431 "));
}

#[test]
fn a_connection_that_says_nothing_is_closed_and_does_not_keep_others_out() {
    let (_home, address) = site();
    let begun = Instant::now();
    let mut idle = TcpStream::connect(address).unwrap();
    idle.write_all(b"GET / HT").unwrap();
    assert!(get(address, "/").contains("hello"));
    idle.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
    let mut rest = vec![];
    let _ = idle.read_to_end(&mut rest);
    assert!(rest.is_empty() && begun.elapsed() < Duration::from_secs(15));
}

#[test]
fn a_crowd_that_says_nothing_keeps_nobody_out_for_a_moment() {
    let (_home, address) = site();
    let begun = Instant::now();
    let crowd: Vec<TcpStream> = (0..100).map(|_| TcpStream::connect(address).unwrap()).collect();
    for _ in 0..5 {
        assert!(get(address, "/").contains("hello"));
    }
    assert!(begun.elapsed() < Duration::from_secs(4), "{:?}", begun.elapsed());
    // The first of them were sent away at once, to make room.
    let mut first = &crowd[0];
    first.set_read_timeout(Some(Duration::from_secs(2))).unwrap();
    assert_eq!(first.read(&mut [0; 8]).unwrap(), 0);
}

#[test]
fn a_large_file_is_passed_on_in_pieces() {
    let (home, address) = site();
    fs::File::create(home.path().join("site/large.bin")).unwrap().set_len(3 << 30).unwrap();
    let head = send(address, b"HEAD /large.bin HTTP/1.1\r\nHost: localhost\r\n\r\n");
    assert!(head.contains("Content-Length: 3221225472\r\n"), "{head}");
    let mut stream = TcpStream::connect(address).unwrap();
    stream.write_all(b"GET /large.bin HTTP/1.1\r\nHost: localhost\r\n\r\n").unwrap();
    let mut piece = vec![0; 300_000];
    stream.read_exact(&mut piece).unwrap();
    assert!(piece.starts_with(b"HTTP/1.1 200 OK"));
}

#[test]
fn an_address_that_others_can_reach_is_refused() {
    let home = tempfile::tempdir().unwrap();
    for address in ["0.0.0.0:0", "[::]:0", "192.0.2.1:80", "8080", "nonsense", ""] {
        let refused = Preview::start(address, home.path());
        assert!(matches!(refused, Err(NoPreview::BadAddress(_))), "{address}");
    }
    let (_home, taken) = site();
    assert!(matches!(Preview::start(&taken.to_string(), home.path()), Err(NoPreview::Machine(_))));
}

fn watch(book: &TempDir, more: &[&str]) -> Child {
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchleaf"));
    command.arg("watch").arg(book.path()).args(more);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap()
}

fn broken_book() -> TempDir {
    let home = tempfile::tempdir().unwrap();
    fs::create_dir(home.path().join("content")).unwrap();
    fs::create_dir(home.path().join("parts")).unwrap();
    fs::write(home.path().join("content/shop.toml"), "name = \"A bench\"\ncurrency = \"EUR\"\n").unwrap();
    fs::write(home.path().join("parts/bad.toml"), "id = = 1\n").unwrap();
    home
}

#[test]
fn watching_refuses_a_preview_for_others_with_2_and_a_taken_port_with_3() {
    let home = broken_book();
    let open = watch(&home, &["--preview", "0.0.0.0:0"]).wait_with_output().unwrap();
    assert_eq!(open.status.code(), Some(2));
    let (_site, taken) = site();
    let clash = watch(&home, &["--preview", &taken.to_string()]).wait_with_output().unwrap();
    assert_eq!(clash.status.code(), Some(3));
    assert!(String::from_utf8(clash.stderr).unwrap().contains("because: "));
}

/// What a watching program says, line by line. Ends it when the test is over, however it goes.
#[cfg(unix)]
struct Heard {
    child: Child,
    lines: Receiver<String>,
}

#[cfg(unix)]
impl Heard {
    fn from(mut child: Child) -> Heard {
        let (say, lines) = channel();
        let spoken = BufReader::new(child.stderr.take().unwrap()).lines();
        std::thread::spawn(move || spoken.map_while(Result::ok).all(|line| say.send(line).is_ok()));
        Heard { child, lines }
    }

    fn until(&self, wanted: impl Fn(&str) -> bool) {
        while !wanted(
            &self.lines.recv_timeout(Duration::from_secs(20)).expect("the line within the time allowed"),
        ) {}
    }
}

#[cfg(unix)]
impl Drop for Heard {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[cfg(unix)]
#[test]
fn watching_tells_each_new_mistake_goes_on_and_ends_with_0_on_ctrl_c() {
    let home = broken_book();
    let mut heard = Heard::from(watch(&home, &[]));
    heard.until(|line| line.contains("parts/bad.toml:1:"));
    heard.until(|line| line.ends_with("; nothing written"));
    fs::write(home.path().join("parts/worse.toml"), "\n\nid = = 1\n").unwrap();
    heard.until(|line| line.contains("parts/worse.toml:3:"));
    heard.until(|line| line.ends_with("; nothing written"));
    let told = Command::new("kill").args(["-INT", &heard.child.id().to_string()]).status().unwrap();
    assert!(told.success());
    assert_eq!(heard.child.wait().unwrap().code(), Some(0));
}
