//! Lengths as a rider reads them, rounded so that print never says more than is known. Takes part in no verdict.

use super::words::Words;
use crate::assembly::{Check, Outcome, Value};
use crate::quantity::Length;

/// Decimals of a printed millimetre where nothing asks for more.
const PLACES: u32 = 2;
/// Of a size to be ordered so much of the proved range has to be left by rounding, percent.
const ROOM_KEPT: i64 = 60;

#[derive(Clone, Copy)]
pub struct Lengths<'a> {
    pub words: &'a Words,
}

impl Lengths<'_> {
    /// Nearest hundredth.
    pub fn one(&self, nanometres: i64) -> String {
        self.words.say("length.value", &[("value", &self.number(nanometres, PLACES))])
    }

    /// As written down by somebody: whole millimetres bare, else two decimals, more where they are needed.
    pub fn exact(&self, nanometres: i64) -> String {
        self.words.say("length.value", &[("value", &self.exact_number(nanometres))])
    }

    /// What to saw to: to the tenth, finer where it has to be.
    pub fn aim(&self, nanometres: i64) -> String {
        let places = (1..6).find(|&p| nanometres % step(p) == 0).unwrap_or(6);
        self.words.say("length.value", &[("value", &self.number(nanometres, places))])
    }

    /// Least rounded down, most rounded up: the real range lies inside the printed one.
    pub fn outward(&self, least: i64, most: i64) -> String {
        self.between(down(least, PLACES), up(most, PLACES), PLACES)
    }

    /// Least rounded up, most rounded down: the printed range lies inside the real one. `None` when nothing is left.
    pub fn inward(&self, least: i64, most: i64, places: u32) -> Option<String> {
        let (least, most) = (up(least, places), down(most, places));
        (least <= most).then(|| self.between(least, most, places))
    }

    /// Inward at two decimals, or at as many as leave something.
    pub fn inward_fine(&self, least: i64, most: i64) -> String {
        let found = (PLACES..=6).find_map(|places| self.inward(least, most, places));
        found.unwrap_or_else(|| self.outward(least, most))
    }

    /// As somebody orders a size: inward to tenths, or to half tenths, where a good part of the range is left, else as fine as it
    /// takes. `None`: open at both ends.
    pub fn orderable(&self, least: Option<i64>, most: Option<i64>) -> Option<String> {
        let (least, most) = match (least, most) {
            (Some(least), Some(most)) => (least, most),
            (Some(least), None) => return Some(self.at_least(self.number(up(least, 1), 1))),
            (None, Some(most)) => return Some(self.at_most(self.number(down(most, 1), 1))),
            (None, None) => return None,
        };
        let coarse = [100_000, 50_000].into_iter().find_map(|step| {
            let (from, to) = (-(-least).div_euclid(step) * step, most.div_euclid(step) * step);
            let left = (to - from) * 100 >= (most - least) * ROOM_KEPT;
            (from < to && left).then(|| self.between(from, to, if step == 100_000 { 1 } else { PLACES }))
        });
        Some(coarse.unwrap_or_else(|| self.inward_fine(least, most)))
    }

    /// A range that may be open at either side, rounded inward.
    pub fn open_inward(&self, least: Option<i64>, most: Option<i64>) -> Option<String> {
        match (least, most) {
            (Some(least), Some(most)) => self.inward(least, most, PLACES),
            (Some(least), None) => Some(self.at_least(self.number(up(least, PLACES), PLACES))),
            (None, Some(most)) => Some(self.at_most(self.number(down(most, PLACES), PLACES))),
            (None, None) => None,
        }
    }

    /// Rounded away from the middle, for "… or less".
    pub fn no_more_than(&self, nanometres: i64) -> String {
        self.words.say("length.value", &[("value", &self.number(down(nanometres, PLACES), PLACES))])
    }

    /// The same at so many decimals.
    pub fn up_to(&self, nanometres: i64, places: u32) -> String {
        self.words.say("length.value", &[("value", &self.number(down(nanometres, places), places))])
    }

    pub fn no_less_than(&self, nanometres: i64) -> String {
        self.words.say("length.value", &[("value", &self.number(up(nanometres, PLACES), PLACES))])
    }

    /// A check's range, outward, with as many decimals as it takes to show on which side of each limit it lies.
    pub fn value(&self, value: &Value, check: &Check) -> String {
        let limits: Vec<i64> = check.least.into_iter().chain(check.most).collect();
        let faithful = |places: u32| {
            let least = (value.least, down(value.least, places));
            let most = (value.most, up(value.most, places));
            [least, most].iter().all(|(real, shown)| limits.iter().all(|l| real.cmp(l) == shown.cmp(l)))
        };
        // As coarse as by how much it misses.
        let misses = |limit: &i64| value.most < limit - 1_000_000 || value.least > limit + 1_000_000;
        let fails = check.outcome == Outcome::Fail;
        let coarse = Some(1).filter(|&p| fails && limits.iter().any(misses) && faithful(p));
        let places = coarse.or_else(|| (PLACES..6).find(|&p| faithful(p))).unwrap_or(6);
        self.between(down(value.least, places), up(value.most, places), places)
    }

    /// "at least 30 mm", "0 to 0.30 mm"; `None`: no limit.
    pub fn limit(&self, least: Option<i64>, most: Option<i64>) -> Option<String> {
        match (least, most) {
            (Some(least), Some(most)) => {
                let (least, most) = (self.exact_number(least), self.exact_number(most));
                Some(self.words.say("length.range", &[("least", &least), ("most", &most)]))
            }
            (Some(least), None) => Some(self.at_least(self.exact_number(least))),
            (None, Some(most)) => Some(self.at_most(self.exact_number(most))),
            (None, None) => None,
        }
    }

    /// How far off: from a millimetre on to the tenth, and never printed as nothing.
    pub fn miss(&self, nanometres: i64) -> String {
        let places = Some(1).filter(|_| nanometres >= 1_000_000);
        let shows = |&p: &u32| Length::nm(nanometres).to_mm(p).contains(|c| ('1'..='9').contains(&c));
        let places = places.or_else(|| (PLACES..6).find(shows));
        let text = self.number(nanometres, places.unwrap_or(6));
        self.words.say("length.value", &[("value", &text)])
    }

    /// "at least 6.40 mm", where what it is at most says nothing.
    pub fn no_less(&self, nanometres: i64) -> String {
        self.at_least(self.number(down(nanometres, PLACES), PLACES))
    }

    fn at_least(&self, number: String) -> String {
        self.words.say("length.least", &[("value", &number)])
    }

    fn at_most(&self, number: String) -> String {
        self.words.say("length.most", &[("value", &number)])
    }

    fn between(&self, least: i64, most: i64, places: u32) -> String {
        let (least, most) = (self.number(least, places), self.number(most, places));
        if least == most {
            return self.words.say("length.value", &[("value", &least)]);
        }
        self.words.say("length.range", &[("least", &least), ("most", &most)])
    }

    fn exact_number(&self, nanometres: i64) -> String {
        let places = match nanometres {
            whole if whole % 1_000_000 == 0 => 0,
            other => (PLACES..6).find(|&p| other % step(p) == 0).unwrap_or(6),
        };
        self.number(nanometres, places)
    }

    fn number(&self, nanometres: i64, places: u32) -> String {
        Length::nm(nanometres).to_mm(places).replace('.', &self.words.word("number.decimal"))
    }
}

