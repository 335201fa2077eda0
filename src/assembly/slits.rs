//! Slits a system wants or does not want, what bridges them, and how much of them shows above the clamp.
//!
//! Whether a slit is where the pinch bolts are is not known here.

use super::blame::{Slots, bit};
use super::build::Build;
use super::case::Case;
use super::choose::Bounding;
use super::ledger::{CaseValue, Ledger, fact, number};
use super::loose::lies;
use super::report::{Demand, ItemIx, PlacedCut};
use super::zone::top_of;
use crate::quantity::Form;
use crate::rules::{SlitRule, SlotIx};

/// Whether slits are there or not as wanted. `decided`: slots up to this one are filled; what may still come may bridge a slit.
pub fn there(build: &Build<'_>, decided: Option<SlotIx>, ledger: &mut Ledger) {
    for (index, rule) in build.setting.rule.slits.iter().enumerate() {
        let open = |slot: SlotIx| decided.is_some_and(|decided| slot > decided);
        if open(rule.slot) || rule.bridged_by.is_some_and(open) {
            continue;
        }
        for item in build.in_slot(rule.slot) {
            let slit = !build.item(item).cuts.is_empty();
            let bridged = bridge(build, rule).is_some();
            let holds = if rule.wanted { slit } else { !slit || bridged };
            // Where it is bridged, what bridges it says more.
            if rule.wanted || !slit || !bridged {
                ledger.add(build, fact(Demand::Slit(index as u16), vec![item], holds));
            }
        }
    }
}

fn bridge(build: &Build<'_>, rule: &SlitRule) -> Option<ItemIx> {
    build.in_slot(rule.bridged_by?).next()
}

/// What bridges a slit lies over all of it but for what the rule lets stay open; what shows above the clamp is no more than it lets.
pub fn lie(build: &Build<'_>, case: &Case, ledger: &mut Ledger, bounding: &mut Vec<Bounding>) {
    for (index, rule) in build.setting.rule.slits.iter().enumerate() {
        for item in build.in_slot(rule.slot) {
            for cut in &build.item(item).cuts {
                if let Some(bridge) = bridge(build, rule).filter(|_| !rule.wanted) {
                    bridged(build, case, (index, rule), (item, cut), bridge, ledger, bounding);
                }
                bare(build, case, (index, rule), (item, cut), ledger, bounding);
            }
        }
    }
}

fn bridged(
    build: &Build<'_>,
    case: &Case,
    (index, rule): (usize, &SlitRule),
    (item, cut): (ItemIx, &PlacedCut),
    bridge: ItemIx,
    ledger: &mut Ledger,
    bounding: &mut Vec<Bounding>,
) {
    let Some(base) = build.bottom(case, item) else { return };
    let (from, to) = (base.plus(&cut.from), base.plus(&cut.to));
    let length = &build.item(bridge).height;
    let over: Vec<Form> = match lies(build, case, bridge) {
        None => {
            let with: Slots = bit(rule.slot);
            let most = from.plus_length(rule.unbridged);
            let least = to.minus(length).plus_length(-rule.unbridged);
            bounding.push(Bounding::upper(bridge, most, with));
            bounding.push(Bounding::lower(bridge, least, with));
            // Wherever it is set: it must be long enough.
            vec![length.minus(&cut.to.minus(&cut.from)).plus_length(rule.unbridged)]
        }
        Some([lowest, highest]) => vec![lowest.plus(length).minus(&to), from.minus(&highest)],
    };
    if let Some(value) = CaseValue::least_of(&over, case.given(&build.dims)) {
        let (about, least) = (vec![item, bridge], Some(-rule.unbridged.as_nm()));
        ledger.add(build, number(Demand::Slit(index as u16), about, vec![], value, least, None));
    }
}

fn bare(
    build: &Build<'_>,
    case: &Case,
    (index, rule): (usize, &SlitRule),
    (item, cut): (ItemIx, &PlacedCut),
    ledger: &mut Ledger,
    bounding: &mut Vec<Bounding>,
) {
    let Some(most) = rule.bare else { return };
    let Some([_, base]) = lies(build, case, item) else { return };
    let to = base.plus(&cut.to);
    let grips =
        build.setting.rule.grips.iter().filter(|grip| grip.layers.iter().any(|l| l.slot == rule.slot));
    for clamp in grips.flat_map(|grip| build.in_slot(grip.by.slot)) {
        match top_of(build, case, clamp) {
            Some(top) => {
                let value = CaseValue::of(to.minus(&top), case.given(&build.dims));
                let demand = Demand::SlitBare(index as u16);
                let about = vec![item, clamp];
                ledger.add(build, number(demand, about, vec![], value, None, Some(most.as_nm())));
            }
            None => {
                let least = to.minus(&build.item(clamp).height).plus_length(-most);
                bounding.push(Bounding::lower(clamp, least, bit(rule.slot)));
            }
        }
    }
}
