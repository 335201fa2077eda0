//! Where metal is seen: closed outlines of cut columns, the silhouette from outside, edges behind the cut.
//! Left of the axis is the section. Must not know hatching or widths of lines.

use super::scene::{Point, pt};
use super::solid::{Column, Ring, Solid};

/// Heights closer than this are one height.
const SAME: f64 = 1e-4;

/// The cut metal of a column left of the axis: closed, from the outside's bottom up and down the bore.
pub(super) fn cut_metal(rings: &[Ring]) -> Vec<Point> {
    let outside = rings.iter().flat_map(|r| [pt(-r.outside[0], r.bottom), pt(-r.outside[1], r.top)]);
    let bore = rings.iter().rev().flat_map(|r| [pt(-r.bore[1], r.top), pt(-r.bore[0], r.bottom)]);
    tidy(outside.chain(bore).collect())
}

/// Drops repeated points and points in the middle of an upright line.
fn tidy(points: Vec<Point>) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::new();
    for point in points {
        if kept.last().is_some_and(|&last| near(last, point)) {
            continue;
        }
        if let [.., a, b] = kept[..]
            && (a.x - b.x).abs() < SAME
            && (b.x - point.x).abs() < SAME
        {
            kept.pop();
        }
        kept.push(point);
    }
    if kept.len() > 1 && near(kept[0], kept[kept.len() - 1]) {
        kept.pop();
    }
    kept
}

fn near(a: Point, b: Point) -> bool {
    (a.x - b.x).abs() < SAME && (a.y - b.y).abs() < SAME
}

/// A stretch of height over which one part is the outermost.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Band {
    /// Index into the solids given.
    pub solid: usize,
    /// From bottom to top along the silhouette, right of the axis.
    pub edge: Vec<Point>,
}

impl Band {
    pub fn low(&self) -> f64 {
        self.edge.first().map_or(0.0, |p| p.y)
    }

    pub fn high(&self) -> f64 {
        self.edge.last().map_or(0.0, |p| p.y)
    }

    pub fn radius_at(&self, height: f64) -> f64 {
        let pairs = self.edge.windows(2);
        let inside = pairs.filter(|w| w[0].y <= height && height <= w[1].y && w[1].y - w[0].y > SAME);
        inside.map(|w| w[0].x + (w[1].x - w[0].x) * (height - w[0].y) / (w[1].y - w[0].y)).fold(0.0, f64::max)
    }
}

/// What is seen from outside, bottom to top. Coaxial rings: at each height the widest hides the rest.
pub(super) fn silhouette(solids: &[Solid]) -> Vec<Band> {
    let mut heights: Vec<f64> =
        solids.iter().flat_map(Solid::rings).flat_map(|r| [r.bottom, r.top]).collect();
    heights.extend(crossings(solids));
    heights.sort_by(f64::total_cmp);
    heights.dedup_by(|a, b| (*a - *b).abs() < SAME);
    let mut bands: Vec<Band> = Vec::new();
    for pair in heights.windows(2) {
        let Some((solid, ring)) = widest_at(solids, (pair[0] + pair[1]) / 2.0) else { continue };
        let low = pt(ring.outside_at(pair[0]), pair[0]);
        let high = pt(ring.outside_at(pair[1]), pair[1]);
        match bands.last_mut() {
            Some(band) if band.solid == solid && (band.high() - pair[0]).abs() < SAME => {
                band.edge.extend([low, high])
            }
            _ => bands.push(Band { solid, edge: vec![low, high] }),
        }
    }
    for band in &mut bands {
        band.edge = tidy(std::mem::take(&mut band.edge));
    }
    bands
}

/// Heights where two cones' outsides cross.
fn crossings(solids: &[Solid]) -> Vec<f64> {
    let rings: Vec<&Ring> = solids.iter().flat_map(Solid::rings).collect();
    let mut found = Vec::new();
    for (i, a) in rings.iter().enumerate() {
        for b in &rings[i + 1..] {
            let (low, high) = (a.bottom.max(b.bottom), a.top.min(b.top));
            let (at_low, at_high) =
                (a.outside_at(low) - b.outside_at(low), a.outside_at(high) - b.outside_at(high));
            if high - low > SAME && at_low * at_high < 0.0 {
                found.push(low + (high - low) * at_low / (at_low - at_high));
            }
        }
    }
    found
}

fn widest_at(solids: &[Solid], height: f64) -> Option<(usize, &Ring)> {
    let rings = solids.iter().enumerate().flat_map(|(i, s)| s.rings().map(move |r| (i, r)));
    let here = rings.filter(|(_, r)| r.bottom < height && height < r.top);
    here.max_by(|a, b| a.1.outside_at(height).total_cmp(&b.1.outside_at(height)))
}

/// Edges of the wanted solids' bores behind the cut that nothing hides: level lines left of the axis, as (height, from, to) radii.
pub(super) fn edges_behind(solids: &[Solid], wanted: impl Fn(usize) -> bool) -> Vec<(f64, f64, f64)> {
    let mut edges = Vec::new();
    for (index, solid) in solids.iter().enumerate().filter(|&(index, _)| wanted(index)) {
        for column in solid.columns.iter().filter(|_| !solid.whole()) {
            for (height, radius) in bore_edges(column) {
                edges.extend(seen(solids, index, height, radius).map(|(from, to)| (height, from, to)));
            }
        }
    }
    edges
}

/// Heights and radii at which a bore begins, ends or changes.
fn bore_edges(column: &Column) -> Vec<(f64, f64)> {
    let mut edges = Vec::new();
    let mut before: Option<f64> = None;
    for ring in &column.rings {
        if before.is_none_or(|r| (r - ring.bore[0]).abs() > SAME) {
            edges.push((ring.bottom, ring.bore[0].min(before.unwrap_or(f64::MAX))));
        }
        before = Some(ring.bore[1]);
    }
    edges.extend(column.rings.last().map(|r| (r.top, r.bore[1])));
    edges.retain(|e| e.1 > SAME);
    edges
}

/// The piece of a level edge next to the bore that metal nearer the axis leaves free.
fn seen(solids: &[Solid], own: usize, height: f64, radius: f64) -> Option<(f64, f64)> {
    let inner = solids.iter().enumerate().filter(|&(i, _)| i != own).flat_map(|(_, s)| s.rings());
    let covers = inner.filter(|r| r.bottom - SAME <= height && height <= r.top + SAME);
    let nearest = covers.map(|r| r.outside_at(height)).filter(|&r| r <= radius + SAME).fold(0.0, f64::max);
    let own_metal = solids[own].rings().filter(|r| r.bottom + SAME < height && height < r.top - SAME);
    let nearest = own_metal.map(|r| r.outside_at(height)).filter(|&r| r <= radius).fold(nearest, f64::max);
    (radius - nearest > 0.6).then_some((nearest, radius))
}
