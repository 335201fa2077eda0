//! What may come above a part, up to the part that is pulled down: how much it all leaves to the fork.
//!
//! Worked out once, from the pulled part down: for each candidate over everything that may stand on it. Only bounds:
//! whatever passing plan stands there, its gap is no larger. Must not know search.

use super::Glance;
use super::outline::Outline;
use super::reach::{FAR, Left, Reach, VIEWS, Views};
use super::sorted::Candidate;
use super::standing::Stand;
use crate::assembly::blame::{Slots, bit};
use crate::assembly::build::Pick;
use crate::rules::SlotIx;
use rustc_hash::FxHashMap as HashMap;
use std::cell::RefCell;

/// Room left to the fork in a chain of parts, each on the one before, with the first one's bottom at height 0.
#[derive(Clone, Copy, Debug)]
pub struct Room {
    /// No chain leaves more, by the part of it that leaves least; where that is under nothing there is no chain.
    pub most: Views,
}

impl Room {
    /// Of a part that is not pushed.
    pub const FREE: Room = Room { most: [FAR; VIEWS] };
    pub const NONE: Room = Room { most: [-FAR; VIEWS] };

    /// Of a part alone.
    pub fn of(downs: &[Left]) -> Room {
        let mut room = Room::FREE;
        for left in downs {
            for view in (0..VIEWS).filter(|&view| left.sure[view]) {
                room.most[view] = room.most[view].min(left.most[view]);
            }
        }
        room
    }

    pub fn is_in(&self, view: usize) -> bool {
        self.most[view] > -FAR / 2
    }

    /// There is nothing in this view.
    pub fn leave_out(&mut self, view: usize) {
        self.most[view] = -FAR;
    }

    /// Either this or the other.
    pub fn or(&mut self, other: &Room) {
        for view in (0..VIEWS).filter(|&v| other.is_in(v)) {
            self.most[view] = self.most[view].max(other.most[view]);
        }
    }

    /// With the first bottom standing so.
    pub fn standing(&self, stands: &Reach) -> Room {
        let mut room = Room::NONE;
        room.or_standing(self, stands);
        room
    }

    /// Either this or the other with its first bottom standing so.
    pub fn or_standing(&mut self, other: &Room, stands: &Reach) {
        for view in 0..VIEWS {
            if !stands.is_left_out(view) && other.is_in(view) {
                self.most[view] = self.most[view].max(other.most[view] + stands.high[view]);
            }
        }
    }

    /// A part with this above it.
    fn on(&self, own: &Room) -> Room {
        let mut room = *self;
        for view in (0..VIEWS).filter(|&v| self.is_in(v)) {
            room.most[view] = room.most[view].min(own.most[view]);
        }
        room
    }
}

/// What may come above, candidate by candidate.
#[derive(Default)]
pub struct Above {
    /// By slot, how many more of the slot may come, and candidate.
    rooms: Vec<Vec<Vec<Room>>>,
    /// The same over all candidates with one kind of bottoms.
    by_kind: Vec<Vec<Vec<Room>>>,
    /// The first slot from which on it is known what everything may rest on.
    known_from: usize,
    /// Slots of which every chain down from the pulled part has a part.
    passed: Slots,
    /// By the slot that comes next, how many more of that slot, and what it stands on.
    on: RefCell<HashMap<(SlotIx, usize, Under), Room>>,
}

/// What something stands on: a kind of tops of a slot's parts, or one part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Under {
    Tops(usize, usize),
    Item(Pick),
}

impl Above {
    pub fn room(&self, slot: usize, more: usize, candidate: usize) -> &Room {
        const NONE: &Room = &Room::NONE;
        let of_slot = self.rooms.get(slot).and_then(|levels| levels.get(more.min(levels.len().max(1) - 1)));
        of_slot.and_then(|rooms| rooms.get(candidate)).unwrap_or(NONE)
    }

    /// Over all candidates of a slot whose kinds of bottoms may stand so.
    fn over(&self, slot: usize, more: usize, on: &[Option<Stand>]) -> Room {
        over(self.by_kind.get(slot).and_then(|levels| levels.get(more)), on)
    }

    pub fn is_known(&self, next: usize) -> bool {
        next >= self.known_from
    }

    pub fn passes(&self, slot: usize) -> bool {
        self.passed >> slot & 1 == 1
    }
}

