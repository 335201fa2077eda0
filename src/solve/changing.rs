//! The last resort: plans in which parts are changed for good, where the rule file allows it.
//!
//! A changed part is a variant of its own: the shape with the new size, or with what was added, and with how exactly
//! that can be made. So nothing in the assembly or the search knows of changes. A search for them has nothing but
//! changed parts in one slot, or in two, and so on: the fewest changes that do are found first. Must not know words.
//!
//! The order of choice is: no permanent change, goes before measure first, fewest changes, least to spend, fewest parts, ids,
//! least taken off. Changes are looked for only where a finished search found that nothing goes without (a search that came
//! to its limit proves no such thing, and offers no cutting), and beside a plan without one that is to be measured, costs
//! something or is not all on hand. There the best plan with a change is told last of the alternatives (`last_resort`), if it
//! goes for certain where the other does not, or is on hand where the other is not, or saves enough (`cut_saves` of the
//! shop).
//!
//! The plan is found with one of the allowed lengths; the window round it is the widest in which every check still passes
//! with the size reaching over all of it. What is aimed at, drawn and said is the middle of the window. A changed part is not
//! among its part's `variants`, so that nothing takes it for a revision, and costs what its part costs. No set-up of routes,
//! of coming from another system, or of what a rider has takes a permanent change: nobody is led to cut anything on the way.
//! `tests/last_resort.rs` writes every part as if it were made to each length and tries every combination of that book.

use super::answer::{Answer, Article, ChangedPart, LastResort, NewSize, Verdict};
use super::bench::{Bench, Chosen, Tried};
use super::boxed::{Taken, Unsaid};
use super::candidates::Field;
use super::rounds::{Limits, rounds};
use super::search::{Found, Ground, Rank};
use super::set_up::picks_of;
use super::supply::{Cost, Supplies};
use crate::assembly::{Outcome, Pick, Setting, assemble};
use crate::catalogue::{Catalogue, Changed, OnHand, Variant, VariantIx};
use crate::kinds::{Shape, altered};
use crate::quantity::{Deviations, Dimension, Length, Money, Nature, Origin};
use crate::rules::{Change, Made, Rule, SlotIx};
use std::collections::BTreeMap;

/// Searches come on top of the one without a change.
const LIMITS: Limits = Limits { most: 400_000, aside: true };
/// What is only told beside a plan that needs no change is looked for less long.
const BESIDE: Limits = Limits { most: 24_000, aside: true };

/// Which plans with a change are asked for.
#[derive(Clone, Copy)]
struct Asked<'k> {
    /// The better first.
    outcomes: &'k [Outcome],
    /// One to be beaten.
    known: Option<&'k Rank>,
    limits: Limits,
}

/// A window of lengths is found to a tenth of a millimetre, inward.
const FINE: i64 = 100_000;

/// Adds every part that some rule allows to be changed, as changed: by system and change, then by variant, the
/// smallest change first.
pub fn allow_changes(catalogue: &mut Catalogue, rules: &[Rule]) {
    let mut made: Vec<Variant> = Vec::new();
    for (system, rule) in rules.iter().enumerate() {
        for (number, change) in rule.changes.iter().enumerate() {
            let kinds = &rule.slot(change.slot).kinds;
            let parts = kinds.iter().flat_map(|kind| catalogue.of_kind(kind));
            let mut whole: Vec<VariantIx> = parts.flat_map(|p| catalogue.part(p).variants.clone()).collect();
            whole.sort();
            for from in whole {
                let it = catalogue.variant(from);
                let changed = || Changed { from, system, change: number };
                let variant = |shape| Variant {
                    part: it.part,
                    revision: it.revision.clone(),
                    shape,
                    changed: Some(changed()),
                };
                made.extend(shapes(&it.shape, change).into_iter().map(variant));
            }
        }
    }
    catalogue.variants.extend(made);
}

/// What can become of a part; nothing where the part is such already.
fn shapes(shape: &Shape, change: &Change) -> Vec<Shape> {
    match &change.made {
        Made::Feature(sizes) => {
            let has = |name: &str| shape.dims.iter().any(|d| d.name == name);
            let there = sizes.iter().any(|(name, _)| has(name));
            altered(shape, sizes, change.span).filter(|_| !there).into_iter().collect()
        }
        Made::Size { field, nature, least, most, step, within } => {
            let Some(own) = shape.dims.iter().find(|d| d.name == *field) else { return Vec::new() };
            let smaller = comes_off(*nature);
            let takes_metal = |&length: &i64| match smaller {
                true => length + within.as_nm() <= own.dimension.least().as_nm(),
                false => length - within.as_nm() >= own.dimension.most().as_nm(),
            };
            let count = (most.as_nm() - least.as_nm()) / step.as_nm().max(1);
            let length = |i: i64| match smaller {
                true => least.as_nm() + (count - i) * step.as_nm(),
                false => least.as_nm() + i * step.as_nm(),
            };
            let made = |length: i64| altered(shape, &[(field, sized(length, *within))], change.span);
            (0..=count).map(length).filter(takes_metal).filter_map(made).collect()
        }
    }
}

