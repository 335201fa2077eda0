//! On a deck of the rider's own: the cheapest plan with each clamp and each set of bars. Must not know the page.

use super::ways::{Beside, Found, Ticked, Ways, on_a_deck};
use crate::site::{OnADeck, Way};
use crate::solve::HeldPlan;

impl Ways<'_> {
    /// What the best plan on that deck comes to; found are the best with each clamp and set of bars, too.
    pub(super) fn on_deck(
        &self,
        deck: usize,
        (clamps, bars): (&[Option<usize>], &[Option<usize>]),
        found: &mut Found,
    ) -> OnADeck {
        if self.bench.places(self.answer.system, &[self.choices.decks[deck]]).is_none() {
            // A system without a place for a deck does not ask for one.
            return OnADeck::Goes;
        }
        let mut alone = OnADeck::No;
        let mut free = false;
        let mut refused = found.refused.clone();
        for beside in clamps.iter().flat_map(|&clamp| bars.iter().map(move |&bars| (clamp, bars))) {
            if self.is_refused(&refused, beside) {
                refused.push(beside);
                continue;
            }
            // Nothing is cheaper than what costs nothing.
            if free && beside.0.is_some() && beside.1.is_some() {
                continue;
            }
            let (stands, costs_nothing) = self.best_on(deck, beside, found);
            if stands == OnADeck::No {
                refused.push(beside);
            }
            if beside == (None, None) {
                (alone, free) = (stands, costs_nothing);
            }
        }
        alone
    }

    /// What the best plan on a deck with these comes to, and whether it costs nothing.
    fn best_on(&self, deck: usize, (clamp, bars): Beside, found: &mut Found) -> (OnADeck, bool) {
        let any = Ticked { clamp, bars, ..Ticked::default() };
        // The cheapest plan of all stands on it: none is cheaper there.
        let plan = found.plans.iter().find(|(ticked, _)| *ticked == any).map(|(_, plan)| plan.clone());
        if let Some(plan) = plan {
            let stands = self.stands(&plan.1, found)[deck];
            if stands == on_a_deck(plan.0) {
                let way = found.ways.iter().find(|way| Self::ticked(way) == any);
                return (stands, stands == OnADeck::Goes && way.is_some_and(Self::is_free));
            }
        }
        let ticked = Ticked { deck: Some(deck), ..any };
        let plan = self.cheapest(ticked, found);
        let stands = match &plan {
            HeldPlan::Goes(_) => OnADeck::Goes,
            HeldPlan::Measure(_) => OnADeck::Measure,
            HeldPlan::No => OnADeck::No,
            HeldPlan::Unsettled => OnADeck::Unsettled,
        };
        let Some(plan) = plan.found() else { return (stands, false) };
        let way = self.way(ticked, &plan, found);
        found.plans.push((ticked, plan));
        let free = stands == OnADeck::Goes && way.as_ref().is_some_and(Self::is_free);
        // What is dearer than one with less in hand is never the cheapest. Bars are asked for by themselves.
        let price = |way: &Way| (way.measure, way.unpriced, way.minor);
        let cheaper = |way: &Way| {
            let less = [Ticked { clamp: None, ..ticked }, Ticked { bars: None, ..ticked }];
            !found.ways.iter().any(|other| less.contains(&Self::ticked(other)) && price(other) < price(way))
        };
        let way = way.filter(|way| clamp.is_none() || cheaper(way));
        found.ways.extend(way);
        (stands, free)
    }
}
