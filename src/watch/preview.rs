//! Shows the site to this machine's browser. Serves plain files and nothing else; never to another machine.
//!
//! To pages, and only while they are shown, a script is added with which they stay fresh: the files themselves never have it.
//!
//! `httparse` parses heads alone. Connections, limits and times are ours: small servers hold a silent client, an endless head
//! or a crowd to no limit.

use std::fmt;
use std::io::{self, Read, Write};
use std::net::{Shutdown, SocketAddr, TcpListener, TcpStream, ToSocketAddrs};
use std::path::{Path, PathBuf};
use std::thread;
use std::time::{Duration, Instant};

use super::guests::{Guest, Guests};
use super::live::{self, Live};
use super::request::{Asks, NOT_ALLOWED, NOT_FOUND, Refusal, Request, SCRIPT, TOO_LONG, content_type, parse};
use crate::disk::{Inside, open_inside};

/// A browser's head is some hundred bytes.
const MOST_HEAD: usize = 8 * 1024;
/// For the whole head, however slowly it trickles in.
const HEAD_TIME: Duration = Duration::from_secs(5);
/// For the whole answer, however slowly it is taken.
const ANSWER_TIME: Duration = Duration::from_secs(20);
/// So much of a file is held at once, however large it is.
const PIECE: usize = 64 * 1024;
/// A larger page is passed on as it is.
const MOST_PAGE: u64 = 16 << 20;
/// An open page hears something at least so often: one that was closed is noticed by that.
const STILL_THERE: Duration = Duration::from_secs(10);

/// What is added to pages.
const FRESH: &str = include_str!("fresh.js");

/// Why there is no preview.
#[derive(Debug)]
pub enum NoPreview {
    /// The command line asks for what is never done: other machines could reach it, or it is no address.
    BadAddress(String),
    /// The machine refused, for example because the port is taken.
    Machine(io::Error),
}

impl fmt::Display for NoPreview {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoPreview::BadAddress(why) => write!(f, "no preview: {why}"),
            NoPreview::Machine(error) => error.fmt(f),
        }
    }
}

/// A running preview; it ends with the program.
pub struct Preview {
    pub address: SocketAddr,
    /// What the pages that are open are told.
    pub live: Live,
}

impl Preview {
    /// Serves `site` at `address` ("127.0.0.1:8080"; port 0 takes any free one). The folder need not be there yet.
    pub fn start(address: &str, site: &Path) -> Result<Preview, NoPreview> {
        let listener = TcpListener::bind(loopback(address)?).map_err(NoPreview::Machine)?;
        let address = listener.local_addr().map_err(NoPreview::Machine)?;
        let (site, live) = (site.to_path_buf(), Live::new());
        let shown = Shown { site, live: live.clone() };
        thread::Builder::new()
            .name("preview".into())
            .spawn(move || accept(&listener, &shown))
            .map_err(NoPreview::Machine)?;
        Ok(Preview { address, live })
    }
}

/// Every address that the text stands for must be this machine's own.
fn loopback(address: &str) -> Result<SocketAddr, NoPreview> {
    let bad = |why: &str| NoPreview::BadAddress(format!("{address}: {why}"));
    let found = address.to_socket_addrs().map_err(|_| bad("not an address; write it like 127.0.0.1:8080"))?;
    let found: Vec<SocketAddr> = found.collect();
    if found.iter().any(|address| !address.ip().is_loopback()) {
        return Err(bad(
            "other machines could reach it; only this machine's own addresses will do, like 127.0.0.1:8080",
        ));
    }
    found.first().copied().ok_or_else(|| bad("not an address"))
}

/// What there is to show.
#[derive(Clone)]
struct Shown {
    site: PathBuf,
    live: Live,
}

