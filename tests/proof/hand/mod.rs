//! A second judge of real builds: parts with one size each, dropped and tightened in plain figures from what the fit model says.
//! Takes from the engine only the list of parts, their data and the rule. Must not know how the engine lands, bounds or judges.

#![allow(dead_code, reason = "each proof uses its own share of this")]

pub mod bolts;
pub mod boxed;
pub mod grips;
pub mod judge;
pub mod lists;
pub mod made;
pub mod part;
pub mod pile;
pub mod play;
pub mod sampled;
pub mod vary;
pub mod worst;
pub mod wrongly;

use benchleaf::assembly::{Stack, Strengths, Window};
use benchleaf::catalogue::Catalogue;
use benchleaf::quantity::Ends;
use benchleaf::rules::{End, PutOn, Rule};
use judge::{Finding, Findings, judged};
use pile::{Build, Listed};

/// A list of parts on the bench: the same for any number of real builds.
pub struct Bench<'s> {
    pub rule: &'s Rule,
    pub list: Vec<Listed<'s>>,
    pub strengths: &'s dyn Strengths,
    /// Sizes that each part may have.
    pub ends: Vec<Vec<Ends>>,
}

/// How the heights that a hand chooses are set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Set {
    /// As the parts in hand ask for.
    Best,
    /// So far up the promised window (as it is told: of depths, or above what carries it; or of heights), and so far off as a hand
    /// may be, from -1 to 1.
    Promised { by: By, up: f64, off: f64 },
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum By {
    Depth,
    Height,
}

/// How far up what lies loose is between its two stops, as shares of the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Lying<'l> {
    Low,
    High,
    /// By item.
    Each(&'l [f64]),
}

impl Lying<'_> {
    fn share(self, item: usize) -> f64 {
        match self {
            Lying::Low => 0.0,
            Lying::High => 1.0,
            Lying::Each(shares) => shares[item],
        }
    }
}

/// Steps of the search for the best height: enough for a thousandth of a millimetre on any scooter.
const NARROWINGS: usize = 30;

