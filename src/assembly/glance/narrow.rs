//! Which candidates of the slots to come can still stand there: by the room to close, by what stands still, by the length that
//! must be gripped or overlapped.
//!
//! Only rules out what no passing plan that begins like this has. Must not know search.

use super::Glance;
use super::ahead::never_closes;
use super::figure::BUILDS;
use super::reach::{FAR, Reach, VIEWS, Views};
use super::standing::Stand;
use crate::assembly::blame::{Slots, bit};
use crate::assembly::report::Demand;
use crate::rules::SlotIx;
use std::rc::Rc;

/// More pairs of kinds of tops and bottoms are not looked at one by one.
const MOST_PAIRS: usize = 256;

/// What is still possible in the slots to come.
#[derive(Clone, Debug, Default)]
pub struct Narrowed {
    /// By slot: for each candidate as drawn, then turned, whether it is still possible; `None`: all are that the rule
    /// allows.
    slots: Vec<Option<Rc<[bool]>>>,
    /// What the ruling out rests on.
    pub blame: Slots,
    /// A slot that must be filled has none left.
    pub dead: bool,
}

impl Narrowed {
    /// `at`: which of the slot's candidates.
    pub fn allows(&self, slot: SlotIx, at: usize, turned: bool) -> bool {
        self.at_place(slot, at * 2 + usize::from(turned))
    }

    fn at_place(&self, slot: SlotIx, place: usize) -> bool {
        let of_slot = self.slots.get(slot.0 as usize).and_then(Option::as_ref);
        of_slot.is_none_or(|all| all.get(place).copied().unwrap_or(false))
    }

    /// Slots in which something is ruled out, with what is still possible there.
    pub fn slots(&self) -> impl Iterator<Item = (usize, &Rc<[bool]>)> {
        self.slots.iter().enumerate().filter_map(|(slot, all)| Some((slot, all.as_ref()?)))
    }
}

/// How high those of a slot may stand.
#[derive(Clone, Default)]
pub(super) struct MayStand {
    /// By kind of bottoms.
    pub stands: Vec<Reach>,
    /// Which of its candidates may; empty: all.
    pub possible: Vec<bool>,
}

