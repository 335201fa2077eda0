//! From sizes with which it goes to ranges of them: as wide as they can be, one after the other, and proved at
//! every end. Must not know how the sizes were found.

use super::Start;
use super::one_more::{OneMore, Search};
use crate::assembly::Pick;
use crate::solve::answer::Wanted;

/// First every size gets some room to be made in, then each as much as there is.
const FIRST_ROOM: i64 = 50_000;
/// Less than this can neither be made nor measured.
const LEAST_ROOM: i64 = 50_000;
/// Ends further out than anything on a scooter: the range is open there.
const NO_LESS: i64 = 1;
const NO_MORE: i64 = 1_000_000_000;
/// Other plans that may widen a range.
const MOST_PLANS: usize = 3;

pub(super) fn ranges(book: &mut OneMore<'_>, start: &Start<'_>) -> Option<Wanted> {
    let mut room = Room { start, ranges: start.at.iter().map(|&at| (at, at)).collect() };
    let mut picks = start.picks.clone();
    for _ in 0..MOST_PLANS {
        room.widen(book, &picks, FIRST_ROOM);
        room.widen(book, &picks, NO_MORE);
        if room.ranges.iter().any(|r| r.1 - r.0 < LEAST_ROOM) {
            return None;
        }
        match room.outside(book) {
            Outside::Never => return Some(room.told()),
            Outside::Unsettled => return None,
            Outside::Goes(other) => picks = other,
        }
    }
    None
}

struct Room<'s> {
    start: &'s Start<'s>,
    ranges: Vec<(i64, i64)>,
}

enum Outside {
    /// Just outside of each end it does not go.
    Never,
    /// A range can be wider with this plan.
    Goes(Vec<Pick>),
    Unsettled,
}

impl Room<'_> {
    /// Each range downward, then upward, by at most so much.
    fn widen(&mut self, book: &mut OneMore<'_>, picks: &[Pick], by: i64) {
        for at in 0..self.ranges.len() {
            let (least, most) = self.ranges[at];
            let down =
                furthest((least - NO_LESS).clamp(0, by), |n| self.passes(book, picks, at, (least - n, most)));
            let least = least - down;
            let up =
                furthest((NO_MORE - most).clamp(0, by), |n| self.passes(book, picks, at, (least, most + n)));
            self.ranges[at] = (least, most + up);
        }
    }

    fn with(&self, at: usize, range: (i64, i64)) -> Option<crate::kinds::Shape> {
        let mut ranges = self.ranges.clone();
        ranges[at] = range;
        self.start.template.made(&self.start.free, &ranges)
    }

    fn passes(&self, book: &mut OneMore<'_>, picks: &[Pick], at: usize, range: (i64, i64)) -> bool {
        self.with(at, range).is_some_and(|shape| book.passes(picks, &shape))
    }

    /// What comes of parts one nanometre outside, all other sizes anywhere in their ranges.
    fn outside(&self, book: &mut OneMore<'_>) -> Outside {
        for (at, &(least, most)) in self.ranges.iter().enumerate() {
            let ends = [
                (least > NO_LESS, least - 1, (least - 1, most)),
                (most < NO_MORE, most + 1, (least, most + 1)),
            ];
            for (_, beyond, wider) in ends.into_iter().filter(|e| e.0) {
                let Some(shape) = self.with(at, (beyond, beyond)) else { continue };
                match book.anywhere(&shape) {
                    Search::Never => continue,
                    Search::Unsettled => return Outside::Unsettled,
                    Search::Goes(_) => {}
                }
                // Another plan takes that one: it serves only if it takes all the others, too.
                let Some(shape) = self.with(at, wider) else { return Outside::Unsettled };
                return match book.anywhere(&shape) {
                    Search::Goes(picks) => Outside::Goes(picks),
                    _ => Outside::Unsettled,
                };
            }
        }
        Outside::Never
    }

    fn told(&self) -> Wanted {
        let template = self.start.template;
        let range = |(&size, &(least, most)): (&usize, &(i64, i64))| {
            let ends = ((least > NO_LESS).then_some(least), (most < NO_MORE).then_some(most));
            (template.sizes[size].name.to_string(), ends.0, ends.1)
        };
        Wanted {
            slot: self.start.slot,
            kind: template.kind,
            ranges: self.start.free.iter().zip(&self.ranges).map(range).collect(),
            like: Some(template.variant),
        }
    }
}

/// The greatest number up to `most` for which it holds, where it holds for all smaller ones; 0 always does.
fn furthest(most: i64, mut holds: impl FnMut(i64) -> bool) -> i64 {
    let (mut good, mut bad, mut step) = (0, most + 1, 1_000_000.min(most.max(1)));
    // What is far beyond is not tried before what is near.
    while good + step < bad {
        if !holds(good + step) {
            bad = good + step;
            break;
        }
        good += step;
        step *= 2;
    }
    while bad - good > 1 {
        let middle = good + (bad - good) / 2;
        if holds(middle) {
            good = middle;
        } else {
            bad = middle;
        }
    }
    good
}
