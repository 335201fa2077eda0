//! Heights that are chosen, not given: is there one, whatever the real parts within tolerance are?
//!
//! Every condition on a chosen height is a bound from below or from above, a linear form. For given parts a
//! height exists when no lower bound exceeds an upper one; for all parts when that holds at worst case for
//! each pair. Must not mix that up with "for all heights".

use super::blame::{Slots, bit, met_by, sleeve as sleeve_slots, thread};
use super::build::Build;
use super::case::{Case, Decision};
use super::check_items::engagement_needed;
use super::given::Given;
use super::ledger::{CaseValue, Ledger, number};
use super::links::Screwed;
use super::meet::{Face, candidates, overlap};
use super::piece::Piece;
use super::report::{Demand, ItemIx};
use super::zone::{own_zone, zone};
use crate::quantity::{Form, Length};
use crate::rules::{Choice, End, PutOn, SlotIx};

/// A bound on the height of a chosen item's bottom.
#[derive(Clone, Debug)]
pub struct Bounding {
    pub item: ItemIx,
    pub form: Form,
    /// The height must be at least this, else at most.
    pub lower: bool,
    /// Comparisons on which it hangs that the faces behind it meet; empty: they surely do.
    pub open: Vec<Decision>,
    /// Slots of what it comes from, beside the item's own.
    pub with: Slots,
    /// Whose metal is in the way.
    pub met: Option<ItemIx>,
}

impl Bounding {
    pub fn lower(item: ItemIx, form: Form, with: Slots) -> Bounding {
        Bounding { item, form, lower: true, open: Vec::new(), with, met: None }
    }

    pub fn upper(item: ItemIx, form: Form, with: Slots) -> Bounding {
        Bounding { item, form, lower: false, open: Vec::new(), with, met: None }
    }
}

/// Why there is no height: slots of what two bounds come from that leave none between them.
#[derive(Clone, Copy, Debug)]
pub struct NoHeight {
    pub slot: SlotIx,
    /// In some real build.
    pub perhaps: Option<Slots>,
    /// In every real build of this case.
    pub surely: Option<Slots>,
}

/// Bounds of every chosen item in a case, those of the grips already among them.
pub fn bounds(build: &Build<'_>, case: &Case, pushed: &[ItemIx], bounding: &mut Vec<Bounding>) {
    for item in build.all() {
        let PutOn::Chosen(choice) = build.slot_of(item).put_on else { continue };
        depth(build, case, item, choice, bounding);
        metal(build, case, item, choice, pushed, bounding);
        for screw in build.links.screws.iter().filter(|s| s.matches) {
            engagement(build, case, item, screw, bounding);
        }
        overlaps(build, case, item, bounding);
        whole_wall(build, case, item, bounding);
    }
}

/// The check that a height exists, and the window. Returns where there is none.
pub fn exists(build: &Build<'_>, case: &Case, bounding: &[Bounding], ledger: &mut Ledger) -> Vec<NoHeight> {
    let mut none = Vec::new();
    let given = case.given(&build.dims);
    for item in build.all().filter(|&i| build.is_chosen(i)) {
        let mine = || bounding.iter().filter(|b| b.item == item);
        let mut rooms: Vec<super::push::Distance> = Vec::new();
        let slot = build.item(item).pick.slot;
        let mut no_height = NoHeight { slot, perhaps: None, surely: None };
        for upper in &tightest(build, mine().filter(|b| !b.lower), -1) {
            for lower in &tightest(build, mine().filter(|b| b.lower), 1) {
                let form = upper.form.minus(&lower.form);
                let mut open = upper.open.clone();
                open.extend(lower.open.iter().filter(|need| !upper.open.contains(need)).cloned());
                let with = Some(upper.with | lower.with).filter(|_| open.is_empty());
                let needed = 2 * by_hand(build, item);
                if with.is_some() && given.least(&form) < needed {
                    no_height.perhaps = no_height.perhaps.min(with).or(with);
                    if given.most(&form) < needed {
                        no_height.surely = no_height.surely.min(with).or(with);
                    }
                }
                rooms.push(super::push::Distance { form, open });
            }
        }
        none.push(no_height);
        let Some(value) = super::push::least_distance(build, case, &rooms) else { continue };
        let least = Some(2 * by_hand(build, item));
        ledger.add(build, number(Demand::Height(slot), vec![item], vec![], value, least, None));
    }
    none
}

