//! Landings and the closing gap as linear programmes: every way the parts can come to rest is a programme of its own,
//! with the comparisons under which it is so, and a general-purpose solver says how far each height reaches. Shares
//! nothing with the engine's way to a landing; takes from it only what a part looks like once it is seated.

use benchleaf::assembly::{PlacedSegment, PlacedWall, Stack};
use benchleaf::quantity::Form;
use benchleaf::rules::{PutOn, Rule};
use microlp::{ComparisonOp, OptimizationDirection, Problem, Variable};

use super::linear::{Linear, NANOMETRE, NOTHING};
use super::pile::Pile;

/// Furthest ends found, nanometres, and the sizes of real parts that reach them.
#[derive(Clone, Debug)]
pub struct Reach {
    pub least: f64,
    pub most: f64,
    pub at_least: Option<Vec<i64>>,
    pub at_most: Option<Vec<i64>>,
}

pub struct Reached {
    /// By item; `None`: never dropped on anything.
    pub landings: Vec<Option<Reach>>,
    pub gap: Option<Reach>,
    /// Ways for everything to come to rest.
    pub ways: usize,
}

/// The top or the underside of a ring of metal.
struct Face<'s> {
    ring: &'s PlacedSegment,
    inner: Linear,
    outer: Linear,
    /// At the inner edge, from the part's bottom.
    height: Linear,
    slope: f64,
}

/// How far the least of these goes up while the rest is not negative.
#[derive(Clone)]
struct End {
    most: f64,
    of: Vec<Linear>,
    holds: Vec<Linear>,
}

/// Of the negated value, and of the value.
type Ends = (End, End);

/// A height (or a distance) that counts while its needs are not negative.
struct Candidate {
    height: Linear,
    needs: Vec<Linear>,
    on: usize,
}

#[derive(Clone)]
struct Way {
    /// Not negative.
    holds: Vec<Linear>,
    bottoms: Vec<Option<Linear>>,
    supports: Vec<Vec<usize>>,
}

pub struct Programme<'s> {
    stack: &'s Stack,
    rule: &'s Rule,
    pile: Pile<'s>,
    landings: Vec<Option<Ends>>,
    the_gap: Option<Ends>,
    found: usize,
}

/// `None`: more ways than are worth a test's time.
pub fn reached(stack: &Stack, rule: &Rule) -> Option<Reached> {
    let count = stack.items.len();
    let pile = Pile::new(stack, rule);
    let mut programme = Programme { stack, rule, pile, landings: vec![None; count], the_gap: None, found: 0 };
    let way = Way { holds: vec![], bottoms: vec![None; count], supports: vec![vec![]; count] };
    programme.put_on(0, way);
    let reach = |(least, most): &Ends| Reach {
        least: -least.most / NANOMETRE,
        most: most.most / NANOMETRE,
        at_least: programme.sizes(least),
        at_most: programme.sizes(most),
    };
    (programme.found <= MOST_WAYS).then(|| Reached {
        landings: programme.landings.iter().map(|l| l.as_ref().map(reach)).collect(),
        gap: programme.the_gap.as_ref().map(reach),
        ways: programme.found,
    })
}

const MOST_WAYS: usize = 100;

impl<'s> Programme<'s> {
    fn linear(&self, form: &Form) -> Linear {
        let mut linear = Linear { constant: form.constant as f64 / 1e6, terms: vec![] };
        for &(dim, k) in &form.terms {
            let (ends, k) = (self.stack.dims[dim as usize].ends, k as f64 / 1e6);
            linear.constant += k * ends.least as f64 / 1e6;
            if ends.least != ends.most {
                linear.terms.push((dim as usize, k));
            }
        }
        linear
    }

    fn width(&self, dim: usize) -> f64 {
        let ends = self.stack.dims[dim].ends;
        (ends.most - ends.least) as f64 / 1e6
    }

    fn range(&self, linear: &Linear) -> (f64, f64) {
        let side = |up: bool| -> f64 {
            let reach = |&&(_, k): &&(usize, f64)| (k > 0.0) == up;
            linear.terms.iter().filter(reach).map(|&(dim, k)| k * self.width(dim)).sum()
        };
        (linear.constant + side(false), linear.constant + side(true))
    }

    fn end(&self, of: Vec<Linear>, holds: &[Linear]) -> Option<End> {
        let most = self.most(&of.iter().collect::<Vec<_>>(), holds)?;
        Some(End { most, of, holds: holds.to_vec() })
    }

