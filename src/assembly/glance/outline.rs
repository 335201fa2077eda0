//! What the slots still to come can do to the closing gap at most: how high they reach, how low they may end.
//!
//! Only bounds: whatever passing plan stands in those slots, its gap lies between them. Must not know search.

use super::Glance;
use super::land::meeting_of;
use super::ready::Ready;
use crate::assembly::blame::bit;
use crate::assembly::build::Pick;
use crate::assembly::report::{Demand, Outcome};
use crate::catalogue::VariantIx;
use crate::rules::{PutOn, SlotIx};
use rustc_hash::FxHashMap as HashMap;
use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

/// For each candidate of a slot how high it may stand on one part; `None`: not at all.
type OnPart = Rc<Vec<Option<Reach>>>;

/// Candidates of the slots, both ways up, and what is known of them.
#[derive(Default)]
pub struct Outline {
    slots: Vec<Vec<Candidate>>,
    /// How high above the bottom of a part each candidate of a slot may stand on it.
    on_part: RefCell<HashMap<(SlotIx, Pick), OnPart>>,
    /// The same on each candidate of another slot, upper candidates first.
    on_slot: HashMap<(SlotIx, SlotIx), Vec<Vec<Option<Reach>>>>,
}

struct Candidate {
    /// Twice its number among the slot's parts, one more when turned.
    place: usize,
    variant: VariantIx,
    turned: bool,
    ready: Arc<Ready>,
    /// What it leaves to the fork standing at height 0, by meeting.
    downs: Vec<(i64, i64, bool)>,
}

impl Candidate {
    fn is(&self, pick: Pick) -> bool {
        self.variant == pick.variant && self.turned == pick.turned
    }

    /// What it leaves to the fork standing so. Landing where it may, it lies inside nothing: a meeting that would
    /// have it lower than the fork's metal cannot be.
    fn room(&self, stands: Reach) -> (i64, i64) {
        let mut room = (FAR, FAR);
        for &(least, most, sure) in &self.downs {
            if stands.high + most >= 0 {
                room.0 = room.0.min((stands.low + least).max(0));
            }
            if sure {
                room.1 = room.1.min(stands.high + most);
            }
        }
        room
    }
}

/// Where candidates of one slot may have their bottoms: candidate and heights.
pub type Standings = Vec<(usize, Reach)>;

/// More of these for a slot are drawn together.
const MOST_STANDINGS: usize = 48;

/// Lowest and highest something can lie.
#[derive(Clone, Copy, Debug)]
pub struct Reach {
    pub low: i64,
    pub high: i64,
}

impl Reach {
    fn with(self, other: Option<Reach>) -> Reach {
        other.map_or(self, |o| Reach { low: self.low.min(o.low), high: self.high.max(o.high) })
    }

    fn plus(self, other: Reach) -> Reach {
        Reach { low: self.low + other.low, high: self.high + other.high }
    }
}

/// Further than anything lies.
pub const FAR: i64 = i64::MAX / 16;

impl Outline {
    pub fn is_empty(&self) -> bool {
        self.slots.is_empty()
    }

    pub fn count(&self, slot: usize) -> usize {
        self.slots[slot].len()
    }

    pub fn place(&self, slot: usize, candidate: usize) -> usize {
        self.slots[slot][candidate].place
    }

    /// Whether there is a candidate, place by place.
    pub fn all_places(&self, slot: usize) -> Vec<bool> {
        let mut all = Vec::new();
        for candidate in &self.slots[slot] {
            all.resize(all.len().max(candidate.place + 1), false);
            all[candidate.place] = true;
        }
        all
    }

    pub fn ready(&self, slot: usize, candidate: usize) -> &Ready {
        &self.slots[slot][candidate].ready
    }
}

