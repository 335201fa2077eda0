//! Still against turning: standing parts (head tube, outer rings) clear everything that turns.
//!
//! Two pieces of metal are apart when they are apart along the axis or across it, drift taken off: all the drift that the
//! parts in hand have, at either end. Unlike a seat, which stays as it was clamped, what turns is knocked about for as long as
//! it is ridden, and takes up all its play some day; so no real parts pass that would rub if they lay otherwise. The best case
//! is parts with as little play as can be, not parts that happen to lie in the middle. Must not know limits of other checks.

use super::build::Build;
use super::case::Case;
use super::drift::{Chains, Drift};
use super::ledger::{CaseValue, Ledger, number};
use super::loose::lies;
use super::piece::Bounds;
use super::report::{Demand, ItemIx, PlacedColumn, PlacedSegment};
use crate::quantity::{Form, ONE};

/// Pairs further apart than this are not worth a line (nanometres).
const WORTH_A_LINE: i64 = 2_000_000;

/// How far two items can be off centre from each other.
struct Play {
    chains: Chains,
    /// At its widest; `None`: nothing centres them.
    widest: Option<i64>,
}

struct Metal<'b> {
    item: ItemIx,
    column: &'static str,
    segment: &'b PlacedSegment,
    bottom: Form,
    top: Form,
    reach: Bounds,
    /// Its bottom at the most, its top at the least.
    within: Bounds,
    /// Narrowest and widest that bore and outside can be.
    bore: Bounds,
    outside: Bounds,
}

pub fn still(build: &Build<'_>, case: &Case, drift: &Drift<'_>, ledger: &mut Ledger) {
    let limit = build.setting.rule.limits.still_least.as_nm();
    let (standing, turning) = metal(build, case);
    for (of_a, of_b) in by_item(&standing).flat_map(|of_a| by_item(&turning).map(move |of_b| (of_a, of_b))) {
        let (a, b) = (of_a[0].item, of_b[0].item);
        if a == b {
            continue;
        }
        let chains = drift.between(a, b);
        let play = Play { widest: chains.widest(&build.dims), chains };
        let mut apart: Option<CaseValue> = None;
        let both = || of_a.iter().flat_map(|s| of_b.iter().map(move |t| (s, t)));
        // What is surely no nearer than the nearest can be changes nothing.
        let nearest = both().map(|(s, t)| apart_at_most(s, t, &play)).min();
        for (s, t) in both().filter(|(s, t)| nearest.is_none_or(|nearest| surely_apart(s, t) <= nearest)) {
            if let Some(value) = separation(build, case, s, t, &play) {
                apart = Some(match apart {
                    None => value,
                    Some(least) => smaller(least, value),
                });
            }
        }
        if let Some(value) = apart.filter(|v| v.least < WORTH_A_LINE) {
            let surfaces = build.item(a).columns.first().map(|c| c.name).into_iter().collect();
            ledger.add(build, number(Demand::Still, vec![a, b], surfaces, value, Some(limit), None));
        }
    }
}

/// An item's pieces lie together.
fn by_item<'m, 'b>(all: &'m [Metal<'b>]) -> impl Iterator<Item = &'m [Metal<'b>]> {
    all.chunk_by(|one, other| one.item == other.item)
}

pub fn smaller(a: CaseValue, b: CaseValue) -> CaseValue {
    let form = if a.most <= b.least {
        a.form
    } else if b.most <= a.least {
        b.form
    } else {
        None
    };
    CaseValue {
        nominal: a.nominal.min(b.nominal),
        least: a.least.min(b.least),
        most: a.most.min(b.most),
        form,
    }
}

/// What stands, and what turns that is not too far from all that stands to be worth a line.
fn metal<'b>(build: &'b Build<'_>, case: &Case) -> (Vec<Metal<'b>>, Vec<Metal<'b>>) {
    let stands = |item: ItemIx, column: &PlacedColumn| {
        build.slot_of(item).still.iter().any(|c| c == "*" || c == column.name)
    };
    let columns = |standing: bool| {
        let all = build.all().filter_map(|item| Some((item, lies(build, case, item)?)));
        let of_item = |(item, base): (ItemIx, [Form; 2])| {
            build.item(item).columns.iter().map(move |column| (item, base.clone(), column))
        };
        all.flat_map(of_item).filter(move |(item, _, column)| stands(*item, column) == standing)
    };
    let (mut standing, mut turning) = (Vec::new(), Vec::new());
    for (item, base, column) in columns(true) {
        segments(build, item, column, &base, &mut standing);
    }
    let lowest = standing.iter().map(|m: &Metal<'_>| m.reach.least).min();
    let highest = standing.iter().map(|m| m.reach.most).max();
    for (item, base, column) in columns(false) {
        let reach = reach(build, column, &base);
        let far =
            |lowest, highest| reach.least - highest > WORTH_A_LINE || lowest - reach.most > WORTH_A_LINE;
        if !lowest.zip(highest).is_none_or(|(lowest, highest)| far(lowest, highest)) {
            segments(build, item, column, &base, &mut turning);
        }
    }
    (standing, turning)
}

