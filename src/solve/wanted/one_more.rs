//! The book with one part more, and what a search of it comes to. Must not know what the part is for.

use crate::assembly::{Outcome, Pick, Readies, Setting, assemble};
use crate::catalogue::{Catalogue, OnHand, Part, PartIx, Variant, VariantIx};
use crate::kinds::Shape;
use crate::rules::SlotIx;
use crate::solve::alternatives::worst;
use crate::solve::bench::Plan;
use crate::solve::candidates::field_with;
use crate::solve::effort;
use crate::solve::search::{Want, any_plan};
use crate::solve::supply::Supplies;

/// Items looked at in one search, then in all of them together.
const TRIAL_LIMIT: u64 = 4_000;
const WHOLE_LIMIT: u64 = 120_000;
/// Searches, most of which end before any item is put on.
const MOST_SEARCHES: usize = 2_500;

pub(super) struct OneMore<'p> {
    plan: &'p Plan<'p>,
    fork: VariantIx,
    catalogue: Catalogue,
    readies: Readies,
    /// The part that is added.
    pub variant: VariantIx,
    items: u64,
    searches: usize,
    /// Percent of the limits that may be used so far.
    share: u64,
}

/// How plans are judged. With many wide sizes the full judgement has many cases to go through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Look {
    Quick,
    InFull,
}

/// What a search for it came to.
pub(super) enum Search {
    Goes(Vec<Pick>),
    Never,
    Unsettled,
}

impl<'p> OneMore<'p> {
    pub fn of(plan: &'p Plan<'p>, fork: VariantIx) -> OneMore<'p> {
        let mut catalogue = plan.setting.catalogue.clone();
        let variant = VariantIx(catalogue.variants.len() as u32);
        let span = catalogue.part_of(fork).span;
        let (kind, name) = (catalogue.part_of(fork).kind, String::new());
        let part = Part {
            id: name.clone(),
            kind,
            name,
            maker: None,
            about: None,
            price: None,
            loose: true,
            on_hand: OnHand::Unknown,
            colours: Vec::new(),
            variants: vec![variant],
            span,
        };
        let shape = catalogue.variant(fork).shape.clone();
        catalogue.variants.push(Variant {
            part: PartIx(catalogue.parts.len() as u32),
            revision: None,
            shape: shape.clone(),
            changed: None,
        });
        catalogue.parts.push(part);
        let readies = plan.bench.readies.and_one(kind, &shape);
        OneMore { plan, fork, catalogue, readies, variant, items: 0, searches: 0, share: 100 }
    }

    /// It might go with some part in the place that has these sizes. Where it is not known, it might.
    pub fn may_go(&mut self, slot: SlotIx, shape: Shape, look: Look) -> bool {
        self.spent() || !matches!(self.search(slot, shape, (Outcome::Measure, look)), Search::Never)
    }

    /// A plan that goes with the part in the place.
    pub fn plan(&mut self, slot: SlotIx, shape: Shape) -> Option<Vec<Pick>> {
        match self.search(slot, shape, (Outcome::Pass, Look::InFull)) {
            Search::Goes(picks) => Some(picks),
            _ => None,
        }
    }

    /// What comes of it with the part in the book, whatever place it takes.
    pub fn anywhere(&mut self, shape: &Shape) -> Search {
        let rule = self.plan.setting.rule;
        let kind = shape.fields.as_ref().map_or("", |f| f.kind_name);
        let places = (1..rule.slots.len()).filter(|&i| rule.slots[i].kinds.contains(&kind));
        let mut unsettled = false;
        for index in places {
            match self.search(SlotIx(index as u16), shape.clone(), (Outcome::Pass, Look::InFull)) {
                Search::Goes(picks) => return Search::Goes(picks),
                Search::Unsettled => unsettled = true,
                Search::Never => {}
            }
        }
        if unsettled { Search::Unsettled } else { Search::Never }
    }

    /// The plan passes with a part of these sizes, wherever within them it is.
    pub fn passes(&mut self, picks: &[Pick], shape: &Shape) -> bool {
        self.take(shape.clone());
        let stack = assemble(Setting { catalogue: &self.catalogue, ..self.plan.setting }, picks);
        !stack.merged && worst(&stack) == Outcome::Pass
    }
    /// Nothing more is looked for.
    pub fn spent(&self) -> bool {
        effort::left(self.plan.bench.effort) == 0
            || 100 * self.items >= self.share * WHOLE_LIMIT
            || 100 * self.searches as u64 >= self.share * MOST_SEARCHES as u64
    }

    /// From now on searches may use up so many percent of what all of them together may.
    pub fn use_up_to(&mut self, percent: u64) {
        self.share = percent;
    }

    fn take(&mut self, shape: Shape) {
        let kind = shape.fields.as_ref().map(|f| f.kind_name);
        let part = self.catalogue.variant(self.variant).part.0 as usize;
        if let Some(kind) = kind {
            self.catalogue.parts[part].kind = kind;
        }
        self.readies.change_last(self.catalogue.parts[part].kind, &shape);
        self.catalogue.variants[self.variant.0 as usize].shape = shape;
    }

    /// With the part in that place: alone where only one thing can stand there, among the others where several can.
    fn search(&mut self, slot: SlotIx, shape: Shape, (at_worst, look): (Outcome, Look)) -> Search {
        if self.spent() {
            return Search::Unsettled;
        }
        self.searches += 1;
        self.take(shape);
        let rule = self.plan.setting.rule;
        let supplies = Supplies { catalogue: &self.catalogue, ..self.plan.supplies.clone() };
        let mut there = vec![self.variant];
        if rule.slot(slot).most > 1 {
            there = self.readies.of_kinds(&rule.slot(slot).kinds).collect();
        }
        let pinned = self.plan.bench.rider.pinned(&self.catalogue, rule, vec![(slot, there)]);
        let field = field_with((rule, &self.readies), &supplies, self.fork, &[], &pinned);
        if !field.slots[slot.0 as usize].contains(&self.variant) {
            return Search::Never;
        }
        let setting = Setting { catalogue: &self.catalogue, ..self.plan.setting };
        let limit = TRIAL_LIMIT.min(WHOLE_LIMIT - self.items);
        let quick = look == Look::Quick;
        let want = Want { at_worst, at_best: Outcome::Pass, limit, quick, aside: true, first: false };
        let found = any_plan((setting, &self.readies), &supplies, &field, want, self.plan.bench.effort);
        self.items += found.put_on;
        match (found.best, found.unfinished) {
            (Some(best), _) => Search::Goes(best.picks),
            (None, true) => Search::Unsettled,
            (None, false) => Search::Never,
        }
    }
}
