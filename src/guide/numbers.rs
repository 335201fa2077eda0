//! Checks as rows and facts: what, value, limit, outcome, and what was only assumed. Must not know the verdict.

use super::bench::Bench;
use super::page::NumberRow;
use super::supposed;
use super::words::capital;
use crate::assembly::{Check, Demand, Outcome, Value};
use crate::quantity::Origin;
use crate::rules::{Rule, SlotIx, SurfaceRef};

/// How a check is told: places only, or the names of the parts too.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Naming {
    Places,
    Parts,
}

pub fn rows(bench: &Bench) -> Vec<NumberRow> {
    bench.stack().checks.iter().map(|check| row(bench, check)).collect()
}

fn row(bench: &Bench, check: &Check) -> NumberRow {
    let words = bench.words();
    let assumes = check.assumes.iter().filter_map(|&dim| dimension(bench, dim));
    NumberRow {
        check: check.demand.word(),
        what: capital(&what(bench, check, Naming::Places)),
        value: value(bench, check).unwrap_or_else(|| words.word("number.none")),
        limit: bench.lengths().limit(check.least, check.most).unwrap_or_default(),
        outcome: check.outcome,
        outcome_words: words.word(outcome_key(check.outcome)),
        assumes: assumes.chain(supposed::texts(bench, check)).collect(),
        tried: supposed::tried(bench, check),
    }
}

fn outcome_key(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Pass => "outcome.pass",
        Outcome::Measure => "outcome.measure",
        Outcome::Fail => "outcome.fail",
    }
}

pub fn value(bench: &Bench, check: &Check) -> Option<String> {
    let value = check.value.as_ref()?;
    if is_ample_gap(bench.rule, check) {
        return Some(bench.lengths().no_less(check.least?));
    }
    // How much it is at most says nothing there.
    if is_of_set_depths(bench, check) {
        return Some(bench.lengths().no_less(value.least));
    }
    Some(bench.lengths().value(value, check))
}

/// So far above what the rule asks, with no end above, that its figure helps nobody; what is set into the pulled part may
/// meet the steerer long before.
pub fn is_ample_gap(rule: &Rule, check: &Check) -> bool {
    let far = |value: &Value| value.least > AMPLE && value.least > check.least.unwrap_or(0);
    check.demand == Demand::GapLeast
        && rule.limits.gap_wish.is_none()
        && check.value.as_ref().is_some_and(far)
}

/// Nobody looks for a gap so wide. Common practice, no source. Nanometres.
const AMPLE: i64 = 10_000_000;

/// Thread engaged at the depths of the steps: the least of all of them.
fn is_of_set_depths(bench: &Bench, check: &Check) -> bool {
    matches!(check.demand, Demand::Engagement(_))
        && check.outcome == Outcome::Pass
        && is_shown(bench, check)
        && bench.stack().chosen(check).is_some_and(|w| w.lowest <= w.highest)
}

/// Whether a check stands in the stack that is shown. One that does not may not be told with that stack's parts.
pub fn is_shown(bench: &Bench, check: &Check) -> bool {
    bench.stack().checks.contains(check)
}

/// "Clearance of the shim over the steerer"
pub fn what(bench: &Bench, check: &Check, naming: Naming) -> String {
    let (first, second) = (said(bench, check, 0, naming), said(bench, check, 1, naming));
    let mut values = vec![];
    values.extend(first.as_deref().map(|text| ("first", text)));
    values.extend(second.as_deref().map(|text| ("second", text)));
    let word = check.demand.word();
    let special = match check.demand {
        Demand::RingCloses(_) if check.surfaces == ["slot"] => "-slot",
        Demand::Engagement(_) if check.value.is_none() && check.outcome == Outcome::Fail => "-unknown",
        Demand::Tightness(_) if check.most.is_none() && check.value.is_some() => "-range",
        Demand::Engagement(_) if is_of_set_depths(bench, check) => "-chosen",
        _ => "",
    };
    bench.words().say(&format!("check.{word}{special}"), &values)
}

