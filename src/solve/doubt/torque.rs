//! Makers' torques against the pull that a bolt should bear. Must not know stacks.

use super::TorqueOver;
use crate::catalogue::{Catalogue, Shop, VariantIx};
use crate::kinds::Shape;
use crate::quantity::{Force, PropertyClass, Thread, highest_torque, preload, preload_spread};

/// Parts whose maker's torque pulls harder, by T = K F d, than the book's fraction of the proof load.
pub fn over(catalogue: &Catalogue, shop: &Shop) -> Vec<TorqueOver> {
    let all = (0..catalogue.variants.len()).map(|i| VariantIx(i as u32));
    let own = all.filter(|&v| catalogue.variant(v).changed.is_none());
    own.filter_map(|variant| over_in(&catalogue.variant(variant).shape, variant, shop)).collect()
}

fn over_in(shape: &Shape, variant: VariantIx, shop: &Shop) -> Option<TorqueOver> {
    let torque = shape.features.drive.as_ref()?.torque?;
    let (thread, class) = turned(shape)?;
    let class = class.and_then(|c| PropertyClass::read(c).ok());
    // Where nothing is said, the one that bears least of all that it may be.
    let taken = class.unwrap_or_else(|| shop.usual.weakest_class());
    let (factor, percent) = (shop.bolts.torque_factor, shop.bolts.proof_percent);
    let ceiling = Force::mn(taken.proof_load(thread)?.as_mn().saturating_mul(i64::from(percent)) / 100);
    let pull = preload(torque.most(), factor, thread.major())?;
    let highest = highest_torque(thread, taken, factor, u32::from(percent));
    let supposed = class.is_none().then_some(taken);
    let pulls = preload_spread(torque, factor, thread.major())?;
    (pull > ceiling).then_some(TorqueOver { variant, torque, pulls, ceiling, highest, supposed })
}

/// The thread that the torque turns, and its bolt's class: a bolt's own, or those of a clamp's pinch bolts.
fn turned(shape: &Shape) -> Option<(Thread, Option<&str>)> {
    let features = &shape.features;
    if let Some(thread) = features.pinch_thread {
        return Some((thread, features.pinch_class.as_deref()));
    }
    let own = features.threads.iter().find(|t| t.male)?;
    Some((own.thread, features.property_class.as_deref()))
}