/// How far off, either way, a hand may be that sets the item.
pub fn by_hand(build: &Build<'_>, item: ItemIx) -> i64 {
    match build.slot_of(item).put_on {
        PutOn::Chosen(choice) => choice.by_hand.as_nm(),
        _ => 0,
    }
}

/// Fins hold in a whole wall only: clear of any slit of what they are pressed into.
fn whole_wall(build: &Build<'_>, case: &Case, item: ItemIx, out: &mut Vec<Bounding>) {
    let Some(seated) = &build.item(item).seated else { return };
    let on = seated.on.0;
    let outside = is_outside(build, item, seated.surface);
    let (Some(base), Some(own)) = (build.bottom(case, on), own_zone(build, (item, seated.surface), !outside))
    else {
        return;
    };
    let with = bit(build.item(on).pick.slot);
    for cut in &build.item(on).cuts {
        if cut.to == build.item(on).height {
            out.push(Bounding::upper(item, base.plus(&cut.from).minus(&own.top), with));
        } else {
            out.push(Bounding::lower(item, base.plus(&cut.to).minus(&own.bottom), with));
        }
    }
}

fn is_outside(build: &Build<'_>, item: ItemIx, surface: &str) -> bool {
    build.item(item).columns.iter().flat_map(|c| &c.segments).any(|s| s.outside.surface == surface)
}

/// Bounds that some other sure bound does not always exceed; `sign` 1: the greatest count, -1: the least.
fn tightest<'b>(build: &Build<'_>, all: impl Iterator<Item = &'b Bounding>, sign: i64) -> Vec<&'b Bounding> {
    let ends = |b: &Bounding| {
        let (least, most) = (b.form.least(&build.dims), b.form.most(&build.dims));
        if sign > 0 { (least, most) } else { (-most, -least) }
    };
    let all: Vec<(&Bounding, (i64, i64))> = all.map(|b| (b, ends(b))).collect();
    let floor = all.iter().filter(|(b, _)| b.open.is_empty()).map(|(_, e)| e.0).max().unwrap_or(i64::MIN);
    let mut kept: Vec<&Bounding> = Vec::new();
    for (bounding, _) in all.iter().filter(|(_, e)| e.1 >= floor) {
        if !kept.iter().any(|k| k.form == bounding.form && k.open == bounding.open) {
            kept.push(bounding);
        }
    }
    kept
}

fn depth(build: &Build<'_>, case: &Case, item: ItemIx, choice: Choice, out: &mut Vec<Bounding>) {
    let (Some(into), Some(host)) = (choice.into, build.host(item)) else { return };
    let Some(base) = build.bottom(case, host) else { return };
    let least = choice.depth_least;
    let with = bit(build.item(host).pick.slot);
    match into {
        End::Top => {
            let flush = base.plus(&build.item(host).height).minus(&build.item(item).height);
            out.push(Bounding::upper(item, flush.clone().plus_length(-least), with));
            out.extend(choice.depth_most.map(|most| Bounding::lower(item, flush.plus_length(-most), with)));
        }
        End::Bottom => {
            out.push(Bounding::lower(item, base.clone().plus_length(least), with));
            out.extend(
                choice.depth_most.map(|most| Bounding::upper(item, base.clone().plus_length(most), with)),
            );
        }
    }
}

