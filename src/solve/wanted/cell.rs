//! A box of sizes that is looked at as a whole. Must not know what is looked for.

use super::one_more::Look;
use super::template::Template;
use crate::kinds::{NamedDim, Shape};
use crate::quantity::Ends;

/// No smaller cell is looked at: parts are not made to less.
const FINEST: i64 = 20_000;

/// Wider ones have too many cases to go through.
const NARROW: i64 = 2_000_000;

pub(super) struct Cell(Vec<(i64, i64)>);

impl Cell {
    /// Everything that might be tried.
    pub fn whole(template: &Template, free: &[usize]) -> Cell {
        Cell(free.iter().map(|&size| template.sizes[size].tried()).collect())
    }

    pub fn middle(&self) -> Vec<i64> {
        self.0.iter().map(|(least, most)| least + (most - least) / 2).collect()
    }

    /// The template with sizes that may be anything in here; `None` when no such metal can be.
    pub fn shape(&self, template: &Template, free: &[usize]) -> Option<Shape> {
        let shape = template.spread(free, &self.0);
        can_be(&shape).then_some(shape)
    }

    /// In full where it is narrow and holds no sizes that cannot be: what is judged of those would mean nothing.
    pub fn look(&self, template: &Template, free: &[usize]) -> Look {
        let narrow = self.0.iter().all(|(least, most)| most - least <= NARROW);
        if narrow && template.made(free, &self.0).is_some() { Look::InFull } else { Look::Quick }
    }

    /// Cut across where it is longest, the half nearer to the template first.
    pub fn halves(&self, template: &Template, free: &[usize]) -> Vec<Cell> {
        let long = |at: &usize| self.0[*at].1 - self.0[*at].0;
        let Some(at) = (0..self.0.len()).rev().max_by_key(long).filter(|at| long(at) > FINEST) else {
            return Vec::new();
        };
        let ((least, most), middle) = (self.0[at], self.middle()[at]);
        let half = |part: (i64, i64)| {
            let mut sizes = self.0.clone();
            sizes[at] = part;
            Cell(sizes)
        };
        let mut halves = vec![half((least, middle)), half((middle, most))];
        if template.sizes[free[at]].nominal > middle {
            halves.reverse();
        }
        halves
    }
}

/// For some sizes in there, every ring has metal and length.
fn can_be(shape: &Shape) -> bool {
    let ends: Vec<Ends> = shape.dims.iter().map(NamedDim::ends).collect();
    shape.columns.iter().flat_map(|c| &c.segments).all(|segment| {
        let wall = |end: usize| segment.outside.diameter[end].minus(&segment.bore.diameter[end]);
        segment.length.most(&ends) > 0 && (wall(0).most(&ends) > 0 || wall(1).most(&ends) > 0)
    })
}
