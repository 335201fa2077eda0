//! Shows the site to this machine's browser. Serves plain files and nothing else; never to another machine.

use std::fmt;
use std::io::{self, Read, Write};
use std::net::{Shutdown, SocketAddr, TcpListener, TcpStream, ToSocketAddrs};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use super::request::{NOT_ALLOWED, NOT_FOUND, Refusal, Request, TOO_LONG, content_type, parse};
use crate::disk::{Inside, MachineTrouble, open_inside};

/// A browser's head is some hundred bytes.
const MOST_HEAD: usize = 8 * 1024;
/// For the whole head, however slowly it trickles in.
const HEAD_TIME: Duration = Duration::from_secs(5);
/// For the whole answer, however slowly it is taken.
const ANSWER_TIME: Duration = Duration::from_secs(20);
/// A browser opens six at a time, some of them only to have them ready.
const MOST_AT_ONCE: usize = 32;
/// So much of a file is held at once, however large it is.
const PIECE: usize = 64 * 1024;

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
    let guests = Guests::default();
    for stream in listener.incoming() {
        let Ok(stream) = stream else {
            // Out of file handles, most likely: give others time to return some.
            thread::sleep(Duration::from_millis(50));
            continue;
        };
        if let Some(guest) = guests.admit(&stream) {
            let site: PathBuf = site.to_path_buf();
            // A thread that cannot be had closes the connection, and the browser asks again.
            let _ = thread::Builder::new().spawn(move || {
                // The browser may go away in the middle; that is its own affair.
                let _ = serve(stream, &guest, &site);
            });
        }
    }
}

/// The connections served at once, the oldest first.
#[derive(Clone, Default)]
struct Guests(Arc<Mutex<Vec<Seat>>>);

struct Seat {
    number: u64,
    /// To close it from outside; nothing once its request is there.
    idle: Option<TcpStream>,
}

/// One connection being served; its seat is free again when dropped.
struct Guest {
    guests: Guests,
    number: u64,
}

impl Guests {
    fn seats(&self) -> MutexGuard<'_, Vec<Seat>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// With all seats taken the connection that has said nothing for longest has to go; nothing where all are being
    /// answered.
    fn admit(&self, stream: &TcpStream) -> Option<Guest> {
        let mut seats = self.seats();
        if seats.len() >= MOST_AT_ONCE {
            let at = seats.iter().position(|seat| seat.idle.is_some())?;
            let gone = seats.remove(at);
            let _ = gone.idle.map(|stream| stream.shutdown(Shutdown::Both));
        }
        let number = seats.last().map_or(0, |seat| seat.number + 1);
        seats.push(Seat { number, idle: stream.try_clone().ok() });
        Some(Guest { guests: self.clone(), number })
    }
}

impl Guest {
    fn has_asked(&self) {
        let mut seats = self.guests.seats();
        seats.iter_mut().filter(|seat| seat.number == self.number).for_each(|seat| seat.idle = None);
    }
}

impl Drop for Guest {
    fn drop(&mut self) {
        self.guests.seats().retain(|seat| seat.number != self.number);
    }
}

fn serve(mut stream: TcpStream, guest: &Guest, site: &Path) -> io::Result<()> {
    let head = read_head(&mut stream)?;
    guest.has_asked();
    let request = head.map_or(Err(TOO_LONG), |head| parse(&head));
    let end = Instant::now() + ANSWER_TIME;
    match request.and_then(|request| page(&request, site)) {
        Ok((head, None)) => write_in_time(&mut stream, &head, end)?,
        Ok((head, Some(page))) => {
            write_in_time(&mut stream, &head, end)?;
            let mut rest = page.file.take(page.length);
            let mut piece = vec![0; PIECE];
            loop {
                match rest.read(&mut piece)? {
                    0 => break,
                    count => write_in_time(&mut stream, &piece[..count], end)?,
                }
            }
        }
        Err(refused) => write_in_time(&mut stream, &refusal(refused), end)?,
    }
    stream.shutdown(Shutdown::Write)
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

/// The head of the answer, and the file that follows it, if one does.
fn page(request: &Request, site: &Path) -> Result<(Vec<u8>, Option<Inside>), Refusal> {
    match open_inside(site, &request.path) {
        Ok(Some(page)) => {
            let head = head_of(200, "OK", content_type(&request.path), page.length);
            Ok((head, (!request.head_only).then_some(page)))
        }
        Ok(None) => Err(NOT_FOUND),
        Err(MachineTrouble { .. }) => Err(Refusal(500, "Internal Server Error")),
    }
}

fn refusal(refusal: Refusal) -> Vec<u8> {
    let Refusal(status, reason) = refusal;
    let text = format!("{status} {reason}\n");
    let mut answer = head_of(status, reason, "text/plain; charset=utf-8", text.len() as u64);
    answer.extend_from_slice(text.as_bytes());
    answer
}

fn head_of(status: u16, reason: &str, content_type: &str, length: u64) -> Vec<u8> {
    let allow = if status == NOT_ALLOWED.0 { "Allow: GET, HEAD\r\n" } else { "" };
    format!(
        "HTTP/1.1 {status} {reason}\r\nContent-Type: {content_type}\r\nContent-Length: {length}\r\n{allow}\
         Cache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\nConnection: close\r\n\r\n"
    )
    .into_bytes()
}
