//! What a part is once its short form has been compiled: named dimensions and a half-section.
//!
//! Every length here is a [`Form`] over the part's own dimensions (index into [`Shape::dims`]).
//! Diameters throughout, never radii. Heights from the part's own bottom as drawn.
//! Must not know any particular part, nor where it stands in an assembly.

use super::Fields;
use crate::base::Span;
use crate::quantity::{Dimension, Ends, Form, Nature, Thread, TorqueRange};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// One toleranced dimension of a part: `shim.outside`.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedDim {
    /// Field name in the part data (`outside`); for pinch heights `pinch-1`, …
    pub name: String,
    pub nature: Nature,
    pub dimension: Dimension,
    /// Where the author wrote it.
    pub span: Option<Span>,
}

impl NamedDim {
    /// Nominal, least and most in nanometres.
    pub fn ends(&self) -> Ends {
        Ends {
            nominal: self.dimension.nominal.as_nm(),
            least: self.dimension.least().as_nm(),
            most: self.dimension.most().as_nm(),
        }
    }
}

/// Which way a conical surface opens, seen from below upward.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Cone {
    /// The diameter grows with height.
    Wider,
    /// The diameter shrinks with height.
    Narrower,
}

/// Half angle of a cone against the axis, thousandths of a degree, with the way it opens.
/// The length of the segment and its two end diameters are consistent with it as forms.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Taper {
    pub half_angle: i64,
    pub cone: Cone,
}

/// One wall of a ring segment: inside (bore) or outside.
#[derive(Clone, Debug, PartialEq)]
pub struct Wall {
    /// Surface name that rules and messages use: `inside`, `steerer`, `thread`. Unique walls may share a name.
    pub surface: &'static str,
    /// Diameter at the segment's bottom and top. Equal forms unless `taper` is set. A solid has bore 0.
    pub diameter: [Form; 2],
    pub taper: Option<Taper>,
    /// For a male thread, what its own mate sees (root diameter); for a female thread `None`.
    pub root: Option<Form>,
}

/// A ring of metal, `length` high.
#[derive(Clone, Debug, PartialEq)]
pub struct Segment {
    pub length: Form,
    pub bore: Wall,
    pub outside: Wall,
}

/// Ring segments from bottom to top with no gaps between them.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// `body`, `inner`, `outer`, `skirt`, …
    pub name: &'static str,
    pub start: Form,
    pub segments: Vec<Segment>,
}

/// A lengthwise cut through a wall: a clamp's slot, the slit of bars, a split ring's gap.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    pub column: &'static str,
    pub width: Form,
    /// Heights between which the wall is cut, from the part's bottom.
    pub from: Form,
    pub to: Form,
}

/// A cross bolt of a clamp.
#[derive(Clone, Debug, PartialEq)]
pub struct Pinch {
    /// Height of its axis above the part's bottom.
    pub height: Form,
}

/// A thread the part has on one of its walls.
#[derive(Clone, Debug, PartialEq)]
pub struct ThreadOn {
    pub surface: &'static str,
    pub thread: Thread,
    pub male: bool,
}

/// A wall that is knurled for the fingers. A look, no dimension: its diameter is over the crests.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Knurled {
    pub surface: &'static str,
    pub pattern: Knurl,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Knurl {
    /// Grooves along the axis.
    Straight,
    /// Grooves both ways, at a slant.
    Diamond,
}

impl Knurl {
    /// As data files write it.
    pub fn word(self) -> &'static str {
        match self {
            Knurl::Straight => "straight",
            Knurl::Diamond => "diamond",
        }
    }

    pub(super) fn read(word: &str) -> Option<Knurl> {
        [Knurl::Straight, Knurl::Diamond].into_iter().find(|knurl| knurl.word() == word)
    }
}

/// A socket or hexagon the part is turned by.
#[derive(Clone, Debug, PartialEq)]
pub struct Drive {
    /// Shop words for the tool, from the data: `hex key`, `spanner`.
    pub tool: &'static str,
    /// Size across flats.
    pub size: crate::quantity::Length,
    /// The maker's torque for it, as written; none is never invented.
    pub torque: Option<TorqueRange>,
    pub torque_written: Option<String>,
}

impl Drive {
    /// It goes in along the axis, straight; a spanner comes from the side.
    pub fn is_straight(&self) -> bool {
        self.tool == "hex key"
    }
}

/// Two ends of a part differ on the bench: how a person tells which is which.
/// Keys into the book's words, chosen from the shape by the kind: `lip`, `wide-end`, `head`, `skirt`, `cone`, `recess`.
#[derive(Clone, Debug, PartialEq)]
pub struct WayMark {
    pub feature: &'static str,
    /// As drawn, is the feature at the top?
    pub at_top: bool,
}