impl<'s> Bench<'s> {
    pub fn of(
        stack: &Stack,
        rule: &'s Rule,
        catalogue: &'s Catalogue,
        strengths: &'s dyn Strengths,
    ) -> Bench<'s> {
        let listed = |p: &benchleaf::assembly::Placed| Listed {
            slot: p.slot,
            shape: &catalogue.variant(p.variant).shape,
            turned: p.turned,
        };
        let list: Vec<Listed> = stack.items.iter().map(listed).collect();
        let ends = list.iter().map(|l| l.shape.dims.iter().map(|d| d.ends()).collect()).collect();
        Bench { rule, list, strengths, ends }
    }

    pub fn nominal(&self) -> Vec<Vec<i64>> {
        self.ends.iter().map(|part| part.iter().map(|e| e.nominal).collect()).collect()
    }

    /// Nothing holds it.
    pub fn is_loose(&self, item: usize) -> bool {
        self.rule.slot(self.list[item].slot).put_on == PutOn::Loose
    }

    /// One real build, judged. `None`: there are no such parts.
    pub fn tried(
        &self,
        sizes: &[Vec<i64>],
        windows: &[Window],
        set: Set,
        lying: Lying<'_>,
    ) -> Option<Findings> {
        let mut build = Build::dropped(self.rule, &self.list, sizes)?;
        let kept = self.lift(&mut build, lying);
        let mut chosen: Vec<usize> = build.all().filter(|&i| build.is_chosen(i)).collect();
        chosen.retain(|&item| {
            build.feet[item] = self.promised(&build, item, windows, set);
            build.feet[item].is_none()
        });
        if !chosen.is_empty() {
            // What is wrong whatever the height needs no height.
            let anyhow = judged(&build, self.strengths);
            if anyhow.worst().spare < 0.0 {
                return Some(anyhow);
            }
        }
        for &item in &chosen {
            self.set_best(&mut build, item);
        }
        let mut findings = judged(&build, self.strengths);
        // A hand that aims at the best height may miss it either way.
        for item in chosen {
            let PutOn::Chosen(choice) = self.rule.slot(build.slots[item]).put_on else { continue };
            let (by, at) = (choice.by_hand.as_nm() as f64, build.feet[item]);
            for missed in [-by, by].into_iter().filter(|by| *by != 0.0) {
                build.feet[item] = at.map(|height| height + missed);
                findings.0.extend(judged(&build, self.strengths).0);
            }
            build.feet[item] = at;
        }
        findings.0.extend(kept);
        Some(findings)
    }

    /// What lies loose is anywhere between what it lies on and what stops it.
    fn lift(&self, build: &mut Build<'_>, lying: Lying<'_>) -> Vec<Finding> {
        let mut kept = vec![];
        for item in build.all().filter(|&i| self.is_loose(i)) {
            let Some(foot) = build.feet[item] else { continue };
            let above = (item + 1..build.parts.len()).filter(|&o| !build.is_chosen(o));
            let room = above.filter_map(|o| Some(build.feet[o]? - (foot + build.meets(item, o)?)));
            let room = room.reduce(f64::min);
            kept.push(Finding {
                what: "is kept",
                about: vec![item],
                spare: room.map_or(judge::NO, |_| judge::YES),
            });
            build.feet[item] = room.map(|room| foot + room.max(0.0) * lying.share(item)).or(Some(foot));
        }
        kept
    }

    /// `None`: the guide promises no window, but only that there is a height for the parts in hand.
    fn promised(&self, build: &Build<'_>, item: usize, windows: &[Window], set: Set) -> Option<f64> {
        let Set::Promised { by, up, off } = set else { return None };
        let window = windows.iter().find(|w| usize::from(w.item.0) == item)?;
        let PutOn::Chosen(choice) = self.rule.slot(build.slots[item]).put_on else { return None };
        let between = |from: i64, to: i64| (from <= to).then(|| from as f64 + (to - from) as f64 * up);
        let by_height = between(window.lowest, window.highest);
        let by_depth = window.depth.and_then(|(least, most)| {
            let (host, depth) = (build.host(item)?, between(least, most)?);
            match choice.into? {
                End::Top => Some(build.top(host)? - depth - build.parts[item].height),
                End::Bottom => Some(build.feet[host]? + depth),
            }
        });
        let over = window.over.and_then(|(on, least, most)| {
            let on = usize::from(on.0);
            Some(build.feet[on]? + build.meets(on, item)? + between(least, most)?)
        });
        let told = by_depth.or(over);
        let height = if by == By::Depth { told.or(by_height) } else { by_height.or(told) };
        height.map(|height| height + choice.by_hand.as_nm() as f64 * off)
    }

    /// The height at which least is missing of all that hangs on it. What is asked of a height is a slope each, so that the
    /// least of them rises up to the best height and falls beyond it.
    fn set_best(&self, build: &mut Build<'_>, item: usize) {
        let (mut low, mut high) = match build.host(item) {
            Some(host) => (build.feet[host].unwrap_or(0.0), build.top(host).unwrap_or(0.0)),
            None => (0.0, build.all().filter_map(|i| build.top(i)).fold(0.0, f64::max)),
        };
        let mut at = |height: f64| {
            build.feet[item] = Some(height);
            let findings = judged(build, self.strengths);
            let mine = findings.0.iter().filter(|f| f.about.contains(&item));
            mine.map(|f| f.spare).filter(|s| *s > judge::NO).fold(f64::INFINITY, f64::min)
        };
        let golden = (5.0_f64.sqrt() - 1.0) / 2.0;
        let (mut a, mut b) = (high - golden * (high - low), low + golden * (high - low));
        let (mut at_a, mut at_b) = (at(a), at(b));
        for _ in 0..NARROWINGS {
            if at_a >= at_b {
                (high, b, at_b) = (b, a, at_a);
                a = high - golden * (high - low);
                at_a = at(a);
            } else {
                (low, a, at_a) = (a, b, at_b);
                b = low + golden * (high - low);
                at_b = at(b);
            }
        }
        build.feet[item] = Some((low + high) / 2.0);
    }
}
