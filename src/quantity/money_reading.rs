//! Reads prices: strictly as an author writes them, loosely as tills export them. Guesses nothing.

use super::decimal::{Fault, scaled};
use super::{Currency, Misread, Money};

/// Over this many minor units a price is a slip of the keyboard.
const HIGHEST: i64 = 1_000_000_000_000;

/// Reads `24.50` or `24`. Refused: signs, grouping, a comma, more decimals than the currency has.
pub fn read_money(text: &str, currency: Currency) -> Result<Money, Misread> {
    let number = text.trim();
    read_plain(number, currency).map_err(|fault| refuse(text, currency, fault, number))
}

/// Also reads `24,50`, `1.234,50`, `1 234,50`, `1'234.50`, with the currency's code or sign before or behind.
/// Refused: another currency's code or sign, a negative price, uneven groups, and `1,234`, which could be either.
pub fn read_money_loose(text: &str, currency: Currency) -> Result<Money, Misread> {
    let bare = without_currency(text.trim(), currency);
    let number = match plain_form(bare, currency) {
        Ok(number) => number,
        Err(Odd::Ambiguous) => {
            let plain = bare.replace([',', '.'], "");
            return Err(Misread::new(
                trimmed(text),
                format!("\"{bare}\" could be {plain} or a number with three decimals"),
                "a price that reads one way only",
                format!("write {plain}{}", if currency.digits() == 0 { "" } else { ".00" }),
            ));
        }
        Err(Odd::Uneven) => return Err(refuse(text, currency, Fault::NotANumber, bare)),
    };
    read_plain(&number, currency).map_err(|fault| refuse(text, currency, fault, &number))
}

fn read_plain(number: &str, currency: Currency) -> Result<Money, Fault> {
    let minor = scaled(number, u32::from(currency.digits()))?;
    if minor > HIGHEST { Err(Fault::TooLarge) } else { Ok(Money::minor(minor, currency)) }
}

fn without_currency(text: &str, currency: Currency) -> &str {
    for name in [Some(currency.code()), currency.sign()].into_iter().flatten() {
        if let Some(rest) = text.strip_prefix(name).or_else(|| text.strip_suffix(name)) {
            return rest.trim();
        }
    }
    text
}

enum Odd {
    Ambiguous,
    Uneven,
}

/// The number with a point and without grouping. What is no number at all comes out as it went in.
fn plain_form(text: &str, currency: Currency) -> Result<String, Odd> {
    let is_mark = |c: char| matches!(c, '.' | ',');
    let (whole, part) = match text.rfind(is_mark) {
        None => (text, None),
        Some(last) => {
            let (mark, before) = (&text[last..last + 1], &text[..last]);
            let behind = &text[last + 1..];
            let grouping = before.contains(mark);
            let alone = !before.contains(is_mark);
            if alone && could_group(before, behind) && currency.digits() > 0 {
                return Err(Odd::Ambiguous);
            }
            let as_group = grouping || (alone && could_group(before, behind));
            if as_group { (text, None) } else { (before, Some(behind)) }
        }
    };
    let whole = ungrouped(whole).ok_or(Odd::Uneven)?;
    Ok(part.map_or_else(|| whole.clone(), |p| format!("{whole}.{p}")))
}

/// Whether one mark between these could stand for a thousand.
fn could_group(before: &str, behind: &str) -> bool {
    behind.len() == 3 && (1..=3).contains(&before.len()) && !before.starts_with('0')
}

/// Without its grouping marks; `None` where they are of two kinds or the groups are uneven.
fn ungrouped(whole: &str) -> Option<String> {
    let Some(mark) = whole.chars().find(|c| !c.is_ascii_digit()) else {
        return Some(whole.to_string());
    };
    let known = matches!(mark, '.' | ',' | ' ' | '\u{a0}' | '\u{202f}' | '\u{2009}' | '\'' | '\u{2019}');
    let groups: Vec<&str> = whole.split(mark).collect();
    let even = groups.iter().skip(1).all(|g| g.len() == 3);
    let first = groups.first().is_some_and(|g| (1..=3).contains(&g.len()));
    let digits = groups.iter().all(|g| g.bytes().all(|b| b.is_ascii_digit()));
    (known && even && first && digits).then(|| groups.concat())
}

