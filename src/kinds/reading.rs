//! Reads the fields of a kind from a part's table, and tells which are missing. Must not know parts.

use super::questions::{self, Question};
use super::raw_columns::read_columns;
use super::{Field, FieldType, Kind, Need, Written, WrittenFields, WrittenValue};
use crate::base::{Entry, Problem, Problems, Span, Table, Text, missing, suggest};
use crate::quantity::{
    Angle, Defaults, Dimension, Length, Misread, Nature, Origin, Thread, TorqueRange, read_dimension,
    read_length,
};

/// Everything of `kind` that stands in the table. What is there and cannot be read, or cannot be meant, is reported and
/// kept as [`WrittenValue::Misread`], so that it is not also reported as missing. What is only unusual is asked about.
pub fn read_fields(
    kind: &'static Kind,
    table: &Table,
    defaults: &Defaults,
    problems: &mut Problems,
) -> WrittenFields {
    let mut fields = WrittenFields::new();
    for field in kind.fields {
        if let Some(entry) = table.get(field.name) {
            let value =
                read_field((kind, field), &entry, defaults, problems).unwrap_or(WrittenValue::Misread);
            fields.insert(field.name, Written { value, span: entry.span });
        }
    }
    fields
}

fn read_field(
    (kind, field): (&Kind, &Field),
    entry: &Entry,
    defaults: &Defaults,
    problems: &mut Problems,
) -> Option<WrittenValue> {
    match field.what {
        FieldType::Dimension(nature) => {
            let read = |text: &str| read_dimension(text, nature, defaults);
            size((kind, field), entry, problems, read).map(WrittenValue::Dimension)
        }
        FieldType::Dimensions(nature) => dimensions((kind, field), entry, nature, defaults, problems),
        FieldType::Angle => {
            let angle = read_as(entry, problems, "angle-misread", Angle::read)?;
            asked(questions::about_angle(kind, field, angle), entry.span, problems)?;
            Some(WrittenValue::Angle(angle))
        }
        FieldType::Thread => {
            read_as(entry, problems, "thread-misread", Thread::read).map(WrittenValue::Thread)
        }
        FieldType::Torque => {
            let written = entry.size(problems)?;
            let torque = located(&written, problems, "torque-misread", TorqueRange::read)?;
            asked(questions::about_torque(kind, field, torque), entry.span, problems)?;
            Some(WrittenValue::Torque(torque, written.value))
        }
        FieldType::KeySize => {
            let read = |text: &str| read_length(text).map(Dimension::exactly);
            size((kind, field), entry, problems, read).map(|d| WrittenValue::KeySize(d.nominal))
        }
        FieldType::Flag => entry.flag(problems).map(WrittenValue::Flag),
        FieldType::Text => entry.size(problems).map(|t| WrittenValue::Text(t.value)),
        FieldType::Choice(choices) => choice(entry, (choices, field.about), problems).map(WrittenValue::Text),
        FieldType::Columns => read_columns(entry, defaults, problems).map(WrittenValue::Columns),
    }
}

/// A text or number by one of the readers of quantities; a refusal is placed at the character.
fn read_as<T>(
    entry: &Entry,
    problems: &mut Problems,
    code: &'static str,
    read: impl Fn(&str) -> Result<T, Misread>,
) -> Option<T> {
    let text = entry.size(problems)?;
    located(&text, problems, code, read)
}

pub(super) fn located<T>(
    text: &Text,
    problems: &mut Problems,
    code: &'static str,
    read: impl Fn(&str) -> Result<T, Misread>,
) -> Option<T> {
    match read(&text.value) {
        Ok(value) => Some(value),
        Err(misread) => {
            problems.push(misread_problem(text, misread, code));
            None
        }
    }
}

/// A refused quantity as a problem at its character.
pub fn misread_problem(text: &Text, misread: Misread, code: &'static str) -> Problem {
    Problem::error(code, misread.fact)
        .at(text.part(misread.at), "")
        .note(format!("expected {}", misread.expected))
        .mend(misread.mend)
}

