//! One way the comparisons of diameters and heights can turn out, and what follows from it.
//!
//! Where two diameters' ranges cross nobody can say which is larger, so the stack is followed both ways: a case
//! each, split on that one comparison. Cases are never dropped: what holds in all of them holds.
//! Must not know rules.

use super::given::Given;
use super::meet::{Face, touch};
use super::piece::{Bounds, Piece};
use super::report::{Contact, ItemIx};
use super::rims;
use crate::quantity::{Ends, Form};
use std::rc::Rc;

/// Above this many cases the stack is called merged and nothing in it is called sure.
pub const MOST_CASES: usize = 64;

/// A comparison: `form > 0` when `positive`, `form <= 0` when not.
#[derive(Clone, Debug, PartialEq)]
pub struct Decision {
    pub form: Form,
    pub positive: bool,
}

/// What an item touches, before cases are joined.
#[derive(Clone, Debug, PartialEq)]
pub struct Touch {
    pub item: ItemIx,
    pub column: &'static str,
    pub surface: &'static str,
    pub own_column: &'static str,
    pub contact: Contact,
    /// Inner and outer diameters whose overlap is the seat: the larger of the first, the smaller of the second count.
    pub inner: [Form; 2],
    pub outer: [Form; 2],
}

/// Where an item stands in a case. `None`: nothing beneath, or not placed by dropping.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stand {
    pub height: Option<Form>,
    /// Bounds of that height.
    pub bounds: Option<Bounds>,
    pub touches: Vec<Touch>,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Case {
    pub decisions: Vec<Decision>,
    /// By item. Shared between cases and levels of a search: never changed once there.
    pub stands: Vec<Rc<Stand>>,
}

/// A possible landing: a height, the comparisons that must hold, and the faces that touch.
#[derive(Clone, Debug)]
pub struct Candidate<'p> {
    pub height: Form,
    /// What of the height's slack comes with where the other item stands: the same for all its faces, so none between them.
    pub shared_slack: i64,
    pub needs: Vec<Decision>,
    pub over: Face<'p>,
    pub under: &'p Piece,
}

impl Candidate<'_> {
    /// How much higher than the other.
    pub fn over(&self, other: &Candidate<'_>) -> Form {
        let mut over = self.height.minus(&other.height);
        if self.over.item == other.over.item {
            over.slack -= self.shared_slack + other.shared_slack;
        }
        over
    }
}

/// How a comparison stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    Holds,
    Fails,
    Open,
}

impl Case {
    /// Whether a comparison holds, by its own range or by what this case has decided.
    pub fn standing(&self, need: &Decision, dims: &[Ends]) -> Standing {
        let given = self.given(dims);
        let positive = match self.decided(&need.form) {
            Some(positive) => positive,
            None if given.least(&need.form) > 0 => true,
            None if given.most(&need.form) <= 0 => false,
            None => return Standing::Open,
        };
        if positive == need.positive { Standing::Holds } else { Standing::Fails }
    }

    /// The comparisons that this case leaves open; `None` when one of them fails.
    pub fn left_open(&self, needs: &[Decision], dims: &[Ends]) -> Option<Vec<Decision>> {
        let mut open = Vec::new();
        for need in needs {
            match self.standing(need, dims) {
                Standing::Holds => {}
                Standing::Open => open.push(need.clone()),
                Standing::Fails => return None,
            }
        }
        Some(open)
    }

    fn decided(&self, form: &Form) -> Option<bool> {
        let negated = form.negated();
        self.decisions.iter().find_map(|d| {
            if d.form == *form {
                Some(d.positive)
            } else if d.form == negated {
                // Exactly equal counts as "not greater" on both sides; the edge itself changes no height.
                Some(!d.positive)
            } else {
                None
            }
        })
    }

    /// The parts for which this case's decisions hold.
    pub fn given<'a>(&'a self, dims: &'a [Ends]) -> Given<'a> {
        Given::decided(dims, &self.decisions)
    }

    fn with(&self, form: &Form, positive: bool) -> Case {
        let mut case = self.clone();
        case.decisions.push(Decision { form: form.clone(), positive });
        case
    }

