//! From one finished plan to another on the same fork: what comes off, what stays, what goes on, what to buy.
//!
//! A part stays untouched when everything up to it, in drop order, is the same in both plans; so does what is driven
//! into a part that both have. All else of the old plan comes off. Must not know words, nor the order of steps.

use super::answer::{Answer, Article, Buy, Spend, Verdict};
use super::bench::Bench;
use super::boxed::{InBox, Taken, Unsaid};
use super::route::add;
use super::set_up::picks_of;
use super::supply::{Counts, Supplies};
use crate::assembly::{ItemIx, Pick};
use crate::catalogue::{PartIx, VariantIx};
use crate::rules::Rule;

#[derive(Clone, Debug, PartialEq)]
pub struct Coming {
    /// Index into the rules: the system come from.
    pub from: usize,
    /// Items of both plans that are not touched: of the old, of the new.
    pub stays: Vec<(ItemIx, ItemIx)>,
    /// Items of the old plan that come off; the second says whether the part goes on again.
    pub off: Vec<(ItemIx, bool)>,
    /// Items of the new plan that go on, and where each comes from.
    pub on: Vec<(ItemIx, Source)>,
    /// Parts of the old plan that the new one has no use for.
    pub spare: Vec<PartIx>,
    pub buy: Vec<Buy>,
    pub spend: Spend,
    /// What the rider brings with which both plans go as they are; the new plan's own first. Empty: none of the
    /// book does, and the new plan's own is needed instead.
    pub brought: Vec<Vec<VariantIx>>,
    /// What has to be brought instead is among what is bought, or owned. False where it is sold nowhere.
    pub brought_priced: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// Came off just now.
    Again,
    /// Owned already: left over in a box.
    Owned,
    Bought,
    /// The rider brings it.
    Brought,
}

/// What [`Bench::brought`] finds, from whoever may know it already.
pub type FindBrought<'f> = &'f dyn Fn(usize, &[Pick]) -> Vec<Vec<VariantIx>>;

impl<'a> Bench<'a> {
    /// Both answers are for the same fork. `None` where one of them has no plan, what is missing cannot be bought, or
    /// they take different things to be in the same box.
    pub fn coming(&self, old: &Answer, new: &Answer) -> Option<Coming> {
        self.coming_on(old, new, &|system, picks| self.brought(system, picks))
    }

    /// The same, with what is brought from there.
    pub fn coming_on(&self, old: &Answer, new: &Answer, brought: FindBrought<'_>) -> Option<Coming> {
        if old.verdict == Verdict::No || new.verdict == Verdict::No || old.fork != new.fork {
            return None;
        }
        // What was changed for good cannot come back, and nobody is led to change anything on the way.
        if self.is_changed(old) || self.is_changed(new) {
            return None;
        }
        let assumed = both(&old.boxed, &new.boxed)?;
        let taken = Taken { assumed: &assumed, unsaid: Unsaid::Nothing };
        let (before, after) = (Picks::of(self, old), Picks::of(self, new));
        let brought = before.brought_with(&after, brought);
        let deck_stays = !brought.is_empty();
        let stays = before.untouched(&after, deck_stays);
        let mut stock = self.shelf_of(old, taken);
        for (item, pick) in before.all.iter().enumerate() {
            let gone = before.rule.driven_into(pick.slot).is_some() && !stays.iter().any(|s| s.0 == item);
            if let Some(count) = stock.get_mut(&before.as_made(item)).filter(|_| gone) {
                *count = count.saturating_sub(1);
            }
        }
        // Of a box that was bought before, a further one holds no more than it says.
        let again = |a: &&InBox| old.buy.iter().any(|b| b.article == Article::Box(a.of));
        let (_, fresh): (Vec<&InBox>, Vec<&InBox>) = assumed.iter().partition(again);
        let fresh: Vec<InBox> = fresh.into_iter().cloned().collect();
        let with = |in_stock_only| {
            let taken = Taken { assumed: &fresh, ..taken };
            let of = Supplies::of_nobody(self.catalogue, self.currency, in_stock_only, taken);
            Supplies { owned: stock.clone(), ..of }
        };
        let supplies = with(false);
        let cheapest = |needs: &Counts| with(true).cheapest(needs).or_else(|| supplies.cheapest(needs));
        let found = |deck_too| {
            let needs = after.needs(deck_too);
            cheapest(&needs).map(|(cost, articles)| (needs, cost, articles, deck_too))
        };
        let with_deck = if deck_stays { None } else { found(true) };
        let (needs, cost, articles, deck_too) = with_deck.or_else(|| found(false))?;
        let (off, on, spare) = before.turned_into(&after, &stays, &stock, deck_too);
        let ix = |i: usize| ItemIx(i as u16);
        Some(Coming {
            from: old.system,
            stays: stays.into_iter().map(|(a, b)| (ix(a), ix(b))).collect(),
            off,
            on,
            spare,
            buy: supplies.priced(&needs, &articles),
            spend: supplies.spend(cost),
            brought,
            brought_priced: deck_stays || deck_too,
        })
    }

