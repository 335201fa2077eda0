//! The steerer bolt and the star nut. Must not know where they meet.

use super::NamedDim;
use super::draft::{Draft, female, male, ring, solid, wall};
use super::possible::Impossible;
use super::table::{
    Field, FieldType, Kind, Known, Role, bore, height, key_size, knurl, outside, thread, torque,
};
use crate::quantity::{Dimension, Form, HeadForm, Length, Nature, Origin, PropertyClass, SocketHead, Thread};

const CYLINDER: &str = "iso-4762";
const BUTTON: &str = "iso-7380-1";
const OWN: &str = "own";

pub(super) const BOLT: Kind = Kind {
    name: "bolt",
    about: "a bolt with a socket head, drawn with its head at the top",
    fields: &[
        thread("thread", "its thread"),
        height("length", "under the head to the tip"),
        height("thread_length", "the thread, from the tip"),
        Field::new(
            "head",
            FieldType::Choice(&[CYLINDER, BUTTON, OWN]),
            "its shape: iso-4762 is the cylinder, iso-7380-1 the low button; own gives its sizes",
        ),
        outside("head_outside", "the head, across").when("head", OWN),
        height("head_height", "the head, bottom to top").when("head", OWN),
        key_size("key", "the key it takes").when("head", OWN),
        knurl("how its head is knurled; left out where it is smooth"),
        Field::new("property_class", FieldType::Choice(&PropertyClass::WORDS), "as its head says").optional(),
        torque("torque", "the maker's torque"),
    ],
    surfaces: &[("thread", Role::MaleThread), ("shank", Role::Outside), ("head", Role::Outside)],
    columns: &["body"],
    marks: &["head"],
    usual: &[
        ("length", 60, 3_500),
        ("thread_length", 40, 3_500),
        ("head_outside", 50, 500),
        ("head_height", 10, 400),
        ("key", 15, 140),
    ],
    is: &[Known::Whole, Known::OneWay, Known::Headed],
    asked: &super::asked::BOLT,
    build: bolt,
};

pub(super) const STAR_NUT: Kind = Kind {
    name: "star-nut",
    about: "a sprung nut that is pressed into a bore and stays there",
    fields: &[
        thread("thread", "its thread"),
        height("height", "bottom to top"),
        outside("core_outside", "the nut's core without its fins"),
        bore("fits_bore_least", "smallest bore it goes into"),
        bore("fits_bore_most", "largest bore it holds in"),
    ],
    surfaces: &[("thread", Role::FemaleThread), ("fins", Role::Outside)],
    columns: &["body"],
    marks: &[],
    usual: &[
        ("height", 20, 500),
        ("core_outside", 50, 340),
        ("fits_bore_least", 120, 400),
        ("fits_bore_most", 120, 400),
    ],
    is: &[Known::Whole],
    asked: &super::asked::STAR_NUT,
    build: star_nut,
};

fn bolt(draft: &mut Draft) {
    let Some(thread) = draft.fields.thread("thread") else { return };
    let (length, threaded) = (draft.dim("length"), draft.dim("thread_length"));
    let Some((head_outside, head_height)) = head(draft, thread) else { return };
    let mut segments = vec![];
    if draft.same_nominal(&length, &threaded) {
        segments.push(ring(&length, solid(), male("thread", thread)));
    } else {
        let shank = wall("shank", &Form::constant(thread.major()));
        segments.push(ring(&threaded, solid(), male("thread", thread)));
        segments.push(ring(&length.minus(&threaded), solid(), shank));
    }
    segments.push(ring(&head_height, solid(), wall("head", &head_outside)));
    draft.column("body", Form::zero(), segments);
    draft.threaded("thread", thread, true);
    draft.mark("head", true);
    draft.knurl("head");
    draft.shape.features.property_class = draft.fields.text("property_class").map(str::to_string);
    draft.shape.height = length.plus(&head_height);
}

/// Outside and height of the head; the key goes into the drive.
fn head(draft: &mut Draft, thread: Thread) -> Option<(Form, Form)> {
    let form = match draft.fields.text("head") {
        Some(CYLINDER) => HeadForm::Cylinder,
        Some(BUTTON) => HeadForm::Button,
        _ => {
            draft.drive("hex key", "key", "torque");
            return Some((draft.dim("head_outside"), draft.dim("head_height")));
        }
    };
    let Some(size) = SocketHead::of(form, thread) else {
        let note = "the standard's heads are known here for M4, M5, M6, M8 and M10";
        let unknown =
            Impossible::new(format!("no standard head is known for {thread}"), note, "write head = \"own\"");
        draft.impossible.push(unknown.at(draft.fields.span("thread"), ""));
        return None;
    };
    draft.driven("hex key", size.key, "torque");
    let (wider, narrower, lower) = head_deviations(form, size);
    let span = draft.fields.span("head");
    let mut add = |name: &str, nature: Nature, nominal: Length, deviations: (Length, Length)| {
        let (lower, upper) = deviations;
        let written = draft.fields.text("head").unwrap_or_default().to_string();
        let dimension = Dimension { nominal, lower, upper, origin: Origin::Class, written };
        draft.add_dim(NamedDim { name: name.to_string(), nature, dimension, span })
    };
    let outside = add("head-outside", Nature::Outside, size.diameter, (narrower, wider));
    let height = add("head-height", Nature::Height, size.height, (lower, Length::ZERO));
    Some((outside, height))
}

/// The table gives the greatest plain sizes. Least: a cylinder head's diameter is made to h13, the rest to h14
/// (ISO 4762, ISO 7380-1, from memory; grades of ISO 286-1). A knurled cylinder head may be wider than a plain
/// one by up to 0.27 mm, and nothing here says which it is: it counts as up to that wide.
fn head_deviations(form: HeadForm, size: SocketHead) -> (Length, Length, Length) {
    let height = -grade_14(size.height);
    match form {
        HeadForm::Cylinder if size.diameter <= Length::mm(10) => (Length::um(220), -Length::um(220), height),
        HeadForm::Cylinder => (Length::um(270), -Length::um(270), height),
        HeadForm::Button => (Length::ZERO, -grade_14(size.diameter), height),
    }
}

/// IT14 of ISO 286-1 for the sizes of heads: up to 3, 6, 10 and 18 mm.
fn grade_14(size: Length) -> Length {
    let bands = [(3, 250), (6, 300), (10, 360), (18, 430)];
    let band = bands.iter().find(|(most, _)| size <= Length::mm(*most));
    Length::um(band.map_or(520, |(_, micrometres)| *micrometres))
}

fn star_nut(draft: &mut Draft) {
    let Some(thread) = draft.fields.thread("thread") else { return };
    let (least, most) = (draft.dim("fits_bore_least"), draft.dim("fits_bore_most"));
    draft.room(&most.minus(&least), "the largest bore it fits is smaller than the smallest");
    let height = draft.dim("height");
    let body = ring(&height, female("thread", thread), wall("fins", &most));
    draft.column("body", Form::zero(), vec![body]);
    draft.threaded("thread", thread, false);
    draft.shape.features.pressed.push("fins");
    draft.shape.features.fits_bore = Some((least, most));
    draft.shape.height = height;
}
