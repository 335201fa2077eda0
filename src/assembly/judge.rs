//! All checks of a stack: early ones while it grows, all of them when it is complete.
//!
//! Must not know how a failing stack is mended.

use super::blame::Slots;
use super::build::Build;
use super::case::Case;
use super::check_items;
use super::choose::{self, Bounding, NoHeight};
use super::drift::Drift;
use super::given::Given;
use super::grip::grip;
use super::ledger::{CaseValue, Entry, Ledger, fact, number};
use super::links::{Resolved, diameters};
use super::push;
use super::report::{Check, Demand, ItemIx, Outcome, Supposed};
use super::still::still;
use super::zone::{top_of, zone};
use super::{key_way, loose, set_in, slits};
use crate::quantity::{Form, Origin};
use crate::rules::SlotIx;

/// What can already be said of the item just put on. A failure stays one whatever is added later.
pub struct Early {
    pub outcome: Outcome,
    /// Of the findings that are worse than asked for: demand and items.
    pub worse: Vec<(Demand, Vec<ItemIx>)>,
}

/// `known`: sleeves that became known by this item. Findings worse than `at_worst` are listed.
pub fn early(build: &Build<'_>, item: ItemIx, known: &[Resolved], at_worst: Outcome) -> Early {
    // Too many cases to follow: nothing is called sure.
    if build.merged {
        return Early { outcome: Outcome::Measure, worse: Vec::new() };
    }
    let mut ledger = Ledger::default();
    for case in &build.cases {
        check_items::item(build, case, item, None, &mut ledger);
        for sleeve in known {
            check_items::sleeve(build, case, sleeve, &mut ledger);
        }
    }
    let slot = build.item(item).pick.slot;
    slits::there(build, Some(slot), &mut ledger);
    for case in &build.cases {
        for screw in build.links.screws.iter().filter(|s| s.male.0 == item || s.female.0 == item) {
            check_items::screw(build, case, screw, &mut ledger);
            let least = build.setting.rule.threads[screw.pair as usize].spare_least;
            spare(build, case, screw, least.map(|l| l.as_nm()), &mut ledger);
        }
        // A pile only grows: what stands out too little now never stands out more.
        stand_outs(build, case, Some(slot), &mut ledger);
    }
    if slot == build.setting.rule.pulled {
        for case in &build.cases {
            let pushed = push::pushed(build, case);
            push::path(build, case, &pushed, &mut ledger);
            push::gap(build, case, &pushed, &mut ledger);
        }
    }
    let outcome = ledger.worst();
    let worse = if outcome > at_worst { ledger.worse_than(at_worst) } else { Vec::new() };
    Early { outcome, worse }
}

/// Everything found about a complete stack.
pub struct Judgement {
    pub checks: Vec<(Demand, Vec<ItemIx>, Vec<&'static str>, Entry)>,
    /// Of the nominal case.
    pub pushed: Vec<ItemIx>,
    /// All cases' bounds of chosen heights.
    pub bounding: Vec<Bounding>,
    /// Case by case, for each chosen height.
    no_heights: Vec<Vec<NoHeight>>,
}

impl Judgement {
    pub fn worst(&self) -> Outcome {
        self.checks.iter().map(|c| c.3.outcome).max().unwrap_or(Outcome::Pass)
    }

