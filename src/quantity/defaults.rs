//! What a bare number is taken to mean: a standard class per kind of surface, and the caliper. Knows no particular book.

use std::fmt;

use super::{Deviations, GeneralClass, IsoClass, Length, Misread, Side};

/// The kind of surface that a dimension is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Nature {
    /// An inside diameter or width.
    Bore,
    /// An outside diameter or width.
    Outside,
    /// How deep something is, reached with the caliper's rod.
    Depth,
    /// A machined face to a machined face.
    Height,
    /// A cast or welded length.
    Cast,
}

impl Nature {
    pub const ALL: [Nature; 5] = [Nature::Bore, Nature::Outside, Nature::Depth, Nature::Height, Nature::Cast];

    pub fn word(self) -> &'static str {
        match self {
            Nature::Bore => "bore",
            Nature::Outside => "outside",
            Nature::Depth => "depth",
            Nature::Height => "height",
            Nature::Cast => "cast",
        }
    }

    pub fn from_word(word: &str) -> Option<Nature> {
        Nature::ALL.into_iter().find(|n| n.word() == word)
    }

    /// Whether it is toleranced as a hole (capital letters) or as a shaft (small letters).
    pub fn side(self) -> Side {
        match self {
            Nature::Bore | Nature::Depth => Side::Hole,
            Nature::Outside | Nature::Height | Nature::Cast => Side::Shaft,
        }
    }
}

/// A class named in a standard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StandardClass {
    /// ISO 2768-1.
    General(GeneralClass),
    /// ISO 286.
    Iso(IsoClass),
}

impl StandardClass {
    /// Reads `iso2768-m`, `h9`, `H8`, `js9`. A hole's letter on something measured outside, and the
    /// other way round, is refused; js and JS are the same everywhere.
    pub fn read(text: &str, nature: Nature) -> Result<StandardClass, Misread> {
        if let Some(general) = GeneralClass::from_word(text) {
            return Ok(StandardClass::General(general));
        }
        let lower = text.to_ascii_lowercase();
        if lower.starts_with("iso") {
            return Err(Misread::new(
                0..text.len(),
                format!("\"{text}\" is not a general tolerance class"),
                "iso2768-f, iso2768-m, iso2768-c or iso2768-v",
                "write iso2768-m",
            ));
        }
        let class = IsoClass::read(text)?;
        if class.side().is_some_and(|side| side != nature.side()) {
            let (is, wants) = match nature.side() {
                Side::Hole => ("a shaft's", "a capital letter"),
                Side::Shaft => ("a hole's", "a small letter"),
            };
            return Err(Misread::new(
                0..text.len(),
                format!("{class} is {is} class, but this size is of the kind \"{}\"", nature.word()),
                format!("{wants}, or js"),
                format!("write {}", class.other_side()),
            ));
        }
        Ok(StandardClass::Iso(class))
    }

    /// Refused for sizes that the standard's table does not cover.
    pub fn deviations(self, nominal: Length) -> Result<Deviations, Misread> {
        match self {
            StandardClass::General(class) => class.deviations(nominal),
            StandardClass::Iso(class) => class.deviations(nominal),
        }
    }
}

impl fmt::Display for StandardClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            StandardClass::General(class) => f.write_str(class.word()),
            StandardClass::Iso(class) => class.fmt(f),
        }
    }
}

/// How far a reading may be off, either way, per kind of jaw.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Caliper {
    pub outside: Length,
    pub inside: Length,
    pub depth: Length,
}

impl Caliper {
    /// 0.02 mm outside, 0.04 mm inside and depth: the limits of DIN 862 up to 100 mm, by a secondary page.
    pub const USUAL: Caliper =
        Caliper { outside: Length::um(20), inside: Length::um(40), depth: Length::um(40) };

    pub fn uncertainty(self, nature: Nature) -> Length {
        match nature {
            Nature::Outside | Nature::Height | Nature::Cast => self.outside,
            Nature::Bore => self.inside,
            Nature::Depth => self.depth,
        }
    }
}

/// The book's choice for everything that its authors left unsaid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Defaults {
    pub bore: StandardClass,
    pub outside: StandardClass,
    pub depth: StandardClass,
    pub height: StandardClass,
    pub cast: StandardClass,
    pub caliper: Caliper,
}

impl Defaults {
    /// From one class word per kind of surface; the first that cannot be read is named.
    pub fn from_words<'a>(
        word: impl Fn(Nature) -> &'a str,
        caliper: Caliper,
    ) -> Result<Defaults, (Nature, Misread)> {
        let read = |n: Nature| StandardClass::read(word(n).trim(), n).map_err(|m| (n, m));
        Ok(Defaults {
            bore: read(Nature::Bore)?,
            outside: read(Nature::Outside)?,
            depth: read(Nature::Depth)?,
            height: read(Nature::Height)?,
            cast: read(Nature::Cast)?,
            caliper,
        })
    }

    /// Turned diameters js9, faces fine, cast lengths coarse: common practice, no source.
    pub fn usual() -> Result<Defaults, (Nature, Misread)> {
        let word = |n| match n {
            Nature::Bore => "JS9",
            Nature::Outside => "js9",
            Nature::Depth | Nature::Height => "iso2768-f",
            Nature::Cast => "iso2768-c",
        };
        Defaults::from_words(word, Caliper::USUAL)
    }

    pub fn class(&self, nature: Nature) -> StandardClass {
        match nature {
            Nature::Bore => self.bore,
            Nature::Outside => self.outside,
            Nature::Depth => self.depth,
            Nature::Height => self.height,
            Nature::Cast => self.cast,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hole_class_on_an_outside_is_refused_with_the_small_letter_as_mend() {
        let refused = StandardClass::read("H8", Nature::Outside).expect_err("refused");
        assert_eq!(refused.mend, "write h8");
        let refused = StandardClass::read("h9", Nature::Bore).expect_err("refused");
        assert_eq!(refused.mend, "write H9");
        assert!(StandardClass::read("js9", Nature::Bore).is_ok());
    }

    #[test]
    fn defaults_name_the_surface_whose_class_is_wrong() {
        let word = |n| if n == Nature::Height { "iso2768-x" } else { "js9" };
        let (nature, refused) = Defaults::from_words(word, Caliper::USUAL).expect_err("refused");
        assert_eq!(nature, Nature::Height);
        assert!(refused.expected.contains("iso2768-v"));
        assert!(Defaults::usual().is_ok());
    }

    #[test]
    fn bores_and_depths_are_read_less_surely_than_outsides() {
        let usual = Caliper::USUAL;
        assert!(usual.uncertainty(Nature::Bore) > usual.uncertainty(Nature::Outside));
        assert!(usual.uncertainty(Nature::Depth) > usual.uncertainty(Nature::Height));
    }
}
