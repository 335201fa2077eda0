//! Complete search, slot by slot in drop order, for the best plan.
//!
//! A failure names the slots it rests on. Where a slot is not among them, its other parts fail the same way and
//! the search goes back past it; contents that lead nowhere are remembered. A branch is cut only when something certain
//! already fails in it, or when it is already no better than the best plan known; so the plan found is the best there is.
//! Must not know words.

use super::candidates::Field;
use super::grounds::Grounds;
use super::nogood::Nogoods;
use super::purse::{Choice, Purse};
use super::search::{Found, Ground, Rank, Want};
use crate::assembly::{Blame, Build, Glance, Narrowed, Outcome, Pick, Slots, bit};
use crate::catalogue::VariantIx;
use crate::rules::{Rule, SlotIx};
use std::rc::Rc;

/// So many picks that are known to lead nowhere cost as much as one item looked at.
const TRIES_AN_ITEM: u64 = 16;

/// A failure that rests on so few slots is worth remembering by itself.
const FEW: u32 = 5;

pub(super) struct Narrowing {
    pub narrowed: Narrowed,
    pub choice: Choice,
    /// Items that were on then.
    items: usize,
}

pub(super) struct Walk<'a> {
    pub(super) ground: &'a Ground<'a>,
    pub(super) rule: &'a Rule,
    pub(super) field: &'a Field,
    /// By slot, how many items there must be.
    pub(super) least: &'a [u8],
    pub(super) want: Want,
    /// Any plan serves: stop at the first.
    pub(super) any: bool,
    pub(super) glance: Glance<'a>,
    /// The last plan looked into in full, as far as it went.
    pub(super) build: Build<'a>,
    pub(super) built: Vec<Pick>,
    pub(super) picks: Vec<Pick>,
    pub(super) purse: Purse<'a>,
    /// What is still possible, as found on the way here: the last is the narrowest.
    pub(super) narrowed: Vec<Narrowing>,
    pub(super) nogoods: Nogoods,
    pub(super) blame: &'a Blame,
    pub(super) tries: u64,
    /// The best plan was not judged in full.
    pub(super) unjudged: bool,
    /// In a small search beforehand: what rests on these is left aside.
    pub(super) aside: Option<Slots>,
    pub(super) found: Found,
}

impl<'a> Walk<'a> {
    pub(super) fn new(ground: &'a Ground<'a>, want: Want, known: Option<Rank>) -> Walk<'a> {
        let Ground { setting, readies, supplies, ref field, ref least, any, .. } = *ground;
        Walk {
            ground,
            rule: setting.rule,
            field,
            least,
            want,
            any,
            glance: Glance::knowing(
                (setting, readies),
                want.at_worst,
                ground.of_rule.clone(),
                Rc::clone(&ground.learned),
            ),
            build: Build::new(setting),
            built: Vec::new(),
            picks: Vec::new(),
            purse: Purse::new((setting.rule, least), (supplies, &ground.sources), field, any),
            narrowed: Vec::new(),
            nogoods: Nogoods::default(),
            blame: &ground.of_rule.blame,
            tries: 0,
            unjudged: false,
            aside: None,
            found: Found { best: known, ..Found::default() },
        }
    }

    pub(super) fn leaving_aside(mut self, slots: Slots) -> Walk<'a> {
        self.glance.leave_aside(slots);
        Walk { aside: Some(slots), ..self }
    }

    /// Contents that are known to lead nowhere, found where less was asked.
    pub(super) fn knowing(self, nogoods: &Nogoods) -> Walk<'a> {
        Walk { nogoods: nogoods.clone(), ..self }
    }

    pub(super) fn found(self) -> Found {
        self.found_with_nogoods().0
    }

    pub(super) fn found_with_nogoods(mut self) -> (Found, Nogoods) {
        self.slot(0, 0, self.want.at_best);
        (self.found, self.nogoods)
    }
}

