//! What is pushed, what is fixed to the fork, and how far the push can still go: load path and closing gap.
//!
//! The push starts at the part the bolt pulls, not at the bolt. Must not know grips: they count as open.

use super::build::{Build, Pick, Setting};
use super::case::{Case, Decision};
use super::given::Given;
use super::ledger::{CaseValue, FAR, Ledger, fact, join, number};
use super::meet::{Face, candidates, overlap};
use super::piece::Piece;
use super::report::{Demand, ItemIx, Value};
use crate::quantity::Form;
use smallvec::SmallVec;

/// A distance between two items' faces, and the comparisons on which it hangs that they meet at all.
#[derive(Clone, Debug)]
pub struct Distance {
    pub form: Form,
    /// Not decided yet; empty: the faces surely meet.
    pub open: Vec<Decision>,
}

impl Distance {
    pub fn sure(&self) -> bool {
        self.open.is_empty()
    }
}

/// So many open comparisons are looked at each way; with more the bounds are wider than they need be.
const MOST_QUESTIONS: usize = 4;

const NEVER: CaseValue = CaseValue { nominal: FAR, least: FAR, most: FAR, form: None };

/// Items that the push goes through from the pulled part to the ring, ring included.
pub fn pushed(build: &Build<'_>, case: &Case) -> Vec<ItemIx> {
    let rule = build.setting.rule;
    let below_ring = |item: ItemIx| {
        let slot = build.item(item).pick.slot;
        slot.0 == 0 || rule.path.iter().skip(1).any(|s| s.slot == slot)
    };
    let mut found: Vec<ItemIx> = Vec::new();
    let mut next: Vec<ItemIx> = build.in_slot(rule.pulled).collect();
    while let Some(item) = next.pop() {
        if found.contains(&item) || below_ring(item) {
            continue;
        }
        found.push(item);
        next.extend(case.stands[item.0 as usize].touches.iter().map(|t| t.item));
    }
    found.sort();
    found
}

/// The fork and what is pressed on or set in it.
pub fn fixed(build: &Build<'_>) -> Vec<ItemIx> {
    let with_fork = |item: ItemIx| {
        let it = build.item(item);
        let pressed =
            it.seated.as_ref().is_some_and(|s| s.on.0 == ItemIx(0)) && !it.shape.features.split_ring;
        let hosted = build.host(item) == Some(ItemIx(0));
        item == ItemIx(0) || ((pressed || hosted) && !build.is_chosen(item))
    };
    build.all().filter(|&i| with_fork(i)).collect()
}

/// Load path, from the pulled part on: every chain ends in the ring. The path's own steps are checked item by item.
pub fn path(build: &Build<'_>, case: &Case, pushed: &[ItemIx], ledger: &mut Ledger) {
    let rule = build.setting.rule;
    let Some(ring) = rule.path.first().map(|s| s.slot) else { return };
    let pulled: Vec<ItemIx> = build.in_slot(rule.pulled).collect();
    if pulled.is_empty() {
        ledger.add(build, fact(Demand::Path, vec![], false));
    }
    for &item in pushed.iter().filter(|&&i| build.item(i).pick.slot != ring) {
        let touches = &case.stands[item.0 as usize].touches;
        let holds = !touches.is_empty() && touches.iter().all(|t| pushed.contains(&t.item));
        ledger.add(build, fact(Demand::Path, vec![item], holds));
    }
}

/// The closing gap: least distance a pushed part can still go down.
pub fn gap(build: &Build<'_>, case: &Case, pushed: &[ItemIx], ledger: &mut Ledger) {
    let limits = &build.setting.rule.limits;
    let fixed = fixed(build);
    let mut distances = Distances::default();
    for &item in pushed {
        for &stop in &fixed {
            distances.down(build, case, item, stop);
        }
    }
    let about = gap_between(build);
    let least = Some(limits.gap_least.as_nm());
    ledger.add(
        build,
        match least_distance(build, case, &distances.all) {
            Some(value) => number(Demand::GapLeast, about, vec![], value, least, None),
            // Nothing that is pushed ever meets the fork.
            None => fact(Demand::GapLeast, about, true),
        },
    );
}

/// How far each pushed item can go down before it meets the fork or what is fixed to it, over all cases, in drop order. One that
/// never meets it has none.
pub fn gaps(setting: Setting<'_>, picks: &[Pick]) -> Vec<(ItemIx, Value)> {
    let build = Build::of(setting, picks);
    let fixed = fixed(&build);
    let mut found: Vec<(ItemIx, CaseValue)> = Vec::new();
    for case in &build.cases {
        for item in pushed(&build, case) {
            let mut distances = Distances::default();
            fixed.iter().for_each(|&stop| distances.down(&build, case, item, stop));
            let Some(value) = least_distance(&build, case, &distances.all) else { continue };
            match found.iter_mut().find(|known| known.0 == item) {
                Some(known) => {
                    known.1.least = known.1.least.min(value.least);
                    known.1.most = known.1.most.max(value.most);
                }
                None => found.push((item, value)),
            }
        }
    }
    found.sort_by_key(|known| known.0);
    found.into_iter().map(|(item, value)| (item, CaseValue { form: None, ..value }.into())).collect()
}