/// The first or second thing that a check is about, by the name of the surface where that has one.
pub fn said(bench: &Bench, check: &Check, which: usize, naming: Naming) -> Option<String> {
    if !is_shown(bench, check) {
        let (first, second) = by_rule(bench, check.demand);
        return if which == 0 { first } else { second };
    }
    let item = match check.demand {
        // What it stands out of comes first there.
        Demand::StandsOut(_) => *check.about.iter().rev().nth(which)?,
        _ => *check.about.get(which)?,
    };
    let word = bench.surface_word(item, check.surfaces.get(which).copied());
    Some(match naming {
        Naming::Places => word,
        Naming::Parts => bench.with_name(&word, item),
    })
}

/// On which side of its limits a value lies, and by how much at nominal sizes (at worst, where nominal holds).
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Miss {
    Little(i64),
    Much(i64),
}

pub fn miss(check: &Check) -> Option<Miss> {
    let value = check.value.as_ref()?;
    let under = |v: i64| check.least.map(|least| least - v).filter(|&by| by > 0).map(Miss::Little);
    let over = |v: i64| check.most.map(|most| v - most).filter(|&by| by > 0).map(Miss::Much);
    let at = |v: i64| under(v).or_else(|| over(v));
    at(value.nominal).or_else(|| under(value.least)).or_else(|| over(value.most))
}

/// Nothing of the one is in the other: how much is missing. A length of less than nothing is a riddle.
fn apart(check: &Check) -> Option<i64> {
    let of_length = matches!(check.demand, Demand::SleeveOverlap(_) | Demand::GripLength(_));
    match miss(check) {
        Some(Miss::Little(by)) if of_length && check.value.as_ref()?.nominal < 0 => Some(by),
        _ => None,
    }
}

/// A whole fact with value, limit and by how much; with part names where the check stands in the stack shown.
pub fn fact(bench: &Bench, check: &Check) -> String {
    let what = capital(&what(bench, check, Naming::Parts));
    let words = bench.words();
    let limit = bench.lengths().limit(check.least, check.most);
    if let Some(lacks) = bench.lacking(check) {
        return words.say("reason.fact-lacks", &[("what", &what), ("lacks", &lacks)]);
    }
    let (Some(value), Some(limit)) = (value(bench, check), limit) else {
        // Where the stack that is shown does it, it is one of the things that have to hold together.
        let same = |c: &&Check| c.demand == check.demand && c.about == check.about;
        let holds = bench.stack().checks.iter().find(same).is_some_and(|c| c.outcome == Outcome::Pass);
        let asked = check.outcome == Outcome::Pass || (holds && !is_shown(bench, check));
        // What is not known of a thread is told by its name.
        let told = matches!(check.demand, Demand::Engagement(_));
        if !asked
            && !told
            && let Some(plain) = super::reason::plain(bench, check)
        {
            return capital(&plain);
        }
        let key = if asked { "reason.fact-between" } else { "reason.fact" };
        return words.say(key, &[("what", &what)]);
    };
    if let Some(missing) = apart(check) {
        let by = bench.lengths().miss(missing);
        return words.say("reason.fact-apart", &[("what", &what), ("limit", &limit), ("by", &by)]);
    }
    let mut values = vec![("what", what.as_str()), ("value", &value), ("limit", &limit)];
    let missed = miss(check).filter(|_| check.outcome != Outcome::Pass);
    let (key, by) = match missed {
        Some(Miss::Little(by)) => ("reason.fact-little", bench.lengths().miss(by)),
        Some(Miss::Much(by)) => ("reason.fact-much", bench.lengths().miss(by)),
        None => ("reason.fact-bound", String::new()),
    };
    values.push(("by", &by));
    words.say(key, &values)
}

