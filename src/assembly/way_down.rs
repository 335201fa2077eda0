//! How far one part of a stack could come down onto another, were nothing else in the way: by its rings, at nominal sizes.
//! For telling; decides nothing.

use super::report::{ItemIx, Placed, Stack};
use crate::quantity::{Ends, Form};

/// One ring of a part: heights above the part's own bottom, and diameters, at nominal sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ring {
    pub low: i64,
    pub high: i64,
    pub bore: i64,
    pub outside: i64,
}

pub fn rings(placed: &Placed, ends: &[Ends]) -> Vec<Ring> {
    let mut found = Vec::new();
    for column in &placed.columns {
        let mut low = column.start.nominal(ends);
        for segment in &column.segments {
            let high = low + segment.length.nominal(ends);
            let of = |wall: &[Form; 2]| wall.each_ref().map(|form| form.nominal(ends));
            let (bore, outside) = (of(&segment.bore.diameter), of(&segment.outside.diameter));
            found.push(Ring { low, high, bore: bore[0].min(bore[1]), outside: outside[0].max(outside[1]) });
            low = high;
        }
    }
    found
}

/// `None` where it would meet nothing of the other below it.
pub fn way_down(stack: &Stack, item: ItemIx, onto: ItemIx) -> Option<i64> {
    let ends: Vec<Ends> = stack.dims.iter().map(|dim| dim.ends).collect();
    let placed = |item: ItemIx| stack.items.get(usize::from(item.0));
    let bottom = |placed: &Placed| placed.landing.as_ref().map(|landing| landing.nominal);
    let (own, other) = (placed(item)?, placed(onto)?);
    let (upper, lower) = (bottom(own)?, bottom(other)?);
    let (own, other) = (rings(own, &ends), rings(other, &ends));
    let meet = |a: &Ring, b: &Ring| a.bore < b.outside && b.bore < a.outside;
    let pairs = own.iter().flat_map(|a| other.iter().map(move |b| (a, b))).filter(|(a, b)| meet(a, b));
    pairs.map(|(a, b)| (upper + a.low) - (lower + b.high)).filter(|way| *way >= 0).min()
}
