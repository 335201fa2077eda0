//! How one question divides a set of forks, and which forks no question divides. Must not know trees.

use super::Found;
use super::profile::{Gives, Profiles};

/// Indexes of profiles, rising. Never empty in a tree.
pub type Set = Vec<u16>;

/// The parts that a question divides a set into; a fork may be in several.
pub struct Split {
    pub parts: Vec<(Found, Set)>,
    pub assumed: bool,
}

/// `None` where the question has no meaning on one of them, or where some part would be the whole set again.
pub fn split(profiles: &Profiles, question: usize, set: &Set) -> Option<Split> {
    let gives = |&i: &u16| profiles.all[usize::from(i)].gives[question];
    if set.iter().any(|i| gives(i) == Gives::Nothing) {
        return None;
    }
    let marks: Vec<Found> = match set.iter().map(gives).find(|g| *g != Gives::Anything)? {
        Gives::Seen(_) => vec![Found::Seen(true), Found::Seen(false)],
        _ => zones(&thresholds(set.iter().map(gives))),
    };
    if marks.len() < 2 {
        return None;
    }
    let in_part = |found: Found| set.iter().copied().filter(|i| agrees(gives(i), found)).collect::<Set>();
    let parts: Vec<(Found, Set)> = marks.into_iter().map(|found| (found, in_part(found))).collect();
    let divides = parts.iter().all(|(_, part)| !part.is_empty() && part.len() < set.len());
    let assumed = set.iter().any(|i| matches!(gives(i), Gives::Reads { assumed: true, .. }));
    divides.then_some(Split { parts, assumed })
}

/// A fork that gives this may be found so.
pub fn agrees(gives: Gives, found: Found) -> bool {
    match (gives, found) {
        (Gives::Anything, _) => true,
        (Gives::Seen(own), Found::Seen(seen)) => own == seen,
        (Gives::Reads { least, most, .. }, Found::Reads { from, below }) => {
            below.is_none_or(|b| least < b) && from.is_none_or(|f| f <= most)
        }
        _ => false,
    }
}

fn zones(thresholds: &[i64]) -> Vec<Found> {
    let from = std::iter::once(None).chain(thresholds.iter().copied().map(Some));
    let below = thresholds.iter().copied().map(Some).chain(std::iter::once(None));
    from.zip(below).map(|(from, below)| Found::Reads { from, below }).collect()
}

/// One threshold for every stretch between the end of some range and the next beginning of another. No other place
/// divides better: moved either way a threshold only adds forks to one of its sides.
fn thresholds(gives: impl Iterator<Item = Gives>) -> Vec<i64> {
    let (mut begins, mut ends) = (vec![], vec![]);
    for given in gives {
        if let Gives::Reads { least, most, .. } = given {
            begins.push(least);
            ends.push(most);
        }
    }
    ends.sort_unstable();
    ends.dedup();
    let next_begin = |end: i64| begins.iter().copied().filter(|&b| b > end).min();
    let last_before = |(i, begin): (usize, i64)| ends.get(i + 1).is_none_or(|&next| next >= begin);
    let stretches = ends.iter().enumerate().filter_map(|(i, &end)| Some((i, end, next_begin(end)?)));
    stretches
        .filter(|&(i, _, begin)| last_before((i, begin)))
        .filter_map(|(_, end, begin)| between(end, begin))
        .collect()
}

const HUNDREDTH: i64 = 10_000;

/// A number that a caliper shows, over `end` and not over `begin`: as round as there is in the middle half of the
/// stretch. `None` where not even a hundredth lies between.
fn between(end: i64, begin: i64) -> Option<i64> {
    let (middle, quarter) = (end + (begin - end) / 2, (begin - end) / 4);
    for step in [1_000_000, 500_000, 100_000, 50_000] {
        let nearest = (middle + step / 2).div_euclid(step) * step;
        if (nearest - middle).abs() <= quarter {
            return Some(nearest);
        }
    }
    let nearest = (middle + HUNDREDTH / 2).div_euclid(HUNDREDTH) * HUNDREDTH;
    [nearest, nearest - HUNDREDTH, nearest + HUNDREDTH].into_iter().find(|&t| end < t && t <= begin)
}

/// By profile, whether some question tells it from the other.
pub struct Told(Vec<Vec<bool>>);

impl Told {
    /// Quadratic in the profiles.
    pub fn of(profiles: &Profiles) -> Told {
        let count = profiles.all.len();
        let tells = |a: usize, b: usize| {
            let pairs = profiles.all[a].gives.iter().zip(&profiles.all[b].gives);
            pairs.into_iter().any(|(&a, &b)| match (a, b) {
                (Gives::Seen(a), Gives::Seen(b)) => a != b,
                (Gives::Reads { .. }, Gives::Reads { .. }) => !thresholds([a, b].into_iter()).is_empty(),
                _ => false,
            })
        };
        Told((0..count).map(|a| (0..count).map(|b| tells(a, b)).collect()).collect())
    }

    /// No two of the set can be told apart.
    pub fn one_class(&self, set: &Set) -> bool {
        let told = |(i, &a): (usize, &u16)| set[..i].iter().any(|&b| self.0[usize::from(a)][usize::from(b)]);
        !set.iter().enumerate().any(told)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reads(least: i64, most: i64) -> Gives {
        Gives::Reads { least, most, assumed: false }
    }

    const MM: i64 = 1_000_000;

    #[test]
    fn a_threshold_stands_only_where_no_range_reaches_over_the_whole_stretch() {
        let apart = [reads(10 * MM, 11 * MM), reads(20 * MM, 21 * MM), reads(30 * MM, 31 * MM)];
        assert_eq!(thresholds(apart.into_iter()), [16 * MM, 26 * MM]);
        let touching = [reads(10 * MM, 11 * MM), reads(11 * MM, 12 * MM)];
        assert_eq!(thresholds(touching.into_iter()), Vec::<i64>::new());
        let chained = [reads(10 * MM, 12 * MM), reads(11 * MM, 14 * MM), reads(13 * MM, 15 * MM)];
        assert_eq!(thresholds(chained.into_iter()).len(), 1);
    }

    #[test]
    fn a_threshold_is_as_round_as_it_can_be() {
        assert_eq!(between(124_220_000, 136_380_000), Some(130 * MM));
        assert_eq!(between(25_420_000, 28_530_000), Some(27 * MM));
        assert_eq!(between(46_020_000, 46_260_000), Some(46_100_000));
        assert_eq!(between(46_120_000, 46_190_000), Some(46_150_000));
        assert_eq!(between(10_000_000, 10_010_000), Some(10_010_000));
        assert_eq!(between(10_011_000, 10_019_000), None);
    }
}
