//! What a part drawn ring by ring may hold, as tables: read by its reader and told by the reference. Must not know why a
//! shop draws one so.

use crate::base::Holds::{Choice, Number, Size, Tables, Text};
use crate::base::Wanted::{Always, Else, Where};
use crate::base::{Layout, key};

pub static COLUMN: Layout = Layout {
    name: "column",
    header: "[[part.column]]",
    place: "below a part of the kind custom",
    about: "rings on top of each other, from the bottom up",
    keys: &[
        key("name", Text, Always, "the column, as the kind it stands as calls it", "\"body\""),
        key("start", Size, Else("\"0\""), "the part's bottom to the first ring's", "\"0\""),
        key("ring", Tables(&RING), Always, "its rings", "[[part.column.ring]]"),
    ],
    also: &[],
};

pub static RING: Layout = Layout {
    name: "ring",
    header: "[[part.column.ring]]",
    place: "below a column",
    about: "one ring: how high it is, and a wall inside and outside, each a cylinder, a cone or a thread",
    keys: &[
        key("length", Size, Always, "how high the ring is", "\"6 ±0.05\""),
        key("bore_surface", Text, Else("\"bore\""), "what rule files call its inside", "\"inside\""),
        key("bore", Size, Where("its inside is a cylinder"), "diameter of the hole; 0 where there is none", "\"28.8 ±0.05\""),
        key("bore_bottom", Size, Where("its inside is a cone told by its lower end"), "diameter of the hole at the bottom", "\"30 ±0.05\""),
        key("bore_top", Size, Where("its inside is a cone told by its upper end"), "diameter of the hole at the top", "\"34 ±0.05\""),
        key("bore_thread", Text, Where("its inside is a thread"), "the thread", "\"M8\""),
        key("bore_angle", Number, Where("its inside is a cone"), "half angle against the axis, degrees", "\"45\""),
        key("bore_opens", Choice(&["wider", "narrower"]), Where("its inside is a cone"), "how it runs, from below upward", "\"wider\""),
        key("outside_surface", Text, Else("\"outside\""), "what rule files call its outside", "\"outside\""),
        key("outside", Size, Where("its outside is a cylinder"), "diameter", "\"31.75 +0/-0.05\""),
        key("outside_bottom", Size, Where("its outside is a cone told by its lower end"), "diameter at the bottom", "\"34.6 ±0.03\""),
        key("outside_top", Size, Where("its outside is a cone told by its upper end"), "diameter at the top", "\"30.6 ±0.03\""),
        key("outside_thread", Text, Where("its outside is a thread"), "the thread", "\"M8\""),
        key("outside_angle", Number, Where("its outside is a cone"), "half angle against the axis, degrees", "\"45\""),
        key("outside_opens", Choice(&["wider", "narrower"]), Where("its outside is a cone"), "how it runs, from below upward", "\"narrower\""),
    ],
    also: &[],
};
