//! What the rule says two items are to each other: sleeves, screwed threads, seats taken.
//!
//! Of a sleeve's inner surfaces the first that the stack has counts; it is known as soon as no later slot can
//! change that. Must not know heights.

use super::build::{Build, Pick, Seated};
use super::meet::{Sliding, Surfaces};
use super::report::{Demand, ItemIx};
use crate::kinds::Shape;
use crate::quantity::Form;
use crate::rules::{SlotIx, SurfaceRef};

/// The surface of a fork that a split ring centres on unless the rule's press says otherwise.
pub const RING_SEAT: &str = "steerer";

/// A wall of an item.
pub type WallOf = (ItemIx, &'static str);

/// A sleeve of the rule between two items that are there.
#[derive(Clone, Debug, PartialEq)]
pub struct Resolved {
    /// Index into the rule's sleeves.
    pub sleeve: u16,
    pub outer: WallOf,
    pub inner: WallOf,
    /// Bore minus outside, in diameter. The narrowest and the widest pair of walls of these names.
    pub clearances: Vec<Form>,
}

/// A thread in its mate.
#[derive(Clone, Debug, PartialEq)]
pub struct Screwed {
    /// Index into the rule's thread pairs.
    pub pair: u16,
    pub male: WallOf,
    pub female: WallOf,
    pub matches: bool,
}

#[derive(Clone, Debug, Default)]
pub struct Links {
    pub sleeves: Vec<Resolved>,
    pub screws: Vec<Screwed>,
}

#[derive(Clone, Copy, Debug)]
pub struct LinkMark {
    sleeves: usize,
    screws: usize,
}

impl Links {
    pub fn mark(&self) -> LinkMark {
        LinkMark { sleeves: self.sleeves.len(), screws: self.screws.len() }
    }

    pub fn restore(&mut self, mark: LinkMark) {
        self.sleeves.truncate(mark.sleeves);
        self.screws.truncate(mark.screws);
    }

    /// Adds what became known by the item just added; returns the new sleeves.
    pub fn learn(&mut self, build: &Build<'_>, index: ItemIx) -> Vec<Resolved> {
        let decided = build.item(index).pick.slot;
        self.learn_screws(build, decided);
        self.learn_sleeves(build, decided)
    }

    /// Nothing more will be added: what waited for a later slot is known now.
    pub fn learn_rest(&mut self, build: &Build<'_>) -> Vec<Resolved> {
        let all = SlotIx(u16::MAX);
        self.learn_screws(build, all);
        self.learn_sleeves(build, all)
    }

    fn learn_sleeves(&mut self, build: &Build<'_>, decided: SlotIx) -> Vec<Resolved> {
        let mut new = Vec::new();
        for (index, sleeve) in build.setting.rule.sleeves.iter().enumerate() {
            if sleeve.outer.slot > decided {
                continue;
            }
            let Some((inner_slot, inner_surface)) = first_there(build, &sleeve.inner, decided) else {
                continue;
            };
            for outer in build.in_slot(sleeve.outer.slot) {
                let known = |r: &Resolved| r.sleeve == index as u16 && r.outer.0 == outer;
                if self.sleeves.iter().any(known)
                    || !build.item(outer).shape.has_surface(sleeve.outer.surface)
                {
                    continue;
                }
                for inner in build.in_slot(inner_slot).filter(|&i| i != outer) {
                    let (outer, inner) = ((outer, sleeve.outer.surface), (inner, inner_surface));
                    let clearances = clearances(build, outer, inner);
                    new.push(Resolved { sleeve: index as u16, outer, inner, clearances });
                }
            }
        }
        self.sleeves.extend(new.iter().cloned());
        new
    }

    fn learn_screws(&mut self, build: &Build<'_>, decided: SlotIx) {
        for (index, pair) in build.setting.rule.threads.iter().enumerate() {
            if self.screws.iter().any(|s| s.pair == index as u16) {
                continue;
            }
            let male = first_there(build, &pair.male, decided);
            let female = first_there(build, &pair.female, decided);
            let (Some((male_slot, male)), Some((female_slot, female))) = (male, female) else { continue };
            for m in build.in_slot(male_slot) {
                for f in build.in_slot(female_slot) {
                    let matches = thread(build.item(m).shape, male).is_some()
                        && thread(build.item(m).shape, male) == thread(build.item(f).shape, female);
                    self.screws.push(Screwed {
                        pair: index as u16,
                        male: (m, male),
                        female: (f, female),
                        matches,
                    });
                }
            }
        }
    }
}

fn thread(shape: &Shape, surface: &str) -> Option<crate::quantity::Thread> {
    shape.features.threads.iter().find(|t| t.surface == surface).map(|t| t.thread)
}

/// The first reference that is filled and has the surface; `None` also while a slot before it is undecided.
pub fn first_there(
    build: &Build<'_>,
    refs: &[SurfaceRef],
    decided: SlotIx,
) -> Option<(SlotIx, &'static str)> {
    for surface in refs {
        let there = build.in_slot(surface.slot).any(|i| build.item(i).shape.has_surface(surface.surface));
        if there {
            return Some((surface.slot, surface.surface));
        }
        if surface.slot > decided {
            return None;
        }
    }
    None
}

/// Diameters of the walls of that name: bores or outsides.
pub fn diameters(build: &Build<'_>, wall: WallOf, bore: bool) -> Vec<Form> {
    let mut found: Vec<Form> = Vec::new();
    for segment in build.item(wall.0).columns.iter().flat_map(|c| &c.segments) {
        let side = if bore { &segment.bore } else { &segment.outside };
        if side.surface == wall.1 {
            for diameter in &side.diameter {
                if !found.contains(diameter) {
                    found.push(diameter.clone());
                }
            }
        }
    }
    found
}

fn clearances(build: &Build<'_>, outer: WallOf, inner: WallOf) -> Vec<Form> {
    let bores = diameters(build, outer, true);
    let outsides = diameters(build, inner, false);
    bores.iter().flat_map(|b| outsides.iter().map(move |o| b.minus(o))).collect()
}

/// The seat whose diameter a pressed wall or a split ring of the new part takes.
pub fn seat_of(build: &Build<'_>, pick: Pick, shape: &Shape, offset: u32) -> Option<Seated> {
    let rule = build.setting.rule;
    let press = rule
        .presses
        .iter()
        .enumerate()
        .find(|(_, p)| p.wall.slot == pick.slot && shape.has_surface(p.wall.surface));
    let (surface, seat, press) = match press {
        Some((index, press)) => {
            (press.wall.surface, first_there(build, &press.seat, pick.slot)?, Some(index as u16))
        }
        None if shape.features.split_ring => ("bore", (SlotIx(0), RING_SEAT), None),
        None => return None,
    };
    let (slot, seat_surface) = seat;
    let on = build.in_slot(slot).next()?;
    let as_made = shape.walls().find(|w| w.surface == surface)?.diameter[0].shifted(offset);
    // A bore is pressed over an outside, an outside into a bore.
    let own_is_bore = shape.columns.iter().flat_map(|c| &c.segments).any(|s| s.bore.surface == surface);
    let seat = diameters(build, (on, seat_surface), !own_is_bore).into_iter().next()?;
    Some(Seated { surface, as_made, seat, on: (on, seat_surface), press })
}

impl Surfaces for Build<'_> {
    fn screwed(&self, bore: (ItemIx, &str), male: (ItemIx, &str)) -> bool {
        self.links.screws.iter().any(|s| s.matches && s.male == male && s.female == bore)
    }

    fn sleeve(&self, bore: (ItemIx, &str), outside: (ItemIx, &str)) -> Option<Sliding> {
        let resolved = self.links.sleeves.iter().find(|r| r.outer == bore && r.inner == outside)?;
        let always = !self.setting.asks(Demand::SleeveClearance(resolved.sleeve));
        Some(Sliding { springs: self.setting.rule.sleeves[resolved.sleeve as usize].springs, always })
    }
}
