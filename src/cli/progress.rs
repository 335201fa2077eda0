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
    begun: Instant,
}

impl ProgressLine {
    pub fn new(doing: &'static str) -> ProgressLine {
        let on_terminal = stderr().is_terminal();
        let begun = Instant::now();
        ProgressLine { pace: Mutex::new(Pace::from(begun, on_terminal)), on_terminal, doing, begun }
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
        let left = time_left(self.begun.elapsed(), done, total);
        let line = match self.on_terminal {
            true => format!("{}: {} {done} of {total}{left}", self.doing, bar(done, total)),
            false => format!("{}: {done} of {total}{left}", self.doing),
        };
        let _ = if self.on_terminal {
            write!(stderr(), "\r\x1b[K{line}").and_then(|()| stderr().flush())
        } else {
            writeln!(stderr(), "{line}")
        };
    }
}

/// Letters of a full bar.
const BAR: usize = 20;

fn bar(done: usize, total: usize) -> String {
    let full = (BAR * done.min(total)).checked_div(total).unwrap_or(BAR);
    format!("[{}{}]", "=".repeat(full), " ".repeat(BAR - full))
}

/// As long as what is left takes if it takes as long as what is done; nothing while that says nothing.
fn time_left(so_far: Duration, done: usize, total: usize) -> String {
    let left = total.saturating_sub(done);
    if done == 0 || left == 0 {
        return String::new();
    }
    let seconds = so_far.as_secs_f64() * left as f64 / done as f64;
    match seconds.ceil() as u64 {
        0..=1 => String::new(),
        seconds @ 2..=99 => format!(", about {seconds} s left"),
        seconds => format!(", about {} min left", seconds.div_ceil(60)),
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
    fn a_bar_fills_and_the_time_left_is_that_of_the_rest() {
        assert_eq!(bar(5, 20), format!("[{}{}]", "=".repeat(5), " ".repeat(15)));
        assert_eq!(
            (bar(20, 20), bar(0, 0)),
            (format!("[{}]", "=".repeat(20)), format!("[{}]", "=".repeat(20)))
        );
        let left = |seconds, done| time_left(Duration::from_secs(seconds), done, 54);
        assert_eq!((left(10, 0), left(10, 54), left(1, 53)), (String::new(), String::new(), String::new()));
        assert_eq!((left(10, 27), left(100, 9)), (", about 10 s left".into(), ", about 9 min left".into()));
    }

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