/// A size of this field, asked about where it is unusual. Of a size that is refused for how large it is the likely
/// slip is told.
fn size(
    (kind, field): (&Kind, &Field),
    entry: &Entry,
    problems: &mut Problems,
    read: impl Fn(&str) -> Result<Dimension, Misread>,
) -> Option<Dimension> {
    let text = entry.size(problems)?;
    let about = |length: Length| questions::about_length(kind, field, length, &text.value);
    match read(&text.value) {
        Ok(dimension) => {
            let deviation = || stated_deviation(field.what.nature()?, &dimension);
            asked(about(dimension.nominal).or_else(deviation), entry.span, problems)?;
            Some(dimension)
        }
        Err(misread) => {
            let problem = match misread.size.and_then(about) {
                Some(question) => {
                    let mut problem = question.problem(entry.span);
                    questions::must_change(&mut problem, misread.fact);
                    problem
                }
                None => misread_problem(&text, misread, "size-misread"),
            };
            problems.push(problem);
            None
        }
    }
}

/// What a class or a caliper gives is not the author's figure, and not asked about.
fn stated_deviation(nature: Nature, dimension: &Dimension) -> Option<Question> {
    let stated = matches!(dimension.origin, Origin::Stated | Origin::Measured);
    questions::about_deviation(nature, dimension).filter(|_| stated)
}

/// Asks, if there is a question; `None` where what was written cannot be meant.
pub(super) fn asked(question: Option<Question>, at: Span, problems: &mut Problems) -> Option<()> {
    let Some(question) = question else { return Some(()) };
    let possible = !question.impossible;
    problems.push(question.problem(at));
    possible.then_some(())
}

/// A size that is no field's own: of a ring in raw columns.
fn dimension(
    entry: &Entry,
    nature: Nature,
    defaults: &Defaults,
    problems: &mut Problems,
) -> Option<Dimension> {
    let read = read_as(entry, problems, "size-misread", |text| read_dimension(text, nature, defaults))?;
    asked(stated_deviation(nature, &read), entry.span, problems)?;
    Some(read)
}

pub(super) fn placed_dimension(
    entry: &Entry,
    nature: Nature,
    defaults: &Defaults,
    problems: &mut Problems,
) -> Option<(Dimension, Span)> {
    dimension(entry, nature, defaults, problems).map(|d| (d, entry.span))
}

fn dimensions(
    of: (&Kind, &Field),
    entry: &Entry,
    nature: Nature,
    defaults: &Defaults,
    problems: &mut Problems,
) -> Option<WrittenValue> {
    let items = entry.items();
    let mut one = |item: &Entry| {
        let read = size(of, item, problems, |text| read_dimension(text, nature, defaults));
        Some((read?, item.span))
    };
    let read: Vec<_> = items.iter().filter_map(&mut one).collect();
    if items.is_empty() {
        return entry.refuse("at least one size", problems);
    }
    (read.len() == items.len()).then_some(WrittenValue::Dimensions(read))
}

fn choice(entry: &Entry, (choices, about): (&[&str], &str), problems: &mut Problems) -> Option<String> {
    let text = entry.text(problems)?;
    if choices.contains(&text.value.as_str()) {
        return Some(text.value);
    }
    let near = suggest(&text.value, choices.iter().copied());
    let mend = near.map_or_else(|| "write one of these".to_string(), |near| format!("write \"{near}\""));
    problems.push(
        Problem::error("choice-unknown", format!("\"{}\" is no choice here", text.value))
            .at(text.span, "")
            .note(format!("expected one of: {} ({about})", choices.join(", ")))
            .mend(mend),
    );
    None
}

