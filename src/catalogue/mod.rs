//! Parts, revisions, boxes and stock: checked and indexed. Must not know rules.
//!
//! Invariants: ids are unique over parts and boxes and safe as file names (`a-z`, `0-9`, `-`, no leading or
//! trailing `-`); every box holds only parts that exist; every variant's shape is possible (bore below outside,
//! lengths above zero over the whole tolerance range). A catalogue with an error in it does not exist.

mod boxes;
mod doubles;
mod language;
// A flat table, a key a line.
#[rustfmt::skip]
pub mod layouts;
mod part;
mod reading;
mod sheet;
mod sheet_revisions;
mod shop;
mod stock;
mod stock_cells;
mod tried;
mod tried_reading;
mod usual;

pub(crate) use part::kind_unknown;
pub use reading::read_catalogue;
pub use shop::{Bolts, Material, Shop, Units, read_shop};
pub use tried::Tried;
pub use usual::Usual;

use crate::base::Span;
use crate::kinds::{self, Known, Shape};
use crate::quantity::Money;
use serde::{Deserialize, Serialize};

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct PartIx(pub u32);
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct BoxIx(pub u32);
/// A part in one of its revisions: what a person can hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct VariantIx(pub u32);

#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    pub id: String,
    pub kind: &'static str,
    pub name: String,
    pub maker: Option<String>,
    pub about: Option<String>,
    /// Price of one, sold loose. `None`: not sold loose, or no price known (see `loose`).
    pub price: Option<Money>,
    /// Can be bought on its own.
    pub loose: bool,
    pub on_hand: OnHand,
    pub colours: Vec<String>,
    /// In the order of the data; never empty. Without revisions, one variant with `revision: None`.
    pub variants: Vec<VariantIx>,
    pub span: Span,
}

/// What the stock list says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OnHand {
    /// No stock list, or the part is not in it: taken as obtainable.
    Unknown,
    Count(u32),
}

#[derive(Clone, Debug, PartialEq)]
pub struct Variant {
    pub part: PartIx,
    pub revision: Option<Revision>,
    pub shape: Shape,
    /// For a part that is changed for good first: not among its part's own variants.
    pub changed: Option<Changed>,
}

/// What a variant is once a change that cannot be undone was made to another.
#[derive(Clone, Debug, PartialEq)]
pub struct Changed {
    pub from: VariantIx,
    /// The clamp system that allows it and the number of the change in its rules; what they say is not known here.
    pub system: usize,
    pub change: usize,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Revision {
    pub id: String,
    /// From when on, as written.
    pub since: Option<String>,
    /// How to tell it from the others on the bench, as written.
    pub tell: Option<String>,
    /// False: no longer made, but riders have it.
    pub sold: bool,
}

#[derive(Clone, Debug, PartialEq)]
pub struct PartBox {
    pub id: String,
    pub name: String,
    pub maker: Option<String>,
    pub about: Option<String>,
    pub price: Option<Money>,
    /// False: no longer sold; riders may have one.
    pub sold: bool,
    pub on_hand: OnHand,
    /// In the order of the data; no part twice in the same revision.
    pub holds: Vec<Held>,
    pub span: Span,
}

/// Pieces of one part in a box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Held {
    pub part: PartIx,
    /// The revision that is in it. `None`: the box does not say, and each that the part has may be in it.
    pub revision: Option<VariantIx>,
    /// Over 0.
    pub count: u32,
}

/// Everything that can be used, looked up by index.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Catalogue {
    /// Sorted by id.
    pub parts: Vec<Part>,
    pub variants: Vec<Variant>,
    /// Sorted by id.
    pub boxes: Vec<PartBox>,
    /// In the order of the files.
    pub trials: Vec<Tried>,
}

impl Part {
    pub fn is(&self, known: Known) -> bool {
        kinds::is(self.kind, known)
    }
}

impl Catalogue {
    pub fn part(&self, ix: PartIx) -> &Part {
        &self.parts[ix.0 as usize]
    }

    pub fn variant(&self, ix: VariantIx) -> &Variant {
        &self.variants[ix.0 as usize]
    }

    pub fn part_of(&self, ix: VariantIx) -> &Part {
        self.part(self.variant(ix).part)
    }

    pub fn the_box(&self, ix: BoxIx) -> &PartBox {
        &self.boxes[ix.0 as usize]
    }

    pub fn find(&self, id: &str) -> Option<PartIx> {
        self.parts.binary_search_by(|p| p.id.as_str().cmp(id)).ok().map(|i| PartIx(i as u32))
    }

    pub fn of_kind<'a>(&'a self, kind: &'a str) -> impl Iterator<Item = PartIx> + 'a {
        (0..self.parts.len()).filter(move |&i| self.parts[i].kind == kind).map(|i| PartIx(i as u32))
    }

    /// Parts of all kinds known as that.
    pub fn known_as(&self, known: Known) -> impl Iterator<Item = PartIx> + '_ {
        (0..self.parts.len()).filter(move |&i| self.parts[i].is(known)).map(|i| PartIx(i as u32))
    }

    /// Every revision of them, each for itself.
    pub fn variants_known_as(&self, known: Known) -> impl Iterator<Item = VariantIx> + '_ {
        self.known_as(known).flat_map(|part| self.part(part).variants.iter().copied())
    }

    /// What these pieces may be: one revision where the box says which or there is but one.
    pub fn may_be(&self, held: &Held) -> Vec<VariantIx> {
        held.revision.map_or_else(|| self.part(held.part).variants.clone(), |said| vec![said])
    }

    /// The part as it is made: of one that is changed for good, what it is made from.
    pub fn as_made(&self, ix: VariantIx) -> VariantIx {
        self.variant(ix).changed.as_ref().map_or(ix, |changed| changed.from)
    }

    /// Boxes that hold the part, in id order.
    pub fn boxes_with(&self, part: PartIx) -> impl Iterator<Item = BoxIx> + '_ {
        (0..self.boxes.len())
            .filter(move |&i| self.boxes[i].holds.iter().any(|h| h.part == part))
            .map(|i| BoxIx(i as u32))
    }
}

#[cfg(test)]
mod tests;
