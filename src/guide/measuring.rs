//! What to measure first, each reading with its three zones. Must not know why it is asked.

use super::bench::Bench;
use super::numbers::{self, Naming};
use super::page::MeasuringStep;
use crate::assembly::{Check, Contact, Demand, ItemIx, Outcome, Placed, Support};
use crate::catalogue::{Part, VariantIx};
use crate::kinds::Shape;
use crate::quantity::Length;
use crate::rules::{PutOn, SlotIx};
use crate::solve::{Longer, Next, ReadWhat, Reading, TryOut, TryWhat};

pub fn steps(bench: &Bench) -> Vec<MeasuringStep> {
    let mut readings: Vec<&Reading> = bench.answer.readings.iter().collect();
    readings.sort_by_key(|reading| (needs_new_parts(bench, reading), reading.order));
    let tries = bench.answer.tries.iter();
    let all = readings.len() + tries.len();
    let next = |place: usize| match place + 2 <= all {
        true => After::Reading(place + 2),
        false if !settle_all(bench) => After::Open,
        false if all > 1 => After::All,
        false => After::Nothing,
    };
    let told = readings.iter().enumerate().filter_map(|(place, reading)| step(bench, reading, next(place)));
    let mut told: Vec<MeasuringStep> = told.collect();
    for tried in tries {
        told.push(try_out(bench, tried, next(told.len())));
    }
    let dry_readings = readings.iter().map(|reading| is_dry(&reading.what));
    let dry_tries = bench.answer.tries.iter().map(|tried| !matches!(tried.what, TryWhat::Slides(_)));
    let first_dry = dry_readings.chain(dry_tries).position(|dry| dry);
    if let Some(step) = first_dry.and_then(|place| told.get_mut(place))
        && let Some(pressed) = pressed(bench)
    {
        step.text = format!("{pressed} {}", step.text);
    }
    told
}

fn is_dry(what: &ReadWhat) -> bool {
    matches!(what, ReadWhat::Reach { .. } | ReadWhat::DryBuild(_))
}

/// Some reading is of a room too narrow for a caliper.
pub fn needs_feelers(bench: &Bench) -> bool {
    let narrow = |check: usize| bench.stack().checks.get(check).is_some_and(|c| c.demand == Demand::Still);
    bench.answer.readings.iter().any(|r| matches!(r.what, ReadWhat::DryBuild(check) if narrow(check)))
}

/// Something was pressed on for a reading, and so is on before the steps begin.
pub fn pressed_before(bench: &Bench) -> bool {
    let read = bench.answer.readings.iter().any(|reading| is_dry(&reading.what));
    read || bench.answer.tries.iter().any(|tried| !matches!(tried.what, TryWhat::Slides(_)))
}

/// What carries others only once it is pressed on.
fn pressed(bench: &Bench) -> Option<String> {
    let pressed = |placed: &Placed| bench.rule.slot(placed.slot).put_on == PutOn::Pressed;
    let names: Vec<String> =
        bench.items().filter(|(_, placed)| pressed(placed)).map(|(item, _)| bench.item_word(item)).collect();
    let list = bench.words().joined("and", &names);
    (!names.is_empty()).then(|| bench.words().say("measure.dry-pressed", &[("list", &list)]))
}

/// Each of these with what of it is good, for a plan that is told in a line. Where one decides, that one.
pub fn in_short(bench: &Bench) -> Option<String> {
    let words = bench.words();
    let mut readings: Vec<&Reading> = bench.answer.readings.iter().collect();
    readings.sort_by_key(|reading| (needs_new_parts(bench, reading), reading.order));
    if let Some(reading) = readings.iter().find(|reading| reading.decides) {
        return Some([what(bench, reading)?, go(bench, reading), words.word("measure.alone")].join(" "));
    }
    let read = readings.iter().filter_map(|r| Some([what(bench, r)?, go(bench, r)].join(" ")));
    // A sliding fit that is read is only tried as well.
    let read_too = |tried: &&TryOut| {
        tried.checks.iter().all(|check| readings.iter().any(|r| settles(r) && r.checks.contains(check)))
    };
    let tried = bench.answer.tries.iter().filter(|tried| !read_too(tried)).map(|tried| {
        let good = words.word(&format!("try.{}-go", way_of_trying(bench, tried)));
        [trying(bench, tried), good].join(" ")
    });
    let all: Vec<String> = read.chain(tried).collect();
    let numbered = all.iter().enumerate().map(|(place, text)| {
        let number = (place + 1).to_string();
        words.say("measure.numbered", &[("number", number.as_str()), ("text", text)])
    });
    let end = match (settle_all(bench), all.len()) {
        (false, _) => "measure.last-open",
        (true, 1) => "measure.last-alone",
        (true, _) => "measure.all-good",
    };
    match &all[..] {
        [] => None,
        [one] => Some(format!("{one} {}", words.word(end))),
        _ => Some(numbered.chain([words.word(end)]).collect::<Vec<_>>().join(" ")),
    }
}

