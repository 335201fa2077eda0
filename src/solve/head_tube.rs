//! For which head-tube lengths the plan goes: a closed interval for fixed parts, a union over spacers.
//!
//! Found by asking the assembly itself at other lengths, so that no rule about it is written twice. Must not
//! know words.

use super::alternatives::worst;
use super::answer::HeadTube;
use super::bench::Plan;
use crate::assembly::{Outcome, Pick, Setting, assemble};
use crate::catalogue::VariantIx;
use crate::rules::SlotIx;

/// The kind and the dimension that a head-tube length is.
const HEAD_TUBE: (&str, &str) = ("deck", "head_tube_length");
/// Kinds that fill height.
const FILLERS: [&str; 2] = ["spacer", "riser"];
/// Ends are found to a micrometre, inward.
const STEP: i64 = 1_000;
const LONGEST: i64 = 400_000_000;

pub(super) fn ranges(plan: &Plan<'_>) -> Vec<HeadTube> {
    let Some(deck) = plan.picks.iter().find(|p| kind(plan, p.variant) == HEAD_TUBE.0) else {
        return Vec::new();
    };
    let Some(nominal) = length(plan, deck.variant, HEAD_TUBE.1) else { return Vec::new() };
    let Some((least, most)) = interval(plan, deck.slot, plan.picks, nominal, None) else { return Vec::new() };
    let filler = plan.setting.rule.slots.iter().position(|s| s.kinds.iter().any(|k| FILLERS.contains(k)));
    let as_planned: Vec<VariantIx> =
        filler.map_or_else(Vec::new, |index| fillers_in(plan, SlotIx(index as u16)));
    let height = |with: &[VariantIx]| -> i64 { with.iter().filter_map(|&v| length(plan, v, "length")).sum() };
    let mut found = vec![HeadTube { least, most, with: as_planned.clone() }];
    let Some(index) = filler else { return found };
    let slot = SlotIx(index as u16);
    for with in fillings(&plan.field.slots[index], plan.setting.rule.slots[index].most) {
        let shift = height(&with) - height(&as_planned);
        let guess = (least + most) / 2 - shift;
        let covered = |h: i64| found.iter().any(|f| f.least <= h && h <= f.most);
        let ends_known = covered(least - shift + STEP) && covered(most - shift - STEP);
        if with == as_planned || ends_known || guess <= 0 {
            continue;
        }
        let picks: Vec<Pick> = with.iter().map(|&variant| Pick { slot, variant, turned: false }).collect();
        let picks = plan.with_slot(slot, &picks);
        if let Some((least, most)) =
            interval(plan, deck.slot, &picks, guess, Some((least - shift, most - shift)))
        {
            found.push(HeadTube { least, most, with });
        }
    }
    found.sort_by_key(|f| (f.least, f.most));
    found
}

fn kind<'a>(plan: &Plan<'a>, variant: VariantIx) -> &'a str {
    plan.bench.catalogue.part_of(variant).kind
}

fn length(plan: &Plan<'_>, variant: VariantIx, name: &str) -> Option<i64> {
    let shape = &plan.bench.catalogue.variant(variant).shape;
    shape.dims.iter().find(|d| d.name == name).map(|d| d.dimension.nominal.as_nm())
}

fn fillers_in(plan: &Plan<'_>, slot: SlotIx) -> Vec<VariantIx> {
    plan.picks.iter().filter(|p| p.slot == slot).map(|p| p.variant).collect()
}

/// No filler, one, two … of the candidates, fewest first, each mix once.
fn fillings(candidates: &[VariantIx], most: u8) -> Vec<Vec<VariantIx>> {
    let mut all: Vec<Vec<VariantIx>> = vec![Vec::new()];
    let mut last = all.clone();
    for _ in 0..most.min(2) {
        last = last
            .iter()
            .flat_map(|with| {
                let from = with.last().copied();
                candidates
                    .iter()
                    .filter(move |&&v| from.is_none_or(|f| v >= f))
                    .map(move |&v| with.iter().copied().chain([v]).collect::<Vec<_>>())
            })
            .collect();
        all.extend(last.iter().cloned());
    }
    all
}

fn goes_at(plan: &Plan<'_>, deck: SlotIx, picks: &[Pick], length: i64) -> bool {
    let exact = [(deck, HEAD_TUBE.1, length)];
    let setting = Setting { exact: &exact, ..plan.setting };
    worst(&assemble(setting, picks)) == Outcome::Pass
}

/// The closed interval round a length at which it goes; `None` when it does not go there. `expected`: where its
/// ends should be, tried first.
fn interval(
    plan: &Plan<'_>,
    deck: SlotIx,
    picks: &[Pick],
    near: i64,
    expected: Option<(i64, i64)>,
) -> Option<(i64, i64)> {
    let goes = |h: i64| h > 0 && h < LONGEST && goes_at(plan, deck, picks, h);
    if let Some((least, most)) = expected
        && goes(least)
        && goes(most)
        && !goes(least - STEP)
        && !goes(most + STEP)
    {
        return Some((least, most));
    }
    if !goes(near) {
        return None;
    }
    let edge = |direction: i64| {
        let (mut good, mut step) = (near, 1_024 * STEP);
        while step >= STEP {
            let next = good + direction * step;
            if goes(next) {
                good = next;
            } else {
                step /= 2;
            }
        }
        good
    };
    Some((edge(-1), edge(1)))
}
