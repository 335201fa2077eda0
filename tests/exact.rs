//! The ends of what is told of all parts are reached by real ones: where one support is certain by parts at their ends,
//! where ranges cross by what linear programmes find. Knows nothing of how the engine bounds a height.

use crate::angled;
use crate::book;
use crate::pile;
use crate::programme;
use crate::seventh;

use angled::{Angles, angled};
use benchleaf::assembly::{Demand, Pick, Stack, Value, assemble};
use benchleaf::quantity::Form;
use benchleaf::rules::Rule;
use benchleaf::solve::ShopStrengths;
use book::{Book, Numbers};
use pile::{Pile, value};
use programme::{Reach, reached};
use seventh::{PARTS, book_of, with_size};

/// Nanometres for each item that a height goes through, for what the engine rounds.
const ROUNDING: f64 = 2.0;
/// A cone that is not of 45 degrees is rounded outward by up to so much, each time it is met: two of a seat, four seats of a headset.
const CONE_ROUNDING: f64 = 200.0;

/// Slots and parts of the usual build, and what else may stand in it.
const USUAL: [&str; 10] = [
    "fork",
    "crown-race",
    "lower-bearing",
    "head-tube",
    "upper-bearing",
    "ring",
    "top-cap",
    "shim",
    "cap",
    "bolt",
];

/// Sizes that make ranges of diameters and of heights cross: part, field, ways to write it.
const CROSSING: [(&str, &str, &[&str]); 12] = [
    ("collar", "inside", &["31.8 ±0.05", "31.75 ±0.1", "32 ±0.1", "31.7 +0.3/0"]),
    ("collar", "length", &["50 ±0.1", "50.05 ±0.1", "49.9 ±0.3", "55 ±0.1"]),
    ("cap", "outside", &["35 ±0.1", "32 ±0.3", "31.9 ±0.2"]),
    ("cap", "hole", &["8.5 ±0.1", "8.4 ±0.2"]),
    ("top-cap", "skirt_inside", &["41.8 ±0.05", "41 ±0.1", "41.75 ±0.15"]),
    ("top-cap", "skirt_depth", &["0.6 ±0.03", "2.2 ±0.3", "4 ±0.2", "1 ±0.5"]),
    ("top-cap", "bore", &["28.7 +0.1/0", "29.5 ±0.2"]),
    ("race", "cone_height", &["2 ±0.05", "2.1 ±0.1"]),
    ("race", "flange_outside", &["40 ±0.1", "41.8 ±0.1", "42 ±0.2"]),
    ("deck", "seat_depth", &["6.5 ±0.04", "7.4 ±0.2", "8 ±0.3"]),
    ("ring", "cone_height", &["2.2 ±0.04", "2.3 ±0.1"]),
    ("shim", "length", &["50 ±0.1", "50 ±0.3"]),
];

/// Parts with some sizes that cross, every other time with cones of other angles, now and then unequal ones.
fn parts(numbers: &mut Numbers) -> (String, bool) {
    let mut parts = PARTS.to_string();
    for (part, field, ways) in CROSSING {
        if numbers.one_in(2) {
            parts = with_size(&parts, part, field, ways[numbers.below(ways.len())]);
        }
    }
    let steep = numbers.one_in(2);
    if steep {
        let mut angle = || [36.0, 30.0, 50.0, 45.0, 40.0][numbers.below(5)];
        parts = angled(&parts, Angles { inner: angle(), outer: angle() });
        if numbers.one_in(6) {
            parts = with_size(&parts, "bearing", "inner_angle", "35");
        }
    }
    (parts, steep)
}

fn put_together(book: &Book, numbers: &mut Numbers) -> Stack {
    let strengths = ShopStrengths(&book.shop);
    let mut build: Vec<&str> = USUAL.to_vec();
    build.extend(["spacer", "spacer", "collar", "collar"].iter().filter(|_| numbers.one_in(2)));
    build.dedup();
    let part = |slot: &str| match slot {
        "crown-race" => "race",
        "lower-bearing" | "upper-bearing" => "bearing",
        "head-tube" => "deck",
        other => other.to_string().leak(),
    };
    let rule = &book.rules[0];
    let pick = |slot: &&str| Pick {
        slot: rule.find(slot).unwrap(),
        variant: book.variant(part(slot)),
        turned: *slot == "lower-bearing",
    };
    let mut picks: Vec<Pick> = build.iter().map(pick).collect();
    picks.sort_by_key(|p| p.slot);
    assemble(book.setting(0, &strengths), &picks)
}