/// It says of some value that it is enough for its checks.
fn settles(reading: &Reading) -> bool {
    reading.go_from.is_some() || reading.go_to.is_some()
}

/// With every reading good and every trial passed nothing is open.
fn settle_all(bench: &Bench) -> bool {
    let answer = bench.answer;
    let open = bench.stack().checks.iter().enumerate().filter(|(_, c)| c.outcome == Outcome::Measure);
    open.into_iter().all(|(check, _)| {
        let read = answer.readings.iter().any(|r| settles(r) && r.checks.contains(&check));
        read || answer.tries.iter().any(|tried| tried.checks.contains(&check))
    })
}

/// Nothing can be read or tried before something is bought.
pub fn only_with_new_parts(bench: &Bench) -> bool {
    steps(bench).first().is_some_and(|step| step.new_parts)
}

/// It reads something that the rider has yet to buy, or the stack put together.
fn needs_new_parts(bench: &Bench, reading: &Reading) -> bool {
    let new = |dim: u32| {
        let item = bench.stack().dims.get(dim as usize).map(|dim| dim.item);
        item.is_some_and(|item| !super::supply::is_in_hand(bench, item))
    };
    match reading.what {
        ReadWhat::Dim(dim) => new(dim),
        ReadWhat::Pair { one, other, .. } => new(one) || new(other),
        ReadWhat::Reach { .. } | ReadWhat::DryBuild(_) => !bench.answer.buy.is_empty(),
    }
}

/// What comes after a reading that alone may not decide.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum After {
    /// The reading of this number.
    Reading(usize),
    /// It is the last of several, or the only one, and with all of them good nothing is open.
    All,
    Nothing,
    /// It is the last, and something stays open.
    Open,
    /// It is told by itself.
    Unsaid,
}

fn way_of_trying(bench: &Bench, tried: &TryOut) -> &'static str {
    let check = |index: usize| bench.stack().checks.get(index);
    match tried.what {
        TryWhat::Slides(_) => "slides",
        TryWhat::Seen(index) if check(index).is_some_and(|c| rests(bench, c).is_some()) => "rests",
        TryWhat::Seen(_) => "seen",
        TryWhat::DryBuild => "dry-build",
    }
}

/// What is tried instead of read.
fn trying(bench: &Bench, tried: &TryOut) -> String {
    let words = bench.words();
    let check = match tried.what {
        TryWhat::Slides(check) | TryWhat::Seen(check) => bench.stack().checks.get(check),
        TryWhat::DryBuild => None,
    };
    let (good, bad) = check.and_then(|check| rests(bench, check)).unzip();
    let what = check.map(|check| numbers::what(bench, check, Naming::Parts));
    let said = |which| check.and_then(|check| numbers::said(bench, check, which, Naming::Parts));
    let texts = [("what", what), ("first", said(0)), ("second", said(1)), ("good", good), ("bad", bad)];
    let mut values = vec![];
    values.extend(texts.iter().filter_map(|(name, text)| Some((*name, text.as_deref()?))));
    let limit = check.and_then(|check| bench.lengths().limit(check.least, check.most));
    values.extend(limit.as_deref().map(|limit| ("limit", limit)));
    words.say(&format!("try.{}", way_of_trying(bench, tried)), &values)
}

