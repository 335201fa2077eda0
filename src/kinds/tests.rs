//! Short forms against half-sections worked out by hand.

use super::shape_for_tests::{good, shape};
use super::*;
use crate::quantity::{Ends, Form, Length};

fn facts(kind: &str, text: &str) -> Vec<String> {
    shape(kind, text).expect_err("refused")
}

fn ends(shape: &Shape) -> Vec<Ends> {
    shape.dims.iter().map(NamedDim::ends).collect()
}

fn nominal(shape: &Shape, form: &Form) -> String {
    Length::nm(form.nominal(&ends(shape))).to_string()
}

/// One line a ring: height, bore, outside and their surfaces, at the nominal sizes.
fn rings(shape: &Shape, column: &str) -> Vec<String> {
    let column = shape.columns.iter().find(|c| c.name == column).expect("a column");
    let wall = |w: &Wall| {
        let [bottom, top] = &w.diameter;
        match w.taper {
            None => format!("{} {}", w.surface, nominal(shape, bottom)),
            Some(_) => format!("{} {}>{}", w.surface, nominal(shape, bottom), nominal(shape, top)),
        }
    };
    let ring =
        |s: &Segment| format!("{}: {} | {}", nominal(shape, &s.length), wall(&s.bore), wall(&s.outside));
    column.segments.iter().map(ring).collect()
}

const FORK: &str = "crown_outside = 38\ncrown_height = 30\nbottom_thickness = 6\nsteerer_outside = \"28.6\"\n\
                    steerer_bore = 22\nsteerer_length = 150\n";
const SEAT: &str = "seat_diameter = 30\nseat_height = 8\n";

#[test]
fn a_fork_is_crown_seat_and_steerer_with_its_datum_at_the_seat() {
    let fork = good("fork", &format!("{FORK}{SEAT}"));
    let expected = [
        "6:  0 | crown 38",
        "24: steerer-bore 22 | crown 38",
        "8: steerer-bore 22 | seat 30",
        "142: steerer-bore 22 | steerer 28.6",
    ];
    assert_eq!(rings(&fork, "body"), expected);
    assert_eq!((nominal(&fork, &fork.datum), nominal(&fork, &fork.height)), ("30".into(), "180".into()));
}

#[test]
fn ring_lengths_of_a_fork_add_up_to_its_height_exactly() {
    let more =
        "upper_outside = 25.4\nupper_length = 50\nsteerer_thread = \"1 in x 24 tpi\"\nthread_length = 30\n";
    let fork = good("fork", &format!("{FORK}{SEAT}{more}"));
    let sum = fork.columns[0].segments.iter().fold(Form::zero(), |sum, s| sum.plus(&s.length));
    assert_eq!(sum, fork.height);
    let top: Vec<String> = rings(&fork, "body").split_off(3);
    assert_eq!(
        top,
        [
            "92: steerer-bore 22 | steerer 28.6",
            "20: steerer-bore 22 | upper 25.4",
            "30: steerer-bore 22 | thread 25.4"
        ]
    );
}

#[test]
fn an_integral_race_stands_in_for_the_pressed_seat() {
    let race = "race_gauge = 38\nrace_height = 2\nrace_angle = 45\nrace_base = 1\n";
    let fork = good("fork", &format!("{FORK}{race}"));
    let upper: Vec<String> = rings(&fork, "body").split_off(2);
    let expected = [
        "1: steerer-bore 22 | race-flange 38",
        "2: steerer-bore 22 | race-cone 38>34",
        "147: steerer-bore 22 | steerer 28.6",
    ];
    assert_eq!(upper, expected);
    assert!(!facts("fork", FORK).is_empty());
}

