//! A stack of pieces as a half section: left of the axis cut, right of it seen from outside.
//! Knows how each sort of edge is drawn. Must not know where numbers go.

use super::fastener::{finned, fins, turns};
use super::knurl;
use super::outline::{Band, cut_metal, edges_behind, silhouette};
use super::piece::{Breaks, Look, Piece};
use super::scene::{Fill, Line, Mark, NARROW, Pen, Point, Sheet, WIDE, pt};
use super::solid::{Column, Ring, Solid};
use super::trim;
use crate::kinds::Known;

/// Walls that print thinner than this are filled solid.
const THIN: f64 = 1.0;

/// Everything of the figure but numbers, back to front.
pub(super) fn figure(pieces: &[Piece], sheet: Sheet, turned_away: &[&str]) -> Vec<Mark> {
    let solids: Vec<Solid> = pieces.iter().map(|p| p.solid.clone()).collect();
    let bands = silhouette(&solids);
    let mut marks = vec![behind(pieces, &solids)];
    let (whole, cut): (Vec<&Piece>, Vec<&Piece>) = pieces.iter().partition(|p| p.solid.whole());
    marks.extend(cut.iter().map(|p| part(p, sheet)));
    let (rings, solid): (Vec<&Piece>, Vec<&Piece>) = whole.iter().partition(|p| hollow(&p.solid));
    marks.extend(solid.iter().map(|p| part(p, sheet)));
    marks.extend(rings.iter().map(|p| part(p, sheet)));
    marks.extend(rings.iter().flat_map(|p| trim::face(p, &solid)));
    marks.push(view(pieces, &bands, sheet));
    marks.extend(trim::details(pieces, &bands, turned_away));
    marks.extend(trim::break_lines(pieces, sheet));
    marks
}

fn hollow(solid: &Solid) -> bool {
    solid.rings().all(|r| r.narrowest() > 0.0)
}

/// Of parts that are there already they would only be in the way.
fn behind(pieces: &[Piece], solids: &[Solid]) -> Mark {
    let edges = edges_behind(solids, |index| pieces[index].look != Look::Faint).into_iter();
    let lines = edges.map(|(y, from, to)| Line::open(vec![pt(-from, y), pt(-to, y)])).collect();
    Mark::path("edge behind", lines, Pen::Narrow, Fill::None)
}

/// One part's cut metal with what belongs to it.
fn part(piece: &Piece, sheet: Sheet) -> Mark {
    let solid = &piece.solid;
    let (mut marks, mut edges) = (Vec::new(), Vec::new());
    let mut hatching = Vec::new();
    let thin = thin(solid, sheet);
    for column in &solid.columns {
        let outline = cut_metal(&column.rings);
        if !thin && !solid.whole() && !solid.is(Known::Balls) && piece.look != Look::Faint {
            hatching.push(Line::closed(outline.clone()));
        }
        let (metal, edge) = metal(piece, column, outline, sheet);
        marks.push(metal);
        edges.extend(edge);
    }
    if !hatching.is_empty() {
        marks.push(Mark::Hatched { class: hatch_class(piece), outlines: hatching, hatch: piece.hatch });
    }
    marks.extend(fins(piece));
    let mut threads: Vec<Line> = solid.columns.iter().flat_map(|c| thread_lines(c, sheet)).collect();
    if solid.whole() {
        threads.extend(solid.rings().flat_map(|r| turns(r, -1.0, sheet)));
    }
    marks.push(Mark::path("thread", threads, Pen::Narrow, Fill::None));
    let limits = solid.columns.iter().flat_map(thread_limits);
    let limits = limits.map(|(y, bore, outside)| Line::open(vec![pt(-outside, y), pt(-bore, y)]));
    marks.push(Mark::path("edge", limits.collect(), pen(piece.look), Fill::None));
    marks.extend(edges);
    marks.extend(trim::balls(piece));
    let mut facts = vec![
        ("data-item", solid.name.clone()),
        ("data-slot", solid.slot.clone()),
        ("data-part", solid.part.clone()),
    ];
    if piece.lift.abs() > 1e-6 {
        facts.push(("data-lift", super::write::number(piece.lift)));
    }
    if solid.upside_down {
        facts.push(("data-upside-down", String::new()));
    }
    if piece.aside.abs() > 1e-6 {
        facts.push(("data-aside", super::write::number(piece.aside)));
    }
    Mark::Group { class: class(piece), facts, marks }
}

fn class(piece: &Piece) -> &'static str {
    match piece.look {
        Look::Full => "part",
        Look::Faint => "part already",
        Look::Now => "part now",
    }
}

