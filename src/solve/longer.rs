//! What would spare a reading: a longer part of the same make with which the plan goes for certain, whatever is read. Must not
//! know words, nor whether anybody sells it.

use super::answer::Longer;
use super::bench::Plan;
use crate::assembly::{ItemIx, Outcome, Setting, assemble};
use crate::kinds::{Shape, altered};
use crate::quantity::{Dimension, Length};

/// Bolts are sold in steps of five millimetres (ISO 888 has these among its lengths up to 80 mm).
const STEP: i64 = 5_000_000;
const MOST_STEPS: i64 = 8;
/// What is long about a part that is screwed in.
const LENGTHS: [&str; 2] = ["length", "thread_length"];

/// The shortest that does.
pub(super) fn longer(plan: &Plan<'_>, item: ItemIx) -> Option<Longer> {
    let variant = plan.stack.items.get(usize::from(item.0))?.variant;
    let shape = &plan.setting.catalogue.variant(variant).shape;
    let now = own_length(shape, LENGTHS[0])?.nominal.as_nm();
    let first = now - now.rem_euclid(STEP) + STEP;
    let mut catalogue = plan.setting.catalogue.clone();
    (0..MOST_STEPS).map(|n| first + n * STEP).find_map(|to| {
        catalogue.variants[variant.0 as usize].shape = lengthened(plan, shape, to - now)?;
        if !plan.may_go_on(plan.picks) {
            return None;
        }
        let stack = assemble(Setting { catalogue: &catalogue, ..plan.setting }, plan.picks);
        let goes = !stack.merged && stack.checks.iter().all(|check| check.outcome == Outcome::Pass);
        goes.then_some(Longer { item, to })
    })
}

fn own_length<'s>(shape: &'s Shape, name: &str) -> Option<&'s Dimension> {
    shape.dims.iter().find(|dim| dim.name == name).map(|dim| &dim.dimension)
}

/// With as much thread more as it is longer.
fn lengthened(plan: &Plan<'_>, shape: &Shape, by: i64) -> Option<Shape> {
    let sizes = LENGTHS.iter().filter_map(|&name| {
        let own = own_length(shape, name)?;
        Some((name, Dimension { nominal: own.nominal + Length::nm(by), ..own.clone() }))
    });
    altered(shape, &sizes.collect::<Vec<_>>(), plan.setting.rule.span)
}