    /// Greatest of the least of these while all of `holds` are not negative.
    fn most(&self, of: &[&Linear], holds: &[Linear]) -> Option<f64> {
        self.solved(of, (-1e4, 1e4), holds).map(|(most, _)| most)
    }

    /// The greatest that the least of these can be, between ends, and sizes that reach it.
    fn solved(&self, of: &[&Linear], ends: (f64, f64), holds: &[Linear]) -> Option<(f64, Vec<i64>)> {
        let mut problem = Problem::new(OptimizationDirection::Maximize);
        let mut variables: Vec<Option<Variable>> = vec![None; self.stack.dims.len()];
        for &(dim, _) in holds.iter().chain(of.iter().copied()).flat_map(|l| &l.terms) {
            if variables[dim].is_none() {
                variables[dim] = Some(problem.add_var(0.0, (0.0, self.width(dim))));
            }
        }
        let value = problem.add_var(1.0, ends);
        let row = |linear: &Linear| -> Vec<(Variable, f64)> {
            linear.terms.iter().map(|&(dim, k)| (variables[dim].unwrap(), k)).collect()
        };
        for linear in of {
            let mut row = row(linear);
            row.push((value, -1.0));
            problem.add_constraint(&row[..], ComparisonOp::Ge, -linear.constant);
        }
        for linear in holds.iter().filter(|l| !l.terms.is_empty()) {
            problem.add_constraint(&row(linear)[..], ComparisonOp::Ge, -linear.constant);
        }
        let solution = problem.solve().ok()?.into_solution().ok()?;
        let size = |(at, dim): (usize, &benchleaf::assembly::ItemDim)| match variables[at] {
            Some(v) => dim.ends.least + (solution.var_value(v) * 1e6).round() as i64,
            None => dim.ends.nominal.clamp(dim.ends.least, dim.ends.most),
        };
        Some((solution.objective(), self.stack.dims.iter().enumerate().map(size).collect()))
    }

    /// Sizes at which the end is reached to within a few nanometres, as far as may be from where a comparison would
    /// turn out otherwise.
    fn sizes(&self, end: &End) -> Option<Vec<i64>> {
        let near =
            |l: &Linear| Linear { constant: l.constant - end.most + 5.0 * NANOMETRE, terms: l.terms.clone() };
        let close: Vec<Linear> = end.of.iter().map(near).collect();
        let open: Vec<&Linear> = end.holds.iter().filter(|l| !l.terms.is_empty()).collect();
        if open.is_empty() {
            return self.solved(&end.of.iter().collect::<Vec<_>>(), (-1e4, 1e4), &[]).map(|s| s.1);
        }
        self.solved(&open, (0.0, 1e-3), &close).map(|s| s.1)
    }

    fn possible(&self, holds: &[Linear]) -> bool {
        let margins: Vec<&Linear> = holds.iter().filter(|l| self.range(l).0 < 0.0).collect();
        margins.is_empty() || self.most(&margins, &[]).is_some_and(|most| most > -NOTHING)
    }

