//! Currencies by their ISO 4217 code. Must not know how a language writes them.

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;

use super::Misread;

/// A currency in use, with the decimals of its smaller unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Currency {
    code: &'static str,
    digits: u8,
}

/// ISO 4217, from memory: codes by the number of decimals.
const WITHOUT_DECIMALS: &[&str] = &[
    "BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "VND", "VUV", "XAF", "XOF",
    "XPF",
];
const WITH_THREE: &[&str] = &["BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"];
const WITH_TWO: &[&str] = &[
    "AED", "AFN", "ALL", "AMD", "AOA", "ARS", "AUD", "AWG", "AZN", "BAM", "BBD", "BDT", "BMD", "BND", "BOB",
    "BRL", "BSD", "BTN", "BWP", "BYN", "BZD", "CAD", "CDF", "CHF", "CNY", "COP", "CRC", "CUP", "CVE", "CZK",
    "DKK", "DOP", "DZD", "EGP", "ERN", "ETB", "EUR", "FJD", "FKP", "GBP", "GEL", "GHS", "GIP", "GMD", "GTQ",
    "GYD", "HKD", "HNL", "HTG", "HUF", "IDR", "ILS", "INR", "IRR", "JMD", "KES", "KGS", "KHR", "KPW", "KYD",
    "KZT", "LAK", "LBP", "LKR", "LRD", "LSL", "MAD", "MDL", "MGA", "MKD", "MMK", "MNT", "MOP", "MRU", "MUR",
    "MVR", "MWK", "MXN", "MYR", "MZN", "NAD", "NGN", "NIO", "NOK", "NPR", "NZD", "PAB", "PEN", "PGK", "PHP",
    "PKR", "PLN", "QAR", "RON", "RSD", "RUB", "SAR", "SBD", "SCR", "SDG", "SEK", "SGD", "SHP", "SLE", "SOS",
    "SRD", "SSP", "STN", "SVC", "SYP", "SZL", "THB", "TJS", "TMT", "TOP", "TRY", "TTD", "TWD", "TZS", "UAH",
    "USD", "UYU", "UZS", "VES", "WST", "XCD", "YER", "ZAR", "ZMW",
];

impl Currency {
    /// Reads `EUR`; three capital letters, a currency in use.
    pub fn read(text: &str) -> Result<Currency, Misread> {
        let word = text.trim();
        let start = text.len() - text.trim_start().len();
        Currency::from_code(word).ok_or_else(|| {
            let plain = word.to_uppercase();
            let meant = match plain.as_str() {
                "£" | "POUND" | "POUNDS" | "STERLING" => "GBP",
                "$" | "US$" | "DOLLAR" | "DOLLARS" => "USD",
                "¥" | "YEN" => "JPY",
                "FR" | "SFR" | "FRANKEN" => "CHF",
                _ => Currency::from_code(&plain).map_or("EUR", Currency::code),
            };
            Misread::new(
                start..start + word.len(),
                format!("\"{word}\" is not a currency code"),
                "an ISO 4217 code, three capital letters: EUR, GBP, USD",
                format!("write {meant}"),
            )
        })
    }

    pub fn from_code(code: &str) -> Option<Currency> {
        [(WITHOUT_DECIMALS, 0), (WITH_TWO, 2), (WITH_THREE, 3)].into_iter().find_map(|(codes, digits)| {
            let code = *codes.iter().find(|c| **c == code)?;
            Some(Currency { code, digits })
        })
    }

    pub fn code(self) -> &'static str {
        self.code
    }

    /// Decimals of the smaller unit: 2 for EUR, 0 for JPY, 3 for KWD.
    pub fn digits(self) -> u8 {
        self.digits
    }

    /// The sign that stands for this currency alone; `None` where the code must do.
    pub fn sign(self) -> Option<&'static str> {
        match self.code {
            "EUR" => Some("€"),
            "GBP" => Some("£"),
            "USD" => Some("$"),
            "JPY" => Some("¥"),
            _ => None,
        }
    }
}

/// As its code.
impl Serialize for Currency {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        self.code.serialize(to)
    }
}

impl<'d> Deserialize<'d> for Currency {
    fn deserialize<D: Deserializer<'d>>(from: D) -> Result<Currency, D::Error> {
        let code = String::deserialize(from)?;
        Currency::from_code(&code).ok_or_else(|| D::Error::custom("no currency code"))
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_code_is_listed_once() {
        let mut all: Vec<_> = [WITHOUT_DECIMALS, WITH_TWO, WITH_THREE].concat();
        let count = all.len();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), count);
        assert!(all.iter().all(|c| c.len() == 3 && c.bytes().all(|b| b.is_ascii_uppercase())));
    }

    #[test]
    fn only_capital_codes_in_use_are_read() {
        assert_eq!(Currency::read("EUR").map(Currency::digits), Ok(2));
        assert_eq!(Currency::read(" JPY ").map(Currency::digits), Ok(0));
        for wrong in ["eur", "€", "EURO", "", "ABC"] {
            assert!(Currency::read(wrong).is_err(), "{wrong}");
        }
    }
}
