//! Which parts may stand in each slot, thinned out by the named sleeves before any stack is built.
//!
//! A part is struck out only when every part it would have to slide over (or into) that could still be there is
//! certainly too large or too small: then no stack with it can pass. Must not know heights.

use super::answer::{FunnelRow, FunnelStep};
use super::supply::{Source, Supplies};
use crate::assembly::{Alike, Demand, NameIx, Readies, Setting, Slots, bit};
use crate::catalogue::{Catalogue, VariantIx};
use crate::kinds::Shape;
use crate::rules::{Rule, Sleeve, SlotIx, SurfaceRef};
use smallvec::SmallVec;

/// Above this a miss is no distance between two sizes.
const NO_DISTANCE: i64 = 1_000_000_000;

/// Candidates by slot.
#[derive(Clone, Debug)]
pub struct Field {
    pub slots: Vec<Vec<VariantIx>>,
    pub funnel: Vec<FunnelRow>,
}

/// Everything of the slot's kinds that can be had, thinned; in some slots these and nothing else.
pub fn field_with(
    (rule, readies): (&Rule, &Readies),
    supplies: &Supplies<'_>,
    fork: VariantIx,
    waived: &[Demand],
    instead: &[(SlotIx, Vec<VariantIx>)],
) -> Field {
    let catalogue = supplies.catalogue;
    let mut slots = Vec::new();
    let mut funnel = Vec::new();
    let mut found: Vec<VariantIx> = Vec::new();
    for (index, slot) in rule.slots.iter().enumerate() {
        let changed = instead.iter().find(|(slot, _)| slot.0 as usize == index);
        found.clear();
        if let Some((_, changed)) = changed {
            found.extend(changed);
        } else if index == 0 {
            found.push(fork);
        } else {
            found.extend(readies.of_kinds(&slot.kinds));
        }
        let in_book = found.len() as u32;
        if index > 0 && !slot.brought || changed.is_some() {
            found.retain(|&v| supplies.can_have(v));
        }
        found.sort();
        let can_be_had = found.len() as u32;
        funnel.push(FunnelRow { slot: SlotIx(index as u16), in_book, can_be_had, left: Vec::new() });
        slots.push(found.clone());
    }
    let mut field = Field { slots, funnel };
    thin(rule, &Walls { catalogue, readies }, waived, &mut field);
    field
}

impl Field {
    /// Strikes out what can stand beside nothing that is left in the other slots.
    pub fn thin(&mut self, setting: Setting<'_>, readies: &Readies) {
        let row = |index| FunnelRow { slot: SlotIx(index), in_book: 0, can_be_had: 0, left: Vec::new() };
        self.funnel = (0..self.slots.len() as u16).map(row).collect();
        let walls = Walls { catalogue: setting.catalogue, readies };
        thin(setting.rule, &walls, setting.waived, self);
    }

    /// For a search: of parts that are the same to every check one is enough, the cheapest first; all are kept that
    /// may come in a box. Sorted so that what costs nothing is tried first.
    ///
    /// `sources`: by variant.
    pub fn for_search(&self, rule: &Rule, sources: &[Source], alike: &Alike, any: bool) -> Field {
        let source = |v: VariantIx| &sources[v.0 as usize];
        let mut slots = self.slots.clone();
        // The last slot in which a part was kept that is the same.
        let mut kept = vec![None; sources.len()];
        for (index, slot) in slots.iter_mut().enumerate() {
            let brought = rule.slots[index].brought;
            if !brought && !any {
                sort_by_worth(slot, |v| source(v).worth());
            }
            slot.retain(|&variant| {
                let known = kept.get_mut(alike.same(variant) as usize);
                let first = known.is_none_or(|known| known.replace(index) != Some(index));
                first || !(brought || any || !source(variant).in_a_box())
            });
        }
        Field { slots, funnel: Vec::new() }
    }
}

