//! What the rest of a pile comes to at least, by the height at which it begins.
//!
//! Each part has a toll. Worked out once for a fork, from the pulled part down: for each slot and each step of height the
//! least that any chain of parts from there up to the pulled part comes to that closes within the window. Only bounds:
//! heights are rounded outward, so whatever passing plan there is comes to no less. Must not know what a toll is of.

use super::Glance;
use super::clamped::{Ceilings, Clamped};
use super::figure::{BUILDS, ROUNDING};
use super::outline::Outline;
use super::reach::{FAR, Reach};
use super::sorted::Candidate;
use super::stair::{Stair, Step};
use super::standing::{Stand, Standings};
use super::through::Through;
use crate::rules::SlotIx;

/// By slot, what each of its parts comes to.
pub type Tolls = Vec<Vec<u64>>;

/// Heights between all ends, and in a real build.
const COARSE: Step = Step(17);
const FINE: Step = Step(14);

/// So many sorts of tops are kept apart where one slot stands on another; further ones are taken for the sort they are
/// nearest to.
const MOST_SORTS: usize = 8;

/// Tops that are so far apart at most, whatever stands on them, are of one sort.
const SORT: i64 = 1 << 12;

/// With more steps in all a climb takes too much memory to be worth what it saves: nothing is said then.
const MOST_STEPS: usize = 1 << 20;

/// What is asked of a pile.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Of {
    /// In a real build: that the gap lies in its window and a clamp holds, both at once.
    Build(usize),
    /// Between all ends: that the gap may lie in its window.
    Gap,
    /// Between all ends: that a clamp may hold over what rests on the ring.
    Clamp,
}

impl Of {
    fn view(self) -> usize {
        match self {
            Of::Build(build) => build + 1,
            Of::Gap | Of::Clamp => 0,
        }
    }
}

/// Of one thing that is asked.
pub struct Climb {
    pub(super) of: Of,
    pub(super) view: usize,
    pub(super) step: Step,
    /// By slot and how many more of it may come: for each kind of bottoms, by its height.
    pub(super) begun: Vec<Vec<Vec<Stair>>>,
    /// By lower slot: what may stand on its tops.
    pub(super) on: Vec<Vec<OnTops>>,
    pub(super) through: Option<Through>,
    pub(super) clamped: Option<Clamped>,
    /// By candidate of that slot; where a clamp alone is asked for.
    pub(super) ceilings: Vec<Ceilings>,
}

/// What of one slot may stand on the tops of another.
pub(super) struct OnTops {
    pub upper: usize,
    /// By kind of tops: its sort, and how far above those of the sort whatever stands on it is.
    pub sorts: Vec<Sort>,
    /// The first kind of tops of each sort.
    pub firsts: Vec<usize>,
    /// By how many more of the upper slot may come (all that may, where the lower one is another slot), and by sort: by the
    /// height of the tops.
    pub(super) least: Vec<Vec<Stair>>,
}

#[derive(Clone, Copy)]
pub(super) struct Sort {
    pub number: usize,
    pub above: (i64, i64),
}

/// Where a slot's parts may be at all, and within what the gap must lie.
struct Bounds {
    reached: Vec<Option<(i64, i64)>>,
    window: (i64, i64),
}

/// What each of a slot's parts comes to, and how high each may be at most.
struct Its<'t> {
    tolls: &'t [u64],
    ceilings: Option<Vec<Ceilings>>,
}

impl Its<'_> {
    fn ceilings(&self, at: usize) -> &[(i64, u64)] {
        self.ceilings.as_ref().map_or(&[(FAR, 0)], |each| &each[at])
    }
}

