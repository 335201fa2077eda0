//! How high one item stands above another, without what lies below both: that is the same for the two.
//!
//! Must not know what the height is good for.

use super::Glance;
use super::figure::Figure;

/// What an item surely stands on, and its bottom above the other's.
pub type Standing = (u8, Figure);

impl Glance<'_> {
    /// `upper`'s bottom above `lower`'s.
    pub(super) fn between(&self, upper: u8, lower: u8) -> Option<Figure> {
        // From the later of the two down to what it surely stands on, until both are at the same.
        let (mut one, mut other) = ((upper, Figure::ZERO), (lower, Figure::ZERO));
        while one.0 != other.0 {
            let later = if one.0 > other.0 { &mut one } else { &mut other };
            let Some((under, over)) = self.items[later.0 as usize].on else {
                return Some(self.bottom(upper)?.minus(self.bottom(lower)?));
            };
            *later = (under, later.1.plus(over));
        }
        Some(one.1.minus(other.1))
    }
}
