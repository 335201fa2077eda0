//! One request as text: which path in the site it asks for, or which answer it gets at once. Touches no network.

use std::net::IpAddr;

/// What is asked for.
#[derive(Debug, PartialEq, Eq)]
pub struct Request {
    pub asks: Asks,
    /// HEAD: the answer's head only.
    pub head_only: bool,
}

#[derive(Debug, PartialEq, Eq)]
pub enum Asks {
    /// Inside the site, `/` between names, none of them hidden or leading up: `guides/a/b.html`.
    Page(String),
    /// What the preview adds to a page, as long as it is shown.
    Script,
    /// The stream on which an open page hears of changes.
    News,
}

/// No page of a site begins so.
pub const SCRIPT: &str = "/.benchleaf-preview/fresh.js";
pub const NEWS: &str = "/.benchleaf-preview/news";

/// An answer without a page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Refusal(pub u16, pub &'static str);

const BAD_REQUEST: Refusal = Refusal(400, "Bad Request");
const WRONG_HOST: Refusal = Refusal(421, "Misdirected Request");
pub const NOT_FOUND: Refusal = Refusal(404, "Not Found");
pub const NOT_ALLOWED: Refusal = Refusal(405, "Method Not Allowed");
pub const TOO_LONG: Refusal = Refusal(431, "Request Header Fields Too Large");

/// A browser sends a dozen or two.
const MOST_FIELDS: usize = 64;

/// Reads the head of a request (RFC 9112). The host named must be this machine: a page of somebody else's, whose
/// name was pointed here, shall not read the site.
pub fn parse(head: &[u8]) -> Result<Request, Refusal> {
    let mut fields = [httparse::EMPTY_HEADER; MOST_FIELDS];
    let mut asked = httparse::Request::new(&mut fields);
    match asked.parse(head) {
        Ok(httparse::Status::Complete(_)) => {}
        Err(httparse::Error::TooManyHeaders) => return Err(TOO_LONG),
        _ => return Err(BAD_REQUEST),
    }
    let mut hosts = asked.headers.iter().filter(|field| field.name.eq_ignore_ascii_case("host"));
    if !hosts.all(|host| std::str::from_utf8(host.value).is_ok_and(|name| is_this_machine(name.trim()))) {
        return Err(WRONG_HOST);
    }
    let head_only = match asked.method {
        Some("GET") => false,
        Some("HEAD") => true,
        _ => return Err(NOT_ALLOWED),
    };
    let asks = match asked.path.unwrap_or("") {
        target if target == SCRIPT => Asks::Script,
        target if target == NEWS => Asks::News,
        target => Asks::Page(site_path(target)?),
    };
    Ok(Request { asks, head_only })
}

fn is_this_machine(host: &str) -> bool {
    let name = match host.strip_prefix('[') {
        Some(six) => six.split(']').next().unwrap_or(""),
        None => host.split(':').next().unwrap_or(""),
    };
    name.eq_ignore_ascii_case("localhost") || name.parse().is_ok_and(|ip: IpAddr| ip.is_loopback())
}

/// `/` at the end asks for that folder's `index.html`.
fn site_path(target: &str) -> Result<String, Refusal> {
    let target = target.split(['?', '#']).next().unwrap_or("");
    let inside = target.strip_prefix('/').ok_or(BAD_REQUEST)?;
    let mut path = percent_decoded(inside).ok_or(BAD_REQUEST)?;
    if path.is_empty() || path.ends_with('/') {
        path.push_str("index.html");
    }
    let fine = |name: &str| !name.is_empty() && !name.starts_with('.') && !name.contains(['\\', ':']);
    if path.chars().any(char::is_control) || !path.split('/').all(fine) {
        return Err(NOT_FOUND);
    }
    Ok(path)
}

