//! The items of a stack as rings of metal in millimetres, where they stand, all dimensions at nominal.
//! Floats: for pictures only. Must not know how anything looks on paper.

use super::DrawInput;
use crate::assembly::{ItemIx, Placed, PlacedSegment, PlacedWall, PutOnWord};
use crate::catalogue::{Part, Variant};
use crate::kinds::{self, Known, Knurl, NamedDim, Wall};
use crate::quantity::{Ends, Form};
use crate::rules::{End, PutOn};

/// One ring: heights above the crown-race seat, radii at its bottom and its top.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Ring {
    pub bottom: f64,
    pub top: f64,
    pub bore: [f64; 2],
    pub outside: [f64; 2],
    /// Major radius of a thread in the bore.
    pub bore_thread: Option<f64>,
    /// Root radius of a thread on the outside.
    pub outside_thread: Option<f64>,
    pub knurl: Option<Knurl>,
}

/// Rings from bottom to top without gaps.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Column {
    pub name: &'static str,
    pub rings: Vec<Ring>,
}

/// A lengthwise cut; `half` of its width.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Slit {
    pub column: &'static str,
    pub half: f64,
    pub bottom: f64,
    pub top: f64,
}

/// Which way a part travels to its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Travel {
    Down,
    Up,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) struct Solid {
    pub item: ItemIx,
    pub name: String,
    pub slot: String,
    pub part: String,
    pub kind: &'static str,
    pub bottom: f64,
    pub top: f64,
    pub columns: Vec<Column>,
    pub slits: Vec<Slit>,
    /// Heights of the pinch-bolt axes.
    pub pinches: Vec<f64>,
    /// How far a clamp's ears stand out from the axis, where the data says so.
    pub ear_reach: Option<f64>,
    /// Radius of what fins stand on.
    pub core: Option<f64>,
    /// Across flats of its key.
    pub key: Option<f64>,
    /// What it is turned with: a key in its socket, or jaws about it.
    pub turned_by: Option<&'static str>,
    pub travel: Travel,
    /// The end that tells which way up, as placed: true at the top.
    pub told_end: Option<bool>,
    /// For good, before it goes on.
    pub changed: bool,
    /// Drawn as it stands while the whole scooter is upside down.
    pub upside_down: bool,
}

impl Solid {
    pub fn is(&self, known: Known) -> bool {
        kinds::is(self.kind, known)
    }

    /// Not cut lengthwise.
    pub fn whole(&self) -> bool {
        self.is(Known::Whole)
    }

    pub fn rings(&self) -> impl Iterator<Item = &Ring> {
        self.columns.iter().flat_map(|c| &c.rings)
    }

    pub fn widest(&self) -> f64 {
        self.rings().map(Ring::widest).fold(0.0, f64::max)
    }

    /// The same part `by` millimetres higher.
    pub fn lifted(&self, by: f64) -> Solid {
        let mut solid = self.clone();
        solid.bottom += by;
        solid.top += by;
        for ring in solid.columns.iter_mut().flat_map(|c| &mut c.rings) {
            ring.bottom += by;
            ring.top += by;
        }
        for slit in &mut solid.slits {
            slit.bottom += by;
            slit.top += by;
        }
        solid.pinches.iter_mut().for_each(|p| *p += by);
        solid
    }

    /// The same part the other way up, between the same two heights.
    pub fn turned_over(&self) -> Solid {
        self.turned_about(self.bottom + self.top)
    }

    /// As it stands while the whole scooter is upside down: its height is less than nothing, and what came down goes up.
    pub fn upside_down(&self) -> Solid {
        let travel = match self.travel {
            Travel::Down => Travel::Up,
            Travel::Up => Travel::Down,
        };
        Solid { travel, upside_down: !self.upside_down, ..self.turned_about(0.0) }
    }

    /// `ends`: the sum of two heights that change places.
    fn turned_about(&self, ends: f64) -> Solid {
        let over = |height: f64| ends - height;
        let mut solid = self.clone();
        (solid.bottom, solid.top) = (over(self.top), over(self.bottom));
        for column in &mut solid.columns {
            column.rings.reverse();
            for ring in &mut column.rings {
                (ring.bottom, ring.top) = (over(ring.top), over(ring.bottom));
                ring.bore.reverse();
                ring.outside.reverse();
            }
        }
        for slit in &mut solid.slits {
            (slit.bottom, slit.top) = (over(slit.top), over(slit.bottom));
        }
        solid.pinches.iter_mut().for_each(|p| *p = over(*p));
        solid.told_end = solid.told_end.map(|top| !top);
        solid
    }
}

