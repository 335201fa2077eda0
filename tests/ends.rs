//! Both ends of every told interval are attained: for each end there are real parts that come to it, found by pushing
//! dimensions to their ends. Knows nothing of how an interval is bounded.

use crate::angled;
use crate::book;
use crate::seventh;

use angled::{Angles, angled, usual};
use benchleaf::assembly::{Check, Demand, ItemDim, Outcome, Pick, Setting, Stack, Value, assemble};
use benchleaf::catalogue::{Catalogue, VariantIx};
use benchleaf::quantity::Length;
use benchleaf::solve::ShopStrengths;
use book::{Book, Numbers};
use seventh::{PARTS, book_of, with_size};
use std::cell::RefCell;

/// What the engine rounds, nanometres; more where cones are not of 45 degrees.
const ROUNDING: i64 = 60;
const ANGLED: i64 = 3_000;

/// One stack, and the same of parts whose every size is known: each item is a part of its own.
struct Parts<'a> {
    setting: Setting<'a>,
    catalogue: RefCell<Catalogue>,
    picks: Vec<Pick>,
    stack: Stack,
}

impl<'a> Parts<'a> {
    fn new(setting: Setting<'a>, picks: &[Pick]) -> Parts<'a> {
        let stack = assemble(setting, picks);
        let mut catalogue = setting.catalogue.clone();
        let mut own = |pick: &Pick| {
            let variant = VariantIx(catalogue.variants.len() as u32);
            catalogue.variants.push(setting.catalogue.variant(pick.variant).clone());
            Pick { variant, ..*pick }
        };
        let picks = picks.iter().map(&mut own).collect();
        Parts { setting, catalogue: RefCell::new(catalogue), picks, stack }
    }

    /// The check's value for parts of these sizes; how they lie is open. `None`: they rest otherwise, and it is not asked.
    fn value(&self, check: &Check, sizes: &[i64]) -> Option<Value> {
        let mut sizes = sizes.iter();
        for pick in &self.picks {
            let dims = &mut self.catalogue.borrow_mut().variants[pick.variant.0 as usize].shape.dims;
            for (dim, &size) in dims.iter_mut().zip(&mut sizes) {
                dim.dimension.nominal = Length::nm(size);
                (dim.dimension.lower, dim.dimension.upper) = (Length::nm(0), Length::nm(0));
            }
        }
        let stack = assemble(Setting { catalogue: &self.catalogue.borrow(), ..self.setting }, &self.picks);
        let same =
            |c: &&Check| (c.demand, &c.about, &c.surfaces) == (check.demand, &check.about, &check.surfaces);
        stack.checks.iter().find(same)?.value.clone()
    }

    /// How far toward the end sizes can be pushed.
    fn pushed(&self, check: &Check, most: bool, told: i64, rounding: i64) -> i64 {
        // Further than is worth a line.
        let far = if check.demand == Demand::Still && most { told } else { i64::MIN };
        let of =
            |sizes: &[i64]| self.value(check, sizes).map_or(far, |v| if most { v.most } else { -v.least });
        let goal = if most { told } else { -told } - rounding;
        let ends: Vec<(i64, i64)> = self.stack.dims.iter().map(|d| (d.ends.least, d.ends.most)).collect();
        let nominal = |d: &ItemDim| d.ends.nominal.clamp(d.ends.least, d.ends.most);
        let mut sizes: Vec<i64> = self.stack.dims.iter().map(nominal).collect();
        if let Some(form) = check.value.as_ref().and_then(|v| v.form.as_ref()) {
            for &(dim, k) in &form.terms {
                let (least, most_of) = ends[dim as usize];
                sizes[dim as usize] = if (k > 0) == most { most_of } else { least };
            }
        }
        let mut best = of(&sizes);
        let bear = if best < goal { bearing(&ends, &sizes, of) } else { Vec::new() };
        let mut numbers = Numbers(3);
        for start in 0..40 {
            if best >= goal {
                break;
            }
            if start > 0 {
                let end = |numbers: &mut Numbers, (least, most)| if numbers.one_in(2) { least } else { most };
                bear.iter().for_each(|&dim| sizes[dim] = end(&mut numbers, ends[dim]));
            }
            best = best.max(climbed(&ends, &bear, &mut sizes, goal, start == 0, of));
        }
        if most { best } else { -best }
    }

    /// Ends that no parts come to, and how many ends there are.
    fn missed(&self, rounding: i64) -> (Vec<Missed>, usize) {
        let (mut missed, mut count) = (Vec::new(), 0);
        // A height that is chosen is a window for all parts, not an interval over them. A clamp's wall that gives for sure in
        // one's hands closes without its slot, and the check then tells that instead.
        // The thread in a nut that a hand sets is told for the depths of all parts; known ones would have more of them.
        let set = |c: &&Check| matches!(c.demand, Demand::Engagement(_)) && self.stack.chosen(c).is_some();
        let other = |c: &&Check| matches!(c.demand, Demand::Height(_) | Demand::GripCloses(_)) || set(c);
        let asked = self.stack.checks.iter().filter(|c| !other(c));
        for (check, value) in asked.filter_map(|c| Some((c, c.value.as_ref()?))) {
            for (most, told) in [(false, value.least), (true, value.most)] {
                count += 1;
                let found = self.pushed(check, most, told, rounding);
                if (found - told).abs() > rounding {
                    let about: Vec<&str> =
                        check.about.iter().map(|i| self.stack.items[i.0 as usize].name.as_str()).collect();
                    missed.push(Missed {
                        demand: check.demand,
                        outside: if most { found > told } else { found < told },
                        is_most: most,
                        text: format!("{:?} {about:?}: told {told}, parts come to {found}", check.demand),
                    });
                }
            }
        }
        (missed, count)
    }
}

/// An end that no parts come to, or that some go past.
#[derive(Debug)]
struct Missed {
    demand: Demand,
    is_most: bool,
    /// Parts go past it: what is told is wrong.
    outside: bool,
    text: String,
}

/// Sizes pushed one at a time, and then two if asked for, each to where it brings most: its ends, and where it is the lesser of
/// two that counts, somewhere between them.
fn climbed(
    ends: &[(i64, i64)],
    bear: &[usize],
    sizes: &mut Vec<i64>,
    goal: i64,
    by_twos: bool,
    of: impl Fn(&[i64]) -> i64,
) -> i64 {
    let mut best = of(sizes);
    for round in 0..if by_twos { 4 } else { 2 } {
        for (&one, &other) in bear.iter().flat_map(|one| bear.iter().map(move |other| (one, other))) {
            if (round < 2) != (one == other) {
                continue;
            }
            for end in [ends[one].0, ends[one].1] {
                if best >= goal {
                    return best;
                }
                let mut tried = sizes.clone();
                tried[one] = end;
                if one != other {
                    let with = |size: i64| of(&[&tried[..other], &[size], &tried[other + 1..]].concat());
                    tried[other] = highest(ends[other], with);
                }
                let value = of(&tried);
                if value > best {
                    (best, *sizes) = (value, tried);
                }
            }
        }
    }
    best
}

/// Dimensions that the value changes with, moved alone from one of a few places.
fn bearing(ends: &[(i64, i64)], sizes: &[i64], of: impl Fn(&[i64]) -> i64) -> Vec<usize> {
    let corners = [sizes.to_vec(), ends.iter().map(|e| e.0).collect(), ends.iter().map(|e| e.1).collect()];
    let from: Vec<(Vec<i64>, i64)> = corners.into_iter().map(|at: Vec<i64>| (at.clone(), of(&at))).collect();
    let moves = |&dim: &usize| {
        from.iter().any(|(at, value)| {
            [ends[dim].0, ends[dim].1].into_iter().any(|end| {
                let mut moved = at.clone();
                moved[dim] = end;
                end != at[dim] && of(&moved) != *value
            })
        })
    };
    (0..ends.len()).filter(moves).collect()
}

/// Where between two ends something that rises and then falls is highest.
fn highest((mut least, mut most): (i64, i64), of: impl Fn(i64) -> i64) -> i64 {
    while most - least > 3 {
        let third = (most - least) / 3;
        if of(least + third) < of(most - third) {
            least += third;
        } else {
            most -= third;
        }
    }
    (least + most) / 2
}

#[test]
fn both_ends_of_every_told_interval_are_attained_in_plans_of_the_demo_book() {
    let book = Book::demo();
    let strengths = ShopStrengths(&book.shop);
    let bench = book.bench(&strengths);
    let mut all = Vec::new();
    for (fork, system) in [
        ("fork-heron", "wide-shim"),
        ("fork-moorhen", "locknut"),
        ("fork-tern", "cap-in-clamp"),
        ("fork-rook", "wide-shim"),
    ] {
        let system = book.system(system);
        let answer = bench.answer(book.variant(fork), system);
        let pick =
            |i: &benchleaf::assembly::Placed| Pick { slot: i.slot, variant: i.variant, turned: i.turned };
        let picks: Vec<Pick> = answer.stack.items.iter().map(pick).collect();
        let (missed, count) = Parts::new(book.setting(system, &strengths), &picks).missed(ROUNDING);
        assert!(count > 60, "{count}");
        all.extend(missed.into_iter().map(|missed| format!("{fork} {system} {}", missed.text)));
    }
    assert!(all.is_empty(), "{all:#?}");
}

#[test]
fn both_ends_of_every_told_interval_are_attained_at_other_angles() {
    let mut numbers = Numbers(5);
    for _ in 0..4 {
        let one = |numbers: &mut Numbers| numbers.between(25, 60) as f64;
        let angles = Angles { inner: one(&mut numbers), outer: one(&mut numbers) };
        let book = book_of(&angled(PARTS, angles));
        let strengths = ShopStrengths(&book.shop);
        let (mut missed, _) = Parts::new(book.setting(0, &strengths), &usual(&book)).missed(ANGLED);
        // Of a cone each end is looked at for itself: the least room beside it is told a little smaller than any parts come to,
        // never larger.
        missed.retain(|m| m.outside || m.is_most || m.demand != Demand::Still);
        assert!(missed.is_empty(), "{angles:?}: {missed:#?}");
    }
}

/// A top cap so narrow that the shim on it has its half millimetre in the middle, and not when both are pushed aside.
fn narrow_cap(outside: &str) -> String {
    let parts = PARTS.replace("skirt_inside = \"41 ±0.1\"\nskirt_depth = \"0.6 ±0.03\"\n", "");
    assert_ne!(parts, PARTS);
    with_size(&parts, "top-cap", "outside", outside)
}

fn seat_of_shim(outside: &str) -> Check {
    let book = book_of(&narrow_cap(outside));
    let strengths = ShopStrengths(&book.shop);
    let stack = assemble(book.setting(0, &strengths), &usual(&book));
    let about =
        |c: &&Check| matches!(c.demand, Demand::Seat(_)) && stack.items[c.about[0].0 as usize].name == "shim";
    stack.checks.iter().find(about).unwrap().clone()
}

#[test]
fn a_seat_that_is_wide_enough_in_the_middle_is_not_refused() {
    // Between a bore of 28.7 to 28.8 and 29.85: 0.525 to 0.575 mm in the middle; up to 0.2 mm less when pushed aside.
    let check = seat_of_shim("29.85 ±0");
    let value = check.value.unwrap();
    assert_eq!(check.outcome, Outcome::Measure);
    assert_eq!(value.most, 575_000);
    assert!(value.least < 500_000 && value.form.is_none());
}

#[test]
fn a_seat_that_is_too_narrow_even_in_the_middle_is_refused() {
    let check = seat_of_shim("29.6 ±0");
    assert_eq!(check.outcome, Outcome::Fail);
    assert_eq!(check.value.unwrap().most, 450_000);
}

#[test]
fn a_seat_that_is_wide_enough_pushed_aside_passes() {
    let check = seat_of_shim("30.6 ±0");
    assert_eq!(check.outcome, Outcome::Pass);
}
