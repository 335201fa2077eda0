//! Why something does not go: one plain sentence, the facts, how candidates thin out, the wanted part.
//! Every figure is the computation's own. Must not know steps.

use super::bench::Bench;
use super::numbers::{self, Miss, Naming};
use super::supposed;
use super::words::capital;
use crate::assembly::{Check, Demand, ItemIx, Outcome, Support};
use crate::catalogue::VariantIx;
use crate::kinds::NamedDim;
use crate::quantity::Ends;
use crate::rules::SurfaceRef;
use crate::solve::{FunnelRow, FunnelStep, Verdict, Wanted};

/// The plain sentence, without capital and full stop; `None` when no check is there to tell it from.
pub fn lead(bench: &Bench) -> Option<String> {
    if let Some(lacking) = lacking(bench) {
        return Some(lacking);
    }
    let worst = leading(bench)?;
    if let Some(early) = early_landing(bench, worst) {
        return Some(early);
    }
    if worst.outcome != Outcome::Fail && facts(bench).len() > 1 {
        let fact = numbers::fact(bench, worst);
        return Some(bench.words().say("lead.many", &[("fact", &fact)]));
    }
    plain(bench, worst)
}

/// The check that the reason opens with: of what fails, a part that stops too early before all else, and what the
/// picture shows before what only the search found. So sentence, table and picture tell of the same.
fn leading<'a>(bench: &Bench<'a>) -> Option<&'a Check> {
    let reason = &bench.answer.reason;
    let failing = || bench.stack().checks.iter().filter(|c| c.outcome == Outcome::Fail);
    let pool: Vec<&Check> = if reason.is_empty() { failing().collect() } else { facts(bench) };
    let fails = |c: &&&Check| c.outcome == Outcome::Fail;
    let early = pool.iter().find(|check| early_landing(bench, check).is_some());
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
        Demand::Engagement(_) | Demand::Insertion(_) | Demand::Slit(_) => 2,
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
    reason.iter().filter(told).collect()
}

/// Something that the system needs is not there at all: what else is amiss with an attempt says nothing.
pub fn lacks(bench: &Bench) -> bool {
    bench.answer.verdict == Verdict::No && bench.answer.reason.iter().any(|c| bench.lacking(c).is_some())
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
    let facts = facts(bench);
    if facts.len() > 1 {
        let proved = bench.answer.reason_smallest;
        sentences.push(words.word(if proved { "reason.together" } else { "reason.together-at-most" }));
    }
    sentences.extend(facts.iter().map(|check| ended(&numbers::fact(bench, check))));
    // What was taken for want of a datum may be all that is wrong.
    let mut taken: Vec<String> = facts.iter().flat_map(|check| supposed::texts(bench, check)).collect();
    taken.dedup();
    sentences.extend(taken.iter().map(|text| ended(text)));
    if let [check] = facts[..] {
        sentences.extend(forks_with(bench, check));
    }
    sentences
}

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
    let names: Vec<String> =
        forks.filter(|part| part.variants.iter().any(has)).map(|part| part.name.clone()).collect();
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
    let keys = [format!("lead.{word}{side}"), format!("lead.{word}"), format!("lead.other{side}")];
    bench.words().first_said(&keys.each_ref().map(String::as_str), &values)
}

/// "9 shims in the book; 3 slide over the steerer; none fills the clamp, the nearest (…) misses by 0.70 mm."
/// `None` where every candidate would serve alone.
pub fn funnel(bench: &Bench, row: &FunnelRow) -> Option<String> {
    let words = bench.words();
    let kind = bench.rule.slot(row.slot).kinds.first().copied().unwrap_or("");
    let kind = bench.kind_word(kind, row.in_book);
    let mut parts = vec![words.counted("funnel.start", row.in_book, &[("kind", &kind)])];
    let mut left = row.can_be_had;
    if row.can_be_had < row.in_book {
        parts.push(words.counted("funnel.had", row.can_be_had, &[]));
    }
    for step in &row.left {
        if step.left != left {
            parts.push(funnel_step(bench, row, step));
        }
        left = step.left;
    }
    if parts.len() == 1 && row.in_book > 0 {
        return None;
    }
    let place = capital(&bench.slot_word(row.slot));
    let text = ended(&words.joined("semicolon", &parts));
    Some(words.say("funnel.row", &[("place", &place), ("text", &text)]))
}

fn funnel_step(bench: &Bench, row: &FunnelRow, step: &FunnelStep) -> String {
    let words = bench.words();
    let (key, other) = funnel_words(bench, row, step.demand);
    let what = numbers::what_by_rule(bench, step.demand);
    let mut values = vec![("what", what.as_str())];
    values.extend(other.as_deref().map(|other| ("other", other)));
    let text = words.counted(&key, step.left, &values);
    let Some((variant, by)) = step.nearest.filter(|_| step.left == 0) else { return text };
    let name = bench.book.catalogue.part_of(variant).name.as_str();
    let by = bench.lengths().miss(by.abs());
    words.say("funnel.nearest", &[("step", &text), ("name", name), ("by", &by)])
}

/// Key of the words for what a demand leaves, and the other side as seen from the row's slot.
fn funnel_words(bench: &Bench, row: &FunnelRow, demand: Demand) -> (String, Option<String>) {
    let rule = bench.rule;
    let one = |list: &[SurfaceRef]| bench.reference_in_use(list).map(|r| bench.reference_word(r));
    let stands_in = |list: &[SurfaceRef]| list.iter().any(|r| r.slot == row.slot);
    let (key, other) = match demand {
        Demand::SleeveClearance(i) => match rule.sleeves.get(usize::from(i)) {
            Some(sleeve) if sleeve.outer.slot == row.slot => ("sleeve-over", one(&sleeve.inner)),
            Some(sleeve) => ("sleeve-inside", Some(bench.reference_word(&sleeve.outer))),
            None => ("other", None),
        },
        Demand::Tightness(i) => {
            ("press-tightness", rule.presses.get(usize::from(i)).and_then(|p| one(&p.seat)))
        }
        Demand::ThreadMatch(i) => match rule.threads.get(usize::from(i)) {
            Some(pair) if stands_in(&pair.male) => ("thread-match", one(&pair.female)),
            Some(pair) => ("thread-match", one(&pair.male)),
            None => ("thread-match", None),
        },
        Demand::Size(i) => {
            let asked = rule.sizes.get(usize::from(i)).map(|s| &s.surface);
            let lacks = asked.and_then(|of| bench.lacks_word(of.first()?));
            ("size", lacks.or_else(|| asked.and_then(|of| one(of))))
        }
        other => (other.word(), None),
    };
    let known = bench.words().has(&format!("funnel.{key}.many"));
    (format!("funnel.{}", if known { key } else { "other" }), other)
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

fn ended(text: &str) -> String {
    if text.ends_with(['.', ':', '!', '?']) { text.to_owned() } else { format!("{text}.") }
}
