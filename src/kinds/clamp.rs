//! The clamp and the cap that is pulled down on it. Must not know what they hold.

use super::draft::{Draft, ring, wall};
use super::shape::Pinch;
use super::table::{
    Field, FieldType, Kind, Known, Role, bore, cast, depth, height, key_size, knurl, outside, thread, torque,
};
use crate::quantity::{Form, Nature, PropertyClass};

pub(super) const CLAMP: Kind = Kind {
    name: "clamp",
    about: "a slotted collar that its pinch bolts close on the bars, the steerer, or both",
    fields: &[
        bore("bore", "the lower half's bore, or the only one"),
        outside("outside", "the clamp's body, across"),
        height("length", "bottom face to top face"),
        cast("slot", "width of the cut over the whole length"),
        bore("upper_bore", "the upper half's bore").with("shelf"),
        bore("shelf_bore", "hole through the inner shelf").with("shelf"),
        height("shelf_height", "bottom of the clamp to the shelf's underside").with("shelf"),
        height("shelf_thickness", "the shelf, underside to top").with("shelf"),
        Field::new(
            "pinch_heights",
            FieldType::Dimensions(Nature::Height),
            "bottom of the clamp to each pinch bolt's axis",
        ),
        key_size("pinch_key", "key of the pinch bolts"),
        torque("pinch_torque", "the maker's torque for them"),
        thread("pinch_thread", "their thread").optional(),
        Field::new("pinch_class", FieldType::Choice(&PropertyClass::WORDS), "their property class")
            .optional(),
        cast("ear_reach", "how far the bolt ears stand out from the axis; for the drawing").optional(),
    ],
    surfaces: &[
        ("bore", Role::Bore),
        ("outside", Role::Outside),
        ("shelf", Role::Bore),
        ("upper-bore", Role::Bore),
    ],
    columns: &["body"],
    marks: &[],
    usual: &[
        ("bore", 200, 550),
        ("outside", 250, 1_000),
        ("length", 100, 2_000),
        ("slot", 4, 150),
        ("upper_bore", 200, 550),
        ("shelf_bore", 40, 450),
        ("shelf_height", 40, 1_600),
        ("shelf_thickness", 8, 400),
        ("pinch_heights", 15, 1_950),
        ("pinch_key", 20, 120),
        ("ear_reach", 130, 900),
    ],
    is: &[Known::Clamp],
    asked: &super::asked::CLAMP,
    build: clamp,
};

pub(super) const CAP: Kind = Kind {
    name: "cap",
    about: "the lid that the bolt pulls down; it may have a spigot below and a recess for the bolt's head",
    fields: &[
        outside("outside", "the plate, across"),
        height("thickness", "the plate, recess included"),
        bore("hole", "hole for the bolt"),
        outside("spigot_outside", "a boss below the plate").with("spigot"),
        height("spigot_depth", "how far that boss stands below the plate").with("spigot"),
        bore("recess_bore", "recess in the top for the bolt's head").with("recess"),
        depth("recess_depth", "how deep that recess is").with("recess"),
        knurl("how its rim is knurled; left out where it is smooth"),
    ],
    surfaces: &[
        ("outside", Role::Outside),
        ("hole", Role::Bore),
        ("spigot", Role::Outside),
        ("recess", Role::Bore),
    ],
    columns: &["body"],
    marks: &["spigot", "recess"],
    usual: &[
        ("outside", 120, 700),
        ("thickness", 8, 500),
        ("hole", 40, 250),
        ("spigot_outside", 70, 500),
        ("spigot_depth", 2, 500),
        ("recess_bore", 60, 450),
        ("recess_depth", 2, 400),
    ],
    is: &[],
    asked: &super::asked::CAP,
    build: cap,
};

fn clamp(draft: &mut Draft) {
    let length = draft.dim("length");
    let outside = wall("outside", &draft.dim("outside"));
    let lower = wall("bore", &draft.dim("bore"));
    let upper = draft.maybe("upper_bore").zip(draft.maybe("shelf_bore"));
    let shelf = draft.maybe("shelf_height").zip(draft.maybe("shelf_thickness"));
    let segments = match (upper, shelf) {
        (Some((upper, hole)), Some((height, thickness))) => {
            let above = length.minus(&height).minus(&thickness);
            vec![
                ring(&height, lower, outside.clone()),
                ring(&thickness, wall("shelf", &hole), outside.clone()),
                ring(&above, wall("upper-bore", &upper), outside),
            ]
        }
        _ => vec![ring(&length, lower, outside)],
    };
    draft.column("body", Form::zero(), segments);
    draft.cut("body", draft.maybe("slot"), Form::zero(), length.clone());
    pinches(draft, &length);
    draft.shape.height = length;
}

/// The bolts that close it, with what turns them.
pub(super) fn pinches(draft: &mut Draft, length: &Form) {
    let heights: Vec<Form> =
        draft.fields.numbers("pinch_heights").iter().map(|&n| Form::dimension(n)).collect();
    for height in heights {
        draft.room(&length.minus(&height), "a pinch bolt stands above the clamp");
        draft.shape.features.pinches.push(Pinch { height });
    }
    draft.drive("hex key", "pinch_key", "pinch_torque");
    draft.shape.features.pinch_thread = draft.fields.thread("pinch_thread");
    draft.shape.features.pinch_class = draft.fields.text("pinch_class").map(str::to_string);
}

fn cap(draft: &mut Draft) {
    let thickness = draft.dim("thickness");
    let hole = wall("hole", &draft.dim("hole"));
    let outside = wall("outside", &draft.dim("outside"));
    let mut segments = vec![];
    if let Some((spigot, depth)) = draft.maybe("spigot_outside").zip(draft.maybe("spigot_depth")) {
        segments.push(ring(&depth, hole.clone(), wall("spigot", &spigot)));
        draft.mark("spigot", false);
    }
    if let Some((recess, depth)) = draft.maybe("recess_bore").zip(draft.maybe("recess_depth")) {
        segments.push(ring(&thickness.minus(&depth), hole, outside.clone()));
        segments.push(ring(&depth, wall("recess", &recess), outside));
        draft.mark("recess", true);
    } else {
        segments.push(ring(&thickness, hole, outside));
    }
    draft.knurl("outside");
    draft.shape.height = draft.column("body", Form::zero(), segments);
}
