//! From one set-up to another system on the rider's own deck, where that is cheaper than to the plan of the guide, which may ask
//! for another deck. Must not know words, nor how a set-up was found.

use super::answer::{Article, Spend};
use super::coming::Coming;
use super::route::{Best, RouteMap};
use super::supply::Cost;
use crate::catalogue::VariantIx;

#[derive(Clone, Debug, PartialEq)]
pub struct OnOwnDeck {
    /// What the rider has and keeps: on each of these it is this way.
    pub decks: Vec<Vec<VariantIx>>,
    /// The stop of it.
    pub to: usize,
    /// Everything of the set-up that is come to, without the deck.
    pub variants: Vec<VariantIx>,
    pub cost: Cost,
    pub spend: Spend,
    pub buy: Vec<(Article, u32)>,
    /// The bars are others, too.
    pub bars: bool,
}

impl RouteMap<'_> {
    /// For each deck on which the start goes the cheapest way to any of the goals, where it costs less than `coming`; the
    /// cheapest first.
    pub fn on_own_deck(&mut self, from: usize, goals: &[usize], coming: &Coming) -> Vec<OnOwnDeck> {
        let known = coming.spend.known;
        let than = Cost { unpriced: coming.spend.unpriced, minor: known.as_minor() };
        let Some(shelf) = self.shelf(from, &[]) else { return vec![] };
        let mut found: Vec<OnOwnDeck> = vec![];
        for deck in self.stops()[from].brought.clone() {
            let Ok(route) = self.route(from, &shelf, goals, Some(&deck), Best::Cheapest) else { continue };
            // Where the deck of the other plan is sold nowhere, its price leaves it out.
            let Some(way) = route.change.filter(|way| way.cost < than || !coming.brought_priced) else {
                continue;
            };
            let variants = self.stops()[way.to].variants.clone();
            match found.iter_mut().find(|one| one.variants == variants && one.buy == way.buy) {
                Some(one) => one.decks.push(deck),
                None => found.push(OnOwnDeck {
                    decks: vec![deck],
                    to: way.to,
                    variants,
                    cost: way.cost,
                    spend: self.spend(way.cost),
                    buy: way.buy,
                    bars: way.what.bars,
                }),
            }
        }
        found.sort_by_key(|one| (one.cost, one.decks.clone()));
        found
    }

    /// The cheapest way to any of the goals from a stop that stands on that deck, on which it stays.
    pub fn staying_on(&mut self, from: usize, goals: &[usize], deck: &[VariantIx]) -> Option<OnOwnDeck> {
        let shelf = self.shelf(from, &[])?;
        let way = self.route(from, &shelf, goals, Some(deck), Best::Cheapest).ok()?.change?;
        Some(OnOwnDeck {
            decks: vec![deck.to_vec()],
            to: way.to,
            variants: self.stops()[way.to].variants.clone(),
            cost: way.cost,
            spend: self.spend(way.cost),
            buy: way.buy,
            bars: way.what.bars,
        })
    }
}
