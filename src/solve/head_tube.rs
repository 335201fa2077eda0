//! For which head-tube lengths the plan goes: a closed interval for fixed parts, a union over spacers and risers.
//!
//! Found by asking the assembly itself at other lengths, so that no rule about it is written twice. Must not
//! know words.
//!
//! First the plan's own fillers, then every mix of up to `MOST_FILLERS` spacers and risers, fewest first, each closed
//! interval that adds to the union. Where a mix goes is looked for from where a similar one goes, shifted by what one is
//! taller than the other and not shifted (a shoulder asks for a head tube so long, however tall the pile is), each time
//! following the numbers that fail to where they would hold. Mixes that can add nothing are passed over (`piles.rs`). Where
//! there would be more than `MOST_MIXES` only those of fewer parts are tried: the union can be told too short then, never too
//! long. Only a plan that goes has one, and none is shorter than its two seats need. `tests/head_tube.rs` sweeps heights and
//! tries every mix at each.

use super::answer::HeadTube;
use super::bench::Plan;
use super::piles::{Pile, Tried};
use crate::assembly::{Build, Judgement, Outcome, Pick, Setting, judge};
use crate::catalogue::VariantIx;
use crate::kinds::{self, HEAD_TUBE, Known, NamedDim, Shape};
use crate::quantity::Ends;
use crate::rules::SlotIx;
use std::collections::HashSet;

/// More of them than this in one place are not tried.
const MOST_FILLERS: u8 = 3;
/// Where a place would have more mixes than this, only those of fewer parts are tried.
const MOST_MIXES: usize = 50_000;
/// So often a length at which a mix goes is looked for from one start.
const MOST_LEAPS: u8 = 6;
/// Ends are found to a micrometre, inward.
const STEP: i64 = 1_000;
/// So many steps at once are gone without looking between.
const STRIDE: i64 = 1_024;
const LONGEST: i64 = 400_000_000;

