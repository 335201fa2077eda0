//! A clamp and the layers it holds: length held, pinch bolts over full support, room to close.
//!
//! Where a height is chosen, of the clamp or of a layer, what depends on it becomes a bound of the choice. Must not know
//! search.

use super::blame::grip as grip_slots;
use super::build::Build;
use super::case::Case;
use super::choose::Bounding;
use super::ledger::{CaseValue, Ledger, fact, number};
use super::links::{Resolved, WallOf};
use super::report::{Demand, ItemIx};
use super::split;
use super::zone::{Zone, common, own_zone, zone};
use crate::quantity::{Form, Length};
use crate::rules::Grip;

/// A layer that is there: its sleeve to the next one out, and its zones in the stack.
pub struct Layer<'b> {
    pub item: ItemIx,
    least: Option<i64>,
    pub sleeve: &'b Resolved,
    zones: Vec<Zone>,
    /// For one whose height is chosen: its zones from its own bottom, in place of those in the stack.
    own: Vec<Zone>,
}

/// A clamp's part of a grip while it is judged.
pub struct Held<'b> {
    pub index: u16,
    pub grip: &'b Grip,
    pub by: ItemIx,
    /// From the outside in.
    pub layers: Vec<Layer<'b>>,
    /// Pinch bolts beside the wall, in the stack where the clamp has a height, else from its own bottom.
    pub pinches: Vec<Form>,
    /// The clamp's height is chosen.
    pub lifted: bool,
}

/// Checks of grip `index`; bounds of what is chosen go to `bounding`.
pub fn grip(build: &Build<'_>, case: &Case, index: u16, ledger: &mut Ledger, bounding: &mut Vec<Bounding>) {
    let grip = &build.setting.rule.grips[index as usize];
    for by in build.in_slot(grip.by.slot) {
        let wall = (by, grip.by.surface);
        let Some(own) = own_zone(build, wall, true) else { continue };
        let Some(layers) = layers(build, case, grip, wall) else {
            ledger.add(build, fact(Demand::GripLength(index), vec![by], false));
            continue;
        };
        let bottom = build.bottom(case, by);
        let wall = bottom.map_or_else(|| own.clone(), |bottom| own.above(bottom));
        let pinches = pinches_of(build, by, &own, bottom);
        let held = Held { index, grip, by, layers, pinches, lifted: bottom.is_none() };
        // A half without a bolt holds nothing, however well it fits.
        if held.pinches.is_empty() {
            ledger.add(build, fact(Demand::GripPinch(index), vec![by], false));
        }
        split::closes(build, case, &held, ledger, bounding);
        if held.lifted {
            lifted_clamp(build, case, &held, &wall, ledger, bounding);
        } else {
            standing_clamp(build, case, &held, wall, ledger, bounding);
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
            if build.is_chosen(last.item) {
                last.own.extend(own_zone(build, sleeve.outer, true));
            }
            last.zones.extend(zone(build, case, sleeve.outer, true));
        }
        let own =
            own_zone(build, sleeve.inner, false).filter(|_| build.is_chosen(item)).into_iter().collect();
        let zones = zone(build, case, sleeve.inner, false).into_iter().collect();
        found.push(Layer { item, least: layer.least.map(|l| l.as_nm()), sleeve, zones, own });
        outer = item;
    }
    (!found.is_empty()).then_some(found)
}

fn standing_clamp(
    build: &Build<'_>,
    case: &Case,
    held: &Held<'_>,
    wall: Zone,
    ledger: &mut Ledger,
    bounding: &mut Vec<Bounding>,
) {
    let index = held.index;
    let mut zones = vec![wall];
    for layer in &held.layers {
        zones.extend(layer.zones.iter().cloned());
        chosen_layer(build, held, layer, &zones, bounding);
        if let Some(least) = layer.least {
            let mut lengths = common(&zones);
            lengths.extend(layer.own.iter().map(|own| own.top.minus(&own.bottom)));
            if let Some(value) = CaseValue::least_of(&lengths, case.given(&build.dims)) {
                let about = vec![held.by, layer.item];
                ledger.add(build, number(Demand::GripLength(index), about, vec![], value, Some(least), None));
            }
        }
    }
    let mut inside = Vec::new();
    for pinch in &held.pinches {
        for zone in &zones {
            inside.push(pinch.minus(&zone.bottom));
            inside.push(zone.top.minus(pinch));
        }
    }
    if let Some(value) = CaseValue::least_of(&inside, case.given(&build.dims)) {
        ledger.add(build, number(Demand::GripPinch(index), vec![held.by], vec![], value, Some(0), None));
    }
}

/// What a layer whose height is chosen must come to: all bolts beside it, and as much of it held as is asked.
fn chosen_layer(
    build: &Build<'_>,
    held: &Held<'_>,
    layer: &Layer<'_>,
    zones: &[Zone],
    bounding: &mut Vec<Bounding>,
) {
    let with = grip_slots(build.setting.rule, held.index);
    for own in &layer.own {
        for pinch in &held.pinches {
            bounding.push(Bounding::lower(layer.item, pinch.minus(&own.top), with));
            bounding.push(Bounding::upper(layer.item, pinch.minus(&own.bottom), with));
        }
        let Some(least) = layer.least.map(Length::nm) else { continue };
        for zone in zones {
            let (low, high) = (zone.bottom.minus(&own.top), zone.top.minus(&own.bottom));
            bounding.push(Bounding::lower(layer.item, low.plus_length(least), with));
            bounding.push(Bounding::upper(layer.item, high.plus_length(-least), with));
        }
    }
}

/// Heights of the pinch bolts that squeeze this wall; above the clamp's own bottom where it has no height.
fn pinches_of(build: &Build<'_>, by: ItemIx, wall: &Zone, bottom: Option<&Form>) -> Vec<Form> {
    let inside = |height: &&Form| {
        let at = height.nominal(&build.dims);
        at >= wall.bottom.nominal(&build.dims) && at <= wall.top.nominal(&build.dims)
    };
    let beside = build.item(by).pinches.iter().filter(inside);
    beside.map(|pinch| bottom.map_or_else(|| pinch.clone(), |bottom| pinch.plus(bottom))).collect()
}

fn lifted_clamp(
    build: &Build<'_>,
    case: &Case,
    held: &Held<'_>,
    own: &Zone,
    ledger: &mut Ledger,
    bounding: &mut Vec<Bounding>,
) {
    let (index, by) = (held.index, held.by);
    let with = grip_slots(build.setting.rule, index);
    let mut zones: Vec<Zone> = Vec::new();
    for layer in &held.layers {
        zones.extend(layer.zones.iter().cloned());
        for pinch in &held.pinches {
            for zone in &layer.zones {
                bounding.push(Bounding::lower(by, zone.bottom.minus(pinch), with));
                bounding.push(Bounding::upper(by, zone.top.minus(pinch), with));
            }
        }
        let Some(least) = layer.least else { continue };
        let length = Length::nm(least);
        let mut whole = common(&zones);
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
