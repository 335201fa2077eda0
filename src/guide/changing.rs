//! Permanent changes in words and as data: the warning, the steps, the last of the alternatives. Must not know how a
//! change is found, nor why a plan is best.

use serde_json::{Value as Json, json};

use super::bench::Bench;
use super::head_tube;
use super::page::{ChangeText, GuideStep};
use super::supply;
use super::template::Template;
use super::words::capital;
use crate::base::{Problem, Problems};
use crate::catalogue::VariantIx;
use crate::kinds::Known;
use crate::rules::{Change, Made};
use crate::solve::{ChangedPart, LastResort, NewSize, Verdict};

/// What opens the guide of a plan with a change.
pub fn warning(bench: &Bench) -> Option<ChangeText> {
    let (words, answer) = (bench.words(), bench.answer);
    if answer.changes.is_empty() {
        return None;
    }
    let fork = &bench.book.catalogue.part_of(answer.fork).name;
    Some(ChangeText {
        warning: words.word("change.warning"),
        why: words.say("change.why", &[("fork", fork), ("system", &bench.system())]),
        done: answer.changes.iter().map(|change| done(bench, change)).collect(),
        lost: lost(bench, &answer.changes),
        no_cut: words.word("change.no-way"),
        plan: None,
    })
}

pub fn last_resort(bench: &Bench) -> Option<ChangeText> {
    let words = bench.words();
    let resort = bench.answer.last_resort.as_deref()?;
    let why = match bench.answer.verdict {
        Verdict::Measure => "change.resort-why.measure",
        _ => "change.resort-why.goes",
    };
    let name = |ix: &VariantIx| bench.book.catalogue.part_of(*ix).name.clone();
    let parts = words.joined("comma", &resort.parts.iter().map(name).collect::<Vec<_>>());
    Some(ChangeText {
        warning: words.word("change.warning"),
        why: words.word(why),
        done: resort.changes.iter().map(|change| done(bench, change)).collect(),
        lost: lost(bench, &resort.changes),
        no_cut: beside(bench, resort),
        plan: Some(words.say("change.resort-plan", &[("list", &parts)])),
    })
}

/// What the plan without a change costs more, and what it waits for.
fn beside(bench: &Bench, resort: &LastResort) -> String {
    let words = bench.words();
    let spend = match resort.anything_to_buy {
        true => supply::spend(bench, &resort.spend, true),
        false => words.word("change.nothing"),
    };
    let mut said = vec![match resort.no_cut_extra {
        None => words.word("change.resort-extra.unknown"),
        Some(extra) if extra.as_minor() == 0 => words.word("change.resort-extra.same"),
        Some(extra) => {
            let key =
                if extra.as_minor() > 0 { "change.resort-extra.more" } else { "change.resort-extra.less" };
            words.say(key, &[("extra", &bench.money(extra.without_sign())), ("spend", &spend)])
        }
    }];
    let missing: Vec<String> =
        resort.waits_for.iter().map(|&a| supply::article(bench, a).1.to_owned()).collect();
    if !missing.is_empty() {
        said.push(words.say("change.resort-waits", &[("list", &words.joined("comma", &missing))]));
    }
    said.join(" ")
}

fn rule_of<'a>(bench: &Bench<'a>, changed: &ChangedPart) -> &'a Change {
    &bench.rule.changes[changed.change]
}

fn done(bench: &Bench, changed: &ChangedPart) -> String {
    let words = bench.words();
    let part = &bench.book.catalogue.part_of(changed.variant).name;
    match &changed.size {
        None => {
            let list = words.joined("comma", &added(bench, changed));
            capital(&words.say("change.adds", &[("part", part), ("list", &list)]))
        }
        Some(size) => {
            let texts = Sizes::of(bench, size);
            let dim = bench.dim_word(size.name);
            let key = if size.to < size.from { "change.size-less" } else { "change.size-more" };
            let mut values = vec![("part", part.as_str()), ("dim", &dim), ("from", &texts.from)];
            values.extend([("size", texts.to.as_str()), ("window", &texts.window)]);
            capital(&words.say(key, &values))
        }
    }
}

/// "width of the slit 3 ±0.5"
fn added(bench: &Bench, changed: &ChangedPart) -> Vec<String> {
    let Made::Feature(sizes) = &rule_of(bench, changed).made else { return vec![] };
    let row = |(name, dimension): &(&'static str, crate::quantity::Dimension)| {
        let values = [("dim", bench.dim_word(name)), ("value", dimension.written.clone())];
        let values: Vec<(&str, &str)> = values.iter().map(|(k, v)| (*k, v.as_str())).collect();
        bench.words().say("change.adds-row", &values)
    };
    sizes.iter().map(row).collect()
}

/// Each once, in the order in which they are first named.
fn lost(bench: &Bench, changes: &[ChangedPart]) -> Vec<String> {
    let mut keys: Vec<&String> = vec![];
    for key in changes.iter().flat_map(|c| &rule_of(bench, c).lost) {
        if !keys.contains(&key) {
            keys.push(key);
        }
    }
    keys.into_iter().map(|key| bench.words().word(&format!("lost.{key}"))).collect()
}

struct Sizes {
    from: String,
    to: String,
    /// From where to where the finished part goes on.
    window: String,
    within: String,
    off: String,
}

impl Sizes {
    fn of(bench: &Bench, size: &NewSize) -> Sizes {
        let lengths = bench.lengths();
        // Aimed at anywhere in the window and missed by as much as the rule allows it goes: so far reaches the finished part.
        let (least, most) = (size.least - size.within, size.most + size.within);
        Sizes {
            from: lengths.exact(size.from),
            to: lengths.aim(size.to),
            window: lengths.inward(least, most, 1).unwrap_or_else(|| lengths.inward_fine(least, most)),
            within: lengths.exact(size.within),
            off: lengths.aim((size.from - size.to).abs()),
        }
    }
}

