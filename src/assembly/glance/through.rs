//! How high what rests on the ring may stand above what is to come below it, through whatever comes between.
//!
//! What stands still lifts it and the window of the gap keeps it low: a part with which it fits between the two in no way is
//! left out before it is tried. Only bounds. Must not know search.

use super::Glance;
use super::clamped::Clamped;
use super::climb::{Climb, OnTops, ends};
use super::floors::{Floor, Floors};
use super::reach::{FAR, Reach, VIEWS, Views};
use super::sorted::Candidate;
use super::spans::Spans;
use super::stair::{Stair, Step};
use crate::assembly::blame::{Slots, bit};
use crate::rules::SlotIx;
use smallvec::SmallVec;
use std::rc::Rc;

/// By kind of bottoms how high they may be above something.
type Heights = Vec<Spans>;

/// More pairs of parts and kinds of bottoms are not looked at.
const MOST_PAIRS: usize = 1 << 16;

/// In the view of one climb.
pub(super) struct Through {
    /// The slot that rests on the ring.
    pub top: SlotIx,
    /// By lower slot and candidate: above the candidate's bottom, and over what stands still of all from there on.
    above: Vec<Vec<Heights>>,
    /// The same over all with one kind of bottoms.
    of_kinds: Vec<Vec<Heights>>,
    /// By lower slot and candidate: how high above the candidate's bottom each kind of bottoms is at least; none where they may
    /// rest on it or nothing of it stands still.
    over: Vec<Vec<Rc<Vec<Floor>>>>,
    /// Heights at which each kind of bottoms may begin a chain that closes.
    closes: Heights,
}

/// What keeps that slot's parts between two heights here.
pub(super) struct Between<'c> {
    slot: SlotIx,
    views: SmallVec<[(usize, &'c Through); VIEWS]>,
    floors: Rc<Floors>,
    clamped: Option<Clamped>,
}

impl Glance<'_> {
    /// Begun at the slot if that is the one; `None`: it is not, or too much may come below it.
    pub(super) fn through_to(&self, top: SlotIx, begun: &[Stair], step: Step) -> Option<Through> {
        let rule = self.setting.rule;
        let slot = top.0 as usize;
        if !self.must_be_one(top) || !self.rests_on_ring(top) || !self.comes_down(top) {
            return None;
        }
        let too_many = |below: &usize| {
            let comes = self.comes_down(SlotIx(*below as u16));
            comes && (rule.slots[*below].most > 1 || self.outline.count(*below) * begun.len() > MOST_PAIRS)
        };
        if (1..slot).any(|below| too_many(&below)) {
            return None;
        }
        let closes = begun.iter().map(|stair| {
            let mut closes = Spans::default();
            stair.there().for_each(|(first, after)| closes.add((first << step.0, after << step.0)));
            closes
        });
        let itself = |own: usize| {
            let mut heights = vec![Spans::default(); begun.len()];
            heights[own] = Spans::one(0, 0);
            heights
        };
        let mut of_kinds = vec![Vec::new(); slot + 1];
        of_kinds[slot] = (0..begun.len()).map(itself).collect();
        let over = vec![Vec::new(); slot];
        Some(Through { top, above: vec![Vec::new(); slot], of_kinds, over, closes: closes.collect() })
    }

    /// With a lower slot, all between it and the top one being there.
    pub(super) fn through_from(&self, through: &mut Through, climb: &Climb, slot: usize) {
        let sorts = climb.on[slot].iter().map(|on| (on, self.over_sorts(through, climb, slot, on)));
        let sorts: Vec<(&OnTops, Vec<Heights>)> = sorts.collect();
        let its = SlotIx(slot as u16);
        through.over[slot] = if self.may_rest(through.top, its) || self.lists.still[slot].none() {
            Vec::new()
        } else {
            let over = |c: &Candidate| self.over(through.top, (c.pick(its), None), &c.ready);
            self.outline.slots[slot].all.iter().map(over).collect()
        };
        let none = vec![Spans::default(); through.closes.len()];
        let mut kinds = vec![none.clone(); self.outline.kinds_of_bottoms(slot)];
        let above = self.outline.slots[slot].all.iter().enumerate().map(|(at, candidate)| {
            let mut heights = none.clone();
            let lift = (candidate.lift.low[climb.view], candidate.lift.high[climb.view]);
            for (on, sorts) in sorts.iter().filter(|_| lift.0 <= lift.1) {
                let Some(sort) = on.sorts.get(candidate.tops) else { continue };
                if let Some(over) = sorts.get(sort.number) {
                    widen(&mut heights, over, (lift.0 + sort.above.0, lift.1 + sort.above.1));
                }
            }
            // What rests on it stands as much higher, so that this holds wherever it is.
            let over = through.over[slot].get(at).into_iter().flat_map(|over| over.iter());
            heights
                .iter_mut()
                .zip(over)
                .for_each(|(heights, over)| heights.leave_below(over.least[climb.view]));
            widen(&mut kinds[candidate.bottoms], &heights, (0, 0));
            heights
        });
        let above = above.collect();
        through.above[slot] = above;
        through.of_kinds[slot] = kinds;
    }

    /// By sort of tops of the lower slot: above those, with parts of the upper slot on them.
    fn over_sorts(&self, through: &Through, climb: &Climb, lower: usize, on: &OnTops) -> Vec<Heights> {
        let kinds = through.of_kinds.get(on.upper);
        let Some((rows, kinds)) = self.outline.on_tops(on.upper, lower).zip(kinds) else { return Vec::new() };
        let of_sort = |&first: &usize| {
            let mut heights = vec![Spans::default(); through.closes.len()];
            for (stand, over) in rows[first].iter().zip(kinds) {
                if let Some(ends) = stand.and_then(|stand| ends(&stand.reach, climb.view)) {
                    widen(&mut heights, over, ends);
                }
            }
            heights
        };
        on.firsts.iter().map(of_sort).collect()
    }

    /// `None` where nothing is there yet that could lift it, or nothing was climbed.
    pub(super) fn between_still_and_gap<'c>(
        &self,
        climbs: impl Iterator<Item = &'c Climb> + Clone,
        next: usize,
    ) -> Option<Between<'c>> {
        let through = |climb: &'c Climb| Some((climb.view, climb.through.as_ref()?));
        let clamped = climbs.clone().find_map(|climb| climb.clamped);
        let views: SmallVec<[_; VIEWS]> = climbs.filter_map(through).collect();
        let slot = views.first().map(|view| view.1.top).filter(|top| next < top.0 as usize)?;
        let floors = self
            .last_standing()
            .map_or_else(|| Rc::new(self.no_floors(slot)), |last| self.floors(slot, last));
        Some(Between { slot, views, floors, clamped })
    }

    /// With this candidate of the slot, its bottom so high, some part finds room between what stands still (what comes below it
    /// with that) and the gap, in each view.
    pub(super) fn is_room(&self, between: &Between<'_>, candidate: (usize, usize), stands: &Reach) -> bool {
        let mut floors = between.floors.least.iter().map(|floor| &floor.least).enumerate();
        floors.any(|floor| self.finds_room(between, floor, candidate, (stands, &Reach::NO_HIGHER)))
    }

    /// What it rests on beside the gap that candidates of a slot to come find no room.
    pub(super) fn room_blame(&self, between: &Between<'_>, slot: SlotIx) -> Slots {
        let clamped = between.clamped.map_or(0, |clamped| self.clamp_blame(clamped));
        self.lifted_by(between.slot, bit(slot)) | clamped
    }

    /// The kind of bottoms does, which this is the floor of; the candidate's bottom is so far above a height.
    fn finds_room(
        &self,
        between: &Between<'_>,
        (kind, floor): (usize, &Views),
        (slot, at): (usize, usize),
        (base, above): (&Reach, &Reach),
    ) -> bool {
        let (outline, its, top) = (&self.outline, SlotIx(slot as u16), between.slot);
        let mut floor = *floor;
        if !between.fits((kind, &mut floor), (slot, at), (base, above)) {
            return false;
        }
        if self.may_rest(top, its) {
            return true;
        }
        let candidate = &outline.slots[slot].all[at];
        let tops = base.plus(*above).plus(candidate.lift);
        (slot + 1..top.0 as usize).any(|upper| {
            let Some(on) = outline.on_tops(upper, slot).and_then(|on| on.get(candidate.tops)) else {
                return false;
            };
            let mut each = outline.slots[upper].all.iter().enumerate();
            each.any(|(over, part)| {
                let stand = on[part.bottoms].as_ref();
                stand.is_some_and(|on| {
                    self.finds_room(between, (kind, &floor), (upper, over), (&tops, &on.reach))
                })
            })
        })
    }
}

