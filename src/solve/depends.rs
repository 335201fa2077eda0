//! Where boxes do not say which revision of a part they hold: one answer for each thing that may be in them, as far as it
//! makes a difference.
//!
//! First everything that may be in such boxes counts at once. A plan that is best even so and takes nothing from them
//! that is not said is best whatever is in them. Where it does take something, each thing that may be there is looked
//! at by itself. Of a box that is still to be bought nobody knows: there a plan that goes with everything that
//! may be in it, or without it, comes before plans that each go with some only. Must not know words.

use super::alternatives::worst;
use super::bench::{Bench, Chosen, Tried};
use super::boxed::{InBox, Taken, Unsaid, Whose, leaves_open};
use super::effort;
use super::search::Rank;
use super::supply::own_box;
use crate::assembly::{Outcome, Pick, assemble};
use crate::catalogue::{BoxIx, Held, VariantIx};

/// Boxes told apart for one pairing, one within the other; what is not said in any further one counts as nothing.
const DEEPEST: usize = 4;

/// What was chosen where that is in the boxes.
pub(super) struct Leaf<'a> {
    pub assumed: Vec<InBox>,
    pub chosen: Chosen<'a>,
}

/// Plans of the revisions apart, and whether each goes for certain.
type Apart = (Vec<Rank>, bool);

