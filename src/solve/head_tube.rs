//! For which head-tube lengths the plan goes: a closed interval for fixed parts, a union over spacers and risers.
//!
//! Found by asking the assembly itself at other lengths, so that no rule about it is written twice. Must not
//! know words.

use super::alternatives::worst;
use super::answer::HeadTube;
use super::bench::Plan;
use crate::assembly::{Outcome, Pick, Setting, assemble};
use crate::catalogue::VariantIx;
use crate::kinds::{NamedDim, Shape};
use crate::quantity::Ends;
use crate::rules::SlotIx;
use std::collections::HashSet;

/// The kind and the dimension that a head-tube length is.
const HEAD_TUBE: (&str, &str) = ("deck", "head_tube_length");
/// Kinds that fill height.
const FILLERS: [&str; 2] = ["spacer", "riser"];
/// More of them than this in one place are not tried.
const MOST_FILLERS: u8 = 3;
/// Where a place would have more mixes than this, only those of fewer parts are tried.
const MOST_MIXES: usize = 50_000;
/// Ends are found to a micrometre, inward.
const STEP: i64 = 1_000;
const LONGEST: i64 = 400_000_000;

/// The plan's own fillers first, then every other mix that adds to the union, fewest parts first; sorted by length.
pub(super) fn ranges(plan: &Plan<'_>) -> Vec<HeadTube> {
    let Some(deck) = plan.picks.iter().find(|p| kind(plan, p.variant) == HEAD_TUBE.0) else {
        return Vec::new();
    };
    let Some(nominal) = length(plan, deck.variant, HEAD_TUBE.1) else { return Vec::new() };
    let shortest = shortest_head_tube(&plan.bench.catalogue.variant(deck.variant).shape);
    let tube = Tube { plan, deck: deck.slot, shortest };
    let Some((least, most)) = tube.interval(plan.picks, nominal, None) else { return Vec::new() };
    let slots = plan.setting.rule.slots.iter().enumerate();
    let fillers = slots.filter(|(_, s)| s.kinds.iter().any(|k| FILLERS.contains(k)));
    let fillers: Vec<SlotIx> = fillers.map(|(index, _)| SlotIx(index as u16)).collect();
    let height = |with: &[VariantIx]| -> i64 { with.iter().filter_map(|&v| length(plan, v, "length")).sum() };
    let as_planned: Vec<VariantIx> = fillers.iter().flat_map(|&slot| fillers_in(plan, slot)).collect();
    let planned = height(&as_planned);
    let off = |with: &[VariantIx]| -> i64 { with.iter().filter_map(|&v| tolerance(plan, v, "length")).sum() };
    let mut proved = vec![rings(plan, &as_planned)];
    let mut found = vec![HeadTube { least, most, with: as_planned.clone() }];
    let mut heights = HashSet::from([planned]);
    for mix in mixes(plan, &fillers) {
        let with: Vec<VariantIx> = mix.iter().map(|pick| pick.variant).collect();
        let own = height(&with);
        if heights.contains(&own) {
            continue;
        }
        let shift = own - planned;
        let expected = (least - shift, most - shift);
        // Rings that went before and differ in nothing but length shift the interval by their lengths, but for what
        // these may be off.
        let may_be_off = off(&as_planned) + off(&with);
        let kinds = rings(plan, &with);
        if proved.contains(&kinds) && covered(&found, expected.0 - may_be_off, expected.1 + may_be_off) {
            continue;
        }
        let picks = refilled(plan, &fillers, &mix);
        if let Some((least, most)) = tube.interval(&picks, (expected.0 + expected.1) / 2, Some(expected)) {
            heights.insert(own);
            if !proved.contains(&kinds) {
                proved.push(kinds);
            }
            if !covered(&found, least, most) {
                found.push(HeadTube { least, most, with });
            }
        }
    }
    found.sort_by_key(|f| (f.least, f.most));
    found
}

/// Every length from `least` to `most` lies in one of the intervals.
fn covered(found: &[HeadTube], least: i64, most: i64) -> bool {
    let mut open = least;
    while let Some(next) = found.iter().filter(|f| f.least <= open && open <= f.most).map(|f| f.most).max() {
        if next >= most {
            return true;
        }
        open = next + 1;
    }
    false
}

/// The shortest that can be made with these seats: no ring of it is less than nothing. Nanometres; 0 where the
/// part has no such length.
pub fn shortest_head_tube(shape: &Shape) -> i64 {
    let Some(index) = shape.dims.iter().position(|d| d.name == HEAD_TUBE.1) else { return 0 };
    let mut ends: Vec<Ends> = shape.dims.iter().map(NamedDim::ends).collect();
    ends[index] = Ends { nominal: 0, least: 0, most: 0 };
    let segments = shape.columns.iter().flat_map(|c| &c.segments);
    segments.map(|segment| -segment.length.least(&ends)).max().unwrap_or(0).max(0)
}

fn kind<'a>(plan: &Plan<'a>, variant: VariantIx) -> &'a str {
    plan.bench.catalogue.part_of(variant).kind
}

fn length(plan: &Plan<'_>, variant: VariantIx, name: &str) -> Option<i64> {
    let shape = &plan.bench.catalogue.variant(variant).shape;
    shape.dims.iter().find(|d| d.name == name).map(|d| d.dimension.nominal.as_nm())
}

