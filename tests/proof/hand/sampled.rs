//! Stacks of a book tried with many real builds, and what the engine says of each held against them. Must not know where the
//! stacks come from.

use super::judge::Findings;
use super::worst::{Asked, Leanings, Sizes};
use super::{Bench, By, Lying, Set};
use crate::book::Numbers;
use benchleaf::assembly::{Outcome, Pick, Setting, Stack, assemble};
use benchleaf::catalogue::Catalogue;
use benchleaf::rules::Rule;

/// Nanometres by which the engine may be off where it rounds outward, and plain figures where they round.
const ROUNDING: f64 = 100.0;

/// What the engine says of a stack as it stands.
pub fn said(stack: &Stack) -> Outcome {
    let worst = stack.checks.iter().map(|c| c.outcome).max().unwrap_or(Outcome::Pass);
    if stack.merged { worst.max(Outcome::Measure) } else { worst }
}

/// Builds of one stack.
#[derive(Clone, Copy, Debug, Default)]
pub struct Tally {
    pub sound: usize,
    pub unsound: usize,
}

impl Tally {
    pub fn all(&self) -> usize {
        self.sound + self.unsound
    }
}

/// A stack with its builds.
pub struct Tried<'b> {
    pub bench: Bench<'b>,
    pub stack: Stack,
    pub said: Outcome,
    pub names: Vec<String>,
    /// Pairs of parts that were tried on one another, and whether the one slid over the other.
    trials: Vec<(Vec<usize>, bool)>,
}

impl<'b> Tried<'b> {
    pub fn of(setting: Setting<'b>, picks: &[Pick]) -> Tried<'b> {
        Tried::by_rule(setting.rule, setting, picks)
    }

    /// Judged by hand by a rule that may be another than the one the engine is told; both have the same slots.
    pub fn by_rule(rule: &'b Rule, setting: Setting<'b>, picks: &[Pick]) -> Tried<'b> {
        let stack = assemble(setting, picks);
        let names = stack.items.iter().map(|i| name(setting.catalogue, i)).collect();
        let bench = Bench::of(&stack, rule, setting.catalogue, setting.bolts);
        let trials = trials(&stack, &setting);
        Tried { bench, said: said(&stack), stack, names, trials }
    }

    /// Builds at random, at corners and where they are worst (or best) for each thing that is asked; every one of them is
    /// held against what the engine says. `Err`: the first that contradicts it.
    pub fn sample(&self, builds: usize, numbers: &mut Numbers) -> Result<Tally, String> {
        let mut tally = Tally::default();
        let looked_for = self.looked_for();
        for at in 0..builds {
            let sizes = match looked_for.get(at) {
                Some(sizes) => sizes.clone(),
                None => self.drawn(&looked_for, numbers),
            };
            self.try_one(&sizes, numbers, &mut tally)?;
        }
        Ok(tally)
    }

    fn try_one(&self, sizes: &Sizes, numbers: &mut Numbers, tally: &mut Tally) -> Result<(), String> {
        let set = if self.said == Outcome::Pass { set(numbers) } else { Set::Best };
        let shares = shares(sizes.len(), numbers);
        let Some(findings) = self.findings(sizes, set, &shares) else { return Ok(()) };
        let slid = |asked: &Vec<usize>| {
            let clearances = findings.0.iter().filter(|f| f.what == "clearance" && f.about == *asked);
            clearances.map(|f| f.spare).fold(f64::INFINITY, f64::min) >= 0.0
        };
        // Parts that were tried are not of sizes that would have shown otherwise.
        if self.trials.iter().any(|(pair, slides)| slid(pair) != *slides) {
            return Ok(());
        }
        let worst = findings.worst();
        if worst.spare < 0.0 {
            tally.unsound += 1;
        } else {
            tally.sound += 1;
        }
        let wrong = match self.said {
            Outcome::Pass => worst.spare < -ROUNDING,
            Outcome::Measure => false,
            Outcome::Fail => worst.spare > ROUNDING && !self.stack.merged,
        };
        if !wrong {
            return Ok(());
        }
        let asked = (worst.what, worst.about.clone());
        Err(format!(
            "{:?}, and a build has {} to spare for {}\n{set:?} lying {shares:?} windows {:?}\n{}failed checks: {:#?}",
            self.said,
            worst.spare,
            self.asked(&asked),
            self.stack.windows,
            self.told(sizes),
            self.stack.checks.iter().filter(|c| c.outcome != Outcome::Pass).collect::<Vec<_>>(),
        ))
    }

    /// What does not go must not go wherever loose parts lie: then each build is looked at with these at either end, too.
    fn findings(&self, sizes: &Sizes, set: Set, shares: &[f64]) -> Option<Findings> {
        let lying = |lying| self.bench.tried(sizes, &self.stack.windows, set, lying);
        let mut findings = lying(Lying::Each(shares))?;
        if self.said != Outcome::Pass && self.has_loose() {
            let ends = [Lying::Low, Lying::High].into_iter().filter_map(lying);
            findings.0.extend(ends.flat_map(|f| f.0));
        }
        Some(findings)
    }

    fn has_loose(&self) -> bool {
        (0..self.bench.list.len()).any(|item| self.bench.is_loose(item))
    }

