//! A part made ready for glances: its faces, walls and zones as figures. Made once for a book.
//!
//! Must not know the rest of the pile.

use super::alike::Alike;
use super::diameters::Diameters;
use super::figure::{Figure, Sizes};
use super::rule::OfRule;
use super::still::{Metal, metal};
use super::tall;
use crate::assembly::build::Setting;
use crate::assembly::check_items::closes_by;
use crate::assembly::piece::{self, Lie, Piece, Side};
use crate::assembly::place;
use crate::assembly::report::{PlacedColumn, PlacedCut};
use crate::catalogue::{Catalogue, VariantIx};
use crate::kinds::{NamedDim, Shape, ThreadOn};
use crate::quantity::{Ends, Form};
use crate::rules::Rule;
use rustc_hash::FxHashMap as HashMap;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A surface or column name as a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NameIx(pub u16);

/// No part has it.
pub const NOWHERE: NameIx = NameIx(u16::MAX);

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Edge {
    pub diameter: Figure,
    pub surface: NameIx,
    pub bore: bool,
    pub root: Option<Figure>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Face {
    pub column: NameIx,
    pub inner: Edge,
    pub outer: Edge,
    /// Where its line, drawn on, meets the axis, from the part's bottom: how far two of one slope are apart is the difference,
    /// at any diameter.
    pub line: Figure,
    pub lie: Lie,
    /// Signed rise with the diameter, millionths.
    pub slope: i64,
    /// What heights by that rise may be short by, nanometres.
    pub inexact: i64,
    /// Highest and lowest point of the face.
    pub lowest: i64,
    pub highest: i64,
}

#[derive(Clone, Copy, Debug)]
pub struct Span {
    pub bottom: Figure,
    pub top: Figure,
}

/// All walls of one name and side: narrowest and widest diameter, and from where to where they run.
#[derive(Clone, Copy, Debug)]
pub struct Walls {
    pub surface: NameIx,
    pub bore: bool,
    pub narrowest: Figure,
    pub widest: Figure,
    pub span: Span,
}

#[derive(Clone, Debug)]
pub struct Ready {
    pub tops: Vec<Face>,
    pub bottoms: Vec<Face>,
    /// Highest point.
    pub highest: i64,
    pub walls: Vec<Walls>,
    pub metal: Vec<Metal>,
    /// How far a cut lets its wall close in diameter, at best; nothing without a cut.
    pub closes_by: Figure,
    /// Length of the longest cut, where none runs through.
    pub slit_length: Option<Figure>,
    /// Of the top, from where its heights are reckoned.
    pub height: Figure,
    /// The ends inside the part of its longest cut: where it begins above the bottom, where it ends below the top.
    pub longest_slit: Option<(Option<Figure>, Option<Figure>)>,
    /// How high a slit reaches that does not reach the top.
    pub slit_top: Option<Figure>,
    pub slit: bool,
    pub pinches: Vec<Figure>,
    pub threads: Vec<(NameIx, ThreadOn)>,
    /// Its own dimensions as the builds have them, then those of what it is seated on: whoever takes one of them must take it
    /// the same, else a build is none that can be.
    pub most_first: Box<[bool]>,
}

/// `None` where there is no cut or one runs through.
fn longest_cut(cuts: &[PlacedCut], shape: &Shape, sizes: &Sizes) -> Option<Figure> {
    let through = |cut: &PlacedCut| cut.from == Form::zero() && cut.to == shape.height;
    if cuts.iter().any(through) {
        return None;
    }
    cuts.iter().map(|cut| sizes.figure(&cut.to.minus(&cut.from))).reduce(Figure::higher)
}

/// `datum`: what its ends are reckoned from, above the part's bottom.
fn longest_slit(
    cuts: &[PlacedCut],
    shape: &Shape,
    sizes: &Sizes,
    datum: &Form,
) -> Option<(Option<Figure>, Option<Figure>)> {
    let longest = cuts.iter().max_by_key(|cut| sizes.figure(&cut.to.minus(&cut.from)).at[0])?;
    let inside = |end: &Form, outer: &Form| (end != outer).then(|| sizes.figure(&end.minus(datum)));
    Some((inside(&longest.from, &Form::zero()), inside(&longest.to, &shape.height)))
}

impl Ready {
    pub fn has_surface(&self, surface: NameIx) -> bool {
        self.walls.iter().any(|w| w.surface == surface)
    }

    pub fn walls(&self, surface: NameIx, bore: bool) -> Option<&Walls> {
        self.walls.iter().find(|w| w.surface == surface && w.bore == bore)
    }

    pub fn thread(&self, surface: NameIx) -> Option<&ThreadOn> {
        self.threads.iter().find(|t| t.0 == surface).map(|t| &t.1)
    }

    pub fn of(names: &Names, shape: &Shape, columns: &[PlacedColumn], turned: bool, sizes: &Sizes) -> Ready {
        let [over, under] = [Side::Top, Side::Bottom].map(|side| piece::faces(columns, side, sizes.ends()));
        let faces = |pieces: &[Piece]| pieces.iter().map(|p| face(names, p, sizes)).collect();
        let cuts = place::cuts(shape, 0, turned);
        Ready {
            highest: over.iter().map(|p| p.reach.most).max().unwrap_or(0),
            tops: faces(&over),
            bottoms: faces(&under),
            walls: walls(names, columns, sizes),
            metal: metal(names, columns, &|form| sizes.figure(form)),
            closes_by: cuts
                .iter()
                .fold(Figure::ZERO, |most, c| most.higher(sizes.figure(&closes_by(&c.width)))),
            height: sizes.figure(&shape.height),
            slit_length: longest_cut(&cuts, shape, sizes),
            longest_slit: longest_slit(&cuts, shape, sizes, &Form::zero()),
            slit_top: cuts
                .iter()
                .filter(|cut| cut.to != shape.height)
                .map(|cut| sizes.figure(&cut.to))
                .reduce(Figure::higher),
            slit: !cuts.is_empty(),
            pinches: place::pinches(shape, 0, turned).iter().map(|p| sizes.figure(p)).collect(),
            most_first: sizes.most_first().into(),
            threads: shape.features.threads.iter().map(|t| (names.of(t.surface), t.clone())).collect(),
        }
    }
}

fn face(names: &Names, piece: &Piece, sizes: &Sizes) -> Face {
    let edge = |edge: &piece::Edge| Edge {
        diameter: sizes.figure(&edge.diameter),
        surface: names.of(edge.surface),
        bore: edge.bore,
        root: edge.root.as_ref().map(|r| sizes.figure(r)),
    };
    Face {
        column: names.of(piece.column),
        inner: edge(&piece.inner),
        outer: edge(&piece.outer),
        line: sizes.figure(&piece.line()),
        lie: piece.lie,
        slope: piece.slope,
        // Over less than 0.2 m of diameter.
        inexact: piece.unsure * 200,
        lowest: piece.reach.least,
        highest: piece.reach.most,
    }
}

fn walls(names: &Names, columns: &[PlacedColumn], sizes: &Sizes) -> Vec<Walls> {
    let mut found: BTreeMap<(NameIx, bool), Walls> = BTreeMap::new();
    for column in columns {
        let mut bottom: Form = column.start.clone();
        for segment in &column.segments {
            let top = bottom.plus(&segment.length);
            let span = Span { bottom: sizes.figure(&bottom), top: sizes.figure(&top) };
            for (wall, bore) in [(&segment.bore, true), (&segment.outside, false)] {
                let surface = names.of(wall.surface);
                let ends = wall.diameter.each_ref().map(|d| sizes.figure(d));
                let (narrowest, widest) = (ends[0].lower(ends[1]), ends[0].higher(ends[1]));
                found
                    .entry((surface, bore))
                    .and_modify(|w| {
                        w.narrowest = w.narrowest.lower(narrowest);
                        w.widest = w.widest.higher(widest);
                        w.span.bottom = w.span.bottom.lower(span.bottom);
                        w.span.top = w.span.top.higher(span.top);
                    })
                    .or_insert(Walls { surface, bore, narrowest, widest, span });
            }
            bottom = top;
        }
    }
    found.into_values().collect()
}

/// Names of surfaces and columns in a book.
#[derive(Clone, Debug, Default)]
pub struct Names(HashMap<&'static str, NameIx>);

impl Names {
    pub fn of(&self, name: &str) -> NameIx {
        self.0.get(name).copied().unwrap_or(NOWHERE)
    }

    fn learn(&mut self, name: &'static str) {
        let next = NameIx(self.0.len() as u16);
        self.0.entry(name).or_insert(next);
    }
}

/// Every part of a book made ready, both ways up.
#[derive(Clone, Debug, Default)]
pub struct Readies {
    pub names: Names,
    by_variant: Vec<[Arc<Ready>; 2]>,
    as_fork: Vec<Option<Arc<Ready>>>,
    pub alike_turned: Vec<bool>,
    pub alike: Alike,
    pub diameters: Diameters,
    /// By the rule's id, with nothing waived.
    of_rules: BTreeMap<String, OfRule>,
    /// By kind of part.
    by_kind: BTreeMap<&'static str, Vec<VariantIx>>,
}

impl Readies {
    pub fn of(catalogue: &Catalogue, rules: &[Rule]) -> Readies {
        let some = |takes: &dyn Fn(&Rule, &str) -> bool| -> Vec<bool> {
            let kinds = (0..catalogue.variants.len()).map(|v| catalogue.part_of(VariantIx(v as u32)).kind);
            kinds.map(|kind| rules.iter().any(|rule| takes(rule, kind))).collect()
        };
        let first = some(&|rule, kind| rule.slots.first().is_some_and(|s| s.kinds.contains(&kind)));
        let pulled = some(&|rule, kind| rule.slot(rule.pulled).kinds.contains(&kind));
        let mut names = Names::default();
        for variant in &catalogue.variants {
            for column in &variant.shape.columns {
                names.learn(column.name);
                for segment in &column.segments {
                    names.learn(segment.bore.surface);
                    names.learn(segment.outside.surface);
                }
            }
        }
        let shapes = || catalogue.variants.iter().map(|v| &v.shape);
        let both = |(shape, &pulled): (&Shape, &bool)| {
            let role = if pulled { Role::Pulled } else { Role::Other };
            [false, true].map(|turned| one(&names, shape, turned, role))
        };
        let by_variant = shapes().zip(&pulled).map(both).collect();
        let fork = |(shape, first): (&Shape, bool)| first.then(|| one(&names, shape, false, Role::Fork));
        let as_fork = shapes().zip(first).map(fork).collect();
        let alike_turned = shapes().map(place::alike_turned).collect();
        let (alike, diameters) =
            (Alike::of(shapes(), |v| catalogue.is_tried(v)), Diameters::of(&names, shapes()));
        let of_rule = |rule: &Rule| (rule.id.clone(), OfRule::new(rule, catalogue, &names, &[]));
        let of_rules = rules.iter().map(of_rule).collect();
        let mut by_kind: BTreeMap<&'static str, Vec<VariantIx>> = BTreeMap::new();
        for part in &catalogue.parts {
            by_kind.entry(part.kind).or_default().extend(&part.variants);
        }
        Readies { names, by_variant, as_fork, alike_turned, alike, diameters, of_rules, by_kind }
    }

    /// All parts of these kinds, kind by kind.
    pub fn of_kinds(&self, kinds: &[&'static str]) -> impl Iterator<Item = VariantIx> {
        kinds.iter().filter_map(|kind| self.by_kind.get(kind)).flatten().copied()
    }

    /// For a catalogue with one variant more, which is never the fixed part and has only names that the book has.
    pub fn and_one(&self, kind: &'static str, shape: &Shape) -> Readies {
        let mut readies = self.clone();
        let variant = VariantIx(readies.by_variant.len() as u32);
        readies.by_kind.entry(kind).or_default().push(variant);
        readies.by_variant.push([false, true].map(|turned| one(&self.names, shape, turned, Role::Other)));
        readies.as_fork.push(None);
        readies.alike_turned.push(place::alike_turned(shape));
        readies.alike.push();
        readies.of_rules.clear();
        readies.diameters.push(&self.names, shape);
        readies
    }

    /// What follows from the rule in this setting.
    pub fn of_rule(&self, setting: Setting<'_>) -> OfRule {
        let known = self.of_rules.get(&setting.rule.id).filter(|_| setting.waived.is_empty());
        known
            .cloned()
            .unwrap_or_else(|| OfRule::new(setting.rule, setting.catalogue, &self.names, setting.waived))
    }

    /// The last variant is of another kind and shape from now on.
    pub fn change_last(&mut self, kind: &'static str, shape: &Shape) {
        let last = VariantIx((self.by_variant.len() as u32).saturating_sub(1));
        self.by_kind.values_mut().for_each(|all| all.retain(|v| *v != last));
        self.by_kind.entry(kind).or_default().push(last);
        let made = [false, true].map(|turned| one(&self.names, shape, turned, Role::Other));
        if let (Some(last), Some(alike)) = (self.by_variant.last_mut(), self.alike_turned.last_mut()) {
            (*last, *alike) = (made, place::alike_turned(shape));
        }
        self.diameters.change_last(&self.names, shape);
    }

    pub fn part(&self, variant: VariantIx, turned: bool, fork: bool) -> Option<Arc<Ready>> {
        let index = variant.0 as usize;
        if fork {
            self.as_fork.get(index)?.clone()
        } else {
            Some(self.by_variant.get(index)?[usize::from(turned)].clone())
        }
    }
}

/// What a part is made ready as.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Role {
    /// The fixed part, its heights from its datum: what stands on that would count it twice, were they from below.
    Fork,
    /// Some system's bolt pulls it: nothing that is pushed lies above it.
    Pulled,
    Other,
}

fn one(names: &Names, shape: &Shape, turned: bool, role: Role) -> Arc<Ready> {
    let mut columns = place::columns(shape, 0, turned);
    let ends: Vec<Ends> = shape.dims.iter().map(NamedDim::ends).collect();
    let lowers = match role {
        Role::Fork => tall::stands(&columns, &ends),
        Role::Pulled => tall::hangs(&columns, &ends),
        Role::Other => tall::lowers(&columns, &ends),
    };
    let mut sizes = Sizes::new();
    sizes.add(&ends, |dim| lowers[dim]);
    if role == Role::Fork {
        for column in &mut columns {
            column.start = column.start.minus(&shape.datum);
        }
    }
    let mut ready = Ready::of(names, shape, &columns, turned, &sizes);
    if role == Role::Fork {
        let datum = |height: &Form| sizes.figure(&height.minus(&shape.datum));
        let cuts = place::cuts(shape, 0, turned);
        ready.height = datum(&shape.height);
        ready.longest_slit = longest_slit(&cuts, shape, &sizes, &shape.datum);
        ready.slit_top =
            cuts.iter().filter(|c| c.to != shape.height).map(|c| datum(&c.to)).reduce(Figure::higher);
    }
    Arc::new(ready)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kinds::shape_for_tests::good;

    #[test]
    fn a_fork_is_reckoned_from_where_the_headset_stands_on_it() {
        let fork = "crown_outside = \"46\"\ncrown_height = \"32 ±0.3\"\nbottom_thickness = \"8\"
seat_diameter = \"30\"\nseat_height = \"6\"
steerer_outside = \"28.6\"\nsteerer_bore = \"22\"\nsteerer_length = \"64 ±0.1\"";
        let fork = one(&Names::default(), &good("fork", fork), false, Role::Fork);
        let seat = fork.tops.iter().any(|face| face.line == Figure::ZERO);
        assert!(seat, "{:?}", fork.tops);
        // The steerer's top is as loose as its length alone.
        let top = fork.tops.iter().max_by_key(|face| face.highest).map(|face| face.line);
        assert_eq!(top.map(|top| (top.least, top.most)), Some((63_900_000, 64_100_000)));
    }
}
