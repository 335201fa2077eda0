//! The quick look never finds worse than the full judgement: else a plan that goes would be passed over.
//!
//! Stacks of which the full judgement says nothing (too many cases) are left out.

#[path = "proof/book.rs"]
mod book;

use benchleaf::assembly::{Build, Glance, ItemIx, Outcome, Pick, early, judge};
use benchleaf::catalogue::VariantIx;
use benchleaf::rules::{Rule, SlotIx};
use benchleaf::solve::ShopStrengths;
use book::{Book, Numbers};

/// Everything of the slot's kinds.
fn candidates(book: &Book, rule: &Rule) -> Vec<Vec<VariantIx>> {
    let of_slot = |slot: &benchleaf::rules::Slot| {
        let parts = slot.kinds.iter().flat_map(|kind| book.catalogue.of_kind(kind));
        parts.flat_map(|p| book.catalogue.part(p).variants.iter().copied()).collect()
    };
    rule.slots.iter().map(of_slot).collect()
}

/// What the quick look says at worst of the stack, and where.
fn glanced(book: &Book, system: usize, picks: &[Pick], fork: VariantIx) -> (Outcome, String) {
    let strengths = ShopStrengths(&book.shop);
    let setting = book.setting(system, &strengths);
    let mut expected = candidates(book, setting.rule);
    expected[0] = vec![fork];
    let mut glance = Glance::new(setting, &book.readies, Outcome::Pass);
    let mut worst = (Outcome::Pass, String::new());
    for (at, &pick) in picks.iter().enumerate() {
        let look = glance.put_on(pick);
        if at == 0 {
            glance.expect(&expected);
        }
        let next = picks.get(at + 1).map_or(setting.rule.slots.len(), |p| p.slot.0 as usize);
        let ahead = glance.ahead(next);
        for (what, look) in [("on", look), ("ahead", ahead)] {
            if look.outcome > worst.0 {
                let id = &book.catalogue.part_of(pick.variant).id;
                worst = (look.outcome, format!("{what} {id}: {:?}", look.why));
            }
        }
    }
    let done = glance.finished();
    if done.outcome > worst.0 { (done.outcome, format!("finished: {:?}", done.why)) } else { worst }
}

/// A stack that passes the early checks of the full assembly, parts tried in random order.
struct Climb<'a> {
    rule: &'a Rule,
    candidates: Vec<Vec<VariantIx>>,
    build: Build<'a>,
    picks: Vec<Pick>,
    tries: usize,
    numbers: &'a mut Numbers,
}

impl Climb<'_> {
    fn slot(&mut self, index: usize, count: u8) -> Option<Outcome> {
        if index == self.rule.slots.len() {
            let worst = self.build.judged(judge).worst();
            return (worst != Outcome::Fail).then_some(worst);
        }
        let slot = &self.rule.slots[index];
        let skip_first = count >= slot.least && self.numbers.below(3) > 0;
        if skip_first && let Some(found) = self.slot(index + 1, 0) {
            return Some(found);
        }
        let variants = if count < slot.most { self.candidates[index].clone() } else { Vec::new() };
        let from = self.numbers.below(variants.len().max(1));
        for at in 0..variants.len() {
            let variant = variants[(from + at) % variants.len()];
            for turned in [false, true] {
                if !(if turned { slot.turned } else { slot.as_drawn }) || self.tries == 0 {
                    continue;
                }
                self.tries -= 1;
                let pick = Pick { slot: SlotIx(index as u16), variant, turned };
                let known = self.build.put_on(pick);
                self.picks.push(pick);
                let last = ItemIx(self.picks.len() as u16 - 1);
                let fine = early(&self.build, last, &known, Outcome::Measure).outcome != Outcome::Fail;
                if fine && let Some(found) = self.slot(index, count + 1) {
                    return Some(found);
                }
                self.picks.pop();
                self.build.take_off();
            }
        }
        if !skip_first && count >= slot.least { self.slot(index + 1, 0) } else { None }
    }
}

/// Stacks found for each pairing of the demo book.
fn stacks(each: usize) -> usize {
    let book = Book::demo();
    let strengths = ShopStrengths(&book.shop);
    let mut numbers = Numbers(7);
    let mut found = 0;
    for system in 0..book.rules.len() {
        for fork in book.catalogue.of_kind("fork").flat_map(|p| book.catalogue.part(p).variants.clone()) {
            for _ in 0..each {
                let setting = book.setting(system, &strengths);
                let mut candidates = candidates(&book, setting.rule);
                candidates[0] = vec![fork];
                let mut climb = Climb {
                    rule: setting.rule,
                    candidates,
                    build: Build::new(setting),
                    picks: Vec::new(),
                    tries: 600,
                    numbers: &mut numbers,
                };
                let Some(full) = climb.slot(0, 0).filter(|_| !climb.build.merged) else { continue };
                let picks = climb.picks.clone();
                let (quick, at) = glanced(&book, system, &picks, fork);
                let ids: Vec<&str> =
                    picks.iter().map(|p| book.catalogue.part_of(p.variant).id.as_str()).collect();
                assert!(quick <= full, "{}: {quick:?} at {at}, in full {full:?}: {ids:?}", setting.rule.id);
                found += 1;
            }
        }
    }
    found
}

#[test]
fn the_quick_look_never_finds_worse_than_the_full_judgement() {
    let found = stacks(1);
    assert!(found >= 10, "only {found} stacks");
}

#[test]
#[ignore = "long: some minutes"]
fn the_quick_look_never_finds_worse_over_many_stacks() {
    assert!(stacks(60) > 300);
}
