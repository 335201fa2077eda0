//! Small books made up by number, and the best plan of each by trying every combination without a thought. Shares with
//! the search only the judgement of one finished stack.
#![allow(dead_code, reason = "each proof uses its own share of this")]

use std::fmt::Write;

use benchleaf::assembly::{Outcome, Pick, assemble};
use benchleaf::catalogue::{BoxIx, OnHand, VariantIx};
use benchleaf::rules::SlotIx;
use benchleaf::solve::{Answer, InBox, ShopStrengths, Verdict, Whose};

use crate::book::{Book, Numbers};
pub use crate::drafts::*;

pub const RULE: &str = include_str!("small.toml");
const SHOP: &str = "name = \"Quay Bench\"\ncurrency = \"EUR\"\n";

pub fn book(seed: u64) -> Book {
    let (parts, stock) = texts(seed);
    book_of(RULE, &parts, &stock)
}

/// The same book, in which some clamps and shims were tried on each other: slid, or did not. Twins of the tried parts, dearer and
/// of the same sizes, are in it, too.
pub fn with_trials(seed: u64) -> Book {
    let (mut parts, stock) = texts(seed);
    let mut numbers = Numbers(seed ^ 0x7261_6c73);
    let ids = |parts: &str, kind: &str| -> Vec<String> {
        let of_kind = |id: &&str| id.starts_with(kind);
        let all = parts.lines().filter_map(|line| line.strip_prefix("id = \"")?.strip_suffix('"'));
        all.filter(of_kind).map(str::to_string).collect()
    };
    let mut twins = String::new();
    for block in parts.split("[[part]]\n").skip(1) {
        let id = block.lines().next().unwrap().trim_start_matches("id = \"").trim_end_matches('"');
        if (id.starts_with("shim") || id.starts_with("clamp")) && numbers.one_in(2) {
            let own = block.split("[[box]]").next().unwrap();
            let lines = own.lines().filter(|l| !l.starts_with("price") && !l.starts_with("loose"));
            let twin: Vec<String> = lines.map(|line| line.replace(id, &format!("{id}-twin"))).collect();
            let price = numbers.between(1, 12);
            write!(twins, "[[part]]\n{}\nprice = \"{price}.50\"\n\n", twin.join("\n")).unwrap();
        }
    }
    parts += &twins;
    let mut tried: Vec<(String, String)> = vec![];
    for _ in 0..numbers.between(1, 3) {
        let (clamps, shims) = (ids(&parts, "clamp"), ids(&parts, "shim"));
        let pair = (clamps[numbers.below(clamps.len())].clone(), shims[numbers.below(shims.len())].clone());
        if !tried.contains(&pair) {
            let slides = numbers.one_in(2);
            write!(parts, "[[tried]]\nparts = [\"{}\", \"{}\"]\nslides = {slides}\n\n", pair.0, pair.1)
                .unwrap();
            tried.push(pair);
        }
    }
    book_of(RULE, &parts, &stock)
}

pub fn book_of(rule: &str, parts: &str, stock: &str) -> Book {
    Book::of_texts(&[
        ("content/shop.toml", SHOP),
        ("content/systems/capped.toml", rule),
        ("parts/all.toml", parts),
        ("parts/stock.csv", stock),
    ])
}

/// Everything that may stand in a slot: all sequences of parts and ways up.
fn fillings(book: &Book, slot: SlotIx, fork: VariantIx) -> Vec<Vec<Pick>> {
    let rule = book.rules[0].slot(slot);
    if slot.0 == 0 {
        return vec![vec![Pick { slot, variant: fork, turned: false }]];
    }
    let mut one: Vec<Pick> = vec![];
    for kind in &rule.kinds {
        for variant in book.catalogue.of_kind(kind).flat_map(|p| book.catalogue.part(p).variants.clone()) {
            for turned in [false, true].into_iter().filter(|&t| if t { rule.turned } else { rule.as_drawn }) {
                one.push(Pick { slot, variant, turned });
            }
        }
    }
    let mut all: Vec<Vec<Pick>> = vec![vec![]];
    let mut last = all.clone();
    for _ in 0..rule.most {
        let longer = |s: &Vec<Pick>| one.iter().map(|&p| [s.clone(), vec![p]].concat()).collect::<Vec<_>>();
        last = last.iter().flat_map(longer).collect();
        all.extend(last.clone());
    }
    all.retain(|s| s.len() >= rule.least as usize);
    all
}

/// What is in the box, where that is in boxes which do not say it. Of a further copy nothing is known.
fn opened(book: &Book, of: BoxIx, whose: Whose, world: &[InBox]) -> Vec<(VariantIx, u32)> {
    let mut there = vec![];
    for held in &book.catalogue.the_box(of).holds {
        let known = world.iter().find(|w| (w.whose, w.of, w.part) == (whose, of, held.part));
        match (held.revision, known) {
            (Some(said), _) => there.push((said, held.count)),
            (None, Some(known)) => there.extend(&known.pieces),
            (None, None) => {}
        }
    }
    there
}