/// "outside diameter of Alder wide shim: written 31.8, taken as 31.74 to 31.80 mm"
pub fn dimension(bench: &Bench, dim: u32) -> Option<String> {
    let dim = bench.stack().dims.get(dim as usize)?;
    let range = bench.lengths().outward(dim.ends.least, dim.ends.most);
    let (name, part) = (bench.dim_word(&dim.name), bench.part_of(dim.item).name.as_str());
    let values = [("dim", name.as_str()), ("part", part), ("written", &dim.written), ("range", &range)];
    Some(capital(&bench.words().say("assumed.dim", &values)))
}

/// Every assumed dimension that some check leans on, once, in the order of the checks.
pub fn assumed(bench: &Bench) -> Vec<String> {
    let mut seen: Vec<u32> = vec![];
    for &dim in bench.stack().checks.iter().flat_map(|c| &c.assumes) {
        let is_assumed = bench.stack().dims.get(dim as usize).is_some_and(|d| d.origin == Origin::Assumed);
        if is_assumed && !seen.contains(&dim) {
            seen.push(dim);
        }
    }
    let mut texts: Vec<String> = seen.into_iter().filter_map(|dim| dimension(bench, dim)).collect();
    texts.extend(bench.stack().checks.iter().flat_map(|check| supposed::texts(bench, check)));
    let mut unique = vec![];
    texts.retain(|text| {
        let new = !unique.contains(text);
        unique.push(text.clone());
        new
    });
    texts
}

/// What a demand is about, by the rule alone.
pub fn what_by_rule(bench: &Bench, demand: Demand) -> String {
    let (first, second) = by_rule(bench, demand);
    let mut values = vec![];
    values.extend(first.as_deref().map(|text| ("first", text)));
    values.extend(second.as_deref().map(|text| ("second", text)));
    bench.words().say(&format!("check.{}", demand.word()), &values)
}

/// The two sides of a demand as the rule names them.
pub fn by_rule(bench: &Bench, demand: Demand) -> (Option<String>, Option<String>) {
    let rule = bench.rule;
    let one = |surface: &SurfaceRef| Some(bench.reference_word(surface));
    let filled = |list: &[SurfaceRef]| bench.reference_in_use(list).and_then(one);
    let slot = |slot: SlotIx| (Some(bench.slot_word(slot)), None);
    match demand {
        Demand::SleeveClearance(i) | Demand::SleeveOverlap(i) => match rule.sleeves.get(usize::from(i)) {
            Some(sleeve) => (one(&sleeve.outer), filled(&sleeve.inner)),
            None => (None, None),
        },
        Demand::Tightness(i) => match rule.presses.get(usize::from(i)) {
            Some(press) => (one(&press.wall), filled(&press.seat)),
            None => (None, None),
        },
        Demand::ThreadMatch(i) | Demand::Engagement(i) | Demand::Spare(i) => {
            match rule.threads.get(usize::from(i)) {
                Some(pair) => (filled(&pair.male), filled(&pair.female)),
                None => (None, None),
            }
        }
        Demand::GripLength(i) | Demand::GripPinch(i) | Demand::GripCloses(i) | Demand::SlitReach(i) => {
            (rule.grips.get(usize::from(i)).map(|grip| bench.slot_word(grip.by.slot)), None)
        }
        Demand::Slit(i) | Demand::SlitBare(i) => {
            (rule.slits.get(usize::from(i)).map(|s| bench.slot_word(s.slot)), None)
        }
        Demand::StandsOut(i) => (rule.stand_outs.get(usize::from(i)).and_then(|s| filled(&s.surface)), None),
        Demand::Size(i) => {
            (rule.sizes.get(usize::from(i)).and_then(|s| s.surface.first()).and_then(one), None)
        }
        Demand::Lands(s)
        | Demand::RestsOn(s)
        | Demand::Seat(s)
        | Demand::RingCloses(s)
        | Demand::Height(s)
        | Demand::Kept(s)
        | Demand::KeyWay(s)
        | Demand::Insertion(s) => slot(s),
        Demand::Path | Demand::GapLeast | Demand::Still => (None, None),
    }
}