impl<'a> Bench<'a> {
    /// Never empty. Sorted by what is taken to be in the boxes.
    pub(super) fn leaves(&self, fork: VariantIx, system: usize) -> Vec<Leaf<'a>> {
        let mut leaves = self.split((fork, system), Vec::new());
        for leaf in &mut leaves {
            leaf.assumed.sort();
        }
        leaves.sort_by(|a, b| a.assumed.cmp(&b.assumed));
        leaves
    }

    fn split(&self, pair: (VariantIx, usize), assumed: Vec<InBox>) -> Vec<Leaf<'a>> {
        let anything = self.choose(pair, Taken { assumed: &assumed, unsaid: Unsaid::All });
        if !self.leaves_anything_open(pair, &anything) {
            return vec![Leaf { assumed, chosen: anything }];
        }
        let said = Taken { assumed: &assumed, unsaid: Unsaid::Nothing };
        let best = anything.tried.found.best.as_ref();
        let in_stock_only = anything.supplies.in_stock_only;
        let open = best.and_then(|best| self.relied_on(pair, (best, in_stock_only), &assumed));
        if let Some(effort) = self.effort {
            effort.take_leaf();
        }
        let may_split = assumed.len() < DEEPEST && effort::left(self.effort) > 0;
        let Some((whose, of, held)) = open.filter(|_| may_split) else {
            // The same plan, with nothing beside it that may not be there.
            let chosen = match anything.tried.found.best {
                Some(_) => self.choose(pair, said),
                None => anything,
            };
            return vec![Leaf { assumed, chosen }];
        };
        let ways = InBox::ways(self.catalogue, whose, of, &held);
        let within = |way: InBox| self.split(pair, assumed.iter().cloned().chain([way]).collect());
        let leaves: Vec<Leaf<'a>> = ways.into_iter().flat_map(within).collect();
        match whose {
            Whose::Own => leaves,
            Whose::Bought => {
                self.certain_first(pair, Leaf { chosen: self.choose(pair, said), assumed }, leaves)
            }
        }
    }

    /// Some part that could stand in the plan lies in a box that does not say which revision it is.
    fn leaves_anything_open(&self, pair: (VariantIx, usize), chosen: &Chosen<'a>) -> bool {
        let open = |held: &&Held| leaves_open(self.catalogue, held);
        let mut boxed = self.catalogue.boxes.iter().flat_map(|b| &b.holds).filter(open);
        let slots = self.rules[pair.1].slots.iter().zip(&chosen.tried.field.slots);
        let candidates = || slots.clone().filter(|(slot, _)| !slot.brought).flat_map(|(_, all)| all);
        boxed.any(|held| candidates().any(|&v| self.catalogue.variant(v).part == held.part))
    }

    /// A box on which the plan relies for a part whose revision it does not say; what the rider has first.
    fn relied_on(
        &self,
        (fork, system): (VariantIx, usize),
        (plan, in_stock_only): (&Rank, bool),
        assumed: &[InBox],
    ) -> Option<(Whose, BoxIx, Held)> {
        let of = |unsaid| self.supplies(fork, &[], in_stock_only, Taken { assumed, unsaid });
        let (all, said) = (of(Unsaid::All), of(Unsaid::Nothing));
        // As dear without: then it does not rely on any.
        if self.price(&said, system, &plan.picks).is_some_and(|cost| cost <= plan.cost) {
            return None;
        }
        let needed = self.bought(system, &plan.picks);
        let part = |v: &VariantIx| self.catalogue.variant(*v).part;
        let open = |whose: Whose, of: BoxIx| {
            let held = self.catalogue.the_box(of).holds.iter().copied();
            held.filter(|h| leaves_open(self.catalogue, h) && needed.keys().any(|v| part(v) == h.part))
                .find(|h| !assumed.iter().any(|a| a.is_about(whose, of, h.part)))
                .map(|held| (whose, of, held))
        };
        let own_box = own_box(self.catalogue, fork);
        let own = own_box.and_then(|of| open(Whose::Own, of));
        let bought = || {
            let (_, articles) = all.cheapest(&needed)?;
            let boxes = articles.iter().filter_map(|(article, _)| article.a_box());
            boxes.filter(|&of| Some(of) != own_box).find_map(|of| open(Whose::Bought, of))
        };
        own.or_else(bought)
    }

    /// One plan for everything that may be in the box, where there is one as good as what goes with some only.
    fn certain_first(
        &self,
        pair: (VariantIx, usize),
        without: Leaf<'a>,
        leaves: Vec<Leaf<'a>>,
    ) -> Vec<Leaf<'a>> {
        let plans = || leaves.iter().filter_map(|leaf| leaf.chosen.tried.found.best.as_ref());
        let best = plans().map(|plan| self.class(plan)).min();
        let alone = without.chosen.tried.found.best.clone();
        let mut common: Vec<(Rank, Option<Apart>)> = alone.map(|plan| (plan, None)).into_iter().collect();
        for leaf in &leaves {
            let in_all =
                leaves.iter().map(|other| self.moved(pair, leaf, other)).collect::<Option<Vec<Rank>>>();
            let in_stock_only = leaf.chosen.supplies.in_stock_only;
            common
                .extend(in_all.and_then(|all| Some((all.iter().max()?.clone(), Some((all, in_stock_only))))));
        }
        let class = |plan: &Rank| self.class(plan);
        let found = common.into_iter().min_by(|a, b| (class(&a.0), &a.0).cmp(&(class(&b.0), &b.0)));
        match found {
            Some((plan, _)) if best.is_some_and(|best| class(&plan) > best) => leaves,
            Some((_, None)) => vec![without],
            Some((_, Some((plans, in_stock_only)))) => {
                leaves.into_iter().zip(plans).map(|(leaf, plan)| leaf.with(plan, in_stock_only)).collect()
            }
            None => leaves,
        }
    }

    /// Without a permanent change first, then what goes for certain.
    fn class(&self, plan: &Rank) -> (bool, Outcome) {
        let changed = |p: &Pick| self.catalogue.variant(p.variant).changed.is_some();
        (plan.picks.iter().any(changed), plan.outcome)
    }

    /// The plan of one leaf where something else is in the boxes: the pieces from there in their other revisions. `None`
    /// where it does not come to the same there.
    fn moved(&self, (fork, system): (VariantIx, usize), from: &Leaf<'a>, to: &Leaf<'a>) -> Option<Rank> {
        let plan = from.chosen.tried.found.best.as_ref()?;
        let mut picks = plan.picks.clone();
        let in_box = |a: &InBox, b: &InBox| a.is_about(b.whose, b.of, b.part) && a.pieces != b.pieces;
        for here in &from.assumed {
            let Some(there) = to.assumed.iter().find(|there| in_box(there, here)) else { continue };
            let mut others = there.pieces.iter().flat_map(|&(v, count)| (0..count).map(move |_| v));
            let mut left: Vec<(VariantIx, u32)> = here.pieces.clone();
            for pick in &mut picks {
                let Some(piece) = left.iter_mut().find(|p| p.0 == pick.variant && p.1 > 0) else { continue };
                piece.1 -= 1;
                pick.variant = others.next()?;
            }
        }
        let taken = Taken { assumed: &to.assumed, unsaid: Unsaid::Nothing };
        let supplies = self.supplies(fork, &[], from.chosen.supplies.in_stock_only, taken);
        let cost = self.price(&supplies, system, &picks)?;
        let stack = assemble(self.setting(system), &picks);
        let outcome = if stack.merged { worst(&stack).max(Outcome::Measure) } else { worst(&stack) };
        (outcome == plan.outcome).then_some(Rank { outcome, cost, parts: picks.len(), picks })
    }

    fn choose(&self, (fork, system): (VariantIx, usize), taken: Taken<'_>) -> Chosen<'a> {
        self.or_changed(self.without_change(fork, system, taken), fork, system)
    }

    /// What a plan is made of, but for what the rider brings.
    pub(super) fn bought(&self, system: usize, picks: &[Pick]) -> super::supply::Counts {
        let rule = &self.rules[system];
        let bought: Vec<Pick> = picks.iter().filter(|p| !rule.slot(p.slot).brought).copied().collect();
        self.needed_of(&bought)
    }
}

impl<'a> Leaf<'a> {
    /// With that plan, which goes there as well.
    fn with(self, plan: Rank, in_stock_only: bool) -> Leaf<'a> {
        let Chosen { tried, supplies, .. } = self.chosen;
        let found = super::search::Found { best: Some(plan), ..tried.found };
        let supplies = super::supply::Supplies { in_stock_only, ..supplies };
        let chosen = Chosen { supplies, tried: Tried { found, ..tried }, instead: None };
        Leaf { chosen, ..self }
    }
}