/// No metal of another part in the way; between what is pushed and what is fixed the closing gap stays.
fn metal(
    build: &Build<'_>,
    case: &Case,
    item: ItemIx,
    choice: Choice,
    pushed: &[ItemIx],
    out: &mut Vec<Bounding>,
) {
    let host = build.host(item);
    let gap = build.setting.rule.limits.gap_least;
    let fixed = super::push::fixed(build);
    for other in build.all().filter(|&o| o != item) {
        let Some(base) = build.bottom(case, other) else { continue };
        let below = match choice.into {
            Some(End::Top) => Some(other) == host,
            Some(End::Bottom) => Some(other) != host,
            None => build.slot_of(other).order < build.slot_of(item).order,
        };
        let moves = |i: ItemIx| pushed.contains(&i);
        let stands = |i: ItemIx| fixed.contains(&i);
        let closing = match host {
            Some(host) if Some(other) != Some(host) => {
                (stands(host) && moves(other)) || (moves(host) && stands(other))
            }
            _ => false,
        };
        let (rule, own) = (build.setting.rule, build.item(item).pick.slot);
        let mut with = met_by(rule, own, build.item(other).pick.slot);
        // A bolt that meets its nut by its shank can be turned no further: what it must keep to spare it keeps there, too.
        let mut spare = if closing { gap } else { Length::ZERO };
        if let Some(screw) = screwed_to(build, item, other)
            && let Some(travel) = rule.threads[screw.pair as usize].spare_least
        {
            spare = spare.max(travel);
            with |= thread(rule, screw.pair);
        }
        if closing {
            // Whether the gap is to be kept there hangs on what is pushed, and on what.
            with |= bit(rule.pulled) | host.map_or(0, |host| bit(build.item(host).pick.slot));
        }
        for (height, open) in touching(build, case, item, other, below) {
            let form = if below {
                base.plus(&height).plus_length(spare)
            } else {
                base.minus(&height).plus_length(-spare)
            };
            out.push(Bounding { item, form, lower: below, open, with, met: Some(other) });
        }
    }
}

fn screwed_to<'b>(build: &'b Build<'_>, item: ItemIx, other: ItemIx) -> Option<&'b Screwed> {
    let both = |s: &&Screwed| [(s.male.0, s.female.0), (s.female.0, s.male.0)].contains(&(item, other));
    build.links.screws.iter().filter(|s| s.matches).find(both)
}

/// Heights at which the upper of the two meets the lower: upper's bottom above lower's bottom.
fn touching(
    build: &Build<'_>,
    case: &Case,
    item: ItemIx,
    other: ItemIx,
    other_below: bool,
) -> Vec<(Form, Vec<Decision>)> {
    let (lower, upper) = if other_below { (other, item) } else { (item, other) };
    let mut found = Vec::new();
    let (tops, bottoms): (&[Piece], &[Piece]) = (&build.item(lower).tops, &build.item(upper).bottoms);
    for over in tops {
        for under in bottoms {
            let (a, b) = (Face { item: lower, piece: over }, Face { item: upper, piece: under });
            let Some(needs) = overlap(a, b, build, &build.dims) else { continue };
            let mut landings = Vec::new();
            candidates(a, b.piece, needs, &build.dims, &mut landings);
            for landing in landings {
                if let Some(open) = case.left_open(&landing.needs, &build.dims) {
                    found.push((landing.height, open));
                }
            }
        }
    }
    found
}

fn engagement(build: &Build<'_>, case: &Case, item: ItemIx, screw: &Screwed, out: &mut Vec<Bounding>) {
    let Some(needed) = engagement_needed(build, screw).map(Length::nm) else { return };
    let (own, other, own_is_female) = if screw.female.0 == item {
        (screw.female, screw.male, true)
    } else if screw.male.0 == item {
        (screw.male, screw.female, false)
    } else {
        return;
    };
    let (Some(own), Some(other)) =
        (own_zone(build, own, own_is_female), zone(build, case, other, !own_is_female))
    else {
        return;
    };
    let with = thread(build.setting.rule, screw.pair);
    // own top + h - other bottom >= needed; other top - (h + own bottom) >= needed
    out.push(Bounding::lower(item, other.bottom.minus(&own.top).plus_length(needed), with));
    out.push(Bounding::upper(item, other.top.minus(&own.bottom).plus_length(-needed), with));
}

