//! Where an item comes to stand, as a figure: the highest meeting of its underside with the pile.
//!
//! Must not know what the landing is good for.

use super::between::Standing;
use super::figure::{BUILDS, Figure, ROUNDING};
use super::ready::{Edge, Face, NameIx};
use super::{Glance, Seated, Touch};
use crate::assembly::piece::Lie;
use crate::assembly::report::Contact;
use smallvec::SmallVec;

/// In which builds two faces have a diameter in common; surely, when in every real build.
#[derive(Clone, Copy, Debug)]
pub struct Common {
    pub builds: [bool; BUILDS],
    pub sure: bool,
}

/// Two faces that may meet, and the upper one's item's bottom above the lower one's item's bottom then.
#[derive(Clone, Copy, Debug)]
pub struct Meeting {
    pub common: Common,
    pub height: Figure,
    pub contact: Contact,
    /// How wide they lie on each other in the middle, both sides of the axis together.
    pub width: Figure,
}

/// `over` of a lower item meets `under` of an upper one; `None`: never.
pub fn meeting(
    glance: &Glance<'_>,
    (lower, over): (u8, &Face),
    (upper, under): (u8, &Face),
) -> Option<Meeting> {
    let mut common = Common { builds: [true; BUILDS], sure: true };
    covers(glance, (lower, &over.inner), (upper, &under.outer), &mut common)?;
    covers(glance, (upper, &under.inner), (lower, &over.outer), &mut common)?;
    Some(met(over, under, common))
}

/// The same for two faces of which nothing is known but their sizes; a male thread counts at its root, the less.
/// With it, in which builds they surely meet; in the others of `common` they may.
pub fn meeting_of(over: &Face, under: &Face) -> Option<(Meeting, [bool; BUILDS])> {
    let mut common = Common { builds: [true; BUILDS], sure: true };
    let mut surely = [true; BUILDS];
    for (lo, hi) in [(&over.inner, &under.outer), (&under.inner, &over.outer)] {
        if lo.diameter.least >= hi.diameter.most {
            return None;
        }
        let least = hi.root.map_or(hi.diameter, |r| r.lower(hi.diameter));
        common.sure &= lo.diameter.most < least.least;
        for (build, surely) in surely.iter_mut().enumerate() {
            common.builds[build] &= lo.diameter.at[build] < hi.diameter.at[build];
            *surely &= lo.diameter.at[build] < least.at[build];
        }
    }
    Some((met(over, under, common), surely))
}

fn met(over: &Face, under: &Face, common: Common) -> Meeting {
    let contact = match (over.lie, under.lie) {
        (Lie::Flat, Lie::Flat) => Contact::Flat,
        (a, b) if a == b => Contact::Cone,
        _ => Contact::Edge,
    };
    let slope = over.slope - under.slope;
    let apart = over.line.minus(under.line);
    // Cones of one angle are as far apart at any diameter.
    let height = match slope.signum() {
        0 => apart,
        1 => apart.plus(over.outer.diameter.lower(under.outer.diameter).times(slope)),
        _ => apart.plus(over.inner.diameter.higher(under.inner.diameter).times(slope)),
    };
    let slack = over.inexact + under.inexact;
    let height = Figure { least: height.least - slack, most: height.most + slack, ..height };
    let width = over
        .outer
        .diameter
        .lower(under.outer.diameter)
        .minus(over.inner.diameter.higher(under.inner.diameter));
    Meeting { common, height, contact, width }
}

/// Narrows down where the inner edge lies inside the outer one; `None`: nowhere.
fn covers(glance: &Glance<'_>, inner: (u8, &Edge), outer: (u8, &Edge), common: &mut Common) -> Option<()> {
    let (lo, hi) = (inner.1, outer.1);
    if lo.diameter.least >= hi.diameter.most {
        return None;
    }
    if took(glance, (inner.0, lo), (outer.0, hi)) || took(glance, (outer.0, hi), (inner.0, lo)) {
        return None;
    }
    let mut outside = hi.diameter;
    if lo.bore && !hi.bore {
        if let Some(root) = hi.root.filter(|_| glance.screwed((inner.0, lo.surface), (outer.0, hi.surface))) {
            outside = root;
        } else if let Some(sleeve) = glance.sleeve_between((inner.0, lo.surface), (outer.0, hi.surface)) {
            let sleeve = &glance.lists.sleeves[sleeve];
            let stops = sleeve.clearance_asked && lo.diameter.most + sleeve.springs < hi.diameter.least;
            return stops.then_some(());
        }
    }
    if lo.diameter.least >= outside.most {
        return None;
    }
    common.sure &= lo.diameter.most < outside.least;
    for build in 0..BUILDS {
        common.builds[build] &= lo.diameter.at[build] < outside.at[build];
    }
    Some(())
}

/// The one wall took the other's diameter: they are the same, and neither lies inside the other.
fn took(glance: &Glance<'_>, own: (u8, &Edge), seat: (u8, &Edge)) -> bool {
    glance.items[own.0 as usize].seated.is_some_and(|s| took_of(s, seat.0, own.1, seat.1))
}

/// The same of a part that is seated so.
pub fn took_of(seated: Seated, on: u8, own: &Edge, seat: &Edge) -> bool {
    own.bore != seat.bore && seated.on == on && seated.own == own.surface && seated.seat == seat.surface
}

