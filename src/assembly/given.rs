//! Bounds of a length over those parts for which certain comparisons hold: the ones a case has decided.
//!
//! Where `G >= 0` holds for the parts in hand, `form + t G` bounds `form` from above for every `t >= 0`. The best `t`
//! for several comparisons at once is what linear programming finds. It is looked for in floating point and never
//! trusted: whatever `t` comes out, the bound is added up from it in whole numbers, rounded outward. A poor `t` gives
//! a wide bound, never a wrong one. Must not know what is compared.

use super::case::Decision;
use super::multipliers::{Lean, Ray, multipliers};
use crate::quantity::{Ends, Form, ONE};

/// Multipliers are counted in thousand-millionths.
const PARTS: i128 = 1_000_000_000;
/// A millionth of a thousand-millionth of a nanometre: what sums are added up in.
const UNIT: i128 = PARTS * ONE as i128;
/// Above this many comparisons at once the rest is disregarded: the bound stays true and may be wide.
const MOST_COMPARISONS: usize = 24;

/// The parts within their tolerances for which all the decisions hold.
#[derive(Clone, Copy)]
pub struct Given<'a> {
    pub dims: &'a [Ends],
    decisions: [&'a [Decision]; 2],
}

/// `constant + sum of terms` over numbered variables, nanometres; terms in millionths, sorted by variable.
#[derive(Clone)]
struct Row {
    constant: i64,
    terms: Vec<(u32, i64)>,
}

/// Stands for the least of several forms, as a variable of its own.
const LEAST: u32 = u32::MAX;

impl<'a> Given<'a> {
    /// All parts within their tolerances.
    pub fn any(dims: &'a [Ends]) -> Given<'a> {
        Given { dims, decisions: [&[], &[]] }
    }

    pub fn decided(dims: &'a [Ends], decisions: &'a [Decision]) -> Given<'a> {
        Given { dims, decisions: [decisions, &[]] }
    }

