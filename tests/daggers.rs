//! Builds that a simpler reading of the bench would pass or misjudge, each a small stack written as text, each a fact.
//! Knows nothing of how the engine comes to its judgement.

use crate::book;
use crate::seventh;

use benchleaf::assembly::{Demand, Outcome, Pick, Placed, Stack, assemble};
use benchleaf::quantity::{Ends, ONE};
use benchleaf::solve::{ShopStrengths, Verdict};
use book::Book;
use seventh::{PARTS, SHOP, SYSTEM, book_of, book_with, with};

/// Slots and parts of the usual build.
const USUAL: [(&str, &str); 10] = [
    ("fork", "fork"),
    ("crown-race", "race"),
    ("lower-bearing", "bearing"),
    ("head-tube", "deck"),
    ("upper-bearing", "bearing"),
    ("ring", "ring"),
    ("top-cap", "top-cap"),
    ("shim", "shim"),
    ("cap", "cap"),
    ("bolt", "bolt"),
];

fn put_together(book: &Book, build: &[(&str, &str)], turned: &[&str]) -> Stack {
    let strengths = ShopStrengths(&book.shop);
    let pick = |&(slot, part): &(&str, &str)| {
        let turned = turned.contains(&slot) || slot == "lower-bearing";
        Pick { slot: book.rules[0].find(slot).unwrap(), variant: book.variant(part), turned }
    };
    let mut picks: Vec<Pick> = build.iter().map(pick).collect();
    picks.sort_by_key(|p| p.slot);
    assemble(book.setting(0, &strengths), &picks)
}

fn stack(parts: &str, build: &[(&str, &str)]) -> Stack {
    put_together(&book_of(parts), build, &[])
}

fn item<'s>(stack: &'s Stack, name: &str) -> &'s Placed {
    stack.items.iter().find(|i| i.name == name).unwrap_or_else(|| panic!("no item {name}"))
}

fn ends(stack: &Stack) -> Vec<Ends> {
    stack.dims.iter().map(|d| d.ends).collect()
}

/// Names of what an item rests on.
fn under<'s>(stack: &'s Stack, name: &str) -> Vec<&'s str> {
    item(stack, name).rests_on.iter().map(|s| stack.items[s.item.0 as usize].name.as_str()).collect()
}

/// Worst outcome of the checks of this word about this item (the first or any).
fn outcome(stack: &Stack, demand: &str, about: &str) -> Outcome {
    let name = |i: &benchleaf::assembly::ItemIx| stack.items[i.0 as usize].name == about;
    let checks = stack.checks.iter().filter(|c| c.demand.word() == demand && c.about.iter().any(name));
    checks
        .map(|c| c.outcome)
        .max()
        .unwrap_or_else(|| panic!("no {demand} about {about}: {:#?}", stack.checks))
}

fn gap(stack: &Stack) -> (i64, i64, Outcome) {
    let check = stack.checks.iter().find(|c| c.demand == Demand::GapLeast).unwrap();
    let value = check.value.as_ref().unwrap();
    (value.least, value.most, check.outcome)
}

fn failing(stack: &Stack) -> Vec<String> {
    stack.checks.iter().filter(|c| c.outcome != Outcome::Pass).map(|c| format!("{:?}", c.demand)).collect()
}

#[test]
fn the_usual_build_passes_every_check() {
    assert_eq!(failing(&stack(PARTS, &USUAL)), Vec::<String>::new());
}

#[test]
fn a_system_that_no_book_has_goes_without_a_change_to_the_program() {
    let book = book_of(PARTS);
    let strengths = ShopStrengths(&book.shop);
    let answer = book.bench(&strengths).answer(book.variant("fork"), 0);
    assert_eq!((answer.verdict, answer.unfinished), (Verdict::Goes, false));
}

#[test]
fn two_identical_spacers_differ_by_up_to_both_tolerances() {
    let parts = with(PARTS, "shim", "length", "\"40 ±0.1\"");
    let stack = stack(&parts, &[&USUAL[..], &[("spacer", "spacer"), ("spacer", "spacer")]].concat());
    let difference = item(&stack, "spacer").height.minus(&item(&stack, "spacer-2").height);
    let ends = ends(&stack);
    assert_eq!((difference.least(&ends), difference.most(&ends)), (-200_000, 200_000));
    assert_eq!(failing(&stack), Vec::<String>::new());
}

#[test]
fn a_long_skirt_stops_on_the_head_tube_while_the_plate_is_above_the_ring() {
    let parts = with(PARTS, "top-cap", "skirt_depth", "\"6 ±0.03\"");
    let stack = stack(&parts, &USUAL);
    assert_eq!(under(&stack, "top-cap"), ["head-tube"]);
    assert_eq!(item(&stack, "top-cap").rests_on[0].own_column, "skirt");
    assert_eq!(outcome(&stack, "load-path", "top-cap"), Outcome::Fail);
}

