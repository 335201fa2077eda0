//! A clamp system's lists with surfaces as numbers, and what of them is asked for. Must not know any part.

use super::ready::{NameIx, Names};
use super::sorted::Kept;
use super::still::Stands;
use crate::assembly::blame::{Blame, bit};
use crate::assembly::report::Demand;
use crate::catalogue::Catalogue;
use crate::rules::{Rule, SlotIx, SurfaceRef};
use std::sync::Arc;

/// A slot's surface.
pub type At = (SlotIx, NameIx);

#[derive(Clone, Debug)]
pub struct Sleeve {
    pub outer: At,
    pub inner: Vec<At>,
    pub clearance_least: i64,
    pub clearance_most: i64,
    pub overlap_least: Option<i64>,
    pub springs: i64,
    pub clearance_asked: bool,
}

#[derive(Clone, Debug)]
pub struct Thread {
    pub male: Vec<At>,
    pub female: Vec<At>,
    pub engagement_least: Option<i64>,
}

/// A step of the load path, with the columns the push comes in and goes out by.
#[derive(Clone, Debug)]
pub struct Step {
    pub slot: SlotIx,
    pub enters: Option<NameIx>,
    pub leaves: Option<NameIx>,
}

#[derive(Clone, Debug)]
pub struct Lists {
    pub sleeves: Vec<Sleeve>,
    pub threads: Vec<Thread>,
    pub sizes: Vec<Vec<At>>,
    pub grips: Vec<At>,
    pub path: Vec<Step>,
    /// For each slot: bits of the slots that an item in it may rest on; all when any will do.
    pub rests_on: Vec<u64>,
    /// For each slot: what of its parts stands still.
    pub still: Vec<Stands>,
}

/// What follows from a rule alone, and from which kinds of parts there are.
#[derive(Clone, Debug)]
pub struct OfRule {
    pub blame: Arc<Blame>,
    pub(super) lists: Arc<Lists>,
    pub(super) kept: Arc<Kept>,
}

impl OfRule {
    pub fn new(rule: &Rule, catalogue: &Catalogue, names: &Names, waived: &[Demand]) -> OfRule {
        let blame = Arc::new(Blame::of(rule, catalogue, waived));
        OfRule { blame, lists: Arc::new(lists(rule, names, waived)), kept: Arc::default() }
    }
}

fn lists(rule: &Rule, names: &Names, waived: &[Demand]) -> Lists {
    let at = |s: &SurfaceRef| (s.slot, names.of(s.surface));
    let all = |list: &[SurfaceRef]| list.iter().map(at).collect::<Vec<_>>();
    let asked = |demand: Demand| !waived.contains(&demand);
    let sleeves = rule.sleeves.iter().enumerate().map(|(i, s)| Sleeve {
        outer: at(&s.outer),
        inner: all(&s.inner),
        clearance_least: s.clearance_least.as_nm(),
        clearance_most: s.clearance_most.as_nm(),
        overlap_least: s.overlap_least.map(|l| l.as_nm()),
        springs: s.springs.as_nm(),
        clearance_asked: asked(Demand::SleeveClearance(i as u16)),
    });
    let threads = rule.threads.iter().map(|t| Thread {
        male: all(&t.male),
        female: all(&t.female),
        engagement_least: t.engagement_least.map(|l| l.as_nm()),
    });
    let rests_on = rule.slots.iter().enumerate().map(|(i, slot)| {
        let own = SlotIx(i as u16);
        // One that may lie on nothing owes nothing to what it may rest on.
        let held_to = asked(Demand::RestsOn(own)) && asked(Demand::Lands(own));
        if slot.rests_on.is_empty() || !held_to {
            u64::MAX
        } else {
            slot.rests_on.iter().fold(bit(own), |all, s| all | bit(*s))
        }
    });
    let column = |name: &Option<String>| name.as_deref().map(|n| names.of(n));
    let path =
        rule.path.iter().map(|s| Step { slot: s.slot, enters: column(&s.enters), leaves: column(&s.leaves) });
    Lists {
        sleeves: sleeves.collect(),
        threads: threads.collect(),
        sizes: rule.sizes.iter().map(|s| all(&s.surface)).collect(),
        grips: rule.grips.iter().map(|g| at(&g.by)).collect(),
        path: path.collect(),
        rests_on: rests_on.collect(),
        still: rule.slots.iter().map(|slot| Stands::of(slot, names)).collect(),
    }
}