/// It is so, or it is not, and nothing lies between.
pub fn try_out(bench: &Bench, tried: &TryOut, next: After) -> MeasuringStep {
    let words = bench.words();
    let text = trying(bench, tried);
    let key = way_of_trying(bench, tried);
    let open = bench.stack().checks.iter().filter(|c| c.outcome == Outcome::Measure).count();
    let rest = match tried.checks.len() == open {
        true => words.word("try.decides"),
        false => fine_so_far(bench, next),
    };
    MeasuringStep {
        text: format!("{text} {rest}"),
        go: words.word(&format!("try.{key}-go")),
        no_go: Some(words.word(&format!("try.{key}-no"))),
        undecided: None,
        new_parts: !bench.answer.buy.is_empty(),
    }
}

fn fine_so_far(bench: &Bench, next: After) -> String {
    match next {
        After::Reading(next) => bench.words().say("measure.helps", &[("next", &next.to_string())]),
        After::All => bench.words().word("measure.last"),
        After::Nothing => bench.words().word("measure.last-alone"),
        After::Open => bench.words().word("measure.last-open"),
        After::Unsaid => bench.words().word("measure.fine"),
    }
}

fn decides(bench: &Bench, next: After) -> String {
    match next {
        After::Reading(next) => bench.words().say("measure.decides", &[("next", &next.to_string())]),
        _ => bench.words().word("measure.alone"),
    }
}

/// `None` only where the reading points at nothing in the stack.
pub fn step(bench: &Bench, reading: &Reading, next: After) -> Option<MeasuringStep> {
    let decides = if reading.decides { decides(bench, next) } else { fine_so_far(bench, next) };
    let said =
        [Some(what(bench, reading)?), Some(decides), Some(share(bench, reading)), longer(bench, reading)];
    Some(MeasuringStep {
        text: said.into_iter().flatten().collect::<Vec<_>>().join(" "),
        go: go(bench, reading),
        no_go: no_go(bench, reading),
        undecided: undecided(bench, reading, !reading.decides || !matches!(next, After::Reading(_))),
        new_parts: needs_new_parts(bench, reading),
    })
}

/// What the part of the check may come to rest on: where it has to, and where it must not. `None` where that is not what
/// the check is about, or is not open.
fn rests(bench: &Bench, check: &Check) -> Option<(String, String)> {
    let item = *check.about.first()?;
    let slot_of = |item: ItemIx| bench.item(item).slot;
    let (slot, rule) = (slot_of(item), bench.rule);
    let next = || {
        let at = rule.path.iter().position(|step| step.slot == slot)?;
        let filled = |slot: SlotIx| bench.stack().items.iter().any(|placed| placed.slot == slot);
        Some((&rule.path[at], rule.path[at + 1..].iter().find(|step| filled(step.slot))?))
    };
    let right = |support: &Support| match check.demand {
        Demand::RestsOn(_) => {
            let on = slot_of(support.item);
            on == slot || rule.slot(slot).rests_on.contains(&on)
        }
        Demand::Seat(_) => support.contact != Contact::Edge,
        Demand::Path => next().is_some_and(|(own, step)| {
            let columns = [(&own.leaves, support.own_column), (&step.enters, support.column)];
            slot_of(support.item) == step.slot
                && columns.iter().all(|(asked, is)| asked.as_deref().is_none_or(|c| c == *is))
        }),
        _ => false,
    };
    let (good, bad): (Vec<&Support>, Vec<&Support>) =
        bench.item(item).rests_on.iter().partition(|support| right(support));
    let named = |list: &[&Support]| {
        let mut names: Vec<String> = Vec::new();
        for name in list.iter().map(|support| bench.rest_word(item, support)) {
            if !names.contains(&name) {
                names.push(name);
            }
        }
        (!names.is_empty()).then(|| bench.words().joined("or", &names))
    };
    named(&good).zip(named(&bad))
}

