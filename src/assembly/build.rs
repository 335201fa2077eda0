//! A stack as it grows, item by item in drop order, and shrinks again: the search walks it like a hand.
//!
//! Invariants: `cases` is never empty; every case has a stand for every item; the first case is the one that
//! nominal sizes give. Taking off restores exactly what was there. Must not know which parts to try.

use super::case::{Case, MOST_CASES, Stand};
use super::links::{Links, Resolved};
use super::piece::{Piece, Side, faces};
use super::place;
use super::report::{ItemIx, PlacedColumn, PlacedCut};
use crate::catalogue::{Catalogue, VariantIx};
use crate::kinds::Shape;
use crate::quantity::{Ends, Form};
use crate::rules::{PutOn, Rule, Slot, SlotIx};
use serde::{Deserialize, Serialize};
use std::rc::Rc;

/// A part taken for a slot, one way up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Pick {
    pub slot: SlotIx,
    pub variant: VariantIx,
    pub turned: bool,
}

/// What is being built and what is being disregarded.
#[derive(Clone, Copy)]
pub struct Setting<'a> {
    pub rule: &'a Rule,
    pub catalogue: &'a Catalogue,
    pub bolts: &'a dyn super::Strengths,
    /// Demands that are not asked for: how a reason is found.
    pub waived: &'a [super::Demand],
    /// Dimensions set to an exact length, by slot and name: a head tube of another height.
    pub exact: &'a [(SlotIx, &'a str, i64)],
}

impl Setting<'_> {
    pub fn asks(&self, demand: super::Demand) -> bool {
        !self.waived.contains(&demand)
    }
}

/// An item as built.
pub struct Item<'a> {
    pub pick: Pick,
    pub shape: &'a Shape,
    pub offset: u32,
    pub columns: Vec<PlacedColumn>,
    pub cuts: Vec<PlacedCut>,
    pub pinches: Vec<Form>,
    pub height: Form,
    pub tops: Vec<Piece>,
    pub bottoms: Vec<Piece>,
    /// Wall, its diameter as made, and the seat's diameter it took.
    pub seated: Option<Seated>,
}

#[derive(Clone, Debug)]
pub struct Seated {
    pub surface: &'static str,
    pub as_made: Form,
    pub seat: Form,
    pub on: (ItemIx, &'static str),
    /// Index into the rule's presses; `None`: a split ring on its own.
    pub press: Option<u16>,
}

pub struct Build<'a> {
    pub setting: Setting<'a>,
    pub dims: Vec<Ends>,
    pub items: Vec<Item<'a>>,
    pub cases: Vec<Case>,
    pub links: Links,
    pub merged: bool,
    marks: Vec<Mark>,
}

struct Mark {
    dims: usize,
    cases: Vec<Case>,
    links: super::links::LinkMark,
    merged: bool,
}

impl<'a> Build<'a> {
    pub fn new(setting: Setting<'a>) -> Build<'a> {
        Build {
            setting,
            dims: Vec::new(),
            items: Vec::new(),
            cases: vec![Case::default()],
            links: Links::default(),
            merged: false,
            marks: Vec::new(),
        }
    }

    /// All of these on, in drop order, and everything known that waited for later slots.
    pub fn of(setting: Setting<'a>, picks: &[Pick]) -> Build<'a> {
        let mut build = Build::new(setting);
        for &pick in picks {
            build.put_on(pick);
        }
        build.complete();
        build
    }

    pub fn slot_of(&self, item: ItemIx) -> &'a Slot {
        self.setting.rule.slot(self.item(item).pick.slot)
    }

    pub fn item(&self, item: ItemIx) -> &Item<'a> {
        &self.items[item.0 as usize]
    }

    pub fn all(&self) -> impl DoubleEndedIterator<Item = ItemIx> + use<> {
        (0..self.items.len()).map(|i| ItemIx(i as u16))
    }

