//! A quick look at a growing stack: what could at best come of it.
//!
//! It drops the same parts by the same rules as the full assembly, but counts in plain numbers: a few real builds
//! at once (nominal sizes; fork large under small parts; the reverse) and the ends between which every height
//! lies. A plan that already fails in one real build cannot go; one that fails between all ends cannot be built.
//! Invariant, held by a test over thousands of stacks: it never finds worse than the full judgement does. It
//! leaves some checks to that judgement, so what it lets through is not yet a plan.
//! Must not know search.
//!
//! A fork is reckoned from its datum, and a face by where its line meets the axis, so that two cones of one angle are as far
//! apart as their lines: what counts once is not taken at both its ends. That an item stands on the wrong part or rubs on one
//! rests on what settles how high the two stand against each other, not on what lies below both (`settle`).

mod above;
mod ahead;
mod alike;
mod between;
mod checks;
mod clamp_room;
mod diameters;
mod figure;
mod finish;
mod floors;
mod gap;
mod heights;
mod held;
mod land;
mod links;
mod narrow;
mod outline;
mod overlaps;
mod reach;
mod ready;
mod rule;
mod sorted;
mod standing;
mod still;
mod tall;

pub use alike::Alike;
pub use narrow::Narrowed;
pub use outline::Outline;
pub use ready::{NameIx, Readies};
pub use rule::OfRule;

use super::blame::{ALL, Blame, Slots, bit};
use super::build::{Pick, Setting};
use super::report::{Contact, Demand, Outcome};
use crate::rules::{PutOn, Slot, SlotIx};
use between::Standing;
use figure::Figure;
use floors::OfSlot;
use heights::Bound;
use links::{Screwed, Sliding};
use ready::Ready;
use rule::Lists;
use rustc_hash::FxHashMap as HashMap;
use smallvec::SmallVec;
use sorted::Kept;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use std::sync::Arc;

/// What an item may touch.
#[derive(Clone, Copy, Debug)]
pub struct Touch {
    item: u8,
    column: NameIx,
    own_column: NameIx,
    contact: Contact,
    /// Of the seat in the middle, both sides of the axis together.
    width: Figure,
    /// How far its bottom is over the other's at least, where the two surely meet.
    over: Option<i64>,
    /// In which of the builds it is touched, bit by bit.
    builds: u8,
}

struct Item {
    pick: Pick,
    ready: Arc<Ready>,
    seated: Option<Seated>,
    bottom: Option<Figure>,
    /// Where it stands on one item only, whatever the sizes.
    on: Option<Standing>,
    touches: SmallVec<[Touch; 8]>,
    /// Slots of what it may touch.
    touched: Slots,
    /// How far it can come down, once asked for.
    down: Cell<Option<gap::Down>>,
    /// How high parts of slots to come stand at least for it and what stands still below it, once asked for.
    floors: RefCell<SmallVec<[OfSlot; 2]>>,
    /// Lengths of the lists of links before it went on.
    sleeves: usize,
    screws: usize,
    bounds: usize,
}

/// Whose diameter an item's wall took.
#[derive(Clone, Copy, Debug)]
struct Seated {
    on: u8,
    /// The seat's surface and the own wall that took its diameter.
    seat: NameIx,
    own: NameIx,
    press: Option<u16>,
}

/// A seated part, made ready on its seat: part, way up; seat's part, way up, in slot 0 or not.
type SeatedKey = (Pick, Pick);

/// What looks in one setting have worked out about pairs of parts.
#[derive(Default)]
pub struct Learned {
    seated: RefCell<HashMap<SeatedKey, (Arc<Ready>, Outcome)>>,
    /// Engaged length that a male and a female part need.
    needed: RefCell<HashMap<(u32, u32), Option<i64>>>,
}

/// What could at best come of it, and the slots to blame when that is worse than asked for.
#[derive(Clone, Copy, Debug)]
pub struct Look {
    pub outcome: Outcome,
    pub blame: Slots,
    /// What the worst finding is about.
    pub why: Option<Demand>,
}

impl Look {
    const FINE: Look = Look { outcome: Outcome::Pass, blame: ALL, why: None };
}

pub struct Glance<'a> {
    setting: Setting<'a>,
    readies: &'a Readies,
    blame: Arc<Blame>,
    lists: Arc<Lists>,
    kept: Arc<Kept>,
    at_worst: Outcome,
    items: Vec<Item>,
    sleeves: Vec<Sliding>,
    screws: Vec<Screwed>,
    /// Of heights that are chosen.
    bounds: Vec<Bound>,
    learned: Rc<Learned>,
    look: Look,
    outline: Rc<Outline>,
    /// What rests on any of these slots is not found.
    aside: Slots,
}

