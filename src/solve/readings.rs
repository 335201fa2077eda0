//! What to measure first: the single reading that decides, else one on the dry build.
//!
//! A reading decides only if its go value, with all else at its worst and the caliper error taken off, lies in
//! that dimension's own range. Must not know words.

use super::answer::{ReadWhat, Reading};
use super::bench::Bench;
use crate::assembly::{Check, Outcome, Stack};
use crate::quantity::{Ends, Nature, ONE};

pub(super) fn readings(stack: &Stack, bench: &Bench<'_>) -> Vec<Reading> {
    let ends: Vec<Ends> = stack.dims.iter().map(|d| d.ends).collect();
    let open: Vec<(usize, &Check)> =
        stack.checks.iter().enumerate().filter(|(_, c)| c.outcome == Outcome::Measure).collect();
    let mut best: Option<(i64, Reading)> = None;
    for dim in 0..stack.dims.len() as u32 {
        if let Some((share, reading)) = alone(stack, bench, &ends, &open, dim)
            && best.as_ref().is_none_or(|(most, _)| share > *most)
        {
            best = Some((share, reading));
        }
    }
    if let Some((_, reading)) = best {
        return vec![reading];
    }
    let dry = |(order, (index, check)): (usize, &(usize, &Check))| on_dry_build(bench, *index, check, order);
    open.iter().enumerate().filter_map(dry).collect()
}

/// The window of one dimension that makes every open check pass, all else at its worst; the thousandths of its
/// range that it leaves decided as go.
fn alone(
    stack: &Stack,
    bench: &Bench<'_>,
    ends: &[Ends],
    open: &[(usize, &Check)],
    dim: u32,
) -> Option<(i64, Reading)> {
    let own = ends[dim as usize];
    if own.least == own.most {
        return None;
    }
    let (mut from, mut to) = (i64::MIN, i64::MAX);
    let (mut no_below, mut no_above) = (i64::MIN, i64::MAX);
    for (_, check) in open {
        let form = check.value.as_ref()?.form.as_ref()?;
        let k = form.terms.iter().find(|t| t.0 == dim)?.1;
        let rest = form.plus_times(&crate::quantity::Form::dimension(dim), -k);
        let (rest_least, rest_most) = (rest.least(ends), rest.most(ends));
        let solve = |bound: i64| (i128::from(bound) * i128::from(ONE)).div_euclid(i128::from(k)) as i64;
        let mut narrow = |at: i64, lower: bool, go: bool| match (lower, go) {
            (true, true) => from = from.max(at + 1),
            (false, true) => to = to.min(at - 1),
            (true, false) => no_below = no_below.max(at),
            (false, false) => no_above = no_above.min(at),
        };
        if let Some(least) = check.least {
            narrow(solve(least - rest_least), k > 0, true);
            narrow(solve(least - rest_most), k > 0, false);
        }
        if let Some(most) = check.most {
            narrow(solve(most - rest_most), k < 0, true);
            narrow(solve(most - rest_least), k < 0, false);
        }
    }
    let caliper = bench.caliper.uncertainty(nature(stack, bench, dim)).as_nm();
    let (from, to) = (from.saturating_add(caliper), to.saturating_sub(caliper));
    let (low, high) = (from.max(own.least), to.min(own.most));
    if low > high {
        return None;
    }
    let share = (high - low).saturating_mul(1000) / (own.most - own.least);
    let bounded = |at: i64| (at > i64::MIN / 2 && at < i64::MAX / 2).then_some(at);
    Some((
        share,
        Reading {
            what: ReadWhat::Dim(dim),
            go_from: bounded(from),
            go_to: bounded(to),
            no_below: bounded(no_below).map(|v| v - caliper),
            no_above: bounded(no_above).map(|v| v + caliper),
            caliper,
            order: 1,
            decides: true,
        },
    ))
}

fn nature(stack: &Stack, bench: &Bench<'_>, dim: u32) -> Nature {
    let item_dim = &stack.dims[dim as usize];
    let placed = &stack.items[item_dim.item.0 as usize];
    let shape = &bench.catalogue.variant(placed.variant).shape;
    shape.dims.iter().find(|d| d.name == item_dim.name).map_or(Nature::Depth, |d| d.nature)
}

/// The value of the check itself, read on the parts put together dry.
fn on_dry_build(bench: &Bench<'_>, index: usize, check: &Check, order: usize) -> Option<Reading> {
    check.value.as_ref()?;
    let caliper = bench.caliper.uncertainty(Nature::Depth).as_nm();
    Some(Reading {
        what: ReadWhat::DryBuild(index),
        go_from: check.least.map(|v| v + caliper),
        go_to: check.most.map(|v| v - caliper),
        no_below: check.least.map(|v| v - caliper),
        no_above: check.most.map(|v| v + caliper),
        caliper,
        order: order as u32 + 1,
        decides: false,
    })
}
