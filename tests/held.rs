//! What closes where it must, what holds what, and what is told of it: builds that a simpler reading would pass, each a
//! change to the demo book, each a fact. Knows nothing of how the engine comes to its judgement.

use crate::changed_demo;

use benchleaf::assembly::{Demand, Outcome, Stack};
use benchleaf::solve::{ShopStrengths, Verdict};
use changed_demo::{DIPPER_BELOW, EGRET, HERON, TERN, as_changes, book, not_passed, of_part, outcome, stack};

const BARS: &str = "parts/upper/bars.toml";
const SHIMS: &str = "parts/upper/shims.toml";
const CLAMPS: &str = "parts/upper/clamps.toml";
const CAP_IN_CLAMP: &str = "content/systems/cap-in-clamp.toml";
const WIDE_SHIM: &str = "content/systems/wide-shim.toml";

fn heron_with(changes: &[(String, String, String)]) -> Stack {
    stack(&book(&as_changes(changes)), "wide-shim", &HERON)
}

fn with_slit(length: &str) -> Stack {
    heron_with(&[of_part(
        BARS,
        "bars-broad",
        "slit_length = \"60 ±1\"",
        &format!("slit_length = \"{length}\""),
    )])
}

fn swapped<'p>(parts: &[(&'p str, &'p str)], slot: &str, part: &'p str) -> Vec<(&'p str, &'p str)> {
    parts.iter().map(|&(s, p)| if s == slot { (s, part) } else { (s, p) }).collect()
}

/// The verdict with everything else in the book to choose from.
fn verdict(changes: &[(String, String, String)], fork: &str, system: &str) -> (Verdict, Vec<String>) {
    let book = book(&as_changes(changes));
    let strengths = ShopStrengths(&book.shop);
    let answer = book.bench(&strengths).answer(book.variant(fork), book.system(system));
    assert!(!answer.unfinished);
    let part = |p: &benchleaf::assembly::Placed| book.catalogue.part_of(p.variant).id.clone();
    (answer.verdict, answer.stack.items.iter().map(part).collect())
}

#[test]
fn the_builds_that_are_changed_here_go_as_they_are() {
    let demo = book(&[]);
    assert_eq!(not_passed(&stack(&demo, "wide-shim", &HERON)), []);
    assert_eq!(not_passed(&stack(&demo, "cap-in-clamp", &TERN)), []);
    assert_eq!(not_passed(&stack(&demo, "pulled-from-below", &DIPPER_BELOW)), []);
}

#[test]
fn a_slit_of_two_millimetres_closes_at_no_pinch_bolt() {
    let short = with_slit("2 ±0.2");
    assert_eq!(outcome(&short, "slit"), Some(Outcome::Pass), "there is one");
    assert_eq!(outcome(&short, "slit-reach"), Some(Outcome::Fail));
    let slit = of_part(BARS, "bars-broad", "slit_length = \"60 ±1\"", "slit_length = \"2 ±0.2\"");
    let (verdict, parts) = verdict(&[slit], "fork-heron", "wide-shim");
    assert!(verdict != Verdict::Goes || !parts.contains(&"bars-broad".to_string()), "{verdict:?} {parts:?}");
}

#[test]
fn a_slit_must_reach_past_the_last_bolt_by_what_the_rule_asks() {
    // The bars stand on the shim's lip, 2 mm over the top cap; the clamp comes down to the top cap. Its upper bolt is 38 mm
    // up, so the slit has to be 39 mm long at least.
    let ends = [("60 ±1", Outcome::Pass), ("30 ±0.5", Outcome::Fail), ("27 ±0.5", Outcome::Fail)];
    for (length, expected) in ends {
        let stack = with_slit(length);
        let found = outcome(&stack, "chosen-height").max(outcome(&stack, "slit-reach"));
        assert_eq!(found, Some(expected), "{length}: {:?}", not_passed(&stack));
    }
    // Straddling: measure.
    let stack = with_slit("39 ±1");
    assert_eq!(outcome(&stack, "chosen-height"), Some(Outcome::Measure), "{:?}", not_passed(&stack));
}

#[test]
fn a_longer_slit_never_worsens_closing() {
    let mut last = Outcome::Fail;
    for length in ["10 ±0.5", "30 ±0.5", "36 ±0.5", "39 ±1", "43 ±0.5", "50 ±0.5", "60 ±1"] {
        let stack = with_slit(length);
        let found = ["slit-reach", "clamp-closing", "chosen-height"].map(|word| outcome(&stack, word));
        let found = found.into_iter().flatten().max().unwrap();
        assert!(found <= last, "{length}: {found:?} after {last:?}");
        last = found;
    }
    assert_eq!(last, Outcome::Pass);
}