/// Everything that is told of a stack and can be seen on parts in hand.
fn told(stack: &Stack) -> Vec<(String, Seen, &Value)> {
    let landings = stack.items.iter().enumerate().filter(|(_, i)| !i.rests_on.is_empty());
    let landings =
        landings.filter_map(|(at, i)| Some((i.name.clone(), Seen::Landing(at), i.landing.as_ref()?)));
    let gap = stack.checks.iter().filter(|c| c.demand == Demand::GapLeast);
    let gap = gap.filter_map(|c| Some(("closing gap".to_string(), Seen::Gap, c.value.as_ref()?)));
    let sleeves =
        stack.checks.iter().enumerate().filter(|(_, c)| matches!(c.demand, Demand::SleeveClearance(_)));
    let sleeves = sleeves.filter_map(|(at, c)| {
        Some((
            format!("clearance of {}", stack.items[c.about[0].0 as usize].name),
            Seen::Clearance(at),
            c.value.as_ref()?,
        ))
    });
    landings.chain(gap).chain(sleeves).collect()
}

#[derive(Clone, Copy)]
enum Seen {
    Landing(usize),
    Gap,
    Clearance(usize),
}

/// What is seen on parts of these sizes; `None`: no such parts.
fn seen(stack: &Stack, pile: &Pile<'_>, what: Seen, sizes: &[i64]) -> Option<f64> {
    match what {
        Seen::Landing(at) => pile.dropped(sizes)?.bottoms[at],
        Seen::Gap => pile.dropped(sizes)?.gap,
        Seen::Clearance(at) => {
            let check = &stack.checks[at];
            let rings =
                |i: usize| stack.items[check.about[i].0 as usize].columns.iter().flat_map(|c| &c.segments);
            let bores =
                rings(0).filter(|r| r.bore.surface == check.surfaces[0]).flat_map(|r| &r.bore.diameter);
            let outsides = rings(1).filter(|r| r.outside.surface == check.surfaces[1]);
            let outsides = outsides.flat_map(|r| &r.outside.diameter);
            let narrowest = bores.map(|d| value(d, sizes)).reduce(f64::min)?;
            Some(narrowest - outsides.map(|d| value(d, sizes)).reduce(f64::max)?)
        }
    }
}

/// Every dimension at the end that makes the form least (or most); those it does not name anywhere.
fn corner(stack: &Stack, form: &Form, most: bool) -> Vec<i64> {
    let size = |(at, dim): (usize, &benchleaf::assembly::ItemDim)| match form
        .terms
        .iter()
        .find(|t| t.0 as usize == at)
    {
        Some(&(_, k)) if (k > 0) == most => dim.ends.most,
        Some(_) => dim.ends.least,
        None => dim.ends.nominal.clamp(dim.ends.least, dim.ends.most),
    };
    stack.dims.iter().enumerate().map(size).collect()
}

#[derive(Default)]
struct Count {
    reached: usize,
    no_such_parts: usize,
}

/// Real parts at both ends of everything that is one form in every case.
fn both_ends(stack: &Stack, rule: &Rule, rounding: f64, count: &mut Count) {
    let pile = Pile::new(stack, rule);
    for (name, what, told) in told(stack) {
        let Some(form) = &told.form else { continue };
        for (end, most) in [(told.least, false), (told.most, true)] {
            let sizes = corner(stack, form, most);
            match seen(stack, &pile, what, &sizes) {
                None => count.no_such_parts += 1,
                Some(found) => {
                    assert!(
                        (found - end as f64).abs() <= rounding,
                        "{}, {name}: parts come to {found}, told is {end}",
                        rule.id
                    );
                    count.reached += 1;
                }
            }
        }
    }
}

fn rounding(stack: &Stack, steep: bool) -> f64 {
    ROUNDING * stack.items.len() as f64 + if steep { 8.0 * CONE_ROUNDING } else { 0.0 }
}

#[test]
fn both_ends_are_reached_by_real_parts_where_one_support_is_certain() {
    let mut numbers = Numbers(11);
    let mut count = Count::default();
    for _ in 0..60 {
        let (parts, steep) = parts(&mut numbers);
        let book = book_of(&parts);
        let stack = put_together(&book, &mut numbers);
        both_ends(&stack, &book.rules[0], rounding(&stack, steep), &mut count);
    }
    assert!(
        count.reached > 800 && count.no_such_parts * 20 < count.reached,
        "{} {}",
        count.reached,
        count.no_such_parts
    );
}

