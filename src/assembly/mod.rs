//! One stack in, numbers out: half-sections, landings, clearances, load path, checks.
//!
//! Uses `quantity`, `kinds`, `catalogue`, `rules`. Must not choose parts.

mod report;

pub use report::{
    Check, Contact, Demand, ItemDim, ItemIx, MateWith, Mating, Outcome, Placed, PlacedColumn, PlacedCut,
    PlacedSegment, PlacedWall, PutOnWord, Stack, Support, Value, Window,
};
