//! Exact sums of money in one currency. Two currencies never add up. Must not know what is sold.

use std::cmp::Ordering;

use super::{Count, Currency};
use serde::{Deserialize, Serialize};

/// Whole minor units (cents) of one currency; negative for a saving.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Money {
    minor: i64,
    currency: Currency,
}

impl Money {
    pub fn minor(minor: i64, currency: Currency) -> Money {
        Money { minor, currency }
    }

    pub fn nothing(currency: Currency) -> Money {
        Money { minor: 0, currency }
    }

    pub fn as_minor(self) -> i64 {
        self.minor
    }

    /// Less or more, without saying which.
    pub fn without_sign(self) -> Money {
        Money { minor: self.minor.saturating_abs(), ..self }
    }

    pub fn currency(self) -> Currency {
        self.currency
    }

    /// `None` across currencies, or where the sum does not fit.
    pub fn plus(self, other: Money) -> Option<Money> {
        let minor = self.minor.checked_add(other.minor).filter(|_| self.currency == other.currency)?;
        Some(Money { minor, ..self })
    }

    /// `None` across currencies, or where the difference does not fit.
    pub fn minus(self, other: Money) -> Option<Money> {
        let minor = self.minor.checked_sub(other.minor).filter(|_| self.currency == other.currency)?;
        Some(Money { minor, ..self })
    }

    /// `None` where the product does not fit.
    pub fn times(self, count: Count) -> Option<Money> {
        Some(Money { minor: self.minor.checked_mul(i64::from(count.0))?, ..self })
    }

    /// `24.50`: a point, all decimals of the currency, no grouping and no sign of the currency. Reads back exactly.
    pub fn plain(self) -> String {
        let digits = usize::from(self.currency.digits());
        let sign = if self.minor < 0 { "-" } else { "" };
        let text = format!("{:0width$}", self.minor.unsigned_abs(), width = digits + 1);
        let (whole, part) = text.split_at(text.len() - digits);
        if part.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{part}") }
    }

    /// As a reader of `language` (a BCP 47 tag) expects it: `€24.50`, `24,50 €`. Spaces inside do not break.
    ///
    /// Known: en, de, de-AT, de-CH, fr, it, nl, after the common locale data, from memory. Any other language
    /// gets the plain number and the code: `24.50 EUR`.
    pub fn shown(self, language: &str) -> String {
        let Some(style) = Style::of(language) else {
            return format!("{}\u{a0}{}", self.plain(), self.currency);
        };
        let plain = self.plain();
        let unsigned = plain.trim_start_matches('-');
        let (whole, part) = unsigned.split_once('.').unwrap_or((unsigned, ""));
        let mut number = grouped(whole, style.group);
        if !part.is_empty() {
            number = format!("{number}{}{part}", style.decimal);
        }
        let name = self.currency.sign().filter(|_| style.signs).unwrap_or(self.currency.code());
        let minus = if self.minor < 0 { "-" } else { "" };
        match style.place {
            Place::Before if name.len() == 3 && name == self.currency.code() => {
                format!("{minus}{name}\u{a0}{number}")
            }
            Place::Before => format!("{minus}{name}{number}"),
            Place::BeforeWithSpace => format!("{minus}{name}\u{a0}{number}"),
            Place::After => format!("{minus}{number}\u{a0}{name}"),
        }
    }
}

/// Only within one currency.
impl PartialOrd for Money {
    fn partial_cmp(&self, other: &Money) -> Option<Ordering> {
        (self.currency == other.currency).then(|| self.minor.cmp(&other.minor))
    }
}

/// Where the sign of the currency stands. A code before a number is always set off by a space.
enum Place {
    Before,
    BeforeWithSpace,
    After,
}

struct Style {
    group: &'static str,
    decimal: &'static str,
    place: Place,
    /// Whether signs are used at all, or codes only.
    signs: bool,
}

impl Style {
    fn of(language: &str) -> Option<Style> {
        let tag = language.to_ascii_lowercase().replace('_', "-");
        let style = |group, decimal, place| Some(Style { group, decimal, place, signs: true });
        match (tag.as_str(), tag.split('-').next().unwrap_or("")) {
            ("de-ch" | "de-li", _) => {
                Some(Style { group: "\u{2019}", decimal: ".", place: Place::BeforeWithSpace, signs: false })
            }
            ("de-at", _) => style("\u{a0}", ",", Place::BeforeWithSpace),
            (_, "en") => style(",", ".", Place::Before),
            (_, "de" | "it") => style(".", ",", Place::After),
            (_, "fr") => style("\u{202f}", ",", Place::After),
            (_, "nl") => style(".", ",", Place::BeforeWithSpace),
            _ => None,
        }
    }
}

fn grouped(digits: &str, mark: &str) -> String {
    let mut out = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push_str(mark);
        }
        out.push(digit);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn money(minor: i64, code: &str) -> Money {
        Money::minor(minor, Currency::from_code(code).expect("a currency"))
    }

    #[test]
    fn each_language_has_its_own_marks_and_places() {
        let shown = |code, language| money(1_234_567, code).shown(language);
        assert_eq!(shown("EUR", "en"), "€12,345.67");
        assert_eq!(shown("GBP", "en-GB"), "£12,345.67");
        assert_eq!(shown("CHF", "en"), "CHF\u{a0}12,345.67");
        assert_eq!(shown("EUR", "de"), "12.345,67\u{a0}€");
        assert_eq!(shown("CHF", "de-DE"), "12.345,67\u{a0}CHF");
        assert_eq!(shown("EUR", "de-AT"), "€\u{a0}12\u{a0}345,67");
        assert_eq!(shown("EUR", "de-CH"), "EUR\u{a0}12\u{2019}345.67");
        assert_eq!(shown("EUR", "fr"), "12\u{202f}345,67\u{a0}€");
        assert_eq!(shown("EUR", "nl"), "€\u{a0}12.345,67");
        assert_eq!(shown("JPY", "en"), "¥1,234,567");
        assert_eq!(shown("KWD", "fr"), "1\u{202f}234,567\u{a0}KWD");
        assert_eq!(shown("EUR", "xx"), "12345.67\u{a0}EUR");
    }

    #[test]
    fn small_and_negative_sums_keep_their_zeros() {
        assert_eq!(money(5, "EUR").plain(), "0.05");
        assert_eq!(money(-5, "EUR").shown("en"), "-€0.05");
        assert_eq!(money(0, "JPY").plain(), "0");
        assert_eq!(money(100_000, "EUR").shown("de"), "1.000,00\u{a0}€");
        assert_eq!(money(i64::MIN, "EUR").plain(), "-92233720368547758.08");
    }

    #[test]
    fn two_currencies_neither_add_nor_compare() {
        let (euros, pounds) = (money(100, "EUR"), money(100, "GBP"));
        assert_eq!(euros.plus(pounds), None);
        assert_eq!(euros.minus(pounds), None);
        assert_eq!(euros.partial_cmp(&pounds), None);
        assert_eq!(euros.plus(euros), Some(money(200, "EUR")));
        assert_eq!(euros.times(Count(3)), Some(money(300, "EUR")));
        assert_eq!(money(i64::MAX, "EUR").plus(euros), None);
        assert_eq!(money(i64::MAX, "EUR").times(Count(2)), None);
    }
}
