//! Why something does not go: one plain sentence, the facts, the wanted part.
//! Every figure is the computation's own. Must not know steps.

use super::bench::Bench;
use super::in_the_way::{too_long, too_wide};
use super::numbers::{self, Miss, Naming};
use super::supposed;
use super::words::capital;
use crate::assembly::{Check, Demand, ItemIx, Outcome, Support};
use crate::catalogue::{Part, VariantIx};
use crate::kinds::NamedDim;
use crate::quantity::Ends;
use crate::solve::{FunnelRow, Verdict, Wanted};

/// The plain sentence, without capital and full stop; `None` when no check is there to tell it from.
pub fn lead(bench: &Bench) -> Option<String> {
    if let Some(lacking) = lacking(bench) {
        return Some(lacking);
    }
    let worst = leading(bench)?;
    if let Some(told) = stops(bench, worst) {
        return Some(told);
    }
    if worst.outcome != Outcome::Fail && facts(bench).len() > 1 {
        let fact = numbers::fact(bench, worst);
        return Some(bench.words().say("lead.many", &[("fact", &fact)]));
    }
    plain(bench, worst)
}

/// The check that the reason opens with: of what fails, a part that stops too early before all else, and what the
/// picture shows before what only the search found. So sentence, table and picture tell of the same.
pub(super) fn leading<'a>(bench: &Bench<'a>) -> Option<&'a Check> {
    let reason = &bench.answer.reason;
    let failing = || bench.stack().checks.iter().filter(|c| c.outcome == Outcome::Fail);
    let pool: Vec<&Check> = if reason.is_empty() { failing().collect() } else { facts(bench) };
    let fails = |c: &&&Check| c.outcome == Outcome::Fail;
    let early = pool.iter().find(|check| stops(bench, check).is_some());
    let first = |shown: bool| {
        let its = |c: &&&Check| fails(c) && numbers::is_shown(bench, c) == shown;
        pool.iter().filter(its).min_by_key(|check| comes_of_others(check.demand))
    };
    early.or_else(|| first(true)).or_else(|| first(false)).or(pool.first()).copied()
}

/// Two parts that do not go together come first; what has no room, no gap or no way for the push may come of that.
fn comes_of_others(demand: Demand) -> u8 {
    match demand {
        Demand::Size(_) => 0,
        Demand::SleeveClearance(_) | Demand::Tightness(_) | Demand::ThreadMatch(_) => 1,
        // No length of a part that is held says more than that there is no place for what holds it.
        Demand::Engagement(_) | Demand::Insertion(_) | Demand::Slit(_) | Demand::Height(_) => 2,
        Demand::Still | Demand::Seat(_) | Demand::KeyWay(_) => 4,
        Demand::Path | Demand::Lands(_) => 5,
        _ => 3,
    }
}

/// The demands of the reason, as they are told: what the fork itself lacks, alone; and of a thread that has to reach far
/// enough not also that it has to be the same thread.
fn facts<'a>(bench: &Bench<'a>) -> Vec<&'a Check> {
    let reason = &bench.answer.reason;
    if let Some(lacks) = reason.iter().find(|check| bench.lacking(check).is_some()) {
        return vec![lacks];
    }
    let reaches = |pair: u16| {
        let of_pair = |c: &Check| matches!(c.demand, Demand::Engagement(p) | Demand::Spare(p) if p == pair);
        reason.iter().any(of_pair)
    };
    let told = |c: &&Check| !matches!(c.demand, Demand::ThreadMatch(pair) if reaches(pair));
    let facts: Vec<&Check> = reason.iter().filter(told).collect();
    // Of a part that stops on the steerer comes whatever else of this is amiss.
    match facts.iter().find(|check| too_long(bench, check).is_some()) {
        Some(&stops) => vec![stops],
        None => facts,
    }
}

/// A part that stops on its way down, on what and by how much.
fn stops(bench: &Bench, check: &Check) -> Option<String> {
    blocked(bench, check, "lead").or_else(|| early_landing(bench, check))
}