fn refuse(text: &str, currency: Currency, fault: Fault, number: &str) -> Misread {
    let quoted = format!("\"{}\"", text.trim());
    let (fact, mend) = match fault {
        Fault::Comma => (format!("{quoted} has a comma"), format!("write {}", number.replacen(',', ".", 1))),
        Fault::TooFine => (format!("{quoted} has more decimals than {currency}"), "round it".to_string()),
        Fault::TooLarge => (format!("{quoted} is too much"), "check the price".to_string()),
        Fault::NotANumber => {
            (format!("{quoted} is not a price in {currency}"), "write digits: 24.50".to_string())
        }
    };
    let decimals = currency.digits();
    Misread::new(trimmed(text), fact, format!("digits, with at most {decimals} decimals"), mend)
}

fn trimmed(text: &str) -> std::ops::Range<usize> {
    let start = text.len() - text.trim_start().len();
    start..text.trim_end().len().max(start)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn currency(code: &str) -> Currency {
        Currency::from_code(code).expect("a currency")
    }

    fn loose(text: &str) -> Option<i64> {
        read_money_loose(text, currency("EUR")).ok().map(Money::as_minor)
    }

    #[test]
    fn an_author_writes_a_point_and_nothing_else() {
        let strict = |text| read_money(text, currency("EUR"));
        assert_eq!(strict(" 24.50 ").map(Money::as_minor), Ok(2_450));
        assert_eq!(strict("24.5").map(Money::as_minor), Ok(2_450));
        assert_eq!(strict("24").map(Money::as_minor), Ok(2_400));
        assert_eq!(strict("24,50").expect_err("a comma").mend, "write 24.50");
        for wrong in ["", "-1", "24.505", "1 234.50", "€24", "24 EUR", "1e3", "99999999999999999999"] {
            assert!(strict(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn tills_write_it_in_many_ways() {
        for text in [
            "1234.50",
            "1234,50",
            "1,234.50",
            "1.234,50",
            "1 234,50",
            "1\u{a0}234,50",
            "1\u{202f}234,50",
            "1'234.50",
            "1\u{2019}234.50",
            "€ 1234.50",
            "1.234,50 €",
            "EUR 1,234.50",
            "1 234.5 EUR",
        ] {
            assert_eq!(loose(text), Some(123_450), "{text}");
        }
        assert_eq!(loose("1.234.567,89"), Some(123_456_789));
        assert_eq!(loose("1.234.567"), Some(123_456_700));
        assert_eq!(loose("0,05"), Some(5));
    }

    #[test]
    fn what_could_be_read_two_ways_is_refused() {
        let refused = read_money_loose("1,234", currency("EUR")).expect_err("either");
        assert_eq!(refused.mend, "write 1234.00");
        assert!(read_money_loose("1.234", currency("KWD")).is_err());
        assert_eq!(read_money_loose("1,234", currency("JPY")).map(Money::as_minor), Ok(1_234));
    }

    #[test]
    fn what_is_no_price_is_refused() {
        for text in [
            "",
            "EUR",
            "-5,00",
            "1,23,456.00",
            "1.2345,00",
            "1'234 567.00",
            "12345.678",
            "0.125",
            "1,,5",
            "1..5",
            ",50",
            "5,",
            "£5",
            "5 GBP",
            "1,234.50 x",
            "€€5",
            "１２",
            "1.2,3.4",
        ] {
            let refused = read_money_loose(text, currency("EUR")).expect_err(text);
            assert!(text.get(refused.at).is_some(), "{text}");
        }
    }
}