#[test]
fn a_blind_insert_has_a_floor_under_its_thread() {
    let insert = "insert_thread = \"M8\"\ninsert_depth = 10\ninsert_length = 20\ninsert_blind = true\ninsert_floor = 3\n";
    let fork = good("fork", &format!("{FORK}{SEAT}{insert}"));
    assert_eq!(
        rings(&fork, "insert"),
        ["3:  0 | insert-outside 22", "20: insert-thread 6.646835 | insert-outside 22"]
    );
    assert_eq!(nominal(&fork, &fork.columns[1].start), "147");
    let deep = insert.replace("insert_depth = 10", "insert_depth = 155");
    assert_eq!(facts("fork", &format!("{FORK}{SEAT}{deep}")), ["the insert does not fit in the steerer"]);
}

#[test]
fn a_floor_without_a_blind_insert_says_nothing() {
    let idle = format!("{FORK}{SEAT}insert_floor = 3\n");
    assert_eq!(facts("fork", &idle), ["insert_floor says nothing unless insert_blind = true"]);
}

const DECK: &str = "head_tube_length = 100\nhead_tube_outside = 48\nhead_tube_bore = 36\nseat_bore = 42\n\
                    seat_depth = 6\nseat_angle = ";

#[test]
fn a_deck_seat_cone_of_45_degrees_is_exact() {
    let deck = good("deck", &format!("{DECK}45\n"));
    let expected = [
        "6: seat-bore 42 | outside 48",
        "3: seat-cone 42>36 | outside 48",
        "82: bore 36 | outside 48",
        "3: seat-cone 36>42 | outside 48",
        "6: seat-bore 42 | outside 48",
    ];
    assert_eq!(rings(&deck, "body"), expected);
    assert!(deck.columns[0].segments.iter().all(|s| s.length.slack == 0));
}

#[test]
fn an_irrational_cone_carries_its_rest_outward() {
    let deck = good("deck", &format!("{DECK}36\n"));
    let cone = &deck.columns[0].segments[1].length;
    let exact = 6.0 / (2.0 * 36_f64.to_radians().tan()) * 1e6;
    let nominal = cone.nominal(&ends(&deck)) as f64;
    assert!(cone.slack > 0 && cone.slack < 100, "{}", cone.slack);
    assert!((nominal - exact).abs() <= cone.slack as f64, "{nominal} {exact}");
}

#[test]
fn a_seat_is_a_cone_under_90_degrees_or_a_shelf_at_90() {
    assert_eq!(
        facts("deck", &format!("{DECK}100\n")),
        ["a seat_angle of 100° is out of the ordinary for a deck"]
    );
}

#[test]
fn the_two_seats_of_a_deck_are_two_features_and_never_cancel() {
    let deck = good("deck", &format!("{DECK}90\n"));
    let (lower, upper) = (&deck.columns[0].segments[0].length, &deck.columns[0].segments[2].length);
    assert_eq!(rings(&deck, "body").len(), 3);
    assert!(lower.minus(upper).most(&ends(&deck)) > 0);
}

#[test]
fn races_bearings_and_rings_have_their_cones_where_they_are_drawn() {
    let race = good(
        "crown-race",
        "bore = 30\nflange_outside = 41\nflange_height = 2\ncone_gauge = 38\ncone_height = 3\nangle = 45\n",
    );
    assert_eq!(rings(&race, "body"), ["2: bore 30 | flange 41", "3: bore 30 | cone 38>32"]);
    assert_eq!(race.features.pressed, ["bore"]);
    let bearing = good(
        "bearing",
        "outside = 41.8\ninside = 30.5\nheight = 8\ninner_chamfer = 1.5\ninner_angle = 45\nouter_chamfer = 2\n\
         outer_angle = 45\ninner_ring_outside = 34\nouter_ring_inside = 37\n",
    );
    assert_eq!(
        rings(&bearing, "inner"),
        ["6.5: inside 30.5 | inner-back 34", "1.5: inner-chamfer 30.5>33.5 | inner-back 34"]
    );
    assert_eq!(
        rings(&bearing, "outer"),
        ["2: outer-back 37 | outer-chamfer 37.8>41.8", "6: outer-back 37 | outside 41.8"]
    );
    let ring = good(
        "compression-ring",
        "bore = 28.6\ngauge = 33.5\ncone_height = 2\nangle = 45\nrim_height = 1\nslot = 2\n",
    );
    assert_eq!(rings(&ring, "body"), ["2: bore 28.6 | cone 29.5>33.5", "1: bore 28.6 | rim 33.5"]);
    assert!(ring.features.split_ring && ring.features.cuts.len() == 1);
    let threaded = good(
        "threaded-race",
        "thread = \"1-1/8 in x 26 tpi\"\noutside = 36\nheight = 5\ncone_gauge = 34\ncone_height = 2\nangle = 45\nspanner = 32\n",
    );
    assert_eq!(threaded.columns[0].segments[0].outside.taper.map(|t| t.cone), Some(Cone::Wider));
    assert_eq!(threaded.features.drive.map(|d| d.tool), Some("spanner"));
}

