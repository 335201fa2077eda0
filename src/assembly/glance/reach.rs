//! How low and how high something not there yet may lie: between the ends of all sizes, and in each real build.
//!
//! Must not know what it is.

use super::figure::{BUILDS, Figure};

/// First between all ends, then one for each build.
pub const VIEWS: usize = BUILDS + 1;

/// Further than anything lies.
pub const FAR: i64 = i64::MAX / 16;

pub type Views = [i64; VIEWS];

/// Lowest and highest; where the lowest is above the highest it lies nowhere.
#[derive(Clone, Copy, Debug)]
pub struct Reach {
    pub low: Views,
    pub high: Views,
}

/// Most room left to the fork by one meeting, and in which views there surely is that meeting.
#[derive(Clone, Copy, Debug)]
pub struct Left {
    pub most: Views,
    pub sure: [bool; VIEWS],
}

/// One value between ends, then those of the builds.
pub fn views<T: Copy>(ends: T, builds: [T; BUILDS]) -> [T; VIEWS] {
    let mut all = [ends; VIEWS];
    all[1..].copy_from_slice(&builds);
    all
}

impl Reach {
    pub const NOWHERE: Reach = Reach { low: [FAR; VIEWS], high: [-FAR; VIEWS] };

    pub const NO_HIGHER: Reach = Reach { low: [0; VIEWS], high: [0; VIEWS] };

    /// `there`: in which builds it is there at all.
    pub fn of(figure: Figure, there: [bool; BUILDS]) -> Reach {
        let mut reach = Reach { low: views(figure.least, figure.at), high: views(figure.most, figure.at) };
        for (build, there) in there.into_iter().enumerate() {
            if !there {
                reach.leave_out(build + 1);
            }
        }
        reach
    }

    pub fn leave_out(&mut self, view: usize) {
        (self.low[view], self.high[view]) = (FAR, -FAR);
    }

    pub fn is_in(&self, view: usize) -> bool {
        self.low[view] <= self.high[view]
    }

    /// Left out in this view. Reckoned end by end from something else, what is not may have its ends upside down.
    pub fn is_left_out(&self, view: usize) -> bool {
        self.low[view] >= FAR / 2
    }

    /// Nowhere in the views in which it is left out, whatever was added to that.
    pub fn or_nowhere(mut self) -> Reach {
        for view in 0..VIEWS {
            if !self.is_in(view) {
                self.leave_out(view);
            }
        }
        self
    }

    pub fn with(self, other: Reach) -> Reach {
        let (mut low, mut high) = (self.low, self.high);
        for view in 0..VIEWS {
            low[view] = low[view].min(other.low[view]);
            high[view] = high[view].max(other.high[view]);
        }
        Reach { low, high }
    }

    /// Lower by a shift, end by end.
    pub fn minus_shift(self, shift: Reach) -> Reach {
        let (mut low, mut high) = (self.low, self.high);
        for view in (0..VIEWS).filter(|&v| self.is_in(v)) {
            low[view] -= shift.low[view];
            high[view] -= shift.high[view];
        }
        Reach { low, high }
    }

    pub fn plus(self, other: Reach) -> Reach {
        let (mut low, mut high) = (self.low, self.high);
        for view in 0..VIEWS {
            low[view] += other.low[view];
            high[view] += other.high[view];
        }
        Reach { low, high }
    }
}
