//! Shows the site to this machine's browser. Serves plain files and nothing else; never to another machine.

use std::fmt;
use std::io::{self, Read, Write};
use std::net::{Shutdown, SocketAddr, TcpListener, TcpStream, ToSocketAddrs};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use super::request::{NOT_ALLOWED, NOT_FOUND, Refusal, Request, TOO_LONG, content_type, parse};
use crate::disk::{MachineTrouble, read_inside};

/// A browser's head is some hundred bytes.
const MOST_HEAD: usize = 8 * 1024;
/// For the whole head, however slowly it trickles in.
const HEAD_TIME: Duration = Duration::from_secs(5);
const ANSWER_TIME: Duration = Duration::from_secs(10);
/// A browser opens six at a time.
const MOST_AT_ONCE: usize = 32;

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
}

impl Preview {
    /// Serves `site` at `address` ("127.0.0.1:8080"; port 0 takes any free one). The folder need not be there yet.
    pub fn start(address: &str, site: &Path) -> Result<Preview, NoPreview> {
        let listener = TcpListener::bind(loopback(address)?).map_err(NoPreview::Machine)?;
        let address = listener.local_addr().map_err(NoPreview::Machine)?;
        let site = site.to_path_buf();
        thread::Builder::new()
            .name("preview".into())
            .spawn(move || accept(&listener, &site))
            .map_err(NoPreview::Machine)?;
        Ok(Preview { address })
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

fn accept(listener: &TcpListener, site: &Path) {
    let busy = Arc::new(AtomicUsize::new(0));
    for stream in listener.incoming() {
        let Ok(stream) = stream else {
            // Out of file handles, most likely: give others time to return some.
            thread::sleep(Duration::from_millis(50));
            continue;
        };
        let place = Place::take(&busy);
        if let Some(place) = place {
            let site: PathBuf = site.to_path_buf();
            // A thread that cannot be had closes the connection, and the browser asks again.
            let _ = thread::Builder::new().spawn(move || {
                let _place = place;
                // The browser may go away in the middle; that is its own affair.
                let _ = serve(stream, &site);
            });
        }
    }
}

/// One of the few connections served at once; given back when dropped.
struct Place(Arc<AtomicUsize>);

impl Place {
    fn take(busy: &Arc<AtomicUsize>) -> Option<Place> {
        let place = Place(Arc::clone(busy));
        (busy.fetch_add(1, Ordering::SeqCst) < MOST_AT_ONCE).then_some(place)
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::SeqCst);
    }
}

fn serve(mut stream: TcpStream, site: &Path) -> io::Result<()> {
    stream.set_write_timeout(Some(ANSWER_TIME))?;
    let answer = match read_head(&mut stream)? {
        Some(head) => parse(&head).map(|request| page(&request, site)),
        None => Err(TOO_LONG),
    };
    stream.write_all(&answer.unwrap_or_else(refusal))?;
    stream.shutdown(Shutdown::Write)
}

/// Up to the empty line; nothing if it is too long. Whatever is not UTF-8 is no request of a browser's.
fn read_head(stream: &mut TcpStream) -> io::Result<Option<String>> {
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
    Ok(Some(String::from_utf8_lossy(&head).into_owned()))
}

fn page(request: &Request, site: &Path) -> Vec<u8> {
    match read_inside(site, &request.path) {
        Ok(Some(bytes)) => {
            let mut answer = head_of(200, "OK", content_type(&request.path), bytes.len());
            if !request.head_only {
                answer.extend_from_slice(&bytes);
            }
            answer
        }
        Ok(None) => refusal(NOT_FOUND),
        Err(MachineTrouble { .. }) => refusal(Refusal(500, "Internal Server Error")),
    }
}

fn refusal(refusal: Refusal) -> Vec<u8> {
    let Refusal(status, reason) = refusal;
    let text = format!("{status} {reason}\n");
    let mut answer = head_of(status, reason, "text/plain; charset=utf-8", text.len());
    answer.extend_from_slice(text.as_bytes());
    answer
}

fn head_of(status: u16, reason: &str, content_type: &str, length: usize) -> Vec<u8> {
    let allow = if status == NOT_ALLOWED.0 { "Allow: GET, HEAD\r\n" } else { "" };
    format!(
        "HTTP/1.1 {status} {reason}\r\nContent-Type: {content_type}\r\nContent-Length: {length}\r\n{allow}\
         Cache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\nConnection: close\r\n\r\n"
    )
    .into_bytes()
}
