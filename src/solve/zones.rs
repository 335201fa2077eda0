//! The zones of one reading: where it makes its checks pass, where it makes one of them fail, and what share of its
//! range it leaves open. All else at its worst, the caliper's error taken off. Must not know why it is read.

use crate::assembly::Check;
use crate::quantity::{Ends, Form, ONE};

/// What is read: a sum or difference of dimensions, and how good the reading is.
pub(super) struct Read {
    pub form: Form,
    pub caliper: i64,
}

/// The checks that a reading is about, each as `times * reading + rest`.
pub(super) struct Zones {
    pub go_from: Option<i64>,
    pub go_to: Option<i64>,
    /// True values that certainly fail: at or below, at or above. Without the caliper's error.
    pub fails_to: Option<i64>,
    pub fails_from: Option<i64>,
    /// Thousandths of the reading's range in neither zone, rounded up.
    pub undecided: u32,
    /// Some reading in its range makes the checks pass.
    pub can_go: bool,
}

impl Zones {
    /// `None` when a check does not depend on the reading as a whole, or has no form.
    pub fn of(read: &Read, checks: &[&Check], ends: &[Ends]) -> Option<Zones> {
        let mut bounds = Bounds::default();
        for check in checks {
            let form = check.value.as_ref()?.form.as_ref()?;
            let times = times(form, &read.form)?;
            let rest = form.plus_times(&read.form, -times);
            bounds.narrow(check, times, (rest.least(ends), rest.most(ends)));
        }
        Some(bounds.zones(read.caliper, (read.form.least(ends), read.form.most(ends))))
    }

    /// The value of a check itself, read off the stack.
    pub fn of_value(check: &Check, caliper: i64) -> Option<Zones> {
        let value = check.value.as_ref()?;
        let mut bounds = Bounds::default();
        bounds.narrow(check, ONE, (0, 0));
        Some(bounds.zones(caliper, (value.least, value.most)))
    }
}

/// How often the reading is in the form, millionths; `None` when its dimensions are not in it in that proportion.
fn times(form: &Form, read: &Form) -> Option<i64> {
    let of = |dim: u32| form.terms.iter().find(|t| t.0 == dim).map(|t| t.1);
    // As it stands, whatever goes into it.
    if read.terms.iter().all(|&(dim, k)| of(dim) == Some(k)) {
        return Some(ONE);
    }
    let (first, rest) = read.terms.split_first()?;
    let times = of(first.0)? * first.1.signum();
    let alike = |&(dim, k): &(u32, i64)| of(dim) == Some(times * k.signum());
    (first.1.abs() == ONE && rest.iter().all(|t| t.1.abs() == ONE && alike(t))).then_some(times)
}

/// True values: go from `go_from` to `go_to`, fail up to `fails_to` and from `fails_from` on.
pub(super) struct Bounds {
    pub go_from: i64,
    pub go_to: i64,
    pub fails_to: i64,
    pub fails_from: i64,
}

impl Default for Bounds {
    fn default() -> Bounds {
        Bounds { go_from: i64::MIN, go_to: i64::MAX, fails_to: i64::MIN, fails_from: i64::MAX }
    }
}

impl Bounds {
    fn narrow(&mut self, check: &Check, times: i64, (rest_least, rest_most): (i64, i64)) {
        if let Some(least) = check.least {
            // times * reading must be at least this, whatever the rest is; below the other it never is enough.
            self.at_least(least - rest_least, times, true);
            self.at_least(least - rest_most, times, false);
        }
        if let Some(most) = check.most {
            self.at_least(rest_most - most, -times, true);
            self.at_least(rest_least - most, -times, false);
        }
    }

    /// `times * reading >= bound`: where it holds (`go`), or where it does not.
    fn at_least(&mut self, bound: i64, times: i64, go: bool) {
        let product = i128::from(bound) * i128::from(ONE);
        let floor = |by: i64| product.div_euclid(i128::from(by)) as i64;
        let ceiling = |by: i64| -((-product).div_euclid(i128::from(by)) as i64);
        match (times > 0, go) {
            (true, true) => self.go_from = self.go_from.max(ceiling(times)),
            (true, false) => self.fails_to = self.fails_to.max(ceiling(times) - 1),
            (false, true) => self.go_to = self.go_to.min(floor(times)),
            (false, false) => self.fails_from = self.fails_from.min(floor(times) + 1),
        }
    }

    pub fn zones(self, caliper: i64, (least, most): (i64, i64)) -> Zones {
        let (from, to) = (self.go_from.saturating_add(caliper), self.go_to.saturating_sub(caliper));
        let (low, high) = (from.max(least), to.min(most));
        let (below, above) = (self.fails_to.saturating_sub(caliper), self.fails_from.saturating_add(caliper));
        let (low_end, high_start) = (below.min(most), above.max(least));
        let length = |from: i64, to: i64| i128::from((to.saturating_sub(from)).max(0));
        let settled = length(low, high) + length(least, low_end) + length(high_start, most);
        let width = length(least, most).max(1);
        let open = ((width - settled.min(width)) * 1_000 + width - 1) / width;
        let bounded = |at: i64| (at > i64::MIN / 2 && at < i64::MAX / 2).then_some(at);
        // No reading goes: told as a range that is the wrong way round, never as one without ends.
        let never = self.go_from > self.go_to;
        let (from, to) = if never { (most + 1, least - 1) } else { (from, to) };
        Zones {
            go_from: bounded(from),
            go_to: bounded(to),
            fails_to: bounded(self.fails_to),
            fails_from: bounded(self.fails_from),
            undecided: open as u32,
            can_go: low <= high && least < most,
        }
    }
}