fn tolerance(plan: &Plan<'_>, variant: VariantIx, name: &str) -> Option<i64> {
    let shape = &plan.bench.catalogue.variant(variant).shape;
    let ends = shape.dims.iter().find(|d| d.name == name)?.ends();
    Some((ends.most - ends.nominal).max(ends.nominal - ends.least))
}

/// Which sorts of rings these are, each once; one that is no plain ring is a sort of its own.
fn rings(plan: &Plan<'_>, with: &[VariantIx]) -> Vec<u32> {
    let alike = &plan.bench.readies.alike;
    let mut kinds: Vec<u32> = with.iter().map(|&v| alike.ring(v).unwrap_or(v.0)).collect();
    kinds.sort_unstable();
    kinds.dedup();
    kinds
}

fn fillers_in(plan: &Plan<'_>, slot: SlotIx) -> Vec<VariantIx> {
    plan.picks.iter().filter(|p| p.slot == slot).map(|p| p.variant).collect()
}

/// The plan's parts with these in the places for fillers.
fn refilled(plan: &Plan<'_>, fillers: &[SlotIx], mix: &[Pick]) -> Vec<Pick> {
    let mut picks: Vec<Pick> = plan.picks.iter().filter(|p| !fillers.contains(&p.slot)).copied().collect();
    picks.extend(mix);
    picks.sort_by_key(|p| p.slot);
    picks
}

/// Every mix of candidates in these places, fewest parts first, each once.
fn mixes(plan: &Plan<'_>, fillers: &[SlotIx]) -> Vec<Vec<Pick>> {
    let mut all: Vec<Vec<Pick>> = vec![Vec::new()];
    for &slot in fillers {
        let rule = &plan.setting.rule.slots[slot.0 as usize];
        let candidates = distinct(plan, &plan.field.slots[slot.0 as usize]);
        let most = (1..=rule.most.min(MOST_FILLERS))
            .rev()
            .find(|&m| mixes_of(candidates.len(), m) * all.len() <= MOST_MIXES);
        let own = fillings(&candidates, most.unwrap_or(0));
        let own = own.iter().filter(|with| with.len() >= usize::from(rule.least));
        let picks = |with: &Vec<VariantIx>| -> Vec<Pick> {
            with.iter().map(|&variant| Pick { slot, variant, turned: false }).collect()
        };
        let own: Vec<Vec<Pick>> = own.map(picks).collect();
        all = all.iter().flat_map(|a| own.iter().map(move |b| [&a[..], &b[..]].concat())).collect();
    }
    all.sort_by_key(Vec::len);
    all
}

/// Of those that are the same ring of the same length, the first.
fn distinct(plan: &Plan<'_>, candidates: &[VariantIx]) -> Vec<VariantIx> {
    let mut seen = HashSet::new();
    let sort = |v: VariantIx| (rings(plan, &[v]), length(plan, v, "length"), tolerance(plan, v, "length"));
    candidates.iter().copied().filter(|&v| seen.insert(sort(v))).collect()
}

/// How many mixes of at most so many there are.
fn mixes_of(candidates: usize, most: u8) -> usize {
    (0..usize::from(most)).fold(1, |all, i| all * (candidates + i + 1) / (i + 1))
}

/// No filler, one, two … of the candidates, fewest first, each mix once.
fn fillings(candidates: &[VariantIx], most: u8) -> Vec<Vec<VariantIx>> {
    let mut all: Vec<Vec<VariantIx>> = vec![Vec::new()];
    let mut last = all.clone();
    for _ in 0..most {
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

/// The head tube of a plan at other lengths.
struct Tube<'p> {
    plan: &'p Plan<'p>,
    deck: SlotIx,
    shortest: i64,
}

impl Tube<'_> {
    fn goes(&self, picks: &[Pick], length: i64) -> bool {
        if length < self.shortest || length <= 0 || length >= LONGEST {
            return false;
        }
        let exact = [(self.deck, HEAD_TUBE.1, length)];
        let setting = Setting { exact: &exact, ..self.plan.setting };
        worst(&assemble(setting, picks)) == Outcome::Pass
    }

    /// The closed interval round a length at which it goes; `None` when it does not go there. `expected`: where its
    /// ends should be, tried first.
    fn interval(&self, picks: &[Pick], near: i64, expected: Option<(i64, i64)>) -> Option<(i64, i64)> {
        let goes = |h: i64| self.goes(picks, h);
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
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stretch_is_covered_only_where_no_hole_is_left_in_it() {
        let tube = |least, most| HeadTube { least, most, with: Vec::new() };
        let found = [tube(10, 20), tube(21, 30), tube(40, 50)];
        assert!(covered(&found, 12, 28) && covered(&found, 10, 30) && covered(&found, 40, 50));
        assert!(!covered(&found, 9, 12) && !covered(&found, 25, 41) && !covered(&found, 31, 32));
    }

    #[test]
    fn mixes_come_once_each_and_fewest_first() {
        let all = fillings(&[VariantIx(3), VariantIx(5)], 2);
        assert_eq!(all.len(), mixes_of(2, 2));
        let plain: Vec<Vec<u32>> = all.iter().map(|with| with.iter().map(|v| v.0).collect()).collect();
        assert_eq!(plain, [vec![], vec![3], vec![5], vec![3, 3], vec![3, 5], vec![5, 5]]);
    }
}
