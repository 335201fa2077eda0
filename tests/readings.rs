//! What to measure first, held to parts in hand: in the go zone it always goes, in the other never, and what is left
//! open is as much as is said. Knows nothing of how a reading is chosen.

use crate::book;
use crate::pile;
use crate::seventh;
use crate::small_demo;

use benchleaf::assembly::{Check, ItemIx, Outcome, Pick, Stack, assemble};
use benchleaf::quantity::{Form, ONE};
use benchleaf::solve::{Answer, ReadWhat, Reading, ShopStrengths, Verdict, picks_of};
use book::{Book, Numbers};
use pile::value;
use seventh::{PARTS, book_of, with_size};

/// Nanometres: sizes are whole, and a limit is reached from either side.
const ROUNDING: f64 = 5.0;

/// Sizes that leave a limit open: part, field, ways to write it.
const DOUBTFUL: [(&str, &str, &[&str]); 6] = [
    ("fork", "steerer_length", &["148.5 ±0.1", "148.5 ±1", "147 ±0.8", "149.4 ±1.2"]),
    ("shim", "length", &["50 ±0.1", "50 ±0.8", "49 ±0.5", "51.5 ±0.6"]),
    ("shim", "inside", &["28.65 +0.1/0", "28.6 ±0.05", "28.9 ±0.12"]),
    ("deck", "head_tube_length", &["95 ±0.1", "95 ±0.7", "96 ±0.5"]),
    ("deck", "seat_bore", &["41.95 ±0.03", "41.85 ±0.08"]),
    ("top-cap", "bore", &["28.7 +0.1/0", "28.65 ±0.08"]),
];

/// A second shim, two millimetres longer, and a shorter one.
fn more_shims(parts: &str) -> String {
    let from = parts.find("[[part]]\nid = \"shim\"").unwrap();
    let to = from + parts[from..].find("\n\n").unwrap();
    let shim = &parts[from..to];
    let other = |id: &str, long: &str| {
        with_size(&shim.replace("id = \"shim\"", &format!("id = \"{id}\"")), id, "length", long)
    };
    format!("{parts}\n\n{}\n\n{}\n", other("shim-long", "52 ±0.05"), other("shim-short", "48 ±0.05"))
}

fn book(numbers: &mut Numbers) -> Book {
    let mut parts = PARTS.to_string();
    let lengths = numbers.one_in(2);
    for (part, field, ways) in DOUBTFUL {
        if numbers.one_in(2) && (lengths || !field.contains("length")) {
            parts = with_size(&parts, part, field, ways[numbers.below(ways.len())]);
        }
    }
    if numbers.one_in(2) {
        parts = more_shims(&parts);
    }
    book_of(&parts)
}

