//! What is pushed, what is fixed to the fork, and how far the push can still go: load path and closing gap.
//!
//! The push starts at the part the bolt pulls, not at the bolt. Must not know grips: they count as open.

use super::build::Build;
use super::case::{Case, Standing};
use super::ledger::{CaseValue, FAR, Finding, Ledger, Measured, fact};
use super::meet::{Face, candidates, overlap};
use super::report::{Demand, ItemIx};
use crate::quantity::Form;
use crate::rules::PutOn;

/// A distance between two items' faces, and whether the faces surely meet.
#[derive(Clone, Debug)]
pub struct Distance {
    pub form: Form,
    pub sure: bool,
}

/// Items that the push goes through from the pulled part to the ring, ring included, with their riders.
pub fn pushed(build: &Build<'_>, case: &Case) -> Vec<ItemIx> {
    let rule = build.setting.rule;
    let below_ring = |item: ItemIx| {
        let slot = build.item(item).pick.slot;
        slot.0 == 0 || rule.path.iter().skip(1).any(|s| s.slot == slot)
    };
    let mut found: Vec<ItemIx> = Vec::new();
    let mut next: Vec<ItemIx> = build.in_slot(rule.pulled).collect();
    while let Some(item) = next.pop() {
        if found.contains(&item) || below_ring(item) {
            continue;
        }
        found.push(item);
        next.extend(build.item(item).riders.iter().copied());
        next.extend(case.stands[item.0 as usize].touches.iter().map(|t| t.item));
    }
    found.sort();
    found
}

/// The fork and what is pressed on or set in it.
pub fn fixed(build: &Build<'_>) -> Vec<ItemIx> {
    let with_fork = |item: ItemIx| {
        let it = build.item(item);
        let pressed =
            it.seated.as_ref().is_some_and(|s| s.on.0 == ItemIx(0)) && !it.shape.features.split_ring;
        let hosted = build.host(item) == Some(ItemIx(0));
        item == ItemIx(0) || ((pressed || hosted) && !build.is_chosen(item))
    };
    build.all().filter(|&i| with_fork(i)).collect()
}

/// Load path, from the pulled part on: every chain ends in the ring. The path's own steps are checked item by item.
pub fn path(build: &Build<'_>, case: &Case, pushed: &[ItemIx], ledger: &mut Ledger) {
    let rule = build.setting.rule;
    let Some(ring) = rule.path.first().map(|s| s.slot) else { return };
    let pulled: Vec<ItemIx> = build.in_slot(rule.pulled).collect();
    if pulled.is_empty() {
        ledger.add(build, fact(Demand::Path, vec![], false));
    }
    for &item in pushed.iter().filter(|&&i| build.item(i).pick.slot != ring) {
        if build.slot_of(item).put_on == PutOn::Flush {
            continue;
        }
        let touches = &case.stands[item.0 as usize].touches;
        let holds = !touches.is_empty() && touches.iter().all(|t| pushed.contains(&t.item));
        ledger.add(build, fact(Demand::Path, vec![item], holds));
    }
}

/// The closing gap: least distance a pushed part can still go down.
pub fn gap(build: &Build<'_>, case: &Case, pushed: &[ItemIx], ledger: &mut Ledger) {
    let limits = &build.setting.rule.limits;
    let fixed = fixed(build);
    let mut distances = Vec::new();
    for &item in pushed {
        for &stop in &fixed {
            distances_down(build, case, item, stop, &mut distances);
        }
    }
    let (low, high) = (Some(limits.gap_least.as_nm()), limits.gap_most.map(|m| m.as_nm()));
    let low = low.filter(|_| build.setting.asks(Demand::GapLeast));
    let high = high.filter(|_| build.setting.asks(Demand::GapMost));
    let measured = match least_distance(build, &distances) {
        Some(value) => Measured::Number(value),
        None => Measured::Fact(high.is_none()),
    };
    let about = gap_between(build);
    let demand = if low.is_none() { Demand::GapMost } else { Demand::GapLeast };
    ledger.add(build, Finding { demand, about, surfaces: vec![], measured, least: low, most: high });
}

fn gap_between(build: &Build<'_>) -> Vec<ItemIx> {
    let pulled = build.in_slot(build.setting.rule.pulled).next();
    pulled.into_iter().chain([ItemIx(0)]).collect()
}

/// Faces that are not sure to meet count for the least, not for the most.
pub fn least_distance(build: &Build<'_>, distances: &[Distance]) -> Option<CaseValue> {
    let all: Vec<Form> = distances.iter().map(|d| d.form.clone()).collect();
    let mut value = CaseValue::least_of(&all, &build.dims)?;
    let sure: Vec<Form> = distances.iter().filter(|d| d.sure).map(|d| d.form.clone()).collect();
    if sure.len() < all.len() {
        match CaseValue::least_of(&sure, &build.dims) {
            Some(surely) => {
                value.most = surely.most;
                let dominated = surely
                    .form
                    .as_ref()
                    .is_some_and(|f| all.iter().all(|g| f.minus(g).most(&build.dims) <= 0));
                value.form = surely.form.filter(|_| dominated);
                value.nominal = surely.nominal;
            }
            None => {
                value.most = FAR;
                value.form = None;
            }
        }
    }
    Some(value)
}

/// How far `item` can go down before each face of it meets a face of `stop`.
pub fn distances_down(build: &Build<'_>, case: &Case, item: ItemIx, stop: ItemIx, out: &mut Vec<Distance>) {
    if item == stop {
        return;
    }
    let (Some(upper), Some(lower)) = (build.bottom(case, item), build.bottom(case, stop)) else { return };
    let between = upper.minus(lower);
    for meeting in meetings(build, case, stop, item) {
        out.push(Distance { form: between.minus(&meeting.form), sure: meeting.sure });
    }
}

/// Heights of `upper`'s bottom above `lower`'s bottom at which their faces meet.
pub fn meetings(build: &Build<'_>, case: &Case, lower: ItemIx, upper: ItemIx) -> Vec<Distance> {
    let mut found = Vec::new();
    for over in &build.item(lower).tops {
        for under in &build.item(upper).bottoms {
            let (a, b) = (Face { item: lower, piece: over }, Face { item: upper, piece: under });
            let Some(needs) = overlap(a, b, build, &build.dims) else { continue };
            let mut landings = Vec::new();
            candidates(a, b, needs, &build.dims, &mut landings);
            for landing in landings {
                let standings = || landing.needs.iter().map(|n| case.standing(n, &build.dims));
                if standings().any(|s| s == Standing::Fails) {
                    continue;
                }
                let sure = standings().all(|s| s == Standing::Holds);
                found.push(Distance { form: landing.height.clone(), sure });
            }
        }
    }
    found
}