impl Glance<'_> {
    /// What the rest of a pile comes to at least, for looks at the same fork with the same candidates. The fork must have
    /// been put on and all that may come be known. `None`: nothing can be said.
    pub fn climb(&self, tolls: &Tolls, of: Of) -> Option<Climb> {
        let view = of.view();
        let rule = self.setting.rule;
        let last = rule.pulled.0 as usize;
        let window = self.gap_window(last)?;
        let (nothing, window) = (Tolls::new(), if of == Of::Clamp { (-FAR, FAR) } else { window });
        let step = if view == 0 { COARSE } else { FINE };
        let begun = vec![Vec::new(); last + 1];
        let (on, ceilings) = (Vec::new(), Vec::new());
        let mut climb = Climb { of, view, step, begun, on, through: None, clamped: None, ceilings };
        climb.on.resize_with(last + 1, Vec::new);
        let bounds = Bounds { reached: self.reached(view), window };
        for slot in (1..=last).rev() {
            for upper in slot + 1..=last {
                let of = climb.begun[upper].last();
                let on = of.and_then(|begun| stood_on(&climb, &self.outline, (upper, slot), begun));
                climb.on[slot].extend(on);
            }
            if !self.outline.above.is_known(slot) || !self.comes_down(SlotIx(slot as u16)) {
                continue;
            }
            let mut ceilings = None;
            if let Some(mut through) = climb.through.take().filter(|through| slot < through.top.0 as usize) {
                self.through_from(&mut through, &climb, slot);
                let ceiling = |highest: i64| -> Ceilings { [(highest, 0)].into_iter().collect() };
                let highest = through.highest_under(slot);
                ceilings = highest.map(|each| each.into_iter().map(ceiling).collect());
                climb.through = Some(through);
            }
            let top = SlotIx(slot as u16);
            let may_be_clamped = self.rests_on_ring(top)
                && match of {
                    Of::Build(_) => true,
                    Of::Gap => false,
                    Of::Clamp => self.must_be_one(top),
                };
            if let Some((_, high)) = bounds.reached[slot].filter(|_| may_be_clamped)
                && let Some((clamped, under)) = self.under_clamp((top, high), view, tolls)
            {
                (ceilings, climb.clamped) = (Some(under), Some(clamped));
            }
            if of == Of::Clamp && climb.clamped.is_none() {
                continue;
            }
            if let Some(ceilings) = ceilings.as_ref().filter(|_| of == Of::Clamp) {
                climb.ceilings.clone_from(ceilings);
            }
            let tolls = if of == Of::Clamp { &nothing } else { tolls };
            if climb.steps() > MOST_STEPS {
                return None;
            }
            let its = Its { tolls: tolls.get(slot).map_or(&[], |of| of), ceilings };
            for more in 0..usize::from(rule.slots[slot].most.max(1)) {
                let begun = self.begun(&climb, (slot, more), &bounds, &its)?;
                if let Some(on) = stood_on(&climb, &self.outline, (slot, slot), &begun) {
                    match climb.on[slot].iter_mut().find(|o| o.upper == slot) {
                        Some(known) => known.least.extend(on.least),
                        None => climb.on[slot].push(on),
                    }
                }
                climb.begun[slot].push(begun);
            }
            if climb.through.is_none()
                && of != Of::Clamp
                && let Some(begun) = climb.begun[slot].first()
            {
                climb.through = self.through_to(SlotIx(slot as u16), begun, step);
            }
        }
        Some(climb).filter(|climb| of != Of::Clamp || climb.clamped.is_some())
    }

    /// For each kind of the slot's bottoms, by its height; `None`: these are too many steps.
    fn begun(
        &self,
        climb: &Climb,
        (slot, more): (usize, usize),
        bounds: &Bounds,
        its: &Its<'_>,
    ) -> Option<Vec<Stair>> {
        let (view, step) = (climb.view, climb.step);
        let mut begun = vec![Stair::default(); self.outline.kinds_of_bottoms(slot)];
        let Some(within) = bounds.reached[slot].map(|(low, high)| (step.of(low), step.of(high) + 1)) else {
            return Some(begun);
        };
        let is_last = slot == self.setting.rule.pulled.0 as usize;
        for fill in [false, true] {
            let candidates = self.outline.slots[slot].all.iter().zip(&self.outline.rooms[slot]);
            for (at, (candidate, room)) in candidates.enumerate() {
                if !room.is_in(view) || !candidate.lift.is_in(view) && !is_last {
                    continue;
                }
                let toll = its.tolls.get(candidate.part()).copied().unwrap_or(0);
                let stair = &mut begun[candidate.bottoms];
                // Lower it would leave too little; no higher it leaves so little that the gap is not too large.
                let from = if room.most[view] >= FAR / 2 {
                    within.0
                } else {
                    step.of(bounds.window.0 - ROUNDING - room.most[view])
                };
                let close = bounds.window.1 + ROUNDING - room.least[view];
                let close = if close < -FAR / 2 { from } else { step.of(close) + 1 };
                let mut lowest = within.0;
                for &(highest, beside) in its.ceilings(at) {
                    let highest =
                        if highest >= FAR / 2 { within.1 } else { within.1.min(step.of(highest) + 1) };
                    let ends = |range: (i64, i64)| (range.0.max(lowest), range.1.min(highest));
                    let toll = toll + beside;
                    let closes = ends((from, close));
                    // A clamp holds over what rests on the ring alone.
                    if closes.0 < closes.1 && (climb.of != Of::Clamp || its.ceilings.is_some()) {
                        if fill { stair.at_most(closes, toll) } else { stair.reach(closes) }
                    }
                    climb.each_above(slot, candidate, more, |above, further| {
                        let (first, after) = above.ends();
                        let range = ends((from.max(first - further.1), after - further.0));
                        if range.0 < range.1 {
                            if fill {
                                stair.at_most_as(range, above, further, toll)
                            } else {
                                stair.reach(range)
                            }
                        }
                    });
                    lowest = lowest.max(highest - 1);
                }
            }
            if begun.iter().map(Stair::len).sum::<usize>() > MOST_STEPS {
                return None;
            }
        }
        Some(begun)
    }

    /// The lowest and highest that the bottoms of each slot's parts may be with nothing but the fork there.
    fn reached(&self, view: usize) -> Vec<Option<(i64, i64)>> {
        let last = self.setting.rule.pulled.0 as usize;
        let mut reached: Vec<Reach> = vec![Reach::NOWHERE; last + 1];
        for slot in 1..=last {
            let its = SlotIx(slot as u16);
            if !self.comes_down(its) {
                continue;
            }
            if let Some(base) = self.bottom(0).filter(|_| self.may_rest(its, SlotIx(0))) {
                let base = Reach::of(base, [true; BUILDS]);
                self.with_standings(its, 0, |on, _| reached[slot] = reached[slot].with(hull(on, base)));
            }
            for lower in 1..slot {
                reached[slot] = reached[slot].with(self.stand_anywhere_on((slot, lower), reached[lower]));
            }
            for _ in 1..self.setting.rule.slots[slot].most {
                reached[slot] = reached[slot].with(self.stand_anywhere_on((slot, slot), reached[slot]));
            }
        }
        let ends = |reach: Reach| reach.is_in(view).then(|| (reach.low[view], reach.high[view]));
        reached.into_iter().map(ends).collect()
    }

    fn stand_anywhere_on(&self, (upper, lower): (usize, usize), stands: Reach) -> Reach {
        let Some(on) = self.outline.on_any_tops(upper, lower) else { return Reach::NOWHERE };
        let lifts = self.outline.slots[lower].all.iter().map(|c| c.lift);
        let lift = lifts.fold(Reach::NOWHERE, Reach::with);
        hull(on, stands.plus(lift).or_nowhere())
    }
}

