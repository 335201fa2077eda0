//! How high one item stands above another, without what lies below both: that is the same for the two.
//!
//! Must not know what the height is good for.

use super::Glance;
use super::figure::Figure;
use smallvec::SmallVec;

/// What an item surely stands on, and its bottom above the other's.
pub type Standing = (u8, Figure);

impl Glance<'_> {
    /// `upper`'s bottom above `lower`'s.
    pub(super) fn between(&self, upper: u8, lower: u8) -> Option<Figure> {
        if upper == lower {
            return Some(Figure::ZERO);
        }
        let (of_upper, of_lower) = (self.standings_of(upper), self.standings_of(lower));
        for (item, above) in &of_upper {
            if let Some((_, other)) = of_lower.iter().find(|(other, _)| other == item) {
                return Some(above.minus(*other));
            }
        }
        Some(self.bottom(upper)?.minus(self.bottom(lower)?))
    }

    /// The item and all that it surely stands on, one on the other, and its bottom above theirs.
    fn standings_of(&self, item: u8) -> SmallVec<[Standing; 12]> {
        let mut all: SmallVec<[Standing; 12]> = SmallVec::new();
        let mut next = Some((item, Figure::ZERO));
        while let Some((item, above)) = next {
            all.push((item, above));
            next = self.items[item as usize].on.map(|(under, over)| (under, above.plus(over)));
        }
        all
    }
}
