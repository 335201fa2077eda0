//! Single things left out of one small system, and what its author is told.

use super::super::read_rules;
use crate::base::{BookFiles, Problems, Sources};

const PLAIN: &str = include_str!("../../../tests/good/plain/content/systems/plain.toml");

fn codes(text: &str) -> Vec<&'static str> {
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let files = BookFiles::from([("content/systems/plain.toml".to_string(), text.as_bytes().to_vec())]);
    let rules = read_rules(&files, &mut sources, &mut problems);
    assert_eq!(rules.is_some(), problems.0.is_empty());
    problems.0.iter().map(|p| p.code).collect()
}

/// The text with one piece written anew, which must be there.
fn with(from: &str, to: &str) -> String {
    assert!(PLAIN.contains(from), "{from}");
    PLAIN.replacen(from, to, 1)
}

#[test]
fn a_rule_that_says_all_of_it_is_told_nothing() {
    assert!(codes(PLAIN).is_empty());
}

#[test]
fn none_is_said_in_words_and_not_by_silence() {
    assert!(codes(&with("least = \"30\"", "least = \"none\"")).is_empty());
    assert_eq!(codes(&with(", least = \"30\"", "")), ["entry-left-out"]);
    assert_eq!(codes(&with("overlap = \"none\"\n", "")), ["entry-left-out"]);
    assert!(codes(&with("overlap = \"none\"\n", "overlap = \"20\"\n")).is_empty());
}

#[test]
fn steps_under_a_condition_and_its_contrary_leave_no_case_out() {
    let clamp_on = "id = \"clamp-on\"\nslot = \"clamp\"\n";
    let when = format!("{clamp_on}when = [\"shim\"]\n");
    assert_eq!(codes(&with(clamp_on, &when)), ["step-left-out"]);
    let contrary = "[[step]]\nid = \"clamp-bare\"\nslot = \"clamp\"\nwhen = [\"no shim\"]\nsay = \"Slide it on.\"\nreach = \"above\"\n\n";
    let both = with(clamp_on, &when).replacen("[[step]]", &format!("{contrary}[[step]]"), 1);
    assert!(codes(&both).is_empty());
}

#[test]
fn a_condition_that_always_holds_leaves_no_case_out() {
    let clamp_on = "id = \"clamp-on\"\nslot = \"clamp\"\n";
    assert!(codes(&with(clamp_on, &format!("{clamp_on}when = [\"clamp\"]\n"))).is_empty());
    assert!(codes(&with(clamp_on, &format!("{clamp_on}when = [\"fork\"]\n"))).is_empty());
    assert_eq!(codes(&with(clamp_on, &format!("{clamp_on}when = [\"no clamp\"]\n"))), ["step-left-out"]);
}

#[test]
fn a_bore_is_free_over_one_reach_alone() {
    let reached = with("\"fork.thread\", \"fork.upper\"", "\"fork.thread\"").replacen(
        "inner = [\"fork.steerer\"]",
        "inner = [\"fork.upper\", \"fork.steerer\"]",
        1,
    );
    assert_eq!(codes(&reached), ["reach-left-out"]);
    let free =
        "[[free]]\nsurface = \"clamp.bore\"\nover = [\"fork.upper\"]\nwhy = \"It passes.\"\n\n[[path]]";
    assert!(codes(&reached.replacen("[[path]]", free, 1)).is_empty());
}

#[test]
fn a_wall_without_a_reason_is_not_free() {
    assert_eq!(codes(&with("why = \"Nothing goes there.\"\n", "")), ["field-missing"]);
}