    /// With these as well, in place of any added before.
    pub fn and(self, more: &'a [Decision]) -> Given<'a> {
        Given { decisions: [self.decisions[0], more], ..self }
    }

    /// Greatest value of a form; rounded up.
    pub fn most(&self, form: &Form) -> i64 {
        let plain = form.most(self.dims);
        let held = self.bearing_on(&[form]);
        if held.is_empty() {
            return plain;
        }
        self.bound(&row(form), &held, None).map_or(plain, |bound| bound.min(plain))
    }

    /// Least value of a form; rounded down.
    pub fn least(&self, form: &Form) -> i64 {
        if self.decisions.iter().all(|d| d.is_empty()) {
            return form.least(self.dims);
        }
        -self.most(&form.negated())
    }

    /// The greatest that the least of several forms can be; rounded up. There must be one at least.
    pub fn most_of_least(&self, forms: &[Form]) -> i64 {
        let ends: Vec<(i64, i64)> = forms.iter().map(|f| (self.least(f), self.most(f))).collect();
        let plain = ends.iter().map(|e| e.1).min().unwrap_or(i64::MAX);
        // What is never below the others' reach is never the least.
        let low: Vec<&Form> = forms.iter().zip(&ends).filter(|(_, e)| e.0 < plain).map(|(f, _)| f).collect();
        let held = self.bearing_on(&low);
        if low.len() < 2 || (held.is_empty() && !any_shared(&low)) {
            return plain;
        }
        let floor = ends.iter().map(|e| e.0).min().unwrap_or(plain);
        let mut rows = held;
        for form in &low {
            let mut over = row(form);
            over.terms.push((LEAST, -ONE));
            rows.push(over);
        }
        let least = Row { constant: 0, terms: vec![(LEAST, ONE)] };
        self.bound(&least, &rows, Some((floor.min(plain), plain))).map_or(plain, |bound| bound.min(plain))
    }

    /// False only when no parts at all are so.
    pub fn possible(&self) -> bool {
        let rows: Vec<Row> = self.held().map(|(_, row)| row).collect();
        if rows.is_empty() {
            return true;
        }
        let nothing = Row { constant: 0, terms: vec![] };
        let leans = leans(&rows, self.dims, None);
        match multipliers(&lean(&nothing, self.dims, None, &variables(&rows)), &leans) {
            Ok(_) => true,
            Err(Ray(times)) => self.summed(None, &rows, &times, None) >= 0,
        }
    }

    /// Every decision as a form that is not negative.
    fn held(&self) -> impl Iterator<Item = (&'a Decision, Row)> {
        self.decisions.into_iter().flatten().map(|d| {
            let form = if d.positive { d.form.clone() } else { d.form.negated() };
            (d, row(&form))
        })
    }

    /// Those that bear on the forms, through dimensions they share, directly or by way of others.
    fn bearing_on(&self, forms: &[&Form]) -> Vec<Row> {
        let all: Vec<&'a Decision> = self.decisions.into_iter().flatten().collect();
        if all.is_empty() {
            return Vec::new();
        }
        let mut dims: Vec<u32> = forms.iter().flat_map(|f| f.terms.iter().map(|t| t.0)).collect();
        let mut taken = vec![false; all.len()];
        loop {
            let before = dims.len();
            for (decision, taken) in all.iter().zip(&mut taken).filter(|(_, t)| !**t) {
                if decision.form.terms.iter().any(|t| dims.contains(&t.0)) {
                    *taken = true;
                    dims.extend(decision.form.terms.iter().map(|t| t.0));
                }
            }
            if dims.len() == before {
                break;
            }
        }
        let kept = self.held().zip(taken).filter(|(_, taken)| *taken);
        kept.map(|((_, row), _)| row).take(MOST_COMPARISONS).collect()
    }

    fn bound(&self, of: &Row, held: &[Row], extra: Option<(i64, i64)>) -> Option<i64> {
        let variables = variables(held);
        let leans = leans(held, self.dims, extra);
        let times = multipliers(&lean(of, self.dims, extra, &variables), &leans).ok()?;
        let sum = self.summed(Some(of), held, &times, extra);
        i64::try_from(-(-sum).div_euclid(UNIT)).ok()
    }

    /// Greatest value of `of + sum(times * held)` within tolerances, in whole units: exact.
    fn summed(&self, of: Option<&Row>, held: &[Row], times: &[i64], extra: Option<(i64, i64)>) -> i128 {
        let weighed = of.into_iter().map(|row| (row, PARTS));
        let weighed = weighed.chain(held.iter().zip(times).map(|(row, &t)| (row, i128::from(t.max(0)))));
        let mut terms: Vec<(u32, i128)> = Vec::new();
        let mut sum: i128 = 0;
        for (row, times) in weighed.filter(|(_, times)| *times != 0) {
            sum += i128::from(row.constant) * i128::from(ONE) * times;
            for &(variable, k) in &row.terms {
                match terms.iter_mut().find(|t| t.0 == variable) {
                    Some(term) => term.1 += i128::from(k) * times,
                    None => terms.push((variable, i128::from(k) * times)),
                }
            }
        }
        for (variable, k) in terms {
            let (least, most) = ends(self.dims, variable, extra);
            sum += k * i128::from(if k > 0 { most } else { least });
        }
        sum
    }
}

fn any_shared(forms: &[&Form]) -> bool {
    let shares = |a: &Form, b: &Form| a.terms.iter().any(|t| b.terms.iter().any(|u| u.0 == t.0));
    forms.iter().enumerate().any(|(i, a)| forms[i + 1..].iter().any(|b| shares(a, b)))
}

/// A form with its slack taken in its favour.
fn row(form: &Form) -> Row {
    Row { constant: form.constant + form.slack, terms: form.terms.to_vec() }
}

fn ends(dims: &[Ends], variable: u32, extra: Option<(i64, i64)>) -> (i64, i64) {
    match (variable, extra) {
        (LEAST, Some(ends)) => ends,
        _ => (dims[variable as usize].least, dims[variable as usize].most),
    }
}

fn variables(rows: &[Row]) -> Vec<u32> {
    let mut found: Vec<u32> = rows.iter().flat_map(|r| r.terms.iter().map(|t| t.0)).collect();
    found.sort_unstable();
    found.dedup();
    found
}

/// A row over variables that run from 0 to 1 each, millimetres: for finding multipliers only.
fn lean(row: &Row, dims: &[Ends], extra: Option<(i64, i64)>, variables: &[u32]) -> Lean {
    let mut at_least = row.constant as f64;
    let mut slopes = vec![0.0; variables.len()];
    for &(variable, k) in &row.terms {
        let (least, most) = ends(dims, variable, extra);
        let k = k as f64 / ONE as f64;
        at_least += k * least as f64;
        if let Ok(at) = variables.binary_search(&variable) {
            slopes[at] = k * (most - least) as f64 / 1e6;
        }
    }
    Lean { at_least: at_least / 1e6, slopes }
}

fn leans(rows: &[Row], dims: &[Ends], extra: Option<(i64, i64)>) -> Vec<Lean> {
    let variables = variables(rows);
    rows.iter().map(|r| lean(r, dims, extra, &variables)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Length;

    fn ends(least: i64, most: i64) -> Ends {
        Ends { nominal: (least + most) / 2, least, most }
    }

    fn over(a: u32, b: u32) -> Decision {
        Decision { form: Form::dimension(a).minus(&Form::dimension(b)), positive: true }
    }

    #[test]
    fn the_higher_of_two_is_never_below_what_the_lower_is_at_least() {
        let dims = [ends(0, 10_000), ends(5_000, 7_000)];
        let decisions = [over(0, 1)];
        let given = Given::decided(&dims, &decisions);
        assert_eq!((given.least(&Form::dimension(0)), given.most(&Form::dimension(0))), (5_000, 10_000));
        assert_eq!((given.least(&Form::dimension(1)), given.most(&Form::dimension(1))), (5_000, 7_000));
    }

    #[test]
    fn comparisons_bind_together_where_none_alone_would() {
        // a > b, b > c: a is never below the least c can be, though no comparison names both.
        let dims = [ends(0, 10_000), ends(1_000, 9_000), ends(4_000, 6_000)];
        let decisions = [over(0, 1), over(1, 2)];
        let given = Given::decided(&dims, &decisions);
        assert_eq!(given.least(&Form::dimension(0)), 4_000);
        assert_eq!(given.most(&Form::dimension(2).minus(&Form::dimension(0))), 0);
    }

    #[test]
    fn comparisons_in_a_circle_are_possible_only_while_all_can_be_equal() {
        let dims = [ends(0, 10_000), ends(1_000, 9_000), ends(4_000, 6_000)];
        let circle = [over(0, 1), over(1, 2), over(2, 0)];
        assert!(Given::decided(&dims, &circle).possible());
        let mut apart = circle.clone();
        apart[2].form = apart[2].form.clone().plus_length(Length::nm(-1));
        assert!(!Given::decided(&dims, &apart).possible());
    }

    #[test]
    fn the_least_of_two_that_share_a_length_is_bounded_by_both_at_once() {
        // a - b and c + b: each reaches 10, but not for the same b.
        let dims = [ends(5_000, 6_000), ends(-4_000, 4_000), ends(5_000, 6_000)];
        let forms =
            [Form::dimension(0).minus(&Form::dimension(1)), Form::dimension(2).plus(&Form::dimension(1))];
        assert_eq!(Given::any(&dims).most_of_least(&forms), 6_000);
    }

    #[test]
    fn a_slope_that_is_no_whole_number_is_rounded_outward() {
        let dims = [ends(0, 1_000_000), ends(300_000, 400_000)];
        let cone = Form::dimension(0).times(688_191).minus(&Form::dimension(1));
        let decisions = [Decision { form: cone, positive: true }];
        let least = Given::decided(&dims, &decisions).least(&Form::dimension(0));
        let exact = 300_000.0 / 0.688_191;
        assert!(least as f64 <= exact && least as f64 > exact - 2.0, "{least} of {exact}");
    }
}