fn accept(listener: &TcpListener, shown: &Shown) {
    let guests = Guests::default();
    for stream in listener.incoming() {
        let Ok(stream) = stream else {
            // Out of file handles, most likely: give others time to return some.
            thread::sleep(Duration::from_millis(50));
            continue;
        };
        if let Some(guest) = guests.admit(&stream) {
            let shown = shown.clone();
            // A thread that cannot be had closes the connection, and the browser asks again.
            let _ = thread::Builder::new().spawn(move || {
                // The browser may go away in the middle; that is its own affair.
                let _ = serve(stream, &guest, &shown);
            });
        }
    }
}

fn serve(mut stream: TcpStream, guest: &Guest, shown: &Shown) -> io::Result<()> {
    let head = read_head(&mut stream)?;
    guest.has_asked();
    let request = head.map_or(Err(TOO_LONG), |head| parse(&head));
    let end = Instant::now() + ANSWER_TIME;
    match request {
        Ok(Request { asks: Asks::News, head_only: false }) => return tell_news(stream, guest, &shown.live),
        Ok(request) => answer(&mut stream, &request, shown, end)?,
        Err(refused) => write_in_time(&mut stream, &refusal(refused), end)?,
    }
    stream.shutdown(Shutdown::Write)
}

fn answer(stream: &mut TcpStream, request: &Request, shown: &Shown, end: Instant) -> io::Result<()> {
    let Answer { status, kind, body } = match &request.asks {
        Asks::Page(path) => page(path, shown),
        Asks::Script => Answer::of(OK, content_type(SCRIPT), FRESH.into()),
        Asks::News => Answer::of(OK, EVENTS, vec![]),
    };
    let length = match &body {
        Body::Bytes(bytes) => bytes.len() as u64,
        Body::File(file) => file.length,
    };
    write_in_time(stream, &head_of(status, kind, Some(length)), end)?;
    match body {
        _ if request.head_only => Ok(()),
        Body::Bytes(bytes) => write_in_time(stream, &bytes, end),
        Body::File(file) => {
            let mut rest = file.file.take(file.length);
            let mut piece = vec![0; PIECE];
            loop {
                match rest.read(&mut piece)? {
                    0 => return Ok(()),
                    count => write_in_time(stream, &piece[..count], end)?,
                }
            }
        }
    }
}

/// Until the page is closed, or too many others are open.
fn tell_news(mut stream: TcpStream, guest: &Guest, live: &Live) -> io::Result<()> {
    guest.listens(&stream)?;
    let in_time = || Instant::now() + ANSWER_TIME;
    write_in_time(&mut stream, &head_of(OK, EVENTS, None), in_time())?;
    let mut heard = None;
    loop {
        let text = match live.next(heard, STILL_THERE) {
            Some(told) => {
                heard = Some(told.number);
                told.events()
            }
            // A remark, which no page hears.
            None => ":\n\n".to_string(),
        };
        write_in_time(&mut stream, text.as_bytes(), in_time())?;
    }
}

/// Somebody who takes what is sent byte by byte still gets no more time.
fn write_in_time(stream: &mut TcpStream, mut bytes: &[u8], end: Instant) -> io::Result<()> {
    while !bytes.is_empty() {
        let left = end.saturating_duration_since(Instant::now());
        if left.is_zero() {
            return Err(io::ErrorKind::TimedOut.into());
        }
        stream.set_write_timeout(Some(left))?;
        let written = stream.write(bytes)?;
        if written == 0 {
            return Err(io::ErrorKind::WriteZero.into());
        }
        bytes = &bytes[written..];
    }
    Ok(())
}

/// Up to the empty line; nothing if it is too long.
fn read_head(stream: &mut TcpStream) -> io::Result<Option<Vec<u8>>> {
    let end = Instant::now() + HEAD_TIME;
    let mut head = vec![];
    let mut piece = [0; 1024];
    while !head.windows(4).any(|four| four == b"\r\n\r\n") {
        if head.len() > MOST_HEAD {
            return Ok(None);
        }
        let left = end.saturating_duration_since(Instant::now());
        if left.is_zero() {
            return Err(io::ErrorKind::TimedOut.into());
        }
        stream.set_read_timeout(Some(left))?;
        match stream.read(&mut piece)? {
            0 => return Err(io::ErrorKind::UnexpectedEof.into()),
            count => head.extend_from_slice(&piece[..count]),
        }
    }
    Ok(Some(head))
}

