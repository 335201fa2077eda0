//! Does what turns rub on what stands still, even with everything in the middle?
//!
//! The full judgement takes the play of what guides the parts off; a glance takes none off, so what rubs here rubs
//! there. Must not know what guides what.

use super::Glance;
use super::checks::within;
use super::figure::{Figure, ROUNDING};
use super::reach::{FAR, Reach, VIEWS, Views};
use super::ready::{NameIx, Names, Ready};
use crate::assembly::report::{Demand, PlacedColumn};
use crate::quantity::Form;
use crate::rules::{Slot, SlotIx};

/// Half a diameter, millionths.
const HALF: i64 = 500_000;

/// A piece of a part between two heights.
#[derive(Clone, Copy, Debug)]
pub struct Metal {
    column: NameIx,
    bottom: Figure,
    top: Figure,
    narrowest: Figure,
    widest: Figure,
}

/// The metal of a part, heights from its bottom.
pub fn metal(names: &Names, columns: &[PlacedColumn], figure: &dyn Fn(&Form) -> Figure) -> Vec<Metal> {
    let mut all = Vec::new();
    for column in columns {
        let mut bottom: Form = column.start.clone();
        for segment in &column.segments {
            let top = bottom.plus(&segment.length);
            let bores = segment.bore.diameter.each_ref().map(figure);
            let outsides = segment.outside.diameter.each_ref().map(figure);
            all.push(Metal {
                column: names.of(column.name),
                bottom: figure(&bottom),
                top: figure(&top),
                narrowest: bores[0].lower(bores[1]),
                widest: outsides[0].higher(outsides[1]),
            });
            bottom = top;
        }
    }
    all
}

/// Which columns of a slot's parts stand still.
#[derive(Clone, Debug)]
pub enum Stands {
    All,
    Only(Vec<NameIx>),
}

impl Stands {
    pub fn of(slot: &Slot, names: &Names) -> Stands {
        match slot.still.iter().any(|column| column == "*") {
            true => Stands::All,
            false => Stands::Only(slot.still.iter().map(|column| names.of(column)).collect()),
        }
    }

    fn has(&self, column: NameIx) -> bool {
        match self {
            Stands::All => true,
            Stands::Only(columns) => columns.contains(&column),
        }
    }

    pub fn none(&self) -> bool {
        matches!(self, Stands::Only(columns) if columns.is_empty())
    }
}

impl Glance<'_> {
    /// The item just put on against all that are there.
    pub(super) fn check_still(&mut self, index: u8) {
        for other in 0..index {
            for (standing, turning) in [(index, other), (other, index)] {
                let stands = &self.lists.still[self.items[standing as usize].pick.slot.0 as usize];
                if stands.none() {
                    continue;
                }
                if let Some(apart) = self.apart(standing, turning) {
                    let limit = self.setting.rule.limits.still_least.as_nm();
                    let own = self.slots_of(&[standing, turning]);
                    self.found(Demand::Still, own, within(apart, Some(limit), None));
                }
            }
        }
    }

    /// How high above a part of the lower slot one of the upper is at least that is clear of what stands still of it. It comes from
    /// above, so where the one surely overlaps the other across the axis, it can only be clear over it.
    pub(super) fn clear(&self, (upper, part): (SlotIx, &Ready), (lower, below): (SlotIx, &Ready)) -> Views {
        let mut clear = [-FAR; VIEWS];
        if !self.setting.asks(Demand::Still) {
            return clear;
        }
        let [stands, part_stands] = [lower, upper].map(|slot| &self.lists.still[slot.0 as usize]);
        let limit = self.setting.rule.limits.still_least.as_nm();
        for s in below.metal.iter().filter(|m| stands.has(m.column)) {
            for t in part.metal.iter().filter(|m| !part_stands.has(m.column)) {
                let across = s.narrowest.minus(t.widest).higher(t.narrowest.minus(s.widest));
                let over = Reach::of(s.top.minus(t.bottom), across.at.map(|across| across < 0));
                for (view, clear) in clear.iter_mut().enumerate() {
                    if over.is_in(view) && (view > 0 || across.most < 0) {
                        *clear = (*clear).max(over.low[view] + limit - ROUNDING);
                    }
                }
            }
        }
        clear
    }

    /// How far what stands of the one is from what turns of the other, along the axis or across it, at most.
    fn apart(&self, standing: u8, turning: u8) -> Option<Figure> {
        let of = |item: u8| {
            let it = &self.items[item as usize];
            (it, &self.lists.still[it.pick.slot.0 as usize])
        };
        let ((s, s_stands), (t, t_stands)) = (of(standing), of(turning));
        let over = self.between(standing, turning)?;
        let mut apart: Option<Figure> = None;
        for s in s.ready.metal.iter().filter(|m| s_stands.has(m.column)) {
            for t in t.ready.metal.iter().filter(|m| !t_stands.has(m.column)) {
                let (above, below) = (s.bottom.plus(over).minus(t.top), t.bottom.minus(s.top.plus(over)));
                let across = s.narrowest.minus(t.widest).higher(t.narrowest.minus(s.widest)).times(HALF);
                let this = above.higher(below).higher(across);
                apart = Some(apart.map_or(this, |least| least.lower(this)));
            }
        }
        apart
    }
}
