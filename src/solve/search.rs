//! Complete search, slot by slot in drop order, for the best plan.
//!
//! A failure names the slots it rests on. Where a slot is not among them, its other parts fail the same way and
//! the search goes back past it; contents that lead nowhere are remembered.
//!
//! Best means, in this order: goes before measure first, least to spend, fewest parts, part ids. A branch is cut
//! only when something certain already fails in it, or when it is already worse than the best plan known; so the
//! plan found is the best there is. A search that came to its limit says so. Must not know words.

use super::candidates::Field;
use super::nogood::Nogoods;
use super::purse::{Choice, Purse};
use super::supply::{Cost, Supplies};
use crate::assembly::{
    ALL, Blame, Build, Demand, Glance, ItemIx, Narrowed, Outcome, Outline, Pick, Readies, Setting, Slots,
    bit, early, judge,
};
use crate::catalogue::VariantIx;
use crate::rules::{Rule, SlotIx};
use rustc_hash::FxHashMap as HashMap;
use std::cell::RefCell;
use std::cmp::Ordering;
use std::rc::Rc;

/// What building an item in full costs, in items looked at.
const IN_FULL: u64 = 50;

/// So many picks that are known to lead nowhere cost as much as one item looked at.
const TRIES_AN_ITEM: u64 = 16;

/// A failure that rests on so few slots is worth remembering by itself.
const FEW: u32 = 5;

/// What is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Want {
    /// Worst outcome that will do.
    pub at_worst: Outcome,
    /// Items looked at before giving up; an item put on in full counts for many.
    pub limit: u64,
    /// Most items beyond what the slots must have.
    pub extras: usize,
    /// Not judged in full: a plan found may turn out not to go, but where there is none nothing goes.
    pub quick: bool,
}

/// A plan and how good it is. Ordered: smaller is better.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Rank {
    pub outcome: Outcome,
    pub cost: Cost,
    pub parts: usize,
    pub picks: Vec<Pick>,
}

/// How near a failing stack came.
#[derive(Clone, Debug, PartialEq)]
pub struct Near {
    /// Slots that were dealt with, then fewer failing checks.
    pub reached: (usize, i64),
    pub picks: Vec<Pick>,
}

#[derive(Clone, Debug, Default)]
pub struct Found {
    pub best: Option<Rank>,
    pub nearest: Option<Near>,
    pub put_on: u64,
    pub unfinished: bool,
    /// With more extra items allowed there would have been more to try.
    pub held_back: bool,
}

/// What searches among the same candidates share, whatever is looked for.
pub struct Ground<'a> {
    setting: Setting<'a>,
    readies: &'a Readies,
    supplies: &'a Supplies<'a>,
    field: Field,
    /// Any plan serves.
    any: bool,
    /// What may come, by the fork.
    outlines: RefCell<HashMap<VariantIx, Rc<Outline>>>,
}

impl<'a> Ground<'a> {
    /// `any`: any plan serves, whatever it costs.
    pub fn new(
        (setting, readies): (Setting<'a>, &'a Readies),
        supplies: &'a Supplies<'a>,
        field: &Field,
        any: bool,
    ) -> Ground<'a> {
        let field = field.for_search(setting.rule, supplies, &readies.alike, any);
        Ground { setting, readies, supplies, field, any, outlines: RefCell::default() }
    }

    /// Searches all choices of parts, ways up and counts.
    ///
    /// `known`: a plan that is to be beaten; it comes back as the best when nothing better is found.
    pub fn search(&self, want: Want, known: Option<Rank>) -> Found {
        let (rule, supplies, field) = (self.setting.rule, self.supplies, &self.field);
        let empty =
            |(index, slot): (usize, &crate::rules::Slot)| slot.least > 0 && field.slots[index].is_empty();
        if rule.slots.iter().enumerate().any(empty) {
            return Found { best: known, ..Found::default() };
        }
        let mut walk = Walk {
            rule,
            supplies,
            field,
            want,
            any: self.any,
            glance: Glance::new(self.setting, self.readies, want.at_worst),
            outlines: &self.outlines,
            build: Build::new(self.setting),
            built: Vec::new(),
            readies: self.readies,
            picks: Vec::new(),
            purse: Purse::new(rule, supplies, field, self.any),
            narrowed: Vec::new(),
            nogoods: Nogoods::default(),
            blame: Blame::of(self.setting),
            held_back: false,
            tries: 0,
            found: Found { best: known, ..Found::default() },
        };
        walk.slot(0, 0, Outcome::Pass);
        walk.found.held_back = walk.held_back;
        walk.found
    }
}