/// What a drop came to.
#[derive(Clone, Debug, Default)]
pub struct Landing {
    pub bottom: Option<Figure>,
    /// Where it stands on one item only, whatever the sizes.
    pub on: Option<Standing>,
    /// All that it may touch.
    pub touches: SmallVec<[Touch; 8]>,
    /// It lands in every one of the builds.
    pub everywhere: bool,
}

struct Candidate {
    height: Figure,
    /// The same above the other item's bottom.
    above: Figure,
    common: Common,
    touch: Touch,
}

pub fn land(glance: &Glance<'_>, index: u8, from_below: bool) -> Landing {
    let mut candidates: SmallVec<[Candidate; 16]> = SmallVec::new();
    let mut floor = i64::MIN;
    for pile in (0..index).rev() {
        let Some(base) = glance.bottom(pile) else { continue };
        meet_item(glance, (pile, base), index, from_below, &mut floor, &mut candidates);
    }
    settle(glance, &candidates, from_below)
}

fn meet_item(
    glance: &Glance<'_>,
    (pile, base): (u8, Figure),
    own: u8,
    from_below: bool,
    floor: &mut i64,
    out: &mut SmallVec<[Candidate; 16]>,
) {
    let (pile_ready, own_ready) = (&glance.items[pile as usize].ready, &glance.items[own as usize].ready);
    let (overs, unders) = if from_below {
        (&pile_ready.bottoms, &own_ready.tops)
    } else {
        (&pile_ready.tops, &own_ready.bottoms)
    };
    for over in overs {
        for under in unders {
            let apart = over.inner.diameter.least >= under.outer.diameter.most
                || under.inner.diameter.least >= over.outer.diameter.most;
            let most = if from_below {
                -base.least - over.lowest + under.highest
            } else {
                base.most + over.highest - under.lowest
            };
            if apart || most < *floor {
                continue;
            }
            // From below it is the same with the axis turned: the pile's face is then the upper one.
            let met = if from_below {
                meeting(glance, (own, under), (pile, over))
            } else {
                meeting(glance, (pile, over), (own, under))
            };
            let Some(met) = met else { continue };
            // Heights are of the item's bottom, from below counted downward.
            let height = if from_below { met.height.minus(base) } else { base.plus(met.height) };
            if met.common.sure {
                *floor = (*floor).max(height.least);
            }
            let touch = Touch {
                item: pile,
                column: over.column,
                own_column: under.column,
                contact: met.contact,
                width: met.width,
                builds: 0,
                // From below the other is the upper one.
                over: (met.common.sure && !from_below).then_some(met.height.least),
            };
            out.push(Candidate { height, above: met.height, common: met.common, touch });
        }
    }
}

fn settle(glance: &Glance<'_>, candidates: &[Candidate], from_below: bool) -> Landing {
    let Some(most) = candidates.iter().map(|c| c.height.most).max() else { return Landing::default() };
    let sure = candidates.iter().filter(|c| c.common.sure).map(|c| c.height.least).max();
    let least = sure.or_else(|| candidates.iter().map(|c| c.height.least).min()).unwrap_or(most);
    let mut at = [i64::MIN; BUILDS];
    for candidate in candidates {
        for (build, height) in at.iter_mut().enumerate() {
            if candidate.common.builds[build] {
                *height = (*height).max(candidate.height.at[build]);
            }
        }
    }
    let everywhere = !at.contains(&i64::MIN);
    let mut touches: SmallVec<[Touch; 8]> = SmallVec::new();
    let touching =
        |c: &&Candidate| c.height.most >= least && (from_below || !is_below_another(glance, c, candidates));
    for candidate in candidates.iter().filter(touching) {
        let mut touch = candidate.touch;
        for (build, height) in at.iter().enumerate() {
            if candidate.common.builds[build] && candidate.height.at[build] >= *height - ROUNDING {
                touch.builds |= 1 << build;
            }
        }
        touches.push(touch);
    }
    let at = at.map(|height| if height == i64::MIN { most } else { height });
    let bottom = Figure { at, least, most };
    let on = touches.first().filter(|_| !from_below && everywhere).map(|touch| touch.item);
    let on = on.filter(|item| touches.iter().all(|touch| touch.item == *item));
    let on = on.and_then(|item| {
        let there = || candidates.iter().filter(|c| c.touch.item == item);
        let most = there().map(|c| c.above.most).max()?;
        let least = there().filter(|c| c.common.sure).map(|c| c.above.least).max()?;
        let base = glance.bottom(item)?;
        let above = [0, 1, 2].map(|build: usize| bottom.at[build] - base.at[build]);
        Some((item, Figure { at: above, least, most }))
    });
    Landing { on, bottom: Some(if from_below { bottom.negated() } else { bottom }), touches, everywhere }
}

/// Surely lower than where another one meets for certain, whatever lies below both.
fn is_below_another(glance: &Glance<'_>, one: &Candidate, candidates: &[Candidate]) -> bool {
    let higher = |other: &Candidate| {
        let (upper, lower) = (other.touch.item, one.touch.item);
        let over =
            glance.items[upper as usize].touches.iter().filter(|t| t.item == lower).filter_map(|t| t.over);
        let over = over.max().is_some_and(|over| over + other.above.least > one.above.most);
        let between = || glance.between(upper, lower);
        over || between().is_some_and(|between| between.plus(other.above).minus(one.above).least > 0)
    };
    let mut others = candidates.iter().filter(|c| c.common.sure && c.touch.item != one.touch.item);
    others.any(higher)
}

/// The name of a column as a rule gives it.
pub fn is_column(name: Option<NameIx>, column: NameIx) -> bool {
    name.is_none_or(|n| n == column)
}
