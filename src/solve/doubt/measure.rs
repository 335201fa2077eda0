//! Which assumed size a shop should put a caliper on next. Must not know what is said of it.

use std::collections::{BTreeMap, BTreeSet};

use super::{Pair, ToMeasure, pair};
use crate::assembly::{Check, Outcome, Setting, Stack, assemble};
use crate::catalogue::{Catalogue, VariantIx};
use crate::quantity::Length;
use crate::solve::answer::{Answer, Verdict};
use crate::solve::bench::Bench;
use crate::solve::set_up::picks_of;

/// A dimension of an article: index into the dims of its shape.
type Size = (VariantIx, usize);

#[derive(Default)]
struct Bears {
    settles: BTreeSet<Pair>,
    may: BTreeSet<Pair>,
    behind: BTreeSet<Pair>,
}

/// By pairings it would settle, by those it may settle, by those that lean on it; then by part.
pub fn to_measure(bench: &Bench<'_>, answers: &[&Answer]) -> Vec<ToMeasure> {
    let mut sizes: BTreeMap<Size, Bears> = BTreeMap::new();
    for answer in answers.iter().filter(|a| !super::unsettled(a)) {
        let here = pair(bench, answer);
        // An attempt at what does not go stays one, whatever is read.
        let open = |check: &Check| answer.verdict == Verdict::Measure && check.outcome == Outcome::Measure;
        for size in assumed(bench, answer, open) {
            let bears = sizes.entry(size).or_default();
            match settled(bench, answer, size) {
                Some(true) => drop(bears.settles.insert(here)),
                Some(false) => drop(bears.may.insert(here)),
                None => {}
            }
        }
        for size in assumed(bench, answer, |check| leans(answer, check)) {
            sizes.entry(size).or_default().behind.insert(here);
        }
    }
    let mut list: Vec<ToMeasure> = sizes.into_iter().filter_map(row).collect();
    let rank = |m: &ToMeasure| (m.settles.len(), m.may_settle.len(), m.behind.len());
    list.sort_by(|a, b| rank(b).cmp(&rank(a)).then(name(bench, a).cmp(&name(bench, b))));
    list
}

/// A plan that goes leans on what its checks assume; what does not go, on what its reason assumes.
fn leans(answer: &Answer, check: &Check) -> bool {
    match answer.verdict {
        Verdict::Goes => check.outcome == Outcome::Pass,
        Verdict::No => {
            answer.reason.iter().any(|r| r.demand == check.demand) && check.outcome == Outcome::Fail
        }
        Verdict::Measure => false,
    }
}

/// Of revisions that differ, a pairing may be settled in one and not in another: it counts where it helps most.
fn row(((variant, dim), bears): (Size, Bears)) -> Option<ToMeasure> {
    let may = bears.may.difference(&bears.settles).copied().collect::<Vec<_>>();
    let row = ToMeasure {
        variant,
        dim,
        settles: bears.settles.into_iter().collect(),
        may_settle: may,
        behind: bears.behind.into_iter().collect(),
    };
    (!row.settles.is_empty() || !row.may_settle.is_empty() || !row.behind.is_empty()).then_some(row)
}

fn name<'a>(bench: &Bench<'a>, row: &ToMeasure) -> (&'a str, u32, usize) {
    (bench.catalogue.part_of(row.variant).id.as_str(), row.variant.0, row.dim)
}

fn assumed(bench: &Bench<'_>, answer: &Answer, wanted: impl Fn(&Check) -> bool) -> BTreeSet<Size> {
    let stack = &answer.stack;
    let numbers = stack.checks.iter().filter(|c| wanted(c)).flat_map(|c| &c.assumes);
    numbers.filter_map(|&number| size(bench.catalogue, stack, number)).collect()
}

fn size(catalogue: &Catalogue, stack: &Stack, number: u32) -> Option<Size> {
    let dim = stack.dims.get(number as usize)?;
    let variant = stack.items.get(usize::from(dim.item.0))?.variant;
    let place = catalogue.variant(variant).shape.dims.iter().position(|d| d.name == dim.name)?;
    Some((variant, place))
}

/// Whether the plan is decided, one way or the other, once the size is read: at its least, its nominal and its most.
/// `Some(true)`: each time; `Some(false)`: some of them.
fn settled(bench: &Bench<'_>, answer: &Answer, (variant, dim): Size) -> Option<bool> {
    let mut catalogue = bench.catalogue.clone();
    let named = &bench.catalogue.variant(variant).shape.dims[dim];
    let error = bench.caliper.uncertainty(named.nature);
    let read = [named.dimension.least(), named.dimension.nominal, named.dimension.most()];
    let picks = picks_of(&answer.stack);
    let mut decided = read.into_iter().map(|reading| {
        set(&mut catalogue, (variant, dim), reading, error);
        let setting = Setting { catalogue: &catalogue, ..bench.setting(answer.system) };
        let stack = assemble(setting, &picks);
        let worst = stack.checks.iter().map(|c| c.outcome).max();
        !stack.merged && worst != Some(Outcome::Measure)
    });
    let count = decided.by_ref().filter(|d| *d).count();
    (count > 0).then_some(count == 3)
}

fn set(catalogue: &mut Catalogue, (variant, dim): Size, reading: Length, error: Length) {
    let variant = catalogue.variants.get_mut(variant.0 as usize);
    if let Some(named) = variant.and_then(|v| v.shape.dims.get_mut(dim)) {
        named.dimension.nominal = reading;
        (named.dimension.lower, named.dimension.upper) = (-error, error);
    }
}
