//! Deck head tube, crown race, bearing, compression ring. Must not know which of them meet.

use super::draft::{Draft, cone, ring, wall};
use super::shape::Cone;
use super::table::{HEAD_TUBE, Kind, Known, Role, angle, bore, cast, depth, height, outside};
use crate::quantity::Form;

pub(super) const DECK: Kind = Kind {
    name: "deck",
    about: "the deck, of which only the head tube counts here",
    fields: &[
        height(HEAD_TUBE, "bottom face to top face"),
        outside("head_tube_outside", "the head tube, across"),
        bore("head_tube_bore", "bore between the bearing seats"),
        bore("seat_bore", "the bearing seat at either end"),
        depth("seat_depth", "end face to where the seat's cone or shelf starts"),
        angle("seat_angle", "half angle of the seat's cone; 90 for a flat shelf"),
    ],
    surfaces: &[
        ("outside", Role::Outside),
        ("bore", Role::Bore),
        ("seat-bore", Role::Bore),
        ("seat-cone", Role::Bore),
    ],
    columns: &["body"],
    marks: &[],
    usual: &[
        ("head_tube_length", 500, 2_000),
        ("head_tube_outside", 320, 800),
        ("head_tube_bore", 240, 600),
        ("seat_bore", 280, 650),
        ("seat_depth", 0, 250),
    ],
    is: &[Known::Deck, Known::OneWay],
    asked: &super::asked::DECK,
    build: deck,
};

pub(super) const CROWN_RACE: Kind = Kind {
    name: "crown-race",
    about: "a ring pressed on the fork's seat; its cone carries the lower bearing",
    fields: &[
        bore("bore", "pressed on the fork's seat"),
        outside("flange_outside", "the flange at the bottom"),
        height("flange_height", "how high the flange is"),
        outside("cone_gauge", "diameter of the cone at the flange's top"),
        height("cone_height", "how high the cone is"),
        angle("angle", "half angle of the cone against the axis"),
    ],
    surfaces: &[("bore", Role::Bore), ("flange", Role::Outside), ("cone", Role::Outside)],
    columns: &["body"],
    marks: &["cone"],
    usual: &[
        ("bore", 220, 450),
        ("flange_outside", 270, 700),
        ("flange_height", 2, 100),
        ("cone_gauge", 240, 600),
        ("cone_height", 4, 100),
    ],
    is: &[],
    asked: &super::asked::RING,
    build: crown_race,
};

pub(super) const BEARING: Kind = Kind {
    name: "bearing",
    about: "a sealed bearing, drawn as the upper one: inner chamfer at the top, outer at the bottom",
    fields: &[
        outside("outside", "outer ring, across"),
        bore("inside", "bore of the inner ring"),
        height("height", "bottom face to top face"),
        height("inner_chamfer", "height of the inner ring's chamfer"),
        angle("inner_angle", "half angle of that chamfer"),
        height("outer_chamfer", "height of the outer ring's chamfer"),
        angle("outer_angle", "half angle of that chamfer"),
        outside("inner_ring_outside", "where the inner ring's face ends"),
        bore("outer_ring_inside", "where the outer ring's face begins"),
    ],
    surfaces: &[
        ("inside", Role::Bore),
        ("inner-chamfer", Role::Bore),
        ("inner-back", Role::Outside),
        ("outside", Role::Outside),
        ("outer-chamfer", Role::Outside),
        ("outer-back", Role::Bore),
    ],
    columns: &["inner", "outer"],
    marks: &["outer-chamfer"],
    usual: &[
        ("outside", 260, 600),
        ("inside", 210, 460),
        ("height", 30, 160),
        ("inner_chamfer", 2, 50),
        ("outer_chamfer", 2, 50),
        ("inner_ring_outside", 230, 550),
        ("outer_ring_inside", 240, 580),
    ],
    is: &[Known::Balls],
    asked: &super::asked::BEARING,
    build: bearing,
};

pub(super) const COMPRESSION_RING: Kind = Kind {
    name: "compression-ring",
    about: "a split ring whose cone centres the steerer in the upper bearing",
    fields: &[
        bore("bore", "closes on the steerer"),
        outside("gauge", "largest diameter of the cone, at its top"),
        height("cone_height", "how high the cone is"),
        angle("angle", "half angle of the cone against the axis"),
        height("rim_height", "the straight rim above the cone"),
        cast("slot", "width of the cut"),
    ],
    surfaces: &[("bore", Role::Bore), ("cone", Role::Outside), ("rim", Role::Outside)],
    columns: &["body"],
    marks: &["cone"],
    usual: &[
        ("bore", 200, 410),
        ("gauge", 230, 500),
        ("cone_height", 4, 120),
        ("rim_height", 1, 100),
        ("slot", 3, 100),
    ],
    is: &[Known::Wedge],
    asked: &super::asked::NOTHING,
    build: compression_ring,
};

