//! `reference`: what may be written in a book, one kind, entry or field at a time. Knows only how it is laid out.

use super::{Ending, args, say};
use crate::base::suggest;
use crate::reference::{Row, Sort, Topic, schema, topics};

/// Columns of a terminal.
const WIDTH: usize = 100;
/// Where the text of a field begins.
const INDENT: usize = 20;

pub fn run(typed: &args::Reference) -> Ending {
    if let Some(name) = &typed.schema {
        return say::results([schema(name).as_str()].into_iter(), Ending::Done);
    }
    let all = topics();
    let found = match (&typed.name, &typed.field) {
        (None, _) => Ok(listing(&all)),
        (Some(name), None) => whole(&all, name),
        (Some(name), Some(field)) => one_field(&all, name, field),
    };
    match found {
        Ok(lines) => say::results(lines.iter().map(String::as_str), Ending::Done),
        Err((fact, mend)) => {
            let ending = say::wrong_command(&fact);
            say::message(&format!("do this: {mend}"));
            ending
        }
    }
}

type Refused = (String, String);

fn listing(all: &[Topic]) -> Vec<String> {
    let mut lines = vec![];
    for sort in Sort::ALL {
        lines.push(format!("{}:", sort.title()));
        for topic in all.iter().filter(|topic| topic.sort == sort) {
            lines.extend(hanging(&topic.name, &topic.about));
        }
        lines.push(String::new());
    }
    lines.push(
        "benchleaf reference NAME tells all of one, benchleaf reference NAME FIELD one line of it.".into(),
    );
    lines
}

/// The topic of that name; else the field, wherever there is one.
fn whole(all: &[Topic], name: &str) -> Result<Vec<String>, Refused> {
    if let Some(topic) = find(all, name) {
        return Ok(told(topic));
    }
    let with = all.iter().filter(|topic| topic.rows.iter().any(|row| row.name == name));
    let lines: Vec<String> = with.flat_map(|topic| in_topic(topic, name)).collect();
    if !lines.is_empty() {
        return Ok(lines);
    }
    let words = || all.iter().flat_map(|t| std::iter::once(&t.name).chain(t.rows.iter().map(|r| &r.name)));
    let mend = suggest(name, words().map(String::as_str))
        .map_or("benchleaf reference, without a name, lists all".into(), |n| {
            format!("benchleaf reference {n}")
        });
    Err((format!("nothing in a book is called \"{name}\""), mend))
}

fn one_field(all: &[Topic], name: &str, field: &str) -> Result<Vec<String>, Refused> {
    let Some(topic) = find(all, name) else { return whole(all, name) };
    let lines = in_topic(topic, field);
    if !lines.is_empty() {
        return Ok(lines);
    }
    let near = suggest(field, topic.rows.iter().map(|row| row.name.as_str()));
    let mend = match near {
        Some(near) => format!("benchleaf reference {name} {near}"),
        None => format!("benchleaf reference {name}"),
    };
    Err((format!("{name} has no field \"{field}\""), mend))
}

/// `[[slot]]` and `slot` are one name.
fn find<'t>(all: &'t [Topic], name: &str) -> Option<&'t Topic> {
    let bare = name.trim_matches(['[', ']']).rsplit('.').next().unwrap_or(name);
    all.iter().find(|topic| topic.name == bare || topic.name == name)
}

fn in_topic(topic: &Topic, field: &str) -> Vec<String> {
    let rows = topic.rows.iter().filter(|row| row.name == field);
    let lines: Vec<String> = rows.flat_map(row).collect();
    if lines.is_empty() {
        return lines;
    }
    std::iter::once(head(topic)).chain(lines).chain([String::new()]).collect()
}

fn head(topic: &Topic) -> String {
    let place = [topic.header.as_str(), topic.place.as_str()].into_iter().filter(|t| !t.is_empty());
    let place: Vec<&str> = place.collect();
    format!("{}: {}  ({})", topic.name, topic.about, place.join(", "))
}

fn told(topic: &Topic) -> Vec<String> {
    let mut lines = wrapped(&head(topic), 0);
    lines.push(String::new());
    lines.extend(topic.rows.iter().flat_map(row));
    if !topic.notes.is_empty() {
        lines.push(String::new());
        lines.extend(topic.notes.iter().flat_map(|note| wrapped(note, 0)));
    }
    if !topic.example.is_empty() {
        lines.extend([String::new(), "in the demo book:".into(), String::new()]);
        lines.extend(topic.example.lines().map(|line| format!("  {line}")));
    }
    lines
}

fn row(row: &Row) -> Vec<String> {
    let mut lines = hanging(&row.name, &row.about);
    let need = [row.holds.as_str(), row.need.as_str()].into_iter().filter(|t| !t.is_empty());
    let need = need.collect::<Vec<_>>().join("; ");
    if !need.is_empty() {
        lines.extend(wrapped(&need, INDENT));
    }
    if row.example != row.name {
        lines.push(format!("{:INDENT$}{}", "", row.example));
    }
    lines
}

/// A name, and its text beside it.
fn hanging(name: &str, text: &str) -> Vec<String> {
    let mut lines = wrapped(text, INDENT);
    let room = INDENT - 4;
    match lines.first_mut() {
        Some(first) if name.chars().count() <= room => {
            *first = format!("  {name:<w$}{}", first.trim_start(), w = INDENT - 2)
        }
        _ => lines.insert(0, format!("  {name}")),
    }
    lines
}

fn wrapped(text: &str, indent: usize) -> Vec<String> {
    let mut lines = vec![];
    let mut line = String::new();
    for word in text.split(' ') {
        let length = indent + line.chars().count() + 1 + word.chars().count();
        if !line.is_empty() && length > WIDTH {
            lines.push(format!("{:indent$}{line}", ""));
            line.clear();
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    lines.push(format!("{:indent$}{line}", ""));
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kind_an_entry_or_a_field_is_found_by_its_name() {
        let all = topics();
        assert!(whole(&all, "shim").is_ok_and(|lines| lines.iter().any(|l| l.contains("lip_height"))));
        assert!(whole(&all, "[[slot]]").is_ok_and(|lines| lines[0].starts_with("slot: ")));
        assert!(whole(&all, "steerer_bore").is_ok_and(|lines| lines[0].starts_with("fork: ")));
        let near = whole(&all, "steerer_bor").err().map(|refused| refused.1);
        assert_eq!(near.as_deref(), Some("benchleaf reference steerer_bore"));
    }
}
