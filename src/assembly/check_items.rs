//! Checks about one item: what it lands on, how it seats, the seat it took, the sleeves around it.
//!
//! The same functions serve while a stack grows (before all guides are known, so without drift) and when it is
//! complete. Must not know how parts are chosen.

use super::build::Build;
use super::case::{Case, Stand, Touch};
use super::drift::{Chains, Drift};
use super::given::Given;
use super::ledger::Finding;
use super::ledger::{CaseValue, Ledger, Measured, fact, number};
use super::links::Resolved;
use super::report::{Contact, Demand, ItemIx, Outcome};
use super::zone::{common, zone};
use crate::quantity::{Form, ONE};
use crate::rules::PutOn;

/// 1/pi in millionths, rounded down; a slot of width g lets a bore close by g/pi in diameter.
const ONE_OVER_PI: i64 = 318_309;
/// What that rounding can amount to on a slot of up to 20 mm, nanometres.
const PI_SLACK: i64 = 20;

/// How much a slot lets a diameter close.
pub fn closes_by(slot: &Form) -> Form {
    slot.times(ONE_OVER_PI).with_slack(PI_SLACK)
}

/// What is known of a stack once it is complete.
pub struct Complete<'s> {
    pub drift: &'s Drift<'s>,
    /// Of this case.
    pub pushed: &'s [ItemIx],
}

/// Everything about one item that needs no later part. `complete` is none while the stack grows.
pub fn item(
    build: &Build<'_>,
    case: &Case,
    item: ItemIx,
    complete: Option<&Complete<'_>>,
    ledger: &mut Ledger,
) {
    seat_taken(build, case, item, ledger);
    if matches!(build.slot_of(item).put_on, PutOn::Fixed | PutOn::Chosen(_)) {
        return;
    }
    let slot = build.item(item).pick.slot;
    let stand = &case.stands[item.0 as usize];
    ledger.add(build, fact(Demand::Lands(slot), vec![item], stand.height.is_some()));
    rests(build, item, stand, complete, ledger);
    seat(build, case, item, complete.map(|c| c.drift), ledger);
    path_step(build, item, stand, ledger);
}

/// What may carry as well without harm carries alone only where the push goes on through it, which is checked on its own.
fn rests(
    build: &Build<'_>,
    item: ItemIx,
    stand: &Stand,
    complete: Option<&Complete<'_>>,
    ledger: &mut Ledger,
) {
    let slot = build.slot_of(item);
    if slot.rests_on.is_empty() {
        return;
    }
    let allowed = |touch: &Touch| {
        let on = build.item(touch.item).pick.slot;
        slot.rests_on.contains(&on) || on == build.item(item).pick.slot
    };
    let must = |touch: &Touch| !slot.may_touch.contains(&build.item(touch.item).pick.slot);
    let pushed = complete.is_none_or(|complete| complete.pushed.contains(&item));
    let carried = slot.may_touch.is_empty() || pushed || stand.touches.iter().any(must);
    let holds = carried && stand.touches.iter().all(allowed);
    ledger.add(build, fact(Demand::RestsOn(build.item(item).pick.slot), vec![item], holds));
}

fn seat(build: &Build<'_>, case: &Case, item: ItemIx, drift: Option<&Drift<'_>>, ledger: &mut Ledger) {
    let stand = &case.stands[item.0 as usize];
    if stand.touches.is_empty() {
        return;
    }
    let demand = Demand::Seat(build.item(item).pick.slot);
    let limit = Some(build.setting.rule.limits.seat_least.as_nm());
    let dims = &build.dims;
    let (mut centred, mut drifted, mut fast) = (Vec::new(), Vec::new(), true);
    for touch in &stand.touches {
        if touch.contact == Contact::Edge {
            ledger.add(build, fact(demand, vec![item], false));
            return;
        }
        let chains = match drift {
            Some(drift) if touch.contact == Contact::Flat => drift.between(item, touch.item),
            _ => Chains::no_play(),
        };
        let Some(play) = chains.shortest(dims) else {
            ledger.add(build, fact(demand, vec![item], false));
            return;
        };
        fast &= chains.fast();
        for width in touch.outer.iter().flat_map(|o| touch.inner.iter().map(|i| o.minus(i))) {
            drifted.extend(play.iter().map(|play| width.minus(play).times(ONE / 2)));
            centred.push(width.times(ONE / 2));
        }
    }
    let given = case.given(dims);
    let worst = CaseValue::least_of(&drifted, given);
    // Clamped as they happen to lie they stay: at best in the middle.
    let value = match (worst, CaseValue::least_of(&centred, given)) {
        (Some(worst), Some(best)) if !fast => {
            CaseValue { nominal: worst.nominal, least: worst.least, most: best.most, form: None }
        }
        (_, Some(best)) => best,
        _ => return,
    };
    ledger.add(build, number(demand, vec![item], vec![], value, limit, None));
}

