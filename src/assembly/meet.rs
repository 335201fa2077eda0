//! Which faces of two items meet, and at what height: the candidates for a landing.
//!
//! Exemptions belong to surfaces: a male thread shows its root to its own mate's thread, and a sleeve that
//! the rule names is taken to slide while it is unsure (it is checked on its own). Nothing exempts a pair of parts.

use super::case::{Candidate, Decision, Touch};
use super::piece::{Edge, Lie, Piece};
use super::report::{Contact, ItemIx};
use crate::quantity::{Ends, Form, Length};

/// A face of one item.
#[derive(Clone, Copy, Debug)]
pub struct Face<'a> {
    pub item: ItemIx,
    pub piece: &'a Piece,
}

/// What surfaces know of each other; asked with the bore first.
pub trait Surfaces {
    /// The two are threads screwed together.
    fn screwed(&self, bore: (ItemIx, &str), male: (ItemIx, &str)) -> bool;
    /// A sleeve named by the rule: how far the outer part springs open. `None`: not named.
    fn sleeve(&self, bore: (ItemIx, &str), outside: (ItemIx, &str)) -> Option<Sliding>;
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sliding {
    pub springs: Length,
    /// Taken to slide whatever the sizes (its clearance is being disregarded).
    pub always: bool,
}

/// The comparisons needed for the two faces to have a common diameter; `None` when they never have.
pub fn overlap(a: Face<'_>, b: Face<'_>, surfaces: &dyn Surfaces, dims: &[Ends]) -> Option<Vec<Decision>> {
    let mut needs = Vec::new();
    for (lower, upper) in [
        ((a.item, &a.piece.inner), (b.item, &b.piece.outer)),
        ((b.item, &b.piece.inner), (a.item, &a.piece.outer)),
    ] {
        match covers(lower, upper, surfaces, dims) {
            Cover::Never => return None,
            Cover::Always => {}
            Cover::Unsure(form) => needs.push(Decision { form, positive: true }),
        }
    }
    Some(needs)
}

enum Cover {
    Always,
    Never,
    Unsure(Form),
}

/// Is the inner edge of one face inside the outer edge of the other?
fn covers(inner: (ItemIx, &Edge), outer: (ItemIx, &Edge), surfaces: &dyn Surfaces, dims: &[Ends]) -> Cover {
    let (lo, hi) = (inner.1, outer.1);
    if lo.bounds.least >= hi.bounds.most {
        return Cover::Never;
    }
    let about_walls = lo.bore && !hi.bore;
    if about_walls && hi.root.is_some() && surfaces.screwed((inner.0, lo.surface), (outer.0, hi.surface)) {
        let root = hi.root.as_ref().unwrap_or(&hi.diameter);
        return compare(&lo.diameter, root, dims);
    }
    if about_walls && let Some(sliding) = surfaces.sleeve((inner.0, lo.surface), (outer.0, hi.surface)) {
        if sliding.always {
            return Cover::Never;
        }
        let sprung = lo.diameter.clone().plus_length(sliding.springs);
        return match compare(&sprung, &hi.diameter, dims) {
            Cover::Always => Cover::Always,
            _ => Cover::Never,
        };
    }
    if lo.bounds.most < hi.bounds.least {
        return Cover::Always;
    }
    compare(&lo.diameter, &hi.diameter, dims)
}

fn compare(lo: &Form, hi: &Form, dims: &[Ends]) -> Cover {
    let difference = hi.minus(lo);
    if difference.least(dims) > 0 {
        Cover::Always
    } else if difference.most(dims) <= 0 {
        Cover::Never
    } else {
        Cover::Unsure(difference)
    }
}

/// Heights at which `part`'s bottom face meets `pile`'s top face: the part's bottom above the pile item's bottom.
/// The two must be able to overlap (`needs`).
pub fn candidates<'p>(
    pile: Face<'p>,
    under: &'p Piece,
    needs: Vec<Decision>,
    dims: &[Ends],
    out: &mut Vec<Candidate<'p>>,
) {
    let over = pile.piece;
    let slope = over.slope - under.slope;
    // Flats, and cones of one angle, are as far apart at any diameter.
    if slope == 0 {
        out.push(Candidate { height: over.above(under, dims), shared_slack: 0, needs, over: pile, under });
        return;
    }
    let mut push = |at: &Form, extra: Option<Decision>| {
        let mut needs = needs.clone();
        needs.extend(extra);
        let height = over.height_at(at, dims).minus(&under.height_at(at, dims));
        out.push(Candidate { height, shared_slack: 0, needs, over: pile, under });
    };
    // The difference grows toward one end of the common ring: its nearer edge counts.
    let (mine, theirs, sign) = if slope > 0 {
        (&over.outer.diameter, &under.outer.diameter, 1)
    } else {
        (&over.inner.diameter, &under.inner.diameter, -1)
    };
    // For the outer end the smaller outer diameter bounds the ring; for the inner end the larger inner one.
    let mine_bounds = theirs.minus(mine).times(sign * crate::quantity::ONE);
    if mine_bounds.least(dims) >= 0 {
        push(mine, None);
    } else if mine_bounds.most(dims) <= 0 {
        push(theirs, None);
    } else {
        push(mine, Some(Decision { form: mine_bounds.clone(), positive: true }));
        push(theirs, Some(Decision { form: mine_bounds, positive: false }));
    }
}

/// What an item touches that rests by its face `under`.
pub fn touch(pile: Face<'_>, under: &Piece) -> Touch {
    let over = pile.piece;
    Touch {
        item: pile.item,
        column: over.column,
        surface: over.surface,
        own_column: under.column,
        contact: contact(over, under),
        inner: [over.inner.diameter.clone(), under.inner.diameter.clone()],
        outer: [over.outer.diameter.clone(), under.outer.diameter.clone()],
    }
}

/// How two faces that touch lie on each other.
pub fn contact(over: &Piece, under: &Piece) -> Contact {
    match (over.lie, under.lie) {
        (Lie::Flat, Lie::Flat) => Contact::Flat,
        (a, b) if a == b => Contact::Cone,
        _ => Contact::Edge,
    }
}
