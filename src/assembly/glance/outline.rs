//! Where parts of the slots still to come may stand: on what is there, and on each other.
//!
//! Only bounds: whatever passing plan stands in those slots, they lie between them. Must not know search.

use super::Glance;
use super::figure::BUILDS;
use super::land::meeting_of;
use super::reach::{FAR, Left, Reach, VIEWS, views};
use super::ready::Ready;
use crate::assembly::blame::bit;
use crate::assembly::build::Pick;
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
    /// The same on each candidate of another slot: by upper slot, lower slot and lower candidate, which of the upper
    /// candidates may stand there, and how high.
    on_slot: Vec<Vec<Option<Vec<Standings>>>>,
}

struct Candidate {
    /// Twice its number among the slot's parts, one more when turned.
    place: usize,
    variant: VariantIx,
    turned: bool,
    ready: Arc<Ready>,
    /// What it leaves to the fork standing at height 0, by meeting.
    downs: Vec<Left>,
}

impl Candidate {
    fn is(&self, pick: Pick) -> bool {
        self.variant == pick.variant && self.turned == pick.turned
    }

    /// What it leaves to the fork standing so. Landing where it may, it lies inside nothing: a meeting that would
    /// have it lower than the fork's metal cannot be.
    fn room(&self, stands: Reach, view: usize) -> (i64, i64) {
        let mut room = (FAR, FAR);
        for left in &self.downs {
            if stands.high[view] + left.room.high[view] >= 0 {
                room.0 = room.0.min((stands.low[view] + left.room.low[view]).max(0));
            }
            if left.sure[view] {
                room.1 = room.1.min(stands.high[view] + left.room.high[view]);
            }
        }
        room
    }
}

/// Where candidates of one slot may have their bottoms: candidate and heights.
pub type Standings = Vec<(usize, Reach)>;

/// More of these for a slot are drawn together.
const MOST_STANDINGS: usize = 48;

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

    /// What a candidate standing so leaves to the fork, least and most.
    pub fn room(&self, slot: usize, candidate: usize, stands: Reach, view: usize) -> (i64, i64) {
        self.slots[slot][candidate].room(stands, view)
    }

    pub fn ready(&self, slot: usize, candidate: usize) -> &Ready {
        &self.slots[slot][candidate].ready
    }
}

