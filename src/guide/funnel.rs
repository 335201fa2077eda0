//! How the candidates for one place thin out until none is left, in one line. Must not know what the page opens with but by
//! name.

use super::bench::Bench;
use super::in_the_way::too_wide;
use super::numbers;
use super::reason::{ended, leading};
use super::words::capital;
use crate::assembly::Demand;
use crate::rules::SurfaceRef;
use crate::solve::{FunnelRow, FunnelStep};

/// "9 shims in the book; 3 slide over the steerer; none fills the clamp, the nearest is …"
/// `None` where every candidate would serve alone.
pub fn funnel(bench: &Bench, row: &FunnelRow) -> Option<String> {
    // The fork is the one in the hand: there is nothing to choose.
    if row.slot.0 == 0 {
        return None;
    }
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
        parts.push(in_the_attempt(bench, row)?);
    }
    let place = capital(&bench.slot_word(row.slot));
    let text = ended(&words.joined("semicolon", &parts));
    Some(words.say("funnel.row", &[("place", &place), ("text", &text)]))
}

/// Where every candidate would serve alone: the one of the build shown, if it is one of the two that the page opens with.
fn in_the_attempt(bench: &Bench, row: &FunnelRow) -> Option<String> {
    let found = too_wide(bench, leading(bench)?)?;
    let item = [found.item, found.on].into_iter().find(|&item| bench.item(item).slot == row.slot)?;
    let name = bench.part_of(item).name.as_str();
    Some(bench.words().say("funnel.shown", &[("name", name)]))
}

fn funnel_step(bench: &Bench, row: &FunnelRow, step: &FunnelStep) -> String {
    let words = bench.words();
    let (key, other) = funnel_words(bench, row, step.demand);
    let what = numbers::what_by_rule(bench, step.demand);
    let mut values = vec![("what", what.as_str())];
    values.extend(other.as_deref().map(|other| ("other", other)));
    let text = words.counted(&key, step.left, &values);
    // By how much is told of the build that is shown: here it would be another number, of the best that tolerances allow.
    let Some((variant, _)) = step.nearest.filter(|_| step.left == 0) else { return text };
    let name = bench.book.catalogue.part_of(variant).name.as_str();
    words.say("funnel.nearest", &[("step", &text), ("name", name)])
}

/// Something with one of these walls may still be there.
fn any_there(bench: &Bench, list: &[SurfaceRef]) -> bool {
    let left = |row: &&FunnelRow| row.left.last().map_or(row.can_be_had, |step| step.left) > 0;
    list.iter().any(|of| match of.slot.0 {
        0 => bench.variant(bench.answer.fork).shape.has_surface(of.surface),
        _ => bench.answer.funnel.iter().filter(left).any(|row| row.slot == of.slot),
    })
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
        Demand::ThreadMatch(i) => {
            let pair = rule.threads.get(usize::from(i));
            let others = pair.map(|pair| if stands_in(&pair.male) { &pair.female } else { &pair.male });
            match others.filter(|list| any_there(bench, list)) {
                Some(list) => ("thread-match", one(list)),
                None => ("thread-nothing", None),
            }
        }
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