/// The fork's own box: the first that holds it.
fn own_box(book: &Book, fork: VariantIx) -> Option<BoxIx> {
    book.catalogue.boxes_with(book.catalogue.variant(fork).part).next()
}

/// Everything that may be in boxes that do not say it, the fork's own and those to be bought, all together.
pub fn worlds(book: &Book, fork: VariantIx) -> Vec<Vec<InBox>> {
    let boxes = (0..book.catalogue.boxes.len()).map(|at| BoxIx(at as u32));
    let own = own_box(book, fork).map(|of| (Whose::Own, of));
    let own_too = |b: &BoxIx| own_box(book, fork) == Some(*b);
    let bought = boxes.filter(|b| book.catalogue.the_box(*b).sold && !own_too(b));
    let bought = bought.map(|of| (Whose::Bought, of));
    let mut all = vec![vec![]];
    for (whose, of) in own.into_iter().chain(bought) {
        for held in book.catalogue.the_box(of).holds.iter().filter(|h| h.revision.is_none()) {
            let [one, two] = book.catalogue.part(held.part).variants[..] else { panic!("two revisions") };
            let mix = |first: u32| -> Vec<(VariantIx, u32)> {
                [(one, first), (two, held.count - first)].into_iter().filter(|m| m.1 > 0).collect()
            };
            let ways = (0..=held.count).map(|first| InBox { whose, of, part: held.part, pieces: mix(first) });
            let ways: Vec<InBox> = ways.collect();
            let with = |w: &Vec<InBox>| ways.iter().map(|x| [w.clone(), vec![x.clone()]].concat()).collect();
            all = all.iter().flat_map(|w| -> Vec<Vec<InBox>> { with(w) }).collect();
        }
    }
    all
}

/// Fewest articles without a price, then least money: every count of every box, the rest loose.
fn spend(
    book: &Book,
    owned: &[(VariantIx, u32)],
    needed: &[VariantIx],
    stocked: bool,
    world: &[InBox],
) -> Option<(u32, i64)> {
    let there = |on_hand: OnHand| !stocked || on_hand != OnHand::Count(0);
    let all = (0..book.catalogue.boxes.len()).map(|at| BoxIx(at as u32));
    let boxes: Vec<BoxIx> =
        all.filter(|&b| book.catalogue.the_box(b).sold && there(book.catalogue.the_box(b).on_hand)).collect();
    let mut best: Option<(u32, i64)> = None;
    for code in 0..3_usize.pow(boxes.len() as u32) {
        let mut have: Vec<(VariantIx, u32)> = owned.to_vec();
        let (mut unpriced, mut money) = (0, 0);
        for (at, the_box) in boxes.iter().enumerate() {
            for nth in 0..code / 3_usize.pow(at as u32) % 3 {
                have.extend(opened(book, *the_box, Whose::Bought, if nth == 0 { world } else { &[] }));
                match book.catalogue.the_box(*the_box).price {
                    Some(price) => money += price.as_minor(),
                    None => unpriced += 1,
                }
            }
        }
        let mut can = true;
        let mut kinds: Vec<VariantIx> = needed.to_vec();
        kinds.sort();
        kinds.dedup();
        for part in kinds {
            let wanted = needed.iter().filter(|&&p| p == part).count() as u32;
            let got: u32 = have.iter().filter(|h| h.0 == part).map(|h| h.1).sum();
            let loose = book.catalogue.part_of(part);
            let short = wanted.saturating_sub(got);
            let made = book.catalogue.variant(part).revision.as_ref().is_none_or(|r| r.sold);
            can &= short == 0 || (made && loose.loose && there(loose.on_hand));
            match loose.price {
                Some(price) => money += price.as_minor() * i64::from(short),
                None => unpriced += short,
            }
        }
        if can && best.is_none_or(|b| (unpriced, money) < b) {
            best = Some((unpriced, money));
        }
    }
    best
}

pub type Best = (Outcome, (u32, i64), usize, Vec<(u16, String, bool)>);

/// With its revision, where it has one: that is how plans of equal worth are ordered.
fn tell(book: &Book, picks: &[Pick]) -> Vec<(u16, String, bool)> {
    let id = |v: VariantIx| {
        let (part, revision) = (book.catalogue.part_of(v), &book.catalogue.variant(v).revision);
        revision.as_ref().map_or_else(|| part.id.clone(), |r| format!("{}:{}", part.id, r.id))
    };
    picks.iter().map(|p| (p.slot.0, id(p.variant), p.turned)).collect()
}

