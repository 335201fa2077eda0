//! How many items each slot must have for anything to go: what the rule asks, and what a fastener that is sure to come
//! needs to screw into.
//!
//! Must not know heights.

use super::candidates::Field;
use crate::assembly::{Demand, Readies, Setting};
use crate::catalogue::VariantIx;
use crate::rules::{SurfaceRef, ThreadPair};

/// By slot.
pub(super) fn least(setting: Setting<'_>, readies: &Readies, field: &Field) -> Vec<u8> {
    let mut least: Vec<u8> = setting.rule.slots.iter().map(|s| s.least).collect();
    for (index, pair) in setting.rule.threads.iter().enumerate() {
        if !setting.asks(Demand::ThreadMatch(index as u16)) {
            continue;
        }
        if let Some(slot) = only_mate(setting, readies, field, pair) {
            least[slot] = least[slot].max(1);
        }
    }
    least
}

/// The only slot that may have the female thread, where the male one is sure to come and the fork has neither.
fn only_mate(setting: Setting<'_>, readies: &Readies, field: &Field, pair: &ThreadPair) -> Option<usize> {
    let has = |s: &SurfaceRef| {
        let surface = readies.names.of(s.surface);
        move |v: &VariantIx| readies.diameters.has(*v, surface)
    };
    let there = |s: &SurfaceRef| &field.slots[s.slot.0 as usize];
    let some = |s: &&SurfaceRef| there(s).iter().any(has(s));
    let all = |s: &SurfaceRef| there(s).iter().all(has(s));
    let comes = |s: &SurfaceRef| s.slot.0 > 0 && setting.rule.slot(s.slot).least > 0 && all(s);
    if !pair.male.iter().any(comes) || pair.male.iter().any(|s| s.slot.0 == 0 && some(&s)) {
        return None;
    }
    let mut slots = pair.female.iter().filter(some).map(|s| s.slot.0 as usize);
    let first = slots.next()?;
    (first > 0 && slots.all(|slot| slot == first)).then_some(first)
}
