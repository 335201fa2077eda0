//! Everything needed to answer for a fork and a system, and the answer itself put together.
//!
//! Must not know words.

use super::answer::{Answer, Article, Instead, Supply, Verdict};
use super::boxed::Taken;
use super::candidates::Field;
use super::depends::Leaf;
use super::effort::Effort;
use super::rider::Rider;
use super::rounds::{Limits, nearer, rounds};
use super::search::{Found, Ground, Near, Rank, Want, any_plan};
use super::supply::{Cost, Counts, Supplies, own_box};
use super::{alternatives, either, head_tube, leave, must, readings, reason, showing, tries, wanted};
use crate::assembly::{
    Demand, Glance, ItemIx, Outcome, Pick, Readies, Setting, Stack, Strengths, assemble, gaps,
};
use crate::catalogue::{Catalogue, OnHand, PartIx, VariantIx};
use crate::quantity::{Caliper, Currency};
use crate::rules::{Rule, SlotIx};

/// Items looked at for what comes nearest.
const NEAR_LIMIT: u64 = 2_000;

#[derive(Clone, Copy)]
pub struct Bench<'a> {
    pub catalogue: &'a Catalogue,
    pub rules: &'a [Rule],
    pub currency: Currency,
    pub caliper: Caliper,
    pub bolts: &'a (dyn Strengths + Sync),
    pub readies: &'a Readies,
    /// What the answer that is being worked out may still cost; `None`: as much as is usual, and for what is no whole answer
    /// without end.
    pub effort: Option<&'a Effort>,
    /// Items looked at before a search goes on in parts: what is found is the same.
    pub in_one: u64,
    /// Smallest coins: a permanent change is told beside a plan that goes without one only where it saves more.
    pub cut_saves: i64,
    /// What is said of the scooter beyond the fork.
    pub rider: Rider<'a>,
}

