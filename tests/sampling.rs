//! Real parts within tolerance, thousands of them, dropped by plain arithmetic: what the engine says of all of them
//! holds for each. Knows nothing of how the engine finds a landing.

use crate::angled;
use crate::book;
use crate::pile;
use crate::seventh;

use angled::{Angles, angled, usual};
use benchleaf::assembly::{Demand, Pick, Stack, Value, assemble};
use benchleaf::catalogue::Catalogue;
use benchleaf::quantity::Length;
use benchleaf::rules::{PutOn, Rule, SlotIx};
use benchleaf::solve::{ShopStrengths, Verdict};
use book::{Book, Numbers};
use pile::{Pile, value};
use seventh::{PARTS, book_of};

/// Pairings of the book, answered quickly; of one that does not go the nearest attempt counts.
const PAIRINGS: [(&str, &str); 4] = [
    ("fork-heron", "wide-shim"),
    ("fork-tern", "cap-in-clamp"),
    ("fork-moorhen", "locknut"),
    ("fork-heron", "pulled-from-below"),
];

/// Nanometres for each item that a height goes through, for what the engine rounds.
const ROUNDING: f64 = 2.0;

fn sizes(stack: &Stack, numbers: &mut Numbers) -> Vec<i64> {
    // Now and then all at one end or the other: where bounds are reached.
    let corner = numbers.one_in(4);
    let one = |d: &benchleaf::assembly::ItemDim, numbers: &mut Numbers| match corner {
        true if numbers.one_in(2) => d.ends.least,
        true => d.ends.most,
        false => numbers.between(d.ends.least, d.ends.most),
    };
    stack.dims.iter().map(|d| one(d, numbers)).collect()
}

/// The number lies within the value's range, and on its form where it has one.
fn holds(what: &str, value_of: &Value, found: f64, items: usize, sizes: &[i64]) -> Result<(), String> {
    let rounding = ROUNDING * items as f64;
    let (least, most) = (value_of.least as f64 - rounding, value_of.most as f64 + rounding);
    if found < least || found > most {
        return Err(format!("{what}: {found} is outside {least} to {most}"));
    }
    if let Some(form) = &value_of.form {
        let (said, slack) = (value(form, sizes), form.slack as f64 + rounding);
        if (said - found).abs() > slack {
            return Err(format!("{what}: {found} is not {said} as its form says (within {slack})"));
        }
    }
    Ok(())
}

fn check(stack: &Stack, rule: &Rule, pile: &Pile<'_>, sizes: &[i64]) -> Option<Result<(), String>> {
    let piled = pile.dropped(sizes)?;
    let count = stack.items.len();
    for (placed, found) in stack.items.iter().zip(&piled.bottoms) {
        if matches!(rule.slot(placed.slot).put_on, PutOn::Chosen(_)) {
            continue;
        }
        let told = match (&placed.landing, found) {
            (Some(landing), Some(found)) => holds(&placed.name, landing, *found, count, sizes),
            (None, _) => Ok(()),
            (Some(_), None) => Err(format!("{}: nothing beneath, and a landing told", placed.name)),
        };
        if told.is_err() {
            return Some(told);
        }
    }
    let gap = stack.checks.iter().find(|c| c.demand == Demand::GapLeast).and_then(|c| c.value.as_ref());
    Some(match (gap, piled.gap) {
        (Some(gap), Some(found)) => holds("closing gap", gap, found, count, sizes),
        _ => Ok(()),
    })
}

/// Samples of one stack; how many there were.
fn sample(stack: &Stack, rule: &Rule, samples: usize, numbers: &mut Numbers) -> usize {
    let pile = Pile::new(stack, rule);
    let mut done = 0;
    for _ in 0..samples {
        let sizes = sizes(stack, numbers);
        match check(stack, rule, &pile, &sizes) {
            None => {}
            Some(Ok(())) => done += 1,
            Some(Err(wrong)) => panic!("{}: {wrong}\n{}", rule.id, parts(stack, &sizes)),
        }
    }
    done
}

fn parts(stack: &Stack, sizes: &[i64]) -> String {
    let of = |(i, d): (usize, &benchleaf::assembly::ItemDim)| {
        format!(
            "{}.{} {} of {} to {}\n",
            stack.items[d.item.0 as usize].name, d.name, sizes[i], d.ends.least, d.ends.most
        )
    };
    stack.dims.iter().enumerate().map(of).collect()
}

fn picks(stack: &Stack) -> Vec<Pick> {
    stack.items.iter().map(|i| Pick { slot: i.slot, variant: i.variant, turned: i.turned }).collect()
}

