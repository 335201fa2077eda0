//! What a person can read with a caliper, and what can be seen, on a bare fork. Must not know any particular fork.

use super::{NO_SURFACE, Shape};

/// A field of the fork that a caliper reaches with nothing taken apart but what comes off by hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BareReading {
    pub field: &'static str,
    /// The surface without which the reading has no meaning; `None`: every fork has it.
    pub carried_by: Option<&'static str>,
}

const fn on_any(field: &'static str) -> BareReading {
    BareReading { field, carried_by: None }
}

const fn on(surface: &'static str, field: &'static str) -> BareReading {
    BareReading { field, carried_by: Some(surface) }
}

/// The easiest to take first. Left out: what lies between the legs (the crown's height and floor), what no rod
/// reaches (an insert's length and floor) and steps too low for a jaw (the seat's and the race's heights).
pub const BARE_READINGS: [BareReading; 10] = [
    on_any("steerer_outside"),
    on_any("steerer_length"),
    on_any("steerer_bore"),
    on("upper", "upper_outside"),
    on("upper", "upper_length"),
    on("thread", "thread_length"),
    on("insert-thread", "insert_depth"),
    on("bottom-bore", "bottom_bore"),
    on("seat", "seat_diameter"),
    on_any("crown_outside"),
];

/// Surfaces that a fork has or has not, seen without a tool; the plainest first.
pub const BARE_LOOKS: [&str; 5] = ["thread", "upper", "insert-thread", "bottom-bore", "race-cone"];

/// Surfaces whose thread can be tried with a screw or nut of the right size.
pub const BARE_THREADS: [&str; 2] = ["thread", "insert-thread"];

/// Whether the insert has a floor, felt with a rod; `None` where there is no insert.
pub fn insert_is_closed(fork: &Shape) -> Option<bool> {
    let insert = fork.columns.iter().find(|c| c.name == "insert")?;
    insert.segments.first().map(|lowest| lowest.bore.surface == NO_SURFACE)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kinds::{FieldType, find};

    #[test]
    fn every_reading_is_a_size_of_the_fork_and_every_look_a_surface_of_it() {
        let fork = find("fork").expect("forks are a kind");
        for reading in BARE_READINGS {
            let field = fork.field(reading.field).expect(reading.field);
            assert!(matches!(field.what, FieldType::Dimension(_)), "{}", reading.field);
            assert!(reading.carried_by.is_none_or(|surface| fork.role(surface).is_some()));
        }
        for surface in BARE_LOOKS.into_iter().chain(BARE_THREADS) {
            assert!(fork.role(surface).is_some(), "{surface}");
        }
    }

    /// Two forks that both have a size must first agree in the look that tells whether it is there.
    #[test]
    fn what_not_every_fork_has_can_be_seen() {
        for surface in BARE_READINGS.iter().filter_map(|r| r.carried_by).filter(|s| *s != "seat") {
            assert!(BARE_LOOKS.contains(&surface), "{surface}");
        }
        // A fork has a pressed seat or a race of its own, never both.
        assert!(BARE_LOOKS.contains(&"race-cone"));
    }
}
