//! Need, use, leave; where each part comes from; what would serve instead. Must not know why a plan is best.

use super::bench::Bench;
use super::numbers::{self, Miss};
use super::page::{AlternativeRow, LeaveRow, NeedRow, PartRow, PartSource, UseRow};
use super::reason;
use super::words::capital;
use crate::assembly::{Check, Demand, ItemIx};
use crate::catalogue::{BoxIx, OnHand, PartIx, VariantIx};
use crate::rules::SlotIx;
use crate::solve::{Alternative, Article, Buy, Instead, Leave, Spend, Unfit, Verdict, WhyLeft};

/// Number of each item in drawings and in the parts table: bottom to top, what has nothing beneath it last.
pub fn part_numbers(bench: &Bench) -> Vec<usize> {
    let mut order: Vec<ItemIx> = bench.items().map(|(item, _)| item).collect();
    order.sort_by_key(|&item| (bench.bottom(item).unwrap_or(i64::MAX), item));
    let mut numbers = vec![0; order.len()];
    for (place, item) in order.into_iter().enumerate() {
        numbers[usize::from(item.0)] = place + 1;
    }
    numbers
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Origin {
    /// From a box the rider has.
    Box(BoxIx),
    BoughtBox(BoxIx),
    BoughtLoose,
    Own,
}

/// Where each item comes from: owned boxes first, piece by piece, then what is bought.
fn origins(bench: &Bench) -> Vec<Origin> {
    let mut taken: Vec<(VariantIx, BoxIx)> = bench.answer.take.clone();
    let origin = |part: VariantIx| {
        if let Some(at) = taken.iter().position(|&(p, _)| p == part) {
            return Origin::Box(taken.remove(at).1);
        }
        let bought = bench.answer.buy.iter().find(|buy| buy.for_parts.contains(&part));
        let listed = || bench.answer.take.iter().find(|&&(p, _)| p == part);
        match bought.map(|buy| buy.article) {
            Some(Article::Box(the_box)) => Origin::BoughtBox(the_box),
            Some(Article::Part(_)) => Origin::BoughtLoose,
            None => listed().map_or(Origin::Own, |&(_, the_box)| Origin::Box(the_box)),
        }
    };
    bench
        .stack()
        .items
        .iter()
        .map(|placed| bench.book.catalogue.as_made(placed.variant))
        .map(origin)
        .collect()
}

pub fn parts(bench: &Bench, numbers: &[usize]) -> Vec<PartRow> {
    let (origins, goes) = (origins(bench), bench.answer.verdict != Verdict::No);
    let mut rows: Vec<PartRow> = bench
        .items()
        .map(|(item, placed)| {
            let part = bench.part_of(item);
            PartRow {
                number: numbers[usize::from(item.0)],
                item,
                part_id: part.id.clone(),
                name: part.name.clone(),
                slot: bench.item_word(item),
                kind: bench.kind_word(part.kind, 1),
                way: bench.way(item),
                told_end: bench.told_end(item),
                revision: bench.revision(placed.variant),
                changed: super::changing::part_changed(bench, placed.variant),
                from: if goes { from(bench, origins[usize::from(item.0)]) } else { String::new() },
                source: if goes { source(bench, origins[usize::from(item.0)]) } else { PartSource::None },
            }
        })
        .collect();
    rows.sort_by_key(|row| row.number);
    rows
}

fn from(bench: &Bench, origin: Origin) -> String {
    let words = bench.words();
    match origin {
        Origin::Box(ix) => words.say("from.box", &[("box", &bench.book.catalogue.the_box(ix).name)]),
        Origin::BoughtBox(ix) => {
            words.say("from.bought-box", &[("box", &bench.book.catalogue.the_box(ix).name)])
        }
        Origin::BoughtLoose => words.word("from.buy"),
        Origin::Own => words.word("from.own"),
    }
}

/// The rider has it: nothing is bought to get it.
pub fn is_in_hand(bench: &Bench, item: ItemIx) -> bool {
    matches!(origins(bench).get(usize::from(item.0)), Some(Origin::Box(_) | Origin::Own))
}

fn source(bench: &Bench, origin: Origin) -> PartSource {
    let id = |ix: BoxIx| bench.book.catalogue.the_box(ix).id.clone();
    match origin {
        Origin::Box(ix) => PartSource::Box(id(ix)),
        Origin::BoughtBox(ix) => PartSource::BoughtBox(id(ix)),
        Origin::BoughtLoose => PartSource::Bought,
        Origin::Own => PartSource::Own,
    }
}

pub fn need(bench: &Bench) -> Vec<NeedRow> {
    bench.answer.buy.iter().map(|buy| need_row(bench, buy)).collect()
}

pub(super) fn need_row(bench: &Bench, buy: &Buy) -> NeedRow {
    let (id, name, on_hand) = article(bench, buy.article);
    NeedRow {
        id: id.to_owned(),
        is_box: matches!(buy.article, Article::Box(_)),
        name,
        count: buy.count,
        price: buy.price.map(|price| each(bench, buy.count, bench.money(price))),
        stock: match on_hand {
            OnHand::Unknown => None,
            OnHand::Count(0) => Some(bench.words().word("stock.none")),
            OnHand::Count(n) => Some(bench.words().say("stock.some", &[("count", &n.to_string())])),
        },
        supplies: buy.for_parts.iter().map(|&v| bench.book.catalogue.part_of(v).name.clone()).collect(),
    }
}

fn each(bench: &Bench, count: u32, price: String) -> String {
    if count > 1 { bench.words().say("need.each", &[("price", &price)]) } else { price }
}

/// Id, name and stock of what can be bought; of a part the revision that is asked for, where there are several.
pub fn article<'a>(bench: &Bench<'a>, article: Article) -> (&'a str, String, OnHand) {
    match article {
        Article::Part(ix) => {
            let part = bench.book.catalogue.part_of(ix);
            (&part.id, bench.book.variant_name(ix), part.on_hand)
        }
        Article::Box(ix) => {
            let the_box = bench.book.catalogue.the_box(ix);
            (&the_box.id, the_box.name.clone(), the_box.on_hand)
        }
    }
}