/// One search by itself, for any plan.
pub fn any_plan(of: (Setting<'_>, &Readies), supplies: &Supplies<'_>, field: &Field, want: Want) -> Found {
    Ground::new(of, supplies, field, true).search(want, None)
}

struct Narrowing {
    narrowed: Narrowed,
    choice: Choice,
    /// Items that were on then.
    items: usize,
}

struct Walk<'a> {
    rule: &'a Rule,
    supplies: &'a Supplies<'a>,
    field: &'a Field,
    want: Want,
    /// Any plan serves: stop at the first.
    any: bool,
    glance: Glance<'a>,
    outlines: &'a RefCell<HashMap<VariantIx, Rc<Outline>>>,
    /// The last plan looked into in full, as far as it went.
    build: Build<'a>,
    built: Vec<Pick>,
    readies: &'a Readies,
    picks: Vec<Pick>,
    purse: Purse<'a>,
    /// What is still possible, as found on the way here: the last is the narrowest.
    narrowed: Vec<Narrowing>,
    nogoods: Nogoods,
    blame: Blame,
    /// More items might have been put on than `extras` allows.
    held_back: bool,
    tries: u64,
    found: Found,
}

/// Whatever comes after these picks, the plan stands after the other in the order of parts.
fn later_by_parts(picks: &[Pick], plan: &[Pick]) -> bool {
    picks > &plan[..picks.len().min(plan.len())]
}