/// Kind-specific facts that are no part of the half-section.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Features {
    pub cuts: Vec<Cut>,
    pub pinches: Vec<Pinch>,
    /// Thread of the pinch bolts.
    pub pinch_thread: Option<Thread>,
    /// Their property class, as written.
    pub pinch_class: Option<String>,
    pub threads: Vec<ThreadOn>,
    /// For pinch bolts and for bolts.
    pub drive: Option<Drive>,
    /// Walls that are pressed on a seat and take its diameter (`bore` of a crown race, `fins` of a star nut).
    pub pressed: Vec<&'static str>,
    /// A split ring: seated, its `bore` closes or opens to what it sits on and its wall stays.
    pub split_ring: bool,
    /// What a star nut takes: bores from, to.
    pub fits_bore: Option<(Form, Form)>,
    /// Shortest part of a quill that must stand inside the steerer (the minimum insertion mark).
    pub insertion: Option<Form>,
    /// Property class of a bolt (`8.8`), as written.
    pub property_class: Option<String>,
    /// Name of the material in the shop's list.
    pub material: Option<String>,
    pub marks: Vec<WayMark>,
    pub knurled: Option<Knurled>,
}

/// A part's metal and everything that checks read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shape {
    pub dims: Vec<NamedDim>,
    pub columns: Vec<Column>,
    /// Overall height, bottom to top: what turning the part over needs.
    pub height: Form,
    /// Height of the reference plane above the part's bottom: for a fork its crown-race seat; else 0.
    pub datum: Form,
    pub features: Features,
    /// What it was built from; `None` for a shape put together by hand.
    pub fields: Option<Arc<Fields>>,
}

impl Shape {
    /// Everything that a check reads is the same: only the look, the maker or the price may differ.
    pub fn same_to_checks(&self, other: &Shape) -> bool {
        let ends = |shape: &Shape| shape.dims.iter().map(NamedDim::ends).collect::<Vec<_>>();
        let (a, b) = (&self.features, &other.features);
        self.columns == other.columns
            && self.height == other.height
            && self.datum == other.datum
            && ends(self) == ends(other)
            && (&a.cuts, &a.pinches, &a.threads, &a.pressed) == (&b.cuts, &b.pinches, &b.threads, &b.pressed)
            && (a.split_ring, &a.fits_bore, &a.insertion) == (b.split_ring, &b.fits_bore, &b.insertion)
            && (&a.property_class, &a.material) == (&b.property_class, &b.material)
    }

    /// The same to every check, and told in the same words: nothing in an answer differs.
    pub fn same_as_written(&self, other: &Shape) -> bool {
        let told = |shape: &Shape| -> Vec<_> {
            shape.dims.iter().map(|d| (d.name.clone(), d.dimension.clone())).collect()
        };
        let look = |f: &Features| (f.marks.clone(), f.drive.clone(), f.pinch_thread, f.pinch_class.clone());
        self.same_to_checks(other)
            && told(self) == told(other)
            && look(&self.features) == look(&other.features)
    }

    /// Both are plain rings of one segment with the same bore and outside; only their lengths may differ.
    pub fn plain_ring_like(&self, other: &Shape) -> bool {
        let plain = |shape: &Shape| -> Option<(Vec<Ends>, &'static str, &'static str)> {
            let [column] = &shape.columns[..] else { return None };
            let [segment] = &column.segments[..] else { return None };
            if !shape.features.cuts.is_empty()
                || segment.bore.taper.is_some()
                || segment.outside.taper.is_some()
            {
                return None;
            }
            let dims: Vec<Ends> = shape.dims.iter().map(NamedDim::ends).collect();
            let of = |form: &Form| Ends {
                nominal: form.nominal(&dims),
                least: form.least(&dims),
                most: form.most(&dims),
            };
            let diameters = vec![of(&segment.bore.diameter[0]), of(&segment.outside.diameter[0])];
            Some((diameters, segment.bore.surface, segment.outside.surface))
        };
        plain(self).is_some() && plain(self) == plain(other)
    }

    /// Some wall carries this surface name.
    pub fn has_surface(&self, surface: &str) -> bool {
        self.walls().any(|w| w.surface == surface)
    }

    pub fn walls(&self) -> impl Iterator<Item = &Wall> {
        self.columns.iter().flat_map(|c| &c.segments).flat_map(|s| [&s.bore, &s.outside])
    }
}
