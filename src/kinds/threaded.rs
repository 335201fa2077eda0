//! Parts that turn on a threaded steerer: the threaded race and its locknut. Must not know the steerer.

use super::draft::{Draft, cone, female, ring, wall};
use super::shape::Cone;
use super::table::{Kind, Known, Role, angle, height, key_size, knurl, outside, thread, torque};
use crate::quantity::Form;

pub(super) const THREADED_RACE: Kind = Kind {
    name: "threaded-race",
    about: "a race that is screwed down on the steerer; its cone carries the upper bearing",
    fields: &[
        thread("thread", "turns on the steerer's thread"),
        outside("outside", "the cylinder above the cone"),
        height("height", "that cylinder, bottom to top"),
        outside("cone_gauge", "largest diameter of the cone, at its top"),
        height("cone_height", "how high the cone is"),
        angle("angle", "half angle of the cone against the axis"),
        key_size("spanner", "the spanner it takes").optional(),
        torque("torque", "the maker's torque"),
        knurl("how its cylinder is knurled for the fingers; left out where it is smooth"),
    ],
    surfaces: &[("thread", Role::FemaleThread), ("outside", Role::Outside), ("cone", Role::Outside)],
    columns: &["body"],
    marks: &["cone"],
    usual: &[
        ("outside", 260, 650),
        ("height", 10, 300),
        ("cone_gauge", 240, 600),
        ("cone_height", 4, 120),
        ("spanner", 180, 600),
    ],
    is: &[],
    asked: &super::asked::NUT,
    build: threaded_race,
};

pub(super) const LOCKNUT: Kind = Kind {
    name: "locknut",
    about: "locks a threaded race in its place",
    fields: &[
        thread("thread", "turns on the steerer's thread"),
        outside("outside", "across its corners"),
        height("height", "bottom to top"),
        key_size("spanner", "the spanner it takes"),
        torque("torque", "the maker's torque"),
    ],
    surfaces: &[("thread", Role::FemaleThread), ("outside", Role::Outside)],
    columns: &["body"],
    marks: &[],
    usual: &[("outside", 260, 700), ("height", 20, 400), ("spanner", 180, 600)],
    is: &[Known::Whole],
    asked: &super::asked::NUT,
    build: locknut,
};

fn threaded_race(draft: &mut Draft) {
    let Some(thread) = draft.fields.thread("thread") else { return };
    let Some(half_angle) = draft.slope("angle") else { return };
    let (height, gauge) = (draft.dim("cone_height"), draft.dim("cone_gauge"));
    let foot = gauge.minus(&draft.widening(half_angle, &height));
    let segments = vec![
        ring(&height, female("thread", thread), cone("cone", [foot, gauge], half_angle, Cone::Wider)),
        ring(&draft.dim("height"), female("thread", thread), wall("outside", &draft.dim("outside"))),
    ];
    draft.shape.height = draft.column("body", Form::zero(), segments);
    draft.threaded("thread", thread, false);
    draft.drive("spanner", "spanner", "torque");
    draft.mark("cone", false);
    draft.knurl("outside");
}

fn locknut(draft: &mut Draft) {
    let Some(thread) = draft.fields.thread("thread") else { return };
    let height = draft.dim("height");
    let body = ring(&height, female("thread", thread), wall("outside", &draft.dim("outside")));
    draft.column("body", Form::zero(), vec![body]);
    draft.threaded("thread", thread, false);
    draft.drive("spanner", "spanner", "torque");
    draft.shape.height = height;
}
