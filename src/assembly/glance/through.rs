//! How high what rests on the ring may stand above what is to come below it, through whatever comes between.
//!
//! What stands still lifts it and the window of the gap keeps it low: a part with which it fits between the two in no way is
//! left out before it is tried. Only bounds. Must not know search.

use super::Glance;
use super::climb::{Climb, OnTops, ends};
use super::floors::Floors;
use super::outline::Outline;
use super::reach::{FAR, Reach, VIEWS};
use super::stair::{Stair, Step};
use crate::rules::SlotIx;
use smallvec::SmallVec;
use std::rc::Rc;

/// By kind of bottoms how high they may be above something; lowest above highest: not at all.
type Heights = Vec<(i64, i64)>;

const NOWHERE: (i64, i64) = (1, 0);

/// More pairs of parts and kinds of bottoms are not looked at.
const MOST_PAIRS: usize = 1 << 16;

/// In the view of one climb.
pub(super) struct Through {
    /// The slot that rests on the ring.
    pub top: SlotIx,
    /// By lower slot and candidate: above the candidate's bottom.
    above: Vec<Vec<Heights>>,
    /// The same over all with one kind of bottoms.
    of_kinds: Vec<Vec<Heights>>,
    /// Heights at which each kind of bottoms may begin a chain that closes.
    closes: Heights,
}

/// What keeps that slot's parts between two heights here.
pub(super) struct Between<'c> {
    pub slot: SlotIx,
    views: SmallVec<[(usize, &'c Through); VIEWS]>,
    floors: Rc<Floors>,
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
            let (first, after) = stair.ends();
            if first < after { (first << step.0, after << step.0) } else { NOWHERE }
        });
        let itself = |own: usize| (0..begun.len()).map(|k| if k == own { (0, 0) } else { NOWHERE }).collect();
        let mut of_kinds = vec![Vec::new(); slot + 1];
        of_kinds[slot] = (0..begun.len()).map(itself).collect();
        Some(Through { top, above: vec![Vec::new(); slot], of_kinds, closes: closes.collect() })
    }

    /// With a lower slot, all between it and the top one being there.
    pub(super) fn through_from(&self, through: &mut Through, climb: &Climb, slot: usize) {
        let sorts = climb.on[slot].iter().map(|on| (on, self.over_sorts(through, climb, slot, on)));
        let sorts: Vec<(&OnTops, Vec<Heights>)> = sorts.collect();
        let none = vec![NOWHERE; through.closes.len()];
        let mut kinds = vec![none.clone(); self.outline.kinds_of_bottoms(slot)];
        let above = self.outline.slots[slot].all.iter().map(|candidate| {
            let mut heights = none.clone();
            let lift = (candidate.lift.low[climb.view], candidate.lift.high[climb.view]);
            for (on, sorts) in sorts.iter().filter(|_| lift.0 <= lift.1) {
                let Some(sort) = on.sorts.get(candidate.tops) else { continue };
                if let Some(over) = sorts.get(sort.number) {
                    widen(&mut heights, over, (lift.0 + sort.above.0, lift.1 + sort.above.1));
                }
            }
            widen(&mut kinds[candidate.bottoms], &heights, (0, 0));
            heights
        });
        through.above[slot] = above.collect();
        through.of_kinds[slot] = kinds;
    }

    /// How high each candidate of the slot may be at most with the top one's part both clear of it and no higher than closes.
    /// `None`: nothing of it stands still, or that may rest on it.
    pub(super) fn highest_under(&self, through: &Through, view: usize, slot: usize) -> Option<Vec<i64>> {
        let its = SlotIx(slot as u16);
        if self.lists.still[slot].none() || self.may_rest(through.top, its) {
            return None;
        }
        let candidates = self.outline.slots[slot].all.iter().zip(&through.above[slot]);
        let highest = candidates.map(|(candidate, above)| {
            let clear = self.clear_of(through.top, candidate.pick(its), &candidate.ready);
            let each = above.iter().zip(&through.closes).zip(&*clear);
            let each = each.filter(|((above, closes), _)| above.0 <= above.1 && closes.0 <= closes.1);
            each.map(|((above, closes), clear)| closes.1 - above.0.max(clear[view])).max().unwrap_or(-FAR)
        });
        Some(highest.collect())
    }

    /// By sort of tops of the lower slot: above those, with parts of the upper slot on them.
    fn over_sorts(&self, through: &Through, climb: &Climb, lower: usize, on: &OnTops) -> Vec<Heights> {
        let kinds = through.of_kinds.get(on.upper);
        let Some((rows, kinds)) = self.outline.on_tops(on.upper, lower).zip(kinds) else { return Vec::new() };
        let of_sort = |&first: &usize| {
            let mut heights = vec![NOWHERE; through.closes.len()];
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
        climbs: impl Iterator<Item = &'c Climb>,
        next: usize,
    ) -> Option<Between<'c>> {
        let through = |climb: &'c Climb| Some((climb.view, climb.through.as_ref()?));
        let views: SmallVec<[_; VIEWS]> = climbs.filter_map(through).collect();
        let slot = views.first().map(|view| view.1.top).filter(|top| next < top.0 as usize)?;
        let floors = self.floors(slot, self.last_standing()?);
        let lifted = floors.least.iter().any(|floor| floor.iter().any(|&least| least > -FAR));
        lifted.then_some(Between { slot, views, floors })
    }
}

impl Between<'_> {
    /// With this candidate of the slot, its bottom so high, some part finds room between the two, in each view: with some part
    /// on it.
    pub fn is_room(&self, outline: &Outline, (slot, at): (usize, usize), stands: &Reach) -> bool {
        let all: Vec<usize> = (0..self.floors.least.len()).collect();
        let kinds = self.with_room(&all, (slot, at), stands);
        if kinds.is_empty() || outline.on_tops(self.slot.0 as usize, slot).is_some() {
            return !kinds.is_empty();
        }
        let candidate = &outline.slots[slot].all[at];
        let tops = stands.plus(candidate.lift);
        (slot + 1..self.slot.0 as usize).any(|upper| {
            let Some(on) = outline.on_tops(upper, slot).and_then(|on| on.get(candidate.tops)) else {
                return false;
            };
            outline.slots[upper].all.iter().enumerate().any(|(over, part)| {
                let stand = on[part.bottoms].as_ref();
                stand.is_some_and(|s| !self.with_room(&kinds, (upper, over), &tops.plus(s.reach)).is_empty())
            })
        })
    }

    /// Those of the kinds of bottoms that find room.
    fn with_room(&self, kinds: &[usize], (slot, at): (usize, usize), stands: &Reach) -> Vec<usize> {
        let fits = |&kind: &usize| {
            self.views.iter().all(|&(view, through)| {
                let closes = through.closes[kind];
                let Some(above) = through.above[slot].get(at).map(|above| above[kind]) else { return true };
                let low = (stands.low[view] + above.0).max(closes.0).max(self.floors.least[kind][view]);
                stands.is_in(view) && above.0 <= above.1 && low <= (stands.high[view] + above.1).min(closes.1)
            })
        };
        kinds.iter().copied().filter(fits).collect()
    }
}

/// Also where these may be, so far above.
fn widen(heights: &mut Heights, others: &Heights, above: (i64, i64)) {
    for (own, other) in heights.iter_mut().zip(others).filter(|(_, other)| other.0 <= other.1) {
        let (low, high) = (other.0 + above.0, other.1 + above.1);
        *own = if own.0 <= own.1 { (own.0.min(low), own.1.max(high)) } else { (low, high) };
    }
}