impl Through {
    /// How high each candidate of the slot may be at most with the top one's part both clear of it and no higher than closes.
    /// `None`: nothing of it stands still, or that may rest on it.
    pub fn highest_under(&self, slot: usize) -> Option<Vec<i64>> {
        let highest = self.above[slot].iter().map(|above| {
            let each = above.iter().zip(&self.closes);
            let each = each.filter_map(|(above, closes)| Some(closes.highest()? - above.lowest()?));
            each.max().unwrap_or(-FAR)
        });
        (!self.over[slot].is_empty()).then(|| highest.collect())
    }
}

impl Between<'_> {
    /// The kind of bottoms, which this is the floor of, finds room above that candidate, its bottom so far above a height; raises
    /// the floor by what stands still of the candidate.
    fn fits(
        &self,
        (kind, floor): (usize, &mut Views),
        (slot, at): (usize, usize),
        (base, up): (&Reach, &Reach),
    ) -> bool {
        self.views.iter().rev().all(|&(view, through)| {
            let Some(above) = through.above[slot].get(at).map(|above| &above[kind]) else { return true };
            let (low, high) = (base.low[view] + up.low[view], base.high[view] + up.high[view]);
            let over = through.over[slot].get(at).map_or(-FAR, |over| over[kind].least[view]);
            floor[view] = floor[view].max(low + over);
            let fits = |above: (i64, i64)| {
                let (low, high) = ((low + above.0).max(floor[view]), high + above.1);
                through.closes[kind].iter().any(|closes| low.max(closes.0) <= high.min(closes.1))
            };
            low <= high && above.iter().any(fits)
        })
    }
}

/// Also where these may be, so far above.
fn widen(heights: &mut Heights, others: &Heights, above: (i64, i64)) {
    heights.iter_mut().zip(others).for_each(|(own, other)| own.widen(other, above));
}