fn gap_between(build: &Build<'_>) -> Vec<ItemIx> {
    let pulled = build.in_slot(build.setting.rule.pulled).next();
    pulled.into_iter().chain([ItemIx(0)]).collect()
}

/// The least of the distances. Where nobody can say whether two faces meet, it is looked at both ways.
pub fn least_distance(build: &Build<'_>, case: &Case, distances: &[Distance]) -> Option<CaseValue> {
    let given = case.given(&build.dims);
    let surely: Vec<Form> = distances.iter().filter(|d| d.sure()).map(|d| d.form.clone()).collect();
    let matters = |d: &&Distance| {
        let given = given.and(&d.open);
        !d.sure() && surely.iter().all(|s| given.most(&s.minus(&d.form)) > 0)
    };
    let open: Vec<&Distance> = distances.iter().filter(matters).collect();
    let mut questions: Vec<&Form> = Vec::new();
    for need in open.iter().flat_map(|d| &d.open) {
        if !questions.contains(&&need.form) {
            questions.push(&need.form);
        }
    }
    match questions.len() {
        0 => CaseValue::least_of(&surely, given),
        1..=MOST_QUESTIONS => each_way(given, &surely, &open, &questions),
        _ => loosely(given, &surely, &open),
    }
}

/// The hull over every way the questions can turn out, the way of nominal sizes first.
fn each_way(given: Given<'_>, surely: &[Form], open: &[&Distance], questions: &[&Form]) -> Option<CaseValue> {
    let nominal = |q: &Form| q.nominal(given.dims) > 0;
    let mut hull: Option<CaseValue> = None;
    for turned in 0..1_u32 << questions.len() {
        let answer = |(at, q): (usize, &&Form)| Decision {
            form: (*q).clone(),
            positive: nominal(q) != (turned >> at & 1 == 1),
        };
        let answers: Vec<Decision> = questions.iter().enumerate().map(answer).collect();
        let given = given.and(&answers);
        if !given.possible() {
            continue;
        }
        let meet = open.iter().filter(|d| d.open.iter().all(|need| answers.contains(need)));
        let forms: Vec<Form> = surely.iter().chain(meet.map(|d| &d.form)).cloned().collect();
        let value = CaseValue::least_of(&forms, given).unwrap_or(NEVER);
        hull = match hull {
            Some(first) if first.nominal == FAR => {
                join(Some(CaseValue { nominal: value.nominal, ..first }), Some(value))
            }
            first => join(first, Some(value)),
        };
    }
    hull
}

/// Faces that are not sure to meet count for the least, not for the most.
fn loosely(given: Given<'_>, surely: &[Form], open: &[&Distance]) -> Option<CaseValue> {
    let all: Vec<Form> = surely.iter().chain(open.iter().map(|d| &d.form)).cloned().collect();
    let least = CaseValue::least_of(&all, given)?;
    let sure = CaseValue::least_of(surely, given);
    let nominal = sure.as_ref().map_or(least.nominal, |v| v.nominal);
    Some(CaseValue { nominal, least: least.least, most: sure.map_or(FAR, |v| v.most), form: None })
}

/// Distances of which the least is looked for.
pub struct Distances {
    pub all: Vec<Distance>,
    /// No less than the least of them; nanometres.
    most: i64,
}

impl Default for Distances {
    fn default() -> Distances {
        Distances { all: Vec::new(), most: i64::MAX }
    }
}

impl Distances {
    /// How far `item` can go down before each face of it meets a face of `stop`; but for those that are surely more than another.
    pub fn down(&mut self, build: &Build<'_>, case: &Case, item: ItemIx, stop: ItemIx) {
        if item == stop {
            return;
        }
        let (Some(upper), Some(lower)) = (build.bottom(case, item), build.bottom(case, stop)) else { return };
        let between = upper.minus(lower);
        let least = between.least(&build.dims);
        let (tops, bottoms) = (&build.item(stop).tops, &build.item(item).bottoms);
        for (over, under) in tops.iter().flat_map(|over| bottoms.iter().map(move |under| (over, under))) {
            if least - (over.reach.most - under.reach.least) > self.most {
                continue;
            }
            for meeting in meetings(build, case, (stop, over), (item, under)) {
                let form = between.minus(&meeting.form);
                if meeting.sure() {
                    self.most = self.most.min(form.most(&build.dims));
                }
                self.all.push(Distance { form, open: meeting.open });
            }
        }
    }
}

/// Heights of the upper item's bottom above the lower one's bottom at which the two faces meet.
fn meetings(
    build: &Build<'_>,
    case: &Case,
    (lower, over): (ItemIx, &Piece),
    (upper, under): (ItemIx, &Piece),
) -> SmallVec<[Distance; 2]> {
    let (a, b) = (Face { item: lower, piece: over }, Face { item: upper, piece: under });
    let Some(needs) = overlap(a, b, build, &build.dims) else { return SmallVec::new() };
    let mut landings = Vec::new();
    candidates(a, under, needs, &build.dims, &mut landings);
    let each = landings.into_iter().filter_map(|landing| {
        let open = case.left_open(&landing.needs, &build.dims)?;
        Some(Distance { form: landing.height, open })
    });
    each.collect()
}
