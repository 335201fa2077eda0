//! Which slots a failing finding rests on: with the same parts in those slots it fails whatever stands in the others.
//!
//! Sets of slots are bit sets, slot 0 lowest. A landing rests on the slots an item may rest on, and on what decides
//! whether the two may touch: metal of any other slot could only lift the item off them, and that is no allowed
//! support either. Where an item does touch such metal now, its height rests on that, too. Must not know search.

use super::build::Build;
use super::report::{Demand, ItemIx};
use crate::catalogue::Catalogue;
use crate::kinds::Shape;
use crate::rules::{MOST_SLOTS, PutOn, Rule, SlotIx, SurfaceRef};

/// Slots, bit by bit: a rule file has no more slots than there are bits.
pub type Slots = u64;
const _: () = assert!(MOST_SLOTS <= Slots::BITS as usize);

/// From slots to those that their items touch.
pub type Touched<'t> = &'t dyn Fn(Slots) -> Slots;

/// Every slot: nothing better can be said.
pub const ALL: Slots = Slots::MAX;

pub fn bit(slot: SlotIx) -> Slots {
    1_u64.checked_shl(u32::from(slot.0)).unwrap_or(ALL)
}

/// For each slot what an item in it owes its height to, itself included.
#[derive(Clone, Debug)]
pub struct Blame {
    basis: Vec<Slots>,
    path: Slots,
    /// Slots whose items are fixed to the fork.
    fixed: Slots,
    /// Slots whose items' heights are chosen: they neither are pushed along nor stop anything.
    chosen: Slots,
    /// Slots whose items lie wherever they can.
    loose: Slots,
    /// For each slot those whose items may keep one in it in the middle, or be kept there by it.
    guides: Vec<Slots>,
}

impl Blame {
    pub fn of(rule: &Rule, catalogue: &Catalogue, waived: &[Demand]) -> Blame {
        let mut basis: Vec<Slots> = Vec::with_capacity(rule.slots.len());
        for (index, slot) in rule.slots.iter().enumerate() {
            let own = SlotIx(index as u16);
            let earlier = bit(own) - 1;
            let free = waived.contains(&Demand::RestsOn(own)) || waived.contains(&Demand::Lands(own));
            let any = slot.rests_on.is_empty() || free;
            let rests = if any { ALL } else { slot.rests_on.iter().fold(0, |all, s| all | bit(*s)) };
            let hosting = hosts(rule, bit(own)) | riders(rule, bit(own)) | pressed_on(rule, own);
            let direct = (rests | hosting | together(rule, own, rests)) & earlier;
            let whole = basis
                .iter()
                .enumerate()
                .filter(|(i, _)| direct >> i & 1 == 1)
                .fold(bit(own) | direct, |all, (_, b)| all | b);
            basis.push(whole);
        }
        let path = rule.path.iter().fold(0, |all, s| all | bit(s.slot));
        let on_fork = |s: &&SurfaceRef| s.slot.0 == 0;
        let chosen = filled(rule, |s| matches!(rule.slot(s).put_on, PutOn::Chosen(_)));
        let chosen = chosen.fold(0, |all, s| all | bit(s));
        let loose = filled(rule, |s| rule.slot(s).put_on == PutOn::Loose).fold(0, |all, s| all | bit(s));
        let stands = |slot: SlotIx| chosen & bit(slot) == 0;
        let pressed =
            rule.presses.iter().filter(|p| stands(p.wall.slot) && p.seat.iter().any(|s| on_fork(&s)));
        let hosted = (0..rule.slots.len()).map(|i| SlotIx(i as u16));
        let hosted = hosted.filter(|&s| rule.slot(s).host == Some(SlotIx(0)) && stands(s));
        let fixed =
            pressed.map(|p| bit(p.wall.slot)).chain(hosted.map(bit)).fold(bit(SlotIx(0)), |all, s| all | s);
        Blame { basis, path, fixed, chosen, loose, guides: guides(rule, catalogue, waived) }
    }

