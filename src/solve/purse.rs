//! What the picks so far cost, and what any plan that begins with them must cost at least.
//!
//! Purchases are told by what is missing: the same parts missing cost the same, in whatever order they were
//! picked. Must not know where parts go.

use super::candidates::Field;
use super::supply::{Cost, Counts, Supplies};
use crate::assembly::Pick;
use crate::catalogue::{PartIx, VariantIx};
use crate::rules::Rule;
use smallvec::SmallVec;
use std::collections::HashMap;

/// Parts and counts, sorted by part.
type Missing = SmallVec<[(PartIx, u32); 8]>;

/// One set of missing parts.
struct Account {
    missing: Missing,
    /// `None`: cannot be bought.
    cost: Option<Cost>,
    /// By the slot that comes next; filled in when first asked for.
    least: Vec<Option<Option<Cost>>>,
}

pub struct Purse<'a> {
    supplies: &'a Supplies<'a>,
    /// Parts that may stand in slots that must be filled and for which nothing is at hand.
    to_buy: Vec<Vec<PartIx>>,
    /// Money that the slots from this one on add by themselves.
    rest: Vec<i64>,
    accounts: Vec<Account>,
    after: HashMap<(usize, PartIx), usize>,
    by_missing: HashMap<Missing, usize>,
    /// Cheapest purchases of parts that come in boxes, too.
    boxed: HashMap<Missing, Option<Cost>>,
    needed: HashMap<PartIx, u32>,
    /// Account after each pick, and the part it took.
    stack: Vec<(usize, Option<PartIx>)>,
    /// By part: what one costs sold loose, and whether it comes in a box, too.
    loose: Vec<(Option<Cost>, bool)>,
    /// Nothing costs anything: any plan will do.
    free: bool,
}