impl Climb {
    /// What it comes to is to be added to what others do; else the most counts.
    pub fn adds_up(&self) -> bool {
        matches!(self.of, Of::Gap | Of::Clamp)
    }

    /// Steps of all its stairs.
    pub fn steps(&self) -> usize {
        let begun = self.begun.iter().flatten().flatten();
        let on = self.on.iter().flatten().flat_map(|on| &on.least).flatten();
        begun.chain(on).map(Stair::len).sum()
    }

    /// What may come above a candidate with so many more of its own slot, and how many steps above its bottom that begins.
    fn each_above(
        &self,
        slot: usize,
        candidate: &Candidate,
        more: usize,
        mut of: impl FnMut(&Stair, (i64, i64)),
    ) {
        let (low, high) = (candidate.lift.low[self.view], candidate.lift.high[self.view]);
        for on in self.on[slot].iter().filter(|_| low <= high) {
            let level = if on.upper == slot { more.checked_sub(1) } else { Some(0) };
            let Some(sort) = on.sorts.get(candidate.tops) else { continue };
            let above = level.and_then(|level| on.least.get(level)?.get(sort.number));
            if let Some(above) = above.filter(|above| !above.is_empty()) {
                of(above, self.step.between((low + sort.above.0, high + sort.above.1)));
            }
        }
    }
}

