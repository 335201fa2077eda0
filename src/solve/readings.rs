//! What to measure first: the single reading that decides; where there is none, or it leaves much open, for each open
//! check the reading that decides most: a dimension, a depth or height on the dry build, or a pair of dimensions.
//!
//! A reading decides only if its go value, with all else at its worst and the caliper error taken off, lies in its own
//! range. Checks that are read by the same reading share its window. Must not know words.
//!
//! What lies between two walls is not read on a dry build. `tests/readings.rs` holds all of it to parts in hand.

use super::answer::{ReadWhat, Reading, Then};
use super::bench::Plan;
use super::longer::longer;
use super::next_plan::next_plan;
use super::set_up::picks_of;
use super::trial;
use super::zones::{Read, Zones};
use crate::assembly::{Check, Demand, ItemIx, Mating, Outcome, Placed, Stack, seat_dims};
use crate::quantity::{Ends, Form, Nature, ONE};
use crate::rules::{End, PutOn};

/// A single reading that leaves more than this open (thousandths) is followed by others.
const LEAVES_MUCH: u32 = 250;
/// A length that is read between marks of a pen on a tube is off by a pen line's width at worst. Common practice, no source.
const BY_MARKS: i64 = 500_000;
/// Dimensions tried one by one where the stack comes together in more than one way.
const MOST_TRIED: usize = 12;

struct Open<'a> {
    stack: &'a Stack,
    plan: &'a Plan<'a>,
    ends: Vec<Ends>,
    /// Index into the stack's checks.
    checks: Vec<usize>,
}

struct Choice {
    what: ReadWhat,
    zones: Zones,
    caliper: i64,
    checks: Vec<usize>,
}

pub(super) fn readings(plan: &Plan<'_>) -> Vec<Reading> {
    let stack = plan.stack;
    if stack.merged {
        return Vec::new();
    }
    let is_open = |(_, c): &(usize, &Check)| c.outcome == Outcome::Measure;
    let open = Open {
        stack,
        plan,
        ends: stack.dims.iter().map(|d| d.ends).collect(),
        checks: stack.checks.iter().enumerate().filter(is_open).map(|(i, _)| i).collect(),
    };
    let mut chosen: Vec<Choice> = Vec::new();
    if let Some(single) = open.best_single(&open.checks).filter(|c| c.zones.can_go) {
        let much = single.zones.undecided > LEAVES_MUCH;
        chosen.push(single);
        if !much {
            return open.told(chosen);
        }
    }
    if chosen.is_empty()
        && let Some(tried) = open.best_by_trial()
    {
        let much = tried.zones.undecided > LEAVES_MUCH;
        chosen.push(tried);
        if !much {
            return open.told(chosen);
        }
    }
    let mut more: Vec<Choice> = Vec::new();
    for &check in &open.checks {
        let Some(best) = open.best_for(check) else { continue };
        match more.iter_mut().find(|c| c.what == best.what) {
            Some(shared) => shared.checks.push(check),
            None => more.push(best),
        }
    }
    for mut choice in more {
        if choice.checks.len() > 1
            && let Some(zones) = open.zones(&choice.what, &choice.checks)
        {
            choice.zones = zones;
        }
        // A single reading that is there already says as much.
        if !chosen.iter().any(|c| c.what == choice.what) {
            chosen.push(choice);
        }
    }
    open.told(chosen)
}