/// Loose bounds of where a column's metal is.
fn reach(build: &Build<'_>, column: &PlacedColumn, [lowest, highest]: &[Form; 2]) -> Bounds {
    let of = |form: &Form| (form.least(&build.dims), form.most(&build.dims));
    let start = of(&column.start);
    let mut at = (of(lowest).0 + start.0, of(highest).1 + start.1);
    let mut reach = Bounds { least: at.0, most: at.1 };
    for segment in &column.segments {
        let length = of(&segment.length);
        at = (at.0 + length.0, at.1 + length.1);
        reach = Bounds { least: reach.least.min(at.0), most: reach.most.max(at.1) };
    }
    reach
}

/// Of what lies loose, all that it may fill.
fn segments<'b>(
    build: &Build<'_>,
    item: ItemIx,
    column: &'b PlacedColumn,
    [lowest, highest]: &[Form; 2],
    into: &mut Vec<Metal<'b>>,
) {
    let mut start = column.start.clone();
    for segment in &column.segments {
        let end = start.plus(&segment.length);
        let (bottom, top) = (lowest.plus(&start), highest.plus(&end));
        let reach = Bounds { least: bottom.least(&build.dims), most: top.most(&build.dims) };
        let within = Bounds { least: top.least(&build.dims), most: bottom.most(&build.dims) };
        let ends = |diameters: &[Form]| Bounds {
            least: diameters.iter().map(|d| d.least(&build.dims)).min().unwrap_or(0),
            most: diameters.iter().map(|d| d.most(&build.dims)).max().unwrap_or(0),
        };
        into.push(Metal {
            within,
            bore: ends(&segment.bore.diameter),
            outside: ends(&segment.outside.diameter),
            item,
            column: column.name,
            segment,
            bottom,
            top,
            reach,
        });
        start = end;
    }
}

/// How far apart two pieces of metal surely are along the axis.
fn surely_apart(s: &Metal<'_>, t: &Metal<'_>) -> i64 {
    (s.reach.least - t.reach.most).max(t.reach.least - s.reach.most)
}

/// No further apart than this are two pieces of metal, along the axis or across it, even in the middle.
fn apart_at_most(s: &Metal<'_>, t: &Metal<'_>, play: &Play) -> i64 {
    let along = (s.within.most - t.within.least).max(t.within.most - s.within.least);
    let across = (s.bore.most - t.outside.least).max(t.bore.most - s.outside.least) / 2 + 1;
    if play.chains.none() { along } else { along.max(across) }
}

/// How far apart two pieces of metal are: along the axis or across it, whichever is more. `None`: far apart.
fn separation(
    build: &Build<'_>,
    case: &Case,
    s: &Metal<'_>,
    t: &Metal<'_>,
    play: &Play,
) -> Option<CaseValue> {
    let given = case.given(&build.dims);
    if surely_apart(s, t) > WORTH_A_LINE {
        return None;
    }
    if let Some(play) = play.widest {
        let clear = (s.bore.least - t.outside.most).max(t.bore.least - s.outside.most) / 2 - play;
        if clear > WORTH_A_LINE {
            return None;
        }
    }
    debug_assert!(s.item != t.item || s.column != t.column);
    // The greatest of these counts, all looked at together; of a cone's two ends the nearer, each for itself.
    let mut apart = vec![s.bottom.minus(&t.top), t.bottom.minus(&s.top)];
    let mut nearest: Vec<CaseValue> = Vec::new();
    let mut middle = i64::MIN;
    for (outer, inner) in [(s, t), (t, s)] {
        let mut gaps = Vec::new();
        for bore in each_once(&outer.segment.bore.diameter) {
            gaps.extend(each_once(&inner.segment.outside.diameter).iter().map(|o| bore.minus(o)));
        }
        // Of the chains that keep them together the one that leaves most room counts.
        for chain in &play.chains.all {
            let left = gaps.iter().flat_map(|gap| chain.iter().map(|p| gap.minus(p).times(ONE / 2)));
            let mut left: Vec<Form> = left.collect();
            if left.len() > 1 {
                nearest.extend(CaseValue::least_of(&left, given));
            } else {
                apart.append(&mut left);
            }
        }
        if play.chains.perhaps_less {
            let gaps: Vec<Form> = gaps.iter().map(|gap| gap.times(ONE / 2)).collect();
            middle = middle.max(CaseValue::least_of(&gaps, given).map_or(i64::MIN, |gap| gap.most));
        }
    }
    let best = CaseValue::greatest_of(&apart, given)?;
    let best = nearest.into_iter().fold(best, larger);
    let form = best.form.filter(|_| middle <= best.most);
    Some(CaseValue { most: best.most.max(middle), form, ..best })
}

/// A wall's diameters: one where both its ends have the same.
fn each_once(ends: &[Form; 2]) -> &[Form] {
    if ends[0] == ends[1] { &ends[..1] } else { ends }
}

pub fn larger(a: CaseValue, b: CaseValue) -> CaseValue {
    let form = if a.least >= b.most {
        a.form
    } else if b.least >= a.most {
        b.form
    } else {
        None
    };
    CaseValue {
        nominal: a.nominal.max(b.nominal),
        least: a.least.max(b.least),
        most: a.most.max(b.most),
        form,
    }
}
