//! A plan's parts changed: others in their place, or made a little longer or wider. Must not know what comes of it.

use super::sampled::{PROMISED, Tried};
use super::worst::{Asked, Leanings};
use super::{Lying, Set};
use crate::book::Numbers;
use benchleaf::assembly::{Outcome, Pick, Setting};
use benchleaf::catalogue::Catalogue;
use benchleaf::quantity::Length;
use benchleaf::rules::SlotIx;

/// No part is made this much otherwise, nanometres.
const TOO_FAR: i64 = 15_000_000;
/// What has more to spare than this is not brought to its limit.
const AMPLE: f64 = 20e6;

/// Some of the plan's parts put in otherwise: another part, the other way up, one more.
pub fn put_otherwise(setting: Setting<'_>, plan: &[Pick], numbers: &mut Numbers) -> Vec<Pick> {
    let (rule, catalogue) = (setting.rule, setting.catalogue);
    let mut other = vec![plan[0]];
    let change = numbers.below(rule.slots.len() - 1) + 1;
    for index in 1..rule.slots.len() {
        let slot = SlotIx(index as u16);
        let mut mine: Vec<Pick> = plan.iter().filter(|p| p.slot == slot).copied().collect();
        if index == change || numbers.one_in(12) {
            let of_kinds = rule.slot(slot).kinds.iter().flat_map(|k| catalogue.of_kind(k));
            let all: Vec<_> = of_kinds.flat_map(|p| catalogue.part(p).variants.iter().copied()).collect();
            let ways = rule.slot(slot);
            let turned = ways.turned && (!ways.as_drawn || numbers.one_in(2));
            let pick = Pick { slot, variant: all[numbers.below(all.len())], turned };
            match mine.last_mut() {
                Some(last) => *last = pick,
                None => mine.push(pick),
            }
        }
        other.extend(mine);
    }
    other
}

/// The same parts, one of them made a little longer or wider, so that one thing is asked of the worst build (or of the best) only just
/// met, or only just not. `None`: nothing is near enough.
pub fn near_a_limit(
    setting: Setting<'_>,
    plan: &[Pick],
    numbers: &mut Numbers,
) -> Option<(String, Catalogue)> {
    near_this_limit(setting, plan, None, numbers)
}

/// The same where this is asked.
pub fn near_this_limit(
    setting: Setting<'_>,
    plan: &[Pick],
    what: Option<&str>,
    numbers: &mut Numbers,
) -> Option<(String, Catalogue)> {
    let tried = Tried::of(setting, plan);
    let set = if tried.said == Outcome::Pass { PROMISED } else { Set::Best };
    let lying = if numbers.one_in(2) { Lying::Low } else { Lying::High };
    let leanings = Leanings::of(&tried.bench, &tried.stack.windows, set, lying)?;
    let all: Vec<&Asked> = leanings.middle.iter().filter(|(_, s)| s.abs() < AMPLE).map(|(a, _)| a).collect();
    if all.is_empty() {
        return None;
    }
    // Each kind of thing that is asked as often as another.
    let mut whats: Vec<&str> = all.iter().map(|a| a.0).collect();
    whats.dedup();
    let what = what.unwrap_or_else(|| whats[numbers.below(whats.len())]);
    let all: Vec<&Asked> = all.into_iter().filter(|a| a.0 == what).collect();
    if all.is_empty() {
        return None;
    }
    let asked = all[numbers.below(all.len())];
    let worst = leanings.toward(&tried.bench, asked, numbers.below(4) != 0);
    let found = tried.bench.tried(&worst, &tried.stack.windows, set, lying)?;
    let spare = found.0.iter().filter(|f| (f.what, &f.about) == (asked.0, &asked.1)).map(|f| f.spare);
    let spare = spare.reduce(f64::min)?;
    let slopes = leanings.slopes(&tried.bench, asked);
    if slopes.is_empty() {
        return None;
    }
    let (item, dim, slope) = slopes[numbers.below(slopes.len())];
    let off = [-20_000, -1_000, -300, 300, 1_000, 20_000][numbers.below(6)];
    let by = ((f64::from(off) - spare) / slope).round() as i64;
    let mut catalogue = setting.catalogue.clone();
    let made = &mut catalogue.variants[plan[item].variant.0 as usize].shape.dims[dim];
    let nominal = made.dimension.nominal.as_nm() + by;
    if nominal <= 0 || by.abs() > TOO_FAR {
        return None;
    }
    made.dimension.nominal = Length::nm(nominal);
    Some((format!("{} brought to {off} nm by {} {by}", tried.asked(asked), made.name), catalogue))
}
