//! What later parts can still see of a pile: two piles with the same outlook have the same future.
//!
//! Items that a later slot's sleeve, thread, seat or grip names, or that host something, are seen as themselves; of the others only the faces that nothing covers, at their heights, and how far they can
//! still be pushed. Heights are told by what is left of them without the seen items' own dimensions, each alone
//! and against each other, since every later check is a difference of two heights. Must not know search.

use super::build::Build;
use super::case::Case;
use super::check_items;
use super::drift::Drift;
use super::ledger::Ledger;
use super::piece::{Lie, Piece};
use super::push;
use super::report::{ItemIx, Outcome};
use super::still::still;
use crate::quantity::Form;
use crate::rules::{Rule, SlotIx};

/// The outlook of a pile for the slots from `next` on; `None` where there are cases, and nothing is said.
pub fn outlook(build: &Build<'_>, next: SlotIx) -> Option<Vec<i64>> {
    let [case] = &build.cases[..] else { return None };
    if build.merged {
        return None;
    }
    let seen: Vec<ItemIx> = build.all().filter(|&i| is_seen(build, i, next)).collect();
    let mut told = vec![i64::from(next.0)];
    let mut rests: Vec<Form> = Vec::new();
    for &item in &seen {
        let pick = build.item(item).pick;
        let class = build.setting.catalogue.class(pick.variant);
        told.extend([i64::from(pick.slot.0), i64::from(class.0), i64::from(pick.turned)]);
        match build.bottom(case, item) {
            Some(bottom) => height(build, &seen, bottom, &mut told, &mut rests),
            None => told.push(i64::MIN),
        }
    }
    told.push(i64::MAX);
    for item in build.all().filter(|i| !seen.contains(i)) {
        let bottom = build.bottom(case, item)?;
        for face in build.item(item).tops.iter().filter(|f| !covered(build, case, item, f)) {
            tell_face(build, item, face, &mut told);
            height(build, &seen, &bottom.plus(&face.height), &mut told, &mut rests);
        }
    }
    told.push(i64::MAX);
    unseen(build, case, &seen, &mut told);
    for (at, rest) in rests.iter().enumerate() {
        tell(build, rest, &mut told);
        for other in &rests[..at] {
            tell(build, &rest.minus(other), &mut told);
        }
    }
    Some(told)
}

fn tell(build: &Build<'_>, form: &Form, told: &mut Vec<i64>) {
    let dims = &build.dims;
    told.extend([form.nominal(dims), form.least(dims), form.most(dims)]);
}

fn is_seen(build: &Build<'_>, item: ItemIx, next: SlotIx) -> bool {
    let slot = build.item(item).pick.slot;
    item == ItemIx(0)
        || named_later(build.setting.rule, slot, next)
        || build.bottom(&build.cases[0], item).is_none()
        || !build.item(item).riders.is_empty()
}

/// A list of the rule names the slot together with one that is still to be filled.
fn named_later(rule: &Rule, slot: SlotIx, next: SlotIx) -> bool {
    let together = |slots: &mut dyn Iterator<Item = SlotIx>| {
        let all: Vec<SlotIx> = slots.collect();
        all.contains(&slot) && all.iter().any(|s| *s >= next)
    };
    rule.sleeves.iter().any(|s| together(&mut s.inner.iter().map(|i| i.slot).chain([s.outer.slot])))
        || rule.threads.iter().any(|t| together(&mut t.male.iter().chain(&t.female).map(|s| s.slot)))
        || rule.presses.iter().any(|p| together(&mut p.seat.iter().map(|s| s.slot).chain([p.wall.slot])))
        || rule.grips.iter().any(|g| together(&mut g.layers.iter().map(|l| l.slot).chain([g.by.slot])))
        || rule
            .stand_outs
            .iter()
            .any(|s| together(&mut s.surface.iter().map(|s| s.slot).chain(s.above.iter().copied())))
        || rule.slits.iter().any(|s| together(&mut s.bridged_by.into_iter().chain([s.slot])))
        || rule.slots.iter().enumerate().any(|(i, s)| SlotIx(i as u16) >= next && s.host == Some(slot))
}

/// The height in the seen items' dimensions, and the number of the rest that is left of it.
fn height(build: &Build<'_>, seen: &[ItemIx], form: &Form, told: &mut Vec<i64>, rests: &mut Vec<Form>) {
    let owner = |dim: u32| {
        let after = build.items.partition_point(|i| i.offset <= dim);
        ItemIx(after.saturating_sub(1) as u16)
    };
    let mut rest = Form { terms: Default::default(), ..form.clone() };
    told.push(form.terms.len() as i64);
    for &(dim, k) in &form.terms {
        let item = owner(dim);
        match seen.iter().position(|&s| s == item) {
            Some(at) => told.extend([at as i64, i64::from(dim - build.item(item).offset), k]),
            None => rest.terms.push((dim, k)),
        }
    }
    told.push(match rests.iter().position(|r| *r == rest) {
        Some(at) => at as i64,
        None => {
            rests.push(rest);
            rests.len() as i64 - 1
        }
    });
}

/// A flat face of another item lies over all of it, never lower.
fn covered(build: &Build<'_>, case: &Case, item: ItemIx, face: &Piece) -> bool {
    let Some(bottom) = build.bottom(case, item) else { return false };
    let top = face.reach.most + bottom.most(&build.dims);
    build.all().filter(|&o| o != item).any(|other| {
        let Some(base) = build.bottom(case, other) else { return false };
        build.item(other).tops.iter().any(|over| {
            over.lie == Lie::Flat
                && over.inner.bounds.most <= face.inner.bounds.least
                && over.outer.bounds.least >= face.outer.bounds.most
                && (over.reach.least + base.least(&build.dims) >= top
                    || base.plus(&over.height).minus(bottom).minus(&face.height).least(&build.dims) >= 0
                        && face.lie == Lie::Flat)
        })
    })
}

fn tell_face(build: &Build<'_>, item: ItemIx, face: &Piece, told: &mut Vec<i64>) {
    let name =
        |text: &str| text.bytes().fold(7_i64, |sum, b| sum.wrapping_mul(31).wrapping_add(i64::from(b)));
    told.extend([i64::from(build.item(item).pick.slot.0), name(face.column), name(face.surface)]);
    for edge in [&face.inner, &face.outer] {
        told.extend([name(edge.surface), i64::from(edge.bore), edge.bounds.least, edge.bounds.most]);
    }
    if let Lie::Cone { half_angle, rising } = face.lie {
        told.extend([half_angle, i64::from(rising)]);
    }
}

/// What the unseen items can still do to the outcome: how they seat, rub, and how far they can be pushed.
fn unseen(build: &Build<'_>, case: &Case, seen: &[ItemIx], told: &mut Vec<i64>) {
    let drift = Drift::of(build);
    let mut ledger = Ledger::default();
    let mut distances = Vec::new();
    let fixed = push::fixed(build);
    for item in build.all().filter(|i| !seen.contains(i)) {
        check_items::item(build, case, item, Some(&drift), &mut ledger);
        if !fixed.contains(&item) {
            for &stop in &fixed {
                push::distances_down(build, case, item, stop, &mut distances);
            }
        }
    }
    still(build, case, &drift, &mut ledger);
    told.push(match ledger.worst() {
        Outcome::Pass => 0,
        Outcome::Measure => 1,
        Outcome::Fail => 2,
    });
    if let Some(value) = push::least_distance(build, &distances) {
        told.extend([value.nominal, value.least, value.most]);
    }
}