#[test]
fn both_ends_are_reached_by_real_parts_in_plans_of_the_demo_book() {
    let book = Book::demo();
    let strengths = ShopStrengths(&book.shop);
    let bench = book.bench(&strengths);
    let mut count = Count::default();
    for (fork, system) in
        [("fork-heron", "wide-shim"), ("fork-moorhen", "locknut"), ("fork-heron", "pulled-from-below")]
    {
        let system = book.system(system);
        let answer = bench.answer(book.variant(fork), system);
        let rounding = rounding(&answer.stack, true);
        both_ends(&answer.stack, &book.rules[system], rounding, &mut count);
    }
    assert!(
        count.reached > 60 && count.no_such_parts * 10 < count.reached,
        "{} {}",
        count.reached,
        count.no_such_parts
    );
}

/// The hull that is told is the one that the programmes reach, and real parts reach it.
fn equal(name: &str, told: &Value, reach: &Reach, rounding: f64) -> Result<(), String> {
    let off = (told.least as f64 - reach.least, told.most as f64 - reach.most);
    if off.0.abs() <= rounding && off.1.abs() <= rounding {
        return Ok(());
    }
    let sound = if off.0 <= rounding && off.1 >= -rounding { "wide" } else { "WRONG" };
    Err(format!(
        "{name}: {sound}, told {} to {}, reached {} to {}",
        told.least, told.most, reach.least, reach.most
    ))
}

#[test]
fn where_ranges_cross_the_hull_equals_an_exact_linear_programme() {
    let mut numbers = Numbers(23);
    let (mut crossed, mut compared, mut several, mut found) = (0, 0, 0, Vec::new());
    for round in 0..120 {
        let (parts, steep) = parts(&mut numbers);
        let book = book_of(&parts);
        let stack = put_together(&book, &mut numbers);
        let rounding = rounding(&stack, steep);
        let unsure = stack.items.iter().any(|i| i.rests_on.iter().any(|s| !s.certain));
        if stack.merged || !unsure {
            continue;
        }
        let Some(reached) = reached(&stack, &book.rules[0]) else { continue };
        crossed += 1;
        several += usize::from(reached.ways > 2);
        for (name, what, told) in told(&stack) {
            let reach = match what {
                Seen::Landing(at) => reached.landings[at].as_ref(),
                Seen::Gap => reached.gap.as_ref(),
                Seen::Clearance(_) => None,
            };
            let Some(reach) = reach else { continue };
            compared += 1;
            found.extend(equal(&format!("{round}, {name}"), told, reach, rounding).err());
        }
    }
    assert_eq!(found, Vec::<String>::new());
    assert!(crossed >= 40 && several >= 20, "{crossed} stacks, {several} with more than two ways");
    assert!(compared > 300, "{compared}");
}

#[test]
fn what_the_programmes_reach_real_parts_come_to() {
    let mut numbers = Numbers(31);
    let (mut reached_by_parts, mut missed, mut no_such_parts) = (0, 0, 0);
    for _ in 0..40 {
        let (parts, _) = parts(&mut numbers);
        let book = book_of(&parts);
        let stack = put_together(&book, &mut numbers);
        let pile = Pile::new(&stack, &book.rules[0]);
        let Some(reached) = reached(&stack, &book.rules[0]) else { continue };
        let landings = reached.landings.iter().enumerate().map(|(at, r)| (Seen::Landing(at), r.as_ref()));
        for (what, reach) in landings.chain([(Seen::Gap, reached.gap.as_ref())]) {
            let Some(reach) = reach else { continue };
            for (end, sizes) in [(reach.least, &reach.at_least), (reach.most, &reach.at_most)] {
                // Where nothing but an edge reaches the end, a hair decides, and parts may fall on its other side.
                match sizes.as_ref().and_then(|sizes| seen(&stack, &pile, what, sizes)) {
                    Some(found) if (found - end).abs() <= 20.0 => reached_by_parts += 1,
                    None => no_such_parts += 1,
                    Some(_) => missed += 1,
                }
            }
        }
    }
    assert!(
        (missed + no_such_parts) * 10 < reached_by_parts,
        "{reached_by_parts} reached, {missed} missed, {no_such_parts} times no such parts"
    );
}
