//! Stacks made from a seed: a headset, a clamp of one of three sorts, any number of spacers, sizes at random. Sizes are
//! invented (no source). Must not know how they are drawn.

use super::{Item, R, Sample, build, item, length, tube};
use crate::assembly::*;
use crate::rules::{PutOn, SlotIx};

/// A plain generator of even numbers of 64 bits (xorshift, from memory): the same stacks on every machine.
struct Dice(u64);

impl Dice {
    fn share(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    /// To a hundredth of a millimetre.
    fn mm(&mut self, from: f64, to: f64) -> f64 {
        ((from + (to - from) * self.share()) * 100.0).round() / 100.0
    }

    fn count(&mut self, below: usize) -> usize {
        (self.share() * below as f64) as usize
    }

    fn yes(&mut self) -> bool {
        self.share() < 0.5
    }
}

const SPACERS: [&str; 8] =
    ["spacer", "spacer-2", "spacer-3", "spacer-4", "spacer-5", "spacer-6", "spacer-7", "spacer-8"];

pub(in crate::draw) fn made(seed: u64) -> Sample {
    let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    for _ in 0..8 {
        dice.share();
    }
    let steerer = dice.mm(25.0, 30.0);
    let inside = steerer - dice.mm(4.0, 9.0);
    let (mut items, mut top) = headset(&mut dice, steerer, inside);
    for name in &SPACERS[..dice.count(SPACERS.len() + 1)] {
        let high = dice.mm(1.0, 16.0);
        let outside = dice.mm(steerer + 2.0, 46.0);
        items.push(item(name, "spacer", top, vec![tube(high, steerer + dice.mm(0.02, 0.4), outside)]));
        top += high;
    }
    // Some have none, some one that no detail would hold.
    let gap = match (dice.mm(0.3, 6.0), seed % 8) {
        (_, 5) => 0.0,
        (gap, 6) => 20.0 + 8.0 * gap,
        (gap, _) => gap,
    };
    let under_cap = above(&mut dice, &mut items, steerer, top);
    let fork_top = under_cap - gap;
    items[0].columns[0].2[3].0 = fork_top - 7.0;
    let nut = fork_top - dice.mm(14.0, 30.0);
    let engaged = dice.mm(4.0, 12.0);
    let mut star = item("star-nut", "star-nut", nut, vec![tube(engaged, 4.9, inside)]);
    star.thread = Some(("M6", 0, false));
    items.push(star);
    let long = under_cap + 4.0 - nut + dice.mm(0.5, 3.0);
    let shank = (long - 24.0).max(1.0);
    let rings = vec![tube(24.0_f64.min(long - shank), 0.0, 6.0), tube(shank, 0.0, 6.0), tube(6.0, 0.0, 10.0)];
    let from = under_cap + 4.0 - rings[0].0 - rings[1].0;
    let mut bolt = item("bolt", "bolt", from, rings);
    (bolt.thread, bolt.mark, bolt.key) = (Some(("M6", 0, true)), Some(("head", true)), Some(5.0));
    let threaded = (from.max(nut), (from + bolt.columns[0].2[0].0).min(nut + engaged));
    items.push(bolt);
    let mut cap = item("cap", "cap", under_cap, vec![tube(4.0, 6.5, steerer + dice.mm(-1.0, 1.0))]);
    cap.mark = dice.yes().then_some(("spigot", false));
    items.push(cap);
    let slit: &[&str] = if items.iter().any(|i| i.name == "bars") && dice.yes() { &["bars"] } else { &[] };
    let mut sample = build(&items, slit);
    check(&mut sample, Demand::GapLeast, ["cap", "fork"], gap);
    sample.stack.pushed = vec![sample.item("cap")];
    check(&mut sample, Demand::Engagement(0), ["bolt", "star-nut"], threaded.1 - threaded.0);
    clearances(&mut sample, &items);
    check(&mut sample, Demand::Seat(SlotIx(0)), ["ring", "upper-bearing"], 1.5);
    sample.rest("ring", "upper-bearing");
    let shelf = items.iter().find(|i| i.name == "clamp").filter(|c| c.columns[0].2.len() == 3);
    if let Some(shelf) = shelf {
        let cap = items.iter().find(|i| i.name == "cap").map_or(0.0, |c| c.columns[0].2[0].2[0]);
        let wide = (cap.min(31.9) - shelf.columns[0].2[1].1[0]) / 2.0;
        check(&mut sample, Demand::Seat(SlotIx(1)), ["cap", "clamp"], wide);
        sample.rest("cap", "clamp");
    }
    sample
}

/// Fork to top cap, and the height of that.
fn headset(dice: &mut Dice, steerer: f64, inside: f64) -> (Vec<Item<'static>>, f64) {
    let crown = dice.mm(20.0, 90.0);
    let mut fork = item(
        "fork",
        "fork",
        -crown,
        vec![
            tube(dice.mm(4.0, 12.0), 0.0, 46.0),
            tube(0.0, inside, 46.0),
            tube(7.0, inside, 30.2_f64.max(steerer)),
            tube(150.0, inside, steerer),
        ],
    );
    let floor = fork.columns[0].2[0].0;
    fork.columns[0].2[1].0 = crown - floor;
    fork.put_on = PutOn::Fixed;
    let seat = 30.2_f64.max(steerer);
    let cone = (dice.mm(0.8, 2.0), [seat; 2], [34.0_f64.max(seat + 2.0), seat + 0.6]);
    let mut race = item("crown-race", "crown-race", 0.0, vec![tube(2.5, seat, 40.0), cone]);
    race.mark = Some(("cone", true));
    let bearing = |name, landing| {
        let mut bearing = item(name, "bearing", landing, Vec::new());
        let inner = vec![tube(6.5, 30.5, 34.5), (1.5, [30.5, 33.5], [34.5; 2])];
        bearing.columns = vec![("inner", 0.0, inner), ("outer", 0.0, vec![tube(8.0, 38.0, 41.8)])];
        bearing.mark = Some(("outer-chamfer", false));
        bearing
    };
    let (wall, long) = (dice.mm(46.0, 56.0), dice.mm(70.0, 150.0));
    let cups: Vec<R> = vec![tube(8.0, 41.9, wall), tube(long - 16.0, 36.0, wall), tube(8.0, 41.9, wall)];
    let deck = item("deck", "deck", 2.8, cups);
    let at = 2.8 + long - 8.2;
    let cone = vec![(1.5, [steerer; 2], [30.5, 33.5]), tube(1.0, steerer, 34.5)];
    let mut ring = item("ring", "compression-ring", at + 6.5, cone);
    ring.slot = Some(2.0);
    let plate = dice.mm(2.0, 8.0);
    let mut cap = item("top-cap", "top-cap", at + 9.0, vec![tube(plate, steerer + 0.2, 50.0)]);
    cap.mark = Some(("skirt", false));
    let top = at + 9.0 + plate;
    (vec![fork, race, bearing("lower-bearing", 3.2), deck, bearing("upper-bearing", at), ring, cap], top)
}

/// Clamp, and shim and bars where there are any; the height on which the cap lies.
fn above(dice: &mut Dice, items: &mut Vec<Item<'static>>, steerer: f64, top: f64) -> f64 {
    const TWO: [f64; 2] = [11.0, 27.0];
    const FOUR: [f64; 4] = [8.0, 19.0, 31.0, 40.0];
    let long = dice.mm(44.0, 90.0);
    let clamp = |rings: Vec<R>, pinches: &'static [f64], slot: f64| {
        let mut clamp = item("clamp", "clamp", top, rings);
        (clamp.slot, clamp.pinches, clamp.key) = (Some(slot), pinches, Some(5.0));
        clamp
    };
    let slot = dice.mm(1.0, 4.0);
    if dice.yes() {
        let shelf = 0.5 * long;
        let rings = vec![
            tube(shelf, steerer + dice.mm(0.05, 0.4), 46.0),
            tube(4.0, 20.0, 46.0),
            tube(long - shelf - 4.0, 31.9, 46.0),
        ];
        let mut clamp = clamp(rings, if dice.yes() { &TWO } else { &FOUR }, slot);
        clamp.mark = Some(("shelf", false));
        items.push(clamp);
        items.push(item("bars", "bars", top + shelf + 8.0, vec![tube(dice.mm(60.0, 400.0), 28.0, 31.8)]));
        return top + shelf + 4.0;
    }
    let shim = steerer + dice.mm(2.0, 4.0);
    let bars = shim + dice.mm(2.0, 4.0);
    items.push(clamp(vec![tube(long, bars + dice.mm(0.1, 0.4), bars + 12.0)], &TWO, slot));
    let mut sleeve = item(
        "shim",
        "shim",
        top,
        vec![tube(2.0, steerer + 0.1, bars - 0.2), tube(long + 6.0, steerer + 0.1, shim)],
    );
    (sleeve.mark, sleeve.slot) = (Some(("lip", false)), Some(2.0));
    items.push(sleeve);
    let deep = dice.mm(long + 14.0, 300.0);
    let mut upper = item(
        "bars",
        "bars",
        top + 2.0,
        vec![tube(deep, shim + 0.06, bars), tube(30.0, 0.0, bars), tube(30.0, 0.0, 400.0)],
    );
    (upper.slot, upper.slit_to) = (Some(2.5), Some(long));
    items.push(upper);
    top + long + 8.0
}

fn check(sample: &mut Sample, demand: Demand, about: [&str; 2], value: f64) {
    let nominal = length(value).as_nm();
    sample.stack.checks.push(Check {
        demand,
        about: about.map(|name| sample.item(name)).to_vec(),
        surfaces: Vec::new(),
        value: Some(Value { nominal, least: nominal - 20_000, most: nominal + 20_000, form: None }),
        least: Some(0),
        most: None,
        outcome: Outcome::Pass,
        assumes: Vec::new(),
        supposes: Vec::new(),
        tried: None,
    });
}

/// Of every spacer on the steerer.
fn clearances(sample: &mut Sample, items: &[Item]) {
    let steerer = items[0].columns[0].2[3].2[0];
    for (index, one) in items.iter().enumerate().filter(|(_, i)| i.kind == "spacer") {
        let bore = one.columns[0].2[0].1[0];
        check(sample, Demand::SleeveClearance(index as u16), [one.name, "fork"], bore - steerer);
    }
}
