//! Two lengths in order: an extent a size may have, or deviations from a nominal. Never unordered.

use super::Length;

/// From `least` to `most`, both included; `least <= most` always.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Extent {
    least: Length,
    most: Length,
}

impl Extent {
    /// `None` where `least` is over `most`.
    pub fn new(least: Length, most: Length) -> Option<Extent> {
        (least <= most).then_some(Extent { least, most })
    }

    pub fn exactly(length: Length) -> Extent {
        Extent { least: length, most: length }
    }

    pub fn least(self) -> Length {
        self.least
    }

    pub fn most(self) -> Length {
        self.most
    }

    pub fn width(self) -> Length {
        self.most - self.least
    }

    pub fn holds(self, length: Length) -> bool {
        self.least <= length && length <= self.most
    }

    /// What both have; `None` where they share nothing. Touching ends share one length.
    pub fn common(self, other: Extent) -> Option<Extent> {
        Extent::new(self.least.max(other.least), self.most.min(other.most))
    }

    /// The smallest extent that holds both.
    pub fn hull(self, other: Extent) -> Extent {
        Extent { least: self.least.min(other.least), most: self.most.max(other.most) }
    }
}

/// Signed deviations from a nominal; `lower <= upper` always.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Deviations {
    lower: Length,
    upper: Length,
}

impl Deviations {
    pub const NONE: Deviations = Deviations { lower: Length::ZERO, upper: Length::ZERO };

    /// `None` where `lower` is over `upper`.
    pub fn new(lower: Length, upper: Length) -> Option<Deviations> {
        (lower <= upper).then_some(Deviations { lower, upper })
    }

    /// As far either way; the sign of `half` does not matter.
    pub fn symmetrical(half: Length) -> Deviations {
        let half = half.max(-half);
        Deviations { lower: -half, upper: half }
    }

    /// From `lower` upwards by `width`; the sign of `width` does not matter.
    pub(super) fn upwards(lower: Length, width: Length) -> Deviations {
        Deviations { lower, upper: lower + width.max(-width) }
    }

    /// From `upper` downwards by `width`; the sign of `width` does not matter.
    pub(super) fn downwards(upper: Length, width: Length) -> Deviations {
        Deviations { lower: upper - width.max(-width), upper }
    }

    pub fn lower(self) -> Length {
        self.lower
    }

    pub fn upper(self) -> Length {
        self.upper
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn extent(least: i64, most: i64) -> Extent {
        Extent::new(Length::mm(least), Length::mm(most)).expect("ordered")
    }

    #[test]
    fn an_unordered_extent_does_not_exist() {
        assert_eq!(Extent::new(Length::mm(2), Length::mm(1)), None);
        assert_eq!(Deviations::new(Length::um(1), Length::ZERO), None);
    }

    #[test]
    fn touching_extents_share_one_length_and_parted_ones_none() {
        assert_eq!(extent(1, 2).common(extent(2, 3)), Some(extent(2, 2)));
        assert_eq!(extent(1, 2).common(extent(3, 4)), None);
        assert_eq!(extent(1, 2).hull(extent(3, 4)), extent(1, 4));
    }
}
