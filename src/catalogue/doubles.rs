//! Parts that are the same in everything that counts, under two ids. Must not know what either is for.

use std::collections::BTreeMap;

use super::{Catalogue, Part, PartIx, Variant};
use crate::base::{Problem, Problems};
use crate::kinds::Shape;

/// Two articles of one kind and maker, alike in every size: one message for each that repeats an earlier one.
pub(super) fn report(catalogue: &Catalogue, problems: &mut Problems) {
    let mut seen: BTreeMap<String, PartIx> = BTreeMap::new();
    let mut order: Vec<u32> = (0..catalogue.parts.len() as u32).collect();
    order.sort_by_key(|&index| catalogue.part(PartIx(index)).span);
    for index in order.into_iter().map(PartIx) {
        let part = catalogue.part(index);
        let first = *seen.entry(likeness(catalogue, part)).or_insert(index);
        let first = catalogue.part(first);
        // One id twice is an error of its own.
        if first.id == part.id {
            continue;
        }
        problems.push(
            Problem::warning(
                "part-alike",
                format!("\"{}\" and \"{}\" are alike in every size", part.id, first.id),
            )
            .at(part.span, "the same again")
            .at(first.span, "first here")
            .note("same kind, maker, material, sizes and deviations: nothing tells them apart on the bench")
            .mend("correct the size that differs, or list one part with its colours"),
        );
    }
}

/// Two parts of one kind, or two boxes, of one name and maker: on pages nobody could tell which is meant.
pub(super) fn report_names(catalogue: &Catalogue, problems: &mut Problems) {
    let parts = catalogue.parts.iter().map(|p| ((p.kind, &p.name, &p.maker), p.id.as_str(), p.span));
    let boxes = catalogue.boxes.iter().map(|b| (("box", &b.name, &b.maker), b.id.as_str(), b.span));
    let mut all: Vec<_> = parts.chain(boxes).collect();
    all.sort_by_key(|(_, _, span)| *span);
    let mut seen = BTreeMap::new();
    for (name, id, span) in all {
        let (first, first_span) = *seen.entry(name).or_insert((id, span));
        let alike = |p: &Problem| p.code == "part-alike" && p.places.first().is_some_and(|p| p.span == span);
        if first == id || problems.0.iter().any(alike) {
            continue;
        }
        problems.push(
            Problem::warning("name-twice", format!("\"{id}\" and \"{first}\" have one name: {}", name.1))
                .at(span, "the same name again")
                .at(first_span, "first here")
                .note("pages name parts, not ids")
                .mend("add to one of the names what tells them apart"),
        );
    }
}

/// Everything that a bench could tell two parts apart by, without places and the author's ways of writing.
fn likeness(catalogue: &Catalogue, part: &Part) -> String {
    let shape = |variant: &Variant| {
        let mut shape: Shape = variant.shape.clone();
        shape.fields = None;
        for dim in &mut shape.dims {
            (dim.span, dim.dimension.written) = (None, String::new());
        }
        let revision = variant.revision.as_ref().map(|r| (r.id.clone(), r.sold));
        format!("{revision:?} {shape:?}")
    };
    let variants: Vec<String> = part.variants.iter().map(|&v| shape(catalogue.variant(v))).collect();
    format!("{:?} {:?} {variants:?}", part.kind, part.maker)
}