impl Walk<'_> {
    fn done(&self) -> bool {
        self.found.unfinished || ((self.any || self.want.first) && self.found.best.is_some())
    }

    /// Fills slot `index`, which already has `count` items. Returns the earlier slots that nothing better
    /// coming of it rests on: with the same contents of those, nothing better comes of it.
    fn slot(&mut self, index: usize, count: u8, outcome: Outcome) -> Grounds {
        if self.done() {
            return Grounds::ALL;
        }
        if index == self.rule.slots.len() {
            return self.complete(outcome);
        }
        if count > 0 {
            // Full slots are not narrowed: nothing more comes there.
            let narrowed = count < self.rule.slots[index].most && self.narrow(index);
            let no_better = if narrowed { self.no_better(index, outcome) } else { None };
            let blamed = no_better.unwrap_or_else(|| self.fill(index, count, outcome));
            if narrowed {
                self.narrowed.pop();
            }
            return blamed;
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
                return look.blame.into();
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
        if blamed.all() != earlier && !self.done() {
            self.nogoods.learn(index, &self.picks, blamed);
        }
        blamed
    }

    /// Looks at what is still possible where that may have changed; whether it did look.
    fn narrow(&mut self, index: usize) -> bool {
        // Where there is nothing to choose it can wait for the next slot.
        if self.field.slots[index].len() == 1 && self.least[index] == 1 {
            return false;
        }
        let since = self.narrowed.last().map_or(0, |n| n.items);
        let changed = self.picks[since..].iter().fold(0, |all, p| all | bit(p.slot));
        if index > self.rule.pulled.0 as usize || changed & self.glance.narrowed_by(index) == 0 {
            return false;
        }
        let before = self.narrowed.last().map(|n| n.narrowed.clone()).unwrap_or_default();
        let narrowed = self.glance.narrow(index, &before);
        // Where nothing goes nothing is bought.
        let choice = if narrowed.dead { Choice::default() } else { self.purse.choice(&narrowed) };
        self.narrowed.push(Narrowing { narrowed, choice, items: self.picks.len() });
        true
    }

    /// The slots to blame when nothing that is still possible is better than the best known.
    fn no_better(&mut self, index: usize, outcome: Outcome) -> Option<Grounds> {
        let last = self.narrowed.last().filter(|_| index > 0)?;
        if last.narrowed.dead {
            return Some(last.narrowed.blame.into());
        }
        self.too_dear(outcome)
    }

    /// The slots that ruling this one out rests on, when it is.
    fn ruled_out(&self, pick: Pick, at: usize) -> Option<Slots> {
        let narrowed = &self.narrowed.last()?.narrowed;
        (!narrowed.allows(pick.slot, at, pick.turned)).then_some(narrowed.blame)
    }

    fn fill(&mut self, index: usize, count: u8, outcome: Outcome) -> Grounds {
        let slot = &self.rule.slots[index];
        let own = bit(SlotIx(index as u16));
        let mut blamed = Grounds::default();
        let least = self.least[index];
        if count >= least {
            blamed |= self.slot(index + 1, 0, outcome);
            if blamed.all() & own == 0 {
                return blamed;
            }
        }
        if count >= slot.most {
            return blamed;
        }
        let before = self.picks.last().copied().filter(|_| count > 0);
        for at in 0..self.field.slots[index].len() {
            let variant = self.field.slots[index][at];
            if let Some(dear) = self.dear_from(index, at, outcome) {
                return blamed | dear;
            }
            // Two rings that differ in nothing but length may change places: one order is enough.
            let alike = &self.ground.readies.alike;
            if before.is_some_and(|b| variant < b.variant && alike.change_places(b.variant, variant)) {
                continue;
            }
            for turned in [false, true] {
                let allowed = if turned { slot.turned } else { slot.as_drawn };
                let same = turned
                    && slot.as_drawn
                    && self.ground.readies.alike_turned.get(variant.0 as usize) == Some(&true);
                if !allowed || same {
                    continue;
                }
                let pick = Pick { slot: SlotIx(index as u16), variant, turned };
                if let Some(blame) = self.ruled_out(pick, at) {
                    blamed |= Grounds::from(blame | own);
                    continue;
                }
                let failed = self.try_pick(pick, count, outcome);
                if self.done() {
                    return Grounds::ALL;
                }
                if failed.all() & own == 0 {
                    return failed;
                }
                blamed |= failed;
                // It rests on what this costs, and all after it cost as much or more.
                if failed.held & own == 0 && slot.most == 1 && self.purse.sold_alone(index, at).is_some() {
                    return blamed;
                }
            }
        }
        blamed
    }

    /// Remembers what leads nowhere with the slots before `next` done, where that says more than that these picks do.
    pub(super) fn remember(&mut self, next: usize, blame: Slots) -> Grounds {
        if blame.count_ones() <= FEW || self.spares_a_choice(SlotIx(next as u16 - 1), blame) {
            self.nogoods.learn(next, &self.picks, blame.into());
        }
        blame.into()
    }

    /// Some earlier slot with a choice of parts is not to blame.
    fn spares_a_choice(&self, slot: SlotIx, blame: Slots) -> bool {
        let choice = |i: &usize| self.field.slots[*i].len() > usize::from(self.least[*i] > 0);
        (0..slot.0 as usize).filter(choice).any(|i| blame >> i & 1 == 0)
    }

    fn may_hold_more(&self, slot: SlotIx) -> bool {
        self.picks.iter().filter(|p| p.slot == slot).count() < self.rule.slot(slot).most as usize
    }

    fn try_pick(&mut self, pick: Pick, count: u8, outcome: Outcome) -> Grounds {
        if self.found.put_on >= self.want.limit {
            self.found.unfinished = true;
            return Grounds::ALL;
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

    fn put_on(&mut self, pick: Pick, count: u8, outcome: Outcome) -> Grounds {
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
            self.remember(pick.slot.0 as usize + 1, look.blame)
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
        if self.aside.is_some() {
            return;
        }
        let known = self.ground.outlines.borrow().get(&fork).cloned();
        match known {
            Some(outline) => self.glance.expect_again(outline),
            None => {
                self.glance.expect(&self.field.slots);
                self.ground.outlines.borrow_mut().insert(fork, self.glance.expected());
            }
        }
    }
}
