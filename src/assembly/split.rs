//! Where the layers of a grip close: at each pinch bolt each layer but the innermost is split there, its slit reaching past the
//! bolt by what the rule asks, or lies so close that its wall gives.
//!
//! A slit starts at an end of its part and is so long, or runs through: it closes where it is, not where it is not.
//! Must not know how much of anything is held.

use super::blame::grip as grip_slots;
use super::build::Build;
use super::case::Case;
use super::check_items::closes_by;
use super::choose::Bounding;
use super::grip::Held;
use super::ledger::{CaseValue, Ledger, number, outcome_within};
use super::loose::lies;
use super::report::{Demand, ItemIx, Outcome, PlacedCut};
use crate::quantity::Form;

/// How far each layer can close, and whether its slit is where the bolts are.
pub fn closes(
    build: &Build<'_>,
    case: &Case,
    held: &Held<'_>,
    ledger: &mut Ledger,
    bounding: &mut Vec<Bounding>,
) {
    let given = case.given(&build.dims);
    for (at, layer) in held.layers.iter().enumerate() {
        let outer = layer.sleeve.outer.0;
        let gives = build.setting.rule.sleeves[layer.sleeve.sleeve as usize].springs;
        let by_wall = CaseValue::of(room(build, held, at, Form::constant(gives)), given);
        let wall_outcome = outcome_within(&by_wall, Some(0), None);
        let about = if outer == held.by { vec![outer] } else { vec![outer, held.by] };
        let closing =
            |value| number(Demand::GripCloses(held.index), about.clone(), vec![], value, Some(0), None);
        let cut = longest(build, outer).filter(|_| wall_outcome != Outcome::Pass);
        let Some(cut) = cut else {
            ledger.add(build, closing(by_wall));
            continue;
        };
        let reach = reach(build, case, held, outer, cut);
        let past = Some(held.grip.past.as_nm());
        let reach_fails = reach.as_ref().is_some_and(|r| outcome_within(r, past, None) == Outcome::Fail);
        // Where the slit is not, the wall may still give: that is what has to be seen then.
        if reach_fails && wall_outcome == Outcome::Measure {
            ledger.add(build, closing(by_wall));
            continue;
        }
        let split = CaseValue::of(room(build, held, at, closes_by(&cut.width)), given);
        ledger.add(build, closing(split));
        if let Some(value) = reach {
            ledger
                .add(build, number(Demand::SlitReach(held.index), about.clone(), vec![], value, past, None));
        }
        if outer != held.by && (held.lifted || build.is_chosen(outer)) {
            for pinch in &held.pinches {
                bounds(build, case, (held, outer, pinch), cut, bounding);
            }
        }
    }
}

/// What is left of `closing` once all the clearances inside this layer are closed.
fn room(build: &Build<'_>, held: &Held<'_>, at: usize, closing: Form) -> Form {
    held.layers[at..].iter().fold(closing, |room, inner| {
        let widest = inner.sleeve.clearances.iter().max_by_key(|c| c.most(&build.dims));
        widest.map_or(room.clone(), |c| room.minus(c))
    })
}

/// Of several cuts the one that is longest: it closes most of the part.
fn longest<'b>(build: &'b Build<'_>, item: ItemIx) -> Option<&'b PlacedCut> {
    let length = |cut: &&PlacedCut| cut.to.minus(&cut.from).nominal(&build.dims);
    build.item(item).cuts.iter().max_by_key(length)
}

/// Ends at which a slit is closed, so that it has to reach past the bolts there; as placed, from the part's bottom.
struct ClosedEnds<'c> {
    bottom: Option<&'c Form>,
    top: Option<&'c Form>,
}

impl<'c> ClosedEnds<'c> {
    fn of(build: &Build<'_>, item: ItemIx, cut: &'c PlacedCut) -> ClosedEnds<'c> {
        let height = &build.item(item).height;
        ClosedEnds {
            bottom: Some(&cut.from).filter(|from| **from != Form::zero()),
            top: Some(&cut.to).filter(|to| *to != height),
        }
    }
}

/// How far the slit of a layer reaches past the bolt that it reaches least past. `None`: it runs through.
fn reach(
    build: &Build<'_>,
    case: &Case,
    held: &Held<'_>,
    layer: ItemIx,
    cut: &PlacedCut,
) -> Option<CaseValue> {
    let ends = ClosedEnds::of(build, layer, cut);
    if ends.bottom.is_none() && ends.top.is_none() {
        return None;
    }
    let mut reach: Vec<Form> = Vec::new();
    let mut past = |[lowest, highest]: &[Form; 2], pinch: &Form| {
        reach.extend(ends.top.map(|top| lowest.plus(top).minus(pinch)));
        reach.extend(ends.bottom.map(|bottom| pinch.minus(highest).minus(bottom)));
    };
    match lies(build, case, layer) {
        // A clamp's own bolts keep their distance from its slot's ends wherever it stands.
        _ if layer == held.by => {
            let base = build.bottom(case, layer).cloned().unwrap_or_else(Form::zero);
            let base = [base.clone(), base];
            held.pinches.iter().for_each(|pinch| past(&base, pinch));
        }
        Some(base) if !held.lifted => held.pinches.iter().for_each(|pinch| past(&base, pinch)),
        // Wherever it is held: no slit closes at bolts that are further apart than it is long.
        _ => {
            for (one, other) in held.pinches.iter().flat_map(|p| held.pinches.iter().map(move |q| (p, q))) {
                reach.push(cut.to.minus(&cut.from).minus(&other.minus(one)));
            }
        }
    }
    CaseValue::least_of(&reach, case.given(&build.dims))
}

/// The clamp's height, or the layer's, is chosen so that the slit reaches past the bolt.
fn bounds(
    build: &Build<'_>,
    case: &Case,
    (held, layer, pinch): (&Held<'_>, ItemIx, &Form),
    cut: &PlacedCut,
    bounding: &mut Vec<Bounding>,
) {
    let ends = ClosedEnds::of(build, layer, cut);
    let (past, with) = (held.grip.past, grip_slots(build.setting.rule, held.index));
    match lies(build, case, layer) {
        // The clamp is lifted: its bolt comes to its height plus the bolt's own.
        Some([lowest, highest]) => {
            let most = ends.top.map(|top| lowest.plus(top).minus(pinch).plus_length(-past));
            let least = ends.bottom.map(|bottom| highest.plus(bottom).minus(pinch).plus_length(past));
            bounding.extend(most.map(|form| Bounding::upper(held.by, form, with)));
            bounding.extend(least.map(|form| Bounding::lower(held.by, form, with)));
        }
        // The layer is: the bolts stand.
        None => {
            let least = ends.top.map(|top| pinch.minus(top).plus_length(past));
            let most = ends.bottom.map(|bottom| pinch.minus(bottom).plus_length(-past));
            bounding.extend(least.map(|form| Bounding::lower(layer, form, with)));
            bounding.extend(most.map(|form| Bounding::upper(layer, form, with)));
        }
    }
}
