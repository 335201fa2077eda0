//! Sleeves and threads between the items that are there, known by the same rule as in the full assembly: of the
//! inner surfaces the first that the stack has counts, as soon as no later slot can change that.
//!
//! Must not know heights.

use super::figure::{Figure, Sizes};
use super::ready::{NameIx, Ready};
use super::rule::At;
use super::tall;
use super::{Glance, Seated};
use crate::assembly::blame::bit;
use crate::assembly::build::Pick;
use crate::assembly::given::Given;
use crate::assembly::ledger::{CaseValue, outcome_within};
use crate::assembly::report::{Demand, Outcome};
use crate::assembly::{check_items::closes_by, links::RING_SEAT, place};
use crate::kinds::{NamedDim, Shape};
use crate::quantity::{Ends, Form};
use crate::rules::SlotIx;
use std::sync::Arc;

type WallOf = (u8, NameIx);

#[derive(Clone, Copy, Debug)]
pub struct Sliding {
    /// Index into the rule's sleeves.
    pub sleeve: u16,
    pub outer: WallOf,
    pub inner: WallOf,
}

#[derive(Clone, Copy, Debug)]
pub struct Screwed {
    pub pair: u16,
    pub male: WallOf,
    pub female: WallOf,
    pub matches: bool,
}

impl Glance<'_> {
    /// Everything that is known once the slots up to `decided` have had their turn.
    pub(super) fn learn(&mut self, decided: SlotIx) {
        for pair in 0..self.lists.threads.len() {
            self.learn_screws(pair, decided);
        }
        for sleeve in 0..self.lists.sleeves.len() {
            self.learn_sleeves(sleeve, decided);
        }
    }

    fn learn_sleeves(&mut self, index: usize, decided: SlotIx) {
        let sleeve = &self.lists.sleeves[index];
        let (slot, surface) = sleeve.outer;
        if slot > decided {
            return;
        }
        let Some((inner_slot, inner_surface)) = self.first_there(&sleeve.inner, decided) else { return };
        let mut new: Vec<Sliding> = Vec::new();
        for outer in self.in_slot(slot) {
            let known = self.sleeves.iter().any(|s| usize::from(s.sleeve) == index && s.outer.0 == outer);
            if known || !self.items[outer as usize].ready.has_surface(surface) {
                continue;
            }
            for inner in self.in_slot(inner_slot).filter(|&i| i != outer) {
                let (outer, inner) = ((outer, surface), (inner, inner_surface));
                new.push(Sliding { sleeve: index as u16, outer, inner });
            }
        }
        self.sleeves.extend(new);
    }

    fn learn_screws(&mut self, pair: usize, decided: SlotIx) {
        if self.screws.iter().any(|s| usize::from(s.pair) == pair) {
            return;
        }
        let lists = &self.lists.threads[pair];
        let (Some(male), Some(female)) =
            (self.first_there(&lists.male, decided), self.first_there(&lists.female, decided))
        else {
            return;
        };
        let mut new: Vec<Screwed> = Vec::new();
        for m in self.in_slot(male.0) {
            for f in self.in_slot(female.0) {
                let of =
                    |item: u8, surface| self.items[item as usize].ready.thread(surface).map(|t| t.thread);
                let matches = of(m, male.1).is_some() && of(m, male.1) == of(f, female.1);
                new.push(Screwed { pair: pair as u16, male: (m, male.1), female: (f, female.1), matches });
            }
        }
        self.screws.extend(new);
    }

    pub(super) fn first_there(&self, refs: &[At], decided: SlotIx) -> Option<At> {
        for &(slot, surface) in refs {
            if self.in_slot(slot).any(|i| self.items[i as usize].ready.has_surface(surface)) {
                return Some((slot, surface));
            }
            if slot > decided {
                return None;
            }
        }
        None
    }

    pub(super) fn screwed(&self, bore: WallOf, male: WallOf) -> bool {
        self.screws.iter().any(|s| s.matches && s.male == male && s.female == bore)
    }

    /// Index of the rule's sleeve between the two walls.
    pub(super) fn sleeve_between(&self, bore: WallOf, outside: WallOf) -> Option<usize> {
        let found = self.sleeves.iter().find(|s| s.outer == bore && s.inner == outside)?;
        Some(usize::from(found.sleeve))
    }

    /// The part as it stands on its seat, if it takes one, and what the seat itself comes to.
    pub(super) fn made_ready(&mut self, pick: Pick) -> Option<(Arc<Ready>, Option<Seated>, Outcome)> {
        let rule = self.setting.rule;
        let shape = &self.setting.catalogue.variant(pick.variant).shape;
        let plain = self.readies.part(pick.variant, pick.turned, pick.slot.0 == 0)?;
        let press = rule
            .presses
            .iter()
            .enumerate()
            .find(|(_, p)| p.wall.slot == pick.slot && shape.has_surface(p.wall.surface));
        let (surface, (slot, seat), press) = match press {
            Some((index, press)) => {
                let names = &self.readies.names;
                let seats: Vec<At> = press.seat.iter().map(|s| (s.slot, names.of(s.surface))).collect();
                let Some(at) = self.first_there(&seats, pick.slot) else {
                    return Some((plain, None, Outcome::Fail));
                };
                let seat = press.seat.iter().find(|s| (s.slot, names.of(s.surface)) == at)?;
                (press.wall.surface, (at.0, seat.surface), Some(index as u16))
            }
            None if shape.features.split_ring => ("bore", (SlotIx(0), RING_SEAT), None),
            None => return Some((plain, None, Outcome::Pass)),
        };
        let Some(on) = self.in_slot(slot).next() else { return Some((plain, None, Outcome::Fail)) };
        let names = &self.readies.names;
        let seated = Seated { on, seat: names.of(seat), own: names.of(surface), press };
        let host = self.items[on as usize].pick;
        if let Some((ready, outcome)) = self.learned.seated.borrow().get(&(pick, host)) {
            return Some((Arc::clone(ready), Some(seated), *outcome));
        }
        let host_shape = &self.setting.catalogue.variant(host.variant).shape;
        let made = on_seat(self, pick, (shape, surface), (on, host_shape, seat), press);
        let (ready, outcome) = match made {
            Some(made) => made,
            None => (plain, Outcome::Pass),
        };
        self.learned.seated.borrow_mut().insert((pick, host), (Arc::clone(&ready), outcome));
        Some((ready, Some(seated), outcome))
    }

    pub(super) fn check_seat(&mut self, index: u8, outcome: Outcome) {
        let item = &self.items[index as usize];
        let slot = item.pick.slot;
        let rule = self.setting.rule;
        let press = item.seated.and_then(|s| s.press).or_else(|| {
            let shape = &self.setting.catalogue.variant(item.pick.variant).shape;
            let at =
                rule.presses.iter().position(|p| p.wall.slot == slot && shape.has_surface(p.wall.surface));
            at.map(|p| p as u16)
        });
        let demand = press.map_or(Demand::RingCloses(slot), Demand::Tightness);
        self.found(demand, bit(slot), outcome);
    }
}

