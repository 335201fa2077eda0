//! The closing gap: how far what is pushed can still come down before it meets what is fixed to the fork.
//!
//! Must not know grips: they count as open.

use super::figure::{BUILDS, Figure, ROUNDING};
use super::land::{meeting, meeting_of, took_of};
use super::reach::{Left, Reach, views};
use super::ready::Ready;
use super::rule::At;
use super::{Glance, Seated};
use crate::assembly::blame::bit;
use crate::assembly::report::{Demand, Outcome};
use crate::rules::SlotIx;

/// How far one item can come down, over everything fixed.
#[derive(Clone, Copy, Debug)]
pub struct Down {
    /// Most that the sure meetings leave.
    pub most: i64,
    pub at: [i64; BUILDS],
}

impl Down {
    pub const FREE: Down = Down { most: FREE, at: [FREE; BUILDS] };
    const NONE: Down = Down { most: 0, at: [0; BUILDS] };

    fn lower(self, other: Down) -> Down {
        let at = [0, 1, 2].map(|build: usize| self.at[build].min(other.at[build]));
        Down { most: self.most.min(other.most), at }
    }
}

const FREE: i64 = i64::MAX / 4;

impl Glance<'_> {
    pub(super) fn check_gap(&mut self) {
        let limits = &self.setting.rule.limits;
        if !self.setting.asks(Demand::GapLeast) {
            return;
        }
        let low = limits.gap_least.as_nm();
        let pulled = self.in_slot(self.setting.rule.pulled);
        let left = pulled.map(|item| self.left_below(item)).fold(Down::FREE, Down::lower);
        let outcome = if left.most < low {
            Outcome::Fail
        } else if left.at.iter().any(|&at| at < low - ROUNDING) {
            Outcome::Measure
        } else {
            Outcome::Pass
        };
        let own = bit(self.setting.rule.pulled) | bit(SlotIx(0));
        self.found(Demand::GapLeast, own, outcome);
    }

    /// What the push down to the ring leaves at most, from this item on. Of several that may carry an item one does; what is
    /// fixed leaves nothing to what rests on it.
    fn left_below(&self, item: u8) -> Down {
        let touches = &self.items[item as usize].touches;
        if self.below_ring(item) || touches.is_empty() {
            return Down::FREE;
        }
        let mut below = Down { most: 0, at: [i64::MIN; BUILDS] };
        for touch in touches {
            let left = if self.is_fixed(touch.item) { Down::NONE } else { self.left_below(touch.item) };
            below.most = below.most.max(left.most);
            for build in (0..BUILDS).filter(|build| touch.builds >> build & 1 == 1) {
                below.at[build] = below.at[build].max(left.at[build]);
            }
        }
        below.at = below.at.map(|at| if at == i64::MIN { FREE } else { at });
        self.down(item).lower(below)
    }

    /// The fork and the rest of the headset: the push ends above them.
    pub(super) fn below_ring(&self, item: u8) -> bool {
        self.slot_below_ring(self.items[item as usize].pick.slot)
    }

    pub(super) fn slot_below_ring(&self, slot: SlotIx) -> bool {
        slot.0 == 0 || self.lists.path.iter().skip(1).any(|s| s.slot == slot)
    }

    pub(super) fn down(&self, item: u8) -> Down {
        if let Some(down) = self.items[item as usize].down.get() {
            return down;
        }
        let mut down = Down::FREE;
        for stop in (0..self.items.len() as u8).filter(|&s| s != item && self.is_fixed(s)) {
            self.down_to(item, stop, &mut down);
        }
        self.items[item as usize].down.set(Some(down));
        down
    }

    fn down_to(&self, item: u8, stop: u8, down: &mut Down) {
        let (Some(upper), Some(lower)) = (self.bottom(item), self.bottom(stop)) else { return };
        let between = upper.minus(lower);
        for over in &self.items[stop as usize].ready.tops {
            for under in &self.items[item as usize].ready.bottoms {
                let Some(met) = meeting(self, (stop, over), (item, under)) else { continue };
                let room = between.minus(met.height);
                if met.common.sure {
                    down.most = down.most.min(room.most);
                }
                for build in 0..BUILDS {
                    if met.common.builds[build] {
                        down.at[build] = down.at[build].min(room.at[build]);
                    }
                }
            }
        }
    }

    /// What a part standing with its bottom at height 0 leaves to the fork in a plan that passes, meeting by meeting,
    /// whatever sleeves and threads the rest of the stack makes known. `seated`: whose diameter a wall of it took.
    pub(super) fn downs_at_zero(&self, ready: &Ready, slot: SlotIx, seated: Option<Seated>) -> Vec<Left> {
        let mut downs = Vec::new();
        let Some(fork) = self.items.first() else { return downs };
        let Some(base) = fork.bottom else { return downs };
        for over in &fork.ready.tops {
            for under in &ready.bottoms {
                let walls = [(&under.inner, &over.outer), (&under.outer, &over.inner)];
                let took = |s: Seated| walls.iter().any(|(own, seat)| took_of(s, 0, own, seat));
                let Some((met, surely)) = meeting_of(over, under) else { continue };
                let slides = self.slides((slot, under.inner.surface), (SlotIx(0), over.outer.surface));
                if slides || seated.is_some_and(took) {
                    continue;
                }
                let freed = self.named((slot, under.inner.surface), (SlotIx(0), over.outer.surface))
                    || self.named((SlotIx(0), over.inner.surface), (slot, under.outer.surface));
                let room = Reach::of(Figure::ZERO.minus(base).minus(met.height), met.common.builds);
                let sure = views(met.common.sure, surely).map(|s| s && !freed);
                downs.push(Left { most: room.high, sure });
            }
        }
        downs
    }

    /// A sleeve or a thread of the rule names the bore together with the outside.
    pub(super) fn named(&self, bore: At, outside: At) -> bool {
        self.lists.sleeves.iter().any(|s| s.outer == bore && s.inner.contains(&outside))
            || self.lists.threads.iter().any(|t| t.female.contains(&bore) && t.male.contains(&outside))
    }

    /// The fork and what is pressed on or set in it.
    pub(super) fn is_fixed(&self, item: u8) -> bool {
        let it = &self.items[item as usize];
        let ring = self.setting.catalogue.variant(it.pick.variant).shape.features.split_ring;
        let pressed = it.seated.is_some_and(|s| s.on == 0) && !ring;
        let hosted = self.host(item) == Some(0);
        item == 0 || ((pressed || hosted) && !self.is_chosen(item))
    }
}
