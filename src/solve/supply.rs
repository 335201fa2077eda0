//! What the rider has, what can be had, and the cheapest way to buy what is missing.
//!
//! Boxes are bought whole. Exact: every way of covering the missing parts with boxes and loose parts is tried,
//! cut off where it is already dearer. Must not know where parts go.

use super::answer::{Article, Buy, Spend};
use crate::catalogue::{BoxIx, Catalogue, OnHand, PartIx, VariantIx};
use crate::quantity::{Currency, Money};
use std::collections::BTreeMap;

/// Parts and counts.
pub type Counts = BTreeMap<PartIx, u32>;

/// Things without a price count before money: known prices are preferred.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
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
}

/// How one part can be had.
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
    /// How each part of the book can be had.
    pub fn sources(&self) -> Vec<Source> {
        let source = |part: PartIx| Source {
            owned: self.owned.contains_key(&part),
            loose: self.loose_price(part),
            boxes: self.boxes(part).collect(),
        };
        (0..self.catalogue.parts.len()).map(|index| source(PartIx(index as u32))).collect()
    }

    /// The fork, and its own box when it is sold in one: the first by id.
    pub fn of_fork(
        catalogue: &'a Catalogue,
        currency: Currency,
        fork: PartIx,
        in_stock_only: bool,
    ) -> Supplies<'a> {
        let mut owned = Counts::from([(fork, 1)]);
        let owned_boxes: Vec<BoxIx> = catalogue.boxes_with(fork).take(1).collect();
        for &own in &owned_boxes {
            owned = catalogue.the_box(own).holds.iter().copied().collect();
        }
        Supplies { catalogue, currency, owned_boxes, owned, in_stock_only }
    }

    /// It can be had: owned, sold loose or in a box.
    pub fn can_have(&self, variant: VariantIx) -> bool {
        let part = self.catalogue.variant(variant).part;
        if self.owned.contains_key(&part) {
            return true;
        }
        let sold = self.catalogue.variant(variant).revision.as_ref().is_none_or(|r| r.sold);
        sold && (self.loose(part) || self.boxes(part).next().is_some())
    }

    /// One bought loose; `None`: not sold so.
    pub fn loose_price(&self, part: PartIx) -> Option<Cost> {
        self.loose(part).then(|| Cost::default().plus(self.catalogue.part(part).price))
    }

    fn loose(&self, part: PartIx) -> bool {
        let part = self.catalogue.part(part);
        part.loose && self.on_hand(part.on_hand)
    }

    /// Boxes with the part in them that can be bought.
    pub fn boxes(&self, part: PartIx) -> impl Iterator<Item = BoxIx> + '_ {
        self.catalogue.boxes_with(part).filter(|&b| {
            let the_box = self.catalogue.the_box(b);
            the_box.sold && self.on_hand(the_box.on_hand)
        })
    }

    fn on_hand(&self, on_hand: OnHand) -> bool {
        !self.in_stock_only || on_hand != OnHand::Count(0)
    }

    pub fn owns(&self, variant: VariantIx) -> bool {
        self.owned.contains_key(&self.catalogue.variant(variant).part)
    }

    /// What is missing of these parts.
    pub fn missing(&self, needed: &Counts) -> Counts {
        let short = |(part, count): (&PartIx, &u32)| {
            let have = self.owned.get(part).copied().unwrap_or(0);
            (*count > have).then(|| (*part, count - have))
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
        if best.as_ref().is_some_and(|(least, _)| cost > *least) {
            return;
        }
        let Some((&part, _)) = missing.iter().next() else {
            let mut sorted = taken.clone();
            sorted.sort();
            if better(cost, &sorted, best) {
                *best = Some((cost, sorted));
            }
            return;
        };
        if self.loose(part) {
            let mut rest = missing.clone();
            take(&mut rest, part, 1);
            taken.push(Article::Part(part));
            self.cover(rest, cost.plus(self.catalogue.part(part).price), taken, best);
            taken.pop();
        }
        for the_box in self.boxes(part).collect::<Vec<_>>() {
            let mut rest = missing.clone();
            for &(held, count) in &self.catalogue.the_box(the_box).holds {
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
                Article::Part(part) => (self.catalogue.part(part).price, vec![part]),
                Article::Box(b) => {
                    let the_box = self.catalogue.the_box(b);
                    let used =
                        the_box.holds.iter().map(|h| h.0).filter(|p| missing.contains_key(p)).collect();
                    (the_box.price, used)
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

fn take(missing: &mut Counts, part: PartIx, count: u32) {
    if let Some(left) = missing.get_mut(&part) {
        *left = left.saturating_sub(count);
        if *left == 0 {
            missing.remove(&part);
        }
    }
}