#[test]
fn the_deeper_of_skirt_and_hub_is_the_bottom_of_a_top_cap() {
    let base = "bore = 28.8\noutside = 46\nheight = 4\n";
    let skirt = "skirt_inside = 43\nskirt_depth = 3\n";
    let hub = "hub_outside = 34\nhub_depth = 5\n";
    let cap = good("top-cap", &format!("{base}{skirt}{hub}"));
    let starts: Vec<String> = cap.columns.iter().map(|c| nominal(&cap, &c.start)).collect();
    assert_eq!(starts, ["5", "2", "0"]);
    assert_eq!(nominal(&cap, &cap.height), "9");
    assert_eq!(nominal(&good("top-cap", base), &good("top-cap", base).height), "4");
    let unsure = hub.replace('5', "3");
    assert_eq!(
        facts("top-cap", &format!("{base}{skirt}{unsure}")),
        ["skirt and hub are about as deep as each other"]
    );
}

#[test]
fn a_lip_is_at_the_bottom_and_no_part_of_the_rest() {
    let shim = good(
        "shim",
        "inside = 28.6\noutside = 31.8\nlength = 50\nlip_outside = 36\nlip_height = 2\nslot = 2.5\n",
    );
    assert_eq!(rings(&shim, "body"), ["2: inside 28.6 | lip 36", "48: inside 28.6 | outside 31.8"]);
    assert_eq!(shim.height, Form::dimension(2));
    assert_eq!(shim.features.marks, [WayMark { feature: "lip", at_top: false }]);
    assert_eq!(shim.features.cuts[0].to, shim.height);
}

#[test]
fn plain_tubes_are_one_ring() {
    for (kind, bore, length) in [
        ("spacer", "bore", "length"),
        ("riser", "bore", "length"),
        ("shim", "inside", "length"),
        ("liner", "inside", "length"),
        ("bar-sleeve", "inside", "length"),
        ("washer", "bore", "thickness"),
    ] {
        let tube = good(kind, &format!("{bore} = 28.6\noutside = 34\n{length} = 5\n"));
        assert_eq!(rings(&tube, "body"), [format!("5: {bore} 28.6 | outside 34")], "{kind}");
    }
}

#[test]
fn a_clamp_with_a_shelf_is_three_rings() {
    let clamp = |shelf: &str| {
        format!(
            "bore = 31.9\noutside = 40\nlength = 80\nslot = 3\nupper_bore = 34.9\nshelf_bore = 26\n\
             shelf_height = {shelf}\nshelf_thickness = 4\npinch_heights = [\"15\", \"60\"]\npinch_key = 5\n\
             pinch_torque = \"8 N m\"\npinch_thread = \"M6\"\n"
        )
    };
    let low = good("clamp", &clamp("30"));
    let expected =
        ["30: bore 31.9 | outside 40", "4: shelf 26 | outside 40", "46: upper-bore 34.9 | outside 40"];
    assert_eq!(rings(&low, "body"), expected);
    assert_eq!(low.features.pinches.len(), 2);
    assert!(low.dims.iter().any(|d| d.name == "pinch-2"));
}

