//! How far what is pushed can still go down, as a step tells it. Must not know whole sentences.

use super::bench::Bench;
use crate::assembly::{Check, Contact, Demand, ItemIx, Placed, Value};
use crate::quantity::{Ends, Form};
use crate::solve::ReadWhat;

/// No gap is as wide: nothing that is pushed ever meets the fork. Nanometres.
const FARTHEST: i64 = 1_000_000_000;

/// "2.10 to 4.30 mm": what it comes to with parts within tolerance, and of that only what is enough.
pub fn gap(bench: &Bench, item: Option<ItemIx>) -> Option<String> {
    let value = of(bench, item)?;
    Some(range(bench, value.least.max(enough(bench, value)), value.most, value))
}

/// The same only where the part may be what meets the fork first.
pub fn least_gap(bench: &Bench, item: ItemIx) -> Option<String> {
    let all = closing(bench)?.value.as_ref()?;
    own(bench, item).filter(|own| own.least < all.most)?;
    gap(bench, Some(item))
}

/// The same as one reads it before the part goes on: from what it will rest on down to what it would meet. It reaches
/// below what it rests on by its spigot, and the gap is less by that.
pub fn drop(bench: &Bench, item: ItemIx) -> Option<String> {
    let value = of(bench, Some(item))?;
    let below = below_its_seat(bench, item)?;
    let surely = enough(bench, value).saturating_add(below.most);
    Some(range(bench, (value.least + below.least).max(surely), value.most.saturating_add(below.most), value))
}

/// How much of that reading is no gap: said where the part has a spigot.
pub fn spigot(bench: &Bench, item: ItemIx) -> Option<String> {
    let below = below_its_seat(bench, item)?.nominal;
    (below > 0).then(|| bench.words().say("step.spigot", &[("by", &bench.lengths().exact(below))]))
}

/// Said where the gap that the step tells may be more than the rule likes to see.
pub fn wide(bench: &Bench, item: Option<ItemIx>) -> Option<String> {
    let wish = bench.rule.limits.gap_wish?.as_nm();
    let wide = |value: &&Value| value.most > wish && value.most < FARTHEST;
    let all = of(bench, item).filter(wide)?.least > wish;
    let wish = bench.lengths().exact(wish);
    let key = if all { "step.gap-wide" } else { "step.gap-perhaps-wide" };
    Some(bench.words().say(key, &[("wish", &wish)]))
}

fn range(bench: &Bench, least: i64, most: i64, value: &Value) -> String {
    let lengths = bench.lengths();
    match value.most < FARTHEST {
        // Where less would not do, nothing is rounded down to it.
        true if value.least < enough(bench, value) => {
            lengths.inward(least, most, 2).unwrap_or_else(|| lengths.no_less_than(least))
        }
        true => lengths.outward(least, most),
        false => lengths.no_less(least),
    }
}

/// The least that is enough: what the reading of it says, where there is one, or the rule. Nothing to add where no part
/// within tolerance has less.
fn enough(bench: &Bench, value: &Value) -> i64 {
    let checks = &bench.stack().checks;
    let Some(place) = checks.iter().position(|check| check.demand == Demand::GapLeast) else {
        return i64::MIN;
    };
    let read = bench.answer.readings.iter().find(|r| r.what == ReadWhat::DryBuild(place));
    let least = read.and_then(|reading| reading.go_from).or(checks[place].least);
    least.filter(|&least| value.least < least).unwrap_or(i64::MIN)
}

/// How far the step's own part can go down, where it is pushed; else the least of all.
fn of<'b>(bench: &Bench<'b>, item: Option<ItemIx>) -> Option<&'b Value> {
    let own = item.and_then(|item| own(bench, item));
    own.or_else(|| closing(bench)?.value.as_ref())
}

fn own<'b>(bench: &Bench<'b>, item: ItemIx) -> Option<&'b Value> {
    bench.answer.gaps.iter().find(|gap| gap.0 == item).map(|gap| &gap.1)
}

fn closing<'b>(bench: &Bench<'b>) -> Option<&'b Check> {
    bench.stack().checks.iter().find(|check| check.demand == Demand::GapLeast)
}

/// From a part's foot up to the face by which it rests.
fn below_its_seat(bench: &Bench, item: ItemIx) -> Option<Ends> {
    let placed = bench.item(item);
    let support = placed.rests_on.iter().find(|s| s.certain).or(placed.rests_on.first())?;
    let ends: Vec<Ends> = bench.stack().dims.iter().map(|dim| dim.ends).collect();
    let foot = bench.bottom(item)?;
    let under = bench.faces(support.item, &ends)?;
    let on = |height: &Form| under.iter().any(|face| face.top == foot + height.nominal(&ends));
    let faces = own_faces(placed, support.own_column).into_iter();
    let seat = faces.filter(|_| support.contact == Contact::Flat).find(on)?;
    Some(Ends { nominal: seat.nominal(&ends), least: seat.least(&ends), most: seat.most(&ends) })
}

/// Heights above a part's foot at which its rings end, from the lowest up.
fn own_faces(placed: &Placed, column: &str) -> Vec<Form> {
    let mut found = Vec::new();
    for column in placed.columns.iter().filter(|c| c.name == column) {
        let mut height = column.start.clone();
        found.push(height.clone());
        for segment in &column.segments {
            height = height.plus(&segment.length);
            found.push(height.clone());
        }
    }
    found
}