/// Dimensions that bear on how wide an item's seats are, with the play that its parts have.
pub fn seat_dims(build: &Build<'_>, item: ItemIx) -> Vec<u32> {
    let drift = Drift::of(build);
    let touches = build.cases.iter().filter_map(|case| case.stands.get(item.0 as usize));
    let mut forms: Vec<Form> = Vec::new();
    for touch in touches.flat_map(|stand| &stand.touches) {
        forms.extend(touch.outer.iter().chain(&touch.inner).cloned());
        forms.extend(drift.between(item, touch.item).shortest(&build.dims).into_iter().flatten().cloned());
    }
    forms.iter().flat_map(|form| form.terms.iter().map(|term| term.0)).collect()
}

/// A step of the path must hand the push on to the next step that is there, by the right columns.
fn path_step(build: &Build<'_>, item: ItemIx, stand: &Stand, ledger: &mut Ledger) {
    let path = &build.setting.rule.path;
    let slot = build.item(item).pick.slot;
    let Some(at) = path.iter().position(|s| s.slot == slot) else { return };
    let Some(next) = path[at + 1..].iter().find(|s| build.filled(s.slot)) else { return };
    let holds = !stand.touches.is_empty()
        && stand.touches.iter().all(|touch| {
            build.item(touch.item).pick.slot == next.slot
                && path[at].leaves.as_deref().is_none_or(|c| c == touch.own_column)
                && next.enters.as_deref().is_none_or(|c| c == touch.column)
        });
    ledger.add(build, fact(Demand::Path, vec![item], holds));
}

fn seat_taken(build: &Build<'_>, case: &Case, item: ItemIx, ledger: &mut Ledger) {
    let it = build.item(item);
    let slot = it.pick.slot;
    let features = &it.shape.features;
    let Some(seated) = &it.seated else {
        let wants_seat = build
            .setting
            .rule
            .presses
            .iter()
            .enumerate()
            .find(|(_, p)| p.wall.slot == slot && it.shape.has_surface(p.wall.surface));
        if let Some((index, _)) = wants_seat {
            ledger.add(build, fact(Demand::Tightness(index as u16), vec![item], false));
        }
        return;
    };
    let about = vec![item, seated.on.0];
    let surfaces = vec![seated.surface, seated.on.1];
    if features.split_ring {
        let play = seated.as_made.minus(&seated.seat);
        let demand = Demand::RingCloses(slot);
        let value = CaseValue::of(play.clone(), case.given(&build.dims));
        ledger.add(build, number(demand, about.clone(), surfaces, value, Some(0), None));
        let slot_width = it.cuts.first().map_or_else(Form::zero, |c| closes_by(&c.width));
        let room = CaseValue::of(slot_width.minus(&play), case.given(&build.dims));
        ledger.add(build, number(demand, about, vec!["slot"], room, Some(0), None));
        return;
    }
    let Some(press) = seated.press else { return };
    let demand = Demand::Tightness(press);
    if let Some((least, most)) = build.setting.rule.presses[press as usize].tightness {
        let tight = tightness(build, item, seated);
        let value = CaseValue::of(tight, case.given(&build.dims));
        ledger.add(build, number(demand, about, surfaces, value, Some(least.as_nm()), Some(most.as_nm())));
    } else if let Some((least, most)) = &features.fits_bore {
        let over = seated.seat.minus(&least.shifted(it.offset));
        let under = most.shifted(it.offset).minus(&seated.seat);
        if let Some(value) = CaseValue::least_of(&[over, under], case.given(&build.dims)) {
            ledger.add(build, number(demand, about, surfaces, value, Some(0), None));
        }
    }
}

/// Interference before pressing: seat minus bore, or outside minus bore.
fn tightness(build: &Build<'_>, item: ItemIx, seated: &super::build::Seated) -> Form {
    let bore =
        build.item(item).columns.iter().flat_map(|c| &c.segments).any(|s| s.bore.surface == seated.surface);
    if bore { seated.seat.minus(&seated.as_made) } else { seated.as_made.minus(&seated.seat) }
}

