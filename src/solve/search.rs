//! What is looked for among candidates, and what comes of it.
//!
//! Best means, in this order: goes before measure first, least to spend, fewest parts, part ids. A search that came to
//! its limit says so. Must not know words.

use super::aside::Aside;
use super::candidates::Field;
use super::effort::{self, Effort};
use super::must;
use super::parts::IN_ONE;
use super::supply::{Cost, Source, Supplies};
use super::walk::Walk;
use crate::assembly::{Learned, OfRule, Outcome, Outline, Pick, Readies, Setting};
use crate::catalogue::VariantIx;
use rustc_hash::FxHashMap as HashMap;
use std::cell::RefCell;
use std::rc::Rc;

/// What is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Want {
    /// Worst outcome that will do.
    pub at_worst: Outcome,
    /// No plan has a better one: a search that was finished has shown it.
    pub at_best: Outcome,
    /// Items looked at before giving up; an item put on in full counts for many.
    pub limit: u64,
    /// A plan that is soon found is not judged in full: it may turn out not to go, but where there is none nothing goes.
    pub quick: bool,
    /// First with heights of the pile left aside: what goes at no height is soon found out, but nothing comes near.
    pub aside: bool,
    /// The first plan that is found serves.
    pub first: bool,
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
    /// Whatever plan was found was judged in full.
    pub judged: bool,
}

/// What searches among the same candidates share, whatever is looked for.
pub struct Ground<'a> {
    pub(super) setting: Setting<'a>,
    pub(super) readies: &'a Readies,
    pub(super) supplies: &'a Supplies<'a>,
    pub(super) field: Field,
    /// Any plan serves.
    pub(super) any: bool,
    pub(super) of_rule: OfRule,
    pub(super) learned: Rc<Learned>,
    pub(super) sources: Rc<[Source]>,
    /// By slot, how many items there must be.
    pub(super) least: Vec<u8>,
    /// What may come, by the fork.
    pub(super) outlines: RefCell<HashMap<VariantIx, Rc<Outline>>>,
    /// What was learned with heights left aside, by the outcome that will do.
    pub(super) asides: RefCell<Vec<(Outcome, Aside)>>,
    /// What the whole answer may still cost.
    pub(super) effort: Option<&'a Effort>,
    /// Items looked at before a search goes on in parts.
    pub(super) in_one: u64,
}

impl<'a> Ground<'a> {
    /// `any`: any plan serves, whatever it costs.
    pub fn new(
        (setting, readies): (Setting<'a>, &'a Readies),
        supplies: &'a Supplies<'a>,
        field: &Field,
        any: bool,
    ) -> Ground<'a> {
        let sources = supplies.sources();
        let field = field.for_search(setting.rule, &sources, &readies.alike, any);
        let of_rule = readies.of_rule(setting);
        let least = must::least(setting, readies, &field);
        let (learned, outlines) = (Rc::default(), RefCell::default());
        Ground {
            setting,
            readies,
            supplies,
            field,
            any,
            of_rule,
            learned,
            sources: sources.into(),
            least,
            outlines,
            asides: RefCell::default(),
            effort: None,
            in_one: IN_ONE,
        }
    }

    /// With this alone in a slot, and in the others what may stand beside it; `None` where that leaves none for a slot that must
    /// be filled.
    pub(super) fn part(&self, slot: usize, variant: VariantIx) -> Option<Ground<'a>> {
        self.only(|field| field.slots[slot] = vec![variant])
    }

    /// The same with fewer candidates.
    pub(super) fn only(&self, strike: impl FnOnce(&mut Field)) -> Option<Ground<'a>> {
        let mut field = self.field.clone();
        strike(&mut field);
        field.thin(self.setting, self.readies);
        let least = must::least(self.setting, self.readies, &field);
        let empty = least.iter().zip(&field.slots).any(|(least, slot)| *least > 0 && slot.is_empty());
        (!empty).then(|| Ground {
            field,
            least,
            outlines: RefCell::default(),
            asides: RefCell::default(),
            of_rule: self.of_rule.clone(),
            learned: Rc::clone(&self.learned),
            sources: Rc::clone(&self.sources),
            ..*self
        })
    }

    pub(super) fn counted(self, effort: Option<&'a Effort>) -> Ground<'a> {
        Ground { effort, ..self }
    }

    /// Searches all choices of parts, ways up and counts.
    ///
    /// `known`: a plan that is to be beaten; it comes back as the best when nothing better is found.
    pub fn search(&self, want: Want, known: Option<Rank>) -> Found {
        let slots = &self.field.slots;
        if self.least.iter().zip(slots).any(|(least, slot)| *least > 0 && slot.is_empty()) {
            return Found { best: known, ..Found::default() };
        }
        let limit = want.limit.min(effort::left(self.effort));
        let aside = if want.aside { self.aside(want) } else { Aside::default() };
        effort::take(self.effort, effort::SEARCH + aside.put_on);
        if aside.nothing {
            return Found { best: known, put_on: aside.put_on, ..Found::default() };
        }
        let found = Walk::new(self, Want { limit, ..want }, known).knowing(&aside.nogoods).found();
        effort::take(self.effort, found.put_on);
        Found { put_on: found.put_on + aside.put_on, ..found }
    }
}

/// One search by itself, for any plan.
pub fn any_plan(
    of: (Setting<'_>, &Readies),
    supplies: &Supplies<'_>,
    field: &Field,
    want: Want,
    effort: Option<&Effort>,
) -> Found {
    Ground::new(of, supplies, field, true).counted(effort).search(want, None)
}