#[test]
fn a_cap_has_its_spigot_below_and_its_recess_in_the_plate() {
    let cap = good(
        "cap",
        "outside = 34\nthickness = 6\nhole = 8.5\nspigot_outside = 27\nspigot_depth = 3\nrecess_bore = 14\nrecess_depth = 4\n",
    );
    assert_eq!(
        rings(&cap, "body"),
        ["3: hole 8.5 | spigot 27", "2: hole 8.5 | outside 34", "4: recess 14 | outside 34"]
    );
    assert_eq!(nominal(&cap, &cap.height), "9");
}

#[test]
fn a_bolt_stands_tip_down_with_the_head_of_its_standard() {
    let bolt = good(
        "bolt",
        "thread = \"M8\"\nlength = 40\nthread_length = 28\nhead = \"iso-4762\"\nproperty_class = \"8.8\"\n",
    );
    assert_eq!(rings(&bolt, "body"), ["28:  0 | thread 8", "12:  0 | shank 8", "8:  0 | head 13"]);
    assert!(bolt.columns[0].segments[0].outside.root.is_some());
    assert_eq!(bolt.features.drive.as_ref().map(|d| d.size), Some(Length::mm(6)));
    let full = good(
        "bolt",
        "thread = \"M6\"\nlength = 30\nthread_length = 30\nhead = \"own\"\nhead_outside = 12\nhead_height = 4\nkey = 4\nproperty_class = \"8.8\"\n",
    );
    assert_eq!(rings(&full, "body"), ["30:  0 | thread 6", "4:  0 | head 12"]);
}

#[test]
fn standard_heads_may_be_knurled_and_are_never_higher_than_the_standard() {
    // ISO 4762 M8: 13.27 knurled, 12.73 least, 8 high (secondary tables; least from memory).
    let bolt = good(
        "bolt",
        "thread = \"M8\"\nlength = 40\nthread_length = 28\nhead = \"iso-4762\"\nproperty_class = \"8.8\"\n",
    );
    let of = |name: &str| bolt.dims.iter().find(|d| d.name == name).map(|d| &d.dimension).expect(name);
    assert_eq!(
        (of("head-outside").least(), of("head-outside").most()),
        (Length::um(12_730), Length::um(13_270))
    );
    assert_eq!(of("head-height").most(), Length::mm(8));
    assert_eq!(of("head-height").least(), Length::um(7_640));
}

#[test]
fn bars_are_a_tube_with_a_bore_and_a_crossbar() {
    let bars =
        "outside = 31.8\ninside = 28.7\ntube_length = 200\ncrossbar_width = 300\ncrossbar_thickness = 25\n";
    assert_eq!(
        rings(&good("bars", bars), "body"),
        ["200: inside 28.7 | outside 31.8", "25:  0 | crossbar 300"]
    );
    let blind = good("bars", &format!("{bars}inside_depth = 120\nslit_width = 2\nslit_length = 60\n"));
    assert_eq!(rings(&blind, "body")[..2], ["120: inside 28.7 | outside 31.8", "80:  0 | outside 31.8"]);
    assert_eq!(
        facts("bars", &format!("{bars}slit_width = 2\nslit_length = 210\n")),
        ["the slit is longer than the tube"]
    );
}

#[test]
fn a_star_nut_says_which_bores_it_fits() {
    let nut = "thread = \"M6\"\nheight = 12\ncore_outside = 16\nfits_bore_least = 22\nfits_bore_most = 23\n";
    let shape = good("star-nut", nut);
    assert_eq!(rings(&shape, "body"), ["12: thread 4.917468 | fins 23"]);
    assert!(shape.features.fits_bore.is_some());
    let crossed = nut.replace("most = 23", "most = 21");
    assert_eq!(facts("star-nut", &crossed), ["the largest bore it fits is smaller than the smallest"]);
}