/// One row for each part and source, in drop order; what is bought loose stands under "need".
pub fn use_from(bench: &Bench) -> Vec<UseRow> {
    let mut grouped: Vec<(PartIx, Origin, u32)> = vec![];
    for (placed, origin) in bench.stack().items.iter().zip(origins(bench)) {
        let part = bench.variant(placed.variant).part;
        match grouped.iter_mut().find(|(p, o, _)| (*p, *o) == (part, origin)) {
            Some((_, _, count)) => *count += 1,
            None => grouped.push((part, origin, 1)),
        }
    }
    grouped.into_iter().filter_map(|(part, origin, count)| use_row(bench, part, origin, count)).collect()
}

fn use_row(bench: &Bench, part: PartIx, origin: Origin, count: u32) -> Option<UseRow> {
    let words = bench.words();
    let (key, the_box) = match origin {
        Origin::Box(ix) => ("use.box", Some(bench.book.catalogue.the_box(ix))),
        Origin::BoughtBox(ix) => ("use.bought-box", Some(bench.book.catalogue.the_box(ix))),
        Origin::Own => ("use.own", None),
        Origin::BoughtLoose => return None,
    };
    let part = bench.part(part);
    let text = match the_box {
        Some(the_box) => words.say(key, &[("box", &the_box.name)]),
        None => words.word(key),
    };
    let name = if count > 1 { several(bench, count, &part.name) } else { part.name.clone() };
    Some(UseRow { part_id: part.id.clone(), name, box_id: the_box.map(|b| b.id.clone()), text })
}