/// Nothing if an escape is cut short or the bytes are not UTF-8.
fn percent_decoded(text: &str) -> Option<String> {
    let mut bytes = vec![];
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        if byte != b'%' {
            bytes.push(byte);
            continue;
        }
        let digit = |byte: u8| char::from(byte).to_digit(16);
        let value = digit(rest.next()?)? * 16 + digit(rest.next()?)?;
        bytes.push(u8::try_from(value).ok()?);
    }
    String::from_utf8(bytes).ok()
}

/// By the name's ending; what browsers need to show a page and nothing more.
pub fn content_type(path: &str) -> &'static str {
    let ending = path.rsplit_once('.').map_or("", |(_, ending)| ending);
    match ending.to_ascii_lowercase().as_str() {
        "html" => "text/html; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "json" => "application/json",
        "txt" => "text/plain; charset=utf-8",
        "csv" => "text/csv; charset=utf-8",
        "xml" => "application/xml",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "jpg" | "jpeg" => "image/jpeg",
        "webp" => "image/webp",
        "ico" => "image/x-icon",
        "pdf" => "application/pdf",
        "woff2" => "font/woff2",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(target: &str) -> Result<String, u16> {
        let head = format!("GET {target} HTTP/1.1\r\nHost: localhost:8080\r\n\r\n");
        match parse(head.as_bytes()) {
            Ok(Request { asks: Asks::Page(path), .. }) => Ok(path),
            Ok(other) => Ok(format!("{:?}", other.asks)),
            Err(refusal) => Err(refusal.0),
        }
    }

    #[test]
    fn a_target_becomes_a_path_inside_the_site() {
        assert_eq!(asked("/"), Ok("index.html".into()));
        assert_eq!(asked("/guides/a/b.html?q=1"), Ok("guides/a/b.html".into()));
        assert_eq!(asked("/guides/"), Ok("guides/index.html".into()));
        assert_eq!(asked("/p%C3%A4rt.html"), Ok("pärt.html".into()));
        assert_eq!(asked(SCRIPT), Ok("Script".into()));
        assert_eq!(asked(NEWS), Ok("News".into()));
    }

    #[test]
    fn no_target_leads_out_of_the_site_or_to_a_hidden_file() {
        let out = [
            "/..",
            "/../x",
            "/a/%2e%2e/x",
            "/a/..%2Fx",
            "/%5c..%5cx",
            "//etc",
            "/C:/x",
            "/.hidden",
            "/a%00b",
        ];
        for target in out {
            assert_eq!(asked(target), Err(404), "{target}");
        }
        for target in ["x", "http://a/", "/%", "/%4", "/%zz", "/%ff"] {
            assert_eq!(asked(target), Err(400), "{target}");
        }
    }

    #[test]
    fn only_reading_is_allowed_and_only_by_this_machines_names() {
        let answer = |head: &str| {
            let head = format!("{head}\r\n");
            parse(head.as_bytes()).map(|request| request.head_only).map_err(|refusal| refusal.0)
        };
        assert_eq!(answer("HEAD / HTTP/1.1\r\nhost: [::1]:80\r\n"), Ok(true));
        assert_eq!(answer("GET / HTTP/1.0\r\n"), Ok(false));
        assert_eq!(answer("POST / HTTP/1.1\r\nHost: 127.0.0.1\r\n"), Err(405));
        assert_eq!(answer("GET / HTTP/1.1\r\nHost: evil.example\r\n"), Err(421));
        assert_eq!(answer("GET / HTTP/1.1\r\nHost: 192.0.2.1:80\r\n"), Err(421));
        assert_eq!(answer("GET / HTTP/1.1\r\nHost : evil.example\r\n"), Err(400));
        assert_eq!(answer("GET / HTTP/1.1\r\nHost: localhost\r\nhost: evil.example\r\n"), Err(421));
        assert_eq!(answer(&format!("GET / HTTP/1.1\r\n{}", "X: y\r\n".repeat(65))), Err(431));
        for head in ["", "GET", "GET /", "GET / HTTP/2", "GET / HTTP/1.1 x", "\0\0 / HTTP/9"] {
            assert_eq!(answer(head), Err(400), "{head:?}");
        }
    }
}
