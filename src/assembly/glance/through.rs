//! How high what rests on the ring may stand above what is to come below it, through whatever comes between.
//!
//! What stands still lifts it and the window of the gap keeps it low: a part with which it fits between the two in no way is
//! left out before it is tried. Only bounds. Must not know search.

use super::Glance;
use super::climb::Climb;
use super::floors::Floors;
use super::outline::Outline;
use super::reach::{FAR, Reach, VIEWS};
use crate::rules::SlotIx;
use smallvec::SmallVec;
use std::rc::Rc;

/// By kind of bottoms how high they may be above something; lowest above highest: not at all.
type Heights = Vec<(i64, i64)>;

const NOWHERE: (i64, i64) = (1, 0);

/// In the view of one climb.
pub(super) struct Through {
    /// The slot that rests on the ring.
    top: SlotIx,
    /// By lower slot and candidate: above the candidate's bottom.
    above: Vec<Vec<Heights>>,
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
    /// `None`: nothing must rest on the ring, or too much may come below it.
    pub(super) fn through(&self, climb: &Climb) -> Option<Through> {
        let rule = self.setting.rule;
        let must = |slot: &SlotIx| self.must_be_one(*slot) && self.rests_on_ring(*slot);
        let top = (1..=rule.pulled.0).map(SlotIx).filter(must).find(|&s| self.comes_down(s))?;
        let below = 1..top.0 as usize;
        if below.clone().any(|slot| self.comes_down(SlotIx(slot as u16)) && rule.slots[slot].most > 1) {
            return None;
        }
        let begun = climb.begun[top.0 as usize].first()?;
        let height = |step: i64| step << climb.step.0;
        let closes = begun.iter().map(|stair| {
            let (first, after) = stair.ends();
            if first < after { (height(first), height(after)) } else { NOWHERE }
        });
        let mut through = Through { top, above: vec![Vec::new(); top.0 as usize], closes: closes.collect() };
        // By slot and kind of bottoms: above those.
        let mut of_kinds: Vec<Vec<Heights>> = vec![Vec::new(); top.0 as usize + 1];
        of_kinds[top.0 as usize] = (0..begun.len())
            .map(|own| (0..begun.len()).map(|kind| if kind == own { (0, 0) } else { NOWHERE }).collect())
            .collect();
        for slot in below.rev() {
            let sorts: Vec<Vec<Heights>> = climb.on[slot]
                .iter()
                .map(|on| self.over_sorts(climb, slot, on.upper, &on.firsts, &of_kinds))
                .collect();
            let candidates = &self.outline.slots[slot].all;
            let mut kinds = vec![vec![NOWHERE; begun.len()]; self.outline.kinds_of_bottoms(slot)];
            let above = candidates.iter().map(|candidate| {
                let mut heights = vec![NOWHERE; begun.len()];
                let lift = (candidate.lift.low[climb.view], candidate.lift.high[climb.view]);
                for (on, sorts) in climb.on[slot].iter().zip(&sorts).filter(|_| lift.0 <= lift.1) {
                    let Some(sort) = on.sorts.get(candidate.tops) else { continue };
                    if let Some(over) = sorts.get(sort.number) {
                        widen(&mut heights, over, (lift.0 + sort.above.0, lift.1 + sort.above.1));
                    }
                }
                widen(&mut kinds[candidate.bottoms], &heights, (0, 0));
                heights
            });
            through.above[slot] = above.collect();
            of_kinds[slot] = kinds;
        }
        Some(through)
    }

    /// By sort of tops of the lower slot: above those, with parts of the upper slot on them.
    fn over_sorts(
        &self,
        climb: &Climb,
        lower: usize,
        upper: usize,
        firsts: &[usize],
        of_kinds: &[Vec<Heights>],
    ) -> Vec<Heights> {
        let (Some(rows), Some(kinds)) = (self.outline.on_tops(upper, lower), of_kinds.get(upper)) else {
            return Vec::new();
        };
        let of_sort = |&first: &usize| {
            let mut heights = vec![NOWHERE; kinds.first().map_or(0, Vec::len)];
            for (stand, over) in rows[first].iter().zip(kinds) {
                if let Some(ends) = stand.and_then(|stand| super::climb::ends(&stand.reach, climb.view)) {
                    widen(&mut heights, over, ends);
                }
            }
            heights
        };
        firsts.iter().map(of_sort).collect()
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
                let (above, closes) = (through.above[slot][at][kind], through.closes[kind]);
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