    /// All the ways the next item can land here, the one that nominal sizes give first. Faces that can touch only at the rim of
    /// a seat that is sure are passed over (`rims`); one that may touch as high as what is sure, and is another support, is not.
    ///
    /// With more than [`MOST_CASES`] the rest is left out: whoever asks calls the stack merged.
    pub fn settle(self, candidates: &[Candidate<'_>], dims: &[Ends], out: &mut Vec<Case>) {
        if out.len() > MOST_CASES {
            return;
        }
        let mut sure: Vec<&Candidate<'_>> = Vec::new();
        let mut open: Vec<(&Candidate<'_>, &Decision)> = Vec::new();
        for candidate in candidates {
            let standings = candidate.needs.iter().map(|need| (need, self.standing(need, dims)));
            let mut first_open = None;
            let mut fails = false;
            for (need, standing) in standings {
                fails |= standing == Standing::Fails;
                if standing == Standing::Open && first_open.is_none() {
                    first_open = Some(need);
                }
            }
            match (fails, first_open) {
                (true, _) => {}
                (false, None) => sure.push(candidate),
                (false, Some(need)) => open.push((candidate, need)),
            }
        }
        let mut higher = rims::leave_out(&mut sure, &mut open, self.given(dims));
        for (candidate, need) in &open {
            let given = self.given(dims).and(&candidate.needs);
            let carries_less = |s: &&Candidate<'_>| {
                let over = rims::never_higher(&candidate.over(s), given)?;
                (!rims::is_another_support(candidate, s, dims)).then_some(over)
            };
            if let Some(over) = sure.iter().find_map(carries_less) {
                higher = higher.max(over);
                continue;
            }
            let nominal = need.form.nominal(dims) > 0;
            for positive in [nominal, !nominal] {
                self.with(&need.form, positive).settle(candidates, dims, out);
            }
            return;
        }
        self.stand_on_highest(&sure, higher, dims, out);
    }

    /// `higher`: what the landing may be more than the highest of them, by rounding alone.
    fn stand_on_highest(mut self, sure: &[&Candidate<'_>], higher: i64, dims: &[Ends], out: &mut Vec<Case>) {
        // An exact tie keeps both, unless it is what this case has decided: then it is the edge of another case.
        let given = self.given(dims);
        let beaten = |c: &Candidate<'_>| {
            sure.iter().find_map(|s| {
                let over = c.over(s);
                if over.most(dims) < 0 {
                    return Some(0);
                }
                let decided = !self.decisions.is_empty() && !rims::one_height(&over, dims);
                rims::never_higher(&over, given).filter(|_| decided && given.least(&over) < 0)
            })
        };
        let mut groups: Vec<(&Candidate<'_>, Vec<Touch>)> = Vec::new();
        // What heights that are one but for rounding can be off by.
        let mut off = higher;
        for &candidate in sure {
            if let Some(over) = beaten(candidate) {
                off = off.max(higher + over);
                continue;
            }
            let touch = touch(candidate.over, candidate.under);
            match groups.iter_mut().find(|(first, _)| rims::one_height(&candidate.over(first), dims)) {
                Some((first, touches)) => {
                    off = off.max(higher + rims::rounding(&candidate.over(first), dims));
                    if !touches.contains(&touch) {
                        touches.push(touch);
                    }
                }
                None => groups.push((candidate, vec![touch])),
            }
        }
        let standing =
            |(first, touches): (&Candidate<'_>, Vec<Touch>)| (first.height.clone().with_slack(off), touches);
        let mut groups: Vec<(Form, Vec<Touch>)> = groups.into_iter().map(standing).collect();
        groups.sort_by_key(|(height, _)| std::cmp::Reverse(height.nominal(dims)));
        if groups.is_empty() {
            self.stands.push(Rc::new(Stand::default()));
            out.push(self);
            return;
        }
        let heights: Vec<Form> = groups.iter().map(|(h, _)| h.clone()).collect();
        for (index, (height, mut touches)) in groups.into_iter().enumerate() {
            drop_rims(&mut touches);
            let mut case = self.clone();
            for other in heights.iter().enumerate().filter(|(i, _)| *i != index).map(|(_, h)| h) {
                case.decisions.push(Decision { form: other.minus(&height), positive: false });
            }
            // Each height may be the highest next to each other one, and not next to all of them together.
            if heights.len() > 2 && !case.given(dims).possible() {
                continue;
            }
            let bounds = Some(Bounds::of(&height, dims));
            case.stands.push(Rc::new(Stand { height: Some(height), bounds, touches }));
            out.push(case);
        }
    }
}

/// The rim of a seat touches at the same height as the seat itself and is no support of its own.
fn drop_rims(touches: &mut Vec<Touch>) {
    let seats: Vec<_> = touches
        .iter()
        .filter(|t| t.contact != Contact::Edge)
        .map(|t| (t.item, t.column, t.own_column))
        .collect();
    touches.retain(|t| t.contact != Contact::Edge || !seats.contains(&(t.item, t.column, t.own_column)));
}