impl<'a> Purse<'a> {
    pub fn new(rule: &Rule, supplies: &'a Supplies<'a>, field: &Field, free: bool) -> Purse<'a> {
        let to_buy = rule.slots.iter().zip(&field.slots).map(|(slot, candidates)| {
            let owned = candidates.iter().any(|&v| supplies.owns(v));
            let at_hand = slot.brought || slot.least == 0 || owned;
            let part = |&v: &VariantIx| supplies.catalogue.variant(v).part;
            if at_hand { Vec::new() } else { candidates.iter().map(part).collect() }
        });
        let mut purse = Purse {
            supplies,
            to_buy: to_buy.collect(),
            rest: least_rest(rule, supplies, field),
            accounts: Vec::new(),
            after: HashMap::new(),
            by_missing: HashMap::new(),
            boxed: HashMap::new(),
            needed: HashMap::new(),
            stack: Vec::new(),
            loose: loose_prices(supplies),
            free,
        };
        purse.account(Missing::new());
        purse
    }

    pub fn push(&mut self, pick: Pick, brought: bool) {
        let at = self.at();
        if brought || self.free {
            return self.stack.push((at, None));
        }
        let part = self.supplies.catalogue.variant(pick.variant).part;
        let needed = self.needed.entry(part).or_insert(0);
        *needed += 1;
        let owned = self.supplies.owned.get(&part).copied().unwrap_or(0);
        let next = if *needed <= owned {
            at
        } else {
            match self.after.get(&(at, part)) {
                Some(&next) => next,
                None => {
                    let next = self.account(with(&self.accounts[at].missing, part));
                    self.after.insert((at, part), next);
                    next
                }
            }
        };
        self.stack.push((next, Some(part)));
    }

    pub fn pop(&mut self) {
        if let Some((_, Some(part))) = self.stack.pop()
            && let Some(needed) = self.needed.get_mut(&part)
        {
            *needed -= 1;
        }
    }

    /// Of everything picked; `None` when something cannot be bought.
    pub fn cost(&self) -> Option<Cost> {
        self.accounts[self.at()].cost
    }

    /// What any plan must cost that begins like this and goes on with slot `next`.
    pub fn least(&mut self, next: usize) -> Option<Cost> {
        let at = self.at();
        if let Some(known) = self.accounts[at].least.get(next).copied().flatten() {
            return known;
        }
        let least = self.least_of(at, next);
        let known = &mut self.accounts[at].least;
        if known.len() <= next {
            known.resize(next + 1, None);
        }
        known[next] = Some(least);
        least
    }

    /// Something is missing of this part.
    pub fn is_missing(&self, variant: VariantIx) -> bool {
        let part = self.supplies.catalogue.variant(variant).part;
        self.accounts[self.at()].missing.iter().any(|m| m.0 == part)
    }

    fn at(&self) -> usize {
        self.stack.last().map_or(0, |s| s.0)
    }

    fn account(&mut self, missing: Missing) -> usize {
        if let Some(&at) = self.by_missing.get(&missing) {
            return at;
        }
        let cost = self.price(&missing);
        self.accounts.push(Account { missing: missing.clone(), cost, least: Vec::new() });
        self.by_missing.insert(missing, self.accounts.len() - 1);
        self.accounts.len() - 1
    }

    /// What is only sold loose adds up; boxes are worked out once for each set of what comes in them.
    fn price(&mut self, missing: &Missing) -> Option<Cost> {
        let mut sum = Cost::default();
        let mut boxed = Missing::new();
        for &(part, count) in missing {
            let (one, in_a_box) = self.loose[part.0 as usize];
            if in_a_box {
                boxed.push((part, count));
            } else {
                let one = one?;
                sum.unpriced += one.unpriced * count;
                sum.minor += one.minor * i64::from(count);
            }
        }
        let supplies = self.supplies;
        let shared = *self
            .boxed
            .entry(boxed)
            .or_insert_with_key(|boxed| supplies.cost_of_missing(&boxed.iter().copied().collect()));
        shared.map(|s| Cost { unpriced: s.unpriced + sum.unpriced, minor: s.minor + sum.minor })
    }

    /// Boxes are shared, so the slots' needs do not add up: the dearest of them counts.
    fn least_of(&mut self, at: usize, next: usize) -> Option<Cost> {
        let cost = self.accounts[at].cost?;
        let mut least = Cost { minor: cost.minor + self.rest.get(next).copied().unwrap_or(0), ..cost };
        if self.free {
            return Some(least);
        }
        let missing = self.accounts[at].missing.clone();
        for slot in next..self.to_buy.len() {
            let mut cheapest: Option<Cost> = None;
            for candidate in 0..self.to_buy[slot].len() {
                let part = self.to_buy[slot][candidate];
                let price = self.price(&with(&missing, part));
                cheapest = price.into_iter().chain(cheapest).min();
                if cheapest.is_some_and(|c| c <= least) {
                    break;
                }
            }
            if !self.to_buy[slot].is_empty() {
                least = least.max(cheapest?);
            }
        }
        Some(least)
    }
}

fn loose_prices(supplies: &Supplies<'_>) -> Vec<(Option<Cost>, bool)> {
    let of = |index: usize| {
        let part = PartIx(index as u32);
        (supplies.cost_of_missing(&Counts::from([(part, 1)])), supplies.part_in_a_box(part))
    };
    (0..supplies.catalogue.parts.len()).map(of).collect()
}

/// One more of a part.
fn with(missing: &Missing, part: PartIx) -> Missing {
    let mut more = missing.clone();
    match more.binary_search_by_key(&part, |m| m.0) {
        Ok(at) => more[at].1 += 1,
        Err(at) => more.insert(at, (part, 1)),
    }
    more
}

/// For each slot, what it and all later ones must add at least: parts that come in no box and must be there.
fn least_rest(rule: &Rule, supplies: &Supplies<'_>, field: &Field) -> Vec<i64> {
    let mut rest = vec![0; rule.slots.len() + 1];
    for index in (0..rule.slots.len()).rev() {
        let slot = &rule.slots[index];
        let least = field.slots[index].iter().map(|&v| supplies.least_added(v).minor).min().unwrap_or(0);
        let adds = if slot.brought || slot.least == 0 { 0 } else { least * i64::from(slot.least) };
        rest[index] = rest[index + 1] + adds;
    }
    rest
}