    /// The least that is left to spare of this, about such a part, at either end of what is promised of heights, in the worst build.
    pub fn least(&self, what: &str, about: impl Fn(&str) -> bool) -> f64 {
        let mut least = f64::INFINITY;
        for up in [0.0, 1.0] {
            let set = Set::Promised { by: By::Depth, up, off: 0.0 };
            let leanings =
                Leanings::of(&self.bench, &self.stack.windows, set, Lying::Low).expect("such parts");
            let mine = |a: &&Asked| a.0 == what && a.1.iter().any(|&i| about(&self.names[i]));
            for asked in leanings.middle.keys().filter(mine) {
                let sizes = leanings.toward(&self.bench, asked, true);
                let found =
                    self.bench.tried(&sizes, &self.stack.windows, set, Lying::Low).expect("such parts");
                let same = found.0.iter().filter(|f| (f.what, &f.about) == (asked.0, &asked.1));
                least = same.map(|f| f.spare).fold(least, f64::min);
            }
        }
        least
    }

    pub fn asked(&self, asked: &Asked) -> String {
        let about: Vec<&str> = asked.1.iter().map(|&i| self.names[i].as_str()).collect();
        format!("{} ({})", asked.0, about.join(", "))
    }

    /// Sizes at which each thing asked has the least to spare; of what does not go those at which it has the most.
    fn looked_for(&self) -> Vec<Sizes> {
        let set = if self.said == Outcome::Pass { PROMISED } else { Set::Best };
        let mut found = vec![self.bench.nominal()];
        let ends: &[Lying] = if self.has_loose() { &[Lying::Low, Lying::High] } else { &[Lying::Low] };
        for &lying in ends {
            let Some(leanings) = Leanings::of(&self.bench, &self.stack.windows, set, lying) else { continue };
            for (asked, _) in leanings.middle.iter().filter(|(_, spare)| spare.abs() < 20e6) {
                let sizes = leanings.toward(&self.bench, asked, self.said == Outcome::Pass);
                if !found.contains(&sizes) {
                    found.push(sizes);
                }
            }
        }
        found
    }

    /// Uniform, at corners, or near a build that was looked for.
    fn drawn(&self, looked_for: &[Sizes], numbers: &mut Numbers) -> Sizes {
        let like = numbers.below(4);
        let near = match looked_for {
            [] => None,
            all => Some(&all[numbers.below(all.len())]),
        };
        let mut sizes = self.bench.nominal();
        for (item, ends) in self.bench.ends.iter().enumerate() {
            for (dim, end) in ends.iter().enumerate() {
                sizes[item][dim] = match (like, near) {
                    (0, _) => numbers.between(end.least, end.most),
                    (1, _) if numbers.one_in(2) => end.least,
                    (1, _) => end.most,
                    (_, Some(near)) if !numbers.one_in(5) => near[item][dim],
                    _ => numbers.between(end.least, end.most),
                };
            }
        }
        sizes
    }

    fn told(&self, sizes: &Sizes) -> String {
        let mut text = String::new();
        for (item, sizes) in sizes.iter().enumerate() {
            text += &format!(
                "  {}{}:",
                self.names[item],
                if self.bench.list[item].turned { " turned" } else { "" }
            );
            for (dim, (size, end)) in
                self.bench.list[item].shape.dims.iter().zip(sizes.iter().zip(&self.bench.ends[item]))
            {
                let place = if *size == end.least {
                    "-"
                } else if *size == end.most {
                    "+"
                } else {
                    ""
                };
                text += &format!(" {} {}{place}", dim.name, *size as f64 / 1e6);
            }
            text.push('\n');
        }
        text
    }
}

fn trials(stack: &Stack, setting: &Setting<'_>) -> Vec<(Vec<usize>, bool)> {
    let mut found = vec![];
    for sleeve in &setting.rule.sleeves {
        for (outer, over) in stack.items.iter().enumerate().filter(|(_, i)| i.slot == sleeve.outer.slot) {
            for wall in &sleeve.inner {
                for (inner, under) in stack.items.iter().enumerate().filter(|(_, i)| i.slot == wall.slot) {
                    let walls = ((over.variant, sleeve.outer.surface), (under.variant, wall.surface));
                    let trial = setting.catalogue.trial(walls.0, walls.1);
                    found.extend(trial.map(|t| (vec![outer, inner], setting.catalogue.trials[t].slides)));
                }
            }
        }
    }
    found
}

pub const PROMISED: Set = Set::Promised { by: By::Height, up: 0.5, off: 0.0 };

fn set(numbers: &mut Numbers) -> Set {
    let by = if numbers.one_in(2) { By::Depth } else { By::Height };
    let up = [0.0, 1.0, numbers.between(0, 1_000) as f64 / 1_000.0][numbers.below(3)];
    let off = [-1.0, 1.0, numbers.between(-1_000, 1_000) as f64 / 1_000.0][numbers.below(3)];
    Set::Promised { by, up, off }
}

/// Both ends as often as all between.
fn shares(items: usize, numbers: &mut Numbers) -> Vec<f64> {
    let mut one = || [0.0, 1.0, numbers.between(0, 1_000) as f64 / 1_000.0][numbers.below(3)];
    (0..items).map(|_| one()).collect()
}

fn name(catalogue: &Catalogue, placed: &benchleaf::assembly::Placed) -> String {
    format!("{} {}", placed.name, catalogue.part_of(placed.variant).id)
}
