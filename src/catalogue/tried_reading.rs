//! Reads `[[tried]]` and finds the parts and walls it is about. Must not know what a trial decides.

use super::tried::{Tried, walls};
use super::{Catalogue, VariantIx};
use crate::base::{Entry, Problem, Problems, Span, Table, Text, suggest};
use std::collections::BTreeMap;

/// Further apart than this, bore less outside, two walls are no sliding fit of each other.
const NEAR: i64 = 1_000_000;

/// Ids of parts and boxes, with what each is.
pub(super) type Ids = BTreeMap<String, Vec<(Span, &'static str)>>;

/// A trial with its parts as written.
pub(super) struct WrittenTrial {
    parts: [(Text, Option<Text>); 2],
    surfaces: Option<[Text; 2]>,
    slides: bool,
    by: Option<String>,
    day: Option<String>,
    span: Span,
}

pub(super) fn read_tried(table: Table, problems: &mut Problems) -> Option<WrittenTrial> {
    let of = "a trial";
    let span = table.span;
    let parts = table.needed("parts", of, problems).and_then(|entry| {
        let read: Vec<_> = entry.items().iter().map(|item| read_part(item, problems)).collect();
        pair(read, &entry, "a list of just two parts", problems)
    });
    let surfaces = table.get("surfaces").map(|entry| {
        let read: Vec<_> = entry.items().iter().map(|item| item.text(problems)).collect();
        pair(read, &entry, "a list of a surface of each part", problems)
    });
    let slides = table.needed("slides", of, problems).and_then(|entry| entry.flag(problems));
    let by = table.text("by", problems).map(|t| t.value);
    let day = table.text("day", problems).map(|t| t.value);
    table.finish(of, &super::layouts::TRIED, problems);
    let surfaces = match surfaces {
        Some(read) => Some(read?),
        None => None,
    };
    Some(WrittenTrial { parts: parts?, surfaces, slides: slides?, by, day, span })
}

/// Just two, both read.
fn pair<T>(read: Vec<Option<T>>, entry: &Entry, expected: &str, problems: &mut Problems) -> Option<[T; 2]> {
    if read.len() != 2 {
        return entry.refuse(expected, problems);
    }
    let both: Option<Vec<T>> = read.into_iter().collect();
    both?.try_into().ok()
}

/// `"bars-mere"` or `{ part = "bars-mere", revision = "2" }`.
fn read_part(entry: &Entry, problems: &mut Problems) -> Option<(Text, Option<Text>)> {
    if !entry.is_table() {
        return Some((entry.text(problems)?, None));
    }
    let of = "a part of a trial";
    let table = entry.table(problems)?;
    let part = table.needed_text("part", of, problems);
    let revision = table.text("revision", problems);
    table.finish(of, &super::layouts::TRIED_PART, problems);
    Some((part?, revision))
}

/// Adds the trials whose parts and walls are found; a part that is listed but could not be read makes no second message.
pub(super) fn add_trials(
    catalogue: &mut Catalogue,
    written: Vec<WrittenTrial>,
    ids: &Ids,
    problems: &mut Problems,
) {
    for trial in written {
        let before = problems.errors();
        let variants = trial.parts.each_ref().map(|part| variant(catalogue, part, ids, problems));
        let [Some(one), Some(other)] = variants else { continue };
        let Some((outer, inner)) = fit(catalogue, &trial, [one, other], problems) else { continue };
        if let Some(known) = catalogue.trials.iter().find(|t| t.outer == outer && t.inner == inner) {
            problems.push(
                Problem::error("tried-twice", "these two were tried already")
                    .at(trial.span, "told again here")
                    .at(known.span, "first told here")
                    .mend("keep the one that holds for the parts as they are sold now"),
            );
        }
        if trial.slides && !may_slide(catalogue, outer, inner) {
            problems.push(
                Problem::warning(
                    "tried-tight",
                    "these two slid, and by their sizes the one cannot go into the other",
                )
                .at(trial.span, "")
                .note("a trial settles what sizes leave open; sizes of which none can be right it does not")
                .mend("measure both, and write what the caliper shows"),
            );
        }
        if problems.errors() == before {
            let WrittenTrial { slides, by, day, span, .. } = trial;
            catalogue.trials.push(Tried { outer, inner, slides, by, day, span });
        }
    }
}

/// Some parts within their tolerances slide.
fn may_slide(catalogue: &Catalogue, outer: (VariantIx, &str), inner: (VariantIx, &str)) -> bool {
    let ends = |(v, surface): (VariantIx, &str), bore| walls(&catalogue.variant(v).shape, surface, bore);
    let (bores, outsides) = (ends(outer, true), ends(inner, false));
    bores.iter().all(|bore| outsides.iter().all(|outside| bore.1 >= outside.0))
}

fn variant(
    catalogue: &Catalogue,
    (id, revision): &(Text, Option<Text>),
    ids: &Ids,
    problems: &mut Problems,
) -> Option<VariantIx> {
    let Some(part) = catalogue.find(&id.value) else {
        let listed =
            ids.get(&id.value).is_some_and(|places| places.iter().all(|(_, what)| *what == "a part"));
        if !listed {
            let near = suggest(&id.value, catalogue.parts.iter().map(|p| p.id.as_str()));
            let mend = near
                .map_or("list that part, or take the trial out".to_string(), |n| format!("write \"{n}\""));
            problems.push(
                Problem::error("part-unknown", format!("there is no part \"{}\"", id.value))
                    .at(id.span, "tried")
                    .note("expected the id of a part that some file under parts/ lists")
                    .mend(mend),
            );
        }
        return None;
    };
    let variants = &catalogue.part(part).variants;
    let name = |v: &VariantIx| catalogue.variant(*v).revision.as_ref().map(|r| r.id.as_str());
    let names: Vec<&str> = variants.iter().filter_map(name).collect();
    let wanted = revision.as_ref().map(|r| r.value.as_str());
    let found = variants.iter().find(|v| name(v) == wanted).copied();
    if found.is_none() {
        problems.push(no_such_revision(id, revision.as_ref(), &names));
    }
    found
}

fn no_such_revision(id: &Text, revision: Option<&Text>, names: &[&str]) -> Problem {
    let first = names.first().copied().unwrap_or_default();
    let listed = format!("revisions: {}", names.join(", "));
    let Some(revision) = revision else {
        let fact = format!("{} is made in revisions, and a trial is of one", id.value);
        let mend = format!("write {{ part = \"{}\", revision = \"{first}\" }}", id.value);
        return Problem::error("tried-revision", fact).at(id.span, "").note(listed).mend(mend);
    };
    let fact = format!("{} has no revision \"{}\"", id.value, revision.value);
    let problem = Problem::error("revision-unknown", fact).at(revision.span, "");
    if names.is_empty() {
        return problem.mend("leave the revision out");
    }
    let near = suggest(&revision.value, names.iter().copied()).unwrap_or(first);
    problem.note(listed).mend(format!("write \"{near}\""))
}

type Fit = ((VariantIx, &'static str), (VariantIx, &'static str));

/// Which bore went over which outside: as written, or the only two walls that come near each other.
fn fit(
    catalogue: &Catalogue,
    trial: &WrittenTrial,
    variants: [VariantIx; 2],
    problems: &mut Problems,
) -> Option<Fit> {
    let surfaces = trial.surfaces.as_ref();
    let known = surfaces.is_none_or(|s| all_known(catalogue, variants, s, problems));
    if !known {
        return None;
    }
    let named = |at: usize, surface: &str| surfaces.is_none_or(|s| s[at].value == surface);
    let fits = |a: usize, b: usize| {
        let near = near(catalogue, variants[a], variants[b]);
        near.into_iter().filter(move |f| named(a, f.0.1) && named(b, f.1.1))
    };
    let found: Vec<Fit> = fits(0, 1).chain(fits(1, 0)).collect();
    match found.as_slice() {
        [fit] => return Some(*fit),
        [] => problems.push(
            Problem::error("tried-apart", "by their sizes neither of these two can slide over the other")
                .at(trial.span, "")
                .note("a bore and an outside within 1 mm of each other were looked for")
                .mend("look whether the parts and their sizes are right"),
        ),
        several => problems.push(several_meant(trial, variants, several)),
    }
    None
}

fn several_meant(trial: &WrittenTrial, variants: [VariantIx; 2], several: &[Fit]) -> Problem {
    let written = |f: &Fit| {
        let order = if f.0.0 == variants[0] { [f.0.1, f.1.1] } else { [f.1.1, f.0.1] };
        format!("[\"{}\", \"{}\"]", order[0], order[1])
    };
    let all: Vec<String> = several.iter().map(written).collect();
    Problem::error("tried-surfaces", "more than one fit of these two may be meant")
        .at(trial.span, "")
        .note(format!("these walls come near each other: {}", all.join(", ")))
        .mend(format!("add surfaces = {}", all.first().map_or("", String::as_str)))
}

fn all_known(
    catalogue: &Catalogue,
    variants: [VariantIx; 2],
    surfaces: &[Text; 2],
    problems: &mut Problems,
) -> bool {
    for (variant, surface) in variants.iter().zip(surfaces) {
        let shape = &catalogue.variant(*variant).shape;
        if shape.has_surface(&surface.value) {
            continue;
        }
        let mut names: Vec<&str> = shape.walls().map(|w| w.surface).filter(|n| !n.is_empty()).collect();
        names.sort_unstable();
        names.dedup();
        let id = &catalogue.part_of(*variant).id;
        let mend = suggest(&surface.value, names.iter().copied())
            .map_or("write one of these".to_string(), |near| format!("write \"{near}\""));
        problems.push(
            Problem::error("surface-unknown", format!("{id} has no surface \"{}\"", surface.value))
                .at(surface.span, "")
                .note(format!("surfaces: {}", names.join(", ")))
                .mend(mend),
        );
        return false;
    }
    true
}

/// Bores of the one and outsides of the other that may be within [`NEAR`] of each other, each pair of names once.
fn near(catalogue: &Catalogue, outer: VariantIx, inner: VariantIx) -> Vec<Fit> {
    let names = |v: VariantIx, bore: bool| {
        let segments = catalogue.variant(v).shape.columns.iter().flat_map(|c| &c.segments);
        let mut names: Vec<&'static str> =
            segments.map(|s| if bore { s.bore.surface } else { s.outside.surface }).collect();
        names.retain(|name| !name.is_empty());
        names.sort_unstable();
        names.dedup();
        names
    };
    let ends = |v: VariantIx, surface: &str, bore: bool| walls(&catalogue.variant(v).shape, surface, bore);
    let mut found = vec![];
    for bore in names(outer, true) {
        for outside in names(inner, false) {
            let outsides = ends(inner, outside, false);
            let close = |b: &(i64, i64)| outsides.iter().any(|o| b.0 - o.1 <= NEAR && b.1 - o.0 >= -NEAR);
            if ends(outer, bore, true).iter().any(close) {
                found.push(((outer, bore), (inner, outside)));
            }
        }
    }
    found
}