impl<'a> Bench<'a> {
    pub fn setting(&self, system: usize) -> Setting<'a> {
        Setting {
            rule: &self.rules[system],
            catalogue: self.catalogue,
            bolts: self.bolts,
            waived: &[],
            exact: &[],
        }
    }

    /// One answer for each revision of the fork, and for each thing that may be in its boxes as far as that makes a
    /// difference. Revisions of the same measures and the same box are looked at once.
    pub fn answers(&self, fork: PartIx, system: usize) -> Vec<Answer> {
        let mut found: Vec<Answer> = Vec::new();
        for &variant in &self.catalogue.part(fork).variants {
            let shape = |v: VariantIx| &self.catalogue.variant(v).shape;
            // What was tried counts for the very revision that was tried.
            let apart = |v: VariantIx| self.catalogue.is_tried(v);
            let alike = |v: VariantIx| {
                !apart(v)
                    && !apart(variant)
                    && shape(v).same_as_written(shape(variant))
                    && own_box(self.catalogue, v) == own_box(self.catalogue, variant)
            };
            let first = found.iter().map(|a| a.fork).find(|&v| alike(v));
            let answers = match first {
                Some(first) => {
                    let same = found.iter().filter(|a| a.fork == first);
                    same.map(|a| a.for_revision(variant)).collect()
                }
                None => self.answers_of(variant, system),
            };
            found.extend(answers);
        }
        found
    }

    /// For one revision of the fork: one answer for each thing that may be in its boxes, as far as that makes a
    /// difference. Never empty.
    pub fn answers_of(&self, fork: VariantIx, system: usize) -> Vec<Answer> {
        let usual = || Effort::of_one_answer(self.catalogue.parts.len());
        let effort = self.effort.map_or_else(usual, |given| Effort::of(given.left()));
        let counted = Bench { effort: Some(&effort), ..*self };
        let told = |leaf: Leaf<'_>| {
            let Leaf { assumed, chosen } = leaf;
            let answer = Answer { boxed: assumed, ..counted.finish(chosen, fork, system) };
            Answer { last_resort: counted.last_resort(&answer).map(Box::new), ..answer }
        };
        let answers: Vec<Answer> = counted.leaves(fork, system).into_iter().map(told).collect();
        // What was not looked for, of what stands beside a plan, might be there.
        let cut = effort.left() == 0;
        let marked = |a: Answer| Answer { unfinished: a.unfinished || cut && a.verdict != Verdict::No, ..a };
        answers.into_iter().map(marked).collect()
    }

    /// The best plan without a permanent change; only when there is none, the best with one. Where it depends on what is
    /// in a box, the answer that promises least.
    pub fn answer(&self, fork: VariantIx, system: usize) -> Answer {
        let mut answers = self.answers_of(fork, system);
        let promises = |a: &Answer| (a.verdict, a.supply);
        let worst = (0..answers.len()).rev().max_by_key(|&i| promises(&answers[i])).unwrap_or(0);
        answers.swap_remove(worst)
    }

    /// In stock first, but what goes for certain before what must be measured.
    pub(super) fn without_change(&self, fork: VariantIx, system: usize, taken: Taken<'_>) -> Chosen<'a> {
        let stocked = self.supplies(fork, &[], true, taken);
        if !self.anything_out_of_stock() {
            let tried = self.best(&stocked, fork, system);
            return Chosen { supplies: stocked, tried, instead: None };
        }
        let anyhow = Supplies { in_stock_only: false, ..stocked.clone() };
        let all = self.best(&anyhow, fork, system);
        let Some(plan) = all.found.best.clone() else {
            return Chosen { supplies: anyhow, tried: all, instead: None };
        };
        if self.price(&stocked, system, &plan.picks) == Some(plan.cost) {
            let field = self.field(&self.rules[system], &stocked, fork, &[]);
            return Chosen { supplies: stocked, tried: Tried { field, ..all }, instead: None };
        }
        let in_stock = self.best(&stocked, fork, system);
        match &in_stock.found.best {
            None => Chosen { supplies: anyhow, tried: all, instead: None },
            Some(stocked_plan) if plan.outcome < stocked_plan.outcome => {
                let instead = Beside::OnHand(self.instead(&stocked, stocked_plan, system));
                Chosen { supplies: anyhow, tried: all, instead: Some(instead) }
            }
            Some(stocked_plan) if plan < *stocked_plan => {
                let instead = Beside::InStock(self.instead(&anyhow, &plan, system));
                Chosen { supplies: stocked, tried: in_stock, instead: Some(instead) }
            }
            Some(_) => Chosen { supplies: stocked, tried: in_stock, instead: None },
        }
    }

    /// What a plan costs from these supplies; `None` when a part of it cannot be had from them.
    pub(super) fn price(&self, supplies: &Supplies<'_>, system: usize, picks: &[Pick]) -> Option<Cost> {
        supplies.cheapest(&self.bought(system, picks)).map(|(cost, _)| cost)
    }

    pub(super) fn anything_out_of_stock(&self) -> bool {
        let none = OnHand::Count(0);
        self.catalogue.parts.iter().any(|p| p.on_hand == none)
            || self.catalogue.boxes.iter().any(|b| b.on_hand == none)
    }

    /// First for a plan that goes; only when there is none, for one to be measured.
    fn best(&self, supplies: &Supplies<'_>, fork: VariantIx, system: usize) -> Tried {
        let setting = self.setting(system);
        let field = self.field(setting.rule, supplies, fork, &[]);
        let ground = self.ground(supplies, &field, system);
        let goes = rounds(&ground, (Outcome::Pass, Outcome::Pass), None, Limits::USUAL);
        let any_goes = goes.best.as_ref().is_some_and(|b| b.outcome == Outcome::Pass);
        let found = if any_goes {
            goes
        } else {
            let at_best = if goes.unfinished { Outcome::Pass } else { Outcome::Measure };
            let outcomes = (at_best, Outcome::Measure);
            let measured = rounds(&ground, outcomes, goes.best.clone(), Limits::USUAL);
            Found { unfinished: goes.unfinished || measured.unfinished, ..nearer(measured, goes.nearest) }
        };
        Tried { field, found }
    }

    pub(super) fn ground<'g>(
        &'g self,
        supplies: &'g Supplies<'g>,
        field: &Field,
        system: usize,
    ) -> Ground<'g> {
        let ground = Ground::new((self.setting(system), self.readies), supplies, field, false);
        Ground { in_one: self.in_one, ..ground.counted(self.effort) }
    }

    fn instead(&self, supplies: &Supplies<'_>, plan: &Rank, system: usize) -> Instead {
        let bought: Vec<Pick> =
            plan.picks.iter().filter(|p| !self.rules[system].slot(p.slot).brought).copied().collect();
        let needed = self.needed_of(&bought);
        let (cost, articles) = supplies.cheapest(&needed).unwrap_or_default();
        let out = |article: &Article| match article {
            Article::Part(v) => self.catalogue.part_of(*v).on_hand == OnHand::Count(0),
            Article::Box(b) => self.catalogue.the_box(*b).on_hand == OnHand::Count(0),
        };
        Instead {
            parts: plan.picks.iter().map(|p| p.variant).collect(),
            spend: supplies.spend(cost),
            missing: articles.iter().map(|a| a.0).filter(out).collect(),
        }
    }

    /// What comes nearest where the closing gap is not asked for. A look ahead at the gap ends a search before anything is near.
    fn but_for_the_gap(&self, supplies: &Supplies<'_>, fork: VariantIx, system: usize) -> Found {
        let waived = [Demand::GapLeast];
        let setting = Setting { waived: &waived, ..self.setting(system) };
        let field = self.field(setting.rule, supplies, fork, &waived);
        let (at_best, at_worst) = (Outcome::Pass, Outcome::Measure);
        let want = Want { at_worst, at_best, limit: NEAR_LIMIT, quick: false, aside: false, first: false };
        let found = any_plan((setting, self.readies), supplies, &field, want, self.effort);
        let whole = |plan: &Rank| Near { reached: (setting.rule.slots.len(), 0), picks: plan.picks.clone() };
        let nearest = found.best.as_ref().map(whole).or(found.nearest);
        Found { nearest, ..Found::default() }
    }

    /// The nearest attempt made whole: what the search reached, then for every slot still empty the first part that
    /// fails least there.
    fn attempt(&self, system: usize, field: &Field, reached: Vec<Pick>) -> Vec<Pick> {
        let setting = self.setting(system);
        let least = must::least(setting, self.readies, field);
        let mut picks = reached;
        let from = picks.last().map_or(1, |p| p.slot.0 as usize + 1);
        for (index, slot) in setting.rule.slots.iter().enumerate().skip(from) {
            if least[index] == 0 {
                continue;
            }
            let all = setting.catalogue;
            let of_kind = || {
                slot.kinds
                    .iter()
                    .flat_map(|k| all.of_kind(k))
                    .flat_map(|p| all.part(p).variants.iter().copied())
            };
            let candidates: Vec<VariantIx> =
                if field.slots[index].is_empty() { of_kind().collect() } else { field.slots[index].clone() };
            let best = candidates
                .into_iter()
                .take(40)
                .map(|variant| Pick { slot: SlotIx(index as u16), variant, turned: !slot.as_drawn })
                .min_by_key(|&pick| {
                    let trial: Vec<Pick> = picks.iter().copied().chain([pick]).collect();
                    let fails = assemble(setting, &trial)
                        .checks
                        .iter()
                        .filter(|c| c.outcome == Outcome::Fail)
                        .count();
                    (fails, pick)
                });
            picks.extend(best);
        }
        picks
    }

    /// The fork, with the first part that may be pressed on it where the push goes through one.
    fn with_its_seat(&self, system: usize, field: &Field, fork: VariantIx) -> Vec<Pick> {
        let rule = &self.rules[system];
        let on_fork = |slot: &SlotIx| {
            let mut presses = rule.presses.iter().filter(|p| p.wall.slot == *slot);
            presses.any(|p| p.seat.iter().any(|seat| seat.slot.0 == 0))
        };
        let slot = rule.path.iter().map(|step| step.slot).find(on_fork);
        let pressed = slot.and_then(|slot| {
            let &variant = field.slots[slot.0 as usize].first()?;
            Some(Pick { slot, variant, turned: !rule.slot(slot).as_drawn })
        });
        [on_its_own(fork)].into_iter().chain(pressed).collect()
    }

    /// Parts and counts of these picks; the caller leaves out what the rider brings.
    pub(super) fn needed_of(&self, picks: &[Pick]) -> Counts {
        let mut needed = Counts::new();
        for pick in picks {
            *needed.entry(self.catalogue.as_made(pick.variant)).or_insert(0) += 1;
        }
        needed
    }

    /// Where nothing goes and the nearest attempt leads to no proved reason, another attempt may lead to a better one.
    fn finish(&self, chosen: Chosen<'a>, fork: VariantIx, system: usize) -> Answer {
        let Chosen { supplies, tried, .. } = &chosen;
        if let Some(plan) = &tried.found.best {
            return self.told(&chosen, &plan.picks, fork, system);
        }
        let near = nearer(self.but_for_the_gap(supplies, fork, system), tried.found.nearest.clone());
        let whole = |reached| self.told(&chosen, &self.attempt(system, &tried.field, reached), fork, system);
        let nearest = whole(
            near.nearest.map_or_else(|| self.with_its_seat(system, &tried.field, fork), |near| near.picks),
        );
        if nearest.reason_smallest || nearest.unfinished {
            return nearest;
        }
        let afresh = whole(self.with_its_seat(system, &tried.field, fork));
        let worth = |answer: &Answer| (!answer.reason_smallest, answer.reason.len());
        if worth(&afresh) < worth(&nearest) { afresh } else { nearest }
    }

    /// With these picks: the plan found, or an attempt where there is none.
    fn told(&self, chosen: &Chosen<'a>, picks: &[Pick], fork: VariantIx, system: usize) -> Answer {
        let Chosen { supplies, tried, instead } = chosen;
        let verdict = match tried.found.best.as_ref().map(|plan| plan.outcome) {
            Some(Outcome::Pass) => Verdict::Goes,
            Some(_) => Verdict::Measure,
            None => Verdict::No,
        };
        let (changes, wide) = self.changes_of(picks, system, verdict);
        let catalogue = wide.as_ref().unwrap_or(self.catalogue);
        let setting = Setting { catalogue, ..self.setting(system) };
        let stack = assemble(setting, picks);
        let bought: Vec<Pick> =
            picks.iter().filter(|p| !setting.rule.slot(p.slot).brought).copied().collect();
        let needed = self.needed_of(&bought);
        let (cost, articles) = match verdict {
            Verdict::No => (Cost::default(), Vec::new()),
            _ => supplies.cheapest(&needed).unwrap_or_default(),
        };
        let supply = (verdict != Verdict::No).then_some(match (changes.is_empty(), articles.is_empty()) {
            (false, _) => Supply::PermanentChange,
            (true, true) => Supply::AsBoxed,
            (true, false) => Supply::ExtraParts,
        });
        let plan = Plan {
            bench: self,
            setting,
            supplies,
            field: &tried.field,
            picks,
            stack: &stack,
            either_way: &[],
        };
        let either_way = either::either_way(&plan, verdict == Verdict::Goes);
        let plan = Plan { either_way: &either_way, ..plan };
        let whole = verdict != Verdict::No;
        let unfinished = tried.found.unfinished;
        let asked = !whole && !unfinished;
        let readings = if verdict == Verdict::Measure { readings::readings(&plan) } else { Vec::new() };
        let mut reason = if asked { reason::reason(&plan, fork) } else { reason::Reason::default() };
        // The picture of a no shows what the reason tells of.
        let shown = if asked { showing::shown(&plan, fork, &mut reason) } else { None };
        let wanted = if asked { wanted::wanted(&plan, fork) } else { None };
        let serving = if whole { alternatives::alternatives(&plan) } else { Vec::new() };
        Answer {
            fork,
            boxed: Vec::new(),
            system,
            verdict,
            supply,
            buy: supplies.priced(&needed, &articles),
            take: if whole { leave::taken(&plan, &needed) } else { Vec::new() },
            leave: if whole { leave::left(&plan, &needed, &articles) } else { Vec::new() },
            spend: supplies.spend(cost),
            unfit: if whole { alternatives::unfit(&plan, &serving) } else { Vec::new() },
            alternatives: serving,
            if_in_stock: instead.as_ref().and_then(Beside::in_stock).cloned().map(Box::new),
            if_on_hand: instead.as_ref().and_then(Beside::on_hand).cloned().map(Box::new),
            changes,
            last_resort: None,
            head_tube: if verdict == Verdict::Goes { head_tube::ranges(&plan) } else { Vec::new() },
            tries: if verdict == Verdict::Measure { tries::tries(&stack, &readings) } else { Vec::new() },
            readings,
            reason: reason.facts,
            reason_smallest: reason.smallest,
            funnel: if whole { Vec::new() } else { tried.field.funnel.clone() },
            wanted: wanted.into_iter().collect(),
            unfinished,
            gaps: if whole { gaps(setting, picks) } else { Vec::new() },
            either_way: if shown.is_some() { Vec::new() } else { either_way },
            stack: shown.unwrap_or(stack),
        }
    }
}