impl Glance<'_> {
    /// Learns what may come. The fork must have been put on.
    pub fn expect(&mut self, candidates: &[Vec<VariantIx>]) {
        let outline = self.outline_of(candidates);
        self.outline = Rc::new(outline);
    }

    /// What was learned of what may come, to be told to another look at the same fork with the same candidates.
    pub fn expected(&self) -> Rc<Outline> {
        Rc::clone(&self.outline)
    }

    /// The same as was learned before.
    pub fn expect_again(&mut self, outline: Rc<Outline>) {
        self.outline = outline;
    }

    fn outline_of(&self, candidates: &[Vec<VariantIx>]) -> Outline {
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
        let last = rule.pulled.0;
        for upper in (0..=last).map(SlotIx) {
            let on = |lower: u16| {
                let lower = SlotIx(lower);
                let under = outline.slots[lower.0 as usize].iter();
                let there = |c: &Candidate| {
                    let all = &outline.slots[upper.0 as usize];
                    let on = self.standing_on((upper, all), (lower, &c.ready)).into_iter().enumerate();
                    on.filter_map(|(candidate, on)| Some((candidate, on?))).collect()
                };
                let asked = lower.0 > 0 && self.may_rest(upper, lower) && self.comes_down(upper);
                asked.then(|| under.map(there).collect())
            };
            let on_lower = (0..=upper.0).map(on).collect();
            outline.on_slot.push(on_lower);
        }
        outline
    }

    fn may_rest(&self, upper: SlotIx, lower: SlotIx) -> bool {
        self.lists.rests_on[upper.0 as usize] & bit(lower) != 0
    }

    /// How high above a part's bottom each candidate of `upper` may stand on it in a plan that passes.
    fn standing_on(
        &self,
        (upper, all): (SlotIx, &[Candidate]),
        (lower, part): (SlotIx, &Ready),
    ) -> Vec<Option<Reach>> {
        let of = |candidate: &Candidate| {
            let (mut possible, mut sure) = (None, [-FAR; VIEWS]);
            for over in &part.tops {
                for under in &candidate.ready.bottoms {
                    let Some((met, surely)) = meeting_of(over, under) else { continue };
                    let edges = ((upper, under.inner.surface), (lower, over.outer.surface));
                    // Where the rule has the one slide over the other, it stands on it only when it is too tight.
                    if self.slides(edges.0, edges.1) {
                        continue;
                    }
                    let freed = self.named(edges.0, edges.1)
                        || self.named((lower, over.inner.surface), (upper, under.outer.surface));
                    let reach = Reach::of(met.height, met.common.builds);
                    for (view, surely) in views(met.common.sure, surely).into_iter().enumerate() {
                        if surely && !freed {
                            sure[view] = sure[view].max(reach.low[view]);
                        }
                    }
                    possible = Some(reach.with(possible.unwrap_or(Reach::NOWHERE)));
                }
            }
            // The highest meeting counts: none below one that is sure.
            possible.map(|mut reach| {
                for (low, sure) in reach.low.iter_mut().zip(sure) {
                    *low = sure.max(*low);
                }
                reach
            })
        };
        all.iter().map(of).collect()
    }

    /// A sleeve whose inner part is surely this one when it is there.
    fn slides(&self, outer: super::rule::At, inner: super::rule::At) -> bool {
        self.lists.sleeves.iter().any(|s| s.outer == outer && s.inner.first() == Some(&inner))
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
                    all.push((candidate, Reach::of(base, [true; BUILDS]).plus(*on)));
                }
            }
        }
        for (index, standings) in slots.iter().enumerate() {
            let Some(on) = self.on_slot(slot, index).filter(|_| !standings.is_empty()) else { continue };
            all.reserve(standings.iter().map(|s| on[s.0].len()).sum());
            for (lower, base) in standings {
                all.extend(on[*lower].iter().map(|(candidate, on)| (*candidate, base.plus(*on))));
            }
        }
        self.pile_up(slot, &mut all);
        drawn_together(all)
    }

    fn on_slot(&self, upper: SlotIx, lower: usize) -> Option<&Vec<Standings>> {
        self.outline.on_slot.get(upper.0 as usize)?.get(lower)?.as_ref()
    }

    /// Several of a slot stand on each other: each may stand as high as all the others below it make it.
    fn pile_up(&self, slot: SlotIx, all: &mut Standings) {
        let more = i64::from(self.setting.rule.slot(slot).most.saturating_sub(1));
        let Some(on) = self.on_slot(slot, slot.0 as usize).filter(|_| more > 0) else { return };
        let Some(mut reach) = all.iter().map(|s| s.1).reduce(Reach::with) else { return };
        for view in 0..VIEWS {
            let steps = on.iter().flatten().map(|s| s.1).filter(|s| s.is_in(view));
            let (low, high) =
                steps.fold((0, 0), |(low, high), s| (low.min(s.low[view]), high.max(s.high[view])));
            reach.low[view] += more * low;
            reach.high[view] += more * high;
        }
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
        let found = Rc::new(
            self.standing_on((slot, &self.outline.slots[slot.0 as usize]), (it.pick.slot, &it.ready)),
        );
        self.outline.on_part.borrow_mut().insert(key, Rc::clone(&found));
        found
    }
}

/// One line a candidate where they have become too many.
fn drawn_together(all: Standings) -> Standings {
    if all.len() <= MOST_STANDINGS {
        return all;
    }
    let count = all.iter().map(|s| s.0 + 1).max().unwrap_or(0);
    let mut drawn: Vec<Option<Reach>> = vec![None; count];
    for (candidate, reach) in all {
        drawn[candidate] = Some(drawn[candidate].map_or(reach, |one| one.with(reach)));
    }
    drawn.into_iter().enumerate().filter_map(|(candidate, reach)| Some((candidate, reach?))).collect()
}