    /// What items of these slots owe their heights to; `touched`: the slots that items of some slots touch now,
    /// allowed or not.
    fn basis(&self, slots: Slots, touched: Touched<'_>) -> Slots {
        let mut all = slots;
        loop {
            let before = all;
            for (index, basis) in self.basis.iter().enumerate() {
                if all >> index & 1 == 1 {
                    all |= basis;
                }
            }
            all |= touched(all);
            if all == before {
                return all;
            }
        }
    }

    /// Slots on a chain of guides from one of these to another: those that no single other slot parts from both.
    fn between(&self, ends: Slots) -> Slots {
        if self.guides.is_empty() || ends.count_ones() < 2 {
            return ALL;
        }
        let reaches_without = |slot: usize, left_out: usize| {
            let (mut seen, mut next) = (1_u64 << slot, 1_u64 << slot);
            while next != 0 {
                let from = next.trailing_zeros() as usize;
                next &= next - 1;
                let new = self.guides[from] & !seen & !(1 << left_out);
                (seen, next) = (seen | new, next | new);
            }
            seen & ends != 0
        };
        let count = self.guides.len();
        let lies = |slot: &usize| (0..count).filter(|c| c != slot).all(|c| reaches_without(*slot, c));
        (0..count).filter(lies).fold(0, |all, slot| all | 1 << slot)
    }

    /// What a failing finding rests on. `complete`: it was found about a complete stack, with drift.
    pub fn finding(&self, build: &Build<'_>, demand: Demand, about: &[ItemIx], complete: bool) -> Slots {
        let own = about.iter().fold(0, |all, &i| all | bit(build.item(i).pick.slot));
        let found = self.slots(build.setting.rule, demand, own, &|slots| touched(build, slots), complete);
        found | seats(build, found)
    }

    /// What it rests on that there is no height for what stands in `own`: what leaves none comes from `with`.
    pub fn no_height(&self, build: &Build<'_>, own: SlotIx, with: Slots) -> Slots {
        let found = self.basis(bit(own) | with, &|slots| touched(build, slots));
        found | seats(build, found)
    }

    /// The same for items of the slots `own`; seats taken are not counted.
    pub fn slots(
        &self,
        rule: &Rule,
        demand: Demand,
        own: Slots,
        touched: Touched<'_>,
        complete: bool,
    ) -> Slots {
        let basis = |slots: Slots| self.basis(slots, touched);
        match demand {
            Demand::SleeveClearance(index) => own | sleeve(rule, index),
            Demand::SleeveOverlap(index) => basis(own) | sleeve(rule, index),
            Demand::Tightness(index) => {
                let press = &rule.presses[index as usize];
                own | bit(press.wall.slot) | slots_of(&press.seat)
            }
            Demand::Seat(_) if complete => ALL,
            Demand::Path if own == 0 => ALL,
            Demand::Lands(_) | Demand::RestsOn(_) | Demand::Seat(_) => {
                basis(own) | touching(rule, own, touched(own))
            }
            Demand::Path => basis(own | bit(rule.pulled)) | touching(rule, own, touched(own)) | self.path,
            Demand::GapLeast => {
                let pushed = basis(own | bit(rule.pulled));
                basis(pushed | self.fixed | riders(rule, pushed) & !self.chosen)
            }
            Demand::RingCloses(_) => own | bit(SlotIx(0)),
            Demand::ThreadMatch(index) => own | thread(rule, index),
            Demand::Engagement(index) => basis(own) | thread(rule, index),
            Demand::Spare(index) => {
                let named = own | thread(rule, index);
                let hosts = hosts(rule, named);
                basis(named | hosts | riders(rule, named | hosts))
            }
            Demand::GripCloses(index) => own | grip(rule, index),
            Demand::GripLength(index) | Demand::GripPinch(index) | Demand::SlitReach(index) => {
                basis(own | grip(rule, index))
            }
            Demand::Slit(index) => {
                let slit = &rule.slits[index as usize];
                let named = own | bit(slit.slot) | slit.bridged_by.map_or(0, bit);
                if complete { basis(named) } else { named }
            }
            // How high the two stand, unless one lies loose between whatever stops it.
            Demand::SlitBare(_) if own & self.loose == 0 => basis(own),
            Demand::SlitBare(_) | Demand::Kept(_) | Demand::KeyWay(_) => ALL,
            Demand::StandsOut(index) => {
                let out = &rule.stand_outs[index as usize];
                let above = out.above.iter().fold(0, |all, s| all | bit(*s));
                basis(own | slots_of(&out.surface) | above)
            }
            Demand::Insertion(_) => basis(own) | bit(SlotIx(0)),
            Demand::Size(index) => own | slots_of(&rule.sizes[index as usize].surface),
            // With the play of what guides the parts, all that may lie between them counts; without, they alone do.
            Demand::Still if complete => basis(own | self.between(own)),
            Demand::Still => basis(own),
            Demand::Height(_) => ALL,
        }
    }
}