/// The same of a part that something far too long, or too wide, is in the way of: as the page opens, and as a fact.
fn blocked(bench: &Bench, check: &Check, key: &str) -> Option<String> {
    if !numbers::is_shown(bench, check) {
        return None;
    }
    let (words, lengths) = (bench.words(), bench.lengths());
    let say = |what: &str, values: &[(&str, String)]| {
        let values: Vec<(&str, &str)> = values.iter().map(|(name, text)| (*name, text.as_str())).collect();
        words.say(&format!("{key}.{what}"), &values)
    };
    if let Some(found) = too_long(bench, check) {
        let word = |item: ItemIx| bench.item_word(item);
        let by = lengths.miss(found.by);
        return Some(say(
            "steerer-long",
            &[("first", word(found.item)), ("onto", word(found.onto)), ("by", by)],
        ));
    }
    let found = too_wide(bench, check)?;
    let named = |item: ItemIx| bench.with_name(&bench.item_word(item), item);
    let (bore, outside) = (lengths.exact(found.bore), lengths.exact(found.outside));
    let values =
        [("first", named(found.item)), ("second", named(found.on)), ("bore", bore), ("outside", outside)];
    Some(say("too-wide", &values))
}

/// The fork alone is to blame: what else there is to try says nothing.
pub fn is_of_the_fork(bench: &Bench) -> bool {
    let of_fork = |c: &&Check| matches!(c.demand, Demand::Size(_)) && c.about == [ItemIx(0)];
    bench.answer.verdict == Verdict::No && !facts(bench).is_empty() && facts(bench).iter().all(of_fork)
}

/// Index of that check among the stack's; `None` where something is missing altogether, or it stands in another stack.
pub fn lead_check(bench: &Bench) -> Option<usize> {
    if bench.answer.verdict != Verdict::No || lacking(bench).is_some() {
        return None;
    }
    let lead = leading(bench)?;
    bench.stack().checks.iter().position(|check| check == lead)
}

/// "there is no crown race to be had for it: 3 in the book, …": a place that must be filled, and nothing for it.
fn lacking(bench: &Bench) -> Option<String> {
    let needed = |row: &&FunnelRow| row.can_be_had == 0 && bench.rule.slot(row.slot).least > 0;
    let row = bench.answer.funnel.iter().find(needed)?;
    let kind = bench.kind_word(bench.rule.slot(row.slot).kinds.first().copied().unwrap_or(""), 1);
    let count = row.in_book.to_string();
    let key = if row.in_book == 0 { "lead.none-in-book" } else { "lead.not-had" };
    Some(bench.words().say(key, &[("kind", &kind), ("count", &count)]))
}

/// The lead, then the facts that cannot hold together; each a whole sentence.
pub fn sentences(bench: &Bench) -> Vec<String> {
    let words = bench.words();
    let mut sentences = vec![];
    let lead = lead(bench);
    if bench.answer.unfinished {
        sentences.push(ended(&words.word("reason.unsettled")));
        sentences.extend(lead.map(|lead| ended(&words.say("reason.attempt", &[("lead", &lead)]))));
    } else {
        sentences.extend(lead.map(|lead| ended(&capital(&lead))));
    }
    let mut facts = facts(bench);
    let each_way = each_way(bench, &facts);
    match &each_way {
        Some(_) => facts.retain(|check| leading(bench) == Some(*check)),
        None if facts.len() > 1 => {
            let proved = bench.answer.reason_smallest;
            sentences.push(words.word(if proved { "reason.together" } else { "reason.together-at-most" }));
        }
        None => {}
    }
    // What the page opens with is not said again.
    let told: Vec<String> = facts.iter().map(|check| ended(&fact(bench, check))).collect();
    sentences.extend(told.into_iter().filter(|fact| sentences.first() != Some(fact)).collect::<Vec<_>>());
    sentences.extend(each_way);
    sentences.extend(facts.iter().filter_map(|check| slot_asked(bench, check)));
    // What was taken for want of a datum may be all that is wrong.
    let mut taken: Vec<String> = facts.iter().flat_map(|check| supposed::texts(bench, check)).collect();
    taken.dedup();
    sentences.extend(taken.iter().map(|text| ended(text)));
    if let [check] = facts[..] {
        sentences.extend(forks_with(bench, check));
    }
    sentences
}

fn fact(bench: &Bench, check: &Check) -> String {
    let blocked = blocked(bench, check, "reason").map(|text| capital(&text));
    blocked.unwrap_or_else(|| numbers::fact(bench, check))
}

