//! Three stacks: a wide shim, a clamp with a shelf, and one that does not go. Must not know how they are drawn.

use super::{Item, Sample, build, item, length, tube};
use crate::assembly::*;
use crate::rules::PutOn;

/// Fork to top cap: an integrated headset with 45 degree bearings. Top of the top cap: 113.15.
fn headset() -> Vec<Item<'static>> {
    let mut fork = item(
        "fork",
        "fork",
        -60.0,
        vec![tube(8.0, 0.0, 46.0), tube(52.0, 22.0, 46.0), tube(7.0, 22.0, 30.2), tube(155.0, 22.0, 28.6)],
    );
    fork.put_on = PutOn::Fixed;
    let mut race =
        item("crown-race", "crown-race", 0.0, vec![tube(2.5, 30.2, 40.0), (1.5, [30.2; 2], [34.0, 31.0])]);
    race.mark = Some(("cone", true));
    let mut lower = item("lower-bearing", "bearing", 2.75, Vec::new());
    lower.columns = vec![
        ("inner", 0.0, vec![(1.5, [33.5, 30.5], [34.5; 2]), tube(6.5, 30.5, 34.5)]),
        ("outer", 0.0, vec![tube(7.0, 38.0, 41.8), (1.0, [38.0; 2], [41.8, 39.8])]),
    ];
    lower.turned = true;
    lower.put_on = PutOn::FromAbove;
    lower.mark = Some(("outer-chamfer", false));
    let deck = item(
        "deck",
        "deck",
        2.7,
        vec![
            tube(7.0, 41.9, 50.0),
            (2.95, [41.9, 36.0], [50.0; 2]),
            tube(85.1, 36.0, 50.0),
            (2.95, [36.0, 41.9], [50.0; 2]),
            tube(7.0, 41.9, 50.0),
        ],
    );
    let mut upper = item("upper-bearing", "bearing", 99.65, Vec::new());
    upper.columns = vec![
        ("inner", 0.0, vec![tube(6.5, 30.5, 34.5), (1.5, [30.5, 33.5], [34.5; 2])]),
        ("outer", 0.0, vec![(1.0, [38.0; 2], [39.8, 41.8]), tube(7.0, 38.0, 41.8)]),
    ];
    upper.mark = Some(("outer-chamfer", false));
    let mut ring =
        item("ring", "compression-ring", 105.65, vec![(2.5, [28.6; 2], [29.5, 34.5]), tube(1.0, 28.6, 34.5)]);
    ring.slot = Some(2.0);
    ring.mark = Some(("cone", false));
    let mut cap = item("top-cap", "top-cap", 106.15, Vec::new());
    cap.columns =
        vec![("plate", 3.0, vec![tube(4.0, 28.8, 54.0)]), ("skirt", 0.0, vec![tube(3.0, 51.0, 54.0)])];
    cap.mark = Some(("skirt", false));
    vec![fork, race, lower, deck, upper, ring, cap]
}

fn bolt(name: &'static str, landing: f64, long: f64) -> Item<'static> {
    let rings = vec![tube(24.0, 0.0, 6.0), tube(long - 24.0, 0.0, 6.0), tube(6.0, 0.0, 10.0)];
    let mut bolt = item(name, "bolt", landing, rings);
    bolt.thread = Some(("M6", 0, true));
    bolt.mark = Some(("head", true));
    bolt.key = Some(5.0);
    bolt
}

fn star_nut(landing: f64, bore: f64) -> Item<'static> {
    let mut nut = item(
        "star-nut",
        "star-nut",
        landing,
        vec![tube(2.0, 4.917, bore), tube(6.0, 4.917, 10.0), tube(2.0, 4.917, bore)],
    );
    nut.thread = Some(("M6", 0, false));
    nut
}

