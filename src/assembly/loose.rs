//! What nothing holds is wherever it can be: how far a loose part can rise from where it lies.
//!
//! It lies on what is below it, and rises until something that went on after it stops it. Must not know what is checked.

use super::build::Build;
use super::case::Case;
use super::ledger::{Ledger, fact};
use super::push::Distances;
use super::report::{Demand, ItemIx};
use crate::quantity::Form;
use crate::rules::PutOn;

/// No less than how far it can rise. `None`: nothing surely stops it.
///
/// Of several stops the nearest at nominal sizes counts; another that could be nearer still would only let it rise less.
pub fn travel(build: &Build<'_>, case: &Case, item: ItemIx) -> Option<Form> {
    let mut distances = Distances::default();
    for stop in build.all().filter(|&stop| stop > item && !build.is_chosen(stop)) {
        distances.down(build, case, stop, item);
    }
    let sure = distances.all.into_iter().filter(|d| d.sure()).map(|d| d.form);
    sure.min_by_key(|form| form.nominal(&build.dims))
}

/// The least and the greatest height of its bottom: two for what lies loose, else one. `None`: chosen, or nothing beneath.
pub fn lies(build: &Build<'_>, case: &Case, item: ItemIx) -> Option<[Form; 2]> {
    let lowest = build.bottom(case, item)?;
    let loose = build.slot_of(item).put_on == PutOn::Loose;
    let travel = if loose { travel(build, case, item) } else { None };
    let highest = travel.map_or_else(|| lowest.clone(), |travel| lowest.plus(&travel));
    Some([lowest.clone(), highest])
}

/// Each loose part has something that stops it.
pub fn kept(build: &Build<'_>, case: &Case, ledger: &mut Ledger) {
    for item in build.all().filter(|&item| build.slot_of(item).put_on == PutOn::Loose) {
        let slot = build.item(item).pick.slot;
        let stopped = travel(build, case, item).is_some();
        ledger.add(build, fact(Demand::Kept(slot), vec![item], stopped));
    }
}
