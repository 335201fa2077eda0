//! Zones of a reading found by trial: the stack is assembled with what is read known to lie in a part of its range.
//!
//! For stacks that come together in more than one way: a diameter read can settle which way it is, and everything that
//! hangs on that. A part of the range is a zone only if all of it passes, or all of it fails, together.
//! Must not know why it is read.

use super::bench::Plan;
use super::set_up::picks_of;
use super::zones::{Bounds, Zones};
use crate::assembly::{Outcome, Pick, assemble_knowing};
use crate::quantity::{Ends, Form, Length};

/// Ends of zones are found to a micrometre.
const FINE: i64 = 1_000;

struct Trial<'a> {
    plan: &'a Plan<'a>,
    picks: Vec<Pick>,
    read: &'a Form,
}

pub(super) fn zones(plan: &Plan<'_>, read: &Form, caliper: i64) -> Zones {
    let ends: Vec<Ends> = plan.stack.dims.iter().map(|d| d.ends).collect();
    let (least, most) = (read.least(&ends), read.most(&ends));
    let trial = Trial { plan, picks: picks_of(plan.stack), read };
    let mut bounds = Bounds { go_from: i64::MAX, go_to: i64::MIN, ..Bounds::default() };
    let starts = [read.nominal(&ends).clamp(least, most), least, most];
    if let Some(start) = starts.into_iter().find(|&at| trial.is(Outcome::Pass, at, at)) {
        let high = furthest(start, most, |to| trial.is(Outcome::Pass, start, to));
        let low = -furthest(-start, -least, |from| trial.is(Outcome::Pass, -from, high));
        bounds.go_from = if low == least { i64::MIN } else { low };
        bounds.go_to = if high == most { i64::MAX } else { high };
    }
    if trial.is(Outcome::Fail, least, least) {
        bounds.fails_to = furthest(least, most, |to| trial.is(Outcome::Fail, least, to));
    }
    if trial.is(Outcome::Fail, most, most) {
        bounds.fails_from = -furthest(-most, -least, |from| trial.is(Outcome::Fail, -from, most));
    }
    bounds.zones(caliper, (least, most))
}

/// The furthest from `start` toward `end` (greater) that still is so, to within `FINE`.
fn furthest(start: i64, end: i64, is_so: impl Fn(i64) -> bool) -> i64 {
    if is_so(end) {
        return end;
    }
    let (mut so, mut not) = (start, end);
    while not - so > FINE {
        let between = so + (not - so) / 2;
        if is_so(between) {
            so = between;
        } else {
            not = between;
        }
    }
    so
}

impl Trial<'_> {
    /// The whole stack comes to this, whatever is read from here to there.
    fn is(&self, outcome: Outcome, from: i64, to: i64) -> bool {
        let over = self.read.clone().plus_length(Length::nm(-from));
        let known = [over, Form::constant(Length::nm(to)).minus(self.read)];
        let stack = assemble_knowing(self.plan.setting, &self.picks, &known);
        !stack.merged && super::alternatives::worst(&stack) == outcome
    }
}
