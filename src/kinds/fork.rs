//! The fork from its crown up: crown, crown-race seat or integral race, steerer, thread, insert.
//! Must not know what is put on it.

use super::Segment;
use super::draft::{Draft, cone, female, male, ring, solid, wall};
use super::shape::Cone;
use super::table::{Field, FieldType, Kind, Known, Role, angle, bore, cast, depth, height, outside, thread};
use crate::quantity::Form;

pub(super) const FORK: Kind = Kind {
    name: "fork",
    about: "the fork: its crown, and the steerer that everything else is put on",
    fields: &[
        outside("crown_outside", "the crown, across"),
        cast("crown_height", "crown bottom to crown-race seat"),
        cast("bottom_thickness", "floor of the crown under the steerer's bore"),
        bore("bottom_bore", "hole through that floor for a bolt from below; left out where it is closed")
            .optional(),
        outside("seat_diameter", "where the crown race is pressed on").unless("race_gauge", "seat"),
        height("seat_height", "how high that seat is").unless("race_gauge", "seat"),
        outside("steerer_outside", "the steerer"),
        bore("steerer_bore", "the steerer's bore"),
        height("steerer_length", "crown-race seat to the steerer's top"),
        outside("upper_outside", "a stepped steerer's reduced top").with("upper"),
        height("upper_length", "how long that reduced top is").with("upper"),
        thread("steerer_thread", "outside thread from the top down").with("thread"),
        height("thread_length", "how long that thread is").with("thread"),
        thread("insert_thread", "tapped insert fixed in the steerer").with("insert"),
        depth("insert_depth", "steerer's top down to the insert's top").with("insert"),
        height("insert_length", "how long the insert's thread is").with("insert"),
        Field::new("insert_blind", FieldType::Flag, "the insert has a floor below its thread").optional(),
        height("insert_floor", "how thick that floor is").when("insert_blind", "true"),
        outside("race_gauge", "an integral crown race: diameter of its cone at the flange's top")
            .with("race"),
        height("race_height", "how high that cone is").with("race"),
        angle("race_angle", "half angle of that cone against the axis").with("race"),
        height("race_base", "how high the flange under that cone is").with("race"),
    ],
    surfaces: &[
        ("crown", Role::Outside),
        ("bottom-bore", Role::Bore),
        ("seat", Role::Outside),
        ("race-flange", Role::Outside),
        ("race-cone", Role::Outside),
        ("steerer", Role::Outside),
        ("steerer-bore", Role::Bore),
        ("upper", Role::Outside),
        ("thread", Role::MaleThread),
        ("insert-thread", Role::FemaleThread),
        ("insert-outside", Role::Outside),
    ],
    columns: &["body", "insert"],
    marks: &[],
    usual: &[
        ("crown_outside", 250, 900),
        ("crown_height", 80, 900),
        ("bottom_thickness", 20, 400),
        ("bottom_bore", 40, 250),
        ("seat_diameter", 220, 450),
        ("seat_height", 10, 200),
        ("steerer_outside", 210, 400),
        ("steerer_bore", 120, 380),
        ("steerer_length", 700, 4_000),
        ("upper_outside", 190, 390),
        ("upper_length", 100, 1_500),
        ("thread_length", 60, 1_000),
        ("insert_depth", 0, 1_800),
        ("insert_length", 40, 800),
        ("insert_floor", 5, 300),
        ("race_gauge", 260, 550),
        ("race_height", 5, 100),
        ("race_base", 2, 100),
    ],
    is: &[Known::Fork, Known::OneWay],
    asked: &super::asked::FORK,
    build: fork,
};

fn fork(draft: &mut Draft) {
    let crown_height = draft.dim("crown_height");
    let height = crown_height.plus(&draft.dim("steerer_length"));
    let mut segments = crown(draft);
    let base = seat(draft, &mut segments);
    steerer(draft, &mut segments, &base);
    draft.column("body", Form::zero(), segments);
    insert(draft, &height);
    draft.shape.datum = crown_height;
    draft.shape.height = height;
}

fn crown(draft: &Draft) -> Vec<Segment> {
    let floor = draft.dim("bottom_thickness");
    let outside = wall("crown", &draft.dim("crown_outside"));
    let through = draft.maybe("bottom_bore").map_or_else(solid, |b| wall("bottom-bore", &b));
    let above = draft.dim("crown_height").minus(&floor);
    vec![ring(&floor, through, outside.clone()), ring(&above, steerer_bore(draft), outside)]
}

fn steerer_bore(draft: &Draft) -> super::Wall {
    wall("steerer-bore", &draft.dim("steerer_bore"))
}

/// The pressed seat or the integral race; gives their height.
fn seat(draft: &mut Draft, segments: &mut Vec<Segment>) -> Form {
    let Some(half_angle) = draft.slope("race_angle") else {
        if draft.fields.has("race_angle") {
            return Form::zero();
        }
        let height = draft.dim("seat_height");
        segments.push(ring(&height, steerer_bore(draft), wall("seat", &draft.dim("seat_diameter"))));
        return height;
    };
    let (base, height, gauge) = (draft.dim("race_base"), draft.dim("race_height"), draft.dim("race_gauge"));
    let top = gauge.minus(&draft.widening(half_angle, &height));
    segments.push(ring(&base, steerer_bore(draft), wall("race-flange", &gauge)));
    let race = cone("race-cone", [gauge, top], half_angle, Cone::Narrower);
    segments.push(ring(&height, steerer_bore(draft), race));
    base.plus(&height)
}

/// From the seat's top to the steerer's top: steerer, reduced upper part, thread.
fn steerer(draft: &Draft, segments: &mut Vec<Segment>, base: &Form) {
    let mut rest = draft.dim("steerer_length").minus(base);
    let thread = draft.fields.thread("steerer_thread").zip(draft.maybe("thread_length"));
    let upper = draft.maybe("upper_outside").zip(draft.maybe("upper_length"));
    let threaded = thread.as_ref().map_or_else(Form::zero, |(_, length)| length.clone());
    if let Some((_, length)) = &upper {
        rest = rest.minus(length);
    } else {
        rest = rest.minus(&threaded);
    }
    segments.push(ring(&rest, steerer_bore(draft), wall("steerer", &draft.dim("steerer_outside"))));
    if let Some((outside, length)) = upper {
        segments.push(ring(&length.minus(&threaded), steerer_bore(draft), wall("upper", &outside)));
    }
    if let Some((thread, length)) = thread {
        segments.push(ring(&length, steerer_bore(draft), male("thread", thread)));
    }
}

fn insert(draft: &mut Draft, top: &Form) {
    if let Some(thread) = draft.fields.thread("steerer_thread") {
        draft.threaded("thread", thread, true);
    }
    let Some(thread) = draft.fields.thread("insert_thread") else { return };
    let length = draft.dim("insert_length");
    let outside = wall("insert-outside", &draft.dim("steerer_bore"));
    let mut start = top.minus(&draft.dim("insert_depth")).minus(&length);
    let mut segments = vec![];
    if let Some(floor) = draft.maybe("insert_floor").filter(|_| draft.fields.flag("insert_blind")) {
        start = start.minus(&floor);
        segments.push(ring(&floor, solid(), outside.clone()));
    }
    segments.push(ring(&length, female("insert-thread", thread), outside));
    let room = start.minus(&draft.dim("bottom_thickness"));
    draft.room(&room, "the insert does not fit in the steerer");
    draft.column("insert", start, segments);
    draft.threaded("insert-thread", thread, false);
}
