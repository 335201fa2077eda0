//! Written tables: digits, places, what is told.

use super::*;
use crate::base::{Holds, Wanted, key};

fn read(text: &str, ask: impl Fn(&Table, &mut Problems)) -> (Sources, Problems) {
    let mut sources = Sources::default();
    let file = sources.add("parts/a.toml", text);
    let mut problems = Problems::default();
    let document = Document::parse(&sources, file, &mut problems);
    ask(&document.root(), &mut problems);
    drop(document);
    (sources, problems)
}

#[test]
fn digits_are_kept_as_written() {
    read("bore = 28.60\n", |table, problems| {
        assert_eq!(table.size("bore", problems).map(|t| t.value).as_deref(), Some("28.60"));
    });
}

#[test]
fn a_piece_of_a_text_has_its_own_place() {
    let mut sources = Sources::default();
    let file = sources.add("a", "x = 'é 28,6'\ny = \"a\\tb\"\n");
    let mut problems = Problems::default();
    let document = Document::parse(&sources, file, &mut problems);
    let text = document.root().text("x", &mut problems).map(|t| t.part(3..7));
    assert_eq!(text.map(|s| sources.text_at(s)), Some("28,6"));
    let whole = document.root().text("y", &mut problems).map(|t| t.part(2..3));
    assert_eq!(whole.map(|s| sources.text_at(s)), Some("\"a\\tb\""));
}

static SHIM: Layout = Layout {
    name: "shim",
    header: "",
    place: "",
    about: "",
    keys: &[
        key("inside", Holds::Size, Wanted::Always, "", ""),
        key("outside", Holds::Size, Wanted::Always, "", ""),
    ],
    also: &[],
};

#[test]
fn what_is_in_no_layout_is_reported_with_the_nearest_field_not_yet_used() {
    let (sources, problems) = read("inside = 1\noutsied = 2\n", |table, problems| {
        table.size("inside", problems);
        table.size("outside", problems);
        Table {
            file: table.file,
            text: table.text,
            table: table.table,
            span: table.span,
            asked: table.asked.clone(),
        }
        .finish("a shim", &SHIM, problems);
    });
    assert_eq!(problems.0.len(), 1);
    assert_eq!(problems.0[0].mend, "write outside");
    assert_eq!(sources.text_at(problems.0[0].places[0].span), "outsied");
}

#[test]
fn infinity_is_no_size() {
    let (_, problems) =
        read("bore = inf\n", |table, problems| assert!(table.size("bore", problems).is_none()));
    assert_eq!(problems.0[0].code, "field-type");
}

#[test]
fn what_follows_a_broken_line_is_still_there() {
    let (_, problems) = read("a = \"x\"\nb \"y\"\nc = \"z\"\n", |table, problems| {
        assert_eq!(table.text("c", problems).map(|t| t.value).as_deref(), Some("z"));
        assert!(table.get("b").is_none());
    });
    assert_eq!(problems.0.len(), 1);
}

#[test]
fn a_text_full_of_errors_ends_and_keeps_its_places() {
    let text = "= = =\n[[\n\"\"\"\né\u{a0}{ [ \n".repeat(60);
    let (sources, problems) = read(&text, |_, _| ());
    assert!(problems.any_error());
    for problem in &problems.0 {
        assert!(problem.places[0].span.end as usize <= text.len(), "{:?}", sources.iter().count());
    }
}