/// By worth, then as they are numbered. As one number each: there are many to sort in every search.
fn sort_by_worth(slot: &mut [VariantIx], worth: impl Fn(VariantIx) -> (u8, i64)) {
    let key = |v: &VariantIx| {
        let (class, minor) = worth(*v);
        u128::from(class) << 96 | u128::from(minor.max(0) as u64) << 32 | u128::from(v.0)
    };
    let mut keys: Vec<u128> = slot.iter().map(key).collect();
    keys.sort_unstable();
    slot.iter_mut().zip(keys).for_each(|(v, key)| *v = VariantIx(key as u32));
}

fn thin(rule: &Rule, walls: &Walls<'_>, waived: &[Demand], field: &mut Field) {
    let sleeves = rule.sleeves.iter().enumerate().map(|(index, sleeve)| {
        let demand = Demand::SleeveClearance(index as u16);
        Asked::new(demand, sleeve.inner.iter().chain([&sleeve.outer]).map(|s| s.slot), move |field| {
            thin_outer(rule, walls, sleeve, demand, field);
            thin_inner(rule, walls, sleeve, demand, field);
        })
    });
    let all = sleeves.chain(super::alone::asked(rule, walls));
    let mut asked: Vec<Asked<'_>> = all.filter(|asked| !waived.contains(&asked.demand)).collect();
    // Each is asked again as long as parts fall out of the slots it is about.
    loop {
        let mut changed = false;
        for at in 0..asked.len() {
            if asked[at].about & asked[at].since == 0 {
                continue;
            }
            let before: SmallVec<[usize; 32]> = field.slots.iter().map(Vec::len).collect();
            asked[at].since = 0;
            (asked[at].strike)(field);
            let thinned = (0..before.len()).filter(|&slot| field.slots[slot].len() < before[slot]);
            let thinned = thinned.fold(0, |all, slot| all | bit(SlotIx(slot as u16)));
            changed |= thinned != 0;
            asked.iter_mut().for_each(|other| other.since |= thinned);
        }
        if !changed {
            return;
        }
    }
}

/// One entry of a rule by which parts are struck out.
pub struct Asked<'r> {
    demand: Demand,
    /// Slots whose parts it depends on.
    about: Slots,
    /// Slots out of which parts fell since it was asked last.
    since: Slots,
    strike: Box<dyn Fn(&mut Field) + 'r>,
}

impl<'r> Asked<'r> {
    pub fn new(
        demand: Demand,
        about: impl Iterator<Item = SlotIx>,
        strike: impl Fn(&mut Field) + 'r,
    ) -> Asked<'r> {
        let about = about.fold(0, |all, slot| all | bit(slot));
        Asked { demand, about, since: Slots::MAX, strike: Box::new(strike) }
    }
}

/// Outer parts that no possible inner part suits.
fn thin_outer(rule: &Rule, walls: &Walls<'_>, sleeve: &Sleeve, demand: Demand, field: &mut Field) {
    let Some(options) = inner_options(rule, walls, &sleeve.inner, field) else { return };
    let outsides =
        distinct(options.iter().filter_map(|&(inner, surface)| walls.bounds(inner, surface, false)));
    let (outer_slot, surface) = (sleeve.outer.slot.0 as usize, walls.name(sleeve.outer.surface));
    let miss = |&v: &VariantIx| {
        let bore = walls.bounds(v, surface, true)?;
        outsides.iter().map(|&outside| misses(bore, outside, sleeve)).min().filter(|&m| m > 0)
    };
    strike(field, outer_slot, demand, miss);
}