#[test]
fn a_custom_part_is_its_rings() {
    let part = good(
        "custom",
        "stands_as = \"shim\"\n[[column]]\nname = \"body\"\n[[column.ring]]\nlength = 40\nbore = 28.7\noutside = 31.8\n\
         bore_surface = \"inside\"\n[[column.ring]]\nlength = 4\nbore = 28.7\nbore_surface = \"inside\"\noutside_bottom = 31.8\n\
         outside_angle = 45\noutside_opens = \"wider\"\noutside_surface = \"lip\"\n",
    );
    assert_eq!(rings(&part, "body"), ["40: inside 28.7 | outside 31.8", "4: inside 28.7 | lip 31.8>39.8"]);
    assert!(part.dims.iter().any(|d| d.name == "body-2-outside"));
    assert_eq!(nominal(&part, &part.height), "44");
}

#[test]
fn quills_and_locknuts_stand_as_drawn() {
    let quill = "shaft_outside = 22\nshaft_length = 100\ninsertion_least = 60\ncollar_outside = 34\ncollar_height = 8\n\
                 post_outside = 31.8\npost_length = 60\n";
    assert_eq!(rings(&good("quill", quill), "body").len(), 3);
    let long = quill.replace("least = 60", "least = 101");
    assert_eq!(facts("quill", &long), ["the minimum insertion is longer than the shaft"]);
    let nut = good("locknut", "thread = \"1-1/8 in x 26 tpi\"\noutside = 38\nheight = 8\nspanner = 36\n");
    assert!(!nut.features.threads[0].male);
}

/// The table itself: what builders ask for is in it, surfaces they use are listed, names are told apart.
#[test]
fn every_wall_and_column_that_a_builder_makes_is_in_its_kinds_table() {
    let fork_more = "upper_outside = 25.4\nupper_length = 50\ninsert_thread = \"M8\"\ninsert_depth = 10\ninsert_length = 20\n";
    for (kind, text) in [
        ("fork", format!("{FORK}{SEAT}{fork_more}bottom_bore = 9\n")),
        ("deck", format!("{DECK}45\n")),
        ("top-cap", "bore = 28.8\noutside = 46\nheight = 4\nskirt_inside = 43\nskirt_depth = 3\nhub_outside = 34\nhub_depth = 1\n".into()),
    ] {
        let (shape, kind) = (good(kind, &text), find(kind).expect("a kind"));
        for wall in shape.walls().filter(|w| w.surface != NO_SURFACE) {
            assert!(kind.role(wall.surface).is_some(), "{} {}", kind.name, wall.surface);
        }
        for column in &shape.columns {
            assert!(kind.columns.contains(&column.name), "{} {}", kind.name, column.name);
        }
    }
}

#[test]
fn kinds_and_their_fields_have_names_of_their_own() {
    let mut names: Vec<&str> = all().iter().map(|k| k.name).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), all().len());
    for kind in all() {
        let mut fields: Vec<&str> = kind.fields.iter().map(|f| f.name).collect();
        fields.sort_unstable();
        fields.dedup();
        assert_eq!(fields.len(), kind.fields.len(), "{}", kind.name);
        for common in
            ["id", "kind", "name", "maker", "about", "price", "loose", "colours", "material", "revision"]
        {
            assert!(!fields.contains(&common), "{} {common}", kind.name);
        }
    }
}

#[test]
fn names_are_found_in_their_one_spelling() {
    assert_eq!(surface("steerer-bore"), Some("steerer-bore"));
    assert_eq!(
        (surface("steerer_bore"), column("skirt"), find("shims").map(|k| k.name)),
        (None, Some("skirt"), None)
    );
    assert_eq!(suggest_kind("top-cpa"), Some("top-cap"));
}

#[test]
fn a_knurl_is_a_look_and_changes_no_metal_and_no_check() {
    let plain = "bore = 28.7\noutside = 36\nlength = 10\n";
    let (smooth, rough) = (good("spacer", plain), good("spacer", &format!("{plain}knurl = \"diamond\"\n")));
    assert_eq!(rings(&smooth, "body"), rings(&rough, "body"));
    assert!(smooth.same_to_checks(&rough));
    let knurled = Knurled { surface: "outside", pattern: Knurl::Diamond };
    assert_eq!((smooth.features.knurled, rough.features.knurled), (None, Some(knurled)));
    assert!(shape("spacer", &format!("{plain}knurl = \"wavy\"\n")).is_err());
}
