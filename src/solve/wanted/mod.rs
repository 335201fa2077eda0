//! The wanted part: a single part, not in the book, that would make it go; like one of the book's parts but for
//! ranges of a few of its dimensions.
//!
//! Promise: every part whose tolerances lie within all the ranges goes for certain; with all other ranges filled, one
//! that lies just outside of one of them does not. Both are what a search comes to with such a part in the book.
//! What is most readily had in a size of its own comes first, then fewest dimensions, then the part least unlike one that there
//! is. Nothing is told where nothing was found, or where a search came to its limit: that there is no such part is never claimed. Must not know words.
//!
//! A box of sizes is looked at as a whole, with the sizes as wide tolerances (`cell.rs`): where not even the quick look lets
//! anything pass, nothing in it goes; else its middle is tried, then its halves. From sizes with which a plan goes each range
//! is widened as far as the same plan passes for all of them at once, and a search of the book with a part just outside has
//! to find nothing (`room.rs`); where another plan goes there that does not take the whole range, the box is dropped. Only
//! what is sold is ordered: what a rider brings, a deck, stays as it is. Sizes are told at tenths or half tenths, rounded
//! inward. `tests/wanted.rs` puts parts from both sides of every end into the book.

mod cell;
mod one_more;
mod room;
mod template;

use super::answer::Wanted;
use super::bench::Plan;
use crate::assembly::Pick;
use crate::catalogue::VariantIx;
use crate::kinds::{ToOrder, to_order};
use crate::rules::SlotIx;
use cell::Cell;
use one_more::{Look, OneMore};
use template::{Template, templates};

/// Cells looked at for one template and one choice of dimensions, by how many these are.
const CELLS: [usize; 3] = [40, 80, 120];

/// What is tried one after the other: templates of these kinds, with so many dimensions of their own. The last two figures are
/// what looking for places may use up of the whole by then, in percent, and with it proving them.
const STAGES: [(&[ToOrder], usize, u64, u64); 9] = [
    (&[ToOrder::Turned], 1, 30, 40),
    (&[ToOrder::Turned], 2, 60, 66),
    (&[ToOrder::Rings], 1, 69, 72),
    (&[ToOrder::Rings], 2, 76, 78),
    (&[ToOrder::Bearings], 1, 81, 83),
    (&[ToOrder::Bearings], 2, 86, 88),
    (&[ToOrder::Special], 1, 90, 92),
    (&[ToOrder::Special], 2, 94, 96),
    (&[ToOrder::Turned, ToOrder::Rings, ToOrder::Bearings, ToOrder::Special], 3, 99, 100),
];
/// Boxes of ranges that are tried to the end.
const MOST_PROVED: usize = 4;

/// Where a part would go: with these sizes the whole plan passes.
struct Start<'t> {
    slot: SlotIx,
    template: &'t Template,
    /// Indices of the template's sizes, and a length for each.
    free: Vec<usize>,
    at: Vec<i64>,
    picks: Vec<Pick>,
}

impl Start<'_> {
    /// How far the sizes are from the template's own.
    fn unlike(&self) -> i64 {
        let of = |(&size, &at): (&usize, &i64)| self.template.sizes[size].apart(at);
        self.free.iter().zip(&self.at).map(of).sum()
    }
}

/// One part to be ordered.
pub(super) fn wanted(plan: &Plan<'_>, fork: VariantIx) -> Option<Wanted> {
    let mut book = OneMore::of(plan, fork);
    let all = templates(plan);
    let alive: Vec<(SlotIx, &Template)> = worth_a_look(&mut book, &all);
    for (kinds, count, looking, proving) in STAGES {
        book.use_up_to(looking);
        let mut starts: Vec<Start<'_>> = Vec::new();
        for &(slot, template) in alive.iter().filter(|(_, t)| kinds.contains(&to_order(t.kind))) {
            for free in template.choices(count) {
                starts.extend(start(&mut book, slot, template, free));
            }
        }
        starts.sort_by_key(Start::unlike);
        book.use_up_to(proving);
        for start in starts.iter().take(MOST_PROVED) {
            if let Some(found) = room::ranges(&mut book, start) {
                return Some(found);
            }
        }
    }
    None
}

/// Places and templates where some part might serve that has the template's build, whatever its sizes.
fn worth_a_look<'t>(book: &mut OneMore<'_>, all: &'t [(SlotIx, Template)]) -> Vec<(SlotIx, &'t Template)> {
    let mut known: Vec<(SlotIx, &Template, bool)> = Vec::new();
    let mut alive = Vec::new();
    for (slot, template) in all {
        let same = known.iter().find(|k| k.0 == *slot && k.1.same_build(template)).map(|k| k.2);
        let worth = same.unwrap_or_else(|| {
            let worth = book.may_go(*slot, template.wide(), Look::Quick);
            known.push((*slot, template, worth));
            worth
        });
        if worth {
            alive.push((*slot, template));
        }
    }
    alive
}

/// Sizes with which it goes: the widest cells first, each in its middle, and in halves where it may go elsewhere in it.
fn start<'t>(
    book: &mut OneMore<'_>,
    slot: SlotIx,
    template: &'t Template,
    free: Vec<usize>,
) -> Option<Start<'t>> {
    let mut cells = std::collections::VecDeque::from([Cell::whole(template, &free)]);
    for _ in 0..CELLS[free.len() - 1] {
        if book.spent() {
            return None;
        }
        let cell = cells.pop_front()?;
        let Some(shape) = cell.shape(template, &free) else { continue };
        if !book.may_go(slot, shape, cell.look(template, &free)) {
            continue;
        }
        let at = cell.middle();
        let exact: Vec<(i64, i64)> = at.iter().map(|&a| (a, a)).collect();
        if let Some(shape) = template.made(&free, &exact)
            && let Some(picks) = book.plan(slot, shape)
        {
            return Some(Start { slot, template, free, at, picks });
        }
        cells.extend(cell.halves(template, &free));
    }
    None
}
