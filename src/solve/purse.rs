//! What the picks so far cost, and what any plan that begins with them must cost at least.
//!
//! Purchases are told by what is missing: the same parts missing cost the same, in whatever order they were
//! picked. Must not know where parts go.

use super::candidates::Field;
use super::supply::{Cost, Supplies};
use crate::assembly::Pick;
use crate::catalogue::{BoxIx, PartIx, VariantIx};
use crate::rules::Rule;
use rustc_hash::FxHashMap as HashMap;
use smallvec::SmallVec;

/// Parts and counts, sorted by part.
type Missing = SmallVec<[(PartIx, u32); 8]>;

/// A slot for which something must be bought.
struct Need {
    /// Cheapest part for it sold loose.
    loose: Option<Cost>,
    /// Boxes with a part for it.
    boxes: Vec<BoxIx>,
}

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
    /// By slot: how something can be had for it, where it must be filled and nothing is at hand.
    to_buy: Vec<Option<Need>>,
    accounts: Vec<Account>,
    after: HashMap<(usize, PartIx), usize>,
    by_missing: HashMap<Missing, usize>,
    /// Cheapest purchases of parts that come in boxes, too.
    boxed: HashMap<Missing, Option<Cost>>,
    needed: HashMap<PartIx, u32>,
    /// Account after each pick, and the part it took.
    stack: Vec<(usize, Option<PartIx>)>,
    /// By part: what one costs sold loose, and the boxes it comes in.
    loose: Vec<(Option<Cost>, Vec<BoxIx>)>,
    /// Nothing costs anything: any plan will do.
    free: bool,
}

impl<'a> Purse<'a> {
    pub fn new(rule: &Rule, supplies: &'a Supplies<'a>, field: &Field, free: bool) -> Purse<'a> {
        let loose = loose_prices(supplies);
        let to_buy = rule.slots.iter().zip(&field.slots).map(|(slot, candidates)| {
            let owned = candidates.iter().any(|&v| supplies.owns(v));
            let at_hand = slot.brought || slot.least == 0 || owned;
            (!at_hand).then(|| need(supplies, &loose, candidates))
        });
        let to_buy = to_buy.collect();
        let mut purse = Purse {
            supplies,
            to_buy,
            accounts: Vec::new(),
            after: HashMap::default(),
            by_missing: HashMap::default(),
            boxed: HashMap::default(),
            needed: HashMap::default(),
            stack: Vec::new(),
            loose,
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
            let (one, boxes) = &self.loose[part.0 as usize];
            if !boxes.is_empty() {
                boxed.push((part, count));
            } else {
                let one = (*one)?;
                sum.unpriced += one.unpriced * count;
                sum.minor += one.minor * i64::from(count);
            }
        }
        let shared = match self.boxed.get(&boxed) {
            Some(&known) => known,
            None => {
                let mut best = None;
                self.cover(boxed.clone(), &[], &mut Vec::new(), Cost::default(), &mut best);
                self.boxed.insert(boxed, best);
                best
            }
        };
        shared.map(|shared| shared.and(sum))
    }

    /// The cheapest purchase of what is missing and of something for every slot still to come that needs it.
    fn least_of(&self, at: usize, next: usize) -> Option<Cost> {
        let account = &self.accounts[at];
        let cost = account.cost?;
        if self.free {
            return Some(cost);
        }
        let needs: Vec<usize> = (next..self.to_buy.len()).filter(|&s| self.to_buy[s].is_some()).collect();
        let mut best = None;
        self.cover(account.missing.clone(), &needs, &mut Vec::new(), Cost::default(), &mut best);
        best
    }

    /// Every way of buying the missing parts, then something for the slots, cut off where it is already dearer.
    fn cover(
        &self,
        missing: Missing,
        needs: &[usize],
        bought: &mut Vec<BoxIx>,
        cost: Cost,
        best: &mut Option<Cost>,
    ) {
        if best.is_some_and(|best| cost >= best) {
            return;
        }
        if let Some(&(part, _)) = missing.first() {
            let (loose, boxes) = &self.loose[part.0 as usize];
            if let Some(price) = loose {
                self.cover(without(&missing, &[(part, 1)]), needs, bought, cost.and(*price), best);
            }
            for &the_box in boxes {
                let holds = &self.supplies.catalogue.the_box(the_box).holds;
                self.buy(without(&missing, holds), needs, the_box, bought, cost, best);
            }
            return;
        }
        let Some((&slot, rest)) = needs.split_first() else {
            *best = Some(cost);
            return;
        };
        let Some(need) = &self.to_buy[slot] else { return };
        if need.boxes.iter().any(|b| bought.contains(b)) {
            return self.cover(missing, rest, bought, cost, best);
        }
        if let Some(price) = need.loose {
            self.cover(missing.clone(), rest, bought, cost.and(price), best);
        }
        for &the_box in &need.boxes {
            self.buy(missing.clone(), rest, the_box, bought, cost, best);
        }
    }

    fn buy(
        &self,
        missing: Missing,
        needs: &[usize],
        the_box: BoxIx,
        bought: &mut Vec<BoxIx>,
        cost: Cost,
        best: &mut Option<Cost>,
    ) {
        let price = self.supplies.catalogue.the_box(the_box).price;
        bought.push(the_box);
        self.cover(missing, needs, bought, cost.plus(price), best);
        bought.pop();
    }
}

fn need(supplies: &Supplies<'_>, loose: &[(Option<Cost>, Vec<BoxIx>)], candidates: &[VariantIx]) -> Need {
    let parts = || candidates.iter().map(|&v| supplies.catalogue.variant(v).part);
    let mut boxes: Vec<BoxIx> = parts().flat_map(|p| loose[p.0 as usize].1.iter().copied()).collect();
    boxes.sort();
    boxes.dedup();
    Need { loose: parts().filter_map(|p| loose[p.0 as usize].0).min(), boxes }
}

fn without(missing: &Missing, parts: &[(PartIx, u32)]) -> Missing {
    let left = |&(part, count): &(PartIx, u32)| {
        let taken = parts.iter().find(|p| p.0 == part).map_or(0, |p| p.1);
        (count > taken).then(|| (part, count - taken))
    };
    missing.iter().filter_map(left).collect()
}

fn loose_prices(supplies: &Supplies<'_>) -> Vec<(Option<Cost>, Vec<BoxIx>)> {
    let of = |index: usize| {
        let part = PartIx(index as u32);
        (supplies.loose_price(part), supplies.boxes(part).collect())
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
