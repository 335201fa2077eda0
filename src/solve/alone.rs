//! Parts struck out by what they are alone or against the parts they must mate with: slits, threads, seats.
//!
//! As for sleeves, a part goes only when no stack with it can pass. Must not know heights.

use super::candidates::{Asked, Field, Walls, strike};
use crate::assembly::{Demand, NameIx};
use crate::catalogue::VariantIx;
use crate::kinds::{Cut, NamedDim, Shape};
use crate::quantity::{Ends, Form, Thread};
use crate::rules::{Grip, Press, Rule, SizeRule, Sleeve, SlitRule, SlotIx, SurfaceRef};
use smallvec::SmallVec;

/// Stands for "there is no such seat": further than any miss.
const NO_SEAT: i64 = 10_000_000_000;

/// All that is asked, in order.
pub fn asked<'r>(rule: &'r Rule, walls: &'r Walls<'r>) -> impl Iterator<Item = Asked<'r>> {
    let slots = |surfaces: &'r [SurfaceRef]| surfaces.iter().map(|s| s.slot);
    let slits = rule.slits.iter().enumerate().map(move |(index, slit)| {
        let demand = Demand::Slit(index as u16);
        Asked::new(demand, [slit.slot].into_iter().chain(slit.bridged_by), move |field| {
            slits(walls, demand, slit, field);
        })
    });
    let sizes = rule.sizes.iter().enumerate().map(move |(index, size)| {
        let demand = Demand::Size(index as u16);
        Asked::new(demand, slots(&size.surface), move |field| sizes(rule, walls, demand, size, field))
    });
    let threads = rule.threads.iter().enumerate().map(move |(index, pair)| {
        let demand = Demand::ThreadMatch(index as u16);
        Asked::new(demand, slots(&pair.male).chain(slots(&pair.female)), move |field| {
            mates(rule, walls, demand, (&pair.male, &pair.female), field);
            mates(rule, walls, demand, (&pair.female, &pair.male), field);
        })
    });
    let presses = rule.presses.iter().enumerate().map(move |(index, press)| {
        let demand = Demand::Tightness(index as u16);
        Asked::new(demand, slots(&press.seat).chain([press.wall.slot]), move |field| {
            seats(rule, walls, demand, press, field);
        })
    });
    let reaches = rule.grips.iter().enumerate().map(move |(index, grip)| {
        let demand = Demand::SlitReach(index as u16);
        Asked::new(demand, grip.layers.iter().map(|layer| layer.slot), move |field| {
            reaches(rule, walls, demand, grip, field);
        })
    });
    slits.chain(reaches).chain(sizes).chain(threads).chain(presses)
}

/// Slit where there must be none, or the reverse.
fn slits(walls: &Walls<'_>, demand: Demand, slit: &SlitRule, field: &mut Field) {
    let bridged = slit.bridged_by.is_some_and(|slot| !field.slots[slot.0 as usize].is_empty());
    let miss = |v: &VariantIx| {
        let slit_there = !walls.shape(*v).features.cuts.is_empty();
        let wrong = if slit.wanted { !slit_there } else { slit_there && !bridged };
        wrong.then_some(0)
    };
    strike(field, slit.slot.0 as usize, demand, miss);
}

/// Slits too short to close at any bolt, of layers that have something to close on and walls that never give.
fn reaches(rule: &Rule, walls: &Walls<'_>, demand: Demand, grip: &Grip, field: &mut Field) {
    for (at, layer) in grip.layers.iter().enumerate() {
        let inside = grip.layers[at + 1..].iter().any(|inner| rule.slot(inner.slot).least > 0);
        let gives = |s: &Sleeve| s.outer.slot == layer.slot && s.clearance_least <= s.springs;
        if !inside || rule.sleeves.iter().any(gives) {
            continue;
        }
        let miss = |v: &VariantIx| {
            let shape = walls.shape(*v);
            let ends: Vec<Ends> = shape.dims.iter().map(NamedDim::ends).collect();
            let through = |cut: &Cut| cut.from == Form::zero() && cut.to == shape.height;
            if shape.features.cuts.iter().any(through) {
                return None;
            }
            let long = shape.features.cuts.iter().map(|cut| cut.to.minus(&cut.from).most(&ends)).max()?;
            Some(grip.past.as_nm() - long).filter(|&by| by > 0)
        };
        strike(field, layer.slot.0 as usize, demand, miss);
    }
}

