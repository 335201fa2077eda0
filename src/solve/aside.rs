//! What cannot go however high the pile stands: looked for first, with all left aside that rests on slots that fill up heights.
//!
//! What fails there fails whatever fills those slots, so what is learned there holds for the whole search; and where nothing
//! is left, nothing goes. Must not know what is looked for.

use super::nogood::Nogoods;
use super::reason::demands;
use super::search::{Ground, Want};
use super::walk::Walk;
use crate::assembly::{Demand, Outcome, Setting, Slots, bit};
use crate::rules::{Rule, SlotIx};
use std::rc::Rc;

/// Items looked at; most need as many as a plan has parts.
const LIMIT: u64 = 3_000;

/// What was learned with heights of the pile left aside.
#[derive(Clone, Default)]
pub(super) struct Aside {
    pub nogoods: Rc<Nogoods>,
    pub put_on: u64,
    /// Nothing is left, whatever fills the pile.
    pub nothing: bool,
}

impl Ground<'_> {
    /// Looked for once for each outcome that will do; what is asked again costs nothing.
    pub(super) fn aside(&self, want: Want) -> Aside {
        let known = self.asides.borrow().iter().find(|(at_worst, _)| *at_worst == want.at_worst).cloned();
        if let Some((_, known)) = known {
            return Aside { put_on: 0, ..known };
        }
        let aside = self.look_aside(want.at_worst);
        self.asides.borrow_mut().push((want.at_worst, aside.clone()));
        aside
    }

    fn look_aside(&self, at_worst: Outcome) -> Aside {
        // Where any plan serves most of what is asked may be waived, and what is left of heights leads nowhere soon.
        let heights =
            demands(self.setting.rule).into_iter().filter(|demand| self.any && demand.is_of_heights());
        let waived: Vec<Demand> = self.setting.waived.iter().copied().chain(heights).collect();
        let setting = Setting { waived: &waived, ..self.setting };
        let ground = Ground::new((setting, self.readies), self.supplies, &self.field, true);
        let want =
            Want { at_worst, at_best: Outcome::Pass, limit: LIMIT, quick: true, aside: false, first: false };
        let fillers = if self.any { 0 } else { fillers(self.setting.rule) };
        let (found, nogoods) = Walk::new(&ground, want, None).leaving_aside(fillers).found_with_nogoods();
        let nothing = found.best.is_none() && !found.unfinished;
        Aside { nogoods: Rc::new(nogoods), put_on: found.put_on, nothing }
    }
}

/// Slots that may hold several: what stands in them makes up heights.
fn fillers(rule: &Rule) -> Slots {
    let several = rule.slots.iter().enumerate().filter(|(_, slot)| slot.most > 1);
    several.fold(0, |all, (index, _)| all | bit(SlotIx(index as u16)))
}
