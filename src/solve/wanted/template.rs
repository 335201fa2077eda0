//! A part of the book as a pattern: its sizes may be others, its build stays. Must not know what it is to go with.

use crate::assembly::Setting;
use crate::base::Span;
use crate::catalogue::VariantIx;
use crate::kinds::{NamedDim, Shape, altered, sizes_of};
use crate::quantity::{Deviations, Dimension, Length, Origin};
use crate::rules::SlotIx;
use crate::solve::bench::Plan;

/// Templates of one place.
const MOST_TEMPLATES: usize = 12;
/// Hardly anything on a scooter is smaller.
const LEAST_SIZE: i64 = 200_000;
/// By how much a size is written anew to see what follows it.
const NUDGES: [i64; 4] = [1_000, -1_000, 10, -10];

pub(super) struct Size {
    pub name: &'static str,
    pub nominal: i64,
    least: i64,
    most: i64,
    /// Dimensions of the shape that are this size: itself, and what the kind makes to the same measure.
    dims: Vec<usize>,
}

impl Size {
    /// From the template's own range to there; nothing within it.
    pub fn apart(&self, at: i64) -> i64 {
        (self.least - at).max(at - self.most).max(0)
    }

    pub fn tried(&self) -> (i64, i64) {
        tried(self.nominal)
    }
}

pub(super) struct Template {
    pub variant: VariantIx,
    pub kind: &'static str,
    pub sizes: Vec<Size>,
    shape: Shape,
    span: Span,
}

/// By place, what may stand there and is not brought: parts as they are sold, in the order of the book.
pub(super) fn templates(plan: &Plan<'_>) -> Vec<(SlotIx, Template)> {
    let Setting { rule, catalogue, .. } = plan.setting;
    let mut found = Vec::new();
    for (index, slot) in rule.slots.iter().enumerate().skip(1).filter(|(_, slot)| !slot.brought) {
        let of_kind = |&kind: &&'static str| -> Vec<(&'static str, VariantIx)> {
            let variants = catalogue.of_kind(kind).flat_map(|p| catalogue.part(p).variants.iter());
            variants.map(|&variant| (kind, variant)).collect()
        };
        let variants = slot.kinds.iter().flat_map(of_kind);
        let mut here: Vec<Template> = Vec::new();
        for (kind, variant) in variants {
            let shape = &catalogue.variant(variant).shape;
            let own = shape.fields.as_ref().is_some_and(|f| f.kind_name == kind);
            let doubled = here.iter().any(|t| t.shape.same_to_checks(shape));
            if own && !doubled && here.len() < MOST_TEMPLATES {
                here.push(Template::of(shape, kind, variant, catalogue.part_of(variant).span));
            }
        }
        found.extend(here.into_iter().map(|t| (SlotIx(index as u16), t)));
    }
    found
}

impl Template {
    fn of(shape: &Shape, kind: &'static str, variant: VariantIx, span: Span) -> Template {
        let size = |name: &'static str| {
            let own = &shape.dims.iter().find(|d| d.name == name)?.dimension;
            let dims = following(shape, name, own, span)?;
            let (nominal, least, most) = (own.nominal.as_nm(), own.least().as_nm(), own.most().as_nm());
            Some(Size { name, nominal, least, most, dims })
        };
        let sizes = sizes_of(shape).into_iter().filter_map(size).collect();
        Template { variant, kind, sizes, shape: shape.clone(), span }
    }

    /// Only sizes differ.
    pub fn same_build(&self, other: &Template) -> bool {
        let sizes = other.shape.dims.iter().map(|d| d.dimension.clone());
        if sizes.len() != self.shape.dims.len() {
            return false;
        }
        let mut shape = self.shape.clone();
        for (dim, size) in shape.dims.iter_mut().zip(sizes) {
            dim.dimension = size;
        }
        shape.same_to_checks(&other.shape)
    }

    /// Every way to choose so many of its sizes.
    pub fn choices(&self, count: usize) -> Vec<Vec<usize>> {
        let sets = (0..1_u32 << self.sizes.len()).filter(|set| set.count_ones() as usize == count);
        sets.map(|set| (0..self.sizes.len()).filter(|i| set >> i & 1 == 1).collect()).collect()
    }

    /// With every dimension free, those too that are told one by one.
    pub fn wide(&self) -> Shape {
        let mut shape = self.shape.clone();
        for dim in &mut shape.dims {
            reach(dim, tried(dim.dimension.nominal.as_nm()));
        }
        shape
    }

    /// The template with these sizes anywhere between the ends; whether such metal can be is not asked.
    pub fn spread(&self, free: &[usize], ranges: &[(i64, i64)]) -> Shape {
        let mut shape = self.shape.clone();
        for (&size, &range) in free.iter().zip(ranges) {
            for &dim in &self.sizes[size].dims {
                reach(&mut shape.dims[dim], range);
            }
        }
        shape
    }

    /// As its kind makes it, with these sizes; `None` where they cannot be.
    pub fn made(&self, free: &[usize], ranges: &[(i64, i64)]) -> Option<Shape> {
        let size = |(&size, &range): (&usize, &(i64, i64))| (self.sizes[size].name, between(range));
        let sizes: Vec<(&'static str, Dimension)> = free.iter().zip(ranges).map(size).collect();
        altered(&self.shape, &sizes, self.span)
    }
}

/// The dimensions that change with a field, all of them just as much; `None` where it is not so simple.
fn following(shape: &Shape, name: &'static str, own: &Dimension, span: Span) -> Option<Vec<usize>> {
    NUDGES.iter().find_map(|&nudge| {
        let nudged = Dimension { nominal: own.nominal + Length::nm(nudge), ..own.clone() };
        let other = altered(shape, &[(name, nudged)], span)?;
        if other.dims.len() != shape.dims.len() || other.columns != shape.columns {
            return None;
        }
        let by = |i: &usize| other.dims[*i].dimension.nominal - shape.dims[*i].dimension.nominal;
        let moved: Vec<usize> = (0..shape.dims.len()).filter(|i| by(i) != Length::ZERO).collect();
        moved.iter().all(|i| by(i) == Length::nm(nudge)).then_some(moved)
    })
}

/// Lengths among which one is looked for: from next to nothing to twice as much and a bit.
fn tried(nominal: i64) -> (i64, i64) {
    (LEAST_SIZE.min(nominal), nominal * 2 + 10_000_000)
}

fn reach(dim: &mut NamedDim, range: (i64, i64)) {
    dim.dimension = between(range);
}

fn between((least, most): (i64, i64)) -> Dimension {
    let nominal = least + (most - least) / 2;
    let exact = Dimension::new(Length::nm(nominal), Deviations::NONE, Origin::Stated, "");
    Dimension { lower: Length::nm(least - nominal), upper: Length::nm(most - nominal), ..exact }
}