/// Overlap that a sleeve asks of a chosen part.
fn overlaps(build: &Build<'_>, case: &Case, item: ItemIx, out: &mut Vec<Bounding>) {
    for sleeve in &build.links.sleeves {
        let Some(least) = build.setting.rule.sleeves[sleeve.sleeve as usize].overlap_least else { continue };
        let (own, other, own_bore) = if sleeve.outer.0 == item {
            (sleeve.outer, sleeve.inner, true)
        } else if sleeve.inner.0 == item {
            (sleeve.inner, sleeve.outer, false)
        } else {
            continue;
        };
        let zones = (own_zone(build, own, own_bore), zone(build, case, other, !own_bore));
        let with = sleeve_slots(build.setting.rule, sleeve.sleeve);
        let (Some(own), Some(other)) = zones else { continue };
        out.push(Bounding::lower(item, other.bottom.minus(&own.top).plus_length(least), with));
        out.push(Bounding::upper(item, other.top.minus(&own.bottom).plus_length(-least), with));
    }
}

/// Distances of the foot above the face that carries the item let down all the way, nanometres: each serves in every real
/// build. `None` where what bounds it below is no part that may carry it, or not sure to be there.
pub fn above_carrier(build: &Build<'_>, item: ItemIx, bounding: &[Bounding]) -> Option<(ItemIx, i64, i64)> {
    let mine = |lower: bool| bounding.iter().filter(move |b| b.item == item && b.lower == lower);
    let face = mine(true).max_by_key(|b| b.form.nominal(&build.dims))?;
    let carrier = face.met?;
    if !build.slot_of(item).rests_on.contains(&build.item(carrier).pick.slot) || !face.open.is_empty() {
        return None;
    }
    // From case to case it may be another face: it serves above each of them.
    let carries = |b: &&Bounding| {
        b.met == Some(carrier) && (b.form == face.form || b.form.minus(&face.form).most(&build.dims) > 0)
    };
    let faces: Vec<&Form> = mine(true).filter(carries).map(|b| &b.form).collect();
    let from_faces = |form: &Form| faces.iter().map(|face| form.minus(face)).collect::<Vec<Form>>();
    let least = mine(true).flat_map(|b| from_faces(&b.form)).map(|over| over.most(&build.dims)).max()?;
    let most = mine(false).flat_map(|b| from_faces(&b.form)).map(|over| over.least(&build.dims)).min()?;
    let by_hand = by_hand(build, item);
    Some((carrier, least + by_hand, most - by_hand))
}

/// Bounds that hold in every case: the window inside which any height serves, and where the item stands.
pub struct Stands {
    pub lowest: i64,
    pub highest: i64,
    /// As placed: a clamp as low as it goes, a nut in the middle of its window.
    pub height: CaseValue,
}

pub fn stands(build: &Build<'_>, item: ItemIx, bounding: &[Bounding]) -> Option<Stands> {
    let forms = |lower: bool| -> Vec<Form> {
        bounding.iter().filter(|b| b.item == item && b.lower == lower).map(|b| b.form.clone()).collect()
    };
    let low = CaseValue::greatest_of(&forms(true), Given::any(&build.dims));
    let high = CaseValue::least_of(&forms(false), Given::any(&build.dims));
    let (in_host, by_hand) = (build.host(item).is_some(), by_hand(build, item));
    match (low, high) {
        (Some(low), Some(high)) => {
            let height = if in_host {
                CaseValue {
                    nominal: (low.nominal + high.nominal).div_euclid(2),
                    least: low.least.min(high.least),
                    most: high.most.max(low.most),
                    form: None,
                }
            } else {
                low.clone()
            };
            Some(Stands { lowest: low.most + by_hand, highest: high.least - by_hand, height })
        }
        (Some(low), None) => Some(Stands { lowest: low.most, highest: super::ledger::FAR, height: low }),
        (None, Some(high)) => Some(Stands { lowest: -super::ledger::FAR, highest: high.least, height: high }),
        (None, None) => None,
    }
}
