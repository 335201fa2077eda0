//! Over which heights a wall runs, and how far two zones overlap. Must not know limits.

use super::build::Build;
use super::case::Case;
use super::links::WallOf;
use super::report::ItemIx;
use crate::quantity::Form;
use crate::rules::PutOn;

/// From a height to a height.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    pub bottom: Form,
    pub top: Form,
    /// Of what lies loose the zone is where the wall is wherever it lies: whose wall, and how far it can rise.
    rises: Option<(ItemIx, Form)>,
}

impl Zone {
    pub fn above(&self, base: &Form) -> Zone {
        Zone { bottom: self.bottom.plus(base), top: self.top.plus(base), rises: self.rises.clone() }
    }
}

/// The wall's zone from the part's own bottom: from the lowest to the highest segment that carries it.
pub fn own_zone(build: &Build<'_>, wall: WallOf, bore: bool) -> Option<Zone> {
    let mut found: Option<Zone> = None;
    for column in &build.item(wall.0).columns {
        let mut bottom = column.start.clone();
        for segment in &column.segments {
            let top = bottom.plus(&segment.length);
            let side = if bore { &segment.bore } else { &segment.outside };
            if side.surface == wall.1 {
                found = Some(match found {
                    None => Zone { bottom, top: top.clone(), rises: None },
                    Some(zone) => wider(build, zone, (&bottom, &top)),
                });
            }
            bottom = top;
        }
    }
    found
}

/// Of several columns none needs to be the lowest: only what surely lies further out counts.
fn wider(build: &Build<'_>, zone: Zone, (bottom, top): (&Form, &Form)) -> Zone {
    let lower = bottom.minus(&zone.bottom).most(&build.dims) < 0;
    let higher = top.minus(&zone.top).least(&build.dims) > 0;
    Zone {
        bottom: if lower { bottom.clone() } else { zone.bottom },
        top: if higher { top.clone() } else { zone.top },
        rises: zone.rises,
    }
}

/// The wall's zone in the stack; `None` where the item has no height of its own (chosen) or nothing beneath. Of what lies
/// loose only what of the wall is there wherever it lies.
pub fn zone(build: &Build<'_>, case: &Case, wall: WallOf, bore: bool) -> Option<Zone> {
    let mut zone = own_zone(build, wall, bore)?.above(build.bottom(case, wall.0)?);
    if build.slot_of(wall.0).put_on == PutOn::Loose
        && let Some(travel) = super::loose::travel(build, case, wall.0)
    {
        zone.bottom = zone.bottom.plus(&travel);
        zone.rises = Some((wall.0, travel));
    }
    Some(zone)
}

/// Top of an item in the stack.
pub fn top_of(build: &Build<'_>, case: &Case, item: ItemIx) -> Option<Form> {
    Some(build.bottom(case, item)?.plus(&build.item(item).height))
}

/// All the differences whose least is the length common to all the zones, wherever lies what is loose.
pub fn common(zones: &[Zone]) -> Vec<Form> {
    zones.iter().flat_map(|a| zones.iter().map(move |b| top_over_bottom(a, b))).collect()
}

fn top_over_bottom(a: &Zone, b: &Zone) -> Form {
    let length = a.top.minus(&b.bottom);
    match (&a.rises, &b.rises) {
        // Its top and its bottom rise together.
        (Some((one, rise)), Some((other, _))) if one == other => length.plus(rise),
        _ => length,
    }
}