    /// Everything a rider owns whose scooter is built to this plan: the fork's own box and what was bought.
    fn shelf_of(&self, answer: &Answer, taken: Taken<'_>) -> Counts {
        let supplies = self.supplies(answer.fork, &[], false, taken);
        let mut owned = supplies.owned.clone();
        let bought: Vec<(Article, u32)> = answer.buy.iter().map(|b| (b.article, b.count)).collect();
        add(&supplies, &mut owned, &bought);
        owned
    }

    /// Of what boxes do not say nothing is counted on.
    pub(super) fn nothing_owned(&self, in_stock_only: bool) -> Supplies<'a> {
        Supplies::of_nobody(self.catalogue, self.currency, in_stock_only, Taken::SAID)
    }
}

struct Picks<'a> {
    bench: &'a Bench<'a>,
    rule: &'a Rule,
    system: usize,
    all: Vec<Pick>,
    either_way: Vec<ItemIx>,
}

type OffOnSpare = (Vec<(ItemIx, bool)>, Vec<(ItemIx, Source)>, Vec<PartIx>);

impl<'a> Picks<'a> {
    fn of(bench: &'a Bench<'a>, answer: &Answer) -> Picks<'a> {
        let rule = &bench.rules[answer.system];
        Picks {
            bench,
            rule,
            system: answer.system,
            all: picks_of(&answer.stack),
            either_way: answer.either_way.clone(),
        }
    }

    fn part(&self, item: usize) -> PartIx {
        self.bench.catalogue.variant(self.all[item].variant).part
    }

    fn as_made(&self, item: usize) -> VariantIx {
        self.bench.catalogue.as_made(self.all[item].variant)
    }

    fn is_brought(&self, item: usize) -> bool {
        self.rule.slot(self.all[item].slot).brought
    }

    /// `brought_too`: with what the rider brings.
    fn needs(&self, brought_too: bool) -> Counts {
        let mut needs = Counts::new();
        for item in (0..self.all.len()).filter(|&i| brought_too || !self.is_brought(i)) {
            *needs.entry(self.as_made(item)).or_insert(0) += 1;
        }
        needs
    }

    fn host(&self, item: usize) -> Option<VariantIx> {
        let host = self.rule.driven_into(self.all[item].slot)?;
        self.all.iter().find(|p| p.slot == host).map(|p| p.variant)
    }

    /// Pairs of items, in order. A thing that the rider brings is the same one in both.
    fn untouched(&self, after: &Picks<'_>, brought_fits: bool) -> Vec<(usize, usize)> {
        let same = |&i: &usize| match (self.all.get(i), after.all.get(i)) {
            (Some(a), Some(b)) => {
                let brought = self.is_brought(i) && after.is_brought(i) && brought_fits;
                brought || (a.variant == b.variant && self.stands_as(i, after))
            }
            _ => false,
        };
        let mut pairs: Vec<(usize, usize)> = (0..self.all.len()).take_while(same).map(|i| (i, i)).collect();
        for item in 0..self.all.len() {
            let Some(host) = self.host(item).filter(|_| !pairs.iter().any(|p| p.0 == item)) else { continue };
            let variant = self.all[item].variant;
            let same = |&other: &usize| {
                after.all[other].variant == variant
                    && after.host(other) == Some(host)
                    && !pairs.iter().any(|p| p.1 == other)
            };
            let found = (0..after.all.len()).find(same);
            pairs.extend(found.map(|other| (item, other)));
        }
        pairs
    }

    /// It is the right way up in the new plan, too, whichever way up the old one let it go on.
    fn stands_as(&self, item: usize, after: &Picks<'_>) -> bool {
        let ix = ItemIx(item as u16);
        let any = |picks: &Picks<'_>| picks.either_way.contains(&ix);
        any(after) || (!any(self) && self.all[item].turned == after.all[item].turned)
    }

    /// `anew`: what the rider brings is another thing than before, and comes from where all else does.
    fn turned_into(
        &self,
        after: &Picks<'_>,
        stays: &[(usize, usize)],
        stock: &Counts,
        anew: bool,
    ) -> OffOnSpare {
        let brought = |i: usize| !anew && after.is_brought(i);
        let off = (0..self.all.len()).filter(|i| !stays.iter().any(|s| s.0 == *i));
        let on: Vec<usize> = (0..after.all.len()).filter(|i| !stays.iter().any(|s| s.1 == *i)).collect();
        let mut again: Vec<usize> = Vec::new();
        let mut spare = Vec::new();
        let mut told_off = Vec::new();
        for item in off {
            let goes_on = |i: &&usize| {
                let same = after.all[**i].variant == self.all[item].variant;
                (same || (self.is_brought(item) && brought(**i))) && !again.contains(i)
            };
            // What was driven in is no good any more.
            let place = on.iter().find(goes_on).filter(|_| self.host(item).is_none());
            again.extend(place);
            if place.is_none() && self.host(item).is_none() && !self.is_brought(item) {
                spare.push(self.part(item));
            }
            told_off.push((ItemIx(item as u16), place.is_some()));
        }
        let mut on_hand = stock.clone();
        let taken = stays.iter().map(|s| s.1).chain(again.iter().copied());
        for part in taken.filter(|&i| !brought(i)).map(|i| after.as_made(i)) {
            take_one(&mut on_hand, part);
        }
        let source = |item: usize| match again.contains(&item) {
            _ if brought(item) => Source::Brought,
            true => Source::Again,
            false if take_one(&mut on_hand, after.as_made(item)) => Source::Owned,
            false => Source::Bought,
        };
        let sources: Vec<Source> = on.iter().copied().map(source).collect();
        let told_on = on.iter().map(|&i| ItemIx(i as u16)).zip(sources).collect();
        spare.sort();
        (told_off, told_on, spare)
    }

    fn brought_with(&self, after: &Picks<'_>, brought: FindBrought<'_>) -> Vec<Vec<VariantIx>> {
        let (old, new) = (brought(self.system, &self.all), brought(after.system, &after.all));
        let mut both: Vec<Vec<VariantIx>> = new.into_iter().filter(|b| old.contains(b)).collect();
        let planned: Vec<VariantIx> =
            (0..after.all.len()).filter(|&i| after.is_brought(i)).map(|i| after.all[i].variant).collect();
        both.sort_by_key(|b| (*b != planned, b.clone()));
        both
    }
}

/// What is taken to be in boxes for both; `None`: it cannot be both.
fn both(one: &[InBox], other: &[InBox]) -> Option<Vec<InBox>> {
    let mut all = one.to_vec();
    for there in other {
        match one.iter().find(|a| a.is_about(there.whose, there.of, there.part)) {
            Some(here) if here != there => return None,
            Some(_) => {}
            None => all.push(there.clone()),
        }
    }
    Some(all)
}

/// False where there is none left.
fn take_one(on_hand: &mut Counts, variant: VariantIx) -> bool {
    match on_hand.get_mut(&variant) {
        Some(count) if *count > 0 => {
            *count -= 1;
            true
        }
        _ => false,
    }
}
