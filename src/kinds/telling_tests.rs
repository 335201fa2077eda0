//! Ends of shapes as a mechanic would tell them apart. Knows no plan.

use super::shape_for_tests::good;
use super::*;

fn custom(rings: &str) -> EndMark {
    telling_end(&good("custom", &format!("stands_as = \"shim\"\n[[column]]\nname = \"body\"\n{rings}")))
}

/// A plain ring of a shim.
fn ring(length: &str, bore: &str, outside: &str) -> String {
    format!("[[column.ring]]\nlength = \"{length}\"\nbore = \"{bore}\"\noutside = \"{outside}\"\n")
}

fn seen(feature: &'static str, at_top: bool) -> EndMark {
    EndMark { feature, at_top, reads: None, plain: true }
}

#[test]
fn an_end_bored_out_for_a_short_way_is_the_recessed_end() {
    let (recess, rest) = (ring("6 ±0.05", "28.8 ±0.05", "31.75"), ring("50 ±0.1", "25.45", "31.75"));
    assert_eq!(custom(&format!("{recess}{rest}")), seen("recessed-end", false));
    assert_eq!(custom(&format!("{rest}{recess}")), seen("recessed-end", true));
    let long = ring("40 ±0.1", "28.8 ±0.05", "31.75");
    assert_eq!(custom(&format!("{long}{rest}")), seen("wide-bore", false));
    let other_recess = ring("6 ±0.05", "27 ±0.05", "31.75");
    assert_eq!(
        custom(&format!("{other_recess}{rest}{recess}")),
        seen("wide-bore", true),
        "both are recessed"
    );
}

#[test]
fn the_wider_end_is_told_by_its_outside() {
    let (flange, rest) = (ring("3", "28.7", "36"), ring("40", "28.7", "31.8"));
    assert_eq!(custom(&format!("{rest}{flange}")), seen("wide-end", true));
}

#[test]
fn an_end_that_is_chamfered_alone_is_told_by_its_chamfer() {
    let chamfer = |side: &str, opens: &str| {
        format!(
            "[[column.ring]]\nlength = 1\nbore = 28.7\noutside_{side} = 29.8\noutside_angle = 45\n\
             outside_opens = \"{opens}\"\n"
        )
    };
    let rest = ring("40", "28.7", "31.8");
    let (low, high) = (chamfer("bottom", "wider"), chamfer("top", "narrower"));
    assert_eq!(custom(&format!("{low}{rest}")), seen("chamfered-end", false));
    assert_eq!(custom(&format!("{rest}{high}")), seen("chamfered-end", true));
    let small = "[[column.ring]]\nlength = 0.5\nbore = 28.7\noutside_top = 30.8\noutside_angle = 45\n\
                 outside_opens = \"narrower\"\n";
    assert_eq!(custom(&format!("{low}{rest}{small}")), seen("large-chamfer", false));
}

fn slotted(from_bottom: &str, from_top: &str) -> Shape {
    let mut shape = good("shim", "inside = 28.65\noutside = 31.75\nlength = \"50 ±0.1\"\nslot = 3\n");
    let length = |mm: &str| crate::quantity::Form::constant(crate::quantity::Length::mm(mm.parse().unwrap()));
    let cut = &mut shape.features.cuts[0];
    cut.from = length(from_bottom);
    cut.to = shape.height.minus(&length(from_top));
    shape
}

#[test]
fn a_slot_of_part_of_the_length_tells_the_end_where_it_begins() {
    assert_eq!(telling_end(&slotted("0", "20")), seen("slotted-end", false));
    assert_eq!(telling_end(&slotted("20", "0")), seen("slotted-end", true));
    assert_eq!(telling_end(&slotted("0", "0")).feature, UNTOLD, "a slot right through begins at both ends");
    assert_eq!(telling_end(&slotted("10", "20")).feature, UNTOLD, "a window begins at neither");
}

const CLAMP: &str = "outside = 44\nlength = \"80 ±0.15\"\nslot = 3\nbore = \"31.85 +0.1/0\"\n\
                     upper_bore = \"31.85 +0.1/0\"\nshelf_bore = 22\nshelf_thickness = \"5 ±0.05\"\n\
                     pinch_heights = [\"10 ±0.1\", \"70 ±0.1\"]\npinch_key = 5\n";