fn bars(name: &'static str, landing: f64, bore: f64, outside: f64, deep: f64) -> Item<'static> {
    let rings = vec![tube(deep, bore, outside), tube(80.0, 0.0, outside), tube(28.0, 0.0, 500.0)];
    let mut bars = item(name, "bars", landing, rings);
    bars.slot = Some(2.5);
    bars.slit_to = Some(60.0);
    bars
}

/// A thick shim over the steerer, oversize bars over it, closing gap 3.15 mm.
pub(in crate::draw) fn wide_shim() -> Sample {
    let mut items = headset();
    items.push(star_nut(136.0, 22.0));
    let mut clamp = item("clamp", "clamp", 113.15, vec![tube(55.0, 35.0, 48.0)]);
    clamp.slot = Some(3.0);
    clamp.pinches = &[12.0, 43.0];
    clamp.key = Some(5.0);
    items.push(clamp);
    let mut shim = item("shim", "shim", 113.15, vec![tube(2.0, 28.7, 34.8), tube(50.0, 28.7, 31.8)]);
    shim.slot = Some(2.0);
    shim.mark = Some(("lip", false));
    items.push(shim);
    items.push(bars("bars", 115.15, 31.9, 34.9, 400.0));
    let mut cap = item("cap", "cap", 162.15, vec![tube(3.0, 6.5, 20.0), tube(5.0, 6.5, 31.7)]);
    cap.mark = Some(("spigot", false));
    items.push(cap);
    items.push(bolt("bolt", 130.15, 40.0));
    let mut sample = build(&items, &["bars"]);
    gap_check(&mut sample, 3.15);
    sample
}

fn gap_check(sample: &mut Sample, gap: f64) {
    let nominal = length(gap).as_nm();
    sample.stack.checks.push(Check {
        demand: Demand::GapLeast,
        about: vec![sample.item("cap"), sample.item("fork")],
        surfaces: Vec::new(),
        value: Some(Value { nominal, least: nominal - 300_000, most: nominal + 300_000, form: None }),
        least: Some(2_000_000),
        most: None,
        outcome: Outcome::Pass,
        assumes: Vec::new(),
        supposes: Vec::new(),
        tried: None,
    });
}

/// The clamp holds a cap on a shelf inside; bars stand in its upper half. A riser under the clamp.
pub(in crate::draw) fn shelf_clamp() -> Sample {
    let mut items = headset();
    items.push(item("riser", "riser", 113.15, vec![tube(9.0, 28.7, 40.0)]));
    items.push(star_nut(136.0, 22.0));
    let mut clamp = item(
        "clamp",
        "clamp",
        122.15,
        vec![tube(42.0, 28.7, 46.0), tube(4.0, 22.0, 46.0), tube(49.0, 31.9, 46.0)],
    );
    clamp.slot = Some(3.0);
    clamp.pinches = &[10.0, 32.0, 56.0, 84.0];
    clamp.mark = Some(("shelf", false));
    items.push(clamp);
    items.push(item("cap", "cap", 168.15, vec![tube(4.0, 6.5, 27.0)]));
    items.push(bolt("bolt", 132.15, 40.0));
    items.push(bars("bars", 172.15, 28.8, 31.8, 20.0));
    let mut sample = build(&items, &["bars"]);
    gap_check(&mut sample, 2.15);
    sample
}

/// The shim's bore is 0.9 mm too small for the steerer, and its top cap stands on the outer ring.
pub(in crate::draw) fn tight_shim() -> Sample {
    let mut items = headset();
    let mut shim = item("shim", "shim", 113.15, vec![tube(2.0, 27.7, 34.8), tube(50.0, 27.7, 31.8)]);
    shim.mark = Some(("lip", false));
    items.push(shim);
    items.push(bars("bars", 115.15, 33.4, 36.4, 400.0));
    let mut sample = build(&items, &[]);
    for (demand, about) in [
        (Demand::SleeveClearance(0), ["shim", "fork"]),
        (Demand::SleeveClearance(1), ["bars", "shim"]),
        (Demand::Path, ["top-cap", "ring"]),
    ] {
        sample.stack.checks.push(Check {
            demand,
            about: about.map(|name| sample.item(name)).to_vec(),
            surfaces: Vec::new(),
            value: None,
            least: None,
            most: None,
            outcome: Outcome::Fail,
            assumes: Vec::new(),
            supposes: Vec::new(),
            tried: None,
        });
    }
    sample
}
