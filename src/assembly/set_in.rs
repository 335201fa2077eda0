//! What a hand sets into its host at a depth: from where to where it may sit, and what that leaves of the thread it holds.
//! Must not judge whether there is such a depth.

use super::build::Build;
use super::case::Case;
use super::choose::{Bounding, by_hand};
use super::ledger::CaseValue;
use super::links::{Screwed, WallOf};
use super::report::ItemIx;
use super::zone::{common, own_zone, top_of, zone};
use crate::quantity::{Form, Length};
use crate::rules::{End, PutOn};

/// The end of the host by which it goes in, and the item's foot there with its near face level with that end.
fn level(build: &Build<'_>, case: &Case, item: ItemIx) -> Option<(End, Form)> {
    let PutOn::Chosen(choice) = build.slot_of(item).put_on else { return None };
    let (into, host) = (choice.into?, build.host(item)?);
    let foot = match into {
        End::Top => top_of(build, case, host)?.minus(&build.item(item).height),
        End::Bottom => build.bottom(case, host)?.clone(),
    };
    Some((into, foot))
}

/// The foot of an item that sits so deep.
fn at_depth(build: &Build<'_>, case: &Case, item: ItemIx, depth: i64) -> Option<Form> {
    let (into, level) = level(build, case, item)?;
    Some(level.plus_length(Length::nm(if into == End::Top { -depth } else { depth })))
}

/// Depths of the near face inside the host's end, nanometres, at which to aim: each serves in every real build, and so does
/// what a hand may be off.
pub fn depth(build: &Build<'_>, item: ItemIx, bounding: &[Bounding]) -> Option<(i64, i64)> {
    let (into, level) = level(build, build.cases.first()?, item)?;
    let mine = || bounding.iter().filter(|b| b.item == item);
    let from_end = |form: &Form| match into {
        End::Top => level.minus(form),
        End::Bottom => form.minus(&level),
    };
    let deepest_is_lower = into == End::Top;
    let least =
        mine().filter(|b| b.lower != deepest_is_lower).map(|b| from_end(&b.form).most(&build.dims)).max()?;
    let most =
        mine().filter(|b| b.lower == deepest_is_lower).map(|b| from_end(&b.form).least(&build.dims)).min()?;
    let by_hand = by_hand(build, item);
    Some((least + by_hand, most - by_hand))
}

/// The foot, at nominal sizes, of an item in the middle of its depths; `None` where no depth serves in every build.
pub fn aimed_at(build: &Build<'_>, item: ItemIx, bounding: &[Bounding]) -> Option<i64> {
    let (least, most) = depth(build, item, bounding).filter(|(least, most)| least <= most)?;
    let foot = at_depth(build, build.cases.first()?, item, (least + most).div_euclid(2))?;
    Some(foot.nominal(&build.dims))
}

/// The least thread that is engaged wherever a hand may set the one of the two that is set in. `None`: neither is, or there
/// is no depth that serves in every build.
pub fn engaged(build: &Build<'_>, case: &Case, screw: &Screwed, bounding: &[Bounding]) -> Option<CaseValue> {
    let item = [screw.male.0, screw.female.0].into_iter().find(|&item| build.is_chosen(item))?;
    let (least, most) = depth(build, item, bounding).filter(|(least, most)| least <= most)?;
    let by_hand = by_hand(build, item);
    let mut lengths = Vec::new();
    for depth in [least - by_hand, most + by_hand] {
        let foot = at_depth(build, case, item, depth)?;
        let of = |wall: WallOf, bore: bool| match wall.0 == item {
            true => Some(own_zone(build, wall, bore)?.above(&foot)),
            false => zone(build, case, wall, bore),
        };
        lengths.extend(common(&[of(screw.male, false)?, of(screw.female, true)?]));
    }
    CaseValue::least_of(&lengths, case.given(&build.dims))
}
