//! What the picks so far cost, and what any plan that begins with them must cost at least.
//!
//! Purchases are told by what is missing: the same parts missing cost the same, in whatever order they were
//! picked. Must not know where parts go.

use super::candidates::Field;
use super::supply::{Cost, Source, Supplies};
use crate::assembly::{Narrowed, Pick};
use crate::catalogue::{BoxIx, VariantIx};
use crate::rules::Rule;
use rustc_hash::FxHashMap as HashMap;
use smallvec::SmallVec;
use std::rc::Rc;

/// Parts as made and counts, sorted.
type Missing = SmallVec<[(VariantIx, u32); 8]>;

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
    /// By what may still come and the slot that comes next; filled in when first asked for.
    least: HashMap<(Choice, usize), Option<Cost>>,
}

/// By slot which candidates are left, where some are ruled out.
type StillPossible = Vec<(usize, Rc<[bool]>)>;

/// More accounts, with what follows from each, are not remembered: they are worked out again.
const MOST_KNOWN: usize = 1 << 17;
/// More different things that may still come are not told apart: all might come, then.
const MOST_CHOICES: usize = 1 << 14;

/// What may still come in the slots, as far as purchases go.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Choice(u32);

pub struct Purse<'a> {
    supplies: &'a Supplies<'a>,
    rule: &'a Rule,
    least: &'a [u8],
    field: &'a Field,
    /// By choice and slot: how something can be had for it, where it must be filled and nothing is at hand.
    to_buy: Vec<Vec<Option<Rc<Need>>>>,
    choices: HashMap<StillPossible, Choice>,
    accounts: Vec<Account>,
    after: HashMap<(usize, VariantIx), usize>,
    by_missing: HashMap<Missing, usize>,
    /// Cheapest purchases of parts that come in boxes, too.
    boxed: HashMap<Missing, Option<Cost>>,
    needed: HashMap<VariantIx, u32>,
    /// Account after each pick, and the part it took.
    stack: Vec<(usize, Option<VariantIx>)>,
    /// Answers remembered in the accounts.
    leasts: usize,
    /// By variant.
    sources: &'a [Source],
    /// Nothing costs anything: any plan will do.
    free: bool,
    /// By slot: from which candidate on all are sold by themselves only, the cheaper first.
    alone_from: Vec<usize>,
}

impl<'a> Purse<'a> {
    /// `sources`: by variant. `least`: by slot, how many items there must be.
    pub fn new(
        (rule, least): (&'a Rule, &'a [u8]),
        (supplies, sources): (&'a Supplies<'a>, &'a [Source]),
        field: &'a Field,
        free: bool,
    ) -> Purse<'a> {
        let mut purse = Purse {
            supplies,
            rule,
            least,
            field,
            to_buy: Vec::new(),
            choices: HashMap::default(),
            accounts: Vec::new(),
            after: HashMap::default(),
            by_missing: HashMap::default(),
            boxed: HashMap::default(),
            needed: HashMap::default(),
            stack: Vec::new(),
            leasts: 0,
            sources,
            free,
            alone_from: Vec::new(),
        };
        purse.alone_from = (0..field.slots.len()).map(|slot| purse.alone_from(slot)).collect();
        let whole = (0..field.slots.len()).map(|slot| purse.need_for(slot, |_| true)).collect();
        purse.to_buy.push(whole);
        purse.account(Missing::new());
        purse
    }

    fn alone_from(&self, slot: usize) -> usize {
        let candidates = &self.field.slots[slot];
        let cost = |at: usize| self.price_alone(candidates[at]);
        let mut from = candidates.len();
        while from > 0
            && cost(from - 1).is_some()
            && (from == candidates.len() || cost(from - 1) <= cost(from))
        {
            from -= 1;
        }
        from
    }

    /// What one costs that is to be had in no other way than for itself.
    fn price_alone(&self, variant: VariantIx) -> Option<Cost> {
        self.source(variant).alone()
    }