/// Whatever goes over one wall, be it this part or that, is too narrow or too wide: it is one thing that fails, not several.
fn each_way(bench: &Bench, facts: &[&Check]) -> Option<String> {
    let outer = |check: &&Check| match check.demand {
        Demand::SleeveClearance(i) => {
            bench.rule.sleeves.get(usize::from(i)).map(|s| bench.slot_word(s.outer.slot))
        }
        _ => None,
    };
    let outers: Option<Vec<String>> = facts.iter().map(outer).collect();
    let outers = outers.filter(|all| all.len() > 1)?;
    let list = bench.words().joined("or", &outers);
    Some(bench.words().say("reason.each-way", &[("list", &list)]))
}

/// A part that the book has without a slot counts as a whole ring, which no clamp closes: the one in the hand may have one.
fn slot_asked(bench: &Bench, check: &Check) -> Option<String> {
    let closes = matches!(check.demand, Demand::GripCloses(_)) && check.outcome == Outcome::Fail;
    let &item = check.about.first().filter(|_| closes && numbers::is_shown(bench, check))?;
    let may_have_one =
        crate::kinds::find(bench.part_of(item).kind)?.fields.iter().any(|field| field.name == SLOT);
    let has_one = bench.variant_of(item).shape.dims.iter().any(|dim| dim.name == SLOT);
    let name = bench.part_of(item).name.as_str();
    (may_have_one && !has_one).then(|| bench.words().say("reason.slot-asked", &[("part", name)]))
}

/// The field of a kind for a cut through its wall.
const SLOT: &str = "slot";

/// Where the fork lacks what the system takes, or has it in another size: the forks of the book that have it.
fn forks_with(bench: &Bench, check: &Check) -> Option<String> {
    let Demand::Size(index) = check.demand else { return None };
    let asked = bench.rule.sizes.get(usize::from(index))?;
    let fork = bench.stack().items.first()?;
    if asked.surface.iter().any(|surface| surface.slot != fork.slot) {
        return None;
    }
    let catalogue = bench.book.catalogue;
    let has = |&variant: &VariantIx| {
        let shape = &catalogue.variant(variant).shape;
        let Some(surface) = asked.surface.iter().find(|s| shape.has_surface(s.surface)) else { return false };
        let ends: Vec<Ends> = shape.dims.iter().map(NamedDim::ends).collect();
        let walls = shape.walls().filter(|wall| wall.surface == surface.surface);
        walls.flat_map(|wall| &wall.diameter).all(|diameter| {
            asked.least.as_nm() <= diameter.least(&ends) && diameter.most(&ends) <= asked.most.as_nm()
        })
    };
    let forks = catalogue.of_kind(catalogue.part_of(fork.variant).kind).map(|part| catalogue.part(part));
    // Of a fork that has it in some revisions only, these.
    let named = |part: &Part| match part.variants.iter().all(has) {
        true => vec![part.name.clone()],
        false => part.variants.iter().filter(|v| has(v)).map(|&v| bench.book.variant_name(v)).collect(),
    };
    let names: Vec<String> = forks.flat_map(named).collect();
    let list = bench.words().joined("comma", &names);
    Some(bench.words().counted("reason.forks-with", names.len() as u32, &[("list", &list)]))
}

/// "the shim stops on the top of the steerer: its bore is 0.40 mm too small"
fn early_landing(bench: &Bench, check: &Check) -> Option<String> {
    let Demand::SleeveClearance(_) = check.demand else { return None };
    if !numbers::is_shown(bench, check) {
        return None;
    }
    let [outer, inner] = *check.about.get(..2)? else { return None };
    let nominal = check.value.as_ref()?.nominal;
    let support = support_on(bench, outer, inner).filter(|_| nominal < 0)?;
    let rest = bench.rest_word(outer, support);
    // As far from what is asked as the fact says.
    let missing = match numbers::miss(check) {
        Some(Miss::Little(by)) => by,
        _ => -nominal,
    };
    let (first, by) = (numbers::said(bench, check, 0, Naming::Places)?, bench.lengths().miss(missing));
    Some(bench.words().say("lead.early", &[("first", &first), ("rest", &rest), ("by", &by)]))
}