/// "2 × Quay spacer"
pub fn several(bench: &Bench, count: u32, name: &str) -> String {
    bench.words().say("item.several", &[("count", &count.to_string()), ("name", name)])
}

pub fn leave(bench: &Bench) -> Vec<LeaveRow> {
    bench.answer.leave.iter().map(|left| leave_row(bench, left)).collect()
}

fn leave_row(bench: &Bench, left: &Leave) -> LeaveRow {
    let part = bench.part(left.part);
    let name = left.revision.map_or_else(|| part.name.clone(), |v| bench.book.variant_name(v));
    let name = if left.count > 1 { several(bench, left.count, &name) } else { name };
    let box_id = bench.book.catalogue.the_box(left.of).id.clone();
    LeaveRow { part_id: part.id.clone(), name, box_id, why: why_left(bench, left) }
}

fn why_left(bench: &Bench, left: &Leave) -> String {
    let words = bench.words();
    match &left.why {
        // One more of what is used already.
        WhyLeft::SlotFilled(_, other) if *other == left.part => words.word("leave.spare"),
        WhyLeft::NoPlace => words.say("leave.no-place", &[("system", &bench.system())]),
        WhyLeft::SlotFilled(_, other) => {
            words.say("leave.slot-filled", &[("other", &bench.part(*other).name)])
        }
        WhyLeft::WouldFail(slot, check, carried_by) => fails_in(bench, *slot, check, *carried_by),
        WhyLeft::NotNeeded(slot) => words.say("leave.not-needed", &[("slot", &bench.slot_word(*slot))]),
        WhyLeft::Spare => words.word("leave.spare"),
    }
}

/// What a part fails in that place.
fn fails_in(bench: &Bench, slot: SlotIx, check: &Check, carried_by: Option<VariantIx>) -> String {
    fails_as(bench, slot, check).unwrap_or_else(|| {
        let (slot, fact) = (bench.slot_word(slot), fact_of(bench, check, carried_by));
        bench.words().say("leave.would-fail", &[("slot", &slot), ("fact", &fact)])
    })
}

fn fact_of(bench: &Bench, check: &Check, carried_by: Option<VariantIx>) -> String {
    let (first, _) = numbers::by_rule(bench, check.demand);
    if let (Some(first), Some(on), None) = (first, carried_by, &check.value) {
        let (key, on) = (format!("lead.{}-part", check.demand.word()), bench.book.variant_name(on));
        if let Some(said) = bench.words().first_said(&[&key], &[("first", &first), ("part", &on)]) {
            return said;
        }
    }
    reason::plain(bench, check).unwrap_or_else(|| numbers::fact(bench, check))
}

/// In few words, where the part's own bore or outside is to blame, or the gap that it leaves.
fn fails_as(bench: &Bench, slot: SlotIx, check: &Check) -> Option<String> {
    let words = bench.words();
    let (side, by) = match numbers::miss(check)? {
        Miss::Little(by) => ("little", by),
        Miss::Much(by) => ("much", by),
    };
    let by = bench.lengths().miss(by);
    let (first, second) = numbers::by_rule(bench, check.demand);
    let (wall, other) = match check.demand {
        Demand::SleeveClearance(i) => match bench.rule.sleeves.get(usize::from(i))?.outer.slot == slot {
            true => ("bore", second?),
            false => ("outside", first?),
        },
        Demand::GapLeast => ("gap", String::new()),
        Demand::Tightness(i) if bench.rule.presses.get(usize::from(i))?.wall.slot == slot => {
            ("seat", String::new())
        }
        _ => return None,
    };
    let key = format!("leave.{wall}-{side}");
    words.first_said(&[&key], &[("by", &by), ("other", &other)])
}

/// "€24.50"; empty when nothing is to be bought.
pub fn spend(bench: &Bench, spend: &Spend, anything: bool) -> String {
    if !anything {
        return String::new();
    }
    let known = bench.money(spend.known);
    match (spend.unpriced, spend.known.as_minor()) {
        (0, _) => known,
        (_, 0) => bench.words().word("need.no-price"),
        _ => bench.words().say("need.unpriced", &[("spend", &known)]),
    }
}