    fn faces(&self, item: usize, top: bool) -> Vec<Face<'s>> {
        let mut faces = Vec::new();
        for column in &self.stack.items[item].columns {
            let mut bottom = self.linear(&column.start);
            for ring in &column.segments {
                let high = bottom.plus(&self.linear(&ring.length), 1.0);
                let ends = |wall: &PlacedWall| wall.diameter.each_ref().map(|d| self.linear(d));
                let (bore, outside) = (ends(&ring.bore), ends(&ring.outside));
                let end = usize::from(top);
                faces.push(Face {
                    ring,
                    inner: bore[end].clone(),
                    outer: outside[end].clone(),
                    height: if top { high.clone() } else { bottom.clone() },
                    slope: 0.0,
                });
                for (wall, [low_end, high_end], is_bore) in
                    [(&ring.bore, &bore, true), (&ring.outside, &outside, false)]
                {
                    let Some(taper) = wall.taper else { continue };
                    let widens = wall.diameter[1].constant_part(self) > wall.diameter[0].constant_part(self);
                    // Open to the top: a bore that widens upwards, an outside that narrows.
                    if (widens == is_bore) != top {
                        continue;
                    }
                    let rise = 1.0 / (2.0 * (taper.half_angle as f64 / 1e3).to_radians().tan());
                    let (inner, outer, at_inner) =
                        if widens { (low_end, high_end, &bottom) } else { (high_end, low_end, &high) };
                    faces.push(Face {
                        ring,
                        inner: inner.clone(),
                        outer: outer.clone(),
                        height: at_inner.clone(),
                        slope: if widens { rise } else { -rise },
                    });
                }
                bottom = high;
            }
        }
        faces
    }

    /// Heights of the upper's bottom above the lower's at which faces of the two meet.
    fn meetings(&self, lower: usize, upper: usize) -> Vec<Candidate> {
        let mut found = Vec::new();
        for over in &self.faces(lower, true) {
            for under in &self.faces(upper, false) {
                let (a, b) = ((lower, over.ring), (upper, under.ring));
                let slides = |outer: (usize, &PlacedSegment), inner: (usize, &PlacedSegment)| {
                    let widest = inner.1.outside.diameter[0].minus(&outer.1.bore.diameter[0]);
                    let least = self.range(&self.linear(&widest)).0;
                    self.pile.springs(outer, inner).is_some_and(|springs| least <= springs / 1e6)
                };
                if slides(a, b) || slides(b, a) {
                    continue;
                }
                let outer =
                    |face: &Face<'_>, own: (usize, &PlacedSegment), by: (usize, &PlacedSegment)| match &own
                        .1
                        .outside
                        .root
                    {
                        Some(root) if self.pile.screwed(own, by) => self.linear(root),
                        _ => face.outer.clone(),
                    };
                let needs =
                    vec![outer(over, a, b).minus(&under.inner), outer(under, b, a).minus(&over.inner)];
                if needs.iter().any(|n| self.range(n).1 <= NOTHING) {
                    continue;
                }
                self.at_the_tighter_end(over, under, &needs, &mut found);
            }
        }
        found
    }

    fn at_the_tighter_end(
        &self,
        over: &Face<'_>,
        under: &Face<'_>,
        needs: &[Linear],
        out: &mut Vec<Candidate>,
    ) {
        let at = |d: &Linear| {
            let height = |face: &Face<'_>| face.height.plus(&d.minus(&face.inner), face.slope);
            height(over).minus(&height(under))
        };
        let slope = over.slope - under.slope;
        if slope.abs() < 1e-12 {
            out.push(Candidate { height: at(&over.inner), needs: needs.to_vec(), on: 0 });
            return;
        }
        // Outward the smaller outer edge ends the common ring, inward the larger inner one.
        let (mine, theirs, sign) =
            if slope > 0.0 { (&over.outer, &under.outer, 1.0) } else { (&over.inner, &under.inner, -1.0) };
        let mine_ends = Linear { constant: 0.0, terms: vec![] }.plus(&theirs.minus(mine), sign);
        for (edge, need) in [(mine, mine_ends.clone()), (theirs, mine_ends.negated())] {
            let mut needs = needs.to_vec();
            needs.push(need);
            out.push(Candidate { height: at(edge), needs, on: 0 });
        }
    }

    fn put_on(&mut self, item: usize, mut way: Way) {
        if item == self.stack.items.len() {
            self.found += 1;
            self.gap(&way);
            return;
        }
        let placed = &self.stack.items[item];
        let from_below = match self.rule.slot(placed.slot).put_on {
            PutOn::Chosen(_) => return self.put_on(item + 1, way),
            PutOn::Fixed => {
                let form = placed.landing.as_ref().and_then(|l| l.form.as_ref()).expect("a fixed height");
                way.bottoms[item] = Some(self.linear(form));
                return self.put_on(item + 1, way);
            }
            PutOn::FromBelow => true,
            _ => false,
        };
        let mut candidates = Vec::new();
        for pile in 0..self.stack.items.len() {
            let there = pile < item || way.bottoms[pile].is_some();
            let Some(base) = way.bottoms[pile].clone().filter(|_| there && pile != item) else {
                continue;
            };
            let meetings = if from_below { self.meetings(item, pile) } else { self.meetings(pile, item) };
            for meeting in meetings {
                let sign = if from_below { -1.0 } else { 1.0 };
                candidates.push(Candidate { height: meeting.height.plus(&base, sign), on: pile, ..meeting });
            }
        }
        let mut ways = Vec::new();
        self.ways(&candidates, &way.holds, &mut ways);
        for (height, on, holds) in ways {
            let mut way = way.clone();
            let bottom = if from_below { height.negated() } else { height };
            way.bottoms[item] = Some(bottom.clone());
            way.supports[item] = on;
            way.holds = holds;
            let end = |of: Linear| self.end(vec![of], &way.holds);
            if let (Some(most), Some(least)) = (end(bottom.clone()), end(bottom.negated())) {
                widen(&mut self.landings[item], least, most);
            }
            if self.found <= MOST_WAYS {
                self.put_on(item + 1, way);
            }
        }
    }

    /// Which candidate is highest, in every way that it can be: the height, what it rests on, and what then holds.
    fn ways(&self, all: &[Candidate], holds: &[Linear], out: &mut Vec<(Linear, Vec<usize>, Vec<Linear>)>) {
        self.decide(all, holds, &mut |sure, holds| {
            for (at, candidate) in sure.iter().enumerate() {
                if sure[..at].iter().any(|c| c.height.same(&candidate.height)) {
                    continue;
                }
                let mut holds = holds.to_vec();
                let others = sure.iter().filter(|c| !c.height.same(&candidate.height));
                holds.extend(
                    others.map(|c| candidate.height.minus(&c.height)).filter(|l| self.range(l).0 < 0.0),
                );
                let never = |l: &Linear| self.range(l).1 < -NOTHING;
                if holds.iter().any(never) || !self.possible(&holds) {
                    continue;
                }
                let alike = sure.iter().filter(|c| c.height.same(&candidate.height));
                out.push((candidate.height.clone(), alike.map(|c| c.on).collect(), holds));
            }
        });
    }

    /// Settles every comparison on which a candidate hangs that could be the highest, each way that is possible.
    fn decide<'c>(
        &self,
        all: &'c [Candidate],
        holds: &[Linear],
        done: &mut dyn FnMut(&[&'c Candidate], &[Linear]),
    ) {
        let settled = |need: &Linear| {
            let (least, most) = self.range(need);
            if least > NOTHING || holds.iter().any(|h| h.same(need)) {
                Some(true)
            } else if most <= NOTHING || holds.iter().any(|h| h.same(&need.negated())) {
                Some(false)
            } else {
                None
            }
        };
        let sure: Vec<&Candidate> =
            all.iter().filter(|c| c.needs.iter().all(|n| settled(n) == Some(true))).collect();
        let floor = sure.iter().map(|c| self.range(&c.height).0).fold(f64::NEG_INFINITY, f64::max);
        let open = |c: &&Candidate| {
            !c.needs.iter().any(|n| settled(n) == Some(false)) && self.range(&c.height).1 >= floor - NOTHING
        };
        let question = all.iter().filter(open).flat_map(|c| &c.needs).find(|n| settled(n).is_none());
        let Some(question) = question else { return done(&sure, holds) };
        for (answer, strictly) in [(question.clone(), true), (question.negated(), false)] {
            let room = self.most(&[&answer], holds).unwrap_or(f64::NEG_INFINITY);
            if room > if strictly { NOTHING } else { -NOTHING } {
                let mut holds = holds.to_vec();
                holds.push(answer);
                self.decide(all, &holds, done);
            }
        }
    }

    fn gap(&mut self, way: &Way) {
        let mut candidates = Vec::new();
        for &item in &self.pile.pushed(&way.supports) {
            for fixed in (0..self.stack.items.len()).filter(|&i| self.pile.on_fork(i) && i != item) {
                let (Some(upper), Some(lower)) = (&way.bottoms[item], &way.bottoms[fixed]) else { continue };
                let between = lower.minus(upper);
                for meeting in self.meetings(fixed, item) {
                    candidates.push(Candidate { height: meeting.height.plus(&between, 1.0), ..meeting });
                }
            }
        }
        let mut found: Vec<(End, End)> = Vec::new();
        self.decide(&candidates, &way.holds, &mut |sure, holds| {
            let least = sure.iter().filter_map(|c| self.end(vec![c.height.clone()], holds));
            let least = least.max_by(|a, b| a.most.total_cmp(&b.most));
            let most = self.end(sure.iter().map(|c| c.height.negated()).collect(), holds);
            found.extend(least.zip(most));
        });
        for (least, most) in found {
            widen(&mut self.the_gap, least, most);
        }
    }
}

/// `least` is the greatest of the negated value.
fn widen(reach: &mut Option<Ends>, least: End, most: End) {
    match reach {
        None => *reach = Some((least, most)),
        Some((low, high)) => {
            if least.most > low.most {
                *low = least;
            }
            if most.most > high.most {
                *high = most;
            }
        }
    }
}

trait ConstantPart {
    fn constant_part(&self, programme: &Programme<'_>) -> f64;
}

impl ConstantPart for Form {
    /// Its value with every dimension at its least.
    fn constant_part(&self, programme: &Programme<'_>) -> f64 {
        programme.linear(self).constant
    }
}