/// What the caliper is put to; `None` where the value of a check is not one form in every case.
fn read(stack: &Stack, what: &ReadWhat) -> Option<Form> {
    match *what {
        ReadWhat::Dim(dim) => Some(Form::dimension(dim)),
        ReadWhat::Pair { one, other, sum } => {
            Some(Form::dimension(one).plus_times(&Form::dimension(other), if sum { ONE } else { -ONE }))
        }
        ReadWhat::Reach { item, into, .. } => {
            let placed = |item: ItemIx| &stack.items[usize::from(item.0)];
            let foot = |item: ItemIx| placed(item).landing.as_ref().unwrap().form.clone();
            Some(foot(into)?.plus(&placed(into).height).minus(&foot(item)?))
        }
        ReadWhat::DryBuild(check) => stack.checks[check].value.as_ref()?.form.clone(),
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Zone {
    Go,
    Open,
    No,
}

fn zone(reading: &Reading, at: f64) -> Zone {
    let go = reading.go_from.is_none_or(|v| at >= v as f64) && reading.go_to.is_none_or(|v| at <= v as f64);
    let bounded = reading.go_from.is_some() || reading.go_to.is_some();
    let no =
        reading.no_below.is_some_and(|v| at <= v as f64) || reading.no_above.is_some_and(|v| at >= v as f64);
    match (go && bounded, no) {
        (true, false) => Zone::Go,
        (false, true) => Zone::No,
        (false, false) => Zone::Open,
        (true, true) => panic!("{at} is in both zones of {reading:?}"),
    }
}

/// By how much the parts hold the check's limits; below zero they do not. `None`: its value is not one form.
fn margin(check: &Check, sizes: &[i64]) -> Option<f64> {
    let found = value(check.value.as_ref()?.form.as_ref()?, sizes);
    let least = check.least.map_or(f64::INFINITY, |l| found - l as f64);
    let most = check.most.map_or(f64::INFINITY, |m| m as f64 - found);
    Some(least.min(most))
}

fn sizes(stack: &Stack, numbers: &mut Numbers) -> Vec<i64> {
    let corner = numbers.one_in(3);
    let one = |d: &benchleaf::assembly::ItemDim, numbers: &mut Numbers| match corner {
        true if numbers.one_in(2) => d.ends.least,
        true => d.ends.most,
        false => numbers.between(d.ends.least, d.ends.most),
    };
    stack.dims.iter().map(|d| one(d, numbers)).collect()
}

#[derive(Default, Debug)]
struct Seen {
    answers: usize,
    readings: usize,
    deciding: usize,
    pairs: usize,
    dry: usize,
    go: usize,
    no: usize,
}

fn sampled(stack: &Stack, reading: &Reading, numbers: &mut Numbers, seen: &mut Seen) {
    let Some(form) = read(stack, &reading.what) else { return };
    for _ in 0..300 {
        let sizes = sizes(stack, numbers);
        let error = numbers.between(-reading.caliper, reading.caliper) as f64;
        let at = value(&form, &sizes) + error;
        let margins: Vec<f64> =
            reading.checks.iter().filter_map(|&c| margin(&stack.checks[c], &sizes)).collect();
        let least = margins.iter().copied().fold(f64::INFINITY, f64::min);
        match zone(reading, at) {
            Zone::Go => {
                assert!(least >= -ROUNDING, "reads {at}, goes, and misses by {least}: {reading:?}");
                seen.go += 1;
                if reading.decides {
                    let open = stack.checks.iter().filter(|c| c.outcome == Outcome::Measure);
                    let all = open.filter_map(|c| margin(c, &sizes)).all(|m| m >= -ROUNDING);
                    assert!(all, "reads {at}, decides, and a check does not hold: {reading:?}");
                }
            }
            Zone::No => {
                assert!(least < ROUNDING, "reads {at}, does not go, and holds by {least}: {reading:?}");
                seen.no += 1;
            }
            Zone::Open => {}
        }
    }
}

/// The share that is left open, counted over the whole range that the reading can have.
fn share(stack: &Stack, reading: &Reading) {
    let ends: Vec<_> = stack.dims.iter().map(|d| d.ends).collect();
    let (least, most) = match (&reading.what, read(stack, &reading.what)) {
        (_, Some(form)) => (form.least(&ends), form.most(&ends)),
        (ReadWhat::DryBuild(check), None) => {
            let value = stack.checks[*check].value.as_ref().unwrap();
            (value.least, value.most)
        }
        _ => return,
    };
    let steps = 20_000;
    let at = |step: i64| least as f64 + (most - least) as f64 * (step as f64 + 0.5) / steps as f64;
    let open = (0..steps).filter(|&s| zone(reading, at(s)) == Zone::Open).count() as f64;
    let counted = open * 1_000.0 / steps as f64;
    assert!((counted - f64::from(reading.undecided)).abs() <= 2.0, "{counted} of {reading:?}");
}

/// What is said to go instead goes: with the reading true of the parts, no check fails on any of them.
fn next_goes(book: &Book, answer: &Answer, reading: &Reading, numbers: &mut Numbers) -> usize {
    let strengths = ShopStrengths(&book.shop);
    let setting = book.setting(answer.system, &strengths);
    let zones =
        [(&reading.then.below, reading.no_below, true), (&reading.then.above, reading.no_above, false)];
    let mut tried = 0;
    for (next, bound, below) in zones {
        let (Some(next), Some(bound), ReadWhat::Dim(dim)) = (next, bound, &reading.what) else { continue };
        let named = &answer.stack.dims[*dim as usize];
        let item = &answer.stack.items[named.item.0 as usize];
        assert_ne!(item.slot, next.slot, "the part that was read is taken out");
        let (from, to) = match below {
            true => (named.ends.least, bound.min(named.ends.most)),
            false => (bound.max(named.ends.least), named.ends.most),
        };
        if from > to {
            continue;
        }
        let mut picks: Vec<Pick> = picks_of(&answer.stack);
        let at = picks.iter().position(|p| p.slot >= next.slot).unwrap_or(picks.len());
        picks.retain(|p| p.slot != next.slot);
        let put = next.put.iter().map(|&variant| Pick { slot: next.slot, variant, turned: false });
        picks.splice(at..at, put);
        for _ in 0..20 {
            let exact = [(item.slot, named.name.as_str(), numbers.between(from, to))];
            let stack = assemble(benchleaf::assembly::Setting { exact: &exact, ..setting }, &picks);
            let worst = stack.checks.iter().map(|c| c.outcome).max();
            assert_eq!(worst, Some(Outcome::Pass), "{reading:?}");
            tried += 1;
        }
    }
    tried
}

#[test]
fn readings_are_true_of_parts_in_hand() {
    let mut numbers = Numbers(5);
    let mut seen = Seen::default();
    for _ in 0..150 {
        let book = book(&mut numbers);
        let strengths = ShopStrengths(&book.shop);
        let answer = book.bench(&strengths).answer(book.variant("fork"), 0);
        if answer.verdict != Verdict::Measure {
            continue;
        }
        seen.answers += 1;
        assert!(!answer.readings.is_empty(), "nothing to measure");
        for reading in &answer.readings {
            seen.readings += 1;
            seen.deciding += usize::from(reading.decides);
            seen.pairs += usize::from(matches!(reading.what, ReadWhat::Pair { .. }));
            seen.dry += usize::from(matches!(reading.what, ReadWhat::DryBuild(_)));
            sampled(&answer.stack, reading, &mut numbers, &mut seen);
            share(&answer.stack, reading);
            next_goes(&book, &answer, reading, &mut numbers);
        }
    }
    assert!(seen.answers > 40 && seen.readings >= seen.answers, "{seen:?}");
    assert!(seen.deciding > 20 && seen.pairs > 5 && seen.dry > 5, "{seen:?}");
    assert!(seen.go > 2_000 && seen.no > 500, "{seen:?}");
}

#[test]
fn checks_that_share_a_dimension_share_one_window() {
    let book = book_of(&with_size(PARTS, "fork", "steerer_outside", "28.6 ±0.12"));
    let strengths = ShopStrengths(&book.shop);
    let answer = book.bench(&strengths).answer(book.variant("fork"), 0);
    assert_eq!(answer.verdict, Verdict::Measure);
    let first = &answer.readings[0];
    assert!(first.decides && first.checks.len() >= 2, "{:?}", answer.readings);
    let ReadWhat::Dim(dim) = first.what else { panic!("{first:?}") };
    assert_eq!(answer.stack.dims[dim as usize].name, "steerer_outside");
    // The narrowest bore over it is 28.65 mm; an outside is read to 0.02 mm.
    assert_eq!(first.go_to, Some(28_630_000));
}

/// A fork whose length leaves the gap open with every shim: too long or too short, another shim goes for certain.
#[test]
fn what_is_said_to_go_instead_goes() {
    let mut numbers = Numbers(3);
    let (mut said, mut tried) = (0, 0);
    for tenths in 1_465..1_505 {
        let long = format!("{}.{} ±1.2", tenths / 10, tenths % 10);
        // A bolt so short that with a wide gap too little of it is screwed in.
        let parts = with_size(PARTS, "bolt", "length", "26 ±0.1");
        let parts = with_size(&parts, "bolt", "thread_length", "26 ±0.1");
        let book = book_of(&more_shims(&with_size(&parts, "fork", "steerer_length", &long)));
        let strengths = ShopStrengths(&book.shop);
        let answer = book.bench(&strengths).answer(book.variant("fork"), 0);
        for reading in &answer.readings {
            said += usize::from(reading.then.below.is_some()) + usize::from(reading.then.above.is_some());
            tried += next_goes(&book, &answer, reading, &mut numbers);
        }
    }
    assert!(said >= 5 && tried >= 40, "{said} said, {tried} tried");
}

/// Heron and Tern with one bolt for all, so long.
fn with_one_bolt(long: &str) -> Book {
    let mut files = small_demo::files();
    let text = String::from_utf8(files["parts/all.toml"].clone()).unwrap();
    let other = |block: &&str| {
        !["bolt-m8-40", "bolt-m8-60"].iter().any(|id| block.starts_with(&format!("id = \"{id}\"\n")))
    };
    let sized = |block: &str| match block.starts_with("id = \"bolt-m8-30\"\n") {
        true => {
            let line = |line: &str| match line.split(" = ").next() {
                Some(key @ ("length" | "thread_length")) => format!("{key} = \"{long}\""),
                _ => line.to_string(),
            };
            block.lines().map(line).collect::<Vec<_>>().join("\n") + "\n"
        }
        false => block.to_string(),
    };
    let parts: Vec<String> = text.split("[[part]]\n").filter(other).map(sized).collect();
    files.insert("parts/all.toml".into(), parts.join("[[part]]\n").into_bytes());
    Book::read(&files)
}

/// A star nut with next to no room: what is read is how far the bolt reaches in, and a longer bolt would spare it.
#[test]
fn how_far_a_bolt_reaches_is_true_of_parts_in_hand_and_the_longer_one_goes() {
    let answer = |book: &Book| {
        let strengths = ShopStrengths(&book.shop);
        book.bench(&strengths).answer(book.variant("fork-heron"), book.system("wide-shim"))
    };
    let (mut numbers, mut found, mut spared) = (Numbers(7), 0, 0);
    for tenths in (200..260).step_by(4) {
        let book = with_one_bolt(&format!("{}.{} ±0.3", tenths / 10, tenths % 10));
        let told = answer(&book);
        for reading in &told.readings {
            let ReadWhat::Reach { .. } = reading.what else { continue };
            found += 1;
            sampled(&told.stack, reading, &mut numbers, &mut Seen::default());
            share(&told.stack, reading);
            let Some(longer) = &reading.longer else { continue };
            spared += 1;
            let book = with_one_bolt(&format!("{} ±0.3", longer.to / 1_000_000));
            assert_eq!(answer(&book).verdict, Verdict::Goes, "{longer:?}");
        }
    }
    assert!(
        found > 0 && spared > 0,
        "{found} bolts just too short, {spared} of them told how long it would have to be"
    );
}
