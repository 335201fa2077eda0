//! Says how far a long run is: a bar on a terminal, lines elsewhere. Silent for the first second, never for more than two after
//! it; knows nothing of what is being done.
//!
//! The bar draws from a thread of its own: what else is said meanwhile goes through `suspend`.

use std::fmt::Write as _;
use std::io::{IsTerminal, Write as _, stderr};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressState, ProgressStyle};

use crate::compile::{Progress, Rendering, Work};

const QUIET: Duration = Duration::from_secs(1);
/// On a terminal the bar is redrawn, smoothly; elsewhere each line stays, so they come seldom.
const REDRAW: Duration = Duration::from_millis(100);
const NEXT_LINE: Duration = Duration::from_secs(2);

/// What a compile does, step by step.
pub const OF_COMPILE: &[Work] =
    &[Work::Answers, Work::Decks, Work::Bars, Work::SetUps, Work::Drawings, Work::Have, Work::Pages];

/// And `inspect`, which makes all pages, too.
pub const OF_INSPECT: &[Work] = &[
    Work::Answers,
    Work::Decks,
    Work::Bars,
    Work::SetUps,
    Work::Drawings,
    Work::Have,
    Work::Pages,
    Work::Doubts,
];

/// What is counted.
fn word(work: Work) -> &'static str {
    match work {
        Work::Answers => "answers",
        Work::Decks => "decks and bars",
        Work::Bars => "other bars",
        Work::SetUps => "set-ups",
        Work::Have => "what riders have",
        Work::Drawings => "drawings",
        Work::Pages => "pages",
        Work::Doubts => "doubts",
    }
}

/// When the last piece of the work at hand was done, in milliseconds since that work began.
type Last = Arc<AtomicU64>;

/// How far the run is. May be told from several threads at once; ends what it shows when it is dropped.
pub struct ProgressLine {
    /// Shown on a terminal once the first second is over; elsewhere what the lines tell is read off it.
    bar: ProgressBar,
    now: Mutex<Option<Work>>,
    last: Last,
    begun: Instant,
    doing: &'static str,
    steps: &'static [Work],
    /// Dropped: no more is told.
    going_on: Option<Sender<()>>,
    teller: Option<JoinHandle<()>>,
}

impl ProgressLine {
    pub fn new(doing: &'static str, steps: &'static [Work]) -> ProgressLine {
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::hidden());
        bar.set_prefix(doing);
        let begun = Instant::now();
        let last = Last::default();
        bar.set_style(style(0, begun, &last));
        let (going_on, ended) = channel::<()>();
        let (told, told_last) = (bar.clone(), Arc::clone(&last));
        let tell = move || {
            let mut wait = QUIET;
            while ended.recv_timeout(wait) == Err(std::sync::mpsc::RecvTimeoutError::Timeout) {
                wait = NEXT_LINE;
                if !stderr().is_terminal() {
                    let _ = writeln!(stderr(), "{}", line(&told, begun, &told_last));
                } else if told.is_hidden() {
                    told.set_draw_target(ProgressDrawTarget::stderr());
                    told.enable_steady_tick(REDRAW);
                }
            }
        };
        // Without a thread to spare nothing is shown, and all else goes on.
        let teller = thread::Builder::new().name("progress".into()).spawn(tell).ok();
        ProgressLine {
            bar,
            now: Mutex::new(None),
            last,
            begun,
            doing,
            steps,
            going_on: Some(going_on),
            teller,
        }
    }

    pub fn hear(&self, progress: Progress<'_>) {
        match progress {
            Progress::Done { work, done, total } => self.count(work, done, total),
            Progress::Page(Rendering::All(total)) => self.count(Work::Pages, 0, total),
            Progress::Page(Rendering::Ended) => {
                self.bar.inc(1);
                self.done_now();
            }
            Progress::Page(Rendering::Begun(_)) | Progress::Early(_) | Progress::Read { .. } => {}
        }
    }

    fn count(&self, work: Work, done: usize, total: usize) {
        let mut now = self.now.lock().unwrap_or_else(PoisonError::into_inner);
        if now.replace(work) != Some(work) {
            self.bar.reset();
            self.bar.set_prefix(title(self.doing, self.steps, work));
            self.bar.set_length(total as u64);
            self.bar.set_style(style(total, self.begun, &self.last));
            self.last.store(0, Ordering::Relaxed);
        }
        // Two threads may tell in either order.
        if done as u64 > self.bar.position() {
            self.bar.set_position(done as u64);
            self.done_now();
        }
    }

    fn done_now(&self) {
        self.last.store(self.bar.elapsed().as_millis() as u64, Ordering::Relaxed);
    }

    /// Says or writes something else, the bar out of its way.
    pub fn aside<T>(&self, say: impl FnOnce() -> T) -> T {
        self.bar.suspend(say)
    }
}

fn title(doing: &str, steps: &[Work], work: Work) -> String {
    match steps.iter().position(|step| *step == work) {
        Some(at) => format!("{doing}, step {} of {}, {}", at + 1, steps.len(), word(work)),
        None => doing.to_string(),
    }
}

