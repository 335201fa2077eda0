//! What the page for whoever keeps the book shows. Must not know what may be written, nor a template.

use serde::Serialize;
use std::collections::BTreeMap;

use crate::reference::{Row, Sort, Topic};

/// All that may be written, with a drawing of an example for each kind.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reference {
    pub topics: Vec<Topic>,
    /// By kind, a whole `<svg>` element.
    pub drawings: BTreeMap<String, String>,
}

#[derive(Serialize)]
pub(super) struct ReferenceView<'a> {
    sorts: Vec<SortView<'a>>,
}

#[derive(Serialize)]
struct SortView<'a> {
    anchor: String,
    title: &'static str,
    topics: Vec<TopicView<'a>>,
}

#[derive(Serialize)]
struct TopicView<'a> {
    name: &'a str,
    anchor: String,
    about: &'a str,
    header: &'a str,
    place: &'a str,
    rows: Vec<RowView<'a>>,
    /// Some rows say when they are needed.
    needs: bool,
    notes: &'a [String],
    example: &'a str,
    drawing: Option<&'a str>,
}

#[derive(Serialize)]
struct RowView<'a> {
    name: &'a str,
    about: &'a str,
    holds: &'a str,
    need: &'a str,
    /// Empty where the name says it all.
    example: &'a str,
}

impl<'a> ReferenceView<'a> {
    pub fn of(reference: &'a Reference) -> ReferenceView<'a> {
        let sorts = Sort::ALL.into_iter().enumerate().map(|(nth, sort)| SortView {
            anchor: format!("sort-{}", nth + 1),
            title: sort.title(),
            topics: reference
                .topics
                .iter()
                .filter(|topic| topic.sort == sort)
                .map(|topic| TopicView::of(topic, reference))
                .collect(),
        });
        ReferenceView { sorts: sorts.collect() }
    }
}

impl<'a> TopicView<'a> {
    fn of(topic: &'a Topic, reference: &'a Reference) -> TopicView<'a> {
        TopicView {
            name: &topic.name,
            anchor: format!("topic-{}", topic.name),
            about: &topic.about,
            header: &topic.header,
            place: &topic.place,
            rows: topic.rows.iter().map(RowView::of).collect(),
            needs: topic.rows.iter().any(|row| !row.need.is_empty()),
            notes: &topic.notes,
            example: &topic.example,
            drawing: reference.drawings.get(&topic.name).map(String::as_str),
        }
    }
}

impl<'a> RowView<'a> {
    fn of(row: &'a Row) -> RowView<'a> {
        let example = if row.example == row.name { "" } else { row.example.as_str() };
        RowView { name: &row.name, about: &row.about, holds: &row.holds, need: &row.need, example }
    }
}
