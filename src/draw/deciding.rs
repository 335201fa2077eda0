//! The sizes that decide whether a stack holds, and where in the section each of them is seen: closing gap, smallest
//! clearance, thread engagement. Draws nothing; must not judge.

use super::DrawInput;
use super::contact::{Contact, contacts};
use super::detail::{Spot, Way};
use super::piece::Window;
use super::scene::pt;
use super::solid::{Ring, Solid};
use crate::assembly::{Check, Demand, ItemIx, Placed, Stack};
use crate::catalogue::Catalogue;
use crate::kinds::Known;
use crate::quantity::Ends;

/// Indices into [`Stack::checks`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Deciding {
    pub gap: Option<usize>,
    /// Of all sleeves over what they slide over, the one with the least that can be left between them.
    pub clearance: Option<usize>,
    /// Of all screwed pairs, the one with the least to spare against what it needs.
    pub engagement: Option<usize>,
    /// Of the compression ring in its bearing.
    pub ring_seat: Option<usize>,
    /// Of all seats on a shelf inside a clamp, the narrowest.
    pub shelf: Option<usize>,
}

pub fn deciding(stack: &Stack, catalogue: &Catalogue) -> Deciding {
    let valued = || stack.checks.iter().enumerate().filter_map(|(i, c)| Some((i, c, c.value.as_ref()?)));
    let least = |wanted: fn(Demand) -> bool, rank: fn(&Check, i64) -> i64| {
        let of_kind = valued().filter(|(_, c, v)| wanted(c.demand) && v.nominal > 0);
        of_kind.min_by_key(|(_, c, v)| rank(c, v.least)).map(|(i, ..)| i)
    };
    Deciding {
        gap: valued().find(|(_, c, _)| c.demand == Demand::GapLeast).map(|(i, ..)| i),
        clearance: least(|d| matches!(d, Demand::SleeveClearance(_)), |_, least| least),
        engagement: least(
            |d| matches!(d, Demand::Engagement(_)),
            |check, least| least - check.least.unwrap_or(0),
        ),
        ring_seat: seat(stack, |item| is(stack, catalogue, item, Known::Wedge)),
        shelf: seat(stack, |item| on_a_shelf(stack, catalogue, item)),
    }
}

fn is(stack: &Stack, catalogue: &Catalogue, item: ItemIx, known: Known) -> bool {
    stack.items.get(item.0 as usize).is_some_and(|placed| catalogue.part_of(placed.variant).is(known))
}

/// The narrowest seat of the items asked for.
fn seat(stack: &Stack, wanted: impl Fn(ItemIx) -> bool) -> Option<usize> {
    let seats = stack.checks.iter().enumerate().filter_map(|(index, check)| {
        let of_wanted =
            matches!(check.demand, Demand::Seat(_)) && check.about.first().is_some_and(|&i| wanted(i));
        Some((index, check.value.as_ref()?.least)).filter(|_| of_wanted)
    });
    seats.min_by_key(|&(_, least)| least).map(|(index, _)| index)
}

/// It rests on a clamp, lower than that clamp's own top.
fn on_a_shelf(stack: &Stack, catalogue: &Catalogue, item: ItemIx) -> bool {
    let ends: Vec<Ends> = stack.dims.iter().map(|d| d.ends).collect();
    let bottom = |placed: &Placed| placed.landing.as_ref().map(|l| l.nominal);
    let Some(own) = stack.items.get(item.0 as usize) else { return false };
    own.rests_on.iter().any(|support| {
        let under = stack.items.get(support.item.0 as usize);
        let top = under.and_then(|u| Some(bottom(u)? + u.height.nominal(&ends)));
        is(stack, catalogue, support.item, Known::Clamp)
            && top.zip(bottom(own)).is_some_and(|(top, bottom)| bottom < top)
    })
}

/// A place counts as the one that was checked when it is as large to within this. Millimetres.
const SAME: f64 = 0.02;
/// An upright size longer than this can be seen as it is and would not fit a detail: it is dimensioned in the section.
/// Millimetres.
pub(super) const LONGEST: f64 = 16.0;
/// Of a line in the section from the wall beside it, and what the axis takes. Millimetres.
const FROM_WALL: f64 = 1.5;
const AXIS: f64 = 1.0;
/// Two faces that touch are not magnified more than this: there is no more to see.
const TOUCHING: f64 = 5.0;