/// The part with its wall on the seat, and the worst of what is asked of the seat.
fn on_seat(
    glance: &Glance<'_>,
    pick: Pick,
    (shape, surface): (&Shape, &'static str),
    (on, host_shape, seat): (u8, &Shape, &'static str),
    press: Option<u16>,
) -> Option<(Arc<Ready>, Outcome)> {
    let host = &glance.items[on as usize];
    let host_columns = place::columns(host_shape, shape.dims.len() as u32, host.pick.turned);
    let own_is_bore = shape.columns.iter().flat_map(|c| &c.segments).any(|s| s.bore.surface == surface);
    let segments = host_columns.iter().flat_map(|c| &c.segments);
    let seat = segments
        .map(|s| if own_is_bore { &s.outside } else { &s.bore })
        .find(|w| w.surface == seat)
        .map(|w| w.diameter[0].clone())?;
    let as_made = shape.walls().find(|w| w.surface == surface)?.diameter[0].clone();
    let mut columns = place::columns(shape, 0, pick.turned);
    if shape.features.split_ring {
        place::close_on(&mut columns, &as_made, &seat);
    } else {
        place::take_diameter(&mut columns, surface, &seat);
    }
    let own: Vec<Ends> = shape.dims.iter().map(NamedDim::ends).collect();
    let hosts: Vec<Ends> = host_shape.dims.iter().map(NamedDim::ends).collect();
    let lowers = tall::lowers(&columns, &[&own[..], &hosts[..]].concat());
    // As the host itself has them in the builds.
    let of_host = &host.ready.most_first;
    let mut sizes = Sizes::new();
    sizes.add(&own, |dim| lowers[dim]);
    sizes.add(&hosts, |dim| of_host[dim]);
    let ready = Ready::of(&glance.readies.names, shape, &columns, pick.turned, &sizes);
    let outcome = seat_outcome(glance, shape, (&as_made, &seat, own_is_bore), press, sizes.ends());
    Some((Arc::new(ready), outcome))
}

fn seat_outcome(
    glance: &Glance<'_>,
    shape: &Shape,
    (as_made, seat, own_is_bore): (&Form, &Form, bool),
    press: Option<u16>,
    dims: &[Ends],
) -> Outcome {
    let within =
        |form: Form, least, most| outcome_within(&CaseValue::of(form, Given::any(dims)), least, most);
    if shape.features.split_ring {
        let play = as_made.minus(seat);
        let slot = place::cuts(shape, 0, false).first().map_or_else(Form::zero, |c| closes_by(&c.width));
        return within(play.clone(), Some(0), None).max(within(slot.minus(&play), Some(0), None));
    }
    let Some(press) = press else { return Outcome::Pass };
    if let Some((least, most)) = glance.setting.rule.presses[press as usize].tightness {
        let tight = if own_is_bore { seat.minus(as_made) } else { as_made.minus(seat) };
        return within(tight, Some(least.as_nm()), Some(most.as_nm()));
    }
    let Some((least, most)) = &shape.features.fits_bore else { return Outcome::Pass };
    let forms = [seat.minus(least), most.minus(seat)];
    CaseValue::least_of(&forms, Given::any(dims))
        .map_or(Outcome::Pass, |value| outcome_within(&value, Some(0), None))
}

/// Bore minus outside at its narrowest and widest.
pub fn clearance(outer: &Ready, inner: &Ready, sliding: &Sliding) -> Option<(Figure, Figure)> {
    let bore = outer.walls(sliding.outer.1, true)?;
    let outside = inner.walls(sliding.inner.1, false)?;
    Some((bore.narrowest.minus(outside.widest), bore.widest.minus(outside.narrowest)))
}