impl Glance<'_> {
    /// Slots whose parts decide what is still possible from slot `next` on.
    pub fn narrowed_by(&self, next: usize) -> Slots {
        let last = self.setting.rule.pulled.0 as usize;
        let of = |slot: usize| {
            let inner = |s: &super::rule::Sleeve| s.inner.iter().fold(0, |all, i| all | bit(i.0));
            let sleeves = self.lists.sleeves.iter().filter(|s| s.outer.0.0 as usize == slot);
            let overlaps = sleeves.filter(|s| s.overlap_least.is_some()).map(inner);
            overlaps.fold(self.lists.rests_on[slot], |all, s| all | s)
        };
        (next..=last).map(of).fold(0, |all, slots| all | slots)
    }

    /// What is still possible with the slots before `next` done; `before`: what was found with fewer of them done.
    pub fn narrow(&self, next: usize, before: &Narrowed) -> Narrowed {
        let rule = self.setting.rule;
        let mut narrowed = before.clone();
        let last = rule.pulled.0 as usize;
        if self.outline.is_empty() || next > last || !self.outline.above.is_known(next) {
            return narrowed;
        }
        narrowed.slots.resize(rule.slots.len(), None);
        let gap = self.gap_asked(next);
        let mut lower: Vec<MayStand> = vec![MayStand::default(); rule.slots.len()];
        for index in next..=last {
            if !self.comes_down(SlotIx(index as u16)) {
                continue;
            }
            let mut stands = MayStand { stands: self.may_stand(index, &lower), possible: Vec::new() };
            let slot = SlotIx(index as u16);
            narrowed.blame |= self.lift(slot, &mut stands.stands);
            if rule.slots[index].most == 1 {
                let must = rule.slots[index].least == 1 && self.outline.above.passes(index);
                self.narrow_slot((index, next), gap.filter(|_| must), &mut stands, &mut narrowed);
            }
            if narrowed.dead {
                return narrowed;
            }
            lower[index] = stands;
        }
        for index in last + 1..rule.slots.len() {
            self.narrow_above(SlotIx(index as u16), next, &mut narrowed);
        }
        narrowed
    }

    /// How high each of the slot's kinds of bottoms may stand.
    pub(super) fn may_stand(&self, index: usize, lower: &[MayStand]) -> Vec<Reach> {
        let slot = SlotIx(index as u16);
        let mut stands = vec![Reach::NOWHERE; self.outline.kinds_of_bottoms(index)];
        // What it surely meets it is no lower than, whatever else it stands on.
        let mut floors = vec![[-FAR; VIEWS]; stands.len()];
        for item in 0..self.items.len() as u8 {
            if !self.may_rest(slot, self.items[item as usize].pick.slot) {
                continue;
            }
            let Some(base) = self.bottom(item) else { continue };
            self.with_standings(slot, item, |on, lift| {
                let base = Reach::of(base, [true; BUILDS]);
                let base = lift.map_or(base, |lift| base.plus(lift).or_nowhere());
                add(&mut stands, base, on);
                raise(&mut floors, base, on);
            });
        }
        for (under, may_stand) in lower.iter().enumerate().take(index) {
            self.stand_on(index, under, may_stand, &mut stands);
        }
        let more =
            usize::from(self.setting.rule.slots[index].most).saturating_sub(1 + self.in_slot(slot).count());
        for _ in 0..more {
            let once = MayStand { stands: stands.clone(), possible: Vec::new() };
            self.stand_on(index, index, &once, &mut stands);
        }
        for (stands, floors) in stands.iter_mut().zip(floors) {
            for (low, floor) in stands.low.iter_mut().zip(floors) {
                *low = (*low).max(floor);
            }
            *stands = stands.or_nowhere();
        }
        stands
    }

    /// Adds where those of a slot may stand on those of a lower one, which may stand so.
    fn stand_on(&self, upper: usize, lower: usize, under: &MayStand, stands: &mut [Reach]) {
        let Some(on) = self.outline.on_tops(upper, lower).filter(|_| !under.stands.is_empty()) else {
            return;
        };
        let mut tops = vec![Reach::NOWHERE; on.len()];
        let mut rise = |bottoms: usize, kind: usize, lift: Reach| {
            tops[kind] = tops[kind].with(under.stands[bottoms].plus(lift).or_nowhere());
        };
        if under.possible.is_empty() {
            let pairs = self.outline.slots[lower].kinds.pairs.iter();
            pairs.for_each(|&(bottoms, kind, lift)| rise(bottoms, kind, lift));
        } else {
            let all = self.outline.slots[lower].all.iter().zip(&under.possible);
            all.filter(|c| *c.1).for_each(|(c, _)| rise(c.bottoms, c.tops, c.lift));
        }
        // Among very many kinds the tops are taken for one, as high as any.
        if on.len() * stands.len() > MOST_PAIRS {
            let all = tops.into_iter().fold(Reach::NOWHERE, Reach::with);
            let on_any = self.outline.on_any_tops(upper, lower).unwrap_or_default();
            return add(stands, all, on_any);
        }
        for (tops, on) in tops.iter().zip(on) {
            add(stands, *tops, on);
        }
    }

    /// `gap`: so much each of them must leave, where all must close.
    fn narrow_slot(
        &self,
        (index, next): (usize, usize),
        gap: Option<i64>,
        may_stand: &mut MayStand,
        narrowed: &mut Narrowed,
    ) {
        let slot = SlotIx(index as u16);
        let views = self.views();
        let is_in = |reach: &Reach| (0..views).all(|view| reach.is_in(view));
        let kinds_in: Vec<bool> = may_stand.stands.iter().map(is_in).collect();
        let held = self.held(slot, next);
        let (mut too_short, mut some_never) = (vec![false; held.len()], false);
        let outline = &self.outline;
        let mut possible: Vec<bool> = Vec::with_capacity(outline.count(index));
        for (at, candidate) in outline.slots[index].all.iter().enumerate() {
            let there = narrowed.at_place(slot, outline.place(index, at));
            let mut may = there && kinds_in[candidate.bottoms];
            let mut reach = may_stand.stands[candidate.bottoms];
            for (held, short) in held.iter().zip(&mut too_short).filter(|_| may) {
                *short |= held.leave_out(&candidate.ready, &mut reach, views);
            }
            may &= held.is_empty() || is_in(&reach);
            if let Some(least) = gap.filter(|_| may) {
                let room = outline.above.room(index, 0, at);
                if (0..views).any(|view| never_closes(view, (room, &reach), least)) {
                    (may, some_never) = (false, true);
                }
            }
            possible.push(may);
        }
        for (held, _) in held.iter().zip(&too_short).filter(|(_, short)| **short) {
            narrowed.blame |= self.blamed(held.demand, bit(slot) | held.with);
        }
        let stood = |at: usize| kinds_in[outline.slots[index].all[at].bottoms];
        if gap.is_some() {
            // What has nothing to stand on leaves no gap either.
            let out = |at: usize| !stood(at) && narrowed.at_place(slot, outline.place(index, at));
            if some_never || (0..possible.len()).any(out) || too_short.contains(&true) {
                let pulled = bit(self.setting.rule.pulled);
                narrowed.blame |= self.blamed(Demand::GapLeast, pulled | bit(SlotIx(0)));
            }
            narrowed.dead |= !possible.contains(&true);
        }
        if possible.contains(&false) {
            self.rule_out(index, |at| (stood(at) || gap.is_some()) && !possible[at], narrowed);
            may_stand.possible = possible;
        }
    }

    fn rule_out(&self, index: usize, out: impl Fn(usize) -> bool, narrowed: &mut Narrowed) {
        let mut possible: Option<Vec<bool>> = None;
        for candidate in 0..self.outline.count(index) {
            let place = self.outline.place(index, candidate);
            if narrowed.at_place(SlotIx(index as u16), place) && out(candidate) {
                let all = possible.get_or_insert_with(|| match &narrowed.slots[index] {
                    Some(known) => known.to_vec(),
                    None => self.outline.all_places(index),
                });
                all[place] = false;
            }
        }
        if let Some(all) = possible {
            narrowed.slots[index] = Some(all.into());
        }
    }
}

/// Raises the floors of kinds of bottoms that surely meet tops that are so high.
fn raise(floors: &mut [Views], tops: Reach, on: &[Option<Stand>]) {
    for (floors, on) in floors.iter_mut().zip(on) {
        let Some(on) = on else { continue };
        for (view, floor) in floors.iter_mut().enumerate().filter(|(v, _)| on.surely[*v] && tops.is_in(*v)) {
            *floor = (*floor).max(tops.low[view] + on.reach.low[view]);
        }
    }
}

/// Adds where kinds of bottoms may stand on tops that are so high.
fn add(stands: &mut [Reach], tops: Reach, on: &[Option<Stand>]) {
    for (stands, on) in stands.iter_mut().zip(on) {
        if let Some(on) = on {
            *stands = stands.with(tops.plus(on.reach).or_nowhere());
        }
    }
}
