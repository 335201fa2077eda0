//! The least of something by height, step by step, rounded outward.
//!
//! Must not know of what.

/// More than anything comes to; twice that is still a number.
pub const NEVER: u64 = 1 << 62;

/// From so many steps between two heights on the least of them is not looked up one by one.
const WIDE: i64 = 6;

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
    /// Steps that it has.
    pub fn len(&self) -> usize {
        self.least.len()
    }

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
        if high - low >= WIDE {
            let steps = (from.max(first).max(their_first - high), end.min(after).min(their_after - low));
            let low = low.max(their_first - steps.1);
            let high = high.min(their_after - steps.0);
            return self.at_most_as_any(steps, other, (low, high - low + 1), more);
        }
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

    /// The same for a wide stretch between the two, on steps that there are: the least over stretches of twice the width
    /// comes from two of the width, so that it takes a few passes however wide it is.
    fn at_most_as_any(
        &mut self,
        (from, end): (i64, i64),
        other: &Stair,
        (low, width): (i64, i64),
        more: u64,
    ) {
        if from >= end || width < 1 {
            return;
        }
        let (their_first, their_after) = other.ends();
        let theirs = (from + low, end + low + width - 1);
        let there = (theirs.0.max(their_first), theirs.1.min(their_after));
        let mut least = vec![NEVER; (theirs.1 - theirs.0) as usize];
        if there.0 < there.1 {
            let at = (there.0 - theirs.0) as usize..(there.1 - theirs.0) as usize;
            let copied = (there.0 - their_first) as usize..(there.1 - their_first) as usize;
            least[at].copy_from_slice(&other.least[copied]);
        }
        let (width, mut so_wide) = (width as usize, 1);
        while 2 * so_wide <= width {
            for at in 0..least.len() - so_wide {
                least[at] = least[at].min(least[at + so_wide]);
            }
            so_wide *= 2;
        }
        let rest = width - so_wide;
        let own = &mut self.least[(from - self.from) as usize..(end - self.from) as usize];
        for (at, own) in own.iter_mut().enumerate() {
            let theirs = least[at].min(least[at + rest]);
            if theirs < NEVER {
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
    fn a_wide_stretch_comes_to_what_each_of_its_steps_does() {
        let mut above = Stair::default();
        above.reach((-7, 23));
        for at in [-5, 0, 1, 9, 22] {
            above.at_most((at, at + 1), (at * at) as u64 % 11);
        }
        for low in -40..40 {
            for width in [WIDE + 1, WIDE + 2, 13, 50] {
                let (mut at_once, mut one_by_one) = (Stair::default(), Stair::default());
                for stair in [&mut at_once, &mut one_by_one] {
                    stair.reach((-12, 9));
                    stair.at_most((3, 5), 4);
                }
                at_once.at_most_as((-10, 30), &above, (low, low + width - 1), 3);
                for further in low..low + width {
                    one_by_one.at_most_as((-10, 30), &above, (further, further), 3);
                }
                assert_eq!(at_once.least, one_by_one.least, "{low} {width}");
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
