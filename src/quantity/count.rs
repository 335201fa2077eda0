//! How many of something. Not a length, not money.

use std::fmt;

use super::Misread;

/// A whole number of things.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Count(pub u32);

impl Count {
    /// Reads `0` to `1000000`, digits only.
    pub fn read(text: &str) -> Result<Count, Misread> {
        let word = text.trim();
        let start = text.len() - text.trim_start().len();
        let digits = !word.is_empty() && word.bytes().all(|b| b.is_ascii_digit());
        let count = word.parse().ok().filter(|n| digits && *n <= 1_000_000);
        count.map(Count).ok_or_else(|| {
            Misread::new(
                start..start + word.len(),
                format!("\"{word}\" is not a count"),
                "a whole number from 0 to 1000000",
                "write digits only",
            )
        })
    }
}

impl fmt::Display for Count {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_whole_numbers_are_counts() {
        assert_eq!(Count::read(" 12 "), Ok(Count(12)));
        for wrong in ["", "-1", "+1", "1.0", "1e3", "1000001", "99999999999", "two"] {
            assert!(Count::read(wrong).is_err(), "{wrong}");
        }
    }
}