#[test]
fn a_clamp_with_equal_bores_is_told_by_the_longer_way_to_its_shelf() {
    let clamp =
        |height: &str| telling_end(&good("clamp", &format!("{CLAMP}shelf_height = \"{height} ±0.1\"\n")));
    let mm = 1_000_000;
    let to_shelf = |at_top, reads, plain| EndMark { feature: "to-shelf", at_top, reads: Some(reads), plain };
    assert_eq!(clamp("38"), to_shelf(false, (38 * mm, 37 * mm), false), "a caliper tells them apart, no eye");
    assert_eq!(clamp("35"), to_shelf(true, (40 * mm, 35 * mm), true));
    assert_eq!(clamp("37.5").feature, UNTOLD);
}

#[test]
fn unequal_bores_of_a_clamp_are_told_before_the_depth_of_its_shelf() {
    let unequal = CLAMP.replace("\nbore = \"31.85", "\nbore = \"28.65");
    assert_eq!(
        telling_end(&good("clamp", &format!("{unequal}shelf_height = 38\n"))),
        seen("wide-bore", true)
    );
}

#[test]
fn bolts_off_the_middle_tell_the_ends_of_a_plain_clamp() {
    let clamp = "bore = 34.9\noutside = 47\nlength = \"50 ±0.1\"\nslot = 3\npinch_key = 5\n";
    let at = |heights: &str| telling_end(&good("clamp", &format!("{clamp}pinch_heights = [{heights}]\n")));
    let told = at("\"18 ±0.1\", \"38 ±0.1\"");
    assert_eq!((told.feature, told.at_top, told.reads), ("to-bolt", false, Some((18_000_000, 12_000_000))));
    assert_eq!(at("\"12 ±0.1\", \"38 ±0.1\"").feature, UNTOLD);
}

#[test]
fn a_lip_that_no_finger_finds_is_measured() {
    let shim = |lip: &str| {
        let text = "inside = 28.65\noutside = \"31.75 ±0.02\"\nlength = 50\nlip_height = 3\n";
        telling_end(&good("shim", &format!("{text}lip_outside = \"{lip} ±0.02\"\n")))
    };
    assert_eq!(shim("36"), seen("lip", false));
    let told = shim("32");
    assert_eq!((told.feature, told.at_top, told.plain), ("outside-reads", false, false));
    assert_eq!(told.reads, Some((32_000_000, 31_750_000)));
    assert_eq!(shim("31.8").feature, UNTOLD, "two readings of a caliper may come out either way");
}

#[test]
fn bearings_with_unequal_chamfers_are_told_by_the_larger() {
    let rings = |small: &str| {
        format!(
            "stands_as = \"bearing\"\n[[column]]\nname = \"inner\"\n[[column.ring]]\nlength = \"8 ±0\"\nbore = 30.5\n\
             outside = 34\n[[column]]\nname = \"outer\"\n[[column.ring]]\nlength = \"1.5 ±0\"\nbore = 38\n\
             outside_bottom = 38.8\noutside_angle = 45\noutside_opens = \"wider\"\n[[column.ring]]\nlength = \"5.5 ±0\"\n\
             bore = 38\noutside = 41.8\n[[column.ring]]\nlength = \"1 ±0\"\nbore = 38\n{small}"
        )
    };
    let both = rings("outside_top = 39.8\noutside_angle = 45\noutside_opens = \"narrower\"\n");
    assert_eq!(telling_end(&good("custom", &both)), seen("large-outer-chamfer", false));
    let one = rings("outside = 41.8\n");
    assert_eq!(telling_end(&good("custom", &one)), seen("outer-chamfer", false));
}

/// What the marks of the kinds promise, they keep.
#[test]
fn marks_of_kinds_stand_where_their_metal_is_felt() {
    let race =
        "bore = 30\nflange_outside = 40\nflange_height = 3\ncone_gauge = 38\ncone_height = 3\nangle = 45\n";
    assert_eq!(telling_end(&good("crown-race", race)), seen("cone", true));
    let cap = "outside = 34\nthickness = 6\nhole = 8.5\nspigot_outside = 27\nspigot_depth = 3\n";
    assert_eq!(telling_end(&good("cap", cap)), seen("spigot", false));
}
