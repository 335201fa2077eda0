//! What the rider has, what can be had, and the cheapest way to buy what is missing.
//!
//! Boxes are bought whole. Exact: every way of covering the missing parts with boxes and loose parts is tried,
//! cut off where it is already dearer. Must not know where parts go.

use super::answer::{Article, Buy, Spend};
use super::boxed::{Contents, Taken, Whose, is_sold, opened};
use crate::catalogue::{BoxIx, Catalogue, OnHand, PartIx, VariantIx};
use crate::quantity::{Currency, Money};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Parts and counts, each revision for itself, as made: what is changed for good counts as what it is made from.
pub type Counts = BTreeMap<VariantIx, u32>;

/// Things without a price count before money: known prices are preferred.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Cost {
    pub unpriced: u32,
    pub minor: i64,
}

impl Cost {
    pub fn and(self, other: Cost) -> Cost {
        Cost { unpriced: self.unpriced + other.unpriced, minor: self.minor.saturating_add(other.minor) }
    }

    pub fn plus(self, price: Option<Money>) -> Cost {
        match price {
            Some(money) => Cost { minor: self.minor.saturating_add(money.as_minor()), ..self },
            None => Cost { unpriced: self.unpriced + 1, ..self },
        }
    }
}

/// Who has what, and whether the stock list counts.
#[derive(Clone, Debug)]
pub struct Supplies<'a> {
    pub catalogue: &'a Catalogue,
    pub currency: Currency,
    /// Boxes whose content the rider has.
    pub owned_boxes: Vec<BoxIx>,
    /// Everything the rider has, boxes unpacked.
    pub owned: Counts,
    /// Only what is on hand may be bought.
    pub in_stock_only: bool,
    /// What boxes bring that are bought.
    pub(super) contents: Rc<Contents>,
}

/// How one part can be had, in one of its revisions.
#[derive(Clone, Debug)]
pub struct Source {
    pub owned: bool,
    /// What one costs sold loose.
    pub loose: Option<Cost>,
    /// Boxes it comes in.
    pub boxes: Vec<BoxIx>,
}

impl Source {
    /// What one costs that is to be had in no other way than for itself.
    pub fn alone(&self) -> Option<Cost> {
        self.loose.filter(|_| self.boxes.is_empty() && !self.owned)
    }

    /// What it costs by itself: nothing when owned, then by its loose price, dearest when only in boxes.
    pub fn worth(&self) -> (u8, i64) {
        match self.loose.filter(|cost| cost.unpriced == 0) {
            _ if self.owned => (0, 0),
            Some(cost) => (1, cost.minor),
            None => (2, 0),
        }
    }

    /// Could come without being paid for itself.
    pub fn in_a_box(&self) -> bool {
        self.owned || !self.boxes.is_empty()
    }
}

impl<'a> Supplies<'a> {
    /// How each part of the book can be had, by variant.
    pub fn sources(&self) -> Vec<Source> {
        let variants = 0..self.catalogue.variants.len();
        let as_made = |v: usize| self.catalogue.as_made(VariantIx(v as u32));
        let mut sources: Vec<Source> = variants
            .clone()
            .map(|v| {
                let variant = as_made(v);
                let (owned, loose) = (self.owned.contains_key(&variant), self.loose_price(variant));
                Source { owned, loose, boxes: Vec::new() }
            })
            .collect();
        for of in (0..self.catalogue.boxes.len()).map(|b| BoxIx(b as u32)).filter(|&b| self.is_on_sale(b)) {
            for &(variant, _) in self.contents.of_box(of, false) {
                sources[variant.0 as usize].boxes.push(of);
            }
        }
        for v in variants {
            let made = as_made(v).0 as usize;
            if made != v {
                sources[v].boxes = sources[made].boxes.clone();
            }
        }
        sources
    }