fn what(bench: &Bench, reading: &Reading) -> Option<String> {
    let words = bench.words();
    let caliper = bench.lengths().exact(reading.caliper);
    match reading.what {
        ReadWhat::Dim(dim) => {
            let dim = bench.stack().dims.get(dim as usize)?;
            let (name, part) = (bench.dim_word(&dim.name), bench.part_of(dim.item).name.as_str());
            Some(words.say("measure.dim", &[("dim", &name), ("part", part), ("caliper", &caliper)]))
        }
        ReadWhat::Pair { one, other, sum } => {
            let of = |dim: u32| -> Option<(String, &str)> {
                let dim = bench.stack().dims.get(dim as usize)?;
                Some((bench.dim_word(&dim.name), bench.part_of(dim.item).name.as_str()))
            };
            let ((dim, part), (other_dim, other_part)) = (of(one)?, of(other)?);
            let named = [
                ("dim", dim.as_str()),
                ("part", part),
                ("other", other_dim.as_str()),
                ("otherpart", other_part),
                ("caliper", caliper.as_str()),
            ];
            Some(words.say(if sum { "measure.pair-sum" } else { "measure.pair-less" }, &named))
        }
        ReadWhat::Reach { item, into, chosen } => {
            let under = bench.under(item).unwrap_or_else(|| bench.item_word(item));
            let (male, nut) = (bench.part_of(item).name.as_str(), bench.item_word(chosen));
            let host = words.first(&[&format!("into.{}", bench.part_of(into).kind)]);
            let host = host.unwrap_or_else(|| bench.item_word(into));
            let named =
                [("part", male), ("under", under.as_str()), ("nut", nut.as_str()), ("into", host.as_str())];
            Some(words.say("measure.reach", &[&named[..], &[("caliper", &caliper)]].concat()))
        }
        ReadWhat::DryBuild(check) => dry(bench, bench.stack().checks.get(check)?, &caliper),
    }
}

/// What is read on the dry build, told by how it is read.
fn dry(bench: &Bench, check: &Check, caliper: &str) -> Option<String> {
    let said = |which| numbers::said(bench, check, which, Naming::Places);
    let texts = [("first", said(0)), ("second", said(1))];
    let what = numbers::what(bench, check, Naming::Places);
    let mut values = vec![("what", what.as_str()), ("caliper", caliper)];
    values.extend(texts.iter().filter_map(|(name, text)| Some((*name, text.as_deref()?))));
    let own = format!("measure.dry-{}", check.demand.word());
    bench.words().first_said(&[&own, "measure.dry"], &values)
}

/// "One like Bolt M8 × 30 mm that is 35 mm long goes for certain (Bolt M8 × 35 mm, €1.20)."
fn longer(bench: &Bench, reading: &Reading) -> Option<String> {
    let longer = reading.longer.as_ref()?;
    let (part, to) = (bench.part_of(longer.item).name.as_str(), bench.lengths().exact(longer.to));
    let sold = sold_as_long(bench, longer);
    let with_price = |part: &Part| {
        let price = part.price.map(|price| bench.money(price));
        let texts: Vec<String> = [part.name.clone()].into_iter().chain(price).collect();
        bench.words().joined("comma", &texts)
    };
    let sold = sold.map(with_price);
    let mut values = vec![("part", part), ("size", to.as_str())];
    values.extend(sold.as_deref().map(|sold| ("sold", sold)));
    Some(bench.words().say("measure.longer", &values))
}

/// The book's part that differs from it in nothing but how long it is.
fn sold_as_long<'a>(bench: &Bench<'a>, longer: &Longer) -> Option<&'a Part> {
    let own = &bench.variant_of(longer.item).shape;
    let kind = bench.part_of(longer.item).kind;
    let catalogue = &bench.book.catalogue;
    let is_length = |name: &str| LENGTHS.contains(&name);
    let sizes = |shape: &Shape| -> Vec<(String, Length)> {
        let others = shape.dims.iter().filter(|dim| !is_length(&dim.name));
        others.map(|dim| (dim.name.clone(), dim.dimension.nominal)).collect()
    };
    let as_long = |shape: &Shape| {
        let length = shape.dims.iter().find(|dim| dim.name == LENGTHS[0]);
        length.is_some_and(|dim| dim.dimension.nominal.as_nm() == longer.to)
            && shape.features == own.features
            && sizes(shape) == sizes(own)
    };
    let mut parts = catalogue.of_kind(kind).map(|part| catalogue.part(part));
    parts.find(|part| part.variants.iter().all(|&v| as_long(&catalogue.variant(v).shape)))
}

/// What is long about a part that is screwed in.
const LENGTHS: [&str; 2] = ["length", "thread_length"];

