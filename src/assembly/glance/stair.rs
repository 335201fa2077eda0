//! The least of something by height, step by step, rounded outward.
//!
//! Must not know of what.

/// More than anything comes to; twice that is still a number.
pub const NEVER: u64 = 1 << 62;

/// The height of a step, as a power of two nanometres.
#[derive(Clone, Copy, Debug)]
pub struct Step(pub u32);

impl Step {
    /// On which step a height is.
    pub fn of(self, height: i64) -> i64 {
        height >> self.0
    }

    /// How many steps further that may be which is so far above whatever is on a step.
    pub fn between(self, (low, high): (i64, i64)) -> (i64, i64) {
        (self.of(low), self.of(high + (1 << self.0) - 1))
    }
}

/// By step the least; outside of these there is nothing.
#[derive(Clone, Debug, Default)]
pub struct Stair {
    from: i64,
    least: Vec<u64>,
}

impl Stair {
    pub fn is_empty(&self) -> bool {
        self.least.is_empty()
    }

    /// First step and the one after the last.
    pub fn ends(&self) -> (i64, i64) {
        (self.from, self.from + self.least.len() as i64)
    }

    /// Makes room for these steps; nothing is there yet.
    pub fn reach(&mut self, (from, end): (i64, i64)) {
        if from >= end {
            return;
        }
        if self.least.is_empty() {
            (self.from, self.least) = (from, vec![NEVER; (end - from) as usize]);
            return;
        }
        if from < self.from {
            let before = (self.from - from) as usize;
            self.least.splice(0..0, std::iter::repeat_n(NEVER, before));
            self.from = from;
        }
        let len = (end - self.from).max(self.least.len() as i64) as usize;
        self.least.resize(len, NEVER);
    }

    /// On these steps, as far as there is room, it is no more than so much.
    pub fn at_most(&mut self, (from, end): (i64, i64), most: u64) {
        let (first, after) = self.ends();
        let (from, end) = (from.max(first), end.min(after));
        if from < end {
            let steps = &mut self.least[(from - first) as usize..(end - first) as usize];
            steps.iter_mut().for_each(|least| *least = (*least).min(most));
        }
    }

    /// On these steps it is no more than what the other has so many steps further (between the two), and so much more.
    pub fn at_most_as(&mut self, (from, end): (i64, i64), other: &Stair, (low, high): (i64, i64), more: u64) {
        let (first, after) = self.ends();
        let (their_first, their_after) = other.ends();
        for further in low..=high {
            let (from, end) =
                (from.max(first).max(their_first - further), end.min(after).min(their_after - further));
            if from >= end {
                continue;
            }
            let own = &mut self.least[(from - first) as usize..(end - first) as usize];
            let theirs = &other.least[(from + further - their_first) as usize..];
            for (own, theirs) in own.iter_mut().zip(theirs) {
                *own = (*own).min(theirs + more);
            }
        }
    }

    /// First steps, and those after the last, of where there is something.
    pub fn there(&self) -> impl Iterator<Item = (i64, i64)> + '_ {
        let mut at = self.from;
        self.least.chunk_by(|a, b| (*a >= NEVER) == (*b >= NEVER)).filter_map(move |run| {
            let first = at;
            at += run.len() as i64;
            (run[0] < NEVER).then_some((first, at))
        })
    }

    /// The least on these steps.
    pub fn least(&self, (from, end): (i64, i64)) -> u64 {
        let (first, after) = self.ends();
        let (from, end) = (from.max(first), end.min(after));
        if from >= end {
            return NEVER;
        }
        let steps = &self.least[(from - first) as usize..(end - first) as usize];
        steps.iter().copied().min().unwrap_or(NEVER)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STEP: Step = Step(4);

    #[test]
    fn whatever_is_on_a_step_is_within_the_steps_told() {
        for height in -40..40 {
            let on = STEP.of(height);
            assert!(on << 4 <= height && height < (on + 1) << 4);
            for (low, high) in [(0, 0), (-7, 3), (5, 33)] {
                let further = STEP.between((low, high));
                for up in low..=high {
                    let by = STEP.of(height + up) - on;
                    assert!(further.0 <= by && by <= further.1, "{height} {up}");
                }
            }
        }
    }

    #[test]
    fn the_least_of_all_that_may_be_there_counts() {
        let mut above = Stair::default();
        above.reach((2, 6));
        above.at_most((2, 4), 7);
        above.at_most((3, 6), 5);
        let mut stair = Stair::default();
        stair.reach((0, 4));
        stair.reach((-2, 2));
        stair.at_most_as((-2, 4), &above, (2, 3), 10);
        let told: Vec<u64> = (-2..5).map(|step| stair.least((step, step + 1))).collect();
        assert_eq!(told, [NEVER, 17, 15, 15, 15, 15, NEVER]);
        assert_eq!(stair.there().collect::<Vec<_>>(), [(-1, 4)]);
        assert_eq!(stair.least((-9, 9)), 15);
        assert_eq!(stair.least((9, 12)), NEVER);
    }
}