impl Walk<'_> {
    fn done(&self) -> bool {
        self.found.unfinished || (self.any && self.found.best.is_some())
    }

    /// Fills slot `index`, which already has `count` items. Returns the earlier slots that nothing better
    /// coming of it rests on: with the same contents of those, nothing better comes of it.
    fn slot(&mut self, index: usize, count: u8, outcome: Outcome) -> Slots {
        if self.done() {
            return ALL;
        }
        if index == self.rule.slots.len() {
            return self.complete();
        }
        if count > 0 {
            return self.fill(index, count, outcome);
        }
        // An empty slot before this one: what was expected of it will not come.
        if index > 0
            && self
                .picks
                .last()
                .is_some_and(|p| (p.slot.0 as usize) + 1 < index || self.may_hold_more(p.slot))
        {
            let look = self.glance.ahead(index);
            if look.outcome > self.want.at_worst {
                return look.blame;
            }
        }
        if let Some(known) = self.nogoods.known(index, &self.picks) {
            return known;
        }
        let earlier = bit(SlotIx(index as u16)) - 1;
        let narrowed = self.narrow(index);
        let no_better = if narrowed { self.no_better(index, outcome) } else { None };
        let blamed = no_better.unwrap_or_else(|| self.fill(index, 0, outcome)) & earlier;
        if narrowed {
            self.narrowed.pop();
        }
        if blamed != earlier && !self.done() {
            self.nogoods.learn(index, &self.picks, blamed);
        }
        blamed
    }

    /// Looks at what is still possible where that may have changed; whether it did look.
    fn narrow(&mut self, index: usize) -> bool {
        let since = self.narrowed.last().map_or(0, |n| n.items);
        let changed = self.picks[since..].iter().fold(0, |all, p| all | bit(p.slot));
        if index > self.rule.pulled.0 as usize || changed & self.glance.narrowed_by(index) == 0 {
            return false;
        }
        let before = self.narrowed.last().map(|n| n.narrowed.clone()).unwrap_or_default();
        let narrowed = self.glance.narrow(index, &before);
        let choice = self.purse.choice(&narrowed);
        self.narrowed.push(Narrowing { narrowed, choice, items: self.picks.len() });
        true
    }

    /// The slots to blame when nothing that is still possible is better than the best known.
    fn no_better(&mut self, index: usize, outcome: Outcome) -> Option<Slots> {
        let last = self.narrowed.last().filter(|_| index > 0)?;
        if last.narrowed.dead {
            return Some(last.narrowed.blame);
        }
        self.too_dear(outcome)
    }

    /// The slots that ruling this one out rests on, when it is.
    fn ruled_out(&self, pick: Pick, at: usize) -> Option<Slots> {
        let narrowed = &self.narrowed.last()?.narrowed;
        (!narrowed.allows(pick.slot, at, pick.turned)).then_some(narrowed.blame)
    }

    fn fill(&mut self, index: usize, count: u8, outcome: Outcome) -> Slots {
        let slot = &self.rule.slots[index];
        let own = bit(SlotIx(index as u16));
        let mut blamed = 0;
        if count >= slot.least {
            blamed |= self.slot(index + 1, 0, outcome);
            if blamed & own == 0 {
                return blamed;
            }
        }
        if count >= slot.most {
            return blamed;
        }
        let only_owned = count >= slot.least && self.extras() >= self.want.extras;
        let before = self.picks.last().copied().filter(|_| count > 0);
        for at in 0..self.field.slots[index].len() {
            let variant = self.field.slots[index][at];
            if let Some(dear) = self.dear_from(index, at, outcome) {
                return blamed | dear;
            }
            if only_owned && !self.supplies.owns(variant) {
                self.held_back = true;
                blamed = ALL;
                continue;
            }
            // Two rings that differ in nothing but length may change places: one order is enough.
            let alike = &self.readies.alike;
            if before.is_some_and(|b| variant < b.variant && alike.change_places(b.variant, variant)) {
                continue;
            }
            for turned in [false, true] {
                let allowed = if turned { slot.turned } else { slot.as_drawn };
                let same = turned
                    && slot.as_drawn
                    && self.readies.alike_turned.get(variant.0 as usize) == Some(&true);
                if !allowed || same {
                    continue;
                }
                let pick = Pick { slot: SlotIx(index as u16), variant, turned };
                if let Some(blame) = self.ruled_out(pick, at) {
                    blamed |= blame | own;
                    continue;
                }
                let failed = self.try_pick(pick, count, outcome);
                if self.done() {
                    return ALL;
                }
                if failed & own == 0 {
                    return failed;
                }
                blamed |= failed;
            }
        }
        blamed
    }

    /// Items beyond what the slots so far must have, those not counted that the rider has anyway.
    fn extras(&self) -> usize {
        let rule = self.rule;
        let bought = |pick: &&Pick| !self.supplies.owns(pick.variant);
        let of_run = |run: &[Pick]| {
            let beyond = run.len().saturating_sub(rule.slot(run[0].slot).least as usize);
            run.iter().filter(bought).count().min(beyond)
        };
        self.picks.chunk_by(|a, b| a.slot == b.slot).map(of_run).sum()
    }

    /// Some earlier slot with a choice of parts is not to blame.
    fn spares_a_choice(&self, slot: SlotIx, blame: Slots) -> bool {
        let choice = |i: &usize| self.field.slots[*i].len() > usize::from(self.rule.slots[*i].least > 0);
        (0..slot.0 as usize).filter(choice).any(|i| blame >> i & 1 == 0)
    }

    fn may_hold_more(&self, slot: SlotIx) -> bool {
        self.picks.iter().filter(|p| p.slot == slot).count() < self.rule.slot(slot).most as usize
    }

    fn try_pick(&mut self, pick: Pick, count: u8, outcome: Outcome) -> Slots {
        if self.found.put_on >= self.want.limit {
            self.found.unfinished = true;
            return ALL;
        }
        // Looking into what is known costs little, but not nothing.
        self.tries += 1;
        self.found.put_on += u64::from(self.tries.is_multiple_of(TRIES_AN_ITEM));
        let slot = self.rule.slot(pick.slot);
        self.picks.push(pick);
        self.nogoods.push(pick);
        let whole = count + 1 >= slot.most;
        let known = if whole { self.nogoods.known(pick.slot.0 as usize + 1, &self.picks) } else { None };
        let blamed = known.unwrap_or_else(|| {
            self.purse.push(pick, slot.brought);
            let dear = self.too_dear(outcome);
            let blamed = dear.unwrap_or_else(|| self.put_on(pick, count, outcome));
            self.purse.pop();
            blamed
        });
        self.picks.pop();
        self.nogoods.pop();
        blamed
    }

    fn put_on(&mut self, pick: Pick, count: u8, outcome: Outcome) -> Slots {
        self.found.put_on += 1;
        let look = self.glance.put_on(pick);
        if pick.slot.0 == 0 {
            self.expect(pick.variant);
        }
        let now = outcome.max(look.outcome);
        let blamed = if look.outcome > self.want.at_worst {
            if now == Outcome::Fail {
                self.note_near(pick.slot.0 as usize, i64::MIN);
            }
            if look.blame.count_ones() <= FEW || self.spares_a_choice(pick.slot, look.blame) {
                self.nogoods.learn(pick.slot.0 as usize + 1, &self.picks, look.blame);
            }
            look.blame
        } else if let Some(dear) = self.too_dear(now) {
            dear
        } else {
            self.slot(pick.slot.0 as usize, count + 1, now)
        };
        self.glance.take_off();
        blamed
    }

    /// With the fork on: what may come, worked out once for each fork.
    fn expect(&mut self, fork: VariantIx) {
        let known = self.outlines.borrow().get(&fork).cloned();
        match known {
            Some(outline) => self.glance.expect_again(outline),
            None => {
                self.glance.expect(&self.field.slots);
                self.outlines.borrow_mut().insert(fork, self.glance.expected());
            }
        }
    }

    /// Builds the plan in full, from where it differs from the last one; what stops it on the way.
    fn build_in_full(&mut self) -> Option<Slots> {
        let same = self.built.iter().zip(&self.picks).take_while(|(a, b)| a == b).count();
        while self.built.len() > same {
            self.built.pop();
            self.build.take_off();
        }
        for at in same..self.picks.len() {
            let pick = self.picks[at];
            self.found.put_on += IN_FULL;
            let known = self.build.put_on(pick);
            self.built.push(pick);
            let early = early(&self.build, ItemIx(at as u16), &known, self.want.at_worst);
            if !early.worse.is_empty() {
                if early.outcome == Outcome::Fail {
                    self.note_near(pick.slot.0 as usize, i64::MIN);
                }
                // Found with nothing above it there: it rests on nothing above.
                let there = bit(pick.slot) | (bit(pick.slot) - 1);
                return Some(self.least_blame(&early.worse, false) & there);
            }
        }
        None
    }

    /// Of several failures the one that lets the search go back furthest.
    fn least_blame(&self, failures: &[(Demand, Vec<ItemIx>)], complete: bool) -> Slots {
        let blames =
            failures.iter().map(|(demand, about)| self.blame.finding(&self.build, *demand, about, complete));
        blames.min().unwrap_or(ALL)
    }

    /// The slots to blame when no plan that begins like this can be better than the best known.
    fn too_dear(&mut self, outcome: Outcome) -> Option<Slots> {
        if self.purse.cost().is_none() {
            return Some(ALL);
        }
        let best = self.found.best.as_ref()?;
        let next = self.picks.last().map_or(0, |p| p.slot.0 as usize + 1);
        let rank = (best.outcome, best.cost, best.parts);
        let later = later_by_parts(&self.picks, &best.picks);
        let choice = self.narrowed.last().map_or_else(Choice::default, |n| n.choice);
        let Some(cost) = self.purse.least(next, choice) else { return Some(ALL) };
        match (outcome, cost, self.picks.len() + self.still(next)).cmp(&rank) {
            Ordering::Less => return None,
            Ordering::Equal if !later => return None,
            Ordering::Equal | Ordering::Greater => {}
        }
        let by_money = outcome <= rank.0 && cost > rank.1 && !self.any;
        let narrowed = self.narrowed.last().map_or(0, |n| n.narrowed.blame);
        Some(if by_money { self.paid_slots() | narrowed } else { ALL })
    }

    /// The slots to blame when this candidate of the slot costs too much, and with it every one after it: they are sold by
    /// themselves only, the cheaper first.
    fn dear_from(&mut self, index: usize, at: usize, outcome: Outcome) -> Option<Slots> {
        let price = self.purse.sold_alone(index, at)?;
        let best = self.found.best.as_ref()?;
        let rank = (best.outcome, best.cost, best.parts);
        let first = Pick { slot: SlotIx(index as u16), variant: self.field.slots[index][at], turned: false };
        self.picks.push(first);
        let later = later_by_parts(&self.picks, &best.picks);
        self.picks.pop();
        let choice = self.narrowed.last().map_or_else(Choice::default, |n| n.choice);
        let cost = self.purse.least(index + 1, choice)?.and(price);
        if outcome <= rank.0 && cost > rank.1 {
            let narrowed = self.narrowed.last().map_or(0, |n| n.narrowed.blame);
            return Some(self.paid_slots() | bit(SlotIx(index as u16)) | narrowed);
        }
        // Those that cost the same come in order of their ids.
        let same = (outcome, cost, self.picks.len() + 1 + self.still(index + 1)) >= rank && later;
        same.then_some(ALL)
    }

    /// Parts that the slots from `next` on must have at least.
    fn still(&self, next: usize) -> usize {
        self.rule.slots.iter().skip(next).map(|s| usize::from(s.least)).sum()
    }

    /// Slots with something in them that has to be bought.
    fn paid_slots(&self) -> Slots {
        let paid = |pick: &&Pick| !self.rule.slot(pick.slot).brought && self.purse.is_missing(pick.variant);
        self.picks.iter().filter(paid).fold(0, |all, pick| all | bit(pick.slot))
    }

    fn complete(&mut self) -> Slots {
        let look = self.glance.finished();
        if look.outcome > self.want.at_worst {
            return look.blame;
        }
        if self.want.quick {
            return self.plan(look.outcome);
        }
        // At best as good as the one known.
        if self
            .found
            .best
            .as_ref()
            .is_some_and(|best| self.rank(look.outcome).is_none_or(|rank| rank >= *best))
        {
            return ALL;
        }
        if let Some(stopped) = self.build_in_full() {
            return stopped;
        }
        let judgement = self.build.judged(judge);
        let outcome = judgement.worst();
        if outcome > self.want.at_worst {
            let worse = judgement.checks.iter().filter(|c| c.3.outcome > self.want.at_worst);
            let failures: Vec<(Demand, Vec<ItemIx>)> = worse.map(|c| (c.0, c.1.clone())).collect();
            if outcome == Outcome::Fail {
                let fails = judgement.checks.iter().filter(|c| c.3.outcome == Outcome::Fail).count() as i64;
                self.note_near(self.rule.slots.len(), -fails);
            }
            if self.build.merged {
                return ALL;
            }
            let no_height = |(demand, _): &(Demand, Vec<ItemIx>)| {
                let Demand::Height(slot) = *demand else { return None };
                let with = judgement.no_height(slot, self.want.at_worst == Outcome::Measure)?;
                Some(self.blame.no_height(&self.build, slot, with))
            };
            let least = failures.iter().filter_map(no_height).min().unwrap_or(ALL);
            return least.min(self.least_blame(&failures, true));
        }
        self.plan(outcome)
    }

    fn plan(&mut self, outcome: Outcome) -> Slots {
        let Some(rank) = self.rank(outcome) else { return ALL };
        if self.found.best.as_ref().is_none_or(|best| rank < *best) {
            self.found.best = Some(rank);
        }
        ALL
    }

    /// What has been picked, as a plan; `None` where something cannot be bought.
    fn rank(&self, outcome: Outcome) -> Option<Rank> {
        let cost = self.purse.cost()?;
        Some(Rank { outcome, cost, parts: self.picks.len(), picks: self.picks.clone() })
    }

    fn note_near(&mut self, slots: usize, fails: i64) {
        let reached = (slots, fails);
        if self.found.nearest.as_ref().is_none_or(|near| reached > near.reached) {
            self.found.nearest = Some(Near { reached, picks: self.picks.clone() });
        }
    }
}
