//! A length with how far it may be off and where that is known from. Does not know what part it belongs to.

use std::fmt;

use super::{Deviations, Extent, Length};
use serde::{Deserialize, Serialize};

/// Where a dimension comes from, best known first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Origin {
    /// The author gave the deviations.
    Stated,
    /// Read with a caliper; the deviations are the caliper's uncertainty.
    Measured,
    /// The author named a standard class: `28.6 h9`.
    Class,
    /// A bare number; the book's default class for that kind of surface was taken.
    Assumed,
}

impl Origin {
    pub fn word(self) -> &'static str {
        match self {
            Origin::Stated => "stated",
            Origin::Measured => "measured",
            Origin::Class => "class",
            Origin::Assumed => "assumed",
        }
    }
}

impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// A toleranced length. `lower <= upper` and `least() >= 0` hold for everything that was read.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Dimension {
    pub nominal: Length,
    /// Signed, from the nominal.
    pub lower: Length,
    /// Signed, from the nominal.
    pub upper: Length,
    pub origin: Origin,
    /// As the author wrote it, without spaces at its ends.
    pub written: String,
}

impl Dimension {
    pub fn new(
        nominal: Length,
        deviations: Deviations,
        origin: Origin,
        written: impl Into<String>,
    ) -> Dimension {
        let (lower, upper) = (deviations.lower(), deviations.upper());
        Dimension { nominal, lower, upper, origin, written: written.into() }
    }

    /// A length that has no deviations at all: nothing there, or a height chosen by the rule.
    pub fn exactly(nominal: Length) -> Dimension {
        Dimension::new(nominal, Deviations::NONE, Origin::Stated, nominal.to_string())
    }

    pub fn least(&self) -> Length {
        self.nominal + self.lower
    }

    pub fn most(&self) -> Length {
        self.nominal + self.upper
    }

    /// `None` only for a value put together by hand with its deviations the wrong way round.
    pub fn extent(&self) -> Option<Extent> {
        Extent::new(self.least(), self.most())
    }
}

/// As the author wrote it.
impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.written)
    }
}