/// Taking metal off makes it smaller.
fn comes_off(nature: Nature) -> bool {
    matches!(nature, Nature::Outside | Nature::Height | Nature::Cast)
}

fn sized(length: i64, within: Length) -> Dimension {
    let length = Length::nm(length);
    let written = format!("{length} ±{within}");
    Dimension::new(length, Deviations::symmetrical(within), Origin::Stated, written)
}

impl<'a> Bench<'a> {
    /// Where for certain nothing goes without: the best plan with a permanent change, in stock first. What was found
    /// before stays where there is none; it is unfinished where a search for changes came to its limit.
    pub(super) fn or_changed(&self, mut plain: Chosen<'a>, fork: VariantIx, system: usize) -> Chosen<'a> {
        if plain.tried.found.best.is_some() || plain.tried.found.unfinished {
            return plain;
        }
        let stocked = Supplies { in_stock_only: true, ..plain.supplies.clone() };
        let anyhow = Supplies { in_stock_only: false, ..plain.supplies.clone() };
        let all = [Some(stocked), self.anything_out_of_stock().then_some(anyhow)];
        let mut to_measure = None;
        for supplies in all.into_iter().flatten() {
            // What is on hand and must be measured stands back behind what goes for certain.
            let outcomes: &[Outcome] =
                if to_measure.is_none() { &[Outcome::Pass, Outcome::Measure] } else { &[Outcome::Pass] };
            let asked = Asked { outcomes, known: None, limits: LIMITS };
            let unfinished = &mut plain.tried.found.unfinished;
            if let Some(tried) = self.best_changed(&supplies, fork, system, asked, unfinished) {
                let goes = tried.found.best.as_ref().is_some_and(|plan| plan.outcome == Outcome::Pass);
                let chosen = Chosen { supplies, tried, instead: None };
                if goes {
                    return chosen;
                }
                to_measure = to_measure.or(Some(chosen));
            }
        }
        to_measure.unwrap_or(plain)
    }

    /// Goes before measure first, then the fewest changes, then as any plan.
    fn best_changed(
        &self,
        supplies: &Supplies<'_>,
        fork: VariantIx,
        system: usize,
        asked: Asked<'_>,
        unfinished: &mut bool,
    ) -> Option<Tried> {
        let mut slots: Vec<SlotIx> = self.rules[system].changes.iter().map(|c| c.slot).collect();
        slots.sort();
        slots.dedup();
        // What is there to choose from is the same whatever outcome is asked for.
        let mut grounds: BTreeMap<u32, Option<(Field, Ground<'_>)>> = BTreeMap::new();
        for &outcome in asked.outcomes {
            // When measuring is allowed, all that must go was looked for before, with fewer changes, too.
            let may_go = outcome == Outcome::Pass || *unfinished;
            let outcomes = (if may_go { Outcome::Pass } else { Outcome::Measure }, outcome);
            for count in 1..=slots.len() {
                let sets = (1..1_u32 << slots.len()).filter(|set| set.count_ones() as usize == count);
                let mut best: Option<Tried> = None;
                for set in sets {
                    let changed: Vec<SlotIx> =
                        (0..slots.len()).filter(|i| set >> i & 1 == 1).map(|i| slots[i]).collect();
                    let beaten = best.as_ref().and_then(|t| t.found.best.as_ref()).or(asked.known);
                    let ground = grounds
                        .entry(set)
                        .or_insert_with(|| self.changed_ground(supplies, fork, system, &changed));
                    let Some(ground) = ground else { continue };
                    let found = self.changed_in(ground, changed.len(), (outcomes, beaten, asked.limits));
                    *unfinished |= found.unfinished;
                    best = found.tried.or(best);
                }
                if best.is_some() {
                    return best;
                }
            }
        }
        None
    }

    /// With nothing but changed parts in these slots; `None` where there are none for one of them.
    fn changed_ground<'g>(
        &'g self,
        supplies: &'g Supplies<'g>,
        fork: VariantIx,
        system: usize,
        slots: &[SlotIx],
    ) -> Option<(Field, Ground<'g>)> {
        let instead: Vec<(SlotIx, Vec<VariantIx>)> =
            slots.iter().map(|&slot| (slot, self.changed_for(system, slot, fork))).collect();
        let field = self.field_with(&self.rules[system], supplies, fork, &[], instead);
        let any = slots.iter().all(|s| !field.slots[s.0 as usize].is_empty());
        any.then(|| {
            let ground = self.ground(supplies, &field, system);
            (field, ground)
        })
    }

    /// Plans in which as many parts are changed as are asked for.
    fn changed_in(
        &self,
        (field, ground): &(Field, Ground<'_>),
        slots: usize,
        (outcomes, known, limits): ((Outcome, Outcome), Option<&Rank>, Limits),
    ) -> InSlots {
        let found = rounds(ground, outcomes, known.cloned(), limits);
        let changed = |pick: &Pick| self.catalogue.variant(pick.variant).changed.is_some();
        let all = |plan: &Rank| plan.picks.iter().filter(|p| changed(p)).count() == slots;
        let unfinished = found.unfinished;
        let better = found.best.clone().filter(|best| known != Some(best) && all(best));
        let tried =
            better.map(|better| Tried { field: field.clone(), found: Found { best: Some(better), ..found } });
        InSlots { tried, unfinished }
    }

    fn changed_for(&self, system: usize, slot: SlotIx, fork: VariantIx) -> Vec<VariantIx> {
        let rule = &self.rules[system];
        let fits = |variant: &Variant| {
            let Some(changed) = &variant.changed else { return false };
            let here = changed.system == system && rule.changes[changed.change].slot == slot;
            here && (slot.0 > 0 || changed.from == fork)
        };
        let all = self.catalogue.variants.iter().enumerate().filter(|(_, v)| fits(v));
        all.map(|(index, _)| VariantIx(index as u32)).collect()
    }

    /// What these picks have changed, with the lengths that would do as well; and the catalogue in which each such size
    /// reaches over all of them: what is told of the plan from there holds wherever in its window a rider aims.
    pub(super) fn changes_of(
        &self,
        picks: &[Pick],
        system: usize,
        verdict: Verdict,
    ) -> (Vec<ChangedPart>, Option<Catalogue>) {
        let is_changed = |pick: &&Pick| self.catalogue.variant(pick.variant).changed.is_some();
        let changed: Vec<&Pick> = picks.iter().filter(is_changed).collect();
        let mut wide = (!changed.is_empty()).then(|| self.catalogue.clone());
        let mut found = Vec::new();
        for pick in changed {
            let Some(changed) = self.catalogue.variant(pick.variant).changed.as_ref() else { continue };
            let change = &self.rules[system].changes[changed.change];
            let plan = Aimed { bench: self, picks, system, variant: pick.variant };
            let size = wide.as_mut().and_then(|wide| plan.new_size(wide, changed.from, change, verdict));
            found.push(ChangedPart { variant: pick.variant, slot: pick.slot, change: changed.change, size });
        }
        (found, wide)
    }

    /// Beside a plan without a change that is to be measured first, costs something or is not all on hand: the best
    /// plan with one, if it goes for certain and the other does not, or costs so much less that the shop tells it, or is on
    /// hand and the other is not.
    pub(super) fn last_resort(&self, plain: &Answer) -> Option<LastResort> {
        let waits_for = self.not_on_hand(plain);
        let free = plain.buy.is_empty();
        let settled = plain.verdict == Verdict::Goes && free;
        if plain.verdict == Verdict::No || settled || self.rules[plain.system].changes.is_empty() {
            return None;
        }
        let taken = Taken { assumed: &plain.boxed, unsaid: Unsaid::Nothing };
        let supplies = self.supplies(plain.fork, &[], true, taken);
        let no_cut = Cost { unpriced: plain.spend.unpriced, minor: plain.spend.known.as_minor() };
        let cost = Cost { minor: no_cut.minor.saturating_sub(self.cut_saves), ..no_cut };
        let beaten = Rank { outcome: Outcome::Pass, cost, parts: 0, picks: Vec::new() };
        let must_cost_less = plain.verdict == Verdict::Goes && waits_for.is_empty();
        let known = must_cost_less.then_some(&beaten);
        let asked = Asked { outcomes: &[Outcome::Pass], known, limits: BESIDE };
        let tried = self.best_changed(&supplies, plain.fork, plain.system, asked, &mut false)?;
        let plan = tried.found.best?;
        let unpriced = plan.cost.unpriced + no_cut.unpriced > 0;
        let extra = Money::minor(no_cut.minor - plan.cost.minor, self.currency);
        let needed = plan.picks.iter().filter(|p| !self.rules[plain.system].slot(p.slot).brought);
        let needed = self.needed_of(&needed.copied().collect::<Vec<_>>());
        Some(LastResort {
            verdict: Verdict::Goes,
            changes: self.changes_of(&plan.picks, plain.system, Verdict::Goes).0,
            parts: plan.picks.iter().map(|p| p.variant).collect(),
            spend: supplies.spend(plan.cost),
            anything_to_buy: !supplies.missing(&needed).is_empty(),
            no_cut_extra: (!unpriced).then_some(extra),
            waits_for,
        })
    }

    fn not_on_hand(&self, answer: &Answer) -> Vec<Article> {
        let out = |article: &Article| match article {
            Article::Part(v) => self.catalogue.part_of(*v).on_hand == OnHand::Count(0),
            Article::Box(b) => self.catalogue.the_box(*b).on_hand == OnHand::Count(0),
        };
        answer.buy.iter().map(|b| b.article).filter(out).collect()
    }

    /// Some part of the plan was changed for good.
    pub(super) fn is_changed(&self, answer: &Answer) -> bool {
        picks_of(&answer.stack).iter().any(|p| self.catalogue.variant(p.variant).changed.is_some())
    }
}

/// A plan of which one part is brought to another size.
struct Aimed<'p> {
    bench: &'p Bench<'p>,
    picks: &'p [Pick],
    system: usize,
    variant: VariantIx,
}

impl Aimed<'_> {
    /// The size in `wide` is left reaching over its window.
    fn new_size(
        &self,
        wide: &mut Catalogue,
        from: VariantIx,
        change: &Change,
        verdict: Verdict,
    ) -> Option<NewSize> {
        let Made::Size { field, nature, least, most, within, .. } = &change.made else { return None };
        let length = |variant: VariantIx, end: fn(&Dimension) -> Length| {
            let dims = &self.bench.catalogue.variant(variant).shape.dims;
            dims.iter().find(|d| d.name == *field).map(|d| end(&d.dimension).as_nm())
        };
        let (nominal, to) = (length(from, |d| d.nominal)?, length(self.variant, |d| d.nominal)?);
        let within = within.as_nm();
        // Metal has to come off everywhere in the window.
        let (low, high) = match comes_off(*nature) {
            true => (least.as_nm(), most.as_nm().min(length(from, Dimension::least)? - within)),
            false => (least.as_nm().max(length(from, Dimension::most)? + within), most.as_nm()),
        };
        let mut window = (to, to);
        if verdict == Verdict::Goes {
            let mut goes = |ends: (i64, i64)| self.goes_between(wide, field, ends, within);
            let room = |from: i64, to: i64| ((to - from) / FINE).max(0);
            window.0 -= FINE * furthest(room(low, to), |n| goes((to - n * FINE, to)));
            window.1 += FINE * furthest(room(to, high), |n| goes((window.0, to + n * FINE)));
        }
        reach(wide, self.variant, field, window, within);
        let to = middle(window);
        Some(NewSize { name: field, from: nominal, to, least: window.0, most: window.1, within })
    }