fn hatch_class(piece: &Piece) -> &'static str {
    if piece.hatch.rising { "hatch rising" } else { "hatch falling" }
}

/// All walls print too thin for hatching. Rings with balls between them are told by these, not by hatching.
pub(super) fn thin(solid: &Solid, sheet: Sheet) -> bool {
    !solid.whole() && !solid.is(Known::Balls) && solid.rings().all(|r| wall(r, sheet) < THIN)
}

/// On paper.
fn wall(ring: &Ring, sheet: Sheet) -> f64 {
    (ring.widest() - ring.narrowest()).min(ring.top - ring.bottom) * sheet.scale
}

/// What is seen from outside of a part stands in no group of its own: an edge of what goes on now says so itself.
fn edge_class(look: Look) -> &'static str {
    if look == Look::Now { "edge fresh" } else { "edge" }
}

pub(super) fn pen(look: Look) -> Pen {
    match look {
        Look::Full => Pen::Wide,
        Look::Faint => Pen::Narrow,
        Look::Now => Pen::Bold,
    }
}

/// Rings that carry balls stay white inside: where they are thin, lines are one width down.
fn outline_pen(piece: &Piece, column: &Column, sheet: Sheet) -> Pen {
    let pen = pen(piece.look);
    let narrow = piece.solid.is(Known::Balls) && column.rings.iter().any(|r| wall(r, sheet) < 2.0 * THIN);
    match pen {
        Pen::Bold if narrow => Pen::Wide,
        Pen::Wide if narrow => Pen::Narrow,
        pen => pen,
    }
}

/// The closed path of a column's metal; and, where some of its sides are no edges (a break, the axis), its edges alone.
fn metal(piece: &Piece, column: &Column, outline: Vec<Point>, sheet: Sheet) -> (Mark, Option<Mark>) {
    let thin = thin(&piece.solid, sheet);
    let line = outline_pen(piece, column, sheet);
    let mut facts = vec![("data-column", column.name.to_string())];
    let broken = piece.broken.words(column);
    if !broken.is_empty() {
        facts.push(("data-broken", broken));
    }
    let solid_fill = thin && piece.look != Look::Faint;
    let fill = if solid_fill { Fill::Ink } else { Fill::Paper };
    let mut ring = outline.clone();
    ring.extend(outline.first().copied());
    let edges = drawn_edges(&ring, &piece.broken);
    let whole_outline = edges.len() == 1 && edges[0].points.len() == ring.len();
    // A part with fins has edges of its own.
    let fins = finned(&piece.solid).is_some();
    let own_pen = match (solid_fill, whole_outline) {
        (true, _) => Pen::Halo,
        (false, true) if !fins => line,
        (false, _) => Pen::None,
    };
    let class = if solid_fill { "metal solid" } else { "metal" };
    let metal = Mark::Path { class, lines: vec![Line::closed(outline)], pen: own_pen, fill, facts };
    let edges = || Mark::path("edge", edges, line, Fill::None);
    (metal, (own_pen == Pen::None && !fins).then(edges))
}

/// The sides of a chain of points that are edges of the part: not on the axis, not where it is broken off.
fn drawn_edges(chain: &[Point], broken: &Breaks) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    let mut open = false;
    for side in chain.windows(2) {
        let level = (side[0].y - side[1].y).abs() < 1e-4 && broken.level(side[0].y);
        let upright =
            (side[0].x - side[1].x).abs() < 1e-4 && (side[0].x.abs() < 1e-4 || broken.edge(side[0].x));
        if level || upright {
            open = false;
            continue;
        }
        match lines.last_mut() {
            Some(line) if open => line.points.push(side[1]),
            _ => lines.push(Line::open(side.to_vec())),
        }
        open = true;
    }
    lines
}

/// Distance of the narrow thread line from the wide one: ISO 6410-1, twice the wide line and 0.7 mm at least.
pub(super) fn thread_depth(real: f64, sheet: Sheet) -> f64 {
    real.max(sheet.printed((2.0 * WIDE).max(0.7)))
}

/// ISO 6410-1: the narrow line of each thread (root of an outside one, crest line being the outline).
fn thread_lines(column: &Column, sheet: Sheet) -> Vec<Line> {
    let mut lines = Vec::new();
    for ring in &column.rings {
        if let Some(root) = ring.outside_thread {
            let x = ring.widest() - thread_depth(ring.widest() - root, sheet);
            lines.push(Line::open(vec![pt(-x, ring.bottom), pt(-x, ring.top)]));
        }
        if let Some(major) = ring.bore_thread {
            let x = ring.narrowest() + thread_depth(major - ring.narrowest(), sheet);
            lines.push(Line::open(vec![pt(-x, ring.bottom), pt(-x, ring.top)]));
        }
    }
    lines
}

