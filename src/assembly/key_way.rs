//! Can the key get in: a straight way along the axis from where the rule says a bolt is reached, past all that is on by then.
//!
//! A hex key is as wide as its corners. Must not know what the bolt does.

use super::build::Build;
use super::case::Case;
use super::given::Given;
use super::ledger::{CaseValue, Ledger, number};
use super::loose::lies;
use super::report::{Demand, ItemIx};
use super::still::{larger, smaller};
use crate::quantity::{Ends, Form, ONE};
use crate::rules::Step;

/// Across corners over across flats of a hexagon, 2/sqrt(3), in millionths, rounded up.
const CORNERS: i64 = 1_154_701;

/// What is turned along the axis, and where its key comes from.
struct Turned {
    item: ItemIx,
    from_above: bool,
    /// Number of the step that turns it.
    at: usize,
    /// Across the key's corners, nanometres.
    key: i64,
}

pub fn key_way(build: &Build<'_>, case: &Case, ledger: &mut Ledger) {
    for turned in build.all().filter_map(|item| turned(build, item)) {
        let Some(head) = head(build, case, &turned) else { continue };
        let on = build.all().filter(|&other| other != turned.item && is_on(build, turned.at, other));
        let ways: Vec<Way> = on.flat_map(|other| ways(build, case, &turned, &head, other)).collect();
        // What surely leaves more than the narrowest way can leave changes nothing.
        let narrowest = ways.iter().map(|way| way.at_most).min();
        let ways = ways.iter().filter(|way| narrowest.is_none_or(|narrowest| way.at_least <= narrowest));
        let ways = ways.map(|way| way.room(case.given(&build.dims)));
        if let Some(least) = ways.flatten().reduce(smaller) {
            let slot = build.item(turned.item).pick.slot;
            ledger.add(build, number(Demand::KeyWay(slot), vec![turned.item], vec![], least, Some(0), None));
        }
    }
}

fn turned(build: &Build<'_>, item: ItemIx) -> Option<Turned> {
    let it = build.item(item);
    let drive = it.shape.features.drive.as_ref().filter(|drive| drive.is_straight())?;
    let turns = |step: &Step| step.slot == Some(it.pick.slot) && step.say.contains("{tool}");
    let at = build.setting.rule.steps.iter().position(turns)?;
    let from_above = match build.setting.rule.steps[at].reach.as_deref()? {
        "above" => true,
        "below" => false,
        _ => return None,
    };
    let corners = i128::from(drive.size.as_nm()) * i128::from(CORNERS);
    let key = i64::try_from((corners + i128::from(ONE) - 1) / i128::from(ONE)).ok()?;
    Some(Turned { item, from_above, at, key })
}

/// Height of the end that the key goes into.
fn head(build: &Build<'_>, case: &Case, turned: &Turned) -> Option<Form> {
    let bottom = build.bottom(case, turned.item)?;
    Some(if turned.from_above { bottom.plus(&build.item(turned.item).height) } else { bottom.clone() })
}

/// It went on in an earlier step.
fn is_on(build: &Build<'_>, at: usize, other: ItemIx) -> bool {
    let slot = build.item(other).pick.slot;
    build.setting.rule.steps[..at].iter().any(|step| step.slot == Some(slot))
}

/// Past a ring of a part: it is wide enough, or not on the way.
struct Way {
    wide: Vec<Form>,
    beside: Option<Form>,
    /// Loose bounds of the room that it leaves.
    at_least: i64,
    at_most: i64,
}

impl Way {
    fn of(wide: Vec<Form>, beside: Option<Form>, dims: &[Ends]) -> Way {
        let of = |end: fn(&Form, &[Ends]) -> i64| {
            let wide = wide.iter().map(|form| end(form, dims)).min();
            wide.into_iter().chain(beside.as_ref().map(|form| end(form, dims))).max().unwrap_or(0)
        };
        let (at_least, at_most) = (of(Form::least), of(Form::most));
        Way { wide, beside, at_least, at_most }
    }

    fn room(&self, given: Given<'_>) -> Option<CaseValue> {
        let wide = CaseValue::least_of(&self.wide, given)?;
        Some(match &self.beside {
            Some(beside) => larger(wide, CaseValue::of(beside.clone(), given)),
            None => wide,
        })
    }
}

/// Past each ring of a part.
fn ways(build: &Build<'_>, case: &Case, turned: &Turned, head: &Form, other: ItemIx) -> Vec<Way> {
    let lies = lies(build, case, other);
    let base = lies.as_ref().map(|[lowest, highest]| if turned.from_above { highest } else { lowest });
    // What is set in a host is what the bolt goes into.
    if base.is_none() && build.host(other).is_some() {
        return Vec::new();
    }
    let mut found = Vec::new();
    for column in &build.item(other).columns {
        let mut bottom = column.start.clone();
        for segment in &column.segments {
            let top = bottom.plus(&segment.length);
            let wide: Vec<Form> = segment.bore.diameter.iter().map(|bore| less(bore, turned.key)).collect();
            let beside = base.map(|base| {
                if turned.from_above { head.minus(&base.plus(&top)) } else { base.plus(&bottom).minus(head) }
            });
            found.push(Way::of(wide, beside, &build.dims));
            bottom = top;
        }
    }
    found
}

fn less(form: &Form, by: i64) -> Form {
    let mut less = form.clone();
    less.constant -= by;
    less
}
