//! Real builds that are looked for, not drawn: all sizes at those ends that leave one finding the least (or the most) to spare.
//! Must not know what the engine says.

use super::judge::Findings;
use super::{Bench, Lying, Set};
use benchleaf::assembly::Window;
use std::collections::BTreeMap;

/// What is asked, and of which parts.
pub type Asked = (&'static str, Vec<usize>);
pub type Sizes = Vec<Vec<i64>>;

/// Part, size, and what is left to spare with it at its least and at its most.
type Found = (usize, usize, [BTreeMap<Asked, f64>; 2]);

/// How each finding of a list of parts answers to each size, by itself.
pub struct Leanings {
    pub middle: BTreeMap<Asked, f64>,
    /// Part, size, and what is left to spare of each finding with it at its least and at its most.
    each: Vec<Found>,
    nominal: Sizes,
}

fn spares(findings: Findings) -> BTreeMap<Asked, f64> {
    let mut found = BTreeMap::new();
    for finding in findings.0 {
        let least = found.entry((finding.what, finding.about)).or_insert(f64::INFINITY);
        *least = finding.spare.min(*least);
    }
    found
}

impl Leanings {
    /// `None`: there are no such parts.
    pub fn of(bench: &Bench<'_>, windows: &[Window], set: Set, lying: Lying<'_>) -> Option<Leanings> {
        let nominal = bench.nominal();
        let middle = spares(bench.tried(&nominal, windows, set, lying)?);
        let mut each = vec![];
        for (item, ends) in bench.ends.iter().enumerate() {
            for (dim, end) in ends.iter().enumerate().filter(|(_, e)| e.least < e.most) {
                let with = |size: i64| {
                    let mut sizes = nominal.clone();
                    sizes[item][dim] = size;
                    bench.tried(&sizes, windows, set, lying).map(spares)
                };
                if let (Some(least), Some(most)) = (with(end.least), with(end.most)) {
                    each.push((item, dim, [least, most]));
                }
            }
        }
        Some(Leanings { middle, each, nominal })
    }

    /// The sizes at which this is left the least to spare (`least`), or the most.
    pub fn toward(&self, bench: &Bench<'_>, asked: &Asked, least: bool) -> Sizes {
        let mut sizes = self.nominal.clone();
        for (item, dim, at_ends) in &self.each {
            let [low, high] = at_ends.each_ref().map(|m| m.get(asked).copied().unwrap_or(f64::NAN));
            let ends = &bench.ends[*item][*dim];
            if low != high && !low.is_nan() && !high.is_nan() {
                sizes[*item][*dim] = if (low < high) == least { ends.least } else { ends.most };
            }
        }
        sizes
    }

    /// How much is left to spare for each nanometre more of a size.
    pub fn slopes(&self, bench: &Bench<'_>, asked: &Asked) -> Vec<(usize, usize, f64)> {
        let slope = |(item, dim, at_ends): &(usize, usize, [BTreeMap<Asked, f64>; 2])| {
            let ends = &bench.ends[*item][*dim];
            let [low, high] = at_ends.each_ref().map(|m| m.get(asked).copied());
            Some((*item, *dim, (high? - low?) / (ends.most - ends.least) as f64))
        };
        self.each.iter().filter_map(slope).filter(|s| s.2.abs() > 0.05).collect()
    }
}
