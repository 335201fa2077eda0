//! The two streams. Knows how to keep quiet when nobody reads any more; decides nothing.

use std::io::{self, BufWriter, ErrorKind, Write};

use super::clean_text::clean;
use super::{Ending, broken_machine};

/// Results, to standard output. A reader that has gone away (`| head`) is no failure: the run ends as it would have.
pub fn results<'a>(lines: impl Iterator<Item = &'a str>, ending: Ending) -> Ending {
    match write_all(lines) {
        Ok(()) => ending,
        Err(gone) if gone.kind() == ErrorKind::BrokenPipe => ending,
        Err(error) => broken_machine::tell("writing the results", &error),
    }
}

/// Results that come one by one. Once the reader has gone away, or nothing can be written, no more is.
pub struct Results {
    out: BufWriter<anstream::AutoStream<io::Stdout>>,
    failed: Option<io::Error>,
}

impl Results {
    pub fn new() -> Results {
        Results { out: BufWriter::new(anstream::stdout()), failed: None }
    }

    /// It can be read at once; false where nobody reads it.
    pub fn add(&mut self, line: &str) -> bool {
        if self.failed.is_none() {
            let line = line.strip_suffix('\n').unwrap_or(line);
            self.failed = writeln!(self.out, "{line}").and_then(|()| self.out.flush()).err();
        }
        self.failed.is_none()
    }

    pub fn end(self, ending: Ending) -> Ending {
        match self.failed {
            Some(error) if error.kind() != ErrorKind::BrokenPipe => {
                broken_machine::tell("writing the results", &error)
            }
            _ => ending,
        }
    }
}

fn write_all<'a>(lines: impl Iterator<Item = &'a str>) -> io::Result<()> {
    let mut out = BufWriter::new(anstream::stdout().lock());
    for line in lines {
        writeln!(out, "{}", line.strip_suffix('\n').unwrap_or(line))?;
    }
    out.flush()
}

/// A message, to standard error; colours only where they are wanted. If nobody listens, so be it.
pub fn message(text: &str) {
    let _ = writeln!(anstream::stderr().lock(), "{}", text.strip_suffix('\n').unwrap_or(text));
}

/// Says what is wrong with the command line.
pub fn wrong_command(what: &str) -> Ending {
    message(&format!("error: {}", clean(what)));
    Ending::CommandLineWrong
}