    /// Whatever the size is between these ends, and however far it is missed within what is allowed.
    fn goes_between(&self, wide: &mut Catalogue, field: &str, ends: (i64, i64), within: i64) -> bool {
        reach(wide, self.variant, field, ends, within);
        let setting = Setting { catalogue: wide, ..self.bench.setting(self.system) };
        let stack = assemble(setting, self.picks);
        !stack.merged && stack.checks.iter().all(|c| c.outcome == Outcome::Pass)
    }
}

/// What is aimed at: as far from too much as from too little, in whole tenths of a millimetre past the window's lower end.
fn middle((least, most): (i64, i64)) -> i64 {
    least + (most - least) / 2 / FINE * FINE
}

/// Lets a size reach over a window, and `within` beyond it, from its middle.
fn reach(wide: &mut Catalogue, variant: VariantIx, field: &str, (least, most): (i64, i64), within: i64) {
    let shape = &mut wide.variants[variant.0 as usize].shape;
    if let Some(dim) = shape.dims.iter_mut().find(|d| d.name == field) {
        dim.dimension.nominal = Length::nm(middle((least, most)));
        dim.dimension.lower = Length::nm(least - within) - dim.dimension.nominal;
        dim.dimension.upper = Length::nm(most + within) - dim.dimension.nominal;
        if least < most {
            let (least, most) = (Length::nm(least), Length::nm(most));
            dim.dimension.written = format!("{least} … {most} ±{}", Length::nm(within));
        }
    }
}

/// What a search for changes in some slots came to.
#[derive(Default)]
struct InSlots {
    tried: Option<Tried>,
    unfinished: bool,
}

/// The greatest number up to `most` for which it holds, where it holds for all smaller ones; 0 always does.
fn furthest(most: i64, mut holds: impl FnMut(i64) -> bool) -> i64 {
    let (mut good, mut bad) = (0, most + 1);
    while bad - good > 1 {
        let middle = (good + bad) / 2;
        if holds(middle) {
            good = middle;
        } else {
            bad = middle;
        }
    }
    good
}
