//! What of the faces that may carry an item is no support of its own: the rim of a seat that is there anyway.
//!
//! Where a cone ends, beside a flat or a wall, its edge meets the other part where the cone itself does. At 45 degrees the two
//! heights are one form; at other angles they differ by what was rounded, and nothing real hangs on which is the greater.
//! Whoever leaves a face out for that must let the landing be as much higher as rounding can make it. Must not know cases.

use super::case::{Candidate, Decision};
use super::given::Given;
use super::meet::contact;
use super::report::Contact;
use crate::quantity::{Ends, Form};

/// Heights no further apart than this, whatever the sizes, are one height, nanometres: far over what rounding of cones can
/// amount to in a pile, far under what a hand or a gauge finds.
const ONE_HEIGHT: i64 = 2_000;

type Open<'c, 'p> = (&'c Candidate<'p>, &'c Decision);

/// The two are one height up to rounding.
pub fn one_height(over: &Form, dims: &[Ends]) -> bool {
    over.least(dims) >= -ONE_HEIGHT && over.most(dims) <= ONE_HEIGHT
}

/// The one is never higher than the other but by what was rounded; by how much that can make it look so.
pub fn never_higher(over: &Form, given: Given<'_>) -> Option<i64> {
    let most = given.most(over);
    (most <= over.slack.saturating_mul(3).min(ONE_HEIGHT)).then_some(most.max(0))
}

/// By how much one height can be off from another that counts as the same.
pub fn rounding(over: &Form, dims: &[Ends]) -> i64 {
    over.least(dims).abs().max(over.most(dims).abs())
}

/// Leaves out of the sure faces and of the open ones those that touch, if at all, at the rim of a sure seat between the same
/// columns. Comes to what the landing may be higher for it, nanometres: nothing but rounding.
pub fn leave_out<'c, 'p>(
    sure: &mut Vec<&'c Candidate<'p>>,
    open: &mut Vec<Open<'c, 'p>>,
    given: Given<'_>,
) -> i64 {
    let seats: Vec<&Candidate<'_>> = sure.iter().copied().filter(|c| !is_edge(c)).collect();
    if seats.is_empty() {
        return 0;
    }
    let mut higher = 0;
    let mut is_rim = |one: &Candidate<'_>, given: Given<'_>| {
        let others = seats.iter().filter(|seat| !std::ptr::eq(**seat, one) && same_columns(one, seat));
        let above = others.filter_map(|seat| rim_above(one, seat, given)).min();
        higher += above.unwrap_or(0);
        above.is_some()
    };
    sure.retain(|one| !is_rim(one, given));
    open.retain(|(one, _)| !is_rim(one, given.and(&one.needs)));
    higher
}

/// How much above the seat the face can be; `None` where it is no rim of it: it can stand higher, or is as good a seat.
fn rim_above(one: &Candidate<'_>, seat: &Candidate<'_>, given: Given<'_>) -> Option<i64> {
    let over = one.over(seat);
    if over.least(given.dims) > ONE_HEIGHT {
        return None;
    }
    let above = given.most(&over);
    let as_good = || !is_edge(one) && given.most(&over.negated()) <= ONE_HEIGHT;
    (above <= ONE_HEIGHT && !as_good()).then_some(above.max(0))
}

/// A face that may touch as high as another one does, between other columns: a support of its own.
pub fn is_another_support(one: &Candidate<'_>, other: &Candidate<'_>, dims: &[Ends]) -> bool {
    !same_columns(one, other) && one_height(&one.over(other), dims)
}

fn is_edge(one: &Candidate<'_>) -> bool {
    contact(one.over.piece, one.under) == Contact::Edge
}

fn same_columns(one: &Candidate<'_>, other: &Candidate<'_>) -> bool {
    (one.over.item, one.over.piece.column, one.under.column)
        == (other.over.item, other.over.piece.column, other.under.column)
}
