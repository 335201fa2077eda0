//! A box or a loose shim that a rider has beside deck, clamp and bars: what the plans that are known cost with it. Must not know
//! how plans are found.

use super::book::Book;
use super::ways::{Found, Plan, Ticked, Ways};
use crate::assembly::{Outcome, Pick};
use crate::catalogue::{BoxIx, VariantIx};
use crate::kinds::{self, Known};
use crate::solve::{Article, Bench};

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum InHand {
    Box(BoxIx),
    Part(VariantIx),
}

/// Boxes without a fork, and loose shims.
pub(super) fn in_hand(book: &Book) -> Vec<InHand> {
    let catalogue = &book.catalogue;
    let holds_fork = |b: BoxIx| {
        catalogue.the_box(b).holds.iter().any(|h| kinds::is(catalogue.part(h.part).kind, Known::Fork))
    };
    let boxes = (0..catalogue.boxes.len()).map(|i| BoxIx(i as u32)).filter(|&b| !holds_fork(b));
    let shims = catalogue.variants_known_as(Known::Shim);
    boxes.map(InHand::Box).chain(shims.map(InHand::Part)).collect()
}

impl InHand {
    pub fn brings(self, bench: &Bench<'_>) -> Vec<(VariantIx, u32)> {
        match self {
            InHand::Box(of) => bench.brings(of),
            InHand::Part(part) => vec![(part, 1)],
        }
    }
}

impl Ways<'_> {
    /// The plans for any deck, and those for a deck alone, with each such thing in hand that makes them cheaper. `searched`: those
    /// with which a better plan was looked for on any deck.
    pub(super) fn priced_in_hand(&self, searched: &[usize], found: &mut Found) {
        let brings: Vec<Vec<(VariantIx, u32)>> =
            self.choices.headsets.iter().map(|thing| thing.brings(self.bench)).collect();
        let few = |ticked: &Ticked| ticked.deck.is_none() || (ticked.clamp, ticked.bars) == (None, None);
        for (ticked, plan) in found.plans.clone().into_iter().filter(|(ticked, _)| few(ticked)) {
            let Some(price) = self.price(ticked, &plan) else { continue };
            let bought = self.bought(ticked, &plan);
            for (thing, pieces) in brings.iter().enumerate() {
                let known = ticked.deck.is_none() && searched.contains(&thing);
                if known || !pieces.iter().any(|(piece, _)| bought.contains(piece)) {
                    continue;
                }
                let way = self.way(Ticked { headset: Some(thing), ..ticked }, &plan, found);
                found.ways.extend(way.filter(|way| (way.measure, way.unpriced, way.minor) < price));
            }
        }
    }

    fn price(&self, ticked: Ticked, (outcome, picks): &Plan) -> Option<(bool, u32, i64)> {
        let own = self.own_plan(ticked, picks)?;
        Some((*outcome == Outcome::Measure, own.cost.unpriced, own.cost.minor))
    }

    /// Parts of the plan that come out of what is bought for it.
    fn bought(&self, ticked: Ticked, (_, picks): &Plan) -> Vec<VariantIx> {
        let buys = self.own_plan(ticked, picks).map(|own| own.buy).unwrap_or_default();
        let of = |article: &Article| match article {
            Article::Part(part) => vec![*part],
            Article::Box(of) => self.bench.brings(*of).into_iter().map(|piece| piece.0).collect(),
        };
        let bought: Vec<VariantIx> = buys.iter().flat_map(|(article, _)| of(article)).collect();
        let used = |pick: &Pick| bought.contains(&pick.variant).then_some(pick.variant);
        picks.iter().filter_map(used).collect()
    }
}