impl<'a> Glance<'a> {
    /// `at_worst`: findings worse than this are blamed on slots.
    pub fn new(setting: Setting<'a>, readies: &'a Readies, at_worst: Outcome) -> Glance<'a> {
        Glance::knowing((setting, readies), at_worst, readies.of_rule(setting), Rc::default())
    }

    /// The same where it is known already what follows from the rule in this setting; `learned`: shared by looks in the same
    /// setting.
    pub fn knowing(
        (setting, readies): (Setting<'a>, &'a Readies),
        at_worst: Outcome,
        OfRule { blame, lists, kept }: OfRule,
        learned: Rc<Learned>,
    ) -> Glance<'a> {
        Glance {
            setting,
            readies,
            blame,
            lists,
            kept,
            at_worst,
            items: Vec::new(),
            sleeves: Vec::new(),
            screws: Vec::new(),
            bounds: Vec::new(),
            learned,
            look: Look::FINE,
            outline: Rc::default(),
            aside: 0,
        }
    }

    /// Of findings that are worse than asked for, those that rest on any of these slots do not count.
    pub fn leave_aside(&mut self, slots: Slots) {
        self.aside = slots;
    }

    /// Puts an item on, in drop order, and looks.
    pub fn put_on(&mut self, pick: Pick) -> Look {
        self.look = Look::FINE;
        let index = self.items.len() as u8;
        let Some((ready, seated, seat_outcome)) = self.made_ready(pick) else {
            return Look { outcome: Outcome::Measure, ..Look::FINE };
        };
        let (sleeves, screws) = (self.sleeves.len(), self.screws.len());
        self.items.push(Item {
            pick,
            ready,
            seated,
            bottom: None,
            on: None,
            touches: SmallVec::new(),
            touched: 0,
            down: Cell::new(None),
            floors: RefCell::default(),
            sleeves,
            screws,
            bounds: self.bounds.len(),
        });
        self.learn(pick.slot);
        self.drop_item(index);
        self.check_seat(index, seat_outcome);
        self.check_item(index);
        for at in sleeves..self.sleeves.len() {
            self.check_sleeve(at);
        }
        self.check_slits(pick.slot);
        self.check_screws(index);
        self.check_still(index);
        if !self.is_bad() {
            self.check_heights(index);
        }
        self.check_clamp_room(index);
        self.check_bare(index);
        if pick.slot == self.setting.rule.pulled {
            self.check_gap();
        }
        self.look
    }

    fn is_bad(&self) -> bool {
        self.look.outcome > self.at_worst
    }

    /// Looks ahead with the slots before `next` done.
    pub fn ahead(&mut self, next: usize) -> Look {
        self.look = Look::FINE;
        self.check_gap_ahead(next);
        self.look
    }

    pub fn take_off(&mut self) {
        if let Some(item) = self.items.pop() {
            self.sleeves.truncate(item.sleeves);
            self.screws.truncate(item.screws);
            self.bounds.truncate(item.bounds);
        }
    }

    /// Looks at the stack as a finished one, and leaves it as it was.
    pub fn finished(&mut self) -> Look {
        self.look = Look::FINE;
        let marks = (self.sleeves.len(), self.screws.len());
        self.learn(SlotIx(u16::MAX));
        self.check_finished();
        self.check_finished_heights(marks.0, marks.1);
        self.sleeves.truncate(marks.0);
        self.screws.truncate(marks.1);
        self.look
    }

    fn drop_item(&mut self, index: u8) {
        let put_on = self.slot_of(index).put_on;
        match put_on {
            PutOn::Fixed => {
                self.items[index as usize].bottom = Some(Figure::ZERO);
            }
            PutOn::Chosen(_) => {}
            PutOn::FromAbove | PutOn::Loose | PutOn::Threaded | PutOn::Pressed | PutOn::FromBelow => {
                let slot = self.items[index as usize].pick.slot;
                let landing = land::land(self, index, put_on == PutOn::FromBelow);
                if landing.bottom.is_some() && !landing.everywhere {
                    self.found(Demand::Lands(slot), bit(slot), Outcome::Measure);
                }
                let slots = landing.touches.iter().map(|t| bit(self.items[t.item as usize].pick.slot));
                let touched = slots.fold(0, |all, slot| all | slot);
                let item = &mut self.items[index as usize];
                (item.bottom, item.on, item.touched) = (landing.bottom, landing.on, touched);
                item.touches = landing.touches;
            }
        }
    }

    /// The worst finding counts; of those worse than asked for, the one that lets a search go back furthest.
    fn found(&mut self, demand: Demand, own: Slots, outcome: Outcome) {
        if outcome == Outcome::Pass || !self.setting.asks(demand) {
            return;
        }
        let slots = if outcome > self.at_worst { self.blamed(demand, own) } else { ALL };
        self.found_on(demand, outcome, slots);
    }

    /// What a finding about items of the slots `own` rests on.
    fn blamed(&self, demand: Demand, own: Slots) -> Slots {
        let all = self.rests(demand, own);
        // How high these stand matters only against each other.
        let against = match demand {
            Demand::RestsOn(_) => self.settle(own | self.touched(own)),
            Demand::Still => self.settle(own),
            _ => None,
        };
        against.map_or(all, |against| all.min(against | self.seats(against)))
    }

    /// The same with all that settles how high those items stand.
    fn rests(&self, demand: Demand, own: Slots) -> Slots {
        let slots = self.blame.slots(self.setting.rule, demand, own, &|slots| self.touched(slots), false);
        slots | self.seats(slots)
    }

    /// Slots that settle how high items of these slots stand against each other in any plan that passes: what each may rest
    /// on, down to what they have in common. `None` where something else settles it as well.
    fn settle(&self, slots: Slots) -> Option<Slots> {
        let rule = self.setting.rule;
        let (mut all, mut open) = (slots, slots);
        while let Some(top) = open.checked_ilog2().map(|top| SlotIx(top as u16)) {
            // What they have in common: one item. Of several in a slot each may rest on what is below the slot.
            if open == bit(top) && self.in_slot(top).count() < 2 {
                break;
            }
            let under = self.lists.rests_on[top.0 as usize];
            let from_above = matches!(
                rule.slot(top).put_on,
                PutOn::FromAbove | PutOn::Loose | PutOn::Threaded | PutOn::Pressed
            );
            if under == Slots::MAX || !from_above {
                return None;
            }
            let under = under & (bit(top) - 1);
            all |= under;
            open = open & !bit(top) | under;
        }
        let lists = super::blame::met_anyhow(rule, all);
        Some(all | lists)
    }

    /// Slots of what the items of these slots may touch.
    fn touched(&self, slots: Slots) -> Slots {
        let items = self.items.iter().filter(|i| slots & bit(i.pick.slot) != 0);
        items.fold(0, |all, item| all | item.touched)
    }

    fn found_on(&mut self, demand: Demand, outcome: Outcome, slots: Slots) {
        if outcome == Outcome::Pass || !self.setting.asks(demand) {
            return;
        }
        if outcome > self.at_worst && slots & self.aside != 0 {
            return;
        }
        if outcome > self.look.outcome {
            (self.look.outcome, self.look.why) = (outcome, Some(demand));
        }
        if outcome > self.at_worst {
            self.look.blame = self.look.blame.min(slots);
        }
    }

    /// Slots whose diameters the items of these slots took.
    fn seats(&self, slots: Slots) -> Slots {
        let seated = self.items.iter().filter(|i| slots & bit(i.pick.slot) != 0);
        seated.filter_map(|i| i.seated).fold(0, |all, s| {
            all | super::blame::seat_slots(self.setting.rule, s.press)
                | bit(self.items[s.on as usize].pick.slot)
        })
    }

    fn slot_of(&self, item: u8) -> &'a Slot {
        self.setting.rule.slot(self.items[item as usize].pick.slot)
    }

    fn in_slot(&self, slot: SlotIx) -> impl DoubleEndedIterator<Item = u8> + '_ {
        (0..self.items.len() as u8).filter(move |&i| self.items[i as usize].pick.slot == slot)
    }

    fn host(&self, item: u8) -> Option<u8> {
        self.slot_of(item).host.and_then(|slot| self.in_slot(slot).next())
    }

    fn is_chosen(&self, item: u8) -> bool {
        matches!(self.slot_of(item).put_on, PutOn::Chosen(_))
    }

    fn bottom(&self, item: u8) -> Option<Figure> {
        if self.is_chosen(item) { None } else { self.items[item as usize].bottom }
    }
}
