//! Nothing that the readers accept is missing in the reference.

use super::*;
use crate::base::Layout;
use crate::catalogue::layouts as parts;
use crate::kinds;
use crate::rules::layouts as rules;
use std::collections::BTreeSet;

fn topic<'t>(all: &'t [Topic], name: &str) -> &'t Topic {
    all.iter().find(|t| t.name == name).unwrap_or_else(|| panic!("no topic {name}"))
}

fn layouts() -> Vec<&'static Layout> {
    let own = [&kinds::COLUMN, &kinds::RING];
    parts::ALL.into_iter().chain(rules::ALL).chain(own).collect()
}

/// A reader refuses every key that its layout does not list ([`crate::base::Table::finish`]), and no layout lists a table
/// that is not itself told.
#[test]
fn every_key_of_every_table_that_a_reader_takes_is_told() {
    let all = topics();
    for layout in layouts() {
        let told = topic(&all, layout.name);
        for key in layout.keys {
            let row = told.rows.iter().find(|row| row.name == key.name);
            assert!(row.is_some_and(|row| !row.about.is_empty()), "{}.{}", layout.name, key.name);
            use crate::base::Holds::*;
            if let Table(inner) | Tables(inner) | TextsOrTables(inner) | NamedTables(inner) = key.holds {
                topic(&all, inner.name);
            }
        }
        for also in layout.also {
            topic(&all, also.name);
        }
    }
}

#[test]
fn every_field_of_every_kind_is_told_with_a_meaning_and_an_example() {
    let all = topics();
    for kind in kinds::all() {
        let told = topic(&all, kind.name);
        assert!(!told.about.is_empty() && !told.example.is_empty(), "{}", kind.name);
        for field in kind.fields {
            let row = told.rows.iter().find(|row| row.name == field.name);
            let texts = |row: &Row| [&row.about, &row.holds, &row.need, &row.example].map(|t| t.is_empty());
            let whole = |row: &Row| !texts(row).contains(&true);
            assert!(row.is_some_and(whole), "{}.{}", kind.name, field.name);
        }
        for surface in kind.surfaces {
            assert!(told.notes.iter().any(|note| note.contains(surface.0)), "{}.{}", kind.name, surface.0);
        }
    }
}

#[test]
fn every_place_of_a_sentence_is_told_with_what_it_is_filled_with() {
    let all = topics();
    let places = crate::rules::PLACES.iter().chain(&crate::rules::CHANGE_PLACES);
    for place in places {
        let row = topic(&all, "place").rows.iter().find(|row| row.name == format!("{{{place}}}"));
        assert!(row.is_some_and(|row| !row.about.is_empty()), "{place}");
    }
}

/// Kinds and entries are asked for by name: `slit` may be one thing only.
#[test]
fn no_two_topics_have_one_name() {
    let all = topics();
    let names: BTreeSet<&str> = all.iter().map(|t| t.name.as_str()).collect();
    assert_eq!(names.len(), all.len());
}

/// What stands behind `=` is TOML.
#[test]
fn every_example_is_written_as_it_would_stand_in_a_file() {
    for topic in topics() {
        assert!(topic.example.parse::<toml::Table>().is_ok(), "{}: {}", topic.name, topic.example);
        if topic.sort == Sort::Writing || topic.name == "stock" {
            continue;
        }
        for row in &topic.rows {
            assert!(row.example.parse::<toml::Table>().is_ok(), "{}: {}", topic.name, row.example);
        }
    }
}
