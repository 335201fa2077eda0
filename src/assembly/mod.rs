//! One stack in, numbers out: half-sections, landings, clearances, load path, checks.
//!
//! Uses `quantity`, `kinds`, `catalogue`, `rules`. Must not choose parts.

mod blame;
mod build;
mod case;
mod check_items;
mod choose;
mod drift;
mod export;
mod given;
mod glance;
mod grip;
mod judge;
mod key_way;
mod land;
mod ledger;
mod links;
mod loose;
mod meet;
mod multipliers;
mod piece;
mod place;
mod push;
mod report;
mod rims;
mod set_in;
mod slits;
mod split;
mod still;
mod way_down;
mod zone;

pub use blame::{ALL, Blame, Slots, bit};
pub use build::{Build, Pick, Setting};
pub use export::{assemble, assemble_knowing, seat_dims, stack};
pub use glance::{Alike, Glance, Learned, Look, NameIx, Narrowed, OfRule, Outline, Readies};
pub use judge::{Early, Judgement, early, judge};
pub use place::{alike_at_nominal, alike_turned};
pub use push::gaps;
pub use report::{
    Check, Contact, Demand, ItemDim, ItemIx, MateWith, Mating, Outcome, Placed, PlacedColumn, PlacedCut,
    PlacedSegment, PlacedWall, PutOnWord, Stack, Support, Supposed, Value, Window,
};
pub use way_down::{rings, way_down};

/// Strengths of materials and the engagement they ask for, from the shop's data.
pub trait Strengths {
    /// Engaged length of thread needed so that the bolt breaks before the thread strips. A class or material that the
    /// data does not give is the one that is worst for this; `None`: the limits of such a thread are not known.
    fn engagement_needed(
        &self,
        male: &crate::kinds::Shape,
        female: &crate::kinds::Shape,
    ) -> Option<crate::quantity::Length>;

    /// Which class and which material were taken for want of a datum.
    fn supposed(
        &self,
        _male: &crate::kinds::Shape,
        _female: &crate::kinds::Shape,
    ) -> (Option<crate::quantity::PropertyClass>, Option<String>) {
        (None, None)
    }
}