/// Which slots' items may guide each other: by sleeve, thread, press or host, or sitting on one another by a cone.
fn guides(rule: &Rule, catalogue: &Catalogue, waived: &[Demand]) -> Vec<Slots> {
    if rule.slots.len() >= Slots::BITS as usize {
        return Vec::new();
    }
    let some = |of: &dyn Fn(&Shape) -> bool| -> Vec<bool> {
        rule.slots.iter().map(|slot| slot.kinds.iter().any(|k| any_of_kind(catalogue, k, of))).collect()
    };
    let conical = some(&|shape| shape.walls().any(|w| w.diameter[0] != w.diameter[1]));
    // A split ring sits on the fork.
    let split = some(&|shape| shape.features.split_ring);
    let mut lists: Vec<Slots> = (0..rule.sleeves.len()).map(|i| sleeve(rule, i as u16)).collect();
    lists.extend((0..rule.threads.len()).map(|i| thread(rule, i as u16)));
    lists.extend(rule.presses.iter().map(|p| bit(p.wall.slot) | slots_of(&p.seat)));
    for (index, slot) in rule.slots.iter().enumerate() {
        let own = SlotIx(index as u16);
        if split[index] {
            lists.push(bit(own) | bit(SlotIx(0)));
        }
        lists.extend(slot.host.map(|host| bit(own) | bit(host)));
        let free = [Demand::RestsOn(own), Demand::Lands(own)].iter().any(|d| waived.contains(d));
        let any = slot.rests_on.is_empty() || free;
        let under =
            (0..rule.slots.len()).map(|i| SlotIx(i as u16)).filter(|s| any || slot.rests_on.contains(s));
        let coned = under.filter(|s| conical[index] && conical[s.0 as usize]);
        lists.extend(coned.map(|s| bit(own) | bit(s)));
    }
    let of = |own: usize| lists.iter().filter(|l| *l >> own & 1 == 1).fold(0, |all, l| all | l);
    (0..rule.slots.len()).map(of).collect()
}

fn any_of_kind(catalogue: &Catalogue, kind: &str, of: &dyn Fn(&Shape) -> bool) -> bool {
    let parts = catalogue.of_kind(kind).map(|part| catalogue.part(part));
    parts.flat_map(|p| &p.variants).any(|&v| of(&catalogue.variant(v).shape))
}

/// Slots of the lists that name this one together with one of `with`: what decides whether the two may touch.
fn together(rule: &Rule, own: SlotIx, with: Slots) -> Slots {
    let sleeves = (0..rule.sleeves.len()).map(|i| sleeve(rule, i as u16));
    let threads = (0..rule.threads.len()).map(|i| thread(rule, i as u16));
    let both = |list: &Slots| list & bit(own) != 0 && list & with & !bit(own) != 0;
    sleeves.chain(threads).filter(both).fold(0, |all, list| all | list)
}