fn step(places: u32) -> i64 {
    10_i64.pow(6 - places.min(6))
}

fn down(nanometres: i64, places: u32) -> i64 {
    nanometres.div_euclid(step(places)) * step(places)
}

fn up(nanometres: i64, places: u32) -> i64 {
    -down(-nanometres, places)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assembly::Demand;

    fn check(least: Option<i64>, most: Option<i64>) -> Check {
        Check {
            demand: Demand::GapLeast,
            about: vec![],
            surfaces: vec![],
            value: None,
            least,
            most,
            outcome: Outcome::Measure,
            assumes: vec![],
            supposes: vec![],
            tried: None,
        }
    }

    fn shown(least: i64, most: i64, limit: i64) -> String {
        let words = Words::own();
        let value = Value { nominal: least, least, most, form: None };
        Lengths { words: &words }.value(&value, &check(Some(limit), None))
    }

    #[test]
    fn a_value_just_under_its_limit_never_prints_as_the_limit() {
        assert_eq!(shown(1_996_000, 4_300_000, 2_000_000), "1.99 to 4.30 mm");
        assert_eq!(shown(1_990_000, 1_999_600, 2_000_000), "1.9900 to 1.9996 mm");
    }

    #[test]
    fn a_range_of_one_value_prints_once() {
        assert_eq!(shown(500_000, 500_000, 100_000), "0.50 mm");
    }

    #[test]
    fn limits_print_as_written() {
        let words = Words::own();
        let lengths = Lengths { words: &words };
        assert_eq!(lengths.limit(Some(30_000_000), None).unwrap(), "at least 30 mm");
        assert_eq!(lengths.limit(Some(0), Some(300_000)).unwrap(), "0 to 0.30 mm");
        assert_eq!(lengths.limit(None, Some(5_125)).unwrap(), "at most 0.005125 mm");
        assert_eq!(lengths.limit(None, None), None);
    }

    #[test]
    fn a_promised_range_is_rounded_inward() {
        let words = Words::own();
        let lengths = Lengths { words: &words };
        assert_eq!(lengths.inward(92_010_000, 95_790_000, 1).unwrap(), "92.1 to 95.7 mm");
        assert_eq!(lengths.inward(92_010_000, 92_020_000, 1), None);
    }

    #[test]
    fn a_size_to_order_has_few_decimals_where_the_range_has_room_and_never_leaves_it() {
        let words = Words::own();
        let lengths = Lengths { words: &words };
        let told = |least, most| lengths.orderable(Some(least), Some(most)).unwrap();
        assert_eq!(told(21_312_000, 24_977_000), "21.4 to 24.9 mm");
        assert_eq!(told(26_412_000, 26_648_000), "26.45 to 26.60 mm");
        assert_eq!(told(26_412_000, 26_443_000), "26.42 to 26.44 mm");
        assert_eq!(lengths.orderable(Some(44_020_000), None).unwrap(), "at least 44.1 mm");
    }

    #[test]
    fn a_miss_is_never_printed_as_nothing() {
        let words = Words::own();
        let lengths = Lengths { words: &words };
        assert_eq!([lengths.miss(400_000), lengths.miss(300)], ["0.40 mm", "0.0003 mm"]);
    }
}