/// Clearance of a sleeve, and its overlap where both parts have a height.
pub fn sleeve(build: &Build<'_>, case: &Case, resolved: &Resolved, ledger: &mut Ledger) {
    let rule = &build.setting.rule.sleeves[resolved.sleeve as usize];
    let about = vec![resolved.outer.0, resolved.inner.0];
    let surfaces = vec![resolved.outer.1, resolved.inner.1];
    let widest = CaseValue::greatest_of(&resolved.clearances, case.given(&build.dims));
    let narrowest = CaseValue::least_of(&resolved.clearances, case.given(&build.dims));
    if let (Some(narrow), Some(wide)) = (narrowest, widest) {
        let form = narrow.form.filter(|f| wide.form.as_ref() == Some(f));
        let value = CaseValue { nominal: narrow.nominal, least: narrow.least, most: wide.most, form };
        let (least, most) = (rule.clearance_least.as_nm(), rule.clearance_most.as_nm());
        let demand = Demand::SleeveClearance(resolved.sleeve);
        let found = number(demand, about.clone(), surfaces.clone(), value, Some(least), Some(most));
        ledger.add(build, Finding { tried: tried(build, resolved, (least, most)), ..found });
    }
    let Some(least) = rule.overlap_least else { return };
    let zones = (zone(build, case, resolved.outer, true), zone(build, case, resolved.inner, false));
    let (Some(outer), Some(inner)) = zones else { return };
    if let Some(value) = CaseValue::least_of(&common(&[outer, inner]), case.given(&build.dims)) {
        let demand = Demand::SleeveOverlap(resolved.sleeve);
        ledger.add(build, number(demand, about, surfaces, value, Some(least.as_nm()), None));
    }
}

/// What a recorded trial of these very parts makes of their clearance. It settles what the sizes leave open; sizes of
/// which none can be right are not made right by it, and parts that did not slide do not, whatever the sizes say.
fn tried(build: &Build<'_>, resolved: &Resolved, (least, most): (i64, i64)) -> Option<(usize, Outcome)> {
    let variant = |wall: super::links::WallOf| (build.item(wall.0).pick.variant, wall.1);
    let trial = build.setting.catalogue.trial(variant(resolved.outer), variant(resolved.inner))?;
    let any = Given::any(&build.dims);
    let widest = CaseValue::greatest_of(&resolved.clearances, any)?;
    let narrowest = CaseValue::least_of(&resolved.clearances, any)?;
    let never = narrowest.most < least || widest.least > most;
    let slides = build.setting.catalogue.trials[trial].slides;
    Some((trial, if slides && !never { Outcome::Pass } else { Outcome::Fail }))
}

/// A screwed pair: the threads match; the engaged length is enough.
pub fn screw(build: &Build<'_>, case: &Case, screw: &super::links::Screwed, ledger: &mut Ledger) {
    let value = || CaseValue::least_of(&engaged(build, case, screw), case.given(&build.dims));
    screw_engaging(build, screw, value, ledger);
}

/// The same with so much of the thread engaged.
pub fn screw_engaging(
    build: &Build<'_>,
    screw: &super::links::Screwed,
    value: impl FnOnce() -> Option<CaseValue>,
    ledger: &mut Ledger,
) {
    let about = vec![screw.male.0, screw.female.0];
    let surfaces = vec![screw.male.1, screw.female.1];
    let matching = fact(Demand::ThreadMatch(screw.pair), about.clone(), screw.matches);
    ledger.add(build, Finding { surfaces: surfaces.clone(), ..matching });
    if !screw.matches {
        return;
    }
    let demand = Demand::Engagement(screw.pair);
    let Some(needed) = engagement_needed(build, screw) else {
        let measured = Measured::Unknown;
        ledger
            .add(build, Finding { demand, about, surfaces, measured, least: None, most: None, tried: None });
        return;
    };
    if let Some(value) = value() {
        ledger.add(build, number(demand, about, surfaces, value, Some(needed), None));
    }
}

pub fn engagement_needed(build: &Build<'_>, screw: &super::links::Screwed) -> Option<i64> {
    let pair = &build.setting.rule.threads[screw.pair as usize];
    let computed = || {
        let (male, female) = (build.item(screw.male.0).shape, build.item(screw.female.0).shape);
        build.setting.bolts.engagement_needed(male, female)
    };
    pair.engagement_least.or_else(computed).map(|l| l.as_nm())
}

/// Lengths whose least is the engaged length; where one part's height is chosen, the most it can be.
fn engaged(build: &Build<'_>, case: &Case, screw: &super::links::Screwed) -> Vec<Form> {
    let zones = (zone(build, case, screw.male, false), zone(build, case, screw.female, true));
    if let (Some(male), Some(female)) = zones {
        return common(&[male, female]);
    }
    let own = [(screw.male, false), (screw.female, true)];
    own.iter()
        .filter_map(|&(wall, bore)| super::zone::own_zone(build, wall, bore))
        .map(|z| z.top.minus(&z.bottom))
        .collect()
}
