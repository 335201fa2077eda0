//! What the drawings of a page share is what it says. Must not know who uses it.

use super::super::hatch::{Hatch, PITCHES};
use super::super::symbols::{FIELD, field, page_symbols};
use super::read::paths;
use roxmltree::{Document, Node};

/// Where lines cross height 0, by following the pieces.
fn crossings(doc: &Document, id: &str, at: f64) -> Vec<f64> {
    let node = doc.descendants().find(|n| n.attribute("id") == Some(id)).unwrap();
    if let Some(d) = node.attribute("d") {
        let lines = paths(d);
        return lines.iter().map(|(p, _)| at + p[0].0 + p[0].1).collect();
    }
    let uses = node.children().filter(Node::is_element);
    let found = uses.flat_map(|one| {
        let x = one.attribute("x").map_or(0.0, |x| x.parse().unwrap());
        crossings(doc, &one.attribute("href").unwrap()[1..], at + x)
    });
    found.collect()
}

#[test]
fn a_field_is_full_of_lines_one_pitch_apart_and_one_goes_through_the_origin() {
    let text = page_symbols();
    let doc = Document::parse(&text).unwrap();
    for (index, pitch) in PITCHES.iter().enumerate() {
        let name = format!("hatch-{}", index + 1);
        let mut at = crossings(&doc, &name, 0.0);
        at.sort_by(f64::total_cmp);
        assert!(at.windows(2).all(|w| (w[1] - w[0] - pitch * 2f64.sqrt()).abs() < 0.01), "{name}");
        assert!(at.iter().any(|x| x.abs() < 0.01), "{name}");
        // The corners farthest from the origin, seen along the lines.
        assert!(
            at[0] < FIELD.left - FIELD.high + pitch && at[at.len() - 1] > FIELD.right - FIELD.low - pitch
        );
    }
    assert!(text.len() < 5_500, "{}", text.len());
}

#[test]
fn only_the_pitches_of_the_list_have_a_field() {
    let hatch = |pitch| Hatch { rising: false, pitch };
    assert_eq!(field(hatch(PITCHES[1])).as_deref(), Some("hatch-2-falling"));
    assert_eq!(field(hatch(3.6)), None);
}