fn plans(book: &Book) -> Vec<(usize, Vec<Pick>)> {
    let strengths = ShopStrengths(&book.shop);
    let bench = book.bench(&strengths);
    let plan = |(fork, system): &(&str, &str)| {
        let system = book.system(system);
        let answer = bench.answer(book.variant(fork), system);
        ((system, picks(&answer.stack)), answer.verdict != Verdict::No)
    };
    let (plans, go): (Vec<_>, Vec<bool>) = PAIRINGS.iter().map(plan).unzip();
    assert!(go.iter().filter(|&&g| g).count() >= 2, "{go:?}");
    plans
}

/// The same articles made otherwise: sizes a little off, some exact, some wide.
fn made_otherwise(catalogue: &Catalogue, picks: &[Pick], numbers: &mut Numbers) -> Catalogue {
    let mut other = catalogue.clone();
    for pick in picks {
        for dim in &mut other.variants[pick.variant.0 as usize].shape.dims {
            if numbers.one_in(2) {
                let wide = [0, 20_000, 50_000, 150_000][numbers.below(4)];
                dim.dimension.nominal = dim.dimension.nominal + Length::nm(numbers.between(-50, 50) * 1_000);
                dim.dimension.lower = Length::nm(-wide);
                dim.dimension.upper = Length::nm(wide);
            }
        }
    }
    other
}

/// Some of the plan's parts put in otherwise: another part, the other way up, one more or one less.
fn put_otherwise(rule: &Rule, book: &Book, plan: &[Pick], numbers: &mut Numbers) -> Vec<Pick> {
    let mut other = vec![plan[0]];
    for index in 1..rule.slots.len() {
        let slot = SlotIx(index as u16);
        let mut mine: Vec<Pick> = plan.iter().filter(|p| p.slot == slot).copied().collect();
        if numbers.one_in(3) {
            let of_kinds = rule.slot(slot).kinds.iter().flat_map(|k| book.catalogue.of_kind(k));
            let all: Vec<_> =
                of_kinds.flat_map(|p| book.catalogue.part(p).variants.iter().copied()).collect();
            let any = Pick { slot, variant: all[numbers.below(all.len())], turned: numbers.one_in(3) };
            match mine.last_mut() {
                Some(last) => *last = any,
                None => mine.push(any),
            }
        }
        other.extend(mine);
    }
    other
}

/// Every plan as it is, and variations of each. Returns how many samples and how many stacks with a choice of forms.
fn run(stacks: usize, samples: usize) -> (usize, usize) {
    let book = Book::demo();
    let strengths = ShopStrengths(&book.shop);
    let mut numbers = Numbers(7);
    let (mut done, mut split) = (0, 0);
    for (system, plan) in plans(&book) {
        let rule = &book.rules[system];
        done += sample(&assemble(book.setting(system, &strengths), &plan), rule, samples, &mut numbers);
        for round in 0..stacks {
            let picks =
                if round % 2 == 0 { plan.clone() } else { put_otherwise(rule, &book, &plan, &mut numbers) };
            let catalogue = made_otherwise(&book.catalogue, &picks, &mut numbers);
            let setting =
                benchleaf::assembly::Setting { catalogue: &catalogue, ..book.setting(system, &strengths) };
            let stack = assemble(setting, &picks);
            // Too many cases to follow: then nothing is called sure, and nothing is told.
            if !stack.merged {
                split += usize::from(stack.items.iter().any(|i| i.rests_on.iter().any(|s| !s.certain)));
                done += sample(&stack, rule, samples, &mut numbers);
            }
        }
    }
    (done, split)
}

#[test]
fn every_real_stack_lies_within_what_is_told_of_all() {
    let (done, split) = run(60, 100);
    assert!(done >= 10_000, "{done} samples");
    assert!(split >= 10, "{split} stacks with an unsure support");
}

#[test]
fn every_real_stack_lies_within_what_is_told_of_all_at_any_angles() {
    let (mut numbers, mut done) = (Numbers(13), 0);
    for _ in 0..12 {
        let mut angle = || numbers.between(2_500, 6_000) as f64 / 100.0;
        let book = book_of(&angled(PARTS, Angles { inner: angle(), outer: angle() }));
        let strengths = ShopStrengths(&book.shop);
        let (rule, picks) = (&book.rules[0], usual(&book));
        done += sample(&assemble(book.setting(0, &strengths), &picks), rule, 100, &mut numbers);
        for _ in 0..6 {
            let catalogue = made_otherwise(&book.catalogue, &picks, &mut numbers);
            let setting =
                benchleaf::assembly::Setting { catalogue: &catalogue, ..book.setting(0, &strengths) };
            let stack = assemble(setting, &picks);
            assert!(!stack.merged);
            done += sample(&stack, rule, 100, &mut numbers);
        }
    }
    assert!(done >= 4_000, "{done} samples");
}

/// The long run: `cargo test --release --test library sampling:: -- --ignored`.
#[test]
#[ignore = "a million samples take over a minute"]
fn a_million_real_stacks_lie_within_what_is_told_of_all() {
    let (done, _) = run(1_000, 400);
    assert!(done >= 1_000_000, "{done} samples");
}