impl Glance<'_> {
    /// Learns what may come. The fork must have been put on.
    pub fn expect(&mut self, candidates: &[Vec<VariantIx>]) {
        let rule = self.setting.rule;
        let mut outline = Outline::default();
        for (index, variants) in candidates.iter().enumerate() {
            let slot = rule.slot(SlotIx(index as u16));
            let ways = [(false, slot.as_drawn), (true, slot.turned)];
            let readies = variants
                .iter()
                .enumerate()
                .flat_map(|(at, &v)| ways.iter().filter(|w| w.1).map(move |w| (at, v, w.0)))
                .filter_map(|(at, v, turned)| {
                    Some((at, v, turned, self.readies.part(v, turned, index == 0)?))
                });
            let candidates = readies.map(|(at, variant, turned, ready)| {
                let downs = self.downs_at_zero(&ready, SlotIx(index as u16));
                Candidate { place: at * 2 + usize::from(turned), variant, turned, ready, downs }
            });
            outline.slots.push(candidates.collect());
        }
        self.outline = outline;
        let last = rule.pulled.0;
        for upper in (0..=last).map(SlotIx) {
            for lower in (1..=upper.0).map(SlotIx) {
                if self.may_rest(upper, lower) {
                    let under = &self.outline.slots[lower.0 as usize];
                    let on = under.iter().map(|c| self.standing_on(upper, (lower, &c.ready))).collect();
                    self.outline.on_slot.insert((upper, lower), on);
                }
            }
        }
    }

    fn may_rest(&self, upper: SlotIx, lower: SlotIx) -> bool {
        self.lists.rests_on[upper.0 as usize] & bit(lower) != 0
    }

    /// How high above a part's bottom each candidate of `upper` may stand on it in a plan that passes.
    fn standing_on(&self, upper: SlotIx, (lower, part): (SlotIx, &Ready)) -> Vec<Option<Reach>> {
        let of = |candidate: &Candidate| {
            let (mut possible, mut sure): (Option<Reach>, Option<i64>) = (None, None);
            for over in &part.tops {
                for under in &candidate.ready.bottoms {
                    let Some(met) = meeting_of(over, under) else { continue };
                    let edges = ((upper, under.inner.surface), (lower, over.outer.surface));
                    // Where the rule has the one slide over the other, it stands on it only when it is too tight.
                    if self.slides(edges.0, edges.1) {
                        continue;
                    }
                    let freed = self.named(edges.0, edges.1)
                        || self.named((lower, over.inner.surface), (upper, under.outer.surface));
                    if met.common.sure && !freed {
                        sure = sure.max(Some(met.height.least));
                    }
                    let reach = Reach { low: met.height.least, high: met.height.most };
                    possible = Some(reach.with(possible));
                }
            }
            // The highest meeting counts: none below one that is sure.
            possible.map(|reach| Reach { low: sure.unwrap_or(reach.low).max(reach.low), ..reach })
        };
        self.outline.slots[upper.0 as usize].iter().map(of).collect()
    }

    /// A sleeve whose inner part is surely this one when it is there.
    fn slides(&self, outer: super::rule::At, inner: super::rule::At) -> bool {
        self.lists.sleeves.iter().any(|s| s.outer == outer && s.inner.first() == Some(&inner))
    }

    /// Whatever comes from slot `next` on, can the gap still lie in its window?
    pub(super) fn check_gap_ahead(&mut self, next: usize) {
        let rule = self.setting.rule;
        let Some((low, high)) = self.gap_window(next) else { return };
        if self.gap_never(next, low, high) {
            let demand = if low == -FAR { Demand::GapMost } else { Demand::GapLeast };
            self.found(demand, bit(rule.pulled) | bit(SlotIx(0)), Outcome::Fail);
        }
    }

    /// What the gap must lie between, where something can be said with the slots before `next` done.
    pub(super) fn gap_window(&self, next: usize) -> Option<(i64, i64)> {
        let rule = self.setting.rule;
        let limits = &rule.limits;
        let asked = |demand| self.setting.asks(demand);
        let low = Some(limits.gap_least.as_nm()).filter(|_| asked(Demand::GapLeast));
        let high = limits.gap_most.map(|m| m.as_nm()).filter(|_| asked(Demand::GapMost));
        let path_done = rule.path.iter().all(|s| (s.slot.0 as usize) < next);
        let relied_on = !self.outline.is_empty() && path_done && asked(Demand::Path);
        let something = (low.is_some() || high.is_some()) && next <= rule.pulled.0 as usize;
        (relied_on && something).then(|| (low.unwrap_or(-FAR), high.unwrap_or(FAR)))
    }

    /// What a candidate standing so leaves to what is fixed to the fork, least and most.
    pub(super) fn room(
        &self,
        index: usize,
        &(candidate, reach): &(usize, Reach),
        fixed_top: i64,
    ) -> (i64, i64) {
        let room = self.outline.slots[index][candidate].room(reach);
        (room.0.min(reach.low - fixed_top), room.1)
    }

    /// Nothing that may still come leaves a gap between the two.
    fn gap_never(&self, next: usize, low: i64, high: i64) -> bool {
        let rule = self.setting.rule;
        let mut slots: Vec<Standings> = Vec::new();
        slots.resize_with(rule.slots.len(), Vec::new);
        let mut others = self.least_of_items(if self.anything_rides() { -FAR } else { FAR });
        let fixed_top = self.top_of_fixed();
        for index in next..=rule.pulled.0 as usize {
            let slot = SlotIx(index as u16);
            if !matches!(rule.slot(slot).put_on, PutOn::FromAbove | PutOn::Threaded | PutOn::Pressed) {
                if slot == rule.pulled {
                    return false;
                }
                continue;
            }
            if self.lists.rests_on[index] == u64::MAX {
                return false;
            }
            let standings = self.standings(slot, &slots);
            let room = |standing: &(usize, Reach)| self.room(index, standing, fixed_top);
            if slot == rule.pulled {
                let fits = |(least, most): (i64, i64)| most >= low && least.min(others) <= high;
                return !standings.iter().map(room).any(fits);
            }
            others = standings.iter().map(|s| room(s).0).fold(others, i64::min);
            slots[index] = standings;
        }
        false
    }

    /// Where candidates of the slot may have their bottoms, over all that they may rest on.
    pub(super) fn standings(&self, slot: SlotIx, slots: &[Standings]) -> Standings {
        let mut all: Standings = Vec::new();
        for item in 1..self.items.len() as u8 {
            let it = &self.items[item as usize];
            if !self.may_rest(slot, it.pick.slot) {
                continue;
            }
            let Some(base) = self.bottom(item) else { continue };
            for (candidate, on) in self.on_item(slot, item).iter().enumerate() {
                if let Some(on) = on {
                    all.push((candidate, Reach { low: base.least, high: base.most }.plus(*on)));
                }
            }
        }
        for (index, standings) in slots.iter().enumerate() {
            let Some(on) = self.outline.on_slot.get(&(slot, SlotIx(index as u16))) else { continue };
            for (lower, base) in standings {
                let standing =
                    on[*lower].iter().enumerate().filter_map(|(c, on)| Some((c, base.plus((*on)?))));
                all.extend(standing);
            }
        }
        self.pile_up(slot, &mut all);
        drawn_together(all)
    }

    /// Several of a slot stand on each other: each may stand as high as all the others below it make it.
    fn pile_up(&self, slot: SlotIx, all: &mut Standings) {
        let more = i64::from(self.setting.rule.slot(slot).most.saturating_sub(1));
        let Some(on) = self.outline.on_slot.get(&(slot, slot)).filter(|_| more > 0) else { return };
        let steps = on.iter().flatten().flatten();
        let (low, high) = steps.fold((0, 0), |(low, high), s| (low.min(s.low), high.max(s.high)));
        let Some(hull) = all.iter().map(|s| s.1).reduce(|a, b| a.with(Some(b))) else { return };
        let reach = Reach { low: hull.low + more * low, high: hull.high + more * high };
        *all = (0..self.outline.slots[slot.0 as usize].len()).map(|candidate| (candidate, reach)).collect();
    }

    /// There is something in the pile that the item just put on can rest on at all, at whatever height.
    pub(super) fn can_stand(&self, index: u8) -> bool {
        let pick = self.items[index as usize].pick;
        let (slot, rests_on) = (pick.slot, self.lists.rests_on[pick.slot.0 as usize]);
        let on_axis = matches!(
            self.setting.rule.slot(slot).put_on,
            PutOn::FromAbove | PutOn::Threaded | PutOn::Pressed
        );
        let Some(candidates) = self.outline.slots.get(slot.0 as usize).filter(|_| on_axis) else {
            return true;
        };
        let carries =
            self.setting.rule.slots.iter().any(|s| s.put_on == PutOn::Flush && s.host == Some(slot));
        if carries || rests_on == u64::MAX || rests_on & 1 == 1 || self.items[index as usize].seated.is_some()
        {
            return true;
        }
        let Some(at) = candidates.iter().position(|c| c.is(pick)) else { return true };
        (1..index).any(|item| {
            let may = self.may_rest(slot, self.items[item as usize].pick.slot);
            may && (self.items[item as usize].seated.is_some() || self.on_item(slot, item)[at].is_some())
        })
    }

    fn on_item(&self, slot: SlotIx, item: u8) -> OnPart {
        let it = &self.items[item as usize];
        let key = (slot, it.pick);
        if let Some(known) = self.outline.on_part.borrow().get(&key) {
            return Rc::clone(known);
        }
        let found = Rc::new(self.standing_on(slot, (it.pick.slot, &it.ready)));
        self.outline.on_part.borrow_mut().insert(key, Rc::clone(&found));
        found
    }

    /// Something drops with a pushed part: how far that can come down is not looked into ahead.
    pub(super) fn anything_rides(&self) -> bool {
        let slots = &self.setting.rule.slots;
        slots
            .iter()
            .any(|s| s.put_on == PutOn::Flush && s.host.is_some_and(|h| h <= self.setting.rule.pulled))
    }

    /// Highest point of what is fixed to the fork.
    pub(super) fn top_of_fixed(&self) -> i64 {
        let of = |item: u8| Some(self.bottom(item)?.most + self.items[item as usize].ready.highest);
        (1..self.items.len() as u8).filter(|&i| self.is_fixed(i)).filter_map(of).max().unwrap_or(-FAR)
    }

    /// What the items that may be pushed leave already, at least.
    pub(super) fn least_of_items(&self, least: i64) -> i64 {
        let all = (0..self.items.len() as u8).filter(|&i| !self.below_ring(i) && !self.is_chosen(i));
        all.map(|i| self.down(i).least).fold(least, i64::min)
    }
}

/// One line a candidate where they have become too many.
fn drawn_together(all: Standings) -> Standings {
    if all.len() <= MOST_STANDINGS {
        return all;
    }
    let mut drawn: Standings = Vec::new();
    for (candidate, reach) in all {
        match drawn.iter_mut().find(|d| d.0 == candidate) {
            Some(one) => one.1 = one.1.with(Some(reach)),
            None => drawn.push((candidate, reach)),
        }
    }
    drawn
}