    pub fn in_slot(&self, slot: SlotIx) -> impl Iterator<Item = ItemIx> + '_ {
        self.all().filter(move |&i| self.item(i).pick.slot == slot)
    }

    pub fn filled(&self, slot: SlotIx) -> bool {
        self.in_slot(slot).next().is_some()
    }

    /// The host item of a rider, once it is there.
    pub fn host(&self, item: ItemIx) -> Option<ItemIx> {
        self.slot_of(item).host.and_then(|slot| self.in_slot(slot).next())
    }

    pub fn is_chosen(&self, item: ItemIx) -> bool {
        matches!(self.slot_of(item).put_on, PutOn::Chosen(_))
    }

    /// Height of an item's bottom in a case; a chosen one has none, one that lies loose has the least it can be.
    pub fn bottom<'c>(&'c self, case: &'c Case, item: ItemIx) -> Option<&'c Form> {
        if self.is_chosen(item) {
            return None;
        }
        case.stands.get(item.0 as usize)?.height.as_ref()
    }

    /// The next item in drop order is put on. Returns the sleeves that became known by it.
    pub fn put_on(&mut self, pick: Pick) -> Vec<Resolved> {
        let mark = Mark {
            dims: self.dims.len(),
            cases: self.cases.clone(),
            links: self.links.mark(),
            merged: self.merged,
        };
        self.marks.push(mark);
        let index = ItemIx(self.items.len() as u16);
        self.add_item(pick);
        let known = self.link(index);
        self.drop_item(index);
        known
    }

    /// Every slot has had its turn: sleeves that waited for a later slot are known now.
    pub fn complete(&mut self) -> Vec<Resolved> {
        let mut links = std::mem::take(&mut self.links);
        let known = links.learn_rest(self);
        self.links = links;
        known
    }

    /// Judges the stack as complete, and leaves it as it was, ready to go on.
    pub fn judged<T>(&mut self, judge: impl Fn(&Build<'a>) -> T) -> T {
        let mark = self.links.mark();
        self.complete();
        let judgement = judge(self);
        self.links.restore(mark);
        judgement
    }

    /// Takes the last item off again.
    pub fn take_off(&mut self) {
        let Some(mark) = self.marks.pop() else { return };
        self.items.pop();
        self.dims.truncate(mark.dims);
        self.cases = mark.cases;
        self.links.restore(mark.links);
        self.merged = mark.merged;
    }

    fn add_item(&mut self, pick: Pick) {
        let shape = &self.setting.catalogue.variant(pick.variant).shape;
        let offset = self.dims.len() as u32;
        let exact = self.setting.exact;
        self.dims.extend(shape.dims.iter().map(|d| {
            let set = exact.iter().find(|(slot, name, _)| *slot == pick.slot && *name == d.name);
            match set {
                Some(&(_, _, length)) => Ends { nominal: length, least: length, most: length },
                None => d.ends(),
            }
        }));
        let mut columns = place::columns(shape, offset, pick.turned);
        let seated = super::links::seat_of(self, pick, shape, offset);
        if let Some(seated) = &seated {
            if shape.features.split_ring {
                place::close_on(&mut columns, &seated.as_made, &seated.seat);
            } else {
                place::take_diameter(&mut columns, seated.surface, &seated.seat);
            }
        }
        let tops = faces(&columns, Side::Top, &self.dims);
        let bottoms = faces(&columns, Side::Bottom, &self.dims);
        self.items.push(Item {
            pick,
            shape,
            offset,
            cuts: place::cuts(shape, offset, pick.turned),
            pinches: place::pinches(shape, offset, pick.turned),
            height: shape.height.shifted(offset),
            columns,
            tops,
            bottoms,
            seated,
        });
    }

    fn link(&mut self, index: ItemIx) -> Vec<Resolved> {
        let mut links = std::mem::take(&mut self.links);
        let known = links.learn(self, index);
        self.links = links;
        known
    }

    fn drop_item(&mut self, index: ItemIx) {
        let slot = self.slot_of(index);
        match slot.put_on {
            PutOn::Fixed => {
                let item = self.item(index);
                let height = item.shape.datum.shifted(item.offset).negated();
                let bounds = Some(super::piece::Bounds::of(&height, &self.dims));
                self.stand_everywhere(Stand { height: Some(height), bounds, touches: Vec::new() });
            }
            PutOn::Chosen(_) => self.stand_everywhere(Stand::default()),
            PutOn::FromAbove | PutOn::Loose | PutOn::Threaded | PutOn::Pressed | PutOn::FromBelow => {
                self.land(index, slot.put_on == PutOn::FromBelow);
            }
        }
    }

    fn stand_everywhere(&mut self, stand: Stand) {
        let stand = Rc::new(stand);
        for case in &mut self.cases {
            case.stands.push(Rc::clone(&stand));
        }
    }

    fn land(&mut self, index: ItemIx, from_below: bool) {
        let cases = std::mem::take(&mut self.cases);
        let mut settled = Vec::with_capacity(cases.len());
        let meetings = super::land::meetings(self, index, from_below);
        for case in cases {
            super::land::settle(self, case, &meetings, from_below, &mut settled);
        }
        if settled.len() > MOST_CASES {
            settled.truncate(MOST_CASES);
            self.merged = true;
        }
        self.cases = settled;
    }
}