fn support_on<'a>(bench: &Bench<'a>, above: ItemIx, below: ItemIx) -> Option<&'a Support> {
    let item = bench.stack().items.get(usize::from(above.0))?;
    item.rests_on.iter().find(|support| support.item == below)
}

pub fn plain(bench: &Bench, check: &Check) -> Option<String> {
    let miss = numbers::miss(check);
    // Less than nothing in common: the one ends before the other begins.
    let overlaps = matches!(check.demand, Demand::SleeveOverlap(_));
    let apart = overlaps && check.value.as_ref().is_some_and(|v| v.most < 0);
    let (side, by) = match miss {
        Some(Miss::Little(by)) if apart => ("-apart", bench.lengths().miss(by)),
        Some(Miss::Little(by)) => ("-little", bench.lengths().miss(by)),
        Some(Miss::Much(by)) => ("-much", bench.lengths().miss(by)),
        None => ("", String::new()),
    };
    let what = numbers::what(bench, check, Naming::Places);
    let there = |which| numbers::said(bench, check, which, Naming::Places);
    let rest = check.about.first().filter(|_| numbers::is_shown(bench, check));
    let texts = [("first", there(0)), ("second", there(1)), ("rest", rest.and_then(|&i| bench.under(i)))];
    let system = bench.system();
    let mut values: Vec<(&str, &str)> = vec![("what", &what), ("by", &by), ("system", &system)];
    values.extend(texts.iter().filter_map(|(name, text)| Some((*name, text.as_deref()?))));
    let lacks = bench.lacking(check).or_else(|| there(0));
    values.extend(lacks.as_deref().map(|lacks| ("lacks", lacks)));
    let word = check.demand.word();
    let of_fork = of_the_fork(bench, check, side);
    let mut keys: Vec<String> = of_fork.map(|of| format!("lead.{word}{side}-{of}")).into_iter().collect();
    keys.extend([format!("lead.{word}{side}"), format!("lead.{word}"), format!("lead.other{side}")]);
    let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
    bench.words().first_said(&keys, &values)
}

/// What is amiss with the fork in the hand, where it is that: its steerer, or a thread where a plain wall should be.
fn of_the_fork(bench: &Bench, check: &Check, side: &str) -> Option<&'static str> {
    let held = |c: &Check| {
        let too_little = matches!(numbers::miss(c), Some(Miss::Little(_)));
        matches!(c.demand, Demand::GripLength(_)) && c.about.contains(&ItemIx(0)) && too_little
    };
    // There is no height for a clamp that could not hold enough of the fork at any.
    let of_height = matches!(check.demand, Demand::Height(_)) && bench.stack().checks.iter().any(held);
    let own = of_height || check.about.contains(&ItemIx(0));
    if !numbers::is_shown(bench, check) || !own || side.is_empty() {
        return None;
    }
    let threads = &bench.variant_of(ItemIx(0)).shape.features.threads;
    match check.demand {
        Demand::SleeveOverlap(_) if threads.iter().any(|thread| thread.male) => Some("threaded"),
        _ => Some("hand"),
    }
}

/// "One part that is not in the book would make it go: shim, inside diameter 25.45 to 25.60 mm, …"
pub fn wanted(bench: &Bench, wanted: &Wanted) -> String {
    let words = bench.words();
    let range = |(name, least, most): &(String, Option<i64>, Option<i64>)| {
        let range = bench.lengths().orderable(*least, *most).unwrap_or_default();
        let dim = bench.dim_word(name);
        words.say("wanted.range", &[("dim", &dim), ("range", &range)])
    };
    let ranges: Vec<String> = wanted.ranges.iter().map(range).collect();
    let (kind, ranges) = (bench.kind_word(wanted.kind, 1), words.joined("comma", &ranges));
    let like = wanted.like.map(|variant| bench.book.catalogue.part_of(variant).name.as_str());
    let mut values = vec![("kind", kind.as_str()), ("ranges", &ranges)];
    values.extend(like.map(|like| ("like", like)));
    words.say("wanted.part", &values)
}

pub(super) fn ended(text: &str) -> String {
    if text.ends_with(['.', ':', '!', '?']) { text.to_owned() } else { format!("{text}.") }
}