    /// Nothing is owned.
    pub(super) fn of_nobody(
        catalogue: &'a Catalogue,
        currency: Currency,
        in_stock_only: bool,
        taken: Taken<'_>,
    ) -> Supplies<'a> {
        let contents = Rc::new(Contents::of(catalogue, taken, None));
        let (owned_boxes, owned) = (Vec::new(), Counts::new());
        Supplies { catalogue, currency, owned_boxes, owned, in_stock_only, contents }
    }

    /// The fork, and its own box when it is sold in one: the first by id that may hold it in this revision.
    pub(super) fn of_fork(
        catalogue: &'a Catalogue,
        currency: Currency,
        fork: VariantIx,
        in_stock_only: bool,
        taken: Taken<'_>,
    ) -> Supplies<'a> {
        let fork = catalogue.as_made(fork);
        let own = own_box(catalogue, fork);
        let owned_boxes: Vec<BoxIx> = own.into_iter().collect();
        let mut owned = Counts::new();
        for &own in &owned_boxes {
            // Of the forks in it only the rider's own counts: which one it is has been asked.
            let part = catalogue.variant(fork).part;
            let pieces = opened(catalogue, (Whose::Own, own), taken).into_iter();
            owned = pieces.filter(|p| catalogue.variant(p.0).part != part).collect();
        }
        owned.insert(fork, 1);
        let contents = Rc::new(Contents::of(catalogue, taken, own));
        Supplies { catalogue, currency, owned_boxes, owned, in_stock_only, contents }
    }

    /// It can be had: owned, sold loose or in a box.
    pub fn can_have(&self, variant: VariantIx) -> bool {
        let variant = self.catalogue.as_made(variant);
        self.owned.contains_key(&variant) || self.loose(variant) || self.boxes(variant).next().is_some()
    }

    /// One bought loose; `None`: not sold so.
    pub fn loose_price(&self, variant: VariantIx) -> Option<Cost> {
        self.loose(variant).then(|| Cost::default().plus(self.catalogue.part_of(variant).price))
    }

    /// A shop hands over the revision that is asked for, of those that are still made.
    fn loose(&self, variant: VariantIx) -> bool {
        let part = self.catalogue.part_of(variant);
        part.loose && self.on_hand(part.on_hand) && is_sold(self.catalogue, variant)
    }

    /// Boxes that can be bought and bring it.
    pub fn boxes(&self, variant: VariantIx) -> impl Iterator<Item = BoxIx> + '_ {
        let all = (0..self.catalogue.boxes.len()).map(|b| BoxIx(b as u32));
        let brings = move |b: BoxIx| self.contents.of_box(b, false).iter().any(|p| p.0 == variant);
        all.filter(move |&b| brings(b) && self.is_on_sale(b))
    }

    fn is_on_sale(&self, of: BoxIx) -> bool {
        let the_box = self.catalogue.the_box(of);
        the_box.sold && self.on_hand(the_box.on_hand)
    }

    /// What a box brings. `again`: one of these was bought already.
    pub(super) fn brings(&self, of: BoxIx, again: bool) -> &[(VariantIx, u32)] {
        self.contents.of_box(of, again)
    }

    fn on_hand(&self, on_hand: OnHand) -> bool {
        !self.in_stock_only || on_hand != OnHand::Count(0)
    }

    /// What is missing of these parts.
    pub fn missing(&self, needed: &Counts) -> Counts {
        let short = |(variant, count): (&VariantIx, &u32)| {
            let have = self.owned.get(variant).copied().unwrap_or(0);
            (*count > have).then(|| (*variant, count - have))
        };
        needed.iter().filter_map(short).collect()
    }

    /// Cheapest purchase that supplies what is missing; `None` when something cannot be bought.
    pub fn cheapest(&self, needed: &Counts) -> Option<(Cost, Vec<(Article, u32)>)> {
        let missing = self.missing(needed);
        let mut best: Option<(Cost, Vec<Article>)> = None;
        self.cover(missing, Cost::default(), &mut Vec::new(), &mut best);
        best.map(|(cost, mut articles)| {
            articles.sort();
            let mut counted: Vec<(Article, u32)> = Vec::new();
            for article in articles {
                match counted.last_mut() {
                    Some((last, count)) if *last == article => *count += 1,
                    _ => counted.push((article, 1)),
                }
            }
            (cost, counted)
        })
    }

    fn cover(
        &self,
        missing: Counts,
        cost: Cost,
        taken: &mut Vec<Article>,
        best: &mut Option<(Cost, Vec<Article>)>,
    ) {
        let better = |cost: Cost, taken: &[Article], best: &Option<(Cost, Vec<Article>)>| match best {
            None => true,
            Some((least, articles)) => {
                (cost, taken.len(), taken) < (*least, articles.len(), articles.as_slice())
            }
        };
        // What is still missing takes one article more.
        let articles = taken.len() + usize::from(!missing.is_empty());
        if best.as_ref().is_some_and(|(least, known)| (cost, articles) > (*least, known.len())) {
            return;
        }
        let Some((&variant, _)) = missing.iter().next() else {
            let mut sorted = taken.clone();
            sorted.sort();
            if better(cost, &sorted, best) {
                *best = Some((cost, sorted));
            }
            return;
        };
        if self.loose(variant) {
            let mut rest = missing.clone();
            take(&mut rest, variant, 1);
            taken.push(Article::Part(variant));
            self.cover(rest, cost.plus(self.catalogue.part_of(variant).price), taken, best);
            taken.pop();
        }
        for the_box in self.boxes(variant).collect::<Vec<_>>() {
            let again = taken.contains(&Article::Box(the_box));
            let brings = self.brings(the_box, again);
            if !brings.iter().any(|p| p.0 == variant) {
                continue;
            }
            let mut rest = missing.clone();
            for &(held, count) in brings {
                take(&mut rest, held, count);
            }
            taken.push(Article::Box(the_box));
            self.cover(rest, cost.plus(self.catalogue.the_box(the_box).price), taken, best);
            taken.pop();
        }
    }

    /// The purchase with prices and what each article is for.
    pub fn priced(&self, needed: &Counts, articles: &[(Article, u32)]) -> Vec<Buy> {
        let missing = self.missing(needed);
        let buy = |&(article, count): &(Article, u32)| {
            let (price, for_parts) = match article {
                Article::Part(variant) => (self.catalogue.part_of(variant).price, vec![variant]),
                Article::Box(b) => {
                    let brings = self.brings(b, false).iter().map(|p| p.0);
                    let used = brings.filter(|v| missing.contains_key(v)).collect();
                    (self.catalogue.the_box(b).price, used)
                }
            };
            Buy { article, count, price, for_parts }
        };
        articles.iter().map(buy).collect()
    }

    pub fn spend(&self, cost: Cost) -> Spend {
        Spend { known: Money::minor(cost.minor, self.currency), unpriced: cost.unpriced }
    }
}

/// The box that the fork comes in: the first by id that may hold it in this revision.
pub(super) fn own_box(catalogue: &Catalogue, fork: VariantIx) -> Option<BoxIx> {
    let part: PartIx = catalogue.variant(fork).part;
    let holds = |b: &BoxIx| {
        let mut held = catalogue.the_box(*b).holds.iter().filter(|h| h.part == part);
        held.any(|h| h.revision.is_none_or(|said| said == fork))
    };
    catalogue.boxes_with(part).find(holds)
}

fn take(missing: &mut Counts, variant: VariantIx, count: u32) {
    if let Some(left) = missing.get_mut(&variant) {
        *left = left.saturating_sub(count);
        if *left == 0 {
            missing.remove(&variant);
        }
    }
}