impl Glance<'_> {
    pub(super) fn what_may_come_above(&self, outline: &Outline) -> Above {
        let rule = self.setting.rule;
        let last = rule.pulled.0 as usize;
        // What takes its diameter from another part than the fork may meet others anyhow.
        let elsewhere = |i: usize| {
            let presses = rule.presses.iter().filter(|p| p.wall.slot.0 as usize == i);
            presses.flat_map(|p| &p.seat).any(|seat| seat.slot.0 > 0)
        };
        let unknown = |&i: &usize| {
            let known = self.lists.rests_on[i] != u64::MAX && !elsewhere(i);
            self.comes_down(SlotIx(i as u16)) && !known
        };
        let known_from = (1..=last).rev().find(unknown).map_or(0, |i| i + 1);
        let passed = (1..=last).filter(|&i| self.is_passed(i)).fold(0, |all, i| all | bit(SlotIx(i as u16)));
        let mut rooms: Vec<Vec<Vec<Room>>> = vec![Vec::new(); last + 1];
        let mut by_kind = rooms.clone();
        for slot in (1..=last).rev().filter(|&s| s >= known_from && self.comes_down(SlotIx(s as u16))) {
            // On each kind of tops, with nothing more of this slot; then with one more, and so on.
            let upper = (slot + 1..=last).map(|upper| (upper, rule.slots[upper].most.saturating_sub(1)));
            let others = on_kinds(outline, slot, upper.map(|(u, more)| (u, usize::from(more))), &by_kind);
            for more in 0..usize::from(rule.slots[slot].most.max(1)) {
                let again =
                    on_kinds(outline, slot, (more > 0).then(|| (slot, more - 1)).into_iter(), &by_kind);
                let room = |(candidate, own): (&Candidate, &Room)| {
                    let mut above = Room::NONE;
                    for kinds in [&others, &again] {
                        if let Some(room) = kinds.get(candidate.tops) {
                            above.or_standing(room, &candidate.lift);
                        }
                    }
                    let mut room = above.on(own);
                    if slot == last {
                        room.or(own);
                    }
                    room
                };
                let of_slot = &outline.slots[slot].all;
                let level: Vec<Room> = of_slot.iter().zip(&outline.rooms[slot]).map(room).collect();
                let mut kinds = vec![Room::NONE; outline.kinds_of_bottoms(slot)];
                for (candidate, room) in of_slot.iter().zip(&level) {
                    kinds[candidate.bottoms].or(room);
                }
                by_kind[slot].push(kinds);
                rooms[slot].push(level);
            }
        }
        Above { rooms, by_kind, known_from, passed, on: RefCell::default() }
    }

    /// Without a part in the slot no chain of supports leads down past it.
    fn is_passed(&self, slot: usize) -> bool {
        let last = self.setting.rule.pulled.0 as usize;
        let (mut seen, mut next) = (bit(SlotIx(last as u16)), vec![last]);
        while let Some(upper) = next.pop().filter(|_| slot < last) {
            let under = self.lists.rests_on[upper] & !bit(SlotIx(slot as u16)) & !seen;
            if under & (bit(SlotIx(slot as u16)) - 1) != 0 {
                return false;
            }
            seen |= under;
            next.extend((0..last).filter(|i| under >> i & 1 == 1));
        }
        true
    }

    /// Over all candidates of the slot that may stand on the item, with what may come above them.
    pub(super) fn room_on(&self, slot: SlotIx, more: usize, item: u8) -> Room {
        let above = &self.outline.above;
        let tops = self.kind_of_tops(item);
        let under =
            tops.map_or(Under::Item(self.items[item as usize].pick), |(s, kind, _)| Under::Tops(s, kind));
        let lift = tops.map(|t| t.2);
        let key = (slot, more, under);
        let known = above.on.borrow().get(&key).copied();
        let room = known.unwrap_or_else(|| {
            let room = self.with_standings(slot, item, |on, _| above.over(slot.0 as usize, more, on));
            above.on.borrow_mut().insert(key, room);
            room
        });
        lift.map_or(room, |lift| room.standing(&lift))
    }
}

fn over(rooms: Option<&Vec<Room>>, on: &[Option<Stand>]) -> Room {
    let mut all = Room::NONE;
    for (room, stands) in rooms.into_iter().flatten().zip(on) {
        if let Some(stands) = stands {
            all.or_standing(room, &stands.reach);
        }
    }
    all
}

/// For each kind of tops of the slot, what may come on it from these slots, each with so many more of its own.
fn on_kinds(
    outline: &Outline,
    slot: usize,
    upper: impl Iterator<Item = (usize, usize)>,
    by_kind: &[Vec<Vec<Room>>],
) -> Vec<Room> {
    let mut kinds: Vec<Room> = Vec::new();
    for (upper, more) in upper {
        let Some(on) = outline.on_tops(upper, slot) else { continue };
        kinds.resize(kinds.len().max(on.len()), Room::NONE);
        for (kind, standings) in kinds.iter_mut().zip(on) {
            kind.or(&over(by_kind[upper].get(more), standings));
        }
    }
    kinds
}

#[cfg(test)]
mod tests {
    use super::*;

    fn room(most: i64) -> Room {
        Room { most: [most; VIEWS] }
    }

    #[test]
    fn a_chain_leaves_no_more_than_the_part_of_it_that_leaves_least() {
        assert_eq!(room(9).on(&room(7)).most, [7; VIEWS]);
        assert_eq!(room(9).on(&Room::FREE).most, [9; VIEWS], "not pushed");
    }

    #[test]
    fn of_two_chains_either_may_be_and_of_none_nothing_comes() {
        let mut either = room(9);
        either.or(&room(12));
        either.or(&Room::NONE);
        assert_eq!(either.most, [12; VIEWS]);
        let mut higher = Reach { low: [10; VIEWS], high: [11; VIEWS] };
        higher.leave_out(1);
        let stands = either.standing(&higher);
        assert_eq!(stands.most[0], 23);
        assert!(stands.is_in(0) && !stands.is_in(1));
    }
}