fn go(bench: &Bench, reading: &Reading) -> String {
    let words = bench.words();
    if reading.go_from.is_none() && reading.go_to.is_none() {
        let bounded = reading.no_below.is_some() || reading.no_above.is_some();
        return words.word(if bounded { "measure.go-never" } else { "measure.go-any" });
    }
    match bench.lengths().open_inward(reading.go_from, reading.go_to) {
        Some(range) => words.say("measure.go", &[("range", &range)]),
        None => words.word("measure.go-never"),
    }
}

fn no_go(bench: &Bench, reading: &Reading) -> Option<String> {
    let (words, lengths) = (bench.words(), bench.lengths());
    let below =
        reading.no_below.map(|v| words.say("measure.no-below", &[("value", &lengths.no_more_than(v))]));
    let above =
        reading.no_above.map(|v| words.say("measure.no-above", &[("value", &lengths.no_less_than(v))]));
    let zones: Vec<String> = below.into_iter().chain(above).collect();
    let told = words.say("measure.no-go", &[("list", &words.joined("comma", &zones))]);
    let told = [told].into_iter().chain(then(bench, reading)).collect::<Vec<_>>().join(" ");
    (!zones.is_empty()).then_some(told)
}

/// What goes instead where this reading says no.
fn then(bench: &Bench, reading: &Reading) -> Vec<String> {
    let words = bench.words();
    let zones =
        [("below", reading.no_below, &reading.then.below), ("above", reading.no_above, &reading.then.above)];
    let both = reading.no_below.is_some() && reading.no_above.is_some();
    let one = |(side, bound, next): (&str, Option<i64>, &Option<Next>)| {
        bound?;
        let which = words.word(&format!("measure.then-{}", if both { side } else { "plain" }));
        let Some(next) = next else { return Some(words.say("measure.then-nothing", &[("when", &which)])) };
        let names = |variants: &[VariantIx]| {
            let named = |&v: &VariantIx| bench.book.catalogue.part_of(v).name.clone();
            words.joined("plus", &variants.iter().map(named).collect::<Vec<_>>())
        };
        // Only what differs is named: a spacer that stays is not put in anew.
        let (out, put) = differing(next);
        let key = match (out.is_empty(), put.is_empty()) {
            (true, _) => "measure.then-add",
            (_, true) => "measure.then-without",
            _ => "measure.then-swap",
        };
        Some(words.say(key, &[("when", &which), ("put", &names(&put)), ("out", &names(&out))]))
    };
    zones.into_iter().filter_map(one).collect()
}

fn differing(next: &Next) -> (Vec<VariantIx>, Vec<VariantIx>) {
    let (mut out, mut put) = (next.out.clone(), next.put.clone());
    out.retain(|v| match put.iter().position(|p| p == v) {
        Some(at) => {
            put.remove(at);
            false
        }
        None => true,
    });
    (out, put)
}

/// How much of its range the reading leaves open.
fn share(bench: &Bench, reading: &Reading) -> String {
    let percent = reading.undecided.div_ceil(10).to_string();
    bench.words().say("measure.share", &[("percent", &percent)])
}

/// What lies between go and no go; after the last reading nothing else can settle it.
fn undecided(bench: &Bench, reading: &Reading, last: bool) -> Option<String> {
    let (words, lengths) = (bench.words(), bench.lengths());
    let zone = |from: Option<i64>, to: Option<i64>| match (from, to) {
        (Some(from), Some(to)) => (from < to).then(|| lengths.outward(from, to)),
        (Some(from), None) => Some(words.say("measure.above", &[("value", &lengths.one(from))])),
        (None, Some(to)) => Some(words.say("measure.below", &[("value", &lengths.one(to))])),
        (None, None) => None,
    };
    let never = match (reading.go_from, reading.go_to) {
        (None, None) => true,
        (Some(from), Some(to)) => from > to,
        _ => false,
    };
    let zones: Vec<String> = if never {
        zone(reading.no_below, reading.no_above).into_iter().collect()
    } else {
        let low = reading.go_from.and_then(|go| zone(reading.no_below, Some(go)));
        let high = reading.go_to.and_then(|go| zone(Some(go), reading.no_above));
        low.into_iter().chain(high).collect()
    };
    let key = if last { "measure.undecided-last" } else { "measure.undecided" };
    (!zones.is_empty()).then(|| words.say(key, &[("list", &words.joined("comma", &zones))]))
}
