//! Ways in which a size, a thread, a torque and the like are written, each with an example that its own reader reads.

/// One way of writing a quantity.
pub struct Form {
    /// `size`, `length`, `thread`, `torque`, `angle`, `price`.
    pub of: &'static str,
    pub example: &'static str,
    pub about: &'static str,
}

const fn form(of: &'static str, example: &'static str, about: &'static str) -> Form {
    Form { of, example, about }
}

/// In the order in which they are told.
pub static FORMS: [Form; 24] = [
    form("size", "28.6", "millimetres; the class that [assumed] in the shop's file gives to such a surface"),
    form("size", "28.6 ±0.05", "deviations as stated, the same either way"),
    form("size", "28.6 +0/-0.1", "deviations as stated, the upper first"),
    form("size", "28.6 h9", "a class of ISO 286: small letters for outsides, capital letters for bores"),
    form("size", "28.6 iso2768-m", "a general class of ISO 2768-1: f, m, c or v"),
    form("size", "28.55 to 28.60", "from least to most, as a maker states it"),
    form("size", "28.55 to 28.60 measured", "the smallest and the largest that a caliper showed on several"),
    form("size", "28.55 measured", "read with a caliper: as sure as [caliper] in the shop's file says"),
    form("size", "28.58 ±0.02 measured", "read, and how sure that reading is"),
    form("size", "1.125 in ±0.005", "inches, exact; the unit holds for what follows, too"),
    form("size", "1-1/8 in", "a fraction of an inch"),
    form("size", "1 1/8\"", "the same"),
    form("length", "28.6", "millimetres, without a tolerance"),
    form("length", "28.6 mm", "the same"),
    form("length", "1-1/8 in", "inches"),
    form("thread", "M8", "ISO metric, coarse"),
    form("thread", "M8x1", "ISO metric, by its pitch"),
    form("thread", "1-1/8 in x 26 tpi", "by diameter and threads to the inch"),
    form("torque", "8 N m", "newton metres"),
    form("torque", "6-8 N m", "from least to most"),
    form("angle", "45", "degrees, the half angle of a cone against the axis"),
    form("angle", "45 deg", "the same"),
    form("price", "6.50", "in the shop's currency"),
    form("price", "6", "the same, without its smaller unit"),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{
        Angle, Currency, Defaults, Nature, Thread, TorqueRange, read_dimension, read_length, read_money,
    };

    #[test]
    fn every_way_that_the_reference_tells_is_read() {
        let defaults = Defaults::usual().unwrap();
        for form in &FORMS {
            let text = form.example;
            let read = match form.of {
                "size" => read_dimension(text, Nature::Outside, &defaults).map(drop),
                "length" => read_length(text).map(drop),
                "thread" => Thread::read(text).map(drop),
                "torque" => TorqueRange::read(text).map(drop),
                "angle" => Angle::read(text).map(drop),
                "price" => read_money(text, Currency::from_code("EUR").unwrap()).map(drop),
                other => panic!("{other}"),
            };
            assert!(read.is_ok(), "{}: {text}: {:?}", form.of, read.err());
        }
    }
}
