//! Says how far a long compile is. Silent for the first second; knows nothing of what is being done.

use std::io::{IsTerminal, Write, stderr};
use std::sync::Mutex;
use std::time::{Duration, Instant};

use crate::compile::Progress;

const QUIET: Duration = Duration::from_secs(1);
/// On a terminal the line is redrawn, smoothly; elsewhere each line stays, so they come seldom.
const REDRAW: Duration = Duration::from_millis(100);
const NEXT_LINE: Duration = Duration::from_secs(2);

/// When the next line is due.
struct Pace {
    next: Instant,
    every: Duration,
}

impl Pace {
    fn from(start: Instant, on_terminal: bool) -> Pace {
        Pace { next: start + QUIET, every: if on_terminal { REDRAW } else { NEXT_LINE } }
    }

    /// True if a line is due at `now`; then the next is due one step later.
    fn is_due(&mut self, now: Instant) -> bool {
        let due = now >= self.next;
        if due {
            self.next = now + self.every;
        }
        due
    }
}

/// One progress line. May be told from several threads at once.
pub struct ProgressLine {
    pace: Mutex<Pace>,
    on_terminal: bool,
    doing: &'static str,
}

impl ProgressLine {
    pub fn new(doing: &'static str) -> ProgressLine {
        let on_terminal = stderr().is_terminal();
        ProgressLine { pace: Mutex::new(Pace::from(Instant::now(), on_terminal)), on_terminal, doing }
    }

    pub fn hear(&self, progress: Progress<'_>) {
        if let Progress::Answered { done, total } = progress {
            self.tell(done, total);
        }
    }

    fn tell(&self, done: usize, total: usize) {
        // Another thread is telling: one line is enough.
        let Ok(mut pace) = self.pace.try_lock() else { return };
        if !pace.is_due(Instant::now()) {
            return;
        }
        let line = format!("{}: {done} of {total}", self.doing);
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_second_is_silent_and_lines_that_stay_come_seldom() {
        let start = Instant::now();
        let after = |millis| start + Duration::from_millis(millis);
        let mut lines = Pace::from(start, false);
        let due: Vec<u64> = (0..6000).step_by(50).filter(|millis| lines.is_due(after(*millis))).collect();
        assert_eq!(due, [1000, 3000, 5000]);
        let mut redrawn = Pace::from(start, true);
        let due: Vec<u64> = (0..1300).step_by(50).filter(|millis| redrawn.is_due(after(*millis))).collect();
        assert_eq!(due, [1000, 1100, 1200]);
    }
}
