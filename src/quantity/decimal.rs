//! Decimal digits as whole numbers of a small unit, and a cursor over short texts. No floating point here.

use std::ops::Range;

/// Why digits were not a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fault {
    /// Neither digits nor digits, point, digits.
    NotANumber,
    /// Would be a number with a point for its comma.
    Comma,
    /// More decimals than the unit has.
    TooFine,
    TooLarge,
}

/// `28.575` with six places is 28,575,000. No sign; trailing zeros beyond the places are allowed.
pub(super) fn scaled(digits: &str, places: u32) -> Result<i64, Fault> {
    let (whole, part) = match digits.split_once('.') {
        Some((_, "")) => return Err(Fault::NotANumber),
        Some(pair) => pair,
        None => (digits, ""),
    };
    let all_digits = |t: &str| t.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty() || !all_digits(whole) || !all_digits(part) {
        let pointed = digits.replacen(',', ".", 1);
        let comma = digits.contains(',') && scaled(&pointed, places) != Err(Fault::NotANumber);
        return Err(if comma { Fault::Comma } else { Fault::NotANumber });
    }
    let kept = part.trim_end_matches('0');
    if kept.len() > places as usize {
        return Err(Fault::TooFine);
    }
    let padded = format!("{whole}{kept:0<width$}", width = places as usize);
    padded.parse().map_err(|_| Fault::TooLarge)
}

/// A cursor over one short text; positions are bytes.
#[derive(Clone)]
pub(super) struct Scan<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Scan<'a> {
    pub(super) fn new(text: &'a str) -> Scan<'a> {
        Scan { text, at: 0 }
    }

    pub(super) fn at(&self) -> usize {
        self.at
    }

    /// All that stands before a place in the text.
    pub(super) fn before(&self, at: usize) -> &'a str {
        &self.text[..at]
    }

    pub(super) fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    pub(super) fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    /// Everything still unread, without spaces at its end.
    pub(super) fn rest_range(&self) -> Range<usize> {
        self.at..self.at + self.rest().trim_end().len()
    }

    pub(super) fn skip_spaces(&mut self) {
        self.take(char::is_whitespace);
    }

    pub(super) fn take(&mut self, wanted: impl Fn(char) -> bool) -> &'a str {
        let rest = self.rest();
        let end = rest.find(|c| !wanted(c)).unwrap_or(rest.len());
        self.at += end;
        &rest[..end]
    }

    pub(super) fn eat(&mut self, word: &str) -> bool {
        let found = self.rest().starts_with(word);
        if found {
            self.at += word.len();
        }
        found
    }

    /// Eats `word` where no letter or digit follows it.
    pub(super) fn eat_word(&mut self, word: &str) -> bool {
        let ends = |rest: &str| !rest.starts_with(|c: char| c.is_alphanumeric());
        let found = self.rest().strip_prefix(word).is_some_and(ends);
        if found {
            self.at += word.len();
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_read_exactly_or_not_at_all() {
        assert_eq!(scaled("28.575", 6), Ok(28_575_000));
        assert_eq!(scaled("0.1", 6), Ok(100_000));
        assert_eq!(scaled("28.5750000000", 6), Ok(28_575_000));
        assert_eq!(scaled("28.5750001", 6), Err(Fault::TooFine));
        assert_eq!(scaled("28,6", 6), Err(Fault::Comma));
        assert_eq!(scaled("99999999999999", 6), Err(Fault::TooLarge));
        for wrong in ["", ".", "28.", ".5", "1.2.3", "-1", "+1", "1e3", "1_000", "٣", "1,2,3"] {
            assert_eq!(scaled(wrong, 6), Err(Fault::NotANumber), "{wrong}");
        }
    }

    #[test]
    fn a_word_is_not_eaten_out_of_a_longer_one() {
        let mut scan = Scan::new("inch");
        assert!(!scan.eat_word("in"));
        assert_eq!(scan.at(), 0);
        assert!(Scan::new("in±0.1").eat_word("in"));
    }
}