/// "changed for good: length 44 mm"; `None` for a part as it was made.
pub fn part_changed(bench: &Bench, variant: VariantIx) -> Option<String> {
    let words = bench.words();
    let changed = bench.answer.changes.iter().find(|c| c.variant == variant)?;
    Some(match &changed.size {
        Some(size) => {
            let (dim, to) = (bench.dim_word(size.name), bench.lengths().aim(size.to));
            words.say("change.part", &[("dim", &dim), ("size", &to)])
        }
        None => {
            let list = words.joined("comma", &added(bench, changed));
            words.say("change.part-adds", &[("list", &list)])
        }
    })
}

/// The first steps: each change before anything is built.
pub fn steps(bench: &Bench, numbers: &[usize], problems: &mut Problems) -> Vec<GuideStep> {
    let mut steps = vec![];
    for changed in &bench.answer.changes {
        let change = rule_of(bench, changed);
        let item = bench.items().find(|(_, p)| p.variant == changed.variant).map(|(item, _)| item);
        steps.push(GuideStep {
            number: steps.len() + 1,
            id: format!("change-{}", change.id),
            text: fill(bench, changed, &change.say, problems),
            also: changed.size.as_ref().and_then(|_| for_the_deck(bench)).into_iter().collect(),
            warning: Some(bench.words().word("change.step")),
            held: None,
            feel: change.feel.as_ref().map(|feel| fill(bench, changed, feel, problems)),
            item,
            part_number: item.map(|i| numbers[usize::from(i.0)]),
            way: None,
            tool: None,
            torque: None,
            depth: None,
            reach: None,
            cautions: super::glance::of_change(bench),
            changed_size: changed.size.as_ref().map(|size| Sizes::of(bench, size).to),
            already: vec![],
        });
    }
    steps
}

/// On which head tube alone the size is right.
fn for_the_deck(bench: &Bench) -> Option<String> {
    let range = head_tube::here(bench)?;
    let (deck, _) = bench.items().find(|&(item, _)| bench.part_of(item).is(Known::Deck))?;
    let system = bench.system();
    let values = [("deck", bench.part_of(deck).name.as_str()), ("range", &range), ("system", &system)];
    Some(bench.words().say("change.deck", &values))
}

fn fill(bench: &Bench, changed: &ChangedPart, text: &str, problems: &mut Problems) -> String {
    let Ok(template) = Template::read(text) else { return text.to_owned() };
    let sizes = changed.size.as_ref().map(|size| Sizes::of(bench, size));
    let value = |name: &str| match (name, &sizes) {
        ("part", _) => Some(bench.book.catalogue.part_of(changed.variant).name.clone()),
        ("size", Some(sizes)) => Some(sizes.to.clone()),
        ("window", Some(sizes)) => Some(sizes.window.clone()),
        ("within", Some(sizes)) => Some(sizes.within.clone()),
        ("off", Some(sizes)) => Some(sizes.off.clone()),
        _ => None,
    };
    let filled = template.fill(&value).unwrap_or_else(|name| {
        let change = rule_of(bench, changed);
        let fact = format!("`{}` says {{{name}}}, and the change has nothing to put there", change.id);
        problems.push(
            Problem::error("sentence-value-missing", fact)
                .at(change.span, "this change")
                .mend(format!("put the words around it in square brackets: [, {{{name}}}]")),
        );
        let missing = bench.words().word("step.missing");
        template.fill(&|name| Some(value(name).unwrap_or_else(|| missing.clone()))).unwrap_or_default()
    });
    capital(&filled)
}

/// Name of the change that a part was made to; null for a part as it was made.
pub fn id_of(bench: &Bench, variant: VariantIx) -> Json {
    let changed = bench.answer.changes.iter().find(|c| c.variant == variant);
    json!(changed.map(|c| &rule_of(bench, c).id))
}

pub fn json(bench: &Bench, changes: &[ChangedPart]) -> Json {
    let size = |size: &NewSize| {
        json!({
            "dim": size.name, "from": size.from, "to": size.to,
            "least": size.least, "most": size.most, "within": size.within,
        })
    };
    let one = |changed: &ChangedPart| {
        let change = rule_of(bench, changed);
        let adds: serde_json::Map<String, Json> = match &change.made {
            Made::Feature(sizes) => sizes.iter().map(|(n, d)| (n.to_string(), json!(d.written))).collect(),
            Made::Size { .. } => Default::default(),
        };
        json!({
            "change": change.id,
            "slot": bench.rule.slot(changed.slot).name,
            "part": bench.book.catalogue.part_of(changed.variant).id,
            "size": changed.size.as_ref().map(size),
            "adds": adds,
            "lost": change.lost,
        })
    };
    Json::Array(changes.iter().map(one).collect())
}

pub fn resort_json(bench: &Bench) -> Json {
    let Some(resort) = bench.answer.last_resort.as_deref() else { return Json::Null };
    let id = |ix: &VariantIx| bench.book.catalogue.part_of(*ix).id.clone();
    let waits: Vec<&str> = resort.waits_for.iter().map(|&a| supply::article(bench, a).0).collect();
    json!({
        "changes": json(bench, &resort.changes),
        "parts": resort.parts.iter().map(id).collect::<Vec<_>>(),
        "spend": resort.spend.known.plain(),
        "unpriced": resort.spend.unpriced,
        "no_cut_extra": resort.no_cut_extra.map(|extra| extra.plain()),
        "waits_for": waits,
    })
}