/// Reports what is missing or without meaning; true when the fields are whole. All that is missing of a part is one message.
pub fn complete(kind: &Kind, fields: &WrittenFields, of: &str, at: Span, problems: &mut Problems) -> bool {
    let before = problems.0.len();
    let mut lacks: Vec<(&str, Why)> = vec![];
    let mut groups: Vec<&str> = vec![];
    for field in kind.fields {
        match (fields.contains_key(field.name), field.need) {
            (false, Need::Required) => lacks.push((field.name, Why::Always)),
            (false, Need::Unless(other, _)) if !fields.contains_key(other) => {
                lacks.push((field.name, Why::Unless(other)));
            }
            (false, Need::When(when, value)) if holds(fields, when, value) => {
                lacks.push((field.name, Why::When(when, value)));
            }
            (false, Need::Together(group) | Need::Unless(_, group)) if !groups.contains(&group) => {
                groups.push(group);
                problems.0.extend(lonely(kind, fields, group, at));
            }
            (true, Need::When(when, value)) if !holds(fields, when, value) => {
                problems.0.extend(fields.get(field.name).map(|w| idle(field.name, when, value, w.span)));
            }
            _ => {}
        }
    }
    problems.0.extend(lacking(kind, &lacks, of, at));
    problems.0.len() == before
}

/// Why a field is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Why {
    Always,
    /// That one would do as well.
    Unless(&'static str),
    /// That field has this value.
    When(&'static str, &'static str),
}

impl Why {
    fn note(self, what: &str) -> Option<String> {
        match self {
            Why::Always => None,
            Why::Unless(other) => Some(format!("{other} can stand in {what}")),
            Why::When(when, value) => Some(format!("{when} = {value} asks for {what}")),
        }
    }
}

fn lacking(kind: &Kind, lacks: &[(&str, Why)], of: &str, at: Span) -> Option<Problem> {
    let problem = match lacks {
        [] => return None,
        [(name, why)] => {
            let what = if matches!(why, Why::Unless(_)) { "its place" } else { "it" };
            return Some(why.note(what).into_iter().fold(missing(name, of, at), Problem::note));
        }
        _ => Problem::error(
            "field-missing",
            format!("{of} is half finished: {} fields are missing", lacks.len()),
        ),
    };
    let names = |why: Option<Why>| -> String {
        let of_it = lacks.iter().filter(|(_, own)| why.is_none_or(|why| why == *own));
        of_it.map(|(name, _)| *name).collect::<Vec<_>>().join(", ")
    };
    let mut problem = problem.at(at, "").note(format!("missing: {}", names(None)));
    let mut told = vec![Why::Always];
    for &(_, why) in lacks {
        if !told.contains(&why) {
            told.push(why);
            let named = names(Some(why));
            let what = if matches!(why, Why::Unless(_)) { format!("place of {named}") } else { named };
            problem = why.note(&what).into_iter().fold(problem, Problem::note);
        }
    }
    Some(problem.mend(format!("add them; `benchleaf reference {}` tells what each means", kind.name)))
}

/// A group of which some fields are there and others are not.
fn lonely(kind: &Kind, fields: &WrittenFields, group: &str, at: Span) -> Option<Problem> {
    let of_group = |f: &&Field| matches!(f.need, Need::Together(g) | Need::Unless(_, g) if g == group);
    let members: Vec<&str> = kind.fields.iter().filter(of_group).map(|f| f.name).collect();
    let (there, lacks): (Vec<&str>, Vec<&str>) = members.iter().partition(|name| fields.contains_key(**name));
    let there = there.first()?;
    let span = fields.get(*there).map_or(at, |w| w.span);
    let are = if lacks.len() == 1 { "is" } else { "are" };
    let values: Vec<String> = lacks.iter().map(|name| format!("{name} = …")).collect();
    Some(
        Problem::error("field-missing", format!("{there} comes with {}", lacks.join(", ")))
            .at(span, format!("{} {are} missing", lacks.join(", ")))
            .note(format!("all or none of: {}", members.join(", ")))
            .mend(format!("add {}, or take {there} out", values.join(", "))),
    )
}

fn holds(fields: &WrittenFields, name: &str, value: &str) -> bool {
    match fields.get(name).map(|w| &w.value) {
        Some(WrittenValue::Flag(flag)) => flag.to_string() == value,
        Some(WrittenValue::Text(text)) => text == value,
        _ => false,
    }
}

fn idle(name: &str, when: &str, value: &str, span: Span) -> Problem {
    Problem::error("field-idle", format!("{name} says nothing unless {when} = {value}"))
        .at(span, "")
        .mend(format!("take it out, or set {when} = {value}"))
}
