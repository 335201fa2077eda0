//! Zones of a dimension found by trial: the stack is assembled with the dimension known to lie in a part of its range.
//!
//! For stacks that come together in more than one way: a diameter read can settle which way it is, and everything that
//! hangs on that. A part of the range is a zone only if all of it passes, or all of it fails, together.
//! Must not know why it is read.

use super::bench::Plan;
use super::set_up::picks_of;
use super::zones::{Bounds, Zones};
use crate::assembly::{Outcome, Pick, assemble_knowing};
use crate::quantity::{Form, Length};

/// Ends of zones are found to a micrometre.
const FINE: i64 = 1_000;

struct Trial<'a> {
    plan: &'a Plan<'a>,
    picks: Vec<Pick>,
    dim: u32,
}

pub(super) fn zones(plan: &Plan<'_>, dim: u32, caliper: i64) -> Zones {
    let ends = plan.stack.dims[dim as usize].ends;
    let (least, most) = (ends.least, ends.most);
    let trial = Trial { plan, picks: picks_of(plan.stack), dim };
    let mut bounds = Bounds { go_from: i64::MAX, go_to: i64::MIN, ..Bounds::default() };
    let starts = [ends.nominal.clamp(least, most), least, most];
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
    /// The whole stack comes to this, whatever the dimension is from here to there.
    fn is(&self, outcome: Outcome, from: i64, to: i64) -> bool {
        let dim = Form::dimension(self.dim);
        let known = [dim.clone().plus_length(Length::nm(-from)), Form::constant(Length::nm(to)).minus(&dim)];
        let stack = assemble_knowing(self.plan.setting, &self.picks, &known);
        !stack.merged && super::alternatives::worst(&stack) == outcome
    }
}
