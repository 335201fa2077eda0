//! The steps of a guide as a page shows them. Must not know how they were found.

use std::collections::BTreeSet;

use serde::Serialize;

use super::DrawingWhat;
use super::glance_view::CautionView;
use super::links::safe;
use crate::guide::{GuideAnswer, GuideStep};

#[derive(Serialize)]
pub struct StepView<'a> {
    number: usize,
    anchor: String,
    text: &'a str,
    also: &'a [String],
    warning: Option<&'a str>,
    cautions: Vec<CautionView<'a>>,
    held: Option<&'a str>,
    feel: Option<&'a str>,
    part_number: Option<usize>,
    tool: Option<&'a str>,
    torque: Option<&'a str>,
    reach: Option<&'a str>,
    drawings: Vec<&'a str>,
    #[serde(rename = "where")]
    whereabouts: Vec<&'a str>,
}

/// A step's anchor is its id in the rule file; the second item with the same step gets its number after it.
pub fn steps<'b>(
    answer: &'b GuideAnswer,
    anchor: &str,
    drawn: impl Fn(DrawingWhat) -> Vec<&'b str>,
) -> Vec<StepView<'b>> {
    let mut taken = BTreeSet::new();
    let mut view = |step: &'b GuideStep| {
        let plain = format!("{anchor}step-{}", safe(&step.id));
        let anchor = if taken.insert(plain.clone()) { plain } else { format!("{plain}-at-{}", step.number) };
        StepView {
            number: step.number,
            anchor,
            text: &step.text,
            also: &step.also,
            warning: step.warning.as_deref(),
            cautions: step.cautions.iter().map(CautionView::of).collect(),
            held: step.held.as_deref(),
            feel: step.feel.as_deref(),
            part_number: step.part_number,
            tool: step.tool.as_deref(),
            torque: step.torque.as_deref(),
            reach: step.reach.as_deref(),
            drawings: drawn(DrawingWhat::Step(step.number)),
            whereabouts: drawn(DrawingWhat::Where(Some(step.number))),
        }
    };
    answer.steps.iter().map(&mut view).collect()
}
