//! The finished stack as plain numbers for everyone above. Must not judge anything anew.

use super::build::{Build, Item, Pick, Setting};
use super::case::{Case, Decision};
use super::choose::{self, stands};
use super::judge::{Judgement, check, judge};
use super::ledger::CaseValue;
use super::report::{ItemDim, ItemIx, MateWith, Mating, Placed, PutOnWord, Stack, Support, Value, Window};
use super::set_in;
use crate::quantity::Form;
use crate::rules::PutOn;

/// Builds the stack of these picks (in drop order) and judges it.
pub fn assemble(setting: Setting<'_>, picks: &[Pick]) -> Stack {
    assemble_knowing(setting, picks, &[])
}

/// The same over those parts only for which none of the forms, over the stack's dimensions, is negative.
pub fn assemble_knowing(setting: Setting<'_>, picks: &[Pick], known: &[Form]) -> Stack {
    let mut build = Build::of(setting, picks);
    for case in &mut build.cases {
        let holds = |form: &Form| Decision { form: form.negated(), positive: false };
        case.decisions.extend(known.iter().map(holds));
    }
    let possible = |case: &Case| case.given(&build.dims).possible();
    if !known.is_empty() && build.cases.iter().any(possible) {
        let kept = build.cases.iter().filter(|case| possible(case)).cloned().collect();
        build.cases = kept;
    }
    let judgement = judge(&build);
    stack(&build, &judgement)
}

/// Dimensions that bear on how wide the item's seats are, with the play that its parts have.
pub fn seat_dims(setting: Setting<'_>, picks: &[Pick], item: ItemIx) -> Vec<u32> {
    super::check_items::seat_dims(&Build::of(setting, picks), item)
}

pub fn stack(build: &Build<'_>, judgement: &Judgement) -> Stack {
    Stack {
        dims: dims(build),
        items: build.all().map(|item| placed(build, judgement, item)).collect(),
        pushed: chain(build),
        checks: judgement.checks.iter().map(|c| check(build, c)).collect(),
        windows: build.all().filter_map(|item| window(build, judgement, item)).collect(),
        merged: build.merged,
        open: open(build),
    }
}

/// Comparisons that cases decide differently. Of the two ways to write one the first that arose.
fn open(build: &Build<'_>) -> Vec<Form> {
    let mut found: Vec<Form> = Vec::new();
    for decision in build.cases.iter().flat_map(|case| &case.decisions) {
        let negated = decision.form.negated();
        if !found.iter().any(|form| *form == decision.form || *form == negated) {
            found.push(decision.form.clone());
        }
    }
    found
}

fn dims(build: &Build<'_>) -> Vec<ItemDim> {
    let of_item = |item: ItemIx| {
        let it = build.item(item);
        it.shape.dims.iter().enumerate().map(move |(at, dim)| ItemDim {
            item,
            name: dim.name.clone(),
            ends: build.dims[it.offset as usize + at],
            origin: dim.dimension.origin,
            written: dim.dimension.written.clone(),
        })
    };
    build.all().flat_map(of_item).collect()
}

/// `spacer`, `spacer-2`.
fn name(build: &Build<'_>, item: ItemIx) -> String {
    let slot = build.item(item).pick.slot;
    let before = build.in_slot(slot).filter(|&i| i < item).count();
    let name = &build.slot_of(item).name;
    if before == 0 { name.clone() } else { format!("{name}-{}", before + 1) }
}

fn placed(build: &Build<'_>, judgement: &Judgement, item: ItemIx) -> Placed {
    let it = build.item(item);
    let slot = build.slot_of(item);
    Placed {
        name: name(build, item),
        slot: it.pick.slot,
        variant: it.pick.variant,
        turned: it.pick.turned,
        put_on: match slot.put_on {
            PutOn::Fixed => PutOnWord::Fixed,
            PutOn::FromAbove | PutOn::Loose => PutOnWord::FromAbove,
            PutOn::FromBelow => PutOnWord::FromBelow,
            PutOn::Threaded => PutOnWord::Threaded,
            PutOn::Pressed => PutOnWord::Pressed,
            PutOn::Chosen(_) => PutOnWord::Chosen,
        },
        rides_with: build.host(item),
        still: slot.still.iter().any(|c| c == "*"),
        still_columns: it
            .columns
            .iter()
            .map(|c| c.name)
            .filter(|n| slot.still.iter().any(|s| s == n))
            .collect(),
        landing: landing(build, judgement, item),
        rests_on: supports(build, item),
        columns: it.columns.clone(),
        height: it.height.clone(),
        mates: mates(build, item, it),
        cuts: it.cuts.clone(),
        pinches: it.pinches.clone(),
    }
}

