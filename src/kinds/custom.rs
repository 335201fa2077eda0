//! Parts drawn ring by ring, for what no short form fits. Must not know why a shop needs one.
//!
//! Such a part stands as one of the kinds: rule files take it for that kind, by its surfaces.

use super::draft::{Draft, cone, ring, wall};
use super::possible::Impossible;
use super::shape::Cone;
use super::table::{Field, FieldType, Kind, cast, height, key_size, thread, torque};
use super::{NamedDim, Wall};
use crate::base::Span;
use crate::quantity::{Angle, Dimension, Form, Nature, PropertyClass, Thread};

pub(super) const CUSTOM: Kind = Kind {
    name: "custom",
    about: "raw columns of rings from bottom to top, standing as one of the other kinds",
    fields: &[
        Field::new("stands_as", FieldType::Text, "the kind whose place it may take in rule files"),
        cast("slot", "width of a cut through the first column").optional(),
        height(
            "slot_length",
            "how long that cut is, from the top end as drawn; left out where it runs through",
        )
        .optional(),
        Field::new(
            "pinch_heights",
            FieldType::Dimensions(Nature::Height),
            "for what clamps: its bottom to each pinch bolt's axis",
        )
        .optional(),
        key_size("pinch_key", "key of the pinch bolts").optional(),
        torque("pinch_torque", "the maker's torque for them"),
        thread("pinch_thread", "their thread").optional(),
        Field::new("pinch_class", FieldType::Choice(&PropertyClass::WORDS), "their property class")
            .optional(),
        cast("ear_reach", "how far the bolt ears stand out from the axis; for the drawing").optional(),
        Field::new("column", FieldType::Columns, "its columns, each with its rings"),
    ],
    surfaces: &[],
    columns: &[],
    marks: &[],
    usual: &[
        ("slot", 2, 150),
        ("slot_length", 30, 2_000),
        ("pinch_heights", 15, 1_950),
        ("pinch_key", 20, 120),
        ("ear_reach", 130, 900),
    ],
    is: &[],
    asked: &super::asked::NOTHING,
    build: custom,
};

/// `[[part.column]]` as written, every word checked.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenColumn {
    pub name: &'static str,
    pub start: (Dimension, Span),
    pub rings: Vec<WrittenRing>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct WrittenRing {
    pub length: (Dimension, Span),
    pub bore: WrittenWall,
    pub outside: WrittenWall,
}

#[derive(Clone, Debug, PartialEq)]
pub struct WrittenWall {
    pub surface: &'static str,
    pub shape: WallShape,
}

#[derive(Clone, Debug, PartialEq)]
pub enum WallShape {
    Cylinder((Dimension, Span)),
    /// A gauge diameter at the ring's bottom or top, and how the wall runs from there.
    Cone {
        gauge: (Dimension, Span),
        at_top: bool,
        half_angle: Angle,
        cone: Cone,
    },
    Thread(Thread),
}

fn custom(draft: &mut Draft) {
    let columns = draft.fields.columns("column").to_vec();
    let mut tops: Vec<Form> = vec![];
    for column in &columns {
        let start = exact(draft, format!("{}-start", column.name), Nature::Height, &column.start);
        let mut segments = vec![];
        for (i, written) in column.rings.iter().enumerate() {
            let stem = format!("{}-{}", column.name, i + 1);
            let length = exact(draft, format!("{stem}-length"), Nature::Height, &written.length);
            let bore = wall_of(draft, &format!("{stem}-bore"), Nature::Bore, &written.bore, &length);
            let outside =
                wall_of(draft, &format!("{stem}-outside"), Nature::Outside, &written.outside, &length);
            segments.push(ring(&length, bore, outside));
        }
        let top = draft.column(column.name, start, segments);
        tops.push(top);
    }
    let Some(first) = columns.first() else { return };
    draft.shape.height = highest(draft, &tops);
    let height = draft.shape.height.clone();
    super::tube::slot(draft, first.name, &height);
    super::clamp::pinches(draft, &height);
}

/// The dimension as one more of the part's own; without tolerances it is a plain number in the form.
fn exact(draft: &mut Draft, name: String, nature: Nature, written: &(Dimension, Span)) -> Form {
    let (dimension, span) = written;
    if dimension.least() == dimension.most() {
        return Form::constant(dimension.nominal);
    }
    draft.add_dim(NamedDim { name, nature, dimension: dimension.clone(), span: Some(*span) })
}

fn wall_of(draft: &mut Draft, name: &str, nature: Nature, written: &WrittenWall, length: &Form) -> Wall {
    match &written.shape {
        WallShape::Cylinder(diameter) => {
            wall(written.surface, &exact(draft, name.to_string(), nature, diameter))
        }
        WallShape::Cone { gauge, at_top, half_angle, cone: opens } => {
            let gauge = exact(draft, name.to_string(), nature, gauge);
            let change = draft.widening(*half_angle, length);
            let wider = match (opens, at_top) {
                (Cone::Wider, false) | (Cone::Narrower, true) => gauge.plus(&change),
                (Cone::Wider, true) | (Cone::Narrower, false) => gauge.minus(&change),
            };
            let ends = if *at_top { [wider, gauge] } else { [gauge, wider] };
            cone(written.surface, ends, *half_angle, *opens)
        }
        WallShape::Thread(thread) if nature == Nature::Bore => {
            draft.threaded(written.surface, *thread, false);
            super::draft::female(written.surface, *thread)
        }
        WallShape::Thread(thread) => {
            draft.threaded(written.surface, *thread, true);
            super::draft::male(written.surface, *thread)
        }
    }
}

/// The top that is certainly highest: turning the part over counts from it.
fn highest(draft: &mut Draft, tops: &[Form]) -> Form {
    let ends = super::possible::ends(&draft.shape.dims);
    let over = |a: &Form, b: &Form| a.minus(b).least(&ends) >= 0;
    let Some(top) = tops.iter().find(|a| tops.iter().all(|b| over(a, b))) else {
        let note = "over their tolerances any of them could be the highest";
        let mend = "give one column a longer ring, or its sizes tolerances";
        let forms: Vec<&Form> = tops.iter().collect();
        let unsure = Impossible::new("it is unsure which column ends highest", note, mend);
        draft.impossible.push(unsure.about(&forms, &draft.shape.dims));
        return Form::zero();
    };
    top.clone()
}