/// The best of all combinations, from what is in stock and from everything.
pub fn by_trying_all(book: &Book, fork: VariantIx) -> [Option<Best>; 2] {
    by_trying_all_with(book, fork, "")
}

/// What is on hand, unless that must be measured and something else goes for certain.
pub fn first_by_stock(stocked: Option<Best>, all: Option<Best>) -> Option<Best> {
    match (stocked, all) {
        (Some(stocked), Some(all)) if all.0 < stocked.0 => Some(all),
        (stocked, all) => stocked.or(all),
    }
}

/// Every way to fill every slot.
pub fn every_stack(book: &Book, fork: VariantIx) -> Vec<Vec<Pick>> {
    let mut stacks: Vec<Vec<Pick>> = vec![vec![]];
    for index in 0..book.rules[0].slots.len() {
        let all = fillings(book, SlotIx(index as u16), fork);
        let with = |s: &Vec<Pick>| all.iter().map(|f| [s.clone(), f.clone()].concat()).collect::<Vec<_>>();
        stacks = stacks.iter().flat_map(with).collect();
    }
    stacks
}

fn owned(book: &Book, fork: VariantIx, world: &[InBox]) -> Vec<(VariantIx, u32)> {
    own_box(book, fork).map_or(vec![(fork, 1)], |b| opened(book, b, Whose::Own, world))
}

/// All its parts can be had, from what is in stock or from anywhere.
pub fn can_be_had(book: &Book, fork: VariantIx, picks: &[Pick]) -> bool {
    price(book, fork, picks, &[]).is_some()
}

/// What it costs at least where that is in the boxes, whatever is in stock.
pub fn price(book: &Book, fork: VariantIx, picks: &[Pick], world: &[InBox]) -> Option<(u32, i64)> {
    let bought = picks.iter().filter(|p| !book.rules[0].slot(p.slot).brought);
    let needed: Vec<VariantIx> = bought.map(|p| book.catalogue.as_made(p.variant)).collect();
    spend(book, &owned(book, fork, world), &needed, false, world)
}

/// The same over plans with that part in them.
pub fn by_trying_all_with(book: &Book, fork: VariantIx, with: &str) -> [Option<Best>; 2] {
    by_trying_all_in(book, fork, with, &[])
}

/// The same where that is in boxes which do not say it.
pub fn by_trying_all_in(book: &Book, fork: VariantIx, with: &str, world: &[InBox]) -> [Option<Best>; 2] {
    let mut all = all_that_may_go(book, fork);
    all.retain(|a| with.is_empty() || a.1.iter().any(|p| book.catalogue.part_of(p.variant).id == with));
    best_of(book, fork, &all, world)
}

/// Every way to fill every slot that goes, or goes if measured, whatever it costs.
pub fn all_that_may_go(book: &Book, fork: VariantIx) -> Vec<(Outcome, Vec<Pick>)> {
    let strengths = ShopStrengths(&book.shop);
    let judged = |picks: Vec<Pick>| {
        let stack = assemble(book.setting(0, &strengths), &picks);
        let worst = stack.checks.iter().map(|c| c.outcome).max().unwrap_or(Outcome::Pass);
        let merged = stack.merged && worst == Outcome::Pass;
        (if merged { Outcome::Measure } else { worst }, picks)
    };
    every_stack(book, fork).into_iter().map(judged).filter(|j| j.0 != Outcome::Fail).collect()
}

/// The best of these where that is in boxes which do not say it, from what is in stock and from everything.
pub fn best_of(
    book: &Book,
    fork: VariantIx,
    all: &[(Outcome, Vec<Pick>)],
    world: &[InBox],
) -> [Option<Best>; 2] {
    let owned = owned(book, fork, world);
    let mut best = [None, None];
    for (outcome, picks) in all {
        let bought = picks.iter().filter(|p| !book.rules[0].slot(p.slot).brought);
        let needed: Vec<VariantIx> = bought.map(|p| book.catalogue.as_made(p.variant)).collect();
        for (stocked, best) in [true, false].into_iter().zip(&mut best) {
            let Some(cost) = spend(book, &owned, &needed, stocked, world) else { continue };
            let this: Best = (*outcome, cost, picks.len(), tell(book, picks));
            if best.as_ref().is_none_or(|b| this < *b) {
                *best = Some(this);
            }
        }
    }
    best
}

pub fn told(book: &Book, answer: &Answer) -> Option<Best> {
    let picks: Vec<Pick> = answer
        .stack
        .items
        .iter()
        .map(|i| Pick { slot: i.slot, variant: i.variant, turned: i.turned })
        .collect();
    let outcome = match answer.verdict {
        Verdict::Goes => Outcome::Pass,
        Verdict::Measure => Outcome::Measure,
        Verdict::No => return None,
    };
    let spend = (answer.spend.unpriced, answer.spend.known.as_minor());
    Some((outcome, spend, picks.len(), tell(book, &picks)))
}
