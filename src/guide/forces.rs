//! Pulls of bolts as text: in kilonewtons to a tenth, a computed one always as the range it scatters over. Must not know
//! what a bolt may bear.

use super::words::Words;
use crate::quantity::Force;

/// "4.1 to 5.9 kN", outward.
pub fn scattered(words: &Words, (least, most): (Force, Force)) -> String {
    let (least, most) = (tenths(words, least.tenths_down()), tenths(words, most.tenths_up()));
    words.say("force.range", &[("least", &least), ("most", &most)])
}

/// "8.7 kN": no more than it is.
pub fn no_more_than(words: &Words, force: Force) -> String {
    words.say("force.value", &[("value", &tenths(words, force.tenths_down()))])
}

fn tenths(words: &Words, value: i64) -> String {
    format!("{}{}{}", value.div_euclid(10), words.word("number.decimal"), value.rem_euclid(10))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pull_is_a_range_rounded_outward_and_a_ceiling_is_rounded_down() {
        let words = Words::own();
        assert_eq!(scattered(&words, (Force::mn(4_157_401), Force::mn(5_842_598))), "4.1 to 5.9 kN");
        assert_eq!(scattered(&words, (Force::mn(4_100_000), Force::mn(5_900_000))), "4.1 to 5.9 kN");
        assert_eq!(no_more_than(&words, Force::mn(8_799_999)), "8.7 kN");
    }
}