/// Every part that could be the inner one; `None` when possibly none is there (then nothing is checked).
fn inner_options(
    rule: &Rule,
    walls: &Walls<'_>,
    inner: &[SurfaceRef],
    field: &Field,
) -> Option<Vec<(VariantIx, NameIx)>> {
    let mut options = Vec::new();
    for surface in inner {
        let name = walls.name(surface.surface);
        let has = |v: &&VariantIx| walls.has(**v, name);
        let there = &field.slots[surface.slot.0 as usize];
        options.extend(there.iter().filter(has).map(|&v| (v, name)));
        let sure = rule.slot(surface.slot).least > 0 && there.iter().all(|v| has(&v));
        if sure {
            return Some(options);
        }
    }
    None
}

/// Inner parts that no possible outer part suits, where the inner one surely counts and the outer surely is there.
fn thin_inner(rule: &Rule, walls: &Walls<'_>, sleeve: &Sleeve, demand: Demand, field: &mut Field) {
    let Some(first) = sleeve.inner.first() else { return };
    if rule.slot(sleeve.outer.slot).least == 0 || first.slot.0 == 0 {
        return;
    }
    let (outer_surface, inner_surface) = (walls.name(sleeve.outer.surface), walls.name(first.surface));
    let outers: Vec<(i64, i64)> = field.slots[sleeve.outer.slot.0 as usize]
        .iter()
        .map_while(|&v| walls.bounds(v, outer_surface, true))
        .collect();
    if outers.len() < field.slots[sleeve.outer.slot.0 as usize].len() {
        return;
    }
    let outers = distinct(outers);
    let miss = |&v: &VariantIx| {
        let outside = walls.bounds(v, inner_surface, false)?;
        outers.iter().map(|&bore| misses(bore, outside, sleeve)).min().filter(|&m| m > 0)
    };
    strike(field, first.slot.0 as usize, demand, miss);
}

/// Each once.
fn distinct<T: Ord>(all: impl IntoIterator<Item = T>) -> Vec<T> {
    let mut all: Vec<T> = all.into_iter().collect();
    all.sort_unstable();
    all.dedup();
    all
}

pub fn strike(field: &mut Field, slot: usize, demand: Demand, miss: impl Fn(&VariantIx) -> Option<i64>) {
    let mut nearest: Option<(VariantIx, i64)> = None;
    let before = field.slots[slot].len();
    field.slots[slot].retain(|v| match miss(v) {
        None => true,
        Some(by) => {
            // No distance is told where there is none: a thread either matches or not.
            if by > 0 && by < NO_DISTANCE && nearest.is_none_or(|(_, least)| by < least) {
                nearest = Some((*v, by));
            }
            false
        }
    });
    let left = field.slots[slot].len();
    if left == before {
        return;
    }
    let row = &mut field.funnel[slot].left;
    match row.last_mut().filter(|step| step.demand == demand) {
        Some(step) => step.left = left as u32,
        None => row.push(FunnelStep { demand, left: left as u32, nearest }),
    }
}

/// By how much the clearance certainly misses its limits; 0 when it may be within.
fn misses(bore: (i64, i64), outside: (i64, i64), sleeve: &Sleeve) -> i64 {
    let (least, most) = (bore.0 - outside.1, bore.1 - outside.0);
    let short = sleeve.clearance_least.as_nm() - most;
    let wide = least - sleeve.clearance_most.as_nm();
    short.max(wide).max(0)
}

/// The walls of a book's parts.
pub struct Walls<'c> {
    catalogue: &'c Catalogue,
    readies: &'c Readies,
}

impl<'c> Walls<'c> {
    pub fn shape(&self, variant: VariantIx) -> &'c Shape {
        &self.catalogue.variant(variant).shape
    }

    pub fn name(&self, surface: &str) -> NameIx {
        self.readies.names.of(surface)
    }

    pub fn has(&self, variant: VariantIx, surface: NameIx) -> bool {
        self.readies.diameters.has(variant, surface)
    }

    /// Least and greatest diameter.
    pub fn bounds(&self, variant: VariantIx, surface: NameIx, bore: bool) -> Option<(i64, i64)> {
        self.readies.diameters.ends(variant, surface, bore)
    }
}