#[test]
fn a_cone_of_45_degrees_moves_a_height_by_half_the_change_of_its_diameter() {
    let wider = with(PARTS, "race", "cone_gauge", "\"34.8 ±0.03\"");
    let landing = |parts: &str| item(&stack(parts, &USUAL), "lower-bearing").landing.clone().unwrap();
    let (narrow, wide) = (landing(PARTS), landing(&wider));
    assert_eq!(wide.nominal - narrow.nominal, 100_000);
    let halves = |v: &benchleaf::assembly::Value| {
        v.form.as_ref().unwrap().terms.iter().filter(|t| t.1.abs() == ONE / 2).count()
    };
    assert!(halves(&narrow) >= 1, "{narrow:?}");
}

#[test]
fn a_clamp_cannot_pass_the_crossbar() {
    let build = [&USUAL[..], &[("bars", "bars"), ("clamp", "clamp")]].concat();
    let stack = stack(PARTS, &build);
    assert_eq!(under(&stack, "clamp"), ["bars"]);
    let above = item(&stack, "clamp").landing.as_ref().unwrap().least
        - item(&stack, "bars").landing.as_ref().unwrap().most;
    assert!(above > 500_000_000, "{above}");
}

#[test]
fn an_exact_tie_shows_both_supports_and_never_passes_where_one_is_not_allowed() {
    let exact = with(PARTS, "shim", "length", "\"50 +0/-0\"");
    let exact = with(&exact, "collar", "length", "\"50 +0/-0\"");
    let stack = stack(&exact, &[&USUAL[..], &[("collar", "collar")]].concat());
    let mut both = under(&stack, "cap");
    both.sort_unstable();
    assert_eq!(both, ["collar", "shim"]);
    assert_ne!(outcome(&stack, "rests-on", "cap"), Outcome::Pass);
}

#[test]
fn a_load_path_without_a_compression_ring_fails() {
    let without: Vec<_> = USUAL.into_iter().filter(|(slot, _)| *slot != "ring").collect();
    let stack = stack(PARTS, &without);
    let path = stack.checks.iter().filter(|c| c.demand == Demand::Path).map(|c| c.outcome).max();
    assert_eq!(path, Some(Outcome::Fail));
}

#[test]
fn a_head_tube_that_rests_on_the_crown_race_fails() {
    let parts = with(PARTS, "race", "flange_outside", "\"48 ±0.1\"");
    let parts = with(&parts, "deck", "seat_depth", "\"10 ±0.04\"");
    let stack = stack(&parts, &USUAL);
    assert_eq!(under(&stack, "head-tube"), ["crown-race"]);
    assert_eq!(outcome(&stack, "load-path", "head-tube"), Outcome::Fail);
}

#[test]
fn a_top_cap_that_rests_on_the_outer_ring_fails() {
    let parts = with(PARTS, "top-cap", "outside", "\"41.2 ±0.05\"");
    let parts = with(&parts, "top-cap", "skirt_inside", "\"38.4 ±0.05\"");
    let parts = with(&parts, "top-cap", "skirt_depth", "\"8 ±0.03\"");
    let stack = stack(&parts, &USUAL);
    assert_eq!(under(&stack, "top-cap"), ["upper-bearing"]);
    assert_eq!(item(&stack, "top-cap").rests_on[0].column, "outer");
    assert_eq!(outcome(&stack, "load-path", "top-cap"), Outcome::Fail);
}

#[test]
fn the_closing_gap_to_a_shoulder_counts() {
    let open = gap(&stack(PARTS, &USUAL));
    // The steerer's top 48.5 mm is slimmer: the shim, bored for it, stands over the shoulder by less than the rest.
    let parts = with(PARTS, "fork", "upper_outside", "\"25.4 +0/-0.05\"");
    let parts = with(&parts, "fork", "upper_length", "\"48.5 ±0.05\"");
    let parts = with(&parts, "shim", "inside", "\"25.45 +0.1/0\"");
    let shoulder = stack(&parts, &USUAL);
    let landing = item(&shoulder, "shim").landing.clone().unwrap();
    let found = gap(&shoulder);
    assert_eq!(under(&shoulder, "shim"), ["top-cap"]);
    assert!(found.1 < open.0, "{found:?} {open:?}");
    let nominal = shoulder.checks.iter().find(|c| c.demand == Demand::GapLeast).unwrap();
    assert_eq!(nominal.value.as_ref().unwrap().nominal, landing.nominal - 100_000_000);
}