#[test]
fn a_cut_nowhere_near_a_bolt_makes_nothing_go() {
    // Bars that have none; a shim that has none; a slot of 3 mm at the shim's top end.
    let plain = of_part(SHIMS, "shim-alder", "slot = \"3 ±0.2\"\n", "");
    let without = heron_with(std::slice::from_ref(&plain));
    assert_eq!(outcome(&without, "clamp-closing"), Some(Outcome::Fail));
    let notch =
        of_part(SHIMS, "shim-alder", "slot = \"3 ±0.2\"", "slot = \"3 ±0.2\"\nslot_length = \"3 ±0.2\"");
    let notched = heron_with(&[notch]);
    assert_eq!(outcome(&notched, "slit-reach"), Some(Outcome::Fail), "{:?}", not_passed(&notched));
}

#[test]
fn a_shim_slotted_part_of_its_length_goes_one_way_up_only() {
    let slot =
        of_part(SHIMS, "shim-hazel", "slot = \"3 ±0.2\"", "slot = \"3 ±0.2\"\nslot_length = \"38 ±0.2\"");
    let book = book(&as_changes(&[slot]));
    let plain = stack(&book, "wide-shim", &swapped(&HERON, "shim", "shim-hazel"));
    let turned = stack(&book, "wide-shim", &swapped(&HERON, "shim", "/shim-hazel"));
    // With the slotted end up the lower bolts squeeze a whole ring; with it down the upper ones may, unless the clamp is set low.
    let worst = |stack: &Stack| {
        ["slit-reach", "chosen-height"].iter().filter_map(|word| outcome(stack, word)).max().unwrap()
    };
    assert_ne!(worst(&plain), worst(&turned), "{:?}\n{:?}", not_passed(&plain), not_passed(&turned));
}

#[test]
fn a_wall_so_close_that_it_gives_needs_no_slit() {
    // A shim without a slot between bars and steerer: held where its wall gives by as much as it is loose.
    let plain = of_part(SHIMS, "shim-alder", "slot = \"3 ±0.2\"\n", "");
    let sleeve = "clearance = [\"0.01\", \"0.3\"]\noverlap = \"30\"\n\n[[sleeve]]\nouter = \"bars.inside\"";
    let gives = |springs: &str| {
        let springs = sleeve.replace("\n\n", &format!("\nsprings = \"{springs}\"\n\n"));
        let mut changes = as_changes(std::slice::from_ref(&plain));
        changes.push((WIDE_SHIM, sleeve, &springs));
        outcome(&stack(&book(&changes), "wide-shim", &HERON), "clamp-closing")
    };
    assert_eq!(gives("0.3"), Some(Outcome::Pass));
    assert_eq!(gives("0.1"), Some(Outcome::Measure));
    assert_eq!(gives("0.04"), Some(Outcome::Fail));
}

#[test]
fn a_clamp_may_rest_on_what_carries_it_whatever_height_the_pile_below_comes_to() {
    let heron = stack(&book(&[]), "wide-shim", &HERON);
    let name = |item: benchleaf::assembly::ItemIx| heron.items[usize::from(item.0)].name.as_str();
    let window = heron.windows.iter().find(|w| name(w.item) == "clamp").unwrap();
    let (on, least, most) = window.over.expect("something carries it");
    assert_eq!((name(on), least), ("top-cap", 0));
    // Both move with the pile below: none of the room is lost to what that may differ by.
    assert!(most >= window.highest - window.lowest, "{window:?}");
}

#[test]
fn a_slit_that_shows_too_far_above_the_clamp_is_told_by_the_rules_limit() {
    let bare = (WIDE_SHIM, "wanted = true\nbare = \"25\"", "wanted = true\nbare = \"1\"");
    let low = stack(&book(&[bare]), "wide-shim", &HERON);
    let free = stack(&book(&[]), "wide-shim", &HERON);
    let window = |s: &Stack| s.windows.iter().map(|w| w.lowest).max().unwrap();
    assert!(window(&low) > window(&free), "the clamp is set higher: {} {}", window(&low), window(&free));
    let long = of_part(BARS, "bars-broad", "slit_length = \"60 ±1\"", "slit_length = \"120 ±1\"");
    let shown = stack(&book(&as_changes(&[long])), "wide-shim", &HERON);
    assert_eq!(outcome(&shown, "chosen-height"), Some(Outcome::Fail), "{:?}", not_passed(&shown));
}