/// Parts of a size that the system does not take, or without the surface where only one slot could have it.
fn sizes(rule: &Rule, walls: &Walls<'_>, demand: Demand, size: &SizeRule, field: &mut Field) {
    let Some(slot) = size.surface.first().map(|s| s.slot) else { return };
    if rule.slot(slot).least == 0 || size.surface.iter().any(|s| s.slot != slot) {
        return;
    }
    let surfaces: Vec<NameIx> = size.surface.iter().map(|s| walls.name(s.surface)).collect();
    let miss = |v: &VariantIx| {
        let Some(&surface) = surfaces.iter().find(|s| walls.has(*v, **s)) else {
            return Some(NO_SEAT);
        };
        let of = |bore: bool| walls.bounds(*v, surface, bore);
        let (least, most) = of(true).or_else(|| of(false))?;
        let by = (size.least.as_nm() - most).max(least - size.most.as_nm());
        (by > 0).then_some(by)
    };
    strike(field, slot.0 as usize, demand, miss);
}

/// Strikes out of the first surfaces' slots what matches none of the others, where one of the others must be there.
fn mates(
    rule: &Rule,
    walls: &Walls<'_>,
    demand: Demand,
    (own, others): (&[SurfaceRef], &[SurfaceRef]),
    field: &mut Field,
) {
    // Males need a mate wherever they stand; a nut is only useless when its fastener must be there.
    let needed = others.iter().any(|o| rule.slot(o.slot).least > 0);
    if !needed && !others.iter().all(|o| field.slots[o.slot.0 as usize].is_empty()) {
        return;
    }
    let there: Vec<Thread> = others
        .iter()
        .flat_map(|o| field.slots[o.slot.0 as usize].iter().map(move |&v| (v, o.surface)))
        .filter_map(|(v, surface)| thread(walls.shape(v), surface))
        .collect();
    for surface in own.iter().filter(|s| s.slot != SlotIx(0)) {
        let miss = |v: &VariantIx| {
            let thread = thread(walls.shape(*v), surface.surface)?;
            (!there.contains(&thread)).then_some(0)
        };
        strike(field, surface.slot.0 as usize, demand, miss);
    }
}

fn thread(shape: &Shape, surface: &str) -> Option<Thread> {
    shape.features.threads.iter().find(|t| t.surface == surface).map(|t| t.thread)
}

/// Pressed parts that no seat suits, where the seat must be there.
fn seats(rule: &Rule, walls: &Walls<'_>, demand: Demand, press: &Press, field: &mut Field) {
    let Some(seat) = press.seat.first().filter(|s| press.seat.len() == 1 && rule.slot(s.slot).least > 0)
    else {
        return;
    };
    let hosts = &field.slots[seat.slot.0 as usize];
    // Of each kind of seat one is enough.
    let (seat, wall) = (walls.name(seat.surface), walls.name(press.wall.surface));
    let kinds = hosts.iter().map(|&v| [true, false].map(|bore| walls.bounds(v, seat, bore)));
    let mut seats: Vec<[Option<(i64, i64)>; 2]> = kinds.collect();
    seats.sort();
    seats.dedup();
    let slot = press.wall.slot.0 as usize;
    let miss = |&v: &VariantIx| {
        if !walls.has(v, wall) {
            return None;
        }
        seats.iter().map(|seat| tight_miss(press, walls, (v, wall), seat)).min().filter(|&by| by > 0)
    };
    strike(field, slot, demand, miss);
}

/// By how much the seat certainly misses what the part asks; 0 when it may do. `seat`: its bores, its outsides.
fn tight_miss(
    press: &Press,
    walls: &Walls<'_>,
    (part, wall): (VariantIx, NameIx),
    seat: &[Option<(i64, i64)>; 2],
) -> i64 {
    let of = |bore: bool| walls.bounds(part, wall, bore);
    let wall_is_bore = of(true).is_some();
    let Some((seat_least, seat_most)) = seat[usize::from(wall_is_bore)] else { return NO_SEAT };
    let Some((least, most)) = press.tightness else {
        let shape = walls.shape(part);
        let dims: SmallVec<[Ends; 16]> = shape.dims.iter().map(NamedDim::ends).collect();
        let Some((from, to)) = &shape.features.fits_bore else { return 0 };
        return (from.least(&dims) - seat_most).max(seat_least - to.most(&dims)).max(0);
    };
    let Some(wall) = of(wall_is_bore) else { return 0 };
    let (tight_least, tight_most) = if wall_is_bore {
        (seat_least - wall.1, seat_most - wall.0)
    } else {
        (wall.0 - seat_most, wall.1 - seat_least)
    };
    (least.as_nm() - tight_most).max(tight_least - most.as_nm()).max(0)
}
