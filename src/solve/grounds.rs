//! What it rests on that nothing better comes of a beginning.
//!
//! Must not know how it was found.

use crate::assembly::{ALL, Slots};
use std::ops::{BitAnd, BitOr, BitOrAssign};

/// With the same contents of all these slots nothing better comes of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Grounds {
    /// It rests on what these hold.
    pub held: Slots,
    /// On no more than what these cost: with something there that costs as much or more, nothing better comes of it either.
    pub paid: Slots,
}

impl Grounds {
    pub const ALL: Grounds = Grounds { held: ALL, paid: 0 };

    pub fn all(self) -> Slots {
        self.held | self.paid
    }
}

impl From<Slots> for Grounds {
    fn from(held: Slots) -> Grounds {
        Grounds { held, paid: 0 }
    }
}

impl BitOr for Grounds {
    type Output = Grounds;

    fn bitor(self, other: Grounds) -> Grounds {
        Grounds { held: self.held | other.held, paid: self.paid | other.paid }
    }
}

impl BitOrAssign for Grounds {
    fn bitor_assign(&mut self, other: Grounds) {
        *self = *self | other;
    }
}

impl BitAnd<Slots> for Grounds {
    type Output = Grounds;

    fn bitand(self, slots: Slots) -> Grounds {
        Grounds { held: self.held & slots, paid: self.paid & slots }
    }
}