#[test]
fn a_sleeve_that_is_held_stops_on_the_cap_and_leaves_the_foot_of_the_slit_open() {
    // The cap stands 5 mm up into the bars: the sleeve cannot be level with their foot.
    let egret = stack(&book(&[]), "cap-in-clamp", &EGRET);
    assert_eq!(outcome(&egret, "chosen-height"), Some(Outcome::Fail), "{:?}", not_passed(&egret));
    // Without the cap in its way it can.
    let without: Vec<_> = EGRET.into_iter().filter(|(s, _)| !["cap", "bolt"].contains(s)).collect();
    let free = stack(&book(&[]), "cap-in-clamp", &without);
    assert_eq!(outcome(&free, "chosen-height"), Some(Outcome::Pass), "{:?}", not_passed(&free));
}

#[test]
fn the_bars_are_not_carried_by_a_sleeve_inside_them() {
    let egret = stack(&book(&[]), "cap-in-clamp", &EGRET);
    let bars = egret.items.iter().find(|i| i.name == "bars").unwrap();
    let under: Vec<&str> =
        bars.rests_on.iter().map(|s| egret.items[s.item.0 as usize].name.as_str()).collect();
    assert_eq!(under, ["clamp"], "they go down to the shelf");
}

#[test]
fn a_loose_sleeve_is_kept_by_nothing_unless_something_stops_it() {
    let loose = [
        (
            CAP_IN_CLAMP,
            "put_on = \"chosen\"\nhost = \"bars\"\ninto = \"bottom\"\ndepth = [\"0\", \"1\"]\nby_hand = \"0.5\"\n",
            "put_on = \"loose\"\nhost = \"bars\"\n",
        ),
        (CAP_IN_CLAMP, "held = \"the tape", "feel = \"the tape"),
        (CAP_IN_CLAMP, "feel = \"It stays in by itself and bridges the slit.\"\n", ""),
    ];
    let open = stack(&book(&loose), "cap-in-clamp", &EGRET);
    // The tube is open up to the crossbar, 560 mm up: that stops it, and so high it bridges nothing.
    assert_eq!(outcome(&open, "slit"), Some(Outcome::Fail), "{:?}", not_passed(&open));
    // A floor inside the bars right above the sleeve keeps it down; the cap still keeps it off the foot of the bars.
    let floor = of_part(
        BARS,
        "bars-mere",
        "tube_length = \"560 ±1\"",
        "tube_length = \"560 ±1\"\ninside_depth = \"69.5 ±0.1\"",
    );
    let mut changes = as_changes(std::slice::from_ref(&floor));
    changes.extend(loose);
    let stopped = stack(&book(&changes), "cap-in-clamp", &EGRET);
    let slit = stopped.checks.iter().find(|c| matches!(c.demand, Demand::Slit(_))).unwrap();
    let value = slit.value.as_ref().unwrap();
    assert!(value.least > -12_000_000 && value.most < 0, "{value:?}");
}

const THIN_SHIM: &str = "name = \"thin-shim\"\nkinds = [\"shim\"]\ncount = [0, 1]\nput_on = \"from-above\"\n";

fn thin_shim_loose() -> String {
    THIN_SHIM.replace("\"from-above\"", "\"loose\"\nhost = \"shim\"")
}

/// Sedge, 45 mm long, in another shim on a slim steerer.
fn nested(shim: &'static str) -> Vec<(&'static str, &'static str)> {
    let slim = [("fork", "fork-egret"), ("ring", "ring-slim"), ("top-cap", "top-cap-slim"), ("shim", shim)];
    let mut parts = slim.into_iter().fold(HERON.to_vec(), |parts, (slot, part)| swapped(&parts, slot, part));
    parts.retain(|(slot, _)| *slot != "star-nut");
    parts.push(("thin-shim", "shim-sedge"));
    parts
}

#[test]
fn the_slot_of_a_loose_shim_has_to_reach_the_bolts_wherever_the_shim_lies() {
    // In a shim of 47 mm, slotted from its upper end: it may rise by 2 mm, and its slot ends so much higher.
    let slot =
        of_part(SHIMS, "shim-sedge", "slot = \"3 ±0.2\"", "slot = \"3 ±0.2\"\nslot_length = \"35 ±0.2\"");
    let mut parts = swapped(&nested("shim-hazel"), "bolt", "bolt-m8-30");
    parts.push(("spacer", "spacer-25-5"));
    let standing = as_changes(std::slice::from_ref(&slot));
    let held = stack(&book(&standing), "wide-shim", &parts);
    assert_eq!(not_passed(&held), [], "kept down it goes");
    let loose = thin_shim_loose();
    let lying = [standing, vec![(WIDE_SHIM, THIN_SHIM, loose.as_str())]].concat();
    let found = stack(&book(&lying), "wide-shim", &parts);
    assert_eq!(outcome(&found, "chosen-height"), Some(Outcome::Measure), "{:?}", not_passed(&found));
}