/// A single thing is not counted.
fn style(total: usize, begun: Instant, last: &Last) -> ProgressStyle {
    let template = if total > 1 { "{prefix}: [{bar:20}] {pos} of {len}{left}" } else { "{prefix}: {sofar}" };
    let last = Arc::clone(last);
    let left = move |state: &ProgressState, out: &mut dyn std::fmt::Write| {
        let times = (at(&last), state.elapsed());
        let _ = out.write_str(&time_left(times, state.pos(), state.len().unwrap_or(0)));
    };
    let so_far = move |_: &ProgressState, out: &mut dyn std::fmt::Write| {
        let _ = out.write_str(&time_so_far(begun));
    };
    let plain = ProgressStyle::with_template(template).unwrap_or_else(|_| ProgressStyle::default_bar());
    plain.progress_chars("=  ").with_key("left", left).with_key("sofar", so_far)
}

fn line(bar: &ProgressBar, begun: Instant, last: &Last) -> String {
    let (done, total) = (bar.position(), bar.length().unwrap_or(0));
    let mut line = format!("{}: ", bar.prefix());
    let _ = match total > 1 && done < total {
        true => write!(line, "{done} of {total}{}", time_left((at(last), bar.elapsed()), done, total)),
        false => write!(line, "{}", time_so_far(begun)),
    };
    line
}

fn at(last: &Last) -> Duration {
    Duration::from_millis(last.load(Ordering::Relaxed))
}

/// As long as what is left takes if it takes as long as what is done, from the last that was done on; nothing while that says
/// nothing.
fn time_left((last, now): (Duration, Duration), done: u64, total: u64) -> String {
    let left = total.saturating_sub(done);
    if done == 0 || left == 0 {
        return String::new();
    }
    let since = now.saturating_sub(last).as_secs_f64();
    let seconds = (last.as_secs_f64() * left as f64 / done as f64 - since).max(0.0);
    match seconds.ceil() as u64 {
        0..=1 => String::new(),
        seconds @ 2..=99 => format!(", about {seconds} s left"),
        seconds => format!(", about {} min left", seconds.div_ceil(60)),
    }
}

/// Since the whole run began.
fn time_so_far(begun: Instant) -> String {
    format!("{} s so far", begun.elapsed().as_secs())
}

impl Drop for ProgressLine {
    /// Leaves the terminal's line empty for what comes next.
    fn drop(&mut self) {
        drop(self.going_on.take());
        let _ = self.teller.take().map(JoinHandle::join);
        self.bar.finish_and_clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use indicatif::TermLike;

    /// What a terminal is given, without its escapes.
    #[derive(Clone, Debug, Default)]
    struct Screen(Arc<Mutex<String>>);

    impl TermLike for Screen {
        fn width(&self) -> u16 {
            100
        }
        fn move_cursor_up(&self, _: usize) -> std::io::Result<()> {
            Ok(())
        }
        fn move_cursor_down(&self, _: usize) -> std::io::Result<()> {
            Ok(())
        }
        fn move_cursor_right(&self, _: usize) -> std::io::Result<()> {
            Ok(())
        }
        fn move_cursor_left(&self, _: usize) -> std::io::Result<()> {
            Ok(())
        }
        fn write_line(&self, line: &str) -> std::io::Result<()> {
            self.write_str(line)
        }
        fn write_str(&self, text: &str) -> std::io::Result<()> {
            self.0.lock().unwrap().push_str(text.trim_end());
            Ok(())
        }
        fn clear_line(&self) -> std::io::Result<()> {
            self.0.lock().unwrap().clear();
            Ok(())
        }
        fn flush(&self) -> std::io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn the_time_left_is_that_of_the_rest() {
        let at = Duration::from_secs;
        let left = |seconds, done| time_left((at(seconds), at(seconds)), done, 54);
        assert_eq!((left(10, 0), left(10, 54), left(1, 53)), (String::new(), String::new(), String::new()));
        assert_eq!((left(10, 27), left(100, 9)), (", about 10 s left".into(), ", about 9 min left".into()));
        // It runs down until the next one is done, and never below nothing.
        let later = |now| time_left((at(10), at(now)), 27, 54);
        assert_eq!((later(16), later(30)), (", about 4 s left".to_string(), String::new()));
    }

    #[test]
    fn a_bar_tells_the_step_and_counts_and_a_single_thing_is_not_counted() {
        let told = ProgressLine::new("compiling", OF_COMPILE);
        let screen = Screen::default();
        told.bar.set_draw_target(ProgressDrawTarget::term_like(Box::new(screen.clone())));
        let shown = |progress| {
            told.hear(progress);
            told.bar.tick();
            screen.0.lock().unwrap().clone()
        };
        let done = |work, done, total| Progress::Done { work, done, total };
        let half = "compiling, step 2 of 7, decks and bars: [==========          ] 5 of 10";
        shown(done(Work::Decks, 0, 10));
        assert_eq!(shown(done(Work::Decks, 5, 10)), half);
        assert_eq!(shown(done(Work::Decks, 4, 10)), half, "told late by another thread");
        assert_eq!(
            line(&told.bar, told.begun, &told.last),
            "compiling, step 2 of 7, decks and bars: 5 of 10"
        );
        shown(Progress::Page(Rendering::All(4)));
        assert_eq!(
            shown(Progress::Page(Rendering::Ended)),
            "compiling, step 7 of 7, pages: [=====               ] 1 of 4"
        );
        assert_eq!(shown(done(Work::Answers, 1, 1)), "compiling, step 1 of 7, answers: 0 s so far");
        assert_eq!(line(&told.bar, told.begun, &told.last), "compiling, step 1 of 7, answers: 0 s so far");
    }
}