pub(super) fn on_its_own(fork: VariantIx) -> Pick {
    Pick { slot: SlotIx(0), variant: fork, turned: false }
}

/// A quick look tells that what these picks come to is worse than that; of the others some may, too.
pub(super) fn cannot_come_to(of: (Setting<'_>, &Readies), picks: &[Pick], at_worst: Outcome) -> bool {
    let mut glance = Glance::new(of.0, of.1, at_worst);
    picks.iter().any(|&pick| glance.put_on(pick).outcome > at_worst) || glance.finished().outcome > at_worst
}

pub(super) struct Tried {
    pub field: Field,
    pub found: Found,
}

/// What a search came to and from which supplies.
pub(super) struct Chosen<'a> {
    pub supplies: Supplies<'a>,
    pub tried: Tried,
    pub instead: Option<Beside>,
}

/// Another plan that the stock list makes worth telling.
pub(super) enum Beside {
    /// Would be best if everything were in stock.
    InStock(Instead),
    /// Is on hand, but must be measured first, where the plan chosen goes for certain.
    OnHand(Instead),
}

impl Beside {
    fn in_stock(&self) -> Option<&Instead> {
        if let Beside::InStock(plan) = self { Some(plan) } else { None }
    }

    fn on_hand(&self) -> Option<&Instead> {
        if let Beside::OnHand(plan) = self { Some(plan) } else { None }
    }
}