impl Open<'_> {
    fn told(&self, chosen: Vec<Choice>) -> Vec<Reading> {
        let told = |(at, choice): (usize, Choice)| {
            let Choice { what, zones, caliper, checks } = choice;
            let longer = match what {
                ReadWhat::Reach { item, .. } => longer(self.plan, item),
                _ => None,
            };
            let then = Then {
                below: zones
                    .fails_to
                    .and_then(|to| next_plan(self.plan, &self.form(&what)?, (None, Some(to)))),
                above: zones
                    .fails_from
                    .and_then(|from| next_plan(self.plan, &self.form(&what)?, (Some(from), None))),
            };
            Reading {
                decides: zones.can_go && checks.len() == self.checks.len(),
                what,
                go_from: zones.go_from,
                go_to: zones.go_to,
                no_below: zones.fails_to.map(|v| v - caliper),
                no_above: zones.fails_from.map(|v| v + caliper),
                caliper,
                order: at as u32 + 1,
                checks,
                undecided: zones.undecided,
                then,
                longer,
            }
        };
        chosen.into_iter().enumerate().map(told).collect()
    }

    fn check(&self, index: usize) -> &Check {
        &self.stack.checks[index]
    }

    /// What is read, as a form; `None` where the value of a check is not one form in every case.
    fn form(&self, what: &ReadWhat) -> Option<Form> {
        match *what {
            ReadWhat::Dim(dim) => Some(Form::dimension(dim)),
            ReadWhat::Pair { one, other, sum } => {
                let times = if sum { ONE } else { -ONE };
                Some(Form::dimension(one).plus_times(&Form::dimension(other), times))
            }
            ReadWhat::Reach { item, into, .. } => self.reach(item, into),
            ReadWhat::DryBuild(check) => self.check(check).value.as_ref()?.form.clone(),
        }
    }

    /// From the end of the host, which is its top, down to the foot of what reaches in.
    fn reach(&self, item: ItemIx, into: ItemIx) -> Option<Form> {
        let bottom = |item: ItemIx| self.item(item).landing.as_ref()?.form.clone();
        Some(bottom(into)?.plus(&self.item(into).height).minus(&bottom(item)?))
    }

    fn item(&self, item: ItemIx) -> &Placed {
        &self.stack.items[usize::from(item.0)]
    }

    /// Of a check on a chosen height inside another part: what is screwed into the part that is set there.
    fn reaches(&self, check: usize) -> Option<ReadWhat> {
        let check = self.check(check);
        let (Demand::Height(_), [chosen]) = (check.demand, &check.about[..]) else { return None };
        let into = self.item(*chosen).rides_with?;
        let screwed = self.item(*chosen).mates.iter().find(|mate| mate.how == Mating::Thread)?;
        let from_above = matches!(self.plan.setting.rule.slot(self.item(*chosen).slot).put_on,
            PutOn::Chosen(choice) if choice.into == Some(End::Top));
        from_above.then_some(ReadWhat::Reach { item: screwed.item, into, chosen: *chosen })
    }

    fn caliper(&self, what: &ReadWhat) -> i64 {
        let of = |dim: u32| self.plan.bench.caliper.uncertainty(self.nature(dim)).as_nm();
        match *what {
            ReadWhat::Dim(dim) => of(dim),
            ReadWhat::Pair { one, other, .. } => of(one) + of(other),
            // The one length less the other.
            ReadWhat::Reach { .. } => 2 * self.plan.bench.caliper.uncertainty(Nature::Depth).as_nm(),
            ReadWhat::DryBuild(check) if is_marked(self.check(check).demand) => BY_MARKS,
            ReadWhat::DryBuild(_) => self.plan.bench.caliper.uncertainty(Nature::Depth).as_nm(),
        }
    }

    fn nature(&self, dim: u32) -> Nature {
        let item_dim = &self.stack.dims[dim as usize];
        let placed = &self.stack.items[item_dim.item.0 as usize];
        let shape = &self.plan.bench.catalogue.variant(placed.variant).shape;
        shape.dims.iter().find(|d| d.name == item_dim.name).map_or(Nature::Depth, |d| d.nature)
    }

    fn zones(&self, what: &ReadWhat, checks: &[usize]) -> Option<Zones> {
        let caliper = self.caliper(what);
        if let ReadWhat::DryBuild(check) = *what {
            return Zones::of_value(self.check(check), caliper);
        }
        let read = Read { form: self.form(what)?, caliper };
        let checks: Vec<&Check> = checks.iter().map(|&i| self.check(i)).collect();
        Zones::of(&read, &checks, &self.ends)
    }

    fn choice(&self, what: ReadWhat, checks: &[usize]) -> Option<Choice> {
        let zones = self.zones(&what, checks)?;
        Some(Choice { caliper: self.caliper(&what), checks: checks.to_vec(), what, zones })
    }

    /// Dimensions of a check's value that are not exact.
    fn dims_of(&self, check: usize) -> Vec<(u32, i64)> {
        let form = self.check(check).value.as_ref().and_then(|v| v.form.as_ref());
        let wide = |t: &&(u32, i64)| self.ends[t.0 as usize].least < self.ends[t.0 as usize].most;
        form.map(|f| f.terms.iter().filter(wide).copied().collect()).unwrap_or_default()
    }

    /// Dimensions of a check's value, and of the walls that it compares, that are not exact.
    fn walls_of(&self, check: usize) -> Vec<u32> {
        let its = self.check(check);
        let mut dims: Vec<u32> = self.dims_of(check).into_iter().map(|t| t.0).collect();
        if let (Demand::Seat(_), [item]) = (its.demand, &its.about[..])
            && dims.is_empty()
        {
            dims.extend(seat_dims(self.plan.setting, &picks_of(self.stack), *item));
        }
        for (item, surface) in its.about.iter().zip(&its.surfaces) {
            let rings = self.stack.items[item.0 as usize].columns.iter().flat_map(|c| &c.segments);
            let walls = rings.flat_map(|r| [&r.bore, &r.outside]).filter(|w| w.surface == *surface);
            dims.extend(walls.flat_map(|w| &w.diameter).flat_map(|d| d.terms.iter().map(|t| t.0)));
        }
        dims.retain(|&d| self.ends[d as usize].least < self.ends[d as usize].most);
        dims
    }

    /// The dimension that leaves least open of all these checks at once.
    fn best_single(&self, checks: &[usize]) -> Option<Choice> {
        let dims = self.dims_of(*checks.first()?);
        let singles = dims.into_iter().filter_map(|(dim, _)| self.choice(ReadWhat::Dim(dim), checks));
        singles.min_by_key(|c| (!c.zones.can_go, c.zones.undecided))
    }

    /// Where the stack comes together in more than one way: the dimension of an open check, or the two of an open
    /// comparison, that, once read, settle most of everything.
    fn best_by_trial(&self) -> Option<Choice> {
        let formless = |&&c: &&usize| self.check(c).value.as_ref().is_none_or(|v| v.form.is_none());
        self.checks.iter().find(formless)?;
        let dims = self.checks.iter().flat_map(|&c| self.walls_of(c)).map(ReadWhat::Dim);
        let mut all: Vec<ReadWhat> = Vec::new();
        for what in self.compared().chain(dims) {
            if !all.contains(&what) {
                all.push(what);
            }
        }
        let tried = all.into_iter().take(MOST_TRIED).filter_map(|what| {
            let caliper = self.caliper(&what);
            let zones = trial::zones(self.plan, &self.form(&what)?, caliper);
            Some(Choice { zones, what, caliper, checks: self.checks.clone() })
        });
        tried.filter(|c| c.zones.can_go).min_by_key(|c| c.zones.undecided)
    }

    /// What a caliper can read of the comparisons that are open: those of two dimensions, or of one with a fixed size.
    fn compared(&self) -> impl Iterator<Item = ReadWhat> {
        let wide = |t: &&(u32, i64)| self.ends[t.0 as usize].least < self.ends[t.0 as usize].most;
        self.stack.open.iter().filter_map(move |form| {
            let terms: Vec<(u32, i64)> = form.terms.iter().filter(wide).copied().collect();
            match terms[..] {
                [(dim, _)] => Some(ReadWhat::Dim(dim)),
                [one, other] if one.1.abs() == other.1.abs() => Some(self.pair(one, other)),
                _ => None,
            }
        })
    }

    /// Their sum, or the larger less the other: as they go into a value together.
    fn pair(&self, (a, of_a): (u32, i64), (b, of_b): (u32, i64)) -> ReadWhat {
        let sum = of_a == of_b;
        let larger_first = sum || self.ends[a as usize].nominal >= self.ends[b as usize].nominal;
        let (one, other) = if larger_first { (a, b) } else { (b, a) };
        ReadWhat::Pair { one, other, sum }
    }

    /// The reading that leaves least open of one check; of equals the one that is less work.
    fn best_for(&self, check: usize) -> Option<Choice> {
        let single = self.best_single(&[check]);
        let dry = self.choice(ReadWhat::DryBuild(check), &[check]);
        let seen = seen_on_dry_build(self.check(check).demand);
        let pairs = self.pairs(check).into_iter().filter_map(|what| self.choice(what, &[check]));
        let reach = self.reaches(check).and_then(|what| self.choice(what, &[check]));
        let best = single.into_iter().chain(dry.filter(|_| seen)).chain(pairs).chain(reach);
        let best = best.min_by_key(|c| c.zones.undecided).filter(|c| c.zones.undecided < 1_000);
        best.or_else(|| self.choice(ReadWhat::DryBuild(check), &[check]))
    }

    /// Pairs that go into the value alike: their sum, or the one less the other.
    fn pairs(&self, check: usize) -> Vec<ReadWhat> {
        let dims = self.dims_of(check);
        let mut found = Vec::new();
        for (at, &(a, of_a)) in dims.iter().enumerate() {
            let alike = dims[at + 1..].iter().filter(|(_, k)| k.abs() == of_a.abs());
            found.extend(alike.map(|&other| self.pair((a, of_a), other)));
        }
        found
    }
}

/// What lies inside another part once it is built is marked there, and measured when all is apart again.
fn is_marked(demand: Demand) -> bool {
    matches!(demand, Demand::SleeveOverlap(_) | Demand::GripLength(_))
}

/// Heights and depths that a rod reaches while the parts stand together; what lies between two walls is not seen there.
fn seen_on_dry_build(demand: Demand) -> bool {
    matches!(
        demand,
        Demand::GapLeast
            | Demand::SleeveOverlap(_)
            | Demand::StandsOut(_)
            | Demand::Insertion(_)
            | Demand::Spare(_)
            | Demand::GripLength(_)
            | Demand::GripPinch(_)
            | Demand::Still
            | Demand::Slit(_)
            | Demand::SlitReach(_)
            | Demand::SlitBare(_)
    )
}