impl Ring {
    pub fn widest(&self) -> f64 {
        self.outside[0].max(self.outside[1])
    }

    pub fn narrowest(&self) -> f64 {
        self.bore[0].min(self.bore[1])
    }

    pub fn outside_at(&self, height: f64) -> f64 {
        between(self.outside, self.share(height))
    }

    pub fn bore_at(&self, height: f64) -> f64 {
        between(self.bore, self.share(height))
    }

    fn share(&self, height: f64) -> f64 {
        let length = self.top - self.bottom;
        if length > 0.0 { ((height - self.bottom) / length).clamp(0.0, 1.0) } else { 0.0 }
    }

    /// The part of the ring between two heights; `None` where nothing is left.
    pub fn cut(&self, low: f64, high: f64) -> Option<Ring> {
        let (bottom, top) = (self.bottom.max(low), self.top.min(high));
        if top - bottom < 1e-6 {
            return None;
        }
        Some(Ring {
            bottom,
            top,
            bore: [self.bore_at(bottom), self.bore_at(top)],
            outside: [self.outside_at(bottom), self.outside_at(top)],
            ..self.clone()
        })
    }
}

fn between(ends: [f64; 2], share: f64) -> f64 {
    ends[0] + (ends[1] - ends[0]) * share
}

/// Everything that has a landing, in placing order. What fell through is not drawn.
pub(super) fn solids(input: &DrawInput) -> Vec<Solid> {
    let ends: Vec<Ends> = input.stack.dims.iter().map(|d| d.ends).collect();
    let items = input.stack.items.iter().enumerate();
    items.filter_map(|(ix, placed)| solid(input, ItemIx(ix as u16), placed, &ends)).collect()
}

/// Heights between which an item has this bore.
pub(super) fn beside_bore(input: &DrawInput, item: ItemIx, surface: &str) -> Vec<(f64, f64)> {
    let ends: Vec<Ends> = input.stack.dims.iter().map(|d| d.ends).collect();
    let Some(placed) = input.stack.items.get(usize::from(item.0)) else { return Vec::new() };
    let Some(landing) = &placed.landing else { return Vec::new() };
    let mut found = Vec::new();
    for column in &placed.columns {
        let mut bottom = mm(landing.nominal) + mm(column.start.nominal(&ends));
        for segment in &column.segments {
            let top = bottom + mm(segment.length.nominal(&ends));
            if segment.bore.surface == surface {
                found.push((bottom, top));
            }
            bottom = top;
        }
    }
    found
}

/// One part as drawn, by itself; heights from its reference plane.
pub(super) fn of_variant(part: &Part, variant: &Variant) -> Solid {
    let shape = &variant.shape;
    let ends: Vec<Ends> = shape.dims.iter().map(NamedDim::ends).collect();
    let bottom = -mm(shape.datum.nominal(&ends));
    let at = |form: &Form| bottom + mm(form.nominal(&ends));
    let columns = shape.columns.iter().map(|column| {
        let mut height = at(&column.start);
        let rings = column.segments.iter().map(|segment| {
            let wall = |wall: &Wall| PlacedWall {
                surface: wall.surface,
                diameter: wall.diameter.clone(),
                taper: wall.taper,
                root: wall.root.clone(),
            };
            let (bore, outside) = (wall(&segment.bore), wall(&segment.outside));
            let placed = PlacedSegment { length: segment.length.clone(), bore, outside };
            let ring = ring(&placed, height, &ends, variant);
            height = ring.top;
            ring
        });
        Column { name: column.name, rings: rings.collect() }
    });
    let features = &shape.features;
    let slits = features.cuts.iter().map(|cut| Slit {
        column: cut.column,
        half: mm(cut.width.nominal(&ends)) / 2.0,
        bottom: at(&cut.from),
        top: at(&cut.to),
    });
    Solid {
        item: ItemIx(0),
        name: part.id.clone(),
        slot: String::new(),
        part: part.id.clone(),
        kind: part.kind,
        bottom,
        top: at(&shape.height),
        columns: columns.collect(),
        slits: slits.collect(),
        pinches: features.pinches.iter().map(|p| at(&p.height)).collect(),
        ear_reach: named(variant, "ear_reach"),
        core: named(variant, "core_outside").map(|across| across / 2.0),
        key: features.drive.as_ref().map(|d| d.size.as_mm_f64()),
        turned_by: features.drive.as_ref().map(|d| d.tool),
        travel: Travel::Down,
        told_end: None,
        changed: variant.changed.is_some(),
        upside_down: false,
    }
}