/// A plan being described.
pub(super) struct Plan<'a> {
    pub bench: &'a Bench<'a>,
    pub setting: Setting<'a>,
    pub supplies: &'a Supplies<'a>,
    pub field: &'a Field,
    pub picks: &'a [Pick],
    pub stack: &'a Stack,
    /// Items told to go on either way up.
    pub either_way: &'a [ItemIx],
}

impl Plan<'_> {
    /// The same plan with other picks in one slot.
    pub fn with_slot(&self, slot: SlotIx, instead: &[Pick]) -> Vec<Pick> {
        let before = self.picks.iter().filter(|p| p.slot < slot);
        let after = self.picks.iter().filter(|p| p.slot > slot);
        before.chain(instead).chain(after).copied().collect()
    }

    /// A quick look tells that these picks cannot go; of the others some may not go either.
    pub fn cannot_go(&self, picks: &[Pick]) -> bool {
        // A changed part is another one here than in the quick look's book.
        if !std::ptr::eq(self.setting.catalogue, self.bench.catalogue) {
            return false;
        }
        cannot_come_to((self.setting, self.bench.readies), picks, Outcome::Measure)
    }

    /// Ways up that the slot allows for a part, without the one that looks the same.
    pub fn ways(&self, slot: SlotIx, variant: VariantIx) -> Vec<Pick> {
        let rule = self.setting.rule.slot(slot);
        let same = crate::assembly::alike_turned(&self.bench.catalogue.variant(variant).shape);
        let ways = [(false, rule.as_drawn), (true, rule.turned && !(same && rule.as_drawn))];
        ways.iter().filter(|w| w.1).map(|&(turned, _)| Pick { slot, variant, turned }).collect()
    }
}