#[test]
fn a_loose_shim_is_as_long_wherever_it_lies() {
    // In a shim of 60.5 mm it may rise by 15.5 mm; the steerer is beside 30 mm of it even then.
    let yew = of_part(SHIMS, "shim-yew", "length = \"60 ±0.1\"", "length = \"60.5 ±0.1\"");
    let loose = thin_shim_loose();
    let changes =
        [as_changes(std::slice::from_ref(&yew)), vec![(WIDE_SHIM, THIN_SHIM, loose.as_str())]].concat();
    let found = stack(&book(&changes), "wide-shim", &nested("shim-yew"));
    assert_eq!(not_passed(&found), []);
}

#[test]
fn a_bore_that_runs_through_hub_and_plate_counts_over_both() {
    let hub = swapped(&HERON, "top-cap", "top-cap-hub");
    let stack = stack(&book(&[]), "wide-shim", &hub);
    let cap = stack.items.iter().position(|i| i.name == "top-cap").unwrap() as u16;
    let about = |c: &&benchleaf::assembly::Check| c.about.first().is_some_and(|i| i.0 == cap);
    let overlap = stack.checks.iter().filter(about).find(|c| c.demand.word() == "sleeve-overlap").unwrap();
    let value = overlap.value.as_ref().unwrap();
    // A plate and a hub together 4 mm high, all of it beside the steerer.
    assert!(overlap.outcome == Outcome::Pass && value.nominal >= 4_000_000, "{value:?}");
}

#[test]
fn a_half_of_a_clamp_without_a_bolt_holds_nothing() {
    let two = of_part(
        CLAMPS,
        "clamp-sluice",
        "pinch_heights = [\"10 ±0.1\", \"26 ±0.1\", \"56 ±0.1\", \"72 ±0.1\"]",
        "pinch_heights = [\"10 ±0.1\", \"26 ±0.1\"]",
    );
    let tern = stack(&book(&as_changes(std::slice::from_ref(&two))), "cap-in-clamp", &TERN);
    assert_eq!(outcome(&tern, "pinch-support"), Some(Outcome::Fail), "{:?}", not_passed(&tern));
    let (_, parts) = verdict(&[two], "fork-tern", "cap-in-clamp");
    assert!(!parts.contains(&"clamp-sluice".to_string()), "{parts:?}");
}

#[test]
fn a_key_needs_a_straight_way_past_what_is_on_by_then() {
    // The bolt turned in after the bars are on, which are closed 90 mm above their foot.
    let closed = of_part(
        BARS,
        "bars-broad",
        "tube_length = \"600 ±1\"",
        "tube_length = \"600 ±1\"\ninside_depth = \"90 ±1\"",
    );
    let text = std::fs::read_to_string(WIDE_SHIM).unwrap();
    let from = text.find("[[step]]\nid = \"bolt-in\"").unwrap();
    let to = from + text[from..].find("\n\n[[step]]").unwrap();
    let step = text[from..to].to_string();
    let late = step.replace("id = \"bolt-in\"", "id = \"bolt-in\"\nafter = [\"bars-on\"]");
    let mut changes = as_changes(std::slice::from_ref(&closed));
    let before = stack(&book(&changes), "wide-shim", &HERON);
    assert_eq!(outcome(&before, "key-way"), Some(Outcome::Pass), "the bars are not on yet");
    changes.push((WIDE_SHIM, &step, &late));
    let after = stack(&book(&changes), "wide-shim", &HERON);
    assert_eq!(outcome(&after, "key-way"), Some(Outcome::Fail), "{:?}", not_passed(&after));
    // The crossbar closes every tube to what comes from above.
    let open = stack(&book(&[(WIDE_SHIM, &step, &late)]), "wide-shim", &HERON);
    assert_eq!(outcome(&open, "key-way"), Some(Outcome::Fail));
}

