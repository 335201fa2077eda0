//! How readily a part of a kind is had in a size of its own, by the kind alone (common practice, no source): what a lathe makes in
//! an hour before what has to be ground, and both before what is only made by the thousand. Must not know any particular part.

/// Most readily first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ToOrder {
    /// Plain turned parts, and bolts, which are sold in every length.
    Turned,
    /// Rings with a seat.
    Rings,
    Bearings,
    /// Whatever is made by one maker for one purpose.
    Special,
}

const TABLE: &[(ToOrder, &[&str])] = &[
    (
        ToOrder::Turned,
        &["spacer", "riser", "shim", "liner", "bar-sleeve", "washer", "cap", "top-cap", "bolt"],
    ),
    (ToOrder::Rings, &["compression-ring", "crown-race"]),
    (ToOrder::Bearings, &["bearing"]),
    (
        ToOrder::Special,
        &["fork", "deck", "clamp", "star-nut", "bars", "quill", "threaded-race", "locknut", "custom"],
    ),
];

/// What is in no table is not ordered by its size.
pub fn to_order(kind: &str) -> ToOrder {
    TABLE.iter().find(|(_, kinds)| kinds.contains(&kind)).map_or(ToOrder::Special, |(order, _)| *order)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kinds::all;

    #[test]
    fn every_kind_stands_in_the_table_once_and_nothing_else() {
        let mut listed: Vec<&str> = TABLE.iter().flat_map(|(_, kinds)| kinds.iter().copied()).collect();
        let mut known: Vec<&str> = all().iter().map(|kind| kind.name).collect();
        listed.sort_unstable();
        known.sort_unstable();
        assert_eq!(listed, known);
    }
}