pub fn in_stock_note(bench: &Bench, instead: &Instead) -> String {
    let words = bench.words();
    let missing: Vec<String> = instead.missing.iter().map(|&a| article(bench, a).1).collect();
    let name = |ix: &crate::catalogue::VariantIx| bench.book.catalogue.part_of(*ix).name.clone();
    let parts: Vec<String> = instead.parts.iter().map(name).collect();
    let (missing, parts) = (words.joined("comma", &missing), words.joined("comma", &parts));
    let spend = spend(bench, &instead.spend, true);
    words.say("need.instead", &[("missing", &missing), ("spend", &spend), ("parts", &parts)])
}

/// What is on hand, told beside a plan that has to be ordered.
pub fn on_hand_note(bench: &Bench, instead: &Instead) -> String {
    let words = bench.words();
    let name = |ix: &VariantIx| bench.book.catalogue.part_of(*ix).name.clone();
    let parts = words.joined("comma", &instead.parts.iter().map(name).collect::<Vec<_>>());
    let out = |buy: &&Buy| article(bench, buy.article).2 == OnHand::Count(0);
    let missing: Vec<String> =
        bench.answer.buy.iter().filter(out).map(|buy| article(bench, buy.article).1).collect();
    let spend = spend(bench, &instead.spend, true);
    let missing = words.joined("comma", &missing);
    words.say("need.on-hand", &[("missing", &missing), ("spend", &spend), ("parts", &parts)])
}

pub fn alternatives(bench: &Bench) -> Vec<AlternativeRow> {
    let serving = bench.answer.alternatives.iter().map(|other| alternative(bench, other));
    serving.chain(bench.answer.unfit.iter().map(|other| unfit(bench, other))).collect()
}

fn unfit(bench: &Bench, other: &Unfit) -> AlternativeRow {
    let text = fails_as(bench, other.slot, &other.check).unwrap_or_else(|| {
        bench
            .words()
            .say("leave.fails", &[("fact", &capital(&fact_of(bench, &other.check, other.carried_by)))])
    });
    let (slot, verdict) = (capital(&bench.slot_word(other.slot)), Verdict::No);
    let name = bench.book.variant_name(other.variant);
    let part_id = bench.book.catalogue.part_of(other.variant).id.clone();
    AlternativeRow { slot, part_id, name, verdict, text }
}

fn alternative(bench: &Bench, other: &Alternative) -> AlternativeRow {
    let words = bench.words();
    let part = bench.book.catalogue.part_of(other.variant);
    let verdict = words.word(match other.verdict {
        Verdict::Goes => "alternative.verdict-goes",
        Verdict::Measure => "alternative.verdict-measure",
        Verdict::No => "alternative.verdict-no",
    });
    let gap = other.gap.map(|(least, most)| bench.lengths().outward(least, most));
    let mut texts = vec![verdict];
    texts.extend(bench.way_instead(other));
    texts.extend(gap.map(|gap| words.say("alternative.gap", &[("gap", &gap)])));
    texts.extend(other.depths.iter().map(|&(item, depth)| super::set_in::with_other(bench, item, depth)));
    texts.extend((!other.heights_hold).then(|| super::set_in::heights_as_planned(bench)).flatten());
    texts.extend(other.price.map(|price| bench.money(price)));
    texts.extend((!other.in_stock).then(|| words.word("alternative.no-stock")));
    let name = match bench.revision(other.variant) {
        Some(revision) => words.say("item.named", &[("word", &part.name), ("name", &revision.label)]),
        None => part.name.clone(),
    };
    let text = words.joined("semicolon", &texts);
    let slot = capital(&bench.slot_word(other.slot));
    AlternativeRow { slot, part_id: part.id.clone(), name, verdict: other.verdict, text }
}