#[test]
fn the_fins_of_a_star_nut_stay_clear_of_the_slit() {
    let below = stack(&book(&[]), "pulled-from-below", &DIPPER_BELOW);
    let depth = below.windows.iter().find_map(|w| w.depth).unwrap();
    assert!(depth.0 >= 61_000_000, "above the slit's end at 61 mm at most: {depth:?}");
    let slit = of_part(BARS, "bars-mere", "slit_length = \"60 ±1\"", "slit_length = \"118 ±1\"");
    let long = stack(&book(&as_changes(&[slit])), "pulled-from-below", &DIPPER_BELOW);
    assert_eq!(outcome(&long, "chosen-height"), Some(Outcome::Fail), "{:?}", not_passed(&long));
}

#[test]
fn a_wide_gap_alone_refuses_nothing_and_is_told() {
    // The usual build with 8 mm of spacers more: the gap is wide, the clamp still has its 30 mm of steerer.
    let parts: Vec<_> = HERON.into_iter().chain([("spacer", "spacer-28-5")]).collect();
    let wide = stack(&book(&[]), "wide-shim", &parts);
    let gap = wide.checks.iter().find(|c| c.demand == Demand::GapLeast).unwrap();
    assert!(gap.value.as_ref().unwrap().least > 5_000_000, "{gap:?}");
    assert_eq!((gap.outcome, gap.most), (Outcome::Pass, None));
    assert_eq!(not_passed(&wide), []);
}

#[test]
fn a_cap_over_two_shims_may_rest_on_either_where_the_push_goes_on_through_both() {
    let both = |rule: &str| {
        let change = (
            WIDE_SHIM,
            "kinds = [\"cap\"]\nput_on = \"from-above\"\nrests_on = [\"shim\"]\nmay_touch = [\"thin-shim\"]",
            rule,
        );
        let slim = [
            of_part(SHIMS, "shim-sedge", "length = \"45 ±0.1\"", "length = \"50 ±0.1\""),
            of_part(SHIMS, "shim-alder", "inside = \"28.65 +0.08/+0\"", "inside = \"28.65 +0.08/+0\""),
        ];
        let mut changes = as_changes(&slim);
        changes.push(change);
        let book = book(&changes);
        let parts: Vec<_> = swapped(&swapped(&HERON, "fork", "fork-egret"), "ring", "ring-slim")
            .into_iter()
            .map(|(s, p)| if s == "top-cap" { (s, "top-cap-slim") } else { (s, p) })
            .chain([("thin-shim", "shim-sedge")])
            .filter(|(s, _)| *s != "star-nut")
            .collect();
        let stack = stack(&book, "wide-shim", &parts);
        let cap = stack.items.iter().find(|i| i.name == "cap").unwrap();
        assert!(cap.rests_on.len() == 2, "{:?}", cap.rests_on);
        let rests = stack.checks.iter().filter(|c| matches!(c.demand, Demand::RestsOn(_)));
        let path = stack.checks.iter().filter(|c| c.demand == Demand::Path).map(|c| c.outcome).max();
        (rests.map(|c| c.outcome).max().unwrap(), path.unwrap())
    };
    let must = "kinds = [\"cap\"]\nput_on = \"from-above\"\nrests_on = [\"shim\"]";
    assert_eq!(both(must), (Outcome::Measure, Outcome::Pass));
    let may =
        "kinds = [\"cap\"]\nput_on = \"from-above\"\nrests_on = [\"shim\"]\nmay_touch = [\"thin-shim\"]";
    assert_eq!(both(may), (Outcome::Pass, Outcome::Pass));
}

#[test]
fn a_spacer_passes_over_a_plain_shim_down_to_the_top_cap_and_carries_the_bars() {
    let plain = swapped(&swapped(&HERON, "shim", "shim-hazel"), "clamp", "clamp-oriel");
    let parts: Vec<_> =
        plain.into_iter().chain([("collar", "spacer-32-5"), ("spacer", "spacer-28-3")]).collect();
    let demo = book(&[]);
    let over = stack(&demo, "wide-shim", &parts);
    assert_eq!(not_passed(&over), []);
    let item = |name| over.items.iter().find(|i| i.name == name).unwrap();
    let at = |name| over.items.iter().position(|i| i.name == name).unwrap() as u16;
    assert_eq!(item("bars").rests_on.iter().map(|s| s.item.0).collect::<Vec<_>>(), [at("collar")]);
    assert_eq!(item("cap").rests_on.iter().map(|s| s.item.0).collect::<Vec<_>>(), [at("shim")]);
    // A lip holds it up: it carries nothing that it may.
    let lipped: Vec<_> = HERON.into_iter().chain([("collar", "spacer-32-5")]).collect();
    let held_up = stack(&demo, "wide-shim", &lipped);
    assert_eq!(outcome(&held_up, "rests-on"), Some(Outcome::Fail), "{:?}", not_passed(&held_up));
}