fn solid(input: &DrawInput, item: ItemIx, placed: &Placed, ends: &[Ends]) -> Option<Solid> {
    let bottom = mm(placed.landing.as_ref()?.nominal);
    let variant = input.catalogue.variant(placed.variant);
    let part = input.catalogue.part(variant.part);
    let at = |form: &Form| bottom + mm(form.nominal(ends));
    let columns = placed.columns.iter().map(|column| {
        let mut height = at(&column.start);
        let rings = column.segments.iter().map(|segment| {
            let ring = ring(segment, height, ends, variant);
            height = ring.top;
            ring
        });
        Column { name: column.name, rings: rings.collect() }
    });
    let slits = placed.cuts.iter().map(|cut| Slit {
        column: cut.column,
        half: mm(cut.width.nominal(ends)) / 2.0,
        bottom: at(&cut.from),
        top: at(&cut.to),
    });
    Some(Solid {
        item,
        name: placed.name.clone(),
        slot: input.rule.slot(placed.slot).name.clone(),
        part: part.id.clone(),
        kind: part.kind,
        bottom,
        top: at(&placed.height),
        columns: columns.collect(),
        slits: slits.collect(),
        pinches: placed.pinches.iter().map(at).collect(),
        ear_reach: named(variant, "ear_reach"),
        core: named(variant, "core_outside").map(|across| across / 2.0),
        key: variant.shape.features.drive.as_ref().map(|d| d.size.as_mm_f64()),
        turned_by: variant.shape.features.drive.as_ref().map(|d| d.tool),
        travel: travel(input, placed),
        told_end: input.told_ends.iter().find(|told| told.0 == item).map(|told| told.1),
        changed: variant.changed.is_some(),
        upside_down: false,
    })
}

/// What the data gives for drawing alone.
fn named(variant: &Variant, name: &str) -> Option<f64> {
    let dim = variant.shape.dims.iter().find(|d| d.name == name)?;
    Some(dim.dimension.nominal.as_mm_f64())
}

fn travel(input: &DrawInput, placed: &Placed) -> Travel {
    let upward = match input.rule.slot(placed.slot).put_on {
        PutOn::FromBelow | PutOn::Loose => true,
        PutOn::Chosen(choice) => choice.into == Some(End::Bottom),
        _ => placed.put_on == PutOnWord::FromBelow,
    };
    if upward { Travel::Up } else { Travel::Down }
}

fn ring(segment: &PlacedSegment, bottom: f64, ends: &[Ends], variant: &Variant) -> Ring {
    let radii = |wall: &PlacedWall| {
        let [low, high] = &wall.diameter;
        [mm(low.nominal(ends)) / 2.0, mm(high.nominal(ends)) / 2.0]
    };
    let threads = &variant.shape.features.threads;
    let knurled = variant.shape.features.knurled.filter(|k| k.surface == segment.outside.surface);
    let female = threads.iter().find(|t| !t.male && t.surface == segment.bore.surface);
    Ring {
        bottom,
        top: bottom + mm(segment.length.nominal(ends)),
        bore: radii(&segment.bore),
        outside: radii(&segment.outside),
        bore_thread: female.map(|t| t.thread.major().as_mm_f64() / 2.0),
        outside_thread: segment.outside.root.as_ref().map(|root| mm(root.nominal(ends)) / 2.0),
        knurl: knurled.map(|k| k.pattern),
    }
}

fn mm(nanometres: i64) -> f64 {
    nanometres as f64 / 1e6
}
