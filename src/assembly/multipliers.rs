//! Weights of comparisons that bound a length best, by the simplex method in floating point.
//!
//! Only advice: who uses them adds up in whole numbers what they come to, and any weights give a true bound. The same
//! on every machine, for there is nothing in it but the four operations, in a fixed order. Must not know what is
//! weighed.

/// `at_least + sum(slopes * y)`, each `y` from 0 to 1.
pub struct Lean {
    pub at_least: f64,
    pub slopes: Vec<f64>,
}

/// Weights under which the rows can never add up to what they must: they cannot hold together.
pub struct Ray(pub Vec<i64>);

const TINY: f64 = 1e-9;
const MOST_STEPS: usize = 200;
const IN_ONE: f64 = 1e9;
/// Weights beyond this bound nothing on a bench.
const HEAVIEST: f64 = 1e6;

/// Weights `t >= 0`, in thousand-millionths, for which the most of `of + sum(t * held)` over all `y` is least.
///
/// The problem solved: least `sum(p) + sum(t * at_least)` with `p >= slope of (of + sum(t * held))`, `p >= 0`. It has a
/// start at `t = 0`, and one row for each `y`.
pub fn multipliers(of: &Lean, held: &[Lean]) -> Result<Vec<i64>, Ray> {
    let mut table = Table::new(of, held);
    for _ in 0..MOST_STEPS {
        let Some(entering) = table.entering() else { break };
        match table.leaving(entering) {
            Some(row) => table.pivot(row, entering),
            None => return Err(Ray(table.ray(entering))),
        }
    }
    Ok(table.weights())
}

/// Columns: `p` of each y, `s` of each y (what `p` is over its slope), `t` of each held, and the right side.
struct Table {
    ys: usize,
    held: usize,
    /// Row after row.
    rows: Vec<f64>,
    /// What a unit of each column costs beyond what it saves.
    costs: Vec<f64>,
    basis: Vec<usize>,
}

impl Table {
    fn new(of: &Lean, held: &[Lean]) -> Table {
        let ys = of.slopes.len();
        let width = 2 * ys + held.len() + 1;
        let mut table = Table {
            ys,
            held: held.len(),
            rows: vec![0.0; ys * width],
            costs: vec![0.0; width],
            basis: Vec::with_capacity(ys),
        };
        for y in 0..ys {
            table.costs[y] = 1.0;
        }
        for (at, row) in held.iter().enumerate() {
            table.costs[2 * ys + at] = row.at_least;
        }
        for y in 0..ys {
            // p - s - sum(t * slope) = slope of the form; turned round where that is negative.
            let sign = if of.slopes[y] > 0.0 { 1.0 } else { -1.0 };
            let row = &mut table.rows[y * width..][..width];
            (row[y], row[ys + y]) = (sign, -sign);
            for (at, held) in held.iter().enumerate() {
                row[2 * ys + at] = -sign * held.slopes[y];
            }
            row[width - 1] = sign * of.slopes[y];
            let basic = if sign > 0.0 { y } else { ys + y };
            if sign > 0.0 {
                for (cost, cell) in table.costs.iter_mut().zip(&*row) {
                    *cost -= cell;
                }
            }
            table.basis.push(basic);
        }
        table
    }

    fn rows(&self) -> impl Iterator<Item = &[f64]> {
        self.rows.chunks_exact(self.costs.len())
    }

    /// The first column that would lower the bound.
    fn entering(&self) -> Option<usize> {
        (0..self.costs.len() - 1).find(|&column| self.costs[column] < -TINY)
    }

    /// The first row that reaches zero; `None`: none does.
    fn leaving(&self, entering: usize) -> Option<usize> {
        let mut best: Option<(f64, usize, usize)> = None;
        for (at, row) in self.rows().enumerate() {
            if row[entering] <= TINY {
                continue;
            }
            let ratio = row[row.len() - 1] / row[entering];
            let sooner = best.is_none_or(|(least, _, basic)| {
                ratio < least - TINY || (ratio < least + TINY && self.basis[at] < basic)
            });
            if sooner {
                best = Some((ratio, at, self.basis[at]));
            }
        }
        best.map(|(_, at, _)| at)
    }

    fn pivot(&mut self, at: usize, entering: usize) {
        let width = self.costs.len();
        let own = &mut self.rows[at * width..][..width];
        let by = own[entering];
        own.iter_mut().for_each(|cell| *cell /= by);
        let pivot = own.to_vec();
        let others = self.rows.chunks_exact_mut(width).enumerate().filter(|(i, _)| *i != at);
        for row in others.map(|(_, row)| row).chain([&mut self.costs[..]]) {
            let times = row[entering];
            if times != 0.0 {
                for (cell, of_pivot) in row.iter_mut().zip(&pivot) {
                    *cell -= times * of_pivot;
                }
                row[entering] = 0.0;
            }
        }
        self.basis[at] = entering;
    }

    fn weights(&self) -> Vec<i64> {
        let mut weights = vec![0.0; self.held];
        for (row, &basic) in self.rows().zip(&self.basis) {
            if let Some(weight) = basic.checked_sub(2 * self.ys).and_then(|t| weights.get_mut(t)) {
                *weight = row[row.len() - 1];
            }
        }
        counted(&weights)
    }

    fn ray(&self, entering: usize) -> Vec<i64> {
        let mut ray = vec![0.0; self.held];
        if let Some(weight) = entering.checked_sub(2 * self.ys).and_then(|t| ray.get_mut(t)) {
            *weight = 1.0;
        }
        for (row, &basic) in self.rows().zip(&self.basis) {
            if let Some(weight) = basic.checked_sub(2 * self.ys).and_then(|t| ray.get_mut(t)) {
                *weight = -row[entering];
            }
        }
        counted(&ray)
    }
}

fn counted(weights: &[f64]) -> Vec<i64> {
    weights.iter().map(|w| (w.clamp(0.0, HEAVIEST) * IN_ONE).round() as i64).collect()
}