/// The two seats are two features of one size: the upper one has dimensions of its own.
fn deck(draft: &mut Draft) {
    let length = draft.dim("head_tube_length");
    let bore = draft.dim("head_tube_bore");
    let (seat, depth) = (draft.dim("seat_bore"), draft.dim("seat_depth"));
    let (upper_seat, upper_depth) =
        (draft.twin("seat_bore", "upper_seat_bore"), draft.twin("seat_depth", "upper_seat_depth"));
    let outside = wall("outside", &draft.dim("head_tube_outside"));
    let flat = draft.fields.angle("seat_angle").is_some_and(|a| a.as_millidegrees() == 90_000);
    let half_angle = if flat { None } else { draft.slope("seat_angle") };
    let mut middle = length.minus(&depth).minus(&upper_depth);
    let (mut lower_cone, mut upper_cone) = (None, None);
    if let Some(half_angle) = half_angle {
        let rise = draft.cone_height(half_angle, &seat.minus(&bore));
        let upper_rise = draft.cone_height(half_angle, &upper_seat.minus(&bore));
        middle = middle.minus(&rise).minus(&upper_rise);
        let narrower = cone("seat-cone", [seat.clone(), bore.clone()], half_angle, Cone::Narrower);
        let wider = cone("seat-cone", [bore.clone(), upper_seat.clone()], half_angle, Cone::Wider);
        lower_cone = Some(ring(&rise, narrower, outside.clone()));
        upper_cone = Some(ring(&upper_rise, wider, outside.clone()));
    } else {
        let shelf = seat.minus(&bore);
        draft.room(&shelf, "the seat is no wider than the bore: nothing carries the bearing");
    }
    let mut segments = vec![ring(&depth, wall("seat-bore", &seat), outside.clone())];
    segments.extend(lower_cone);
    segments.push(ring(&middle, wall("bore", &bore), outside.clone()));
    segments.extend(upper_cone);
    segments.push(ring(&upper_depth, wall("seat-bore", &upper_seat), outside));
    draft.column("body", Form::zero(), segments);
    draft.shape.height = length;
}

fn crown_race(draft: &mut Draft) {
    let Some(half_angle) = draft.slope("angle") else { return };
    let (flange, height, gauge) =
        (draft.dim("flange_height"), draft.dim("cone_height"), draft.dim("cone_gauge"));
    let bore = wall("bore", &draft.dim("bore"));
    let top = gauge.minus(&draft.widening(half_angle, &height));
    let segments = vec![
        ring(&flange, bore.clone(), wall("flange", &draft.dim("flange_outside"))),
        ring(&height, bore, cone("cone", [gauge, top], half_angle, Cone::Narrower)),
    ];
    draft.shape.height = draft.column("body", Form::zero(), segments);
    draft.shape.features.pressed.push("bore");
    draft.mark("cone", true);
}

fn bearing(draft: &mut Draft) {
    let (Some(inner_angle), Some(outer_angle)) = (draft.slope("inner_angle"), draft.slope("outer_angle"))
    else {
        return;
    };
    let height = draft.dim("height");
    let (inside, chamfer) = (draft.dim("inside"), draft.dim("inner_chamfer"));
    let back = wall("inner-back", &draft.dim("inner_ring_outside"));
    let mouth = inside.plus(&draft.widening(inner_angle, &chamfer));
    let opening = cone("inner-chamfer", [inside.clone(), mouth], inner_angle, Cone::Wider);
    let inner = vec![
        ring(&height.minus(&chamfer), wall("inside", &inside), back.clone()),
        ring(&chamfer, opening, back),
    ];
    draft.column("inner", Form::zero(), inner);

    let (outside, chamfer) = (draft.dim("outside"), draft.dim("outer_chamfer"));
    let back = wall("outer-back", &draft.dim("outer_ring_inside"));
    let foot = outside.minus(&draft.widening(outer_angle, &chamfer));
    let closing = cone("outer-chamfer", [foot, outside.clone()], outer_angle, Cone::Wider);
    let outer = vec![
        ring(&chamfer, back.clone(), closing),
        ring(&height.minus(&chamfer), back, wall("outside", &outside)),
    ];
    draft.column("outer", Form::zero(), outer);
    let between = draft.dim("outer_ring_inside").minus(&draft.dim("inner_ring_outside"));
    draft.room(&between, "the inner ring reaches into the outer ring");
    draft.mark("outer-chamfer", false);
    draft.shape.height = height;
}

fn compression_ring(draft: &mut Draft) {
    let Some(half_angle) = draft.slope("angle") else { return };
    let (height, gauge) = (draft.dim("cone_height"), draft.dim("gauge"));
    let bore = wall("bore", &draft.dim("bore"));
    let foot = gauge.minus(&draft.widening(half_angle, &height));
    let segments = vec![
        ring(&height, bore.clone(), cone("cone", [foot, gauge.clone()], half_angle, Cone::Wider)),
        ring(&draft.dim("rim_height"), bore, wall("rim", &gauge)),
    ];
    let top = draft.column("body", Form::zero(), segments);
    draft.cut("body", draft.maybe("slot"), Form::zero(), top.clone());
    draft.shape.features.split_ring = true;
    draft.mark("cone", false);
    draft.shape.height = top;
}
