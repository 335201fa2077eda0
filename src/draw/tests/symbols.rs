//! What the drawings of a page share is what it says. Must not know who uses it.

use super::super::hatch::{Hatch, PITCHES};
use super::super::symbols::{FIELD, field, page_symbols};
use super::super::whereabouts;
use super::read::paths;
use super::sample::wide_shim;
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

/// Frames about parts stand one over the other as the parts do; the fork's goes down to the wheel, that of the bars up to the crossbar.
#[test]
fn the_small_picture_frames_where_a_part_is_on_the_scooter() {
    let sample = wide_shim();
    let frame = |item: Option<&str>, upside_down: bool| {
        let svg = whereabouts(&sample.input(), item.map(|name| sample.item(name)), upside_down).unwrap();
        let doc = roxmltree::Document::parse(&svg).unwrap();
        let rect = doc.descendants().find(|n| n.has_tag_name("rect")).unwrap();
        let number = |name: &str| rect.attribute(name).unwrap().parse::<f64>().unwrap();
        (number("y"), number("y") + number("height"), svg.contains("rotate(180"))
    };
    let names = ["bars", "clamp", "deck", "fork"];
    let frames: Vec<(f64, f64, bool)> = names.iter().map(|name| frame(Some(name), false)).collect();
    let middle = |at: usize| (frames[at].0 + frames[at].1) / 2.0;
    assert!((1..4).all(|at| middle(at - 1) < middle(at)), "{frames:?}");
    assert!(frames[0].0 < 2.0 && frames[3].1 > 50.0, "{frames:?}");
    assert!(frames.iter().all(|f| f.1 - f.0 >= 5.0 && !f.2), "{frames:?}");
    assert!(frame(Some("clamp"), true).2);
    // What the section shows reaches from the crown to over the clamp, not to wheel and crossbar.
    let section = frame(None, false);
    assert!(section.0 < frames[1].0 && section.1 > frames[2].1, "{section:?}");
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