#[test]
fn a_bearing_upside_down_fails_the_check_of_its_seat() {
    let stack = put_together(&book_of(PARTS), &USUAL, &["upper-bearing"]);
    assert_eq!(outcome(&stack, "seat-width", "upper-bearing"), Outcome::Fail);
}

#[test]
fn a_pinch_bolt_outside_the_supported_overlap_fails_though_the_length_is_enough() {
    let build: Vec<_> =
        USUAL.into_iter().filter(|(s, _)| *s != "cap" && *s != "bolt").chain([("clamp", "clamp")]).collect();
    let low = stack(PARTS, &build);
    assert_eq!(outcome(&low, "pinch-support", "clamp"), Outcome::Pass);
    let tall = with(PARTS, "clamp", "length", "\"70 ±0.1\"");
    let tall = stack(&with(&tall, "clamp", "pinch_heights", "[\"12 ±0.1\", \"60 ±0.1\"]"), &build);
    assert_eq!(outcome(&tall, "grip-length", "clamp"), Outcome::Pass);
    assert_eq!(outcome(&tall, "pinch-support", "clamp"), Outcome::Fail);
}

#[test]
fn one_general_class_for_everything_leaves_the_gap_undecided() {
    // Every height as a bare number, and ISO 2768-1 m taken for it.
    let heights = [
        "height",
        "flange_height",
        "cone_height",
        "seat_depth",
        "head_tube_length",
        "steerer_length",
        "rim_height",
    ];
    let heights = [&heights[..], &["length", "thickness"]].concat();
    let bare = |line: &str| match line.split_once(" ±") {
        Some((nominal, _)) if heights.iter().any(|h| line.starts_with(&format!("{h} ="))) => {
            format!("{nominal}\"")
        }
        _ => line.to_string(),
    };
    let parts = PARTS.lines().map(bare).collect::<Vec<_>>().join("\n");
    let assumed = "height = \"iso2768-m\"\ndepth = \"iso2768-m\"\n";
    let shop = format!("{SHOP}[assumed]\n{assumed}");
    let book = book_with(&shop, SYSTEM, &parts);
    let (least, most, outcome) = gap(&put_together(&book, &USUAL, &[]));
    assert_eq!(outcome, Outcome::Measure, "{least} to {most}");
    assert!(least < 2_000_000 && most > 4_000_000, "{least} to {most}");
}

#[test]
fn a_male_thread_enters_its_mate_by_its_root_and_stops_on_a_plain_bore() {
    // The bolt is not named as sliding through the cap.
    let from = SYSTEM.find("[[sleeve]]\nouter = \"cap.hole\"").unwrap();
    let to = SYSTEM.find("[[thread]]").unwrap();
    let free = "[[free]]\nsurface = \"cap.hole\"\nwhy = \"The bolt stops where it stops.\"\n\n";
    let system = format!("{}{free}{}", &SYSTEM[..from], &SYSTEM[to..]);
    let stack = |parts: &str| put_together(&book_with(SHOP, &system, parts), &USUAL, &[]);
    let passes = stack(PARTS);
    assert_eq!(under(&passes, "bolt"), ["cap"]);
    let top = |s: &Stack| item(s, "cap").landing.as_ref().unwrap().nominal + 5_000_000;
    let bottom = |s: &Stack| item(s, "bolt").landing.as_ref().unwrap().nominal;
    assert_eq!(bottom(&passes), top(&passes) - 30_000_000);
    // Wider than the root of M8 (6.466 mm), narrower than its crests.
    let tight = stack(&with(PARTS, "cap", "hole", "\"7 ±0.1\""));
    assert_eq!(bottom(&tight), top(&tight));
}

#[test]
fn a_split_ring_that_cannot_close_fails() {
    let parts = with(PARTS, "ring", "bore", "\"29 +0.1/+0\"");
    let parts = with(&parts, "ring", "cone_height", "\"2 ±0.04\"");
    let stack = stack(&with(&parts, "ring", "slot", "\"1 ±0.1\""), &USUAL);
    assert_eq!(outcome(&stack, "ring-closing", "ring"), Outcome::Fail);
}

#[test]
fn an_exact_tie_on_a_support_that_is_not_allowed_fails_and_both_supports_are_certain() {
    let exact = with(PARTS, "shim", "length", "\"50 +0/-0\"");
    let exact = with(&exact, "collar", "length", "\"50 +0/-0\"");
    let stack = stack(&exact, &[&USUAL[..], &[("collar", "collar")]].concat());
    assert!(item(&stack, "cap").rests_on.iter().all(|s| s.certain));
    assert_eq!(outcome(&stack, "rests-on", "cap"), Outcome::Fail);
}