/// For each size that has words and is found among the faces: where, how large, and what is told of it.
pub(super) fn spots<'a>(input: &DrawInput<'a>, solids: &[Solid], window: Window) -> Vec<Spot<'a>> {
    let sizes = deciding(input.stack, input.catalogue);
    let words = input.words;
    let found = |check: Option<usize>, told: &str| {
        let check = check.and_then(|i| input.stack.checks.get(i)).filter(|_| !told.is_empty())?;
        Some((check, check.value.as_ref()?.nominal as f64 / 1e6))
    };
    let gap = found(sizes.gap, words.gap).and_then(|(_, value)| closing_gap(input, solids, value, window));
    let gap = gap.map(|spot| Spot { words: words.gap, ..spot });
    let clearance = found(sizes.clearance, words.clearance);
    let clearance = clearance.and_then(|(check, value)| sleeve(check, solids, value, window));
    let clearance = clearance.map(|spot| Spot { words: words.clearance, ..spot });
    let engaged = found(sizes.engagement, words.engagement);
    let engaged = engaged.and_then(|(check, value)| engaged_thread(check, solids, value, (input, window)));
    let engaged = engaged.map(|spot| Spot { words: words.engagement, ..spot });
    let seat = |check: Option<usize>, what: &'static str, told: &'a str| {
        let (check, value) = found(check, told)?;
        Some(Spot { words: told, ..seat_spot(input, check, solids, value, what, window)? })
    };
    let ring = seat(sizes.ring_seat, "ring-seat", words.ring_seat);
    let shelf = seat(sizes.shelf, "shelf", words.shelf);
    gap.into_iter().chain(clearance).chain(engaged).chain(ring).chain(shelf).collect()
}

/// A checked seat is as narrow as it gets when parts stand off centre; drawn, they stand in the middle, and it may be
/// wider by as much. Millimetres.
const OFF_CENTRE: f64 = 1.0;

/// Where the part of a seat's check touches what it rests on.
fn seat_spot<'a>(
    input: &DrawInput,
    check: &Check,
    solids: &[Solid],
    value: f64,
    what: &'static str,
    window: Window,
) -> Option<Spot<'a>> {
    let item = *check.about.first()?;
    let find = |item: ItemIx| solids.iter().find(|s| s.item == item);
    let (upper, placed) = (find(item)?, input.stack.items.get(item.0 as usize)?);
    let lower = placed.rests_on.iter().filter_map(|support| find(support.item));
    let seats = lower.flat_map(|lower| contacts(upper, lower));
    let fits = |c: &Contact| c.width() > value - SAME && c.width() < value + OFF_CENTRE;
    let inside = |c: &Contact| c.middle().y > window.low && c.middle().y < window.high;
    let seat = seats.filter(|c| fits(c) && inside(c)).min_by(|a, b| a.width().total_cmp(&b.width()))?;
    let rise = seat.outer.y - seat.inner.y;
    Some(Spot { way: Way::Level, beside: true, rise, ..Spot::new(what, seat.middle(), seat.width()) })
}

fn spot<'a>(size: &'static str, radius: f64, low: f64, high: f64) -> Spot<'a> {
    let middle = pt(-radius, (low + high) / 2.0);
    Spot { way: Way::Upright, ..Spot::new(size, middle, high - low) }
}

/// Two level faces that come together: the pair as far apart as the checked value says, a pushed part above a part
/// of the fork. None at all is left between them where they touch; it is less than none where metal is in the same place.
fn closing_gap<'a>(input: &DrawInput, solids: &[Solid], value: f64, window: Window) -> Option<Spot<'a>> {
    let pushed = &input.stack.pushed;
    let (fixed, others): (Vec<&Solid>, Vec<&Solid>) = solids.iter().partition(|s| with_fork(input, s.item));
    let moving = others.into_iter().filter(|s| pushed.is_empty() || pushed.contains(&s.item));
    let pairs = moving.flat_map(|m| fixed.iter().flat_map(move |f| gaps(m, f)));
    let off = |g: &(f64, f64, f64)| ((g.1 - g.0) - value).abs();
    let seen = |g: &(f64, f64, f64)| g.0.min(g.1) >= window.low && g.0.max(g.1) <= window.high;
    let near = pairs.filter(|g| off(g) < SAME && seen(g)).min_by(|a, b| off(a).total_cmp(&off(b)))?;
    let found = spot("closing-gap", near.2, near.0.min(near.1), near.0.max(near.1));
    Some(match value {
        _ if value > LONGEST => in_the_open(found, solids),
        // Nothing can be put between: its line stands where there is room.
        _ if value < SAME => Spot { beside: true, most_times: TOUCHING, ..found },
        _ => found,
    })
}