/// Slots of the lists that name two of these: what decides whether they may touch.
pub fn met_anyhow(rule: &Rule, slots: Slots) -> Slots {
    filled(rule, |s| slots & bit(s) != 0).fold(0, |all, s| all | together(rule, s, slots))
}

/// Another slot, with what decides whether the two may touch.
pub fn met_by(rule: &Rule, own: SlotIx, other: SlotIx) -> Slots {
    bit(other) | together(rule, own, bit(other))
}

fn touching(rule: &Rule, own: Slots, touched: Slots) -> Slots {
    filled(rule, |s| own & bit(s) != 0).fold(0, |all, s| all | together(rule, s, touched))
}

/// Slots that a pressed or split part of this one may take its diameter from.
fn pressed_on(rule: &Rule, own: SlotIx) -> Slots {
    let presses = rule.presses.iter().filter(|p| p.wall.slot == own);
    presses.fold(bit(SlotIx(0)), |all, p| all | slots_of(&p.seat))
}

fn slots_of(surfaces: &[SurfaceRef]) -> Slots {
    surfaces.iter().fold(0, |all, s| all | bit(s.slot))
}

pub fn sleeve(rule: &Rule, index: u16) -> Slots {
    let sleeve = &rule.sleeves[index as usize];
    bit(sleeve.outer.slot) | slots_of(&sleeve.inner)
}

pub fn thread(rule: &Rule, index: u16) -> Slots {
    let pair = &rule.threads[index as usize];
    slots_of(&pair.male) | slots_of(&pair.female)
}

/// The clamp, its layers, and what decides which sleeves lie between them.
pub fn grip(rule: &Rule, index: u16) -> Slots {
    let grip = &rule.grips[index as usize];
    let named = grip.layers.iter().fold(bit(grip.by.slot), |all, l| all | bit(l.slot));
    rule.sleeves
        .iter()
        .enumerate()
        .filter(|(_, s)| named & bit(s.outer.slot) != 0)
        .fold(named, |all, (i, _)| all | sleeve(rule, i as u16))
}

fn hosts(rule: &Rule, slots: Slots) -> Slots {
    filled(rule, |s| slots & bit(s) != 0).filter_map(|s| rule.slot(s).host).fold(0, |all, h| all | bit(h))
}

fn riders(rule: &Rule, hosts: Slots) -> Slots {
    let rides = |s: SlotIx| rule.slot(s).host.is_some_and(|h| hosts & bit(h) != 0);
    filled(rule, rides).fold(0, |all, s| all | bit(s))
}

fn filled(rule: &Rule, which: impl Fn(SlotIx) -> bool) -> impl Iterator<Item = SlotIx> {
    (0..rule.slots.len()).map(|i| SlotIx(i as u16)).filter(move |&s| which(s))
}

/// Slots of what the items of these slots touch, in any case.
fn touched(build: &Build<'_>, slots: Slots) -> Slots {
    let of_case = |case: &super::case::Case| {
        let items = build.all().filter(|&i| slots & bit(build.item(i).pick.slot) != 0);
        let touches = items.filter_map(|i| case.stands.get(i.0 as usize)).flat_map(|s| &s.touches);
        touches.fold(0, |all, t| all | bit(build.item(t.item).pick.slot))
    };
    build.cases.iter().fold(0, |all, case| all | of_case(case))
}

/// Slots whose diameters the items of these slots took.
fn seats(build: &Build<'_>, slots: Slots) -> Slots {
    let seated = build.all().map(|i| build.item(i)).filter(|i| slots & bit(i.pick.slot) != 0);
    seated
        .filter_map(|i| i.seated.as_ref())
        .fold(0, |all, s| all | seat_slots(build.setting.rule, s.press) | bit(build.item(s.on.0).pick.slot))
}

/// Slots that the seat of a press may be in.
pub fn seat_slots(rule: &Rule, press: Option<u16>) -> Slots {
    press.map_or(0, |p| slots_of(&rule.presses[p as usize].seat))
}
