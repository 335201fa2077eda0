//! Heights at which something may be, as a few closed ranges.
//!
//! Only bounds: it is in one of them wherever it is. Must not know of what.

use smallvec::SmallVec;

/// So many ranges are kept apart; of more, those nearest to each other are taken for one.
const MOST: usize = 8;

/// Lowest and highest of each range, in order; they do not touch each other.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Spans(SmallVec<[(i64, i64); 2]>);

impl Spans {
    /// `low` is no higher than `high`.
    pub fn one(low: i64, high: i64) -> Spans {
        Spans([(low, high)].into_iter().collect())
    }

    pub fn highest(&self) -> Option<i64> {
        self.0.last().map(|last| last.1)
    }

    pub fn lowest(&self) -> Option<i64> {
        self.0.first().map(|first| first.0)
    }

    pub fn iter(&self) -> impl Iterator<Item = (i64, i64)> + '_ {
        self.0.iter().copied()
    }

    /// Here, too; `low` is no higher than `high`.
    pub fn add(&mut self, (low, high): (i64, i64)) {
        let first = self.0.partition_point(|span| span.1 < low);
        let after = self.0.partition_point(|span| span.0 <= high);
        if first == after {
            self.0.insert(first, (low, high));
            self.join_nearest();
            return;
        }
        self.0[first] = (low.min(self.0[first].0), high.max(self.0[after - 1].1));
        self.0.drain(first + 1..after);
    }

    /// Wherever the others are, so far above, too.
    pub fn widen(&mut self, others: &Spans, (low, high): (i64, i64)) {
        for other in others.iter() {
            self.add((other.0 + low, other.1 + high));
        }
    }

    /// No longer where it would be lower than this.
    pub fn leave_below(&mut self, low: i64) {
        let below = self.0.partition_point(|span| span.1 < low);
        self.0.drain(..below);
        if let Some(first) = self.0.first_mut() {
            first.0 = first.0.max(low);
        }
    }

    fn join_nearest(&mut self) {
        if self.0.len() <= MOST {
            return;
        }
        let apart = |at: &usize| self.0[at + 1].0 - self.0[*at].1;
        if let Some(at) = (0..self.0.len() - 1).min_by_key(apart) {
            self.0[at].1 = self.0[at + 1].1;
            self.0.remove(at + 1);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(spans: &Spans) -> Vec<(i64, i64)> {
        spans.iter().collect()
    }

    #[test]
    fn ranges_that_touch_are_one_others_stay_apart_and_below_a_height_none_is_left() {
        let mut spans = Spans::one(10, 20);
        spans.add((40, 50));
        spans.add((25, 30));
        assert_eq!(all(&spans), [(10, 20), (25, 30), (40, 50)]);
        spans.add((20, 26));
        assert_eq!(all(&spans), [(10, 30), (40, 50)]);
        spans.add((0, 100));
        assert_eq!(all(&spans), [(0, 100)]);
        let mut spans = Spans::one(10, 20);
        spans.add((40, 50));
        spans.leave_below(10);
        assert_eq!(all(&spans), [(10, 20), (40, 50)]);
        spans.leave_below(20);
        assert_eq!(all(&spans), [(20, 20), (40, 50)]);
        spans.leave_below(45);
        assert_eq!((spans.lowest(), spans.highest()), (Some(45), Some(50)));
        spans.leave_below(51);
        assert_eq!(all(&spans), []);
        let mut above = Spans::default();
        above.widen(&Spans::one(1, 2), (3, 5));
        assert_eq!(all(&above), [(4, 7)]);
    }

    #[test]
    fn of_too_many_the_nearest_are_taken_for_one_and_none_is_lost() {
        let mut spans = Spans::default();
        // Ever further apart, the furthest first.
        let each = |n: i64| (n * n * 10, n * n * 10 + 2);
        (0..3 * MOST as i64).rev().for_each(|n| spans.add(each(n)));
        assert_eq!(all(&spans).len(), MOST);
        for n in 0..3 * MOST as i64 {
            let (low, high) = each(n);
            assert!(spans.iter().any(|span| span.0 <= low && high <= span.1), "{n}");
        }
        assert!(spans.0.is_sorted() && spans.0.windows(2).all(|two| two[0].1 < two[1].0));
    }
}