/// The dimension line stands where no metal is beside it all the way, if not between the faces themselves: in the
/// widest room of the section, at its outer wall.
pub(super) fn in_the_open<'a>(spot: Spot<'a>, solids: &[Solid]) -> Spot<'a> {
    let (low, high) = (spot.focus.y - spot.size / 2.0, spot.focus.y + spot.size / 2.0);
    let metal = solids.iter().flat_map(Solid::rings).filter_map(|r| r.cut(low + SAME, high - SAME));
    let mut walls: Vec<(f64, f64)> = metal.map(|r| (r.narrowest(), r.widest())).collect();
    walls.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut inner, mut widest) = (AXIS, (0.0, -spot.focus.x));
    for (from, to) in walls {
        if from - inner > widest.0 {
            widest = (from - inner, from - (0.16 * (from - inner)).min(FROM_WALL));
        }
        inner = f64::max(inner, to);
    }
    Spot { in_figure: Some(spot.focus.x), focus: pt(-widest.1, spot.focus.y), ..spot }
}

/// The fork and what rides with it.
fn with_fork(input: &DrawInput, item: ItemIx) -> bool {
    let host = input.stack.items.get(item.0 as usize).and_then(|p| p.rides_with);
    item == ItemIx(0) || host == Some(ItemIx(0))
}

/// Level faces of the moving part above level faces of the fixed one, and a radius at which both have metal.
fn gaps(moving: &Solid, fixed: &Solid) -> Vec<(f64, f64, f64)> {
    let mut found = Vec::new();
    for above in moving.rings() {
        for below in fixed.rings() {
            let inner = above.bore[0].max(below.bore[1]);
            let outer = above.outside[0].min(below.outside[1]);
            if outer - inner > 0.05 {
                found.push((below.top, above.bottom, (inner + outer) / 2.0));
            }
        }
    }
    found
}

/// Outer and inner part of a check about two walls.
fn both<'s>(check: &Check, solids: &'s [Solid]) -> Option<(&'s Solid, &'s Solid)> {
    let find = |item: ItemIx| solids.iter().find(|s| s.item == item);
    Some((find(*check.about.first()?)?, find(*check.about.get(1)?)?))
}

/// Pairs of rings along each other inside the window: low, high, and the two rings.
fn along<'s>(
    a: &'s Solid,
    b: &'s Solid,
    window: Window,
) -> impl Iterator<Item = (f64, f64, &'s Ring, &'s Ring)> {
    let pairs = a.rings().flat_map(move |p| b.rings().map(move |q| (p, q)));
    pairs.filter_map(move |(p, q)| {
        let (low, high) = (p.bottom.max(q.bottom).max(window.low), p.top.min(q.top).min(window.high));
        (high - low > 0.1).then_some((low, high, p, q))
    })
}

/// Between the two walls whose diameters differ by the checked value, where they lie along each other longest.
fn sleeve<'a>(check: &Check, solids: &[Solid], value: f64, window: Window) -> Option<Spot<'a>> {
    let (outer, inner) = both(check, solids)?;
    let walls = along(outer, inner, window).filter_map(|(low, high, p, q)| {
        let middle = (low + high) / 2.0;
        let (bore, outside) = (p.bore_at(middle), q.outside_at(middle));
        let same = (2.0 * (bore - outside) - value).abs() < SAME;
        same.then_some((high - low, middle, outside, bore))
    });
    let longest = walls.max_by(|a, b| a.0.total_cmp(&b.0))?;
    let (_, height, outside, bore) = longest;
    let at = pt(-(outside + bore) / 2.0, height);
    Some(Spot { way: Way::Level, ..Spot::new("clearance", at, bore - outside) })
}

/// How far the drawn thread may differ from the checked value. Millimetres.
const ALIKE: f64 = 0.6;

/// Where male and female thread lie along each other, if that is as long as the checked value. A part whose height is
/// chosen is drawn in the middle of its window, and what is checked is the most that it can engage: there the length
/// as drawn is told.
fn engaged_thread<'a>(
    check: &Check,
    solids: &[Solid],
    value: f64,
    (input, window): (&DrawInput<'_>, Window),
) -> Option<Spot<'a>> {
    let (male, female) = both(check, solids)?;
    let threads = along(male, female, window)
        .filter(|(_, _, p, q)| p.outside_thread.is_some() && q.bore_thread.is_some())
        .map(|(low, high, p, _)| (low, high, p.widest()));
    let (low, high, radius) = threads.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1), a.2.max(b.2)))?;
    let chosen = input.stack.chosen(check).is_some();
    let alike = ((high - low) - value).abs() < ALIKE;
    (alike || chosen).then(|| Spot { beside: true, told: chosen, ..spot("engagement", radius, low, high) })
}