/// What of the upper slot, begun so, comes on each kind of tops of the lower one.
fn stood_on(
    climb: &Climb,
    outline: &Outline,
    (upper, lower): (usize, usize),
    begun: &[Stair],
) -> Option<OnTops> {
    let rows = outline.on_tops(upper, lower)?;
    let (sorts, firsts) = sorted(rows, climb.view);
    let of_sort = |row: &Standings| {
        let mut stair = Stair::default();
        for fill in [false, true] {
            for (above, stand) in begun.iter().zip(row) {
                let Some(ends) = stand.and_then(|stand| ends(&stand.reach, climb.view)) else { continue };
                let further = climb.step.between(ends);
                let (first, after) = above.ends();
                let range = (first - further.1, after - further.0);
                if fill {
                    stair.at_most_as(range, above, further, 0);
                } else if first < after {
                    stair.reach(range);
                }
            }
        }
        stair
    };
    let least = vec![firsts.iter().map(|&first| of_sort(&rows[first])).collect()];
    Some(OnTops { upper, sorts, firsts, least })
}

/// Each kind of tops as a sort, and the first kind of each sort: what stands on tops of one sort does so alike but for how
/// high up.
fn sorted(rows: &[Standings], view: usize) -> (Vec<Sort>, Vec<usize>) {
    let mut firsts: Vec<usize> = Vec::new();
    let mut sorts = Vec::new();
    for (kind, row) in rows.iter().enumerate() {
        let mut best: Option<Sort> = None;
        for (number, &first) in firsts.iter().enumerate() {
            let width = |sort: &Sort| sort.above.1 - sort.above.0;
            let above = above_those(row, &rows[first], view);
            let sort = above.map(|above| Sort { number, above });
            best = match (best, sort) {
                (Some(known), Some(sort)) if width(&known) <= width(&sort) => Some(known),
                (known, sort) => sort.or(known),
            };
        }
        let near = best.filter(|s| s.above.1 - s.above.0 <= SORT || firsts.len() >= MOST_SORTS);
        sorts.push(near.unwrap_or_else(|| {
            firsts.push(kind);
            Sort { number: firsts.len() - 1, above: (0, 0) }
        }));
    }
    (sorts, firsts)
}

/// How far above those on the other tops whatever stands on these does; `None`: something stands on these alone.
fn above_those(row: &Standings, other: &Standings, view: usize) -> Option<(i64, i64)> {
    let there = |stand: &Option<Stand>| ends(&stand.as_ref()?.reach, view);
    let mut above: Option<(i64, i64)> = None;
    for (stand, other) in row.iter().zip(other) {
        let Some(these) = there(stand) else { continue };
        let those = there(other)?;
        // Where these stand less loosely, from any height between the two those reach as far as these.
        let (one, other) = (these.0 - those.0, these.1 - those.1);
        let (low, high) = (one.min(other), one.max(other));
        above = Some(above.map_or((low, high), |a| (a.0.min(low), a.1.max(high))));
    }
    Some(above.unwrap_or((0, 0)))
}

/// How high above tops something stands. Reckoned end by end from where the tops are, the lower end may come out as the
/// higher one.
pub(super) fn ends(reach: &Reach, view: usize) -> Option<(i64, i64)> {
    let (one, other) = (reach.low[view], reach.high[view]);
    (!reach.is_left_out(view)).then(|| (one.min(other), one.max(other)))
}

fn hull(on: &[Option<Stand>], base: Reach) -> Reach {
    let stands = on.iter().flatten().map(|stand| base.plus(stand.reach).or_nowhere());
    stands.fold(Reach::NOWHERE, Reach::with)
}

#[cfg(test)]
mod tests {
    use super::super::reach::VIEWS;
    use super::*;

    fn stands(low: i64, high: i64) -> Standings {
        vec![Some(Stand { reach: Reach { low: [low; VIEWS], high: [high; VIEWS] }, surely: [false; VIEWS] })]
    }

    #[test]
    fn what_stands_firmer_on_other_tops_is_found_on_those_it_is_sorted_with() {
        let loose = SORT * 3;
        let rows = [stands(0, loose), stands(SORT, SORT)];
        let above = above_those(&rows[1], &rows[0], 0).expect("a sort");
        // From some height of the tops it is sorted with, what stands there reaches as low and as high as it does itself.
        let reaches = |above: i64| above <= SORT && SORT <= above + loose;
        assert!(above.0 <= above.1 && reaches(above.0) && reaches(above.1), "{above:?}");
    }
}
