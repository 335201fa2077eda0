//! Numbered references in columns beside a figure, one straight leader each, no two crossing.
//! ISO 6433 manner: aligned, circled, outside the outlines. Must not know parts or paper.
//!
//! Why no two leaders cross: circles have fixed places in a column. Let two leaders p-a and q-b (ports p, q; anchors
//! a, b) share a point X. Then |pb| + |qa| <= |pX| + |Xb| + |qX| + |Xa|, the length of the two. Equal only if X lies on
//! pb and on qa too: then p, a, b and q, a, b each lie on one line, so p and q lie on line ab, which is upright as p
//! and q stand one above the other, but anchors lie strictly on the figure's side. So, as long as anchors differ,
//! exchanging their ends makes crossing leaders shorter; there are finitely many ways to pair, so it ends, with no
//! crossing left. Circles lie wholly on the far side of their ports, and no leader does: none meets a circle.

use super::scene::{Point, pt};

/// Where a column of circles stands. `figure_side` is +1 when the figure is to the right of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rail {
    /// Where circles' middles are.
    pub x: f64,
    pub figure_side: f64,
    pub radius: f64,
    /// Least distance of two middles; more than two radii.
    pub spacing: f64,
    pub low: f64,
    pub high: f64,
}

/// Middles of the circles for these anchors, in the anchors' order.
/// Cost: the square of the number of anchors, times the exchanges.
pub(super) fn circles(anchors: &[Point], rail: Rail) -> Vec<Point> {
    let mut order: Vec<usize> = (0..anchors.len()).collect();
    order.sort_by(|&a, &b| anchors[a].y.total_cmp(&anchors[b].y));
    let wanted: Vec<f64> = order.iter().map(|&i| anchors[i].y).collect();
    let heights = spread(&wanted, rail.spacing, rail.low, rail.high);
    let mut owner = order;
    while exchange_one(&mut owner, &heights, anchors, rail) {}
    let mut places = vec![pt(rail.x, 0.0); anchors.len()];
    for (&anchor, &height) in owner.iter().zip(&heights) {
        places[anchor].y = height;
    }
    places
}

/// Where a circle's leader starts.
pub(super) fn port(circle: Point, rail: Rail) -> Point {
    pt(circle.x + rail.figure_side * rail.radius, circle.y)
}

/// Exchanges the ends of the first two leaders that cross and get shorter by it.
fn exchange_one(owner: &mut [usize], heights: &[f64], anchors: &[Point], rail: Rail) -> bool {
    let start = |slot: usize| port(pt(rail.x, heights[slot]), rail);
    for i in 0..owner.len() {
        for j in i + 1..owner.len() {
            let (a, b) = (anchors[owner[i]], anchors[owner[j]]);
            let now = length(start(i), a) + length(start(j), b);
            let exchanged = length(start(i), b) + length(start(j), a);
            if cross(start(i), a, start(j), b) && exchanged < now - 1e-9 {
                owner.swap(i, j);
                return true;
            }
        }
    }
    false
}

fn length(a: Point, b: Point) -> f64 {
    (a.x - b.x).hypot(a.y - b.y)
}

/// Two segments have a point in common.
pub(super) fn cross(a: Point, b: Point, c: Point, d: Point) -> bool {
    let turn = |p: Point, q: Point, r: Point| (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
    let (ac, ad, ca, cb) = (turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b));
    let apart = |p: f64, q: f64| (p > 1e-9 && q > 1e-9) || (p < -1e-9 && q < -1e-9);
    if apart(ac, ad) || apart(ca, cb) {
        return false;
    }
    let overlap = |p: f64, q: f64, r: f64, s: f64| p.min(q) <= r.max(s) + 1e-9 && r.min(s) <= p.max(q) + 1e-9;
    overlap(a.x, b.x, c.x, d.x) && overlap(a.y, b.y, c.y, d.y)
}

/// Heights as near as can be to the wanted ones (ascending), `spacing` apart, between `low` and `high`
/// (past `high` when there are too many). Least squares by pooling neighbours that push each other.
fn spread(wanted: &[f64], spacing: f64, low: f64, high: f64) -> Vec<f64> {
    // Taking `i * spacing` off each leaves a plain ascending fit: (sum, count) of pooled runs.
    let mut runs: Vec<(f64, usize)> = Vec::new();
    for (i, want) in wanted.iter().enumerate() {
        let mut run = (want - i as f64 * spacing, 1);
        while let Some(&(sum, count)) = runs.last()
            && sum / count as f64 > run.0 / run.1 as f64
        {
            run = (run.0 + sum, run.1 + count);
            runs.pop();
        }
        runs.push(run);
    }
    let highest = (high - spacing * wanted.len().saturating_sub(1) as f64).max(low);
    let fitted = runs.iter().flat_map(|&(sum, count)| std::iter::repeat_n(sum / count as f64, count));
    fitted.enumerate().map(|(i, at)| at.clamp(low, highest) + i as f64 * spacing).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rail(count: usize) -> Rail {
        Rail {
            x: -60.0,
            figure_side: 1.0,
            radius: 5.0,
            spacing: 11.0,
            low: 0.0,
            high: 11.0 * count as f64 + 40.0,
        }
    }

    #[test]
    fn heights_far_enough_apart_are_kept() {
        assert_eq!(spread(&[0.0, 20.0, 45.0], 11.0, 0.0, 60.0), [0.0, 20.0, 45.0]);
    }

    #[test]
    fn crowded_heights_are_spread_about_their_middle() {
        assert_eq!(spread(&[20.0, 20.0, 20.0], 10.0, 0.0, 60.0), [10.0, 20.0, 30.0]);
    }

    proptest! {
        #[test]
        fn no_two_leaders_cross_and_no_two_circles_overlap(
            points in proptest::collection::vec((0.0..40.0_f64, -10.0..250.0_f64), 1..24)
        ) {
            let anchors: Vec<Point> = points.iter().map(|&(x, y)| pt(x - 40.0, y)).collect();
            let rail = rail(anchors.len());
            let circles = circles(&anchors, rail);
            for i in 0..anchors.len() {
                for j in i + 1..anchors.len() {
                    prop_assert!((circles[i].y - circles[j].y).abs() > 2.0 * rail.radius);
                    prop_assert!(!cross(port(circles[i], rail), anchors[i], port(circles[j], rail), anchors[j]));
                }
                prop_assert!(circles[i].y >= rail.low && circles[i].y <= rail.high + 1e-9);
            }
        }
    }
}
