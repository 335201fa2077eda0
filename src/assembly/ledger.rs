//! Findings case by case, joined into one outcome each: what passes in every case passes, what fails in every
//! case fails, anything between is to be measured. Must not know what a finding is about.

use super::build::Build;
use super::given::Given;
use super::report::{Demand, ItemIx, Outcome, Value};
use crate::quantity::Form;
use smallvec::SmallVec;
use std::collections::BTreeMap;

/// Further apart than anything on a scooter: stands for "never meets".
pub const FAR: i64 = 10_000_000_000;

/// A quantity in one case.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseValue {
    pub nominal: i64,
    pub least: i64,
    pub most: i64,
    pub form: Option<Form>,
}

impl CaseValue {
    pub fn of(form: Form, given: Given<'_>) -> CaseValue {
        CaseValue {
            nominal: form.nominal(given.dims),
            least: given.least(&form),
            most: given.most(&form),
            form: Some(form),
        }
    }

    /// The least of several; `None` when there are none.
    pub fn least_of(forms: &[Form], given: Given<'_>) -> Option<CaseValue> {
        let dims = given.dims;
        let at = (0..forms.len()).min_by_key(|&i| forms[i].nominal(dims))?;
        // Those that are more whatever the sizes are neither the least nor keep another from being it.
        let most = forms[at].most(dims);
        let near = |&(index, form): &(usize, &Form)| index == at || form.least(dims) < most;
        let near: SmallVec<[(usize, &Form); 8]> = forms.iter().enumerate().filter(near).collect();
        let least = near.iter().map(|(_, form)| given.least(form)).min()?;
        // Only the one that is least at nominal sizes can be least always.
        let mut others = near.iter().filter(|(index, _)| *index != at);
        let always = others.all(|(_, other)| given.most(&forms[at].minus(other)) <= 0);
        Some(CaseValue {
            nominal: forms[at].nominal(dims),
            least,
            most: if always { given.most(&forms[at]) } else { given.most_of_least(forms) },
            form: always.then(|| forms[at].clone()),
        })
    }

    /// The greatest of several.
    pub fn greatest_of(forms: &[Form], given: Given<'_>) -> Option<CaseValue> {
        let negated: Vec<Form> = forms.iter().map(Form::negated).collect();
        Some(CaseValue::least_of(&negated, given)?.negated())
    }

    pub fn negated(self) -> CaseValue {
        CaseValue {
            nominal: -self.nominal,
            least: -self.most,
            most: -self.least,
            form: self.form.map(|f| f.negated()),
        }
    }
}

#[derive(Clone, Debug)]
pub struct Finding {
    pub demand: Demand,
    pub about: Vec<ItemIx>,
    pub surfaces: Vec<&'static str>,
    pub measured: Measured,
    pub least: Option<i64>,
    pub most: Option<i64>,
    /// A recorded trial of the very parts, and what it makes of this.
    pub tried: Option<(usize, Outcome)>,
}

#[derive(Clone, Debug)]
pub enum Measured {
    Number(CaseValue),
    /// Holds or not; no number behind it.
    Fact(bool),
    /// What it must come to is not known (the limits of such a thread): nothing is built on that.
    Unknown,
}

#[derive(Clone, Debug)]
pub struct Entry {
    pub value: Option<CaseValue>,
    pub least: Option<i64>,
    pub most: Option<i64>,
    pub outcome: Outcome,
    pub tried: Option<usize>,
}

type Key = (Demand, Vec<ItemIx>, Vec<&'static str>);

/// All findings of a stack.
#[derive(Default)]
pub struct Ledger {
    entries: BTreeMap<Key, Entry>,
}

impl Ledger {
    pub fn add(&mut self, build: &Build<'_>, finding: Finding) {
        if !build.setting.asks(finding.demand) {
            return;
        }
        let outcome = finding.tried.map_or_else(|| outcome(&finding), |(_, outcome)| outcome);
        let tried = finding.tried.map(|(trial, _)| trial);
        let number = match finding.measured {
            Measured::Number(value) => Some(value),
            Measured::Fact(_) | Measured::Unknown => None,
        };
        let key = (finding.demand, finding.about, finding.surfaces);
        match self.entries.get_mut(&key) {
            None => {
                let (least, most) = (finding.least, finding.most);
                let entry = Entry { value: number, least, most, outcome, tried };
                self.entries.insert(key, entry);
            }
            Some(entry) => {
                if entry.outcome != outcome {
                    entry.outcome = Outcome::Measure;
                }
                entry.value = join(entry.value.take(), number);
            }
        }
    }

    pub fn entries(self) -> impl Iterator<Item = (Key, Entry)> {
        self.entries.into_iter()
    }

    /// What is worse than that: demand and items.
    pub fn worse_than(&self, limit: Outcome) -> Vec<(Demand, Vec<ItemIx>)> {
        self.entries.iter().filter(|(_, e)| e.outcome > limit).map(|((d, a, _), _)| (*d, a.clone())).collect()
    }

    pub fn worst(&self) -> Outcome {
        self.entries.values().map(|e| e.outcome).max().unwrap_or(Outcome::Pass)
    }
}

/// The hull of two cases' values; the first case is the nominal one.
pub fn join(first: Option<CaseValue>, next: Option<CaseValue>) -> Option<CaseValue> {
    match (first, next) {
        (Some(a), Some(b)) => Some(CaseValue {
            nominal: a.nominal,
            least: a.least.min(b.least),
            most: a.most.max(b.most),
            form: a.form.filter(|f| b.form.as_ref() == Some(f)),
        }),
        (Some(a), None) => Some(CaseValue { form: None, ..a }),
        (None, b) => b.map(|b| CaseValue { form: None, ..b }),
    }
}

fn outcome(finding: &Finding) -> Outcome {
    match &finding.measured {
        Measured::Fact(true) => Outcome::Pass,
        Measured::Fact(false) => Outcome::Fail,
        Measured::Unknown => Outcome::Fail,
        Measured::Number(value) => outcome_within(value, finding.least, finding.most),
    }
}

/// Always within the limits, never, or to be measured.
pub fn outcome_within(value: &CaseValue, least: Option<i64>, most: Option<i64>) -> Outcome {
    let (low, high) = (least.unwrap_or(i64::MIN), most.unwrap_or(i64::MAX));
    if value.least >= low && value.most <= high {
        Outcome::Pass
    } else if value.most < low || value.least > high {
        Outcome::Fail
    } else {
        Outcome::Measure
    }
}

impl From<CaseValue> for Value {
    fn from(value: CaseValue) -> Value {
        Value { nominal: value.nominal, least: value.least, most: value.most, form: value.form }
    }
}

/// A finding that is a number with limits.
pub fn number(
    demand: Demand,
    about: Vec<ItemIx>,
    surfaces: Vec<&'static str>,
    value: CaseValue,
    least: Option<i64>,
    most: Option<i64>,
) -> Finding {
    Finding { demand, about, surfaces, measured: Measured::Number(value), least, most, tried: None }
}

/// A finding that holds or not.
pub fn fact(demand: Demand, about: Vec<ItemIx>, holds: bool) -> Finding {
    let measured = Measured::Fact(holds);
    Finding { demand, about, surfaces: vec![], measured, least: None, most: None, tried: None }
}