const OK: Refusal = Refusal(200, "OK");
const EVENTS: &str = "text/event-stream";

struct Answer {
    status: Refusal,
    kind: &'static str,
    body: Body,
}

enum Body {
    Bytes(Vec<u8>),
    File(Inside),
}

impl Answer {
    fn of(status: Refusal, kind: &'static str, bytes: Vec<u8>) -> Answer {
        Answer { status, kind, body: Body::Bytes(bytes) }
    }

    fn refusing(refused: Refusal) -> Answer {
        Answer::of(refused, content_type("a.txt"), told(refused).into_bytes())
    }
}

fn page(path: &str, shown: &Shown) -> Answer {
    let kind = content_type(path);
    let is_page = path.ends_with(".html");
    // Before the file is read: a page is never taken for a newer one than it is.
    let mut now = shown.live.shown(path);
    if let Some(early) = now.early.take() {
        return Answer::of(OK, kind, if is_page { with_script(early, &now) } else { early });
    }
    match open_inside(&shown.site, path) {
        Ok(Some(file)) if is_page && file.length <= MOST_PAGE => match whole(file) {
            Ok(page) => Answer::of(OK, kind, with_script(page, &now)),
            Err(_) => Answer::refusing(Refusal(500, "Internal Server Error")),
        },
        Ok(Some(file)) => Answer { status: OK, kind, body: Body::File(file) },
        // It may be there once the book is mended or compiled.
        Ok(None) if is_page => {
            let text = format!("<!DOCTYPE html>\n<title>{0}</title>\n<p>{0}</p>\n", told(NOT_FOUND).trim());
            Answer::of(NOT_FOUND, kind, with_script(text.into_bytes(), &now))
        }
        Ok(None) => Answer::refusing(NOT_FOUND),
        Err(_) => Answer::refusing(Refusal(500, "Internal Server Error")),
    }
}

fn whole(file: Inside) -> io::Result<Vec<u8>> {
    let mut bytes = vec![];
    file.file.take(MOST_PAGE).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// The page with one more element, last in its body.
fn with_script(mut page: Vec<u8>, live::Shown { hears, made, .. }: &live::Shown) -> Vec<u8> {
    const END: &[u8] = b"</body>";
    let at = page.windows(END.len()).rposition(|piece| piece.eq_ignore_ascii_case(END)).unwrap_or(page.len());
    let element = format!("<script src=\"{SCRIPT}\" data-hears=\"{hears}\" data-made=\"{made}\"></script>");
    page.splice(at..at, element.into_bytes());
    page
}

fn told(Refusal(status, reason): Refusal) -> String {
    format!("{status} {reason}\n")
}

fn refusal(refused: Refusal) -> Vec<u8> {
    let text = told(refused);
    let mut answer = head_of(refused, content_type("a.txt"), Some(text.len() as u64));
    answer.extend_from_slice(text.as_bytes());
    answer
}

/// Without a length the answer goes on until the connection ends.
fn head_of(Refusal(status, reason): Refusal, content_type: &str, length: Option<u64>) -> Vec<u8> {
    let allow = if status == NOT_ALLOWED.0 { "Allow: GET, HEAD\r\n" } else { "" };
    let length = length.map_or(String::new(), |length| format!("Content-Length: {length}\r\n"));
    format!(
        "HTTP/1.1 {status} {reason}\r\nContent-Type: {content_type}\r\n{length}{allow}\
         Cache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\nConnection: close\r\n\r\n"
    )
    .into_bytes()
}
