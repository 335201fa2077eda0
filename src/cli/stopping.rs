//! Ctrl-C and its kin: ends the program at once, and leaves nothing lying about. Knows no command.

use std::io;

use crate::publish::abandon;

/// How the program ends when it is told to stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stopped {
    /// In the middle: 128 and the signal's number, as shells have it.
    Early,
    /// It would never have ended otherwise: 0.
    AsMeant,
}

/// From here on a signal to stop ends the program; more of them change nothing.
pub fn stop_on_signals(stopped: Stopped) -> io::Result<()> {
    listen(move |signal| {
        abandon();
        end(if stopped == Stopped::Early { 128 + signal } else { 0 });
    })
}

/// At once: other threads go on until the very end, and nothing may be torn down under them.
#[cfg(unix)]
fn end(code: i32) -> ! {
    signal_hook::low_level::exit(code)
}

#[cfg(not(unix))]
fn end(code: i32) -> ! {
    std::process::exit(code)
}

#[cfg(unix)]
fn listen(stop: impl Fn(i32) + Send + 'static) -> io::Result<()> {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    let mut signals = signal_hook::iterator::Signals::new([SIGINT, SIGTERM, SIGHUP])?;
    let wait = move || signals.forever().for_each(stop);
    std::thread::Builder::new().name("signals".into()).spawn(wait).map(drop)
}

#[cfg(not(unix))]
fn listen(stop: impl Fn(i32) + Send + 'static) -> io::Result<()> {
    const INTERRUPT: i32 = 2;
    ctrlc::set_handler(move || stop(INTERRUPT)).map_err(io::Error::other)
}
