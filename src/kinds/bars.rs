//! The bars, of which the down tube counts, and the quill. Must not know what holds them.

use super::draft::{Draft, ring, solid, wall};
use super::table::{Kind, Known, Role, bore, cast, depth, height, key_size, outside, torque};
use crate::quantity::Form;

pub(super) const BARS: Kind = Kind {
    name: "bars",
    about: "the bars: the tube that is clamped, and the crossbar that nothing passes over",
    fields: &[
        outside("outside", "the tube"),
        bore("inside", "the tube's bore"),
        depth("inside_depth", "bottom end to where the bore stops; the tube's length if left out").optional(),
        height("tube_length", "bottom end to the crossbar's underside"),
        cast("crossbar_width", "the crossbar, taken as a wide disc"),
        cast("crossbar_thickness", "the crossbar, bottom to top"),
        cast("slit_width", "the slit at the bottom end").with("slit"),
        height("slit_length", "how long that slit is, from the bottom end up").with("slit"),
    ],
    surfaces: &[("outside", Role::Outside), ("inside", Role::Bore), ("crossbar", Role::Outside)],
    columns: &["body"],
    marks: &[],
    usual: &[
        ("outside", 200, 450),
        ("inside", 140, 420),
        ("inside_depth", 150, 10_000),
        ("tube_length", 600, 10_000),
        ("crossbar_width", 600, 10_000),
        ("crossbar_thickness", 100, 800),
        ("slit_width", 4, 150),
        ("slit_length", 80, 2_000),
    ],
    is: &[Known::Bars, Known::OneWay],
    asked: &super::asked::BARS,
    build: bars,
};

pub(super) const QUILL: Kind = Kind {
    name: "quill",
    about: "a stem that is wedged inside the steerer; the bars stand on its post",
    fields: &[
        outside("shaft_outside", "the shaft inside the steerer"),
        height("shaft_length", "bottom end to the collar"),
        height("insertion_least", "bottom end to the minimum insertion mark"),
        outside("collar_outside", "the collar"),
        height("collar_height", "the collar, bottom to top"),
        outside("post_outside", "the post above the collar"),
        height("post_length", "the post, bottom to top"),
        key_size("key", "the key of its wedge bolt").optional(),
        torque("torque", "the maker's torque for it"),
    ],
    surfaces: &[("shaft", Role::Outside), ("collar", Role::Outside), ("post", Role::Outside)],
    columns: &["body"],
    marks: &["post"],
    usual: &[
        ("shaft_outside", 120, 350),
        ("shaft_length", 300, 3_000),
        ("insertion_least", 150, 2_500),
        ("collar_outside", 180, 700),
        ("collar_height", 10, 600),
        ("post_outside", 180, 450),
        ("post_length", 150, 2_500),
        ("key", 20, 140),
    ],
    is: &[Known::Whole, Known::OneWay],
    asked: &super::asked::QUILL,
    build: quill,
};

fn bars(draft: &mut Draft) {
    let tube = draft.dim("tube_length");
    let outside = wall("outside", &draft.dim("outside"));
    let inside = wall("inside", &draft.dim("inside"));
    let bored = draft.maybe("inside_depth").filter(|depth| !draft.same_nominal(depth, &tube));
    let mut segments = match &bored {
        Some(depth) => vec![ring(depth, inside, outside.clone()), ring(&tube.minus(depth), solid(), outside)],
        None => vec![ring(&tube, inside, outside)],
    };
    let crossbar = draft.dim("crossbar_thickness");
    segments.push(ring(&crossbar, solid(), wall("crossbar", &draft.dim("crossbar_width"))));
    draft.column("body", Form::zero(), segments);
    if let Some(slit) = draft.maybe("slit_length") {
        draft.room(&tube.minus(&slit), "the slit is longer than the tube");
        draft.cut("body", draft.maybe("slit_width"), Form::zero(), slit);
    }
    draft.shape.height = tube.plus(&crossbar);
}

fn quill(draft: &mut Draft) {
    let (shaft, collar, post) =
        (draft.dim("shaft_length"), draft.dim("collar_height"), draft.dim("post_length"));
    let segments = vec![
        ring(&shaft, solid(), wall("shaft", &draft.dim("shaft_outside"))),
        ring(&collar, solid(), wall("collar", &draft.dim("collar_outside"))),
        ring(&post, solid(), wall("post", &draft.dim("post_outside"))),
    ];
    draft.shape.height = draft.column("body", Form::zero(), segments);
    let insertion = draft.dim("insertion_least");
    draft.room(&shaft.minus(&insertion), "the minimum insertion is longer than the shaft");
    draft.shape.features.insertion = Some(insertion);
    draft.drive("hex key", "key", "torque");
    draft.mark("post", true);
}
