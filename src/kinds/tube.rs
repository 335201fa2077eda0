//! Plain tubes: spacer, riser, shim, liner, bar sleeve, washer. Must not know what they stand on.

use super::draft::{Draft, ring, wall};
use super::possible::Impossible;
use super::table::{Kind, Known, Role, bore, cast, height, knurl, outside};
use crate::quantity::Form;

pub(super) const SPACER: Kind = Kind {
    name: "spacer",
    about: "a thin ring on the steerer between the headset and what is clamped",
    fields: &[
        bore("bore", "goes over the steerer"),
        outside("outside", "its rim"),
        height("length", "bottom face to top face"),
        knurl("how its rim is knurled; left out where it is smooth"),
    ],
    surfaces: &[("bore", Role::Bore), ("outside", Role::Outside)],
    columns: &["body"],
    marks: &[],
    usual: &[("bore", 200, 450), ("outside", 230, 700), ("length", 1, 800)],
    is: &[Known::Filler],
    asked: &super::asked::RING,
    build: |draft| {
        tube(draft, "bore", "length");
        draft.knurl("outside");
    },
};

pub(super) const RISER: Kind = Kind {
    name: "riser",
    about: "a tall spacer that lifts a clamp or cap off the headset",
    usual: &[("bore", 200, 450), ("outside", 230, 800), ("length", 10, 1_200)],
    ..SPACER
};

pub(super) const SHIM: Kind = Kind {
    name: "shim",
    about: "a sleeve over the steerer that fills the bars or the clamp; it may have a lip and a slot",
    fields: &[
        bore("inside", "goes over the steerer"),
        outside("outside", "fills the bars or the clamp"),
        height("length", "overall, lip included"),
        outside("lip_outside", "the lip, which is at the bottom as drawn").with("lip"),
        height("lip_height", "the lip, bottom to top").with("lip"),
        cast("slot", "width of the lengthwise cut; left out where it is not split").optional(),
        height(
            "slot_length",
            "how long that cut is, from the top end as drawn; left out where it runs through",
        )
        .optional(),
    ],
    surfaces: &[("inside", Role::Bore), ("outside", Role::Outside), ("lip", Role::Outside)],
    columns: &["body"],
    marks: &["lip"],
    usual: &[
        ("inside", 190, 400),
        ("outside", 200, 550),
        ("length", 80, 1_500),
        ("lip_outside", 210, 700),
        ("lip_height", 2, 300),
        ("slot", 2, 120),
        ("slot_length", 30, 1_500),
    ],
    is: &[Known::Shim],
    asked: &super::asked::SLEEVE,
    build: shim,
};

pub(super) const LINER: Kind = Kind {
    name: "liner",
    about: "a thin sleeve that fills one half of a clamp",
    fields: &[
        bore("inside", "goes over what is clamped"),
        outside("outside", "fills the clamp"),
        height("length", "bottom face to top face"),
        cast("slot", "width of the lengthwise cut; left out where it is not split").optional(),
        height(
            "slot_length",
            "how long that cut is, from the top end as drawn; left out where it runs through",
        )
        .optional(),
    ],
    surfaces: &[("inside", Role::Bore), ("outside", Role::Outside)],
    columns: &["body"],
    marks: &[],
    usual: &[
        ("inside", 190, 450),
        ("outside", 200, 550),
        ("length", 80, 1_500),
        ("slot", 2, 120),
        ("slot_length", 30, 1_500),
    ],
    is: &[],
    asked: &super::asked::SLEEVE,
    build: |draft| tube(draft, "inside", "length"),
};

pub(super) const BAR_SLEEVE: Kind = Kind {
    name: "bar-sleeve",
    about: "a sleeve inside the bars that bridges their slit or fills their bore",
    fields: &[
        bore("inside", "its own bore"),
        outside("outside", "fills the bars"),
        height("length", "bottom face to top face"),
    ],
    surfaces: &[("inside", Role::Bore), ("outside", Role::Outside)],
    columns: &["body"],
    marks: &[],
    usual: &[("inside", 40, 400), ("outside", 130, 420), ("length", 100, 3_000)],
    is: &[],
    asked: &super::asked::SLEEVE,
    build: |draft| tube(draft, "inside", "length"),
};

pub(super) const WASHER: Kind = Kind {
    name: "washer",
    about: "a flat ring under a bolt head or a locknut",
    fields: &[
        bore("bore", "goes over the bolt or the steerer"),
        outside("outside", "its rim"),
        height("thickness", "bottom face to top face"),
    ],
    surfaces: &[("bore", Role::Bore), ("outside", Role::Outside)],
    columns: &["body"],
    marks: &[],
    usual: &[("bore", 30, 450), ("outside", 60, 700), ("thickness", 2, 120)],
    is: &[Known::Whole],
    asked: &super::asked::RING,
    build: |draft| tube(draft, "bore", "thickness"),
};

fn tube(draft: &mut Draft, bore: &'static str, length: &str) {
    let length = draft.dim(length);
    let body = ring(&length, wall(bore, &draft.dim(bore)), wall("outside", &draft.dim("outside")));
    draft.column("body", Form::zero(), vec![body]);
    slot(draft, "body", &length);
    draft.shape.height = length;
}

/// The cut runs through, or from the top end down as far as it is long.
pub(super) fn slot(draft: &mut Draft, column: &'static str, length: &Form) {
    let from = match draft.maybe("slot_length") {
        Some(long) => {
            draft.room(&length.minus(&long), "the slot is longer than the part");
            length.minus(&long)
        }
        None => Form::zero(),
    };
    if draft.maybe("slot").is_none() && draft.maybe("slot_length").is_some() {
        let note = "a cut has a width and, where it does not run through, a length";
        draft.impossible.push(Impossible::new("slot_length without slot", note, "add slot = …, its width"));
    }
    draft.cut(column, draft.maybe("slot"), from, length.clone());
}

fn shim(draft: &mut Draft) {
    let (Some(lip_outside), Some(lip)) = (draft.maybe("lip_outside"), draft.maybe("lip_height")) else {
        return tube(draft, "inside", "length");
    };
    let length = draft.dim("length");
    let inside = wall("inside", &draft.dim("inside"));
    let rest = length.minus(&lip);
    let segments = vec![
        ring(&lip, inside.clone(), wall("lip", &lip_outside)),
        ring(&rest, inside, wall("outside", &draft.dim("outside"))),
    ];
    draft.column("body", Form::zero(), segments);
    slot(draft, "body", &length);
    draft.mark("lip", false);
    draft.shape.height = length;
}