fn landing(build: &Build<'_>, judgement: &Judgement, item: ItemIx) -> Option<Value> {
    if build.is_chosen(item) {
        let stands = stands(build, item, &judgement.bounding)?;
        let aimed = set_in::aimed_at(build, item, &judgement.bounding);
        let nominal = aimed.unwrap_or(stands.height.nominal);
        return Some(CaseValue { nominal, ..stands.height }.into());
    }
    let mut joined: Option<CaseValue> = None;
    for case in &build.cases {
        let value = CaseValue::of(build.bottom(case, item)?.clone(), case.given(&build.dims));
        joined = Some(match joined {
            None => value,
            Some(first) => CaseValue {
                nominal: first.nominal,
                least: first.least.min(value.least),
                most: first.most.max(value.most),
                form: first.form.filter(|f| value.form.as_ref() == Some(f)),
            },
        });
    }
    joined.map(Into::into)
}

fn supports(build: &Build<'_>, item: ItemIx) -> Vec<Support> {
    let mut found: Vec<Support> = Vec::new();
    let in_case = |case: &super::case::Case, s: &Support| {
        case.stands[item.0 as usize].touches.iter().any(|t| {
            (t.item, t.column, t.surface, t.own_column) == (s.item, s.column, s.surface, s.own_column)
        })
    };
    for case in &build.cases {
        for touch in &case.stands[item.0 as usize].touches {
            let mut support = Support {
                item: touch.item,
                column: touch.column,
                surface: touch.surface,
                own_column: touch.own_column,
                contact: touch.contact,
                certain: true,
            };
            let same = |s: &Support| {
                (s.item, s.column, s.surface, s.own_column)
                    == (support.item, support.column, support.surface, support.own_column)
            };
            if !found.iter().any(same) {
                support.certain = build.cases.iter().all(|c| in_case(c, &support));
                found.push(support);
            }
        }
    }
    found
}

fn mates(build: &Build<'_>, item: ItemIx, it: &Item<'_>) -> Vec<MateWith> {
    let mut found = Vec::new();
    for screw in build.links.screws.iter().filter(|s| s.matches) {
        if screw.male.0 == item {
            found.push(MateWith { item: screw.female.0, how: Mating::Thread, surface: screw.male.1 });
        } else if screw.female.0 == item {
            found.push(MateWith { item: screw.male.0, how: Mating::Thread, surface: screw.female.1 });
        }
    }
    if let Some(seated) = &it.seated {
        let how = if it.shape.features.split_ring { Mating::SplitRing } else { Mating::Press };
        found.push(MateWith { item: seated.on.0, how, surface: seated.surface });
    }
    found
}

/// From the pulled part down to the fork along the first support of the nominal case.
fn chain(build: &Build<'_>) -> Vec<ItemIx> {
    let mut chain: Vec<ItemIx> = Vec::new();
    let mut next = build.in_slot(build.setting.rule.pulled).next();
    while let (Some(item), Some(case)) = (next, build.cases.first()) {
        if chain.contains(&item) {
            break;
        }
        chain.push(item);
        next = case.stands[item.0 as usize].touches.first().map(|t| t.item);
    }
    chain
}

fn window(build: &Build<'_>, judgement: &Judgement, item: ItemIx) -> Option<Window> {
    let stands = stands(build, item, &judgement.bounding)?;
    let depth = set_in::depth(build, item, &judgement.bounding);
    let over = choose::above_carrier(build, item, &judgement.bounding).filter(|_| depth.is_none());
    Some(Window { item, lowest: stands.lowest, highest: stands.highest, depth, over })
}