    fn source(&self, variant: VariantIx) -> &'a Source {
        &self.sources[variant.0 as usize]
    }

    /// The price of a slot's candidate, where it and all after it are sold by themselves only, the cheaper first.
    pub fn sold_alone(&self, slot: usize, at: usize) -> Option<Cost> {
        let alone = at >= self.alone_from[slot] && !self.free && !self.rule.slots[slot].brought;
        self.price_alone(self.field.slots[slot][at]).filter(|_| alone)
    }

    /// What has to be bought for a slot in which these candidates may still come.
    fn need_for(&self, slot: usize, may: impl Fn(usize) -> bool) -> Option<Rc<Need>> {
        let its = &self.rule.slots[slot];
        if its.brought || self.least[slot] == 0 {
            return None;
        }
        let candidates = self.field.slots[slot].iter().enumerate().filter(|(at, _)| may(*at));
        let mut need = Need { loose: None, boxes: Vec::new() };
        for source in candidates.map(|(_, &variant)| self.source(variant)) {
            if source.owned {
                return None;
            }
            need.boxes.extend(&source.boxes);
            need.loose = need.loose.into_iter().chain(source.loose).min();
        }
        need.boxes.sort();
        need.boxes.dedup();
        Some(Rc::new(need))
    }

    /// The choice of what is still possible.
    pub fn choice(&mut self, narrowed: &Narrowed) -> Choice {
        let mut key = StillPossible::new();
        for (slot, possible) in narrowed.slots().filter(|s| self.least[s.0] > 0 && !self.free) {
            key.push((slot, Rc::clone(possible)));
        }
        if key.is_empty() {
            return Choice::default();
        }
        if let Some(&known) = self.choices.get(&key) {
            return known;
        }
        if self.choices.len() >= MOST_CHOICES {
            return Choice::default();
        }
        let mut to_buy = self.to_buy[0].clone();
        for (slot, possible) in &key {
            let may = |at: usize| {
                let way = |turned: usize| possible.get(at * 2 + turned).copied().unwrap_or(false);
                way(0) || way(1)
            };
            to_buy[*slot] = self.need_for(*slot, may);
        }
        let choice = Choice(self.to_buy.len() as u32);
        self.to_buy.push(to_buy);
        self.choices.insert(key, choice);
        choice
    }

    pub fn push(&mut self, pick: Pick, brought: bool) {
        let at = self.at();
        if brought || self.free {
            return self.stack.push((at, None));
        }
        if self.accounts.len() + self.after.len() + self.leasts + self.boxed.len() > MOST_KNOWN {
            self.forget();
        }
        let at = self.at();
        let part = self.supplies.catalogue.as_made(pick.variant);
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

    /// Everything that can be worked out again; what the picks have cost so far stays.
    fn forget(&mut self) {
        let accounts = std::mem::take(&mut self.accounts);
        self.after.clear();
        self.by_missing.clear();
        self.boxed.clear();
        self.leasts = 0;
        self.account(Missing::new());
        for at in 0..self.stack.len() {
            self.stack[at].0 = self.account(accounts[self.stack[at].0].missing.clone());
        }
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
    pub fn least(&mut self, next: usize, choice: Choice) -> Option<Cost> {
        let at = self.at();
        if let Some(&known) = self.accounts[at].least.get(&(choice, next)) {
            return known;
        }
        let least = self.least_of(at, next, choice);
        self.accounts[at].least.insert((choice, next), least);
        self.leasts += 1;
        least
    }

    /// Something is missing of this part.
    pub fn is_missing(&self, variant: VariantIx) -> bool {
        let part = self.supplies.catalogue.as_made(variant);
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
        self.accounts.push(Account { missing: missing.clone(), cost, least: HashMap::default() });
        self.by_missing.insert(missing, self.accounts.len() - 1);
        self.accounts.len() - 1
    }

    /// What is only sold loose adds up; boxes are worked out once for each set of what comes in them.
    fn price(&mut self, missing: &Missing) -> Option<Cost> {
        let mut sum = Cost::default();
        let mut boxed = Missing::new();
        for &(part, count) in missing {
            let source = &self.sources[part.0 as usize];
            if !source.boxes.is_empty() {
                boxed.push((part, count));
            } else {
                let one = source.loose?;
                sum.unpriced += one.unpriced * count;
                sum.minor += one.minor * i64::from(count);
            }
        }
        let shared = match self.boxed.get(&boxed) {
            Some(&known) => known,
            None => {
                let mut best = None;
                self.cover(boxed.clone(), (&[], &[]), &mut Vec::new(), Cost::default(), &mut best);
                self.boxed.insert(boxed, best);
                best
            }
        };
        shared.map(|shared| shared.and(sum))
    }

    /// The cheapest purchase of what is missing and of something for every slot still to come that needs it.
    fn least_of(&self, at: usize, next: usize, choice: Choice) -> Option<Cost> {
        let account = &self.accounts[at];
        let cost = account.cost?;
        if self.free {
            return Some(cost);
        }
        let to_buy = &self.to_buy[choice.0 as usize];
        let needs: Vec<usize> = (next..to_buy.len()).filter(|&s| to_buy[s].is_some()).collect();
        // Where nothing comes in boxes, it all adds up.
        let alone = |part: VariantIx| self.sources[part.0 as usize].boxes.is_empty();
        let mut all = needs.iter().filter_map(|&slot| to_buy[slot].as_ref());
        if account.missing.iter().all(|m| alone(m.0)) && all.clone().all(|need| need.boxes.is_empty()) {
            return all.try_fold(cost, |sum, need| Some(sum.and(need.loose?)));
        }
        let mut best = None;
        self.cover(account.missing.clone(), (&needs, to_buy), &mut Vec::new(), Cost::default(), &mut best);
        best
    }

    /// Every way of buying the missing parts, then something for the slots, cut off where it is already dearer.
    fn cover(
        &self,
        missing: Missing,
        (needs, to_buy): (&[usize], &[Option<Rc<Need>>]),
        bought: &mut Vec<BoxIx>,
        cost: Cost,
        best: &mut Option<Cost>,
    ) {
        if best.is_some_and(|best| cost >= best) {
            return;
        }
        if let Some(&(part, _)) = missing.first() {
            let source = &self.sources[part.0 as usize];
            if let Some(price) = source.loose {
                self.cover(without(&missing, &[(part, 1)]), (needs, to_buy), bought, cost.and(price), best);
            }
            for &the_box in &source.boxes {
                let brings = self.supplies.brings(the_box, bought.contains(&the_box));
                if brings.iter().any(|b| b.0 == part) {
                    self.buy(without(&missing, brings), (needs, to_buy), the_box, bought, cost, best);
                }
            }
            return;
        }
        let Some((&slot, rest)) = needs.split_first() else {
            *best = Some(cost);
            return;
        };
        let Some(need) = &to_buy[slot] else { return };
        if need.boxes.iter().any(|b| bought.contains(b)) {
            return self.cover(missing, (rest, to_buy), bought, cost, best);
        }
        if let Some(price) = need.loose {
            self.cover(missing.clone(), (rest, to_buy), bought, cost.and(price), best);
        }
        for &the_box in &need.boxes {
            self.buy(missing.clone(), (rest, to_buy), the_box, bought, cost, best);
        }
    }

    fn buy(
        &self,
        missing: Missing,
        (needs, to_buy): (&[usize], &[Option<Rc<Need>>]),
        the_box: BoxIx,
        bought: &mut Vec<BoxIx>,
        cost: Cost,
        best: &mut Option<Cost>,
    ) {
        let price = self.supplies.catalogue.the_box(the_box).price;
        bought.push(the_box);
        self.cover(missing, (needs, to_buy), bought, cost.plus(price), best);
        bought.pop();
    }
}

fn without(missing: &Missing, parts: &[(VariantIx, u32)]) -> Missing {
    let left = |&(part, count): &(VariantIx, u32)| {
        let taken = parts.iter().find(|p| p.0 == part).map_or(0, |p| p.1);
        (count > taken).then(|| (part, count - taken))
    };
    missing.iter().filter_map(left).collect()
}

/// One more of a part.
fn with(missing: &Missing, part: VariantIx) -> Missing {
    let mut more = missing.clone();
    match more.binary_search_by_key(&part, |m| m.0) {
        Ok(at) => more[at].1 += 1,
        Err(at) => more.insert(at, (part, 1)),
    }
    more
}
