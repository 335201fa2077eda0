//! Parts and boxes that no answer has any use for, and what keeps each part out. Must not know what is said of it.

use std::collections::BTreeSet;

use super::{Unused, WhyUnused, pair, unsettled};
use crate::assembly::{Check, Demand, Outcome, Pick, assemble};
use crate::catalogue::{BoxIx, PartIx, VariantIx};
use crate::kinds::Known;
use crate::rules::SlotIx;
use crate::solve::answer::{Answer, Article, Verdict};
use crate::solve::bench::Bench;
use crate::solve::set_up::picks_of;

pub fn parts(bench: &Bench<'_>, answers: &[&Answer]) -> Vec<Unused> {
    let used = used(bench, answers);
    let all = (0..bench.catalogue.parts.len()).map(|i| PartIx(i as u32));
    let unused = all.filter(|part| !used.contains(part));
    unused.filter_map(|part| Some(Unused { part, why: why(bench, answers, part)? })).collect()
}

fn used(bench: &Bench<'_>, answers: &[&Answer]) -> BTreeSet<PartIx> {
    let mut used = BTreeSet::new();
    for answer in answers.iter().filter(|a| a.verdict != Verdict::No) {
        let there = answer.stack.items.iter().map(|i| i.variant);
        let could = answer.alternatives.iter().map(|a| a.variant);
        used.extend(there.chain(could).map(|v| bench.catalogue.variant(v).part));
    }
    used
}

/// `None`: it would serve somewhere, or nothing sure can be said.
fn why(bench: &Bench<'_>, answers: &[&Answer], part: PartIx) -> Option<WhyUnused> {
    let catalogue = bench.catalogue;
    let kind = catalogue.part(part).kind;
    let own = || answers.iter().filter(|a| catalogue.variant(a.fork).part == part);
    if own().next().is_some() {
        return own().all(|a| !unsettled(a)).then_some(WhyUnused::Fork);
    }
    let takes = |slot: &crate::rules::Slot| slot.kinds.contains(&kind);
    if !bench.rules.iter().any(|r| r.slots.iter().any(takes)) {
        return Some(WhyUnused::NoPlace);
    }
    let brought = bench.rules.iter().any(|r| r.slots.iter().any(|s| s.brought && takes(s)));
    let in_a_box = catalogue.boxes_with(part).any(|b| sold(bench, b));
    if !brought && !in_a_box && !catalogue.part(part).loose {
        return Some(WhyUnused::CannotBeHad);
    }
    let why = tried(bench, answers, part);
    // A ring of another height waits for another head tube; only one that goes over nothing is a slip.
    let waits = |why: &WhyUnused| match why {
        WhyUnused::Fails { check, .. } => !is_fit(check),
        _ => true,
    };
    why.filter(|why| !(catalogue.part(part).is(Known::Filler) && waits(why)))
}

fn is_fit(check: &Check) -> bool {
    matches!(check.demand, Demand::SleeveClearance(_) | Demand::Tightness(_))
}

/// A box that is sold, or that comes with a fork.
fn sold(bench: &Bench<'_>, the_box: BoxIx) -> bool {
    let the_box = bench.catalogue.the_box(the_box);
    the_box.sold || the_box.holds.iter().any(|h| bench.catalogue.part(h.part).is(Known::Fork))
}

/// How a part does in one place of one plan: fewest checks failed, then the least sum of what they miss.
type Does = (usize, i64);

/// Puts the part into every plan that has a place for it, in place of what is there.
fn tried(bench: &Bench<'_>, answers: &[&Answer], part: PartIx) -> Option<WhyUnused> {
    let kind = bench.catalogue.part(part).kind;
    let mut best: Option<(Does, WhyUnused)> = None;
    for (number, answer) in answers.iter().enumerate().filter(|(_, a)| a.verdict != Verdict::No) {
        let slots = bench.rules[answer.system].slots.iter().enumerate();
        for (index, _) in slots.filter(|(_, slot)| slot.kinds.contains(&kind)) {
            let slot = SlotIx(index as u16);
            for &variant in &bench.catalogue.part(part).variants {
                let (does, check) = try_in(bench, answer, slot, variant)?;
                if best.as_ref().is_none_or(|(known, _)| does < *known) {
                    let (pair, check) = (pair(bench, answer), Box::new(check));
                    let fails = WhyUnused::Fails { pair, answer: number, slot, variant, check };
                    best = Some((does, fails));
                }
            }
        }
    }
    Some(best.map_or(WhyUnused::NoPlan, |(_, why)| why))
}

/// The better way up; `None`: nothing fails.
fn try_in(bench: &Bench<'_>, answer: &Answer, slot: SlotIx, variant: VariantIx) -> Option<(Does, Check)> {
    let rule = bench.rules[answer.system].slot(slot);
    let ways = [(false, rule.as_drawn), (true, rule.turned)].into_iter().filter(|w| w.1).map(|w| w.0);
    let mut best: Option<(Does, Check)> = None;
    for turned in ways {
        let plan = picks_of(&answer.stack);
        let before = plan.iter().filter(|p| p.slot < slot).copied();
        let after = plan.iter().filter(|p| p.slot > slot).copied();
        let one = Pick { slot, variant, turned };
        let trial: Vec<Pick> = before.chain([one]).chain(after).collect();
        let stack = assemble(bench.setting(answer.system), &trial);
        let fails: Vec<&Check> = stack.checks.iter().filter(|c| c.outcome == Outcome::Fail).collect();
        // Of what fills height the fit is told, wherever else it fails.
        let filler = bench.catalogue.part_of(variant).is(Known::Filler);
        let first = fails.iter().find(|check| filler && is_fit(check)).or(fails.first())?;
        let does = (fails.len(), fails.iter().map(|c| misses(c)).sum());
        if best.as_ref().is_none_or(|(known, _)| does < *known) {
            best = Some((does, (**first).clone()));
        }
    }
    best
}

/// By how much it is outside its limits at best, nanometres; 0 for what is no number.
fn misses(check: &Check) -> i64 {
    let Some(value) = &check.value else { return 0 };
    let short = check.least.map_or(0, |least| least - value.most);
    let over = check.most.map_or(0, |most| value.least - most);
    short.max(over).clamp(0, i64::from(i32::MAX))
}

pub fn boxes(bench: &Bench<'_>, answers: &[&Answer]) -> Vec<BoxIx> {
    let mut used: BTreeSet<BoxIx> = BTreeSet::new();
    for answer in answers.iter().filter(|a| a.verdict != Verdict::No) {
        used.extend(answer.take.iter().map(|(_, of)| *of));
        used.extend(answer.buy.iter().filter_map(|b| match b.article {
            Article::Box(b) => Some(b),
            Article::Part(_) => None,
        }));
    }
    (0..bench.catalogue.boxes.len()).map(|i| BoxIx(i as u32)).filter(|b| !used.contains(b)).collect()
}