    /// Slots, beside its own, of what leaves no height for what stands in this one: `surely` in every real build, else in
    /// one. `None`: it is not two bounds alone.
    pub fn no_height(&self, slot: SlotIx, surely: bool) -> Option<Slots> {
        let mut cases = self.no_heights.iter().map(|all| all.iter().find(|n| n.slot == slot));
        if surely {
            cases.try_fold(0, |all, none| Some(all | none?.surely?))
        } else {
            cases.filter_map(|none| none?.perhaps).min()
        }
    }
}

/// What a complete stack comes to at worst, alone.
pub fn worst(build: &Build<'_>) -> Outcome {
    if build.merged { Outcome::Measure } else { judge(build).worst() }
}

/// Judges a complete stack. The sleeves that waited for later slots must be known (`Build::complete`).
pub fn judge(build: &Build<'_>) -> Judgement {
    let drift = Drift::of(build);
    let mut ledger = Ledger::default();
    let (mut all_bounding, mut no_heights) = (Vec::new(), Vec::new());
    let mut nominal_pushed = Vec::new();
    slits::there(build, None, &mut ledger);
    sizes(build, &mut ledger);
    for (index, case) in build.cases.iter().enumerate() {
        let pushed = push::pushed(build, case);
        let complete = check_items::Complete { drift: &drift, pushed: &pushed };
        for item in build.all() {
            check_items::item(build, case, item, Some(&complete), &mut ledger);
        }
        for sleeve in &build.links.sleeves {
            check_items::sleeve(build, case, sleeve, &mut ledger);
        }
        push::path(build, case, &pushed, &mut ledger);
        push::gap(build, case, &pushed, &mut ledger);
        still(build, case, &drift, &mut ledger);
        threads(build, case, &mut ledger);
        let mut bounding = Vec::new();
        for grip_index in 0..build.setting.rule.grips.len() {
            grip(build, case, grip_index as u16, &mut ledger, &mut bounding);
        }
        slits::lie(build, case, &mut ledger, &mut bounding);
        choose::bounds(build, case, &pushed, &mut bounding);
        no_heights.push(choose::exists(build, case, &bounding, &mut ledger));
        stand_outs(build, case, None, &mut ledger);
        insertions(build, case, &mut ledger);
        loose::kept(build, case, &mut ledger);
        key_way::key_way(build, case, &mut ledger);
        all_bounding.extend(bounding);
        if index == 0 {
            nominal_pushed = pushed;
        }
    }
    for case in &build.cases {
        set_threads(build, case, &all_bounding, &mut ledger);
    }
    let merged = build.merged;
    let checks = ledger
        .entries()
        .map(|((demand, about, surfaces), mut entry)| {
            if merged {
                entry.outcome = Outcome::Measure;
            }
            (demand, about, surfaces, entry)
        })
        .collect();
    Judgement { checks, pushed: nominal_pushed, bounding: all_bounding, no_heights }
}

fn threads(build: &Build<'_>, case: &Case, ledger: &mut Ledger) {
    for (index, pair) in build.setting.rule.threads.iter().enumerate() {
        let index = index as u16;
        let screws: Vec<_> = build.links.screws.iter().filter(|s| s.pair == index).collect();
        for screw in &screws {
            if !is_set(build, screw) {
                check_items::screw(build, case, screw, ledger);
            }
            spare(build, case, screw, pair.spare_least.map(|l| l.as_nm()), ledger);
        }
        let all = crate::rules::SlotIx(u16::MAX);
        let male = super::links::first_there(build, &pair.male, all);
        let female = super::links::first_there(build, &pair.female, all);
        // A fastener with nothing to screw into; a fork's own outside thread may stay bare.
        if screws.is_empty()
            && let (Some((slot, _)), None) = (male, female)
            && slot.0 != 0
        {
            let about = build.in_slot(slot).collect();
            ledger.add(build, fact(Demand::ThreadMatch(index), about, false));
        }
    }
}

/// Where a hand sets one of the two that are screwed together: the least thread engaged at all depths it may have, where
/// there are such depths, else the most that it can be.
fn set_threads(build: &Build<'_>, case: &Case, bounding: &[Bounding], ledger: &mut Ledger) {
    for screw in build.links.screws.iter().filter(|screw| is_set(build, screw)) {
        match set_in::engaged(build, case, screw, bounding) {
            Some(value) => check_items::screw_engaging(build, screw, || Some(value), ledger),
            None => check_items::screw(build, case, screw, ledger),
        }
    }
}

fn is_set(build: &Build<'_>, screw: &super::links::Screwed) -> bool {
    [screw.male.0, screw.female.0].into_iter().any(|item| build.is_chosen(item))
}

/// Travel left before the end of a screwed part meets what its mate is fixed to.
fn spare(
    build: &Build<'_>,
    case: &Case,
    screw: &super::links::Screwed,
    least: Option<i64>,
    ledger: &mut Ledger,
) {
    let Some(least) = least.filter(|_| screw.matches) else { return };
    let (mover, mate) = if screw.male.0 == ItemIx(0) {
        (screw.female.0, screw.male.0)
    } else {
        (screw.male.0, screw.female.0)
    };
    let from_below = build.slot_of(mover).put_on == crate::rules::PutOn::FromBelow;
    let mut distances = push::Distances::default();
    let host = build.host(mate);
    for other in
        build.all().filter(|&o| o == mate || Some(o) == host || build.host(o) == host && host.is_some())
    {
        if other == mover {
            continue;
        }
        if from_below {
            distances.down(build, case, other, mover);
        } else {
            distances.down(build, case, mover, other);
        }
    }
    let demand = Demand::Spare(screw.pair);
    let about = vec![mover, mate];
    match push::least_distance(build, case, &distances.all) {
        Some(value) => ledger.add(build, number(demand, about, vec![], value, Some(least), None)),
        None => ledger.add(build, fact(demand, about, true)),
    }
}

/// What the system takes.
fn sizes(build: &Build<'_>, ledger: &mut Ledger) {
    for (index, rule) in build.setting.rule.sizes.iter().enumerate() {
        let demand = Demand::Size(index as u16);
        let all = crate::rules::SlotIx(u16::MAX);
        let Some((slot, surface)) = super::links::first_there(build, &rule.surface, all) else {
            let about = rule.surface.iter().take(1).flat_map(|s| build.in_slot(s.slot)).collect();
            ledger.add(build, fact(demand, about, false));
            continue;
        };
        for item in build.in_slot(slot) {
            let both = [true, false].map(|bore| diameters(build, (item, surface), bore));
            let all: Vec<Form> = both.into_iter().flatten().collect();
            if let Some(value) = CaseValue::least_of(&all, Given::any(&build.dims)) {
                let (least, most) = (Some(rule.least.as_nm()), Some(rule.most.as_nm()));
                ledger.add(build, number(demand, vec![item], vec![surface], value, least, most));
            }
        }
    }
}

fn stand_outs(build: &Build<'_>, case: &Case, only: Option<crate::rules::SlotIx>, ledger: &mut Ledger) {
    for (index, rule) in build.setting.rule.stand_outs.iter().enumerate() {
        if only.is_some_and(|slot| !rule.above.contains(&slot)) {
            continue;
        }
        let all = crate::rules::SlotIx(u16::MAX);
        let Some((slot, surface)) = super::links::first_there(build, &rule.surface, all) else { continue };
        let Some(item) = build.in_slot(slot).next() else { continue };
        let Some(above) = rule.above.iter().copied().find(|&s| build.filled(s)) else { continue };
        // One that is named before it, and is put on later, would count in its place.
        let named_before = || rule.above.iter().take_while(|&&s| s != above);
        if only.is_some_and(|slot| named_before().any(|s| s.0 > slot.0)) {
            continue;
        }
        let Some(zone) = zone(build, case, (item, surface), false) else { continue };
        let out: Vec<Form> = build
            .in_slot(above)
            .filter_map(|i| top_of(build, case, i))
            .map(|top| zone.top.minus(&top))
            .collect();
        if let Some(value) = CaseValue::least_of(&out, case.given(&build.dims)) {
            let demand = Demand::StandsOut(index as u16);
            let about = build.in_slot(above).last().into_iter().chain([item]).collect();
            ledger.add(build, number(demand, about, vec![], value, Some(rule.least.as_nm()), None));
        }
    }
}

/// A quill's least insertion into the steerer.
fn insertions(build: &Build<'_>, case: &Case, ledger: &mut Ledger) {
    for item in build.all() {
        let it = build.item(item);
        let Some(least) = &it.shape.features.insertion else { continue };
        let (Some(bottom), Some(top)) = (build.bottom(case, item), top_of(build, case, ItemIx(0))) else {
            continue;
        };
        let over = top.minus(bottom).minus(&least.shifted(it.offset));
        let value = CaseValue::of(over, case.given(&build.dims));
        ledger.add(build, number(Demand::Insertion(it.pick.slot), vec![item], vec![], value, Some(0), None));
    }
}

/// A check for the report, with the assumed dimensions that bear on it.
pub fn check(build: &Build<'_>, found: &(Demand, Vec<ItemIx>, Vec<&'static str>, Entry)) -> Check {
    let (demand, about, surfaces, entry) = found;
    let mut concerned: Vec<u32> = match &entry.value {
        Some(CaseValue { form: Some(form), .. }) => form.terms.iter().map(|&(i, _)| i).collect(),
        Some(_) if matches!(demand, Demand::Seat(_)) => {
            about.iter().flat_map(|&item| check_items::seat_dims(build, item)).collect()
        }
        _ => about
            .iter()
            .zip(surfaces)
            .flat_map(|(&item, &surface)| {
                let both =
                    [diameters(build, (item, surface), true), diameters(build, (item, surface), false)];
                both.into_iter().flatten().flat_map(|f| f.terms.iter().map(|&(i, _)| i).collect::<Vec<_>>())
            })
            .collect(),
    };
    concerned.sort_unstable();
    concerned.dedup();
    // What a trial settles rests on no size.
    concerned.retain(|&dim| entry.tried.is_none() && origin(build, dim) == Some(Origin::Assumed));
    Check {
        demand: *demand,
        about: about.clone(),
        surfaces: surfaces.clone(),
        value: entry.value.clone().map(Into::into),
        least: entry.least,
        most: entry.most,
        outcome: entry.outcome,
        assumes: concerned,
        supposes: supposed(build, *demand, about),
        tried: entry.tried,
    }
}

/// What was taken for want of a class or a material, where the rule itself does not say how much thread is enough.
fn supposed(build: &Build<'_>, demand: Demand, about: &[ItemIx]) -> Vec<Supposed> {
    let (Demand::Engagement(pair), &[male, female]) = (demand, about) else { return Vec::new() };
    if build.setting.rule.threads[pair as usize].engagement_least.is_some() {
        return Vec::new();
    }
    let shape = |item: ItemIx| build.item(item).shape;
    let (class, material) = build.setting.bolts.supposed(shape(male), shape(female));
    let class = class.map(|class| Supposed::BoltClass { of: male, class });
    let material = material.map(|material| Supposed::NutMaterial { of: female, material });
    class.into_iter().chain(material).collect()
}

fn origin(build: &Build<'_>, dim: u32) -> Option<Origin> {
    let item = build.items.iter().rev().find(|i| i.offset <= dim)?;
    item.shape.dims.get((dim - item.offset) as usize).map(|d| d.dimension.origin)
}
