//! A clamp and the layers it holds: length held, pinch bolts over full support, room to close.
//!
//! Where the clamp's height is chosen, what depends on it becomes a bound of the choice. Must not know search.

use super::blame::grip as grip_slots;
use super::build::Build;
use super::case::Case;
use super::check_items::closes_by;
use super::choose::Bounding;
use super::ledger::{CaseValue, Ledger, fact, number};
use super::links::{Resolved, WallOf};
use super::report::{Demand, ItemIx};
use super::zone::{Zone, own_zone, zone};
use crate::quantity::Form;
use crate::rules::Grip;

/// A layer that is there: its sleeve to the next one out, and its zones.
struct Layer<'b> {
    item: ItemIx,
    least: Option<i64>,
    sleeve: &'b Resolved,
    zones: Vec<Zone>,
}

/// Checks of grip `index`; bounds of a chosen clamp go to `bounding`.
pub fn grip(build: &Build<'_>, case: &Case, index: u16, ledger: &mut Ledger, bounding: &mut Vec<Bounding>) {
    let grip = &build.setting.rule.grips[index as usize];
    for by in build.in_slot(grip.by.slot) {
        let wall = (by, grip.by.surface);
        let Some(own) = own_zone(build, wall, true) else { continue };
        let Some(layers) = layers(build, case, grip, wall) else {
            ledger.add(build, fact(Demand::GripLength(index), vec![by], false));
            continue;
        };
        closes(build, case, index, by, &layers, ledger);
        match build.bottom(case, by) {
            Some(bottom) => {
                fixed_clamp(build, case, index, by, (&own.above(bottom), bottom), &layers, ledger)
            }
            None => chosen_clamp(build, case, index, (by, &own), &layers, ledger, bounding),
        }
    }
}

/// From the outside in; `None` when two neighbours have no sleeve between them here.
fn layers<'b>(build: &'b Build<'_>, case: &Case, grip: &Grip, by: WallOf) -> Option<Vec<Layer<'b>>> {
    let mut found: Vec<Layer<'b>> = Vec::new();
    let mut outer = by.0;
    for layer in grip.layers.iter().filter(|l| build.filled(l.slot)) {
        let item = build.in_slot(layer.slot).next()?;
        let first = found.is_empty();
        let sleeve = build
            .links
            .sleeves
            .iter()
            .find(|r| r.outer.0 == outer && r.inner.0 == item && (!first || r.outer.1 == by.1))?;
        if let Some(last) = found.last_mut() {
            last.zones.extend(zone(build, case, sleeve.outer, true));
        }
        let zones = zone(build, case, sleeve.inner, false).into_iter().collect();
        found.push(Layer { item, least: layer.least.map(|l| l.as_nm()), sleeve, zones });
        outer = item;
    }
    (!found.is_empty()).then_some(found)
}

/// Each layer's slot must close all the clearances inside it.
fn closes(build: &Build<'_>, case: &Case, index: u16, by: ItemIx, layers: &[Layer<'_>], ledger: &mut Ledger) {
    for (at, layer) in layers.iter().enumerate() {
        let outer = layer.sleeve.outer.0;
        let slot = build.item(outer).cuts.first().map_or_else(Form::zero, |c| closes_by(&c.width));
        let room = layers[at..].iter().fold(slot, |room, inner| {
            let widest = inner.sleeve.clearances.iter().max_by_key(|c| c.most(&build.dims));
            widest.map_or(room.clone(), |c| room.minus(c))
        });
        let value = CaseValue::of(room, case.given(&build.dims));
        let about = if outer == by { vec![by] } else { vec![outer, by] };
        ledger.add(build, number(Demand::GripCloses(index), about, vec![], value, Some(0), None));
    }
}

fn fixed_clamp(
    build: &Build<'_>,
    case: &Case,
    index: u16,
    by: ItemIx,
    (own, bottom): (&Zone, &Form),
    layers: &[Layer<'_>],
    ledger: &mut Ledger,
) {
    let mut zones = vec![own.clone()];
    for layer in layers {
        zones.extend(layer.zones.iter().cloned());
        if let Some(least) = layer.least {
            let held = CaseValue::least_of(&super::zone::common(&zones), case.given(&build.dims));
            if let Some(value) = held {
                let about = vec![by, layer.item];
                ledger.add(build, number(Demand::GripLength(index), about, vec![], value, Some(least), None));
            }
        }
    }
    let mut inside = Vec::new();
    for pinch in pinches_of(build, by, own, bottom) {
        for zone in &zones {
            inside.push(pinch.minus(&zone.bottom));
            inside.push(zone.top.minus(&pinch));
        }
    }
    if let Some(value) = CaseValue::least_of(&inside, case.given(&build.dims)) {
        ledger.add(build, number(Demand::GripPinch(index), vec![by], vec![], value, Some(0), None));
    }
}

/// Heights of the pinch bolts that squeeze this wall.
fn pinches_of(build: &Build<'_>, by: ItemIx, wall: &Zone, bottom: &Form) -> Vec<Form> {
    let inside = |height: &Form| {
        let at = height.nominal(&build.dims);
        at >= wall.bottom.nominal(&build.dims) && at <= wall.top.nominal(&build.dims)
    };
    build.item(by).pinches.iter().map(|p| p.plus(bottom)).filter(inside).collect()
}

fn chosen_clamp(
    build: &Build<'_>,
    case: &Case,
    index: u16,
    (by, own): (ItemIx, &Zone),
    layers: &[Layer<'_>],
    ledger: &mut Ledger,
    bounding: &mut Vec<Bounding>,
) {
    let pinches = pinches_of(build, by, own, &Form::zero());
    let with = grip_slots(build.setting.rule, index);
    let mut zones: Vec<Zone> = Vec::new();
    for layer in layers {
        zones.extend(layer.zones.iter().cloned());
        for pinch in &pinches {
            for zone in &layer.zones {
                bounding.push(Bounding::lower(by, zone.bottom.minus(pinch), with));
                bounding.push(Bounding::upper(by, zone.top.minus(pinch), with));
            }
        }
        let Some(least) = layer.least else { continue };
        let length = crate::quantity::Length::nm(least);
        let mut whole = super::zone::common(&zones);
        whole.push(own.top.minus(&own.bottom));
        if let Some(value) = CaseValue::least_of(&whole, case.given(&build.dims)) {
            let about = vec![by, layer.item];
            ledger.add(build, number(Demand::GripLength(index), about, vec![], value, Some(least), None));
        }
        for zone in &zones {
            bounding.push(Bounding::lower(by, zone.bottom.minus(&own.top).plus_length(length), with));
            bounding.push(Bounding::upper(by, zone.top.minus(&own.bottom).plus_length(-length), with));
        }
    }
}
