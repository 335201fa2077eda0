//! Where on a part each of its dimensions is found, and so where a caliper goes: across a wall, between two level
//! faces, across a slot. Exact: a place counts only when it is that dimension whatever the sizes are.
//! Must not know how anything is drawn.

use super::solid::Solid;
use crate::kinds::{Column, Shape, Wall};
use crate::quantity::{Ends, Form, Nature};

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Place {
    /// Outside jaws: over a wall at this height.
    Over { radius: f64, low: f64, high: f64 },
    /// Inside jaws: within a bore.
    Within { radius: f64, low: f64, high: f64 },
    /// Jaws, or the rod where it is a depth, between two heights.
    Between { low: f64, high: f64, rod: bool },
    /// Inside jaws across a slot.
    Slot { half: f64, low: f64, high: f64 },
}

/// A dimension of the part, by its index in [`Shape::dims`], and its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Checkable {
    pub dim: usize,
    pub place: Place,
}

/// In the order of the part's dimensions. One that is nowhere seen by itself is left out.
/// Cost: dimensions times the square of the number of level faces.
pub(super) fn checkable(shape: &Shape, solid: &Solid) -> Vec<Checkable> {
    let ends: Vec<Ends> = shape.dims.iter().map(|d| d.ends()).collect();
    let seen = Seen { shape, bottom: solid.bottom, ends, levels: levels(shape) };
    let all = shape.dims.iter().enumerate();
    all.filter_map(|(dim, named)| {
        let form = Form::dimension(dim as u32);
        let rod = named.nature == Nature::Depth;
        let place = seen.wall(&form).or_else(|| seen.slot(&form)).or_else(|| seen.between(&form, rod))?;
        Some(Checkable { dim, place })
    })
    .collect()
}

struct Seen<'s> {
    shape: &'s Shape,
    bottom: f64,
    ends: Vec<Ends>,
    levels: Vec<Form>,
}

impl Seen<'_> {
    fn mm(&self, form: &Form) -> f64 {
        form.nominal(&self.ends) as f64 / 1e6
    }

    fn height(&self, form: &Form) -> f64 {
        self.bottom + self.mm(form)
    }

    /// The longest ring with a wall of this diameter; on a cone, the end that has it.
    fn wall(&self, form: &Form) -> Option<Place> {
        let mut best: Option<(f64, Place)> = None;
        for column in &self.shape.columns {
            for (segment, [from, to]) in column.segments.iter().zip(spans(column)) {
                let (low, high) = (self.height(&from), self.height(&to));
                for (wall, inside) in [(&segment.bore, true), (&segment.outside, false)] {
                    let Some((low, high)) = stretch(wall, form, low, high) else { continue };
                    let radius = self.mm(form) / 2.0;
                    let place = match inside {
                        true => Place::Within { radius, low, high },
                        false => Place::Over { radius, low, high },
                    };
                    if best.is_none_or(|b| high - low > b.0) {
                        best = Some((high - low, place));
                    }
                }
            }
        }
        best.map(|b| b.1)
    }

    fn slot(&self, form: &Form) -> Option<Place> {
        let cut = self.shape.features.cuts.iter().find(|cut| cut.width == *form)?;
        let (low, high) = (self.height(&cut.from), self.height(&cut.to));
        Some(Place::Slot { half: self.mm(form) / 2.0, low, high })
    }

    fn between(&self, form: &Form, rod: bool) -> Option<Place> {
        let pairs = self.levels.iter().flat_map(|a| self.levels.iter().map(move |b| (a, b)));
        let (a, b) = pairs.into_iter().find(|(a, b)| b.minus(a) == *form)?;
        let (low, high) = (self.height(a), self.height(b));
        (high > low).then_some(Place::Between { low, high, rod })
    }
}

/// Heights over which a wall has a diameter: all of the ring, or a point at one end of a cone.
fn stretch(wall: &Wall, form: &Form, low: f64, high: f64) -> Option<(f64, f64)> {
    match wall.diameter.each_ref().map(|d| d == form) {
        [true, true] => Some((low, high)),
        [true, false] => Some((low, low)),
        [false, true] => Some((high, high)),
        [false, false] => None,
    }
}

/// Bottom and top of each segment from the part's bottom.
fn spans(column: &Column) -> Vec<[Form; 2]> {
    let mut at = column.start.clone();
    let spans = column.segments.iter().map(|segment| {
        let from = at.clone();
        at = at.plus(&segment.length);
        [from, at.clone()]
    });
    spans.collect()
}

/// Every height that can be touched, the ends of the part and its reference plane first.
fn levels(shape: &Shape) -> Vec<Form> {
    let mut levels = vec![Form::zero(), shape.height.clone(), shape.datum.clone()];
    levels.extend(shape.columns.iter().flat_map(spans).flatten());
    levels.extend(shape.features.cuts.iter().flat_map(|cut| [cut.from.clone(), cut.to.clone()]));
    levels.extend(shape.features.pinches.iter().map(|pinch| pinch.height.clone()));
    let mut unique: Vec<Form> = Vec::new();
    for level in levels {
        if !unique.contains(&level) {
            unique.push(level);
        }
    }
    unique
}
