//! Of the plans that miss nothing but one demand, one that misses it by little: single parts swapped, turned over or left out
//! for as long as that helps. Must not know what the demand is about.

use super::bench::Plan;
use super::candidates::Field;
use crate::assembly::{Check, Demand, Outcome, Pick, Setting, assemble};
use crate::rules::Rule;

/// Rounds over all parts; the second seldom finds more.
const ROUNDS: usize = 3;

/// The demand's figures in the closest plan found, none of whose other checks fails, and that plan. `None`: the picks miss more
/// than that, or all that the answer may cost is used up. `setting`: with what is waived; `of`: by whose answer the work is counted.
pub(super) fn closer(
    of: &Plan<'_>,
    setting: Setting<'_>,
    field: &Field,
    picks: &[Pick],
    demand: Demand,
) -> Option<(Check, Vec<Pick>)> {
    let figures = |picks: &[Pick]| of.may_go_on(picks).then(|| figures(setting, picks, demand)).flatten();
    let (mut picks, mut best) = (picks.to_vec(), figures(picks)?);
    for _ in 0..ROUNDS {
        let before = best.0;
        for at in (1..picks.len()).rev() {
            let others = others(setting.rule, field, &picks, at);
            let tried = others.into_iter().filter_map(|other| Some((figures(&other)?, other)));
            if let Some((found, other)) = tried.min_by_key(|(found, _)| found.0).filter(|(f, _)| f.0 < best.0)
            {
                (picks, best) = (other, found);
            }
        }
        if best.0 == before {
            break;
        }
    }
    Some((best.1, picks))
}

/// By how much it is missed, nanometres, and the check.
fn figures(setting: Setting<'_>, picks: &[Pick], demand: Demand) -> Option<(i64, Check)> {
    let stack = assemble(setting, picks);
    let mut failing = stack.checks.into_iter().filter(|check| check.outcome == Outcome::Fail);
    let first = failing.next().filter(|check| check.demand == demand)?;
    let all = failing.try_fold(vec![first], |mut all, check| {
        (check.demand == demand).then(|| {
            all.push(check);
            all
        })
    })?;
    all.into_iter()
        .map(|check| Some((missed(&check)?, check)))
        .collect::<Option<Vec<_>>>()?
        .into_iter()
        .max_by_key(|m| m.0)
}

fn missed(check: &Check) -> Option<i64> {
    let value = check.value.as_ref()?.nominal;
    let under = check.least.map(|least| least - value);
    let over = check.most.map(|most| value - most);
    under.max(over)
}

/// The plan with another part in this place, with the same turned over, and without it.
fn others(rule: &Rule, field: &Field, picks: &[Pick], at: usize) -> Vec<Vec<Pick>> {
    let old = picks[at];
    let slot = rule.slot(old.slot);
    let ways = [(false, slot.as_drawn), (true, slot.turned)].into_iter().filter(|way| way.1);
    let ways: Vec<bool> = ways.map(|way| way.0).collect();
    let parts = field.slots[usize::from(old.slot.0)].iter();
    let picked = parts.flat_map(|&variant| ways.iter().map(move |&turned| Pick { variant, turned, ..old }));
    let mut all: Vec<Vec<Pick>> = picked
        .filter(|pick| *pick != old)
        .map(|pick| picks.iter().enumerate().map(|(i, &p)| if i == at { pick } else { p }).collect())
        .collect();
    let here = picks.iter().filter(|pick| pick.slot == old.slot).count();
    if here > usize::from(slot.least) {
        all.push(picks.iter().enumerate().filter(|&(i, _)| i != at).map(|(_, &pick)| pick).collect());
    }
    all
}