/// ISO 6410-1: the wide limit of an outside thread where it ends before the part does: height, bore, outside.
fn thread_limits(column: &Column) -> Vec<(f64, f64, f64)> {
    let ends = column.rings.windows(2).filter(|pair| {
        let changes = pair[0].outside_thread.is_some() != pair[1].outside_thread.is_some();
        changes && (pair[0].outside[1] - pair[1].outside[0]).abs() < 1e-4
    });
    ends.map(|pair| (pair[0].top, pair[0].bore[1], pair[0].outside[1])).collect()
}

/// The right half: what is seen from outside.
fn view(pieces: &[Piece], bands: &[Band], sheet: Sheet) -> Mark {
    let mut already = Vec::new();
    let marks = bands.iter().flat_map(|band| {
        let piece = &pieces[band.solid];
        let mut chain = vec![pt(0.0, band.low())];
        let whole =
            (band.low() - piece.solid.bottom).abs() < 1e-4 && (band.high() - piece.solid.top).abs() < 1e-4;
        chain.extend(finned(&piece.solid).filter(|_| whole).unwrap_or_else(|| band.edge.clone()));
        chain.push(pt(0.0, band.high()));
        let mut lines = drawn_edges(&chain, &piece.broken);
        lines.extend(level_edges(band));
        let limits = piece.solid.columns.iter().flat_map(thread_limits);
        let seen = limits.filter(|&(y, _, outside)| {
            y > band.low() && y < band.high() && (band.radius_at(y) - outside).abs() < 1e-4
        });
        lines.extend(seen.map(|(y, _, outside)| Line::open(vec![pt(0.0, y), pt(outside, y)])));
        // Nothing lies under a face: it is there to be found, which what is there already need not be.
        if piece.look == Look::Faint {
            already.extend(lines);
            already.extend(outside_roots(&piece.solid, band, sheet));
            return Vec::new();
        }
        let facts = vec![("data-of", piece.solid.name.clone())];
        let face = vec![Line::closed(chain)];
        let mut marks =
            vec![Mark::Path { class: "face", lines: face, pen: Pen::None, fill: Fill::Paper, facts }];
        marks.push(Mark::path(edge_class(piece.look), lines, pen(piece.look), Fill::None));
        let knurling = knurl::lines(&piece.solid, band, sheet);
        if !knurling.is_empty() {
            marks.push(Mark::path("knurl", knurling, Pen::Narrow, Fill::None));
        }
        let roots = outside_roots(&piece.solid, band, sheet);
        if !roots.is_empty() {
            marks.push(Mark::path("thread", roots, Pen::Narrow, Fill::None));
        }
        marks
    });
    let mut marks: Vec<Mark> = marks.collect();
    marks.push(Mark::path("edge", already, Pen::Narrow, Fill::None));
    Mark::Group { class: "outside", facts: Vec::new(), marks }
}

/// Corners of the silhouette are circles seen from the side: level lines from the axis.
fn level_edges(band: &Band) -> Vec<Line> {
    let inner = band.edge.iter().filter(|p| p.y > band.low() + 1e-4 && p.y < band.high() - 1e-4);
    let mut corners: Vec<Point> = inner.copied().collect();
    corners.dedup_by(|a, b| {
        let same = (a.y - b.y).abs() < 1e-4;
        if same {
            b.x = b.x.min(a.x);
        }
        same
    });
    corners.into_iter().map(|p| Line::open(vec![pt(0.0, p.y), p])).collect()
}

fn outside_roots(solid: &Solid, band: &Band, sheet: Sheet) -> Vec<Line> {
    let threaded = solid.rings().filter_map(|r| r.outside_thread.map(|root| (r, root)));
    let seen = threaded.filter_map(|(ring, root)| {
        let shown = ring.cut(band.low(), band.high())?;
        let x = ring.widest() - thread_depth(ring.widest() - root, sheet);
        let mut lines = if solid.whole() { turns(&shown, 1.0, sheet) } else { Vec::new() };
        lines.push(Line::open(vec![pt(x, shown.bottom), pt(x, shown.top)]));
        Some(lines)
    });
    seen.flatten().collect()
}

/// Half the width of a wide line on paper, as room to leave at the figure's rim.
pub(super) fn rim(sheet: Sheet) -> f64 {
    sheet.printed(WIDE + NARROW)
}
