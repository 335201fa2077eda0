//! Says how far a long compile is. Silent for the first second; knows nothing of what is being done.

use std::io::{IsTerminal, Write, stderr};
use std::sync::Mutex;
use std::time::{Duration, Instant};

const QUIET: Duration = Duration::from_secs(1);
/// On a terminal the line is redrawn, smoothly; elsewhere each line stays, so they come seldom.
const REDRAW: Duration = Duration::from_millis(100);
const NEXT_LINE: Duration = Duration::from_secs(2);

/// One progress line. May be told from several threads at once.
pub struct ProgressLine {
    next: Mutex<Instant>,
    on_terminal: bool,
}

impl ProgressLine {
    pub fn new() -> ProgressLine {
        ProgressLine { next: Mutex::new(Instant::now() + QUIET), on_terminal: stderr().is_terminal() }
    }

    pub fn tell(&self, done: usize, total: usize) {
        let Ok(mut next) = self.next.try_lock() else { return };
        let now = Instant::now();
        if now < *next {
            return;
        }
        *next = now + if self.on_terminal { REDRAW } else { NEXT_LINE };
        let line = format!("{done} of {total}");
        let _ = if self.on_terminal {
            write!(stderr(), "\r\x1b[K{line}").and_then(|()| stderr().flush())
        } else {
            writeln!(stderr(), "{line}")
        };
    }
}

impl Drop for ProgressLine {
    /// Leaves the terminal's line empty for what comes next.
    fn drop(&mut self) {
        if self.on_terminal {
            let _ = write!(stderr(), "\r\x1b[K");
        }
    }
}