/// The plan's own fillers first, then every other mix that adds to the union, fewest parts first; sorted by length.
pub(super) fn ranges(plan: &Plan<'_>) -> Vec<HeadTube> {
    let Some(deck) = plan.picks.iter().find(|p| kinds::is(kind(plan, p.variant), Known::Deck)) else {
        return Vec::new();
    };
    let Some(nominal) = length(plan, deck.variant, HEAD_TUBE) else { return Vec::new() };
    let shortest = shortest_head_tube(&plan.bench.catalogue.variant(deck.variant).shape);
    let tube = Tube { plan, deck: deck.slot, shortest };
    let Some(own) = tube.interval(plan.picks, nominal) else { return Vec::new() };
    let slots = plan.setting.rule.slots.iter().enumerate();
    let fillers = slots.filter(|(_, s)| s.kinds.iter().any(|k| kinds::is(k, Known::Filler)));
    let fillers: Vec<SlotIx> = fillers.map(|(index, _)| SlotIx(index as u16)).collect();
    let as_planned: Vec<VariantIx> = fillers.iter().flat_map(|&slot| fillers_in(plan, slot)).collect();
    let planned = Pile::of(plan, &as_planned);
    let mut found = vec![HeadTube { least: own.0, most: own.1, with: as_planned, as_planned: true }];
    let mut tried = Tried::default();
    tried.add(&planned, Some(own));
    for mix in mixes(plan, &fillers) {
        if !plan.may_look_through(tried.count()) {
            break;
        }
        let with: Vec<VariantIx> = mix.iter().map(|pick| pick.variant).collect();
        let pile = Pile::of(plan, &with);
        if tried.knows(&pile) || tried.never(&pile) {
            continue;
        }
        if tried.within(&pile).is_some_and(|(least, most)| covered(&found, least, most)) {
            continue;
        }
        let picks = refilled(plan, &fillers, &mix);
        let near = tried.near(&pile).unwrap_or((planned.height, own));
        let shift = pile.height - near.0;
        let shifted = (near.1.0 - shift, near.1.1 - shift);
        let interval = tube.exactly(&picks, shifted).or_else(|| {
            let starts = [shifted, near.1, own].map(|(least, most)| least + (most - least) / 2);
            starts.iter().find_map(|&start| tube.interval(&picks, tube.seek(&picks, start)?))
        });
        tried.add(&pile, interval);
        if let Some((least, most)) = interval
            && !covered(&found, least, most)
        {
            found.push(HeadTube { least, most, with, as_planned: false });
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
    let Some(index) = shape.dims.iter().position(|d| d.name == HEAD_TUBE) else { return 0 };
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

/// Which sorts of rings these are, from below, each once where several stand together; one that is no plain ring is
/// a sort of its own.
pub(super) fn rings(plan: &Plan<'_>, with: &[VariantIx]) -> Vec<u32> {
    let alike = &plan.bench.readies.alike;
    let mut kinds: Vec<u32> = with.iter().map(|&v| alike.ring(v).unwrap_or(v.0)).collect();
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

/// Of those that are the same ring of the same length, deviations too, the first.
fn distinct(plan: &Plan<'_>, candidates: &[VariantIx]) -> Vec<VariantIx> {
    let mut seen = HashSet::new();
    candidates.iter().copied().filter(|&v| seen.insert(Pile::of(plan, &[v]))).collect()
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
    fn judged(&self, picks: &[Pick], length: i64) -> Option<Judgement> {
        if length < self.shortest || length <= 0 || length >= LONGEST || !self.plan.may_go_on(picks) {
            return None;
        }
        let exact = [(self.deck, HEAD_TUBE, length)];
        Some(judge(&Build::of(Setting { exact: &exact, ..self.plan.setting }, picks)))
    }

    fn goes(&self, picks: &[Pick], length: i64) -> bool {
        self.judged(picks, length).is_some_and(|judgement| judgement.worst() == Outcome::Pass)
    }

    /// These ends, where it goes up to them and no further.
    fn exactly(&self, picks: &[Pick], (least, most): (i64, i64)) -> Option<(i64, i64)> {
        let goes = |h: i64| self.goes(picks, h);
        let exact = goes(least) && goes(most) && !goes(least - STEP) && !goes(most + STEP);
        exact.then_some((least, most))
    }

    /// The closed interval round a length at which it goes; `None` when it does not go there.
    fn interval(&self, picks: &[Pick], near: i64) -> Option<(i64, i64)> {
        let here = self.judged(picks, near).filter(|here| here.worst() == Outcome::Pass)?;
        let foreseen = self.window(picks, near, &here).unwrap_or((near, near));
        Some((self.edge(picks, (near, -STEP), foreseen.0), self.edge(picks, (near, STEP), foreseen.1)))
    }

    /// The last length at which it goes, in these steps from one at which it does. Where it is foreseen to end is looked at first.
    fn edge(&self, picks: &[Pick], (near, step): (i64, i64), foreseen: i64) -> i64 {
        let goes = |steps: i64| self.goes(picks, near + step * steps);
        let last = ((foreseen - near) / step).max(0);
        let mut good = 0;
        while good < last && goes(last.min(good + STRIDE)) {
            good = last.min(good + STRIDE);
        }
        let mut stride = if good == last && !goes(last + 1) { 0 } else { STRIDE };
        while stride > 0 {
            if goes(good + stride) {
                good += stride;
            } else {
                stride /= 2;
            }
        }
        near + step * good
    }

    /// A length at which it goes: from each that does not serve to the middle of where all numbers are foreseen to be within their limits.
    fn seek(&self, picks: &[Pick], start: i64) -> Option<i64> {
        let mut length = start;
        for _ in 0..MOST_LEAPS {
            let here = self.judged(picks, length)?;
            if here.worst() == Outcome::Pass {
                return Some(length);
            }
            let (least, most) = self.window(picks, length, &here)?;
            let next = least + (most - least) / 2;
            if least > most || next == length {
                return None;
            }
            length = next;
        }
        None
    }

    /// Where all numbers would be within their limits if they went on changing as they do at this length (they are piecewise
    /// linear). `None`: nowhere.
    fn window(&self, picks: &[Pick], length: i64, here: &Judgement) -> Option<(i64, i64)> {
        let beside = self.judged(picks, length + STEP)?;
        let (mut least, mut most) = (self.shortest.max(1), LONGEST);
        for (at, next) in here.checks.iter().zip(&beside.checks) {
            let same = at.0 == next.0 && at.1 == next.1 && at.2 == next.2;
            let (Some(value), Some(moved), true) = (&at.3.value, &next.3.value, same) else { continue };
            // How far it may rise: beyond its limit where the way is negative.
            let rooms = [
                at.3.least.map(|limit| (value.least - limit, value.least - moved.least)),
                at.3.most.map(|limit| (limit - value.most, moved.most - value.most)),
            ];
            for (room, worse) in rooms.into_iter().flatten() {
                match worse.signum() {
                    0 if room < 0 => return None,
                    0 => (),
                    1 => most = most.min(length + scaled(room, worse)),
                    _ => least = least.max(length + scaled(room, worse)),
                }
            }
        }
        Some((least, most))
    }
}

/// How far the length may change until the room is used up, rounded so that it is not overdrawn.
fn scaled(room: i64, worse_a_step: i64) -> i64 {
    let (room, step) = (i128::from(room), i128::from(STEP));
    let exact = room * step;
    let way = if worse_a_step > 0 {
        exact.div_euclid(i128::from(worse_a_step))
    } else {
        -(exact.div_euclid(i128::from(-worse_a_step)))
    };
    way.clamp(i128::from(-LONGEST), i128::from(LONGEST)) as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stretch_is_covered_only_where_no_hole_is_left_in_it() {
        let tube = |least, most| HeadTube { least, most, with: Vec::new(), as_planned: false };
        let found = [tube(10, 20), tube(21, 30), tube(40, 50)];
        assert!(covered(&found, 12, 28) && covered(&found, 10, 30) && covered(&found, 40, 50));
        assert!(!covered(&found, 9, 12) && !covered(&found, 25, 41) && !covered(&found, 31, 32));
    }

    #[test]
    fn a_length_changes_as_far_as_there_is_room_and_no_further() {
        // Worse by 3 with each step more: 10 are used up after three steps and a third.
        assert_eq!(scaled(10, 3), 3 * STEP + STEP / 3);
        assert_eq!(scaled(-10, 3), -3 * STEP - STEP / 3 - 1);
        // Better by 3 with each step more: 10 too little needs as many steps, rounded up.
        assert_eq!(scaled(-10, -3), 3 * STEP + STEP / 3 + 1);
        assert_eq!(scaled(10, -3), -3 * STEP - STEP / 3);
    }

    #[test]
    fn mixes_come_once_each_and_fewest_first() {
        let all = fillings(&[VariantIx(3), VariantIx(5)], 2);
        assert_eq!(all.len(), mixes_of(2, 2));
        let plain: Vec<Vec<u32>> = all.iter().map(|with| with.iter().map(|v| v.0).collect()).collect();
        assert_eq!(plain, [vec![], vec![3], vec![5], vec![3, 3], vec![3, 5], vec![5, 5]]);
    }
}
